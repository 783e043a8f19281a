//! Reads a file or a text into [`Raw`] values.

use std::io;
use std::path::Path;

use super::codes;
use super::parameter::Assumed;
use super::parse;
use super::reference::{self, Entry};
use super::schema::File;
use super::section_reader::{self, Reading};
use super::source::Source;
use super::tree::Node;
use crate::finding::{Finding, Findings};
use crate::units::Units;
use crate::words::counted;

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
    let reading = Reading::new(reference::paths(&entries()));
    let raw = read_with(root, reading, findings.clone())?;
    Ok(in_the_other_units(root, &raw, findings).unwrap_or(raw))
}

fn read_with(root: &Node, mut reading: Reading, findings: Findings) -> Result<Raw, Findings> {
    reading.findings = findings;
    match section_reader::read_root::<File>(root, &mut reading) {
        Some(file) => Ok(Raw { file, assumed: reading.assumed, findings: reading.findings }),
        None => Err(reading.findings),
    }
}

/// Fewest lengths out of range before the unit of the whole file is in question.
const FEW_LENGTHS: usize = 4;

/// The file read with the other unit of bare lengths, where that explains nearly all values out of range: one finding
/// then stands for all of them.
fn in_the_other_units(root: &Node, raw: &Raw, findings: Findings) -> Option<Raw> {
    let said = raw.file.units.get()?;
    let other = if said == Units::Mm { Units::Inch } else { Units::Mm };
    let outside = |raw: &Raw| raw.findings.iter().filter(|f| f.code() == codes::OUT_OF_RANGE).count();
    let before = outside(raw);
    if before < FEW_LENGTHS {
        return None;
    }
    let mut read =
        read_with(root, Reading::new(reference::paths(&entries())).with_bare_lengths_in(other), findings)
            .ok()?;
    let after = outside(&read);
    if after * 10 > before {
        return None;
    }
    let [in_said, in_other] = [said, other].map(Units::words);
    let what = format!(
        "{} of this file are out of range if its lengths are {in_said}, and {after} if they are {in_other}",
        counted(before, "value")
    );
    let wrong = Finding::error(codes::OTHER_UNITS, raw.file.units.path(), what)
        .at(raw.file.units.place())
        .because("every length without a unit of its own is in the unit of the file")
        .hint(format!("write `units: {}` if the lengths are {in_other}", other.name()));
    read.findings.push(wrong);
    Some(read)
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
