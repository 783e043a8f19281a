//! The text of a parameter file, with lines and columns.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::codes;
use crate::finding::{Finding, Findings, Place};

/// Largest parameter file that is read, in bytes. A complete one is about 20 kB; a larger file than this is a mistake.
pub const LARGEST_FILE: usize = 1024 * 1024;

/// A parameter file's name and text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    name: String,
    text: String,
}

impl Source {
    /// A source from a name (for messages) and its bytes.
    ///
    /// # Errors
    /// Findings `P002` when the bytes are not UTF-8, `P003` when there are more than [`LARGEST_FILE`].
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Findings> {
        let name = name.into();
        let mut findings = Findings::default();
        if bytes.len() > LARGEST_FILE {
            findings.push(
                Finding::error(
                    codes::TOO_LARGE,
                    &name,
                    format!("the file has more than {LARGEST_FILE} bytes"),
                )
                .because("a complete parameter file has about 20,000; this is probably another kind of file"),
            );
            return Err(findings);
        }
        String::from_utf8(bytes).map(|text| Self { name: name.clone(), text }).map_err(|error| {
            let good = error.utf8_error().valid_up_to();
            let line = 1 + error.as_bytes()[..good].split(|&b| b == b'\n').skip(1).count();
            findings.push(
                Finding::error(
                    codes::NOT_UTF8,
                    &name,
                    format!("line {line} has a byte that is not UTF-8 text"),
                )
                .hint("save the file as UTF-8 in your editor"),
            );
            findings
        })
    }

    /// Reads a file, at most one byte more than [`LARGEST_FILE`].
    ///
    /// # Errors
    /// The operating system's, when the file cannot be opened or read. What is wrong with its contents comes
    /// back as findings inside.
    pub fn read(path: &Path) -> io::Result<Result<Self, Findings>> {
        let mut bytes = Vec::new();
        File::open(path)?.take(LARGEST_FILE as u64 + 1).read_to_end(&mut bytes)?;
        Ok(Self::from_bytes(path.display().to_string(), bytes))
    }

    /// Name for messages, usually the path as given.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a place's start, both from 1, the column in characters.
    pub fn line_column(&self, place: Place) -> (usize, usize) {
        let mut start = place.start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &self.text[..start];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        let line = 1 + before.bytes().filter(|&b| b == b'\n').count();
        (line, 1 + before[line_start..].chars().count())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let source = Source::from_bytes("t", "a: 1\nmü: 22\n".into()).expect("text");
        assert_eq!(source.line_column(Place { start: 0, end: 1 }), (1, 1), "start");
        let two = source.text().find("22").expect("22");
        assert_eq!(source.line_column(Place { start: two, end: two + 2 }), (2, 5), "after a two-byte letter");
    }

    #[test]
    fn other_files_are_refused_by_name() {
        let code = |bytes: Vec<u8>| {
            let findings = Source::from_bytes("t", bytes).expect_err("refused");
            findings.iter().map(|f| f.code().id()).collect::<Vec<_>>()
        };
        assert_eq!(code(vec![b'a', 0xff, b'\n']), ["P002"], "not UTF-8");
        assert_eq!(code(vec![b' '; LARGEST_FILE + 1]), ["P003"], "too large");
    }
}
