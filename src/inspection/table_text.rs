//! The text of a table as other programs write it: marks of byte order, line ends, what stands between values, serial numbers.

use super::readings::ReadingFault;

/// What stands between values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Separator {
    Comma,
    Semicolon,
    Tab,
}

impl Separator {
    /// The one of a file, by its first line: programs that write decimal commas put semicolons between values.
    pub(super) fn of(text: &str) -> Self {
        let head = text.lines().next().unwrap_or_default();
        if head.contains(',') {
            Self::Comma
        } else if head.contains(';') {
            Self::Semicolon
        } else if head.contains('\t') {
            Self::Tab
        } else {
            Self::Comma
        }
    }

    pub(super) const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }
}

/// The text without its mark of byte order, each line ended by one character, so that lines are counted as an editor counts them.
///
/// # Errors
/// It is empty, or no text.
pub(super) fn plain(text: &str) -> Result<String, ReadingFault> {
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n").replace('\r', "\n");
    if text.trim().is_empty() {
        return Err(ReadingFault::whole("the file is empty"));
    }
    let strange = |line: &str| line.chars().any(|c| c.is_control() && c != '\t');
    match text.split('\n').zip(1..).find(|(line, _)| strange(line)) {
        Some((_, line)) => Err(ReadingFault::at(
            line,
            "there are characters here that no text has: save the table as CSV in UTF-8, not as a workbook",
        )),
        None => Ok(text),
    }
}

/// A serial number without what people write now so, now otherwise: capitals, which sign parts it, zeros before a number.
pub(super) fn serial(name: &str) -> String {
    let mut out = String::new();
    let sign = |c: char| if c.is_alphanumeric() { c } else { '-' };
    let mut kept = name.chars().map(sign).flat_map(char::to_lowercase).peekable();
    while let Some(c) = kept.next() {
        let within_number = out.ends_with(|last: char| last.is_ascii_digit());
        if c == '0' && !within_number && kept.peek().is_some_and(char::is_ascii_digit) {
            continue;
        }
        out.push(c);
    }
    out
}
