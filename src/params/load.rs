//! Reads a file or a text into [`Raw`] values.

use std::io;
use std::path::Path;

use super::parameter::Assumed;
use super::parse;
use super::reference::{self, Entry};
use super::schema::File;
use super::section_reader::{self, Reading};
use super::source::Source;
use super::tree::Node;
use crate::finding::Findings;

/// A parameter file as read: valid values, with empty slots for invalid ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Raw {
    /// All sections.
    pub file: File,
    /// Trade defaults taken so far.
    pub assumed: Vec<Assumed>,
    /// Faults so far. A raw file with faults can still be checked for more.
    pub findings: Findings,
}

/// All keys a parameter file may have.
pub fn entries() -> Vec<Entry> {
    section_reader::entries_of::<File>()
}

/// Reads the text of a parameter file.
///
/// # Errors
/// Findings, when nothing of the text can be used. Otherwise the faults of single keys are in the raw file's
/// `findings`.
pub fn read(source: &Source) -> Result<Raw, Findings> {
    let (root, findings) = parse::parse(source);
    match root {
        Some(root) => read_tree(&root, findings),
        None => Err(findings),
    }
}

/// Reads a tree of keys; `findings` are those of the parsing.
pub(super) fn read_tree(root: &Node, findings: Findings) -> Result<Raw, Findings> {
    let mut reading = Reading::new(reference::paths(&entries()));
    reading.findings = findings;
    match section_reader::read_root::<File>(root, &mut reading) {
        Some(file) => Ok(Raw { file, assumed: reading.assumed, findings: reading.findings }),
        None => Err(reading.findings),
    }
}

/// Reads a parameter file; the source comes back whenever the file could be read as text.
///
/// # Errors
/// The operating system's, when the file cannot be opened or read. What is wrong with the contents is inside.
pub fn load(path: &Path) -> io::Result<(Option<Source>, Result<Raw, Findings>)> {
    Ok(match Source::read(path)? {
        Ok(source) => {
            let raw = read(&source);
            (Some(source), raw)
        }
        Err(findings) => (None, Err(findings)),
    })
}
