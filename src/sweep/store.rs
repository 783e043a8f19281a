//! The folder of a sweep: a row is safe in it as soon as it has been handed over, however the program ends.
//!
//! While it runs, a row first goes into `pending.log`, a [`Journal`]; whole blocks of rows become the files of a part,
//! `parts/rows-FIRST.parquet` and so on, and leave the journal. At the end all parts are merged into `rows.parquet`,
//! `rows.csv`, `checks.parquet`, `checks.csv`, and removed. Each step puts files in place whole, and an interrupted
//! step is repeated with the same bytes; so no row is lost or stored twice.

use std::fs::{self, File};
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::plan::Plan;
use super::row::SweepRow;
use super::rows::{BLOCK, RowsReader, RowsWriter};
use crate::export::files::{self, DRAFT_PREFIX, FileError};
use crate::export::journal::Journal;

const IDENTITY: &str = "sweep.json";
const PENDING: &str = "pending.log";
const PARTS: &str = "parts";
const LOCK: &str = "lock";

/// Why the folder of a sweep cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A file cannot be put in place.
    #[error(transparent)]
    File(#[from] FileError),
    /// A file cannot be read or written.
    #[error("{} cannot be read or written: {source}; check the free space and permissions", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A table cannot be read or written.
    #[error("{} cannot be read or written: {why}", path.display())]
    Parquet {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// The folder holds a sweep already.
    #[error("{} already holds a sweep; continue it (--resume) or choose another folder (--out)", .0.display())]
    Taken(PathBuf),
    /// The folder holds another sweep.
    #[error("{} holds another sweep; it differs in {differs}; run it again with the same settings, or choose another folder", folder.display())]
    Other {
        /// The folder.
        folder: PathBuf,
        /// What differs.
        differs: String,
    },
    /// Another process is using it.
    #[error("another process is using the sweep in {}; wait for it, or end it", .0.display())]
    Locked(PathBuf),
    /// There is no sweep.
    #[error("{} holds no sweep; give a folder that `sweep --out` made", .0.display())]
    NoSweep(PathBuf),
    /// A table was not written by a sweep.
    #[error("a table of the sweep is damaged or was written by another program")]
    Foreign,
}

impl StoreError {
    pub(super) fn io(path: &Path, source: io::Error) -> Self {
        Self::Io { path: path.to_owned(), source }
    }
}

/// The folder of a sweep, open for writing.
pub struct Store {
    folder: PathBuf,
    keys: Vec<String>,
    range: Range<u64>,
    journal: Journal,
    /// Rows that are in the journal only.
    held: Vec<SweepRow>,
    next: u64,
    /// The lock, held as long as the store is open.
    _lock: File,
}

impl Store {
    /// Opens the folder for some rows of a sweep; with `resume` it may hold some of them already.
    ///
    /// # Errors
    /// If it holds something else or cannot be used.
    pub fn open(folder: &Path, plan: &Plan, range: Range<u64>, resume: bool) -> Result<Self, StoreError> {
        let identity = identity(plan, &range);
        let own = folder.join(IDENTITY);
        if own.exists() {
            if !resume {
                return Err(StoreError::Taken(folder.to_owned()));
            }
            same(folder, &read_json(&own)?, &identity)?;
        }
        files::test_target(&own)?;
        let parts = folder.join(PARTS);
        fs::create_dir_all(&parts).map_err(|e| StoreError::io(&parts, e))?;
        let lock = folder.join(LOCK);
        let lock = File::create(&lock).map_err(|e| StoreError::io(&lock, e))?;
        lock.try_lock().map_err(|_| StoreError::Locked(folder.to_owned()))?;
        [folder, &parts].into_iter().try_for_each(drop_drafts)?;
        files::write_atomic(&own, format!("{identity:#}\n").as_bytes())?;
        let path = folder.join(PENDING);
        let (journal, lines) = Journal::open(&path).map_err(|e| StoreError::io(&path, e))?;
        let keys = plan.keys().map(|k| k.text().to_owned()).collect();
        let mut store = Self {
            folder: folder.to_owned(),
            keys,
            next: range.start,
            range,
            journal,
            held: vec![],
            _lock: lock,
        };
        if store.is_finished() {
            store.next = store.range.end;
            store.clean()?;
            return Ok(store);
        }
        for first in part_numbers(&parts)? {
            if first != store.next {
                return Err(StoreError::Foreign);
            }
            store.next = store.block_end(first);
        }
        // A line that is already in a part was being removed when the program ended.
        for row in
            lines.iter().filter_map(|line| parse(line)).filter(|r| r.index >= store.next).collect::<Vec<_>>()
        {
            if row.index != store.next {
                return Err(StoreError::Foreign);
            }
            store.next += 1;
            store.held.push(row);
        }
        store.end_block()?;
        Ok(store)
    }

    /// The row that is wanted next; the end of the range when all are there.
    pub fn next(&self) -> u64 {
        self.next
    }

    /// Whether the tables are written.
    pub fn is_finished(&self) -> bool {
        self.folder.join("rows.parquet").exists()
    }

    /// Stores the next row, which is safe when this returns.
    ///
    /// # Errors
    /// A full disk.
    pub fn push(&mut self, row: SweepRow) -> Result<(), StoreError> {
        let path = self.folder.join(PENDING);
        self.journal.append(&row.to_json().to_string()).map_err(|e| StoreError::io(&path, e))?;
        self.next = row.index + 1;
        self.held.push(row);
        self.end_block()
    }

    fn block_end(&self, row: u64) -> u64 {
        ((row / BLOCK + 1) * BLOCK).min(self.range.end)
    }

    /// Writes the pending rows as a part, once they are a whole block.
    fn end_block(&mut self) -> Result<(), StoreError> {
        let Some(first) = self.held.first().map(|r| r.index) else { return Ok(()) };
        if self.next < self.block_end(first) {
            return Ok(());
        }
        let mut part = RowsWriter::begin(&self.folder.join(PARTS), &format!("-{first:012}"), &self.keys)?;
        self.held.iter().try_for_each(|row| part.push(row))?;
        part.keep()?;
        self.held.clear();
        let path = self.folder.join(PENDING);
        self.journal.clear().map_err(|e| StoreError::io(&path, e))
    }

    /// Merges the parts, when all rows are there.
    ///
    /// # Errors
    /// A full disk.
    pub fn finish(&mut self) -> Result<(), StoreError> {
        if self.next < self.range.end || self.is_finished() {
            return Ok(());
        }
        let mut all = RowsWriter::begin(&self.folder, "", &self.keys)?;
        let mut rows = RowsReader::new(parts(&self.folder)?, self.keys.len());
        while let Some(row) = rows.next_row()? {
            all.push(&row)?;
        }
        all.keep()?;
        self.clean()
    }

    /// Removes files that only a running sweep needs.
    fn clean(&mut self) -> Result<(), StoreError> {
        let gone = |path: PathBuf, result: io::Result<()>| match result {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(StoreError::io(&path, e)),
            _ => Ok(()),
        };
        let parts = self.folder.join(PARTS);
        gone(parts.clone(), fs::remove_dir_all(&parts))?;
        [PENDING, LOCK].into_iter().try_for_each(|name| {
            let path = self.folder.join(name);
            gone(path.clone(), fs::remove_file(&path))
        })
    }
}

fn identity(plan: &Plan, range: &Range<u64>) -> Value {
    let mut identity = plan.identity();
    identity["from_row"] = json!(range.start);
    identity["to_row"] = json!(range.end);
    identity
}

/// Whether two sweeps are the same, by their identities.
pub(super) fn same(folder: &Path, there: &Value, wanted: &Value) -> Result<(), StoreError> {
    let keys = wanted.as_object().into_iter().flatten().map(|(key, _)| key);
    match keys.into_iter().find(|key| there[key.as_str()] != wanted[key.as_str()]) {
        None => Ok(()),
        Some(key) => {
            let [own, other] = [there, wanted].map(|sweep| shown(&sweep[key.as_str()]));
            let differs = if key == "sha256" {
                setting(key).to_owned()
            } else {
                format!("{}, which is {own} there and {other} here", setting(key))
            };
            Err(StoreError::Other { folder: folder.to_owned(), differs })
        }
    }
}

/// What a field of a sweep's identity is for its user.
fn setting(field: &str) -> &str {
    match field {
        "program" => "the version of the program",
        "file" => "the name of the parameter file",
        "sha256" => "the contents of the parameter file, or of a file that it names",
        "over" => "what is varied (--over)",
        "link" | "link_units" => "the linked numbers (--link)",
        "sample" => "the samples (--sample, --by, --seed)",
        "parts" | "checks" => "the checks made (--check)",
        "rows" => "the number of rows (--over, --sample)",
        "from_row" | "to_row" => "the share of the rows (--shard)",
        other => other,
    }
}

/// A value of a sweep's identity in one line: what is longer than a few words is cut.
fn shown(value: &Value) -> String {
    const LONGEST: usize = 120;
    let text = match value {
        Value::Null => "none".to_owned(),
        Value::Array(items) if items.is_empty() => "none".to_owned(),
        Value::Array(items) => items.iter().map(shown).collect::<Vec<_>>().join(", "),
        Value::Object(fields) => fields.values().map(shown).collect::<Vec<_>>().join(" "),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let cut: String = text.chars().take(LONGEST).collect();
    if cut.len() < text.len() { format!("{cut} …") } else { cut }
}

fn parse(line: &str) -> Option<SweepRow> {
    SweepRow::from_json(&serde_json::from_str(line).ok()?)
}

/// The JSON of a file, or `None` where there is no such file.
pub(super) fn read_json(path: &Path) -> Result<Value, StoreError> {
    let text = fs::read_to_string(path).map_err(|e| StoreError::io(path, e))?;
    serde_json::from_str(&text).map_err(|_| StoreError::Foreign)
}

/// Removes files that a program that was ended had not put in place.
fn drop_drafts(folder: &Path) -> Result<(), StoreError> {
    for entry in fs::read_dir(folder).map_err(|e| StoreError::io(folder, e))?.flatten() {
        if entry.file_name().to_string_lossy().starts_with(DRAFT_PREFIX) {
            fs::remove_file(entry.path()).map_err(|e| StoreError::io(&entry.path(), e))?;
        }
    }
    Ok(())
}

/// First rows of the parts that are whole, in order.
fn part_numbers(parts: &Path) -> Result<Vec<u64>, StoreError> {
    if !parts.exists() {
        return Ok(vec![]);
    }
    let entries = fs::read_dir(parts).map_err(|e| StoreError::io(parts, e))?;
    let name = |e: fs::DirEntry| e.file_name().to_string_lossy().into_owned();
    let number = |n: String| n.strip_prefix("rows-")?.strip_suffix(".parquet")?.parse().ok();
    let mut numbers: Vec<u64> = entries.flatten().map(name).filter_map(number).collect();
    numbers.sort_unstable();
    Ok(numbers)
}

/// The files of the parts, in order.
fn parts(folder: &Path) -> Result<Vec<(PathBuf, PathBuf)>, StoreError> {
    let parts = folder.join(PARTS);
    let pair = |n: &u64| ["rows", "checks"].map(|t| parts.join(format!("{t}-{n:012}.parquet")));
    Ok(part_numbers(&parts)?.iter().map(pair).map(|[rows, checks]| (rows, checks)).collect())
}

/// A sweep's folder, open for reading, complete or not.
pub struct Folder {
    /// Where it is.
    pub path: PathBuf,
    /// The identity of the sweep, as in `sweep.json`.
    pub identity: Value,
    /// The varied and linked keys: the columns of its values.
    pub keys: Vec<String>,
    reader: RowsReader,
    pending: Vec<SweepRow>,
    last: Option<u64>,
}

impl Folder {
    /// Opens it.
    ///
    /// # Errors
    /// If it holds no sweep or cannot be read.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let own = path.join(IDENTITY);
        if !own.exists() {
            return Err(StoreError::NoSweep(path.to_owned()));
        }
        let identity = read_json(&own)?;
        let over = identity["over"].as_array().into_iter().flatten().map(|a| a["key"].as_str());
        let link = identity["link"].as_array().into_iter().flatten();
        let link = link.map(|l| l.as_str().and_then(|l| l.split_once('=')).map(|l| l.0.trim()));
        let keys: Vec<String> = over
            .chain(link)
            .map(|key| key.map(str::to_owned))
            .collect::<Option<_>>()
            .ok_or(StoreError::Foreign)?;
        let whole = path.join("rows.parquet").exists();
        let files =
            if whole { vec![(path.join("rows.parquet"), path.join("checks.parquet"))] } else { parts(path)? };
        let pending = path.join(PENDING);
        let pending = if whole || !pending.exists() {
            vec![]
        } else {
            let lines = Journal::read(&pending).map_err(|e| StoreError::io(&pending, e))?;
            lines.iter().filter_map(|line| parse(line)).rev().collect()
        };
        let reader = RowsReader::new(files, keys.len());
        Ok(Self { path: path.to_owned(), identity, keys, reader, pending, last: None })
    }

    /// The next row, in order; none at the end.
    ///
    /// # Errors
    /// If a file cannot be read.
    pub fn next_row(&mut self) -> Result<Option<SweepRow>, StoreError> {
        let row = match self.reader.next_row()? {
            Some(row) => Some(row),
            None => loop {
                let row = self.pending.pop();
                if row.as_ref().is_none_or(|r| self.last.is_none_or(|last| r.index > last)) {
                    break row;
                }
            },
        };
        self.last = row.as_ref().map(|r| r.index).or(self.last);
        Ok(row)
    }
}
