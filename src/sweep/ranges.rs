//! The ranges along an axis in which the part is feasible, and what limits them.

use std::collections::BTreeMap;

use super::axis::{Axis, places};
use super::moving::Moving;
use super::row::{RowVerdict, SweepRow};
use crate::checks::Verdict;

/// Greatest number of bins of an axis; with more values several share one.
const MOST: u64 = 400;

/// Bins of a sampled range.
const SAMPLED: u64 = 20;

/// Greatest number of reasons counted separately in a bin.
const REASONS: usize = 12;

/// The worst of one measurement among the rows of a bin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// The worst verdict.
    pub verdict: Verdict,
    /// The least room to its limit, in the measurement's own unit, where it has one.
    pub room: Option<f64>,
    /// The row with the least room; without any, the first with that verdict.
    pub row: u64,
}

impl Worst {
    /// The worse of this and another row's.
    fn with(self, other: Self) -> Self {
        let nearer = match (self.room, other.room) {
            (Some(own), Some(room)) => room < own,
            (None, Some(_)) => true,
            (Some(_), None) => false,
            (None, None) => other.verdict < self.verdict,
        };
        let of = if nearer { other } else { self };
        Self { verdict: self.verdict.min(other.verdict), ..of }
    }
}

/// The rows of one value of an axis, or of several adjacent values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bin {
    /// Least and greatest value of its rows.
    pub values: Option<(f64, f64)>,
    /// Rows.
    pub rows: u64,
    /// Rows in which no check fails.
    pub feasible: u64,
    /// A row that stands for all of them: the first of those with the best verdict.
    pub typical: Option<(RowVerdict, u64)>,
    /// Why the others are not feasible, and how often.
    reasons: BTreeMap<String, u64>,
    /// Rows of which the program could not work something out: no verdict on the design.
    pub faults: u64,
    /// The worst of each measurement that changes in the sweep, by its number.
    pub worst: BTreeMap<u32, Worst>,
    /// Least margin of each measurement in mm that changes in the sweep and can fail the part, and its row, by its number.
    pub margins: BTreeMap<u32, (f64, u64)>,
}

impl Bin {
    /// The reason that is found most often; of equal ones the first by name.
    fn reason(&self) -> Option<&str> {
        let most = self.reasons.values().max()?;
        self.reasons.iter().find(|(_, n)| *n == most).map(|(name, _)| name.as_str())
    }
}

/// A range of an axis in which every bin has a feasible row.
#[derive(Clone, Debug, PartialEq)]
pub struct FeasibleRange {
    /// First value of a feasible bin.
    pub from: f64,
    /// Last one.
    pub to: f64,
    /// What limits it below; `None` if the axis ends there.
    pub below: Option<String>,
    /// What limits it above.
    pub above: Option<String>,
}

/// An axis cut into bins.
#[derive(Clone, Debug)]
pub struct Bins {
    /// The axis.
    pub axis: Axis,
    /// Which of the axes it is.
    number: usize,
    sampled: bool,
    /// From its first value to its last.
    pub bins: Vec<Bin>,
}

impl Bins {
    /// Without any row yet.
    pub fn new(axes: &[Axis], number: usize, sampled: bool) -> Self {
        let axis = axes[number].clone();
        let count = if sampled { SAMPLED } else { axis.count().unwrap_or(1) }.clamp(1, MOST);
        Self { axis, number, sampled, bins: vec![Bin::default(); count as usize] }
    }

    /// The bin of a row.
    pub fn of(&self, axes: &[Axis], row: &SweepRow) -> usize {
        let count = self.bins.len() as u64;
        let bin = if self.sampled {
            let (low, high) = self.axis.ends();
            let share = (row.values[self.number] - low) / (high - low).max(f64::MIN_POSITIVE);
            (share * count as f64) as u64
        } else {
            places(axes, row.index)[self.number] * count / self.axis.count().unwrap_or(1).max(1)
        };
        bin.min(count - 1) as usize
    }

    /// Takes a row.
    pub fn take(&mut self, axes: &[Axis], row: &SweepRow, moving: &Moving) {
        let at = self.of(axes, row);
        let (bin, value) = (&mut self.bins[at], row.values[self.number]);
        bin.values = Some(bin.values.map_or((value, value), |(a, b)| (a.min(value), b.max(value))));
        bin.rows += 1;
        bin.faults += u64::from(row.verdict == RowVerdict::ProgramFault);
        let own = (row.verdict, row.index);
        bin.typical = Some(bin.typical.map_or(own, |known| known.min(own)));
        for m in &row.measured {
            let (Some(number), Some(verdict)) = (moving.number(m), Verdict::of(&m.verdict)) else { continue };
            let own = Worst { verdict, room: m.room(), row: row.index };
            bin.worst.entry(number).and_modify(|known| *known = known.with(own)).or_insert(own);
        }
        if row.verdict.is_feasible() {
            bin.feasible += 1;
        } else if let Some(reason) = row.reason()
            && (bin.reasons.len() < REASONS || bin.reasons.contains_key(&reason))
        {
            *bin.reasons.entry(reason).or_default() += 1;
        }
        for m in row.measured.iter().filter(|m| m.unit == "mm") {
            if let (Some(margin), Some(number)) = (m.to_fail, moving.number(m)) {
                let least = bin.margins.entry(number).or_insert((margin, row.index));
                if margin < least.0 {
                    *least = (margin, row.index);
                }
            }
        }
    }

    /// Why rows are not feasible, by the reason found most often; of equal ones the first by name.
    pub fn chief_reason(&self) -> Option<&str> {
        let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
        for (reason, count) in self.bins.iter().flat_map(|bin| &bin.reasons) {
            *counts.entry(reason).or_default() += count;
        }
        let most = counts.values().max().copied()?;
        counts.into_iter().find(|(_, count)| *count == most).map(|(reason, _)| reason)
    }

    /// The ranges in which the part is feasible, in ascending order.
    pub fn stretches(&self) -> Vec<FeasibleRange> {
        let mut filled: Vec<(&Bin, (f64, f64))> =
            self.bins.iter().filter_map(|s| s.values.map(|v| (s, v))).collect();
        filled.sort_by(|a, b| a.1.0.total_cmp(&b.1.0));
        let reason = |k: Option<usize>| k.and_then(|k| filled.get(k)?.0.reason()).map(str::to_owned);
        let mut out: Vec<FeasibleRange> = Vec::new();
        let mut open = false;
        for (k, (bin, (low, high))) in filled.iter().enumerate() {
            let feasible = bin.feasible > 0;
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The worst of several rows is the one with the least room, whatever their order; where nothing has a room, the first that fails.
    #[test]
    fn the_worst_row_has_the_least_room() {
        let worst = |verdict, room, row| Worst { verdict, room, row };
        let (a, b) = (worst(Verdict::Warn, Some(0.5), 3), worst(Verdict::Fail, Some(-0.1), 7));
        let without = worst(Verdict::Fail, None, 9);
        assert_eq!(a.with(b), b);
        assert_eq!(b.with(a), b);
        assert_eq!(a.with(without), worst(Verdict::Fail, Some(0.5), 3), "no room says less than one");
        assert_eq!(without.with(worst(Verdict::Fail, None, 11)), without, "the first");
        assert_eq!(worst(Verdict::Warn, None, 2).with(without), without);
    }
}
