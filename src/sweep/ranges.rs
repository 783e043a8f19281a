//! Where along an axis the part is feasible, and what ends it.

use std::collections::BTreeMap;

use super::axis::{Axis, places};
use super::moving::Moving;
use super::row::SweepRow;

/// Most slots of an axis; more values share one.
const MOST: u64 = 400;

/// Slots of a sampled range.
const SAMPLED: u64 = 20;

/// Most reasons that are counted apart in a slot.
const REASONS: usize = 12;

/// The rows of one value of an axis, or of several values side by side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bin {
    /// Least and greatest value of its rows.
    pub values: Option<(f64, f64)>,
    /// Rows.
    pub rows: u64,
    /// Rows in which no check fails.
    pub feasible: u64,
    /// Why the others are not feasible, and how often.
    reasons: BTreeMap<String, u64>,
    /// Least margin of each measurement in mm that changes in the sweep and can fail the part, by its number.
    pub margins: BTreeMap<u32, f64>,
}

impl Bin {
    /// The reason that is found most often; of equal ones the first by name.
    fn reason(&self) -> Option<&str> {
        let most = self.reasons.values().max()?;
        self.reasons.iter().find(|(_, n)| *n == most).map(|(name, _)| name.as_str())
    }
}

/// A stretch of an axis in which every slot has a feasible row.
#[derive(Clone, Debug, PartialEq)]
pub struct FeasibleRange {
    /// First value of a feasible slot.
    pub from: f64,
    /// Last one.
    pub to: f64,
    /// What ends it below; nothing where the axis does.
    pub below: Option<String>,
    /// What ends it above.
    pub above: Option<String>,
}

/// An axis cut into slots.
#[derive(Clone, Debug)]
pub struct Bins {
    /// The axis.
    pub axis: Axis,
    /// Which of the axes it is.
    number: usize,
    sampled: bool,
    /// From its first value to its last.
    pub slots: Vec<Bin>,
}

impl Bins {
    /// Before any row.
    pub fn new(axes: &[Axis], number: usize, sampled: bool) -> Self {
        let axis = axes[number].clone();
        let count = if sampled { SAMPLED } else { axis.count().unwrap_or(1) }.clamp(1, MOST);
        Self { axis, number, sampled, slots: vec![Bin::default(); count as usize] }
    }

    /// The slot of a row.
    pub fn of(&self, axes: &[Axis], row: &SweepRow) -> usize {
        let count = self.slots.len() as u64;
        let slot = if self.sampled {
            let (low, high) = self.axis.ends();
            let share = (row.values[self.number] - low) / (high - low).max(f64::MIN_POSITIVE);
            (share * count as f64) as u64
        } else {
            places(axes, row.index)[self.number] * count / self.axis.count().unwrap_or(1).max(1)
        };
        slot.min(count - 1) as usize
    }

    /// Takes a row.
    pub fn take(&mut self, axes: &[Axis], row: &SweepRow, moving: &Moving) {
        let at = self.of(axes, row);
        let (slot, value) = (&mut self.slots[at], row.values[self.number]);
        slot.values = Some(slot.values.map_or((value, value), |(a, b)| (a.min(value), b.max(value))));
        slot.rows += 1;
        if row.verdict.is_feasible() {
            slot.feasible += 1;
        } else if let Some(reason) = row.reason()
            && (slot.reasons.len() < REASONS || slot.reasons.contains_key(&reason))
        {
            *slot.reasons.entry(reason).or_default() += 1;
        }
        for m in row.measured.iter().filter(|m| m.unit == "mm") {
            if let (Some(margin), Some(number)) = (m.to_fail, moving.number(m)) {
                let least = slot.margins.entry(number).or_insert(margin);
                *least = least.min(margin);
            }
        }
    }

    /// The stretches in which the part is feasible, by rising values.
    pub fn stretches(&self) -> Vec<FeasibleRange> {
        let mut filled: Vec<(&Bin, (f64, f64))> =
            self.slots.iter().filter_map(|s| s.values.map(|v| (s, v))).collect();
        filled.sort_by(|a, b| a.1.0.total_cmp(&b.1.0));
        let reason = |k: Option<usize>| k.and_then(|k| filled.get(k)?.0.reason()).map(str::to_owned);
        let mut out: Vec<FeasibleRange> = Vec::new();
        let mut open = false;
        for (k, (slot, (low, high))) in filled.iter().enumerate() {
            let feasible = slot.feasible > 0;
            match (feasible, out.last_mut().filter(|_| open)) {
                (true, Some(stretch)) => stretch.to = *high,
                (true, None) => {
                    let below = reason(k.checked_sub(1));
                    out.push(FeasibleRange { from: *low, to: *high, below, above: None });
                }
                (false, Some(stretch)) => stretch.above = reason(Some(k)),
                (false, None) => {}
            }
            open = feasible;
        }
        out
    }
}
