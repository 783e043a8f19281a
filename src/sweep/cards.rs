//! The rows that the page shows each by itself: the best ones, those that no other beats, and those that stand for a value.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::answers::Answers;
use super::pictures;
use super::row::{RowVerdict, SweepRow};
use super::store::{Folder, StoreError};

/// Greatest number of rows shown by themselves: a page with a picture of each is still sent by mail.
pub const MOST: usize = 120;

/// What the page tells of a row.
#[derive(Clone, Debug)]
pub struct RowCard {
    /// Its number.
    pub index: u64,
    /// The values set, by the sweep's keys.
    pub values: Vec<f64>,
    /// Its verdict.
    pub verdict: RowVerdict,
    /// Numbers of checks that fail and that warn.
    pub counts: [u32; 2],
    /// kg, where there is a part.
    pub mass: Option<f64>,
    /// Why it is not feasible, where it is not.
    pub reason: Option<String>,
    /// Its picture as the bytes of a PNG file, where the folder has it.
    pub picture: Option<Vec<u8>>,
}

impl RowCard {
    fn new(row: &SweepRow, folder: &Path) -> Self {
        let reason = if row.verdict.is_feasible() { None } else { row.reason() };
        Self {
            index: row.index,
            values: row.values.clone(),
            verdict: row.verdict,
            counts: [row.counts[0], row.counts[1]],
            mass: row.mass,
            reason,
            picture: fs::read(pictures::path(folder, row.index)).ok(),
        }
    }
}

/// Numbers of the rows to be shown, in rising order: at most [`MOST`], the best and the Pareto-optimal ones first.
pub fn wanted(answers: &Answers) -> Vec<u64> {
    let best = answers.best.iter().filter_map(|b| b.row.as_ref()).map(|c| c.index);
    let front = answers.front.rows.iter().map(|c| c.index).take(MOST / 3);
    let bins = || answers.ranges.iter().flat_map(|range| &range.bins);
    let typical = bins().filter_map(|bin| Some(bin.typical?.1));
    let worst = bins().flat_map(|bin| bin.worst.values().map(|w| w.row));
    let mut found = BTreeSet::new();
    let mapped = answers.maps.iter().flat_map(|map| &map.cells).filter_map(|cell| Some(cell.best?.1));
    let margins = bins().flat_map(|bin| bin.margins.values().map(|m| m.1));
    let points = answers.points.iter().map(|p| p.index);
    for row in best.chain(front).chain(typical).chain(worst).chain(mapped).chain(margins).chain(points) {
        if found.len() < MOST {
            found.insert(row);
        }
    }
    found.into_iter().collect()
}

/// The cards of these rows, which are in rising order.
///
/// # Errors
/// If the tables cannot be read.
pub fn cards(path: &Path, rows: &[u64]) -> Result<Vec<RowCard>, StoreError> {
    let mut folder = Folder::open(path)?;
    let mut cards = Vec::new();
    let Some(last) = rows.last() else { return Ok(cards) };
    while let Some(row) = folder.next_row()? {
        if rows.binary_search(&row.index).is_ok() {
            cards.push(RowCard::new(&row, path));
        }
        if row.index >= *last {
            break;
        }
    }
    Ok(cards)
}
