//! Merges the shards of a sweep, and reports missing and duplicate rows.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::pictures;
use super::row::SweepRow;
use super::rows::RowsWriter;
use super::store::{Folder, StoreError, same};
use crate::export::files;

/// Why shards cannot be merged.
#[derive(Debug, thiserror::Error)]
pub enum MergeError {
    /// A folder.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Nothing to merge.
    #[error("no shard is named; give at least one folder")]
    None,
    /// The result would replace a shard.
    #[error("{} is one of the shards; name another folder (--out)", .0.display())]
    Own(PathBuf),
    /// Two shards differ in one row.
    #[error("row {row} differs between {} and {}; run one of them again", folders[0].display(), folders[1].display())]
    Differ {
        /// The row.
        row: u64,
        /// Where it is.
        folders: [PathBuf; 2],
    },
}

/// The result, with ranges of rows that include both ends.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// Rows written.
    pub rows: u64,
    /// Rows of the sweep.
    pub wanted: u64,
    /// Rows that no shard has.
    pub missing: Vec<(u64, u64)>,
    /// Rows that more than one shard has, all identical; each was written once.
    pub doubled: Vec<(u64, u64)>,
}

impl Merged {
    /// Whether every row is present.
    pub fn is_whole(&self) -> bool {
        self.missing.is_empty() && self.doubled.is_empty()
    }
}

/// A shard with its next row.
struct Source {
    folder: Folder,
    next: Option<SweepRow>,
}

/// Merges shards into a new folder.
///
/// # Errors
/// If they are not of one sweep, or differ in a row; nothing is written then.
pub fn merge(shards: &[PathBuf], out: &Path) -> Result<Merged, MergeError> {
    let real = |p: &Path| p.canonicalize().unwrap_or_else(|_| p.to_owned());
    if let Some(own) = shards.iter().find(|s| real(s) == real(out)) {
        return Err(MergeError::Own(own.clone()));
    }
    if out.join("sweep.json").exists() {
        return Err(StoreError::Taken(out.to_owned()).into());
    }
    let mut sources = Vec::new();
    for path in shards {
        let mut folder = Folder::open(path)?;
        let next = folder.next_row()?;
        sources.push(Source { folder, next });
    }
    let Some(first) = sources.first() else { return Err(MergeError::None) };
    let mut identity = first.folder.identity.clone();
    identity["from_row"] = json!(0);
    identity["to_row"] = identity["rows"].clone();
    for source in &sources {
        let mut own = source.folder.identity.clone();
        own["from_row"] = identity["from_row"].clone();
        own["to_row"] = identity["to_row"].clone();
        same(&source.folder.path, &own, &identity)?;
    }
    let wanted = identity["rows"].as_u64().unwrap_or(0);
    let keys = first.folder.keys.clone();
    let mut writer = RowsWriter::begin(out, "", &keys)?;
    let merged = take_all(&mut sources, wanted, &mut writer)?;
    // The identity is written first, because rows without it could not be assigned to a sweep.
    files::write_atomic(&out.join("sweep.json"), format!("{identity:#}\n").as_bytes())
        .map_err(StoreError::from)?;
    writer.keep()?;
    shards.iter().try_for_each(|shard| pictures::take_over(shard, out))?;
    Ok(merged)
}

fn take_all(sources: &mut [Source], wanted: u64, writer: &mut RowsWriter) -> Result<Merged, MergeError> {
    let mut merged = Merged { wanted, ..Merged::default() };
    let mut expected = 0;
    while let Some(index) = sources.iter().filter_map(|s| s.next.as_ref().map(|r| r.index)).min() {
        let mut kept: Option<(SweepRow, PathBuf)> = None;
        for source in sources.iter_mut().filter(|s| s.next.as_ref().is_some_and(|r| r.index == index)) {
            let next = source.folder.next_row()?;
            let Some(row) = std::mem::replace(&mut source.next, next) else { continue };
            match &kept {
                None => kept = Some((row, source.folder.path.clone())),
                Some((other, _)) if *other == row => note(&mut merged.doubled, index, index),
                Some((_, path)) => {
                    let folders = [path.clone(), source.folder.path.clone()];
                    return Err(MergeError::Differ { row: index, folders });
                }
            }
        }
        if index > expected {
            note(&mut merged.missing, expected, index - 1);
        }
        if let Some((row, _)) = kept {
            writer.push(&row)?;
            merged.rows += 1;
        }
        expected = index + 1;
    }
    if expected < wanted {
        note(&mut merged.missing, expected, wanted - 1);
    }
    Ok(merged)
}

/// Adds rows to ranges that are in order.
fn note(ranges: &mut Vec<(u64, u64)>, from: u64, to: u64) {
    match ranges.last_mut() {
        Some(last) if last.1 == to => {}
        Some(last) if last.1 + 1 == from => last.1 = to,
        _ => ranges.push((from, to)),
    }
}
