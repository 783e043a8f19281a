//! Text of an ISO 10303-21 file: records, numbers, strings, references.

use std::fmt::{self, Write as _};

use super::StepInfo;

/// Schema name of AP242, first edition: nothing newer is used, and every reader knows it.
const SCHEMA: &str = "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }";

/// The number of an entity, written `#12`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Id(u32);

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{}", self.0)
    }
}

/// A list, written `(a,b,c)`.
pub(super) struct List<'a, T>(pub(super) &'a [T]);

impl<T: fmt::Display> fmt::Display for List<'_, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('(')?;
        for (i, item) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_char(',')?;
            }
            item.fmt(f)?;
        }
        f.write_char(')')
    }
}

/// A truth value, `.T.` or `.F.`.
pub(super) struct Bool(pub(super) bool);

impl fmt::Display for Bool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.0 { ".T." } else { ".F." })
    }
}

/// A number with the fewest digits that read back as the same `f64`, always with a point: `2.`, `1.E-5`.
/// Zeros of either sign are `0.`.
#[derive(Clone, Copy)]
pub(super) struct Real(pub(super) f64);

impl fmt::Display for Real {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut digits = Digits::default();
        write!(digits, "{:?}", self.0 + 0.0)?;
        let text = digits.text();
        let (mantissa, exponent) = match text.split_once('e') {
            Some((m, e)) => (m, Some(e)),
            None => (text, None),
        };
        f.write_str(mantissa.strip_suffix('0').filter(|m| m.ends_with('.')).unwrap_or(mantissa))?;
        if !mantissa.contains('.') {
            f.write_char('.')?;
        }
        exponent.map_or(Ok(()), |e| write!(f, "E{e}"))
    }
}

/// Room for the digits of one number, so that writing one allocates nothing.
#[derive(Default)]
struct Digits {
    bytes: [u8; 32],
    used: usize,
}

impl Digits {
    fn text(&self) -> &str {
        std::str::from_utf8(&self.bytes[..self.used]).unwrap_or_default()
    }
}

impl fmt::Write for Digits {
    fn write_str(&mut self, s: &str) -> fmt::Result {
        let room = self.bytes.get_mut(self.used..self.used + s.len()).ok_or(fmt::Error)?;
        room.copy_from_slice(s.as_bytes());
        self.used += s.len();
        Ok(())
    }
}

/// A string in its quotes. Backslashes are doubled; what is not printable ASCII becomes `\X2\....\X0\` (or
/// `\X4\........\X0\` beyond the basic plane), ISO 10303-21 section 6.4.3. So do single quotes: doubling them
/// would be right too, but Open CASCADE ends the string there before a comma, and ruststep at any.
pub(super) struct Text<'a>(pub(super) &'a str);

impl fmt::Display for Text<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut width = 0;
        f.write_char('\'')?;
        for c in self.0.chars() {
            let needed = match c {
                '\'' => 4,
                ' '..='~' => 0,
                c if u32::from(c) < 0x1_0000 => 4,
                _ => 8,
            };
            if needed != width {
                f.write_str(if width > 0 { "\\X0\\" } else { "" })?;
                f.write_str(match needed {
                    0 => "",
                    4 => "\\X2\\",
                    _ => "\\X4\\",
                })?;
                width = needed;
            }
            match c {
                _ if needed > 0 => write!(f, "{:0needed$X}", u32::from(c))?,
                '\\' => f.write_str("\\\\")?,
                c => f.write_char(c)?,
            }
        }
        f.write_str(if width > 0 { "\\X0\\'" } else { "'" })
    }
}

/// A file as it grows.
pub(super) struct Part21 {
    text: String,
    last: u32,
}

impl Part21 {
    /// An empty file with room for about `bytes` bytes.
    pub(super) fn new(bytes: usize) -> Self {
        Self { text: String::with_capacity(bytes), last: 0 }
    }

    /// Writes the header section.
    pub(super) fn header(&mut self, info: &StepInfo) {
        let file = format!("{}.step", info.file_stem);
        // Writing to a String cannot fail, here and below.
        let _ = write!(
            self.text,
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(({}),'2;1');\n\
             FILE_NAME({},{},(''),(''),{},{},'');\nFILE_SCHEMA(('{SCHEMA}'));\nENDSEC;\nDATA;\n",
            Text(&info.header),
            Text(&file),
            Text(&info.time_stamp),
            Text(&info.preprocessor),
            Text(&info.originating_system),
        );
    }

    /// Appends an entity and returns its number.
    pub(super) fn add(&mut self, record: fmt::Arguments<'_>) -> Id {
        self.last += 1;
        let _ = writeln!(self.text, "#{}={record};", self.last);
        Id(self.last)
    }

    /// Ends the file.
    pub(super) fn finish(mut self) -> Vec<u8> {
        self.text.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
        self.text.into_bytes()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_a_point_and_read_back_exactly() {
        for (value, text) in [
            (0.0, "0."),
            (-0.0, "0."),
            (1.0, "1."),
            (-10.0, "-10."),
            (0.1, "0.1"),
            (1e-5, "1.E-5"),
            (1.25e-7, "1.25E-7"),
            (3e20, "3.E20"),
            (100.0, "100."),
        ] {
            assert_eq!(Real(value).to_string(), text, "{value}");
        }
        for value in [1.0 / 3.0, f64::MAX, f64::MIN_POSITIVE, -123.456_789_012_345_67e-9] {
            let text = Real(value).to_string();
            assert_eq!(text.parse::<f64>(), Ok(value), "{text}");
        }
    }

    #[test]
    fn strings_are_escaped() {
        for (plain, text) in [
            ("plain", "'plain'"),
            ("5' \\ 3\"", "'5\\X2\\0027\\X0\\ \\\\ 3\"'"),
            ("Gehäuse", "'Geh\\X2\\00E4\\X0\\use'"),
            ("ÄÖ'", "'\\X2\\00C400D60027\\X0\\'"),
            ("a\nb", "'a\\X2\\000A\\X0\\b'"),
            ("é😀é", "'\\X2\\00E9\\X0\\\\X4\\0001F600\\X0\\\\X2\\00E9\\X0\\'"),
        ] {
            assert_eq!(Text(plain).to_string(), text, "{plain}");
        }
    }
}
