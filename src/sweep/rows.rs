//! Rows as two tables: `rows` with one line for each variant, and `checks` with one line for each measurement.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};

use super::row::{Measured, RowVerdict, SweepRow};
use super::store::StoreError;
use super::table::{Cell, Columns, Holds, Reader, Writer};

/// Variants in a group of rows, which is held in memory at once.
pub const BLOCK: u64 = 128;

/// Columns of `rows` before and after the parameters.
const BEFORE: [(&str, Holds); 1] = [("index", Holds::Int)];
const BEHIND: [(&str, Holds); 11] = [
    ("verdict", Holds::Text),
    ("fail", Holds::Int),
    ("warn", Holds::Int),
    ("pass", Holds::Int),
    ("not_checked", Holds::Int),
    ("volume_mm3", Holds::Real),
    ("mass_kg", Holds::Real),
    ("least_margin_share", Holds::Real),
    ("least_margin_check", Holds::Text),
    ("least_margin_what", Holds::Text),
    ("fault", Holds::Text),
];

/// Columns of `checks`.
const CHECKS: [(&str, Holds); 10] = [
    ("index", Holds::Int),
    ("check", Holds::Text),
    ("what", Holds::Text),
    ("value", Holds::Real),
    ("unit", Holds::Text),
    ("sense", Holds::Text),
    ("limit", Holds::Real),
    ("margin", Holds::Real),
    ("verdict", Holds::Text),
    ("margin_to_fail", Holds::Real),
];

fn columns(fixed: &[(&str, Holds)]) -> Columns {
    fixed.iter().map(|(name, holds)| ((*name).to_owned(), *holds)).collect()
}

fn rows_columns(keys: &[String]) -> Columns {
    let own = keys.iter().map(|key| (key.clone(), Holds::Real));
    columns(&BEFORE).into_iter().chain(own).chain(columns(&BEHIND)).collect()
}

fn cells(row: &SweepRow) -> Vec<Cell> {
    let text = |t: &str| Cell::Text(Some(t.to_owned()));
    let least = row.least();
    let mut cells = vec![Cell::Int(row.index.cast_signed())];
    cells.extend(row.values.iter().map(|v| Cell::Real(Some(*v))));
    cells.push(text(row.verdict.word()));
    cells.extend(row.counts.map(|n| Cell::Int(i64::from(n))));
    cells.extend([row.volume, row.mass, least.map(|l| l.1)].map(Cell::Real));
    cells.extend([least.map(|l| l.0.check.clone()), least.map(|l| l.0.what.clone())].map(Cell::Text));
    cells.push(Cell::Text(row.fault.clone()));
    cells
}

fn check_cells(index: u64, m: &Measured) -> Vec<Cell> {
    let text = |t: &str| Cell::Text(Some(t.to_owned()));
    vec![
        Cell::Int(index.cast_signed()),
        text(&m.check),
        text(&m.what),
        Cell::Real(m.value),
        text(&m.unit),
        text(&m.sense),
        Cell::Real(m.limit),
        Cell::Real(m.margin),
        text(&m.verdict),
        Cell::Real(m.to_fail),
    ]
}

fn row_of(cells: &[Cell], keys: usize) -> Option<SweepRow> {
    let behind = cells.get(1 + keys..)?;
    let count = |k: usize| behind.get(k).map_or(0, Cell::int) as u32;
    Some(SweepRow {
        index: cells[0].int().cast_unsigned(),
        values: cells[1..=keys].iter().map(Cell::real).collect::<Option<_>>()?,
        verdict: RowVerdict::of(&behind.first()?.text()?)?,
        counts: [1, 2, 3, 4].map(count),
        volume: behind.get(5)?.real(),
        mass: behind.get(6)?.real(),
        fault: behind.get(10)?.text(),
        measured: vec![],
    })
}

fn measured_of(cells: &[Cell]) -> Option<Measured> {
    let [_, check, what, value, unit, sense, limit, margin, verdict, to_fail] = cells else { return None };
    Some(Measured {
        check: check.text()?,
        what: what.text()?,
        value: value.real(),
        unit: unit.text()?,
        sense: sense.text()?,
        limit: limit.real(),
        margin: margin.real(),
        verdict: verdict.text()?,
        to_fail: to_fail.real(),
    })
}

/// A writer of both tables.
pub struct RowsWriter {
    rows: Writer,
    checks: Writer,
    /// The block of the rows that are held.
    block: Option<u64>,
}

impl RowsWriter {
    /// Begins the four files FOLDER/rowsENDING.parquet, .csv, FOLDER/checksENDING…
    ///
    /// # Errors
    /// If they cannot be created.
    pub fn begin(folder: &Path, ending: &str, keys: &[String]) -> Result<Self, StoreError> {
        Ok(Self {
            rows: Writer::begin(&folder.join(format!("rows{ending}")), rows_columns(keys))?,
            checks: Writer::begin(&folder.join(format!("checks{ending}")), columns(&CHECKS))?,
            block: None,
        })
    }

    /// Adds a row; rows must come in order.
    ///
    /// # Errors
    /// A full disk.
    pub fn push(&mut self, row: &SweepRow) -> Result<(), StoreError> {
        // Groups end at the same rows whatever was written before, so that merged parts have the same bytes.
        let block = row.index / BLOCK;
        if self.block.is_some_and(|b| b != block) {
            self.checks.end_group()?;
            self.rows.end_group()?;
        }
        self.block = Some(block);
        self.rows.push(cells(row))?;
        row.measured.iter().try_for_each(|m| self.checks.push(check_cells(row.index, m)))
    }

    /// Puts the files in place, the Parquet file of `rows` last: if it exists, so do the others.
    ///
    /// # Errors
    /// A full disk.
    pub fn keep(self) -> Result<(), StoreError> {
        self.checks.keep()?;
        self.rows.keep()
    }
}

/// Rows read back one after another from any number of files.
pub struct RowsReader {
    files: VecDeque<(PathBuf, PathBuf)>,
    open: Option<(Reader, Reader)>,
    keys: usize,
    rows: VecDeque<SweepRow>,
    checks: VecDeque<(u64, Measured)>,
}

impl RowsReader {
    /// Reads pairs of files, `rows` and `checks`.
    pub fn new(files: Vec<(PathBuf, PathBuf)>, keys: usize) -> Self {
        Self { files: files.into(), open: None, keys, rows: VecDeque::new(), checks: VecDeque::new() }
    }

    /// The next row; `None` at the end.
    ///
    /// # Errors
    /// If a file cannot be read or was not written by this program.
    pub fn next_row(&mut self) -> Result<Option<SweepRow>, StoreError> {
        while self.rows.is_empty() {
            if let Some((rows, _)) = &mut self.open {
                if let Some(group) = rows.group()? {
                    let all: Option<VecDeque<SweepRow>> =
                        group.iter().map(|c| row_of(c, self.keys)).collect();
                    self.rows = all.ok_or(StoreError::Foreign)?;
                    continue;
                }
                self.open = None;
            }
            let Some((rows, checks)) = self.files.pop_front() else { return Ok(None) };
            self.open = Some((Reader::open(&rows)?, Reader::open(&checks)?));
        }
        let Some(mut row) = self.rows.pop_front() else { return Ok(None) };
        let wanted: u32 = row.counts[..3].iter().sum();
        for _ in 0..wanted {
            while self.checks.is_empty() {
                let group = self.open.as_mut().map(|(_, checks)| checks.group()).transpose()?.flatten();
                let group = group.ok_or(StoreError::Foreign)?;
                let one = |c: &Vec<Cell>| Some((c[0].int().cast_unsigned(), measured_of(c)?));
                self.checks = group.iter().map(one).collect::<Option<_>>().ok_or(StoreError::Foreign)?;
            }
            let (index, measured) = self.checks.pop_front().ok_or(StoreError::Foreign)?;
            if index != row.index {
                return Err(StoreError::Foreign);
            }
            row.measured.push(measured);
        }
        Ok(Some(row))
    }
}
