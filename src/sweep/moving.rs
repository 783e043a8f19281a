//! The measurements that change in a sweep; those that are the same in all rows do not help to find the best one.

use std::collections::BTreeMap;

use super::row::Measured;

/// A margin that changes by less than this share of itself counts as constant: far above the error of exact values.
const SAME: f64 = 1e-5;

/// Differences below this count as none for margins near zero, in their own unit.
const LEAST: f64 = 1e-3;

/// Names of the measurements that change, each with a number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moving(BTreeMap<String, BTreeMap<String, u32>>);

impl Moving {
    /// Whether a margin between these ends changes.
    pub fn is(least: f64, most: f64) -> bool {
        most - least > SAME * least.abs().max(most.abs()).max(LEAST)
    }

    /// Assigns numbers to names, in order.
    pub(super) fn new<'a>(names: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let mut out = Self::default();
        for ((check, what), number) in names.zip(0..) {
            out.0.entry(check.to_owned()).or_default().insert(what.to_owned(), number);
        }
        out
    }

    /// The number of a measurement; `None` where it is constant.
    pub fn number(&self, m: &Measured) -> Option<u32> {
        self.0.get(&m.check)?.get(&m.what).copied()
    }

    /// Whether a measurement counts: it changes, or none does.
    pub fn counts(&self, m: &Measured) -> bool {
        self.0.is_empty() || self.number(m).is_some()
    }

    /// The check and what it measures, by number.
    pub fn names(&self) -> BTreeMap<u32, (&str, &str)> {
        let each =
            self.0.iter().flat_map(|(c, all)| all.iter().map(move |(w, k)| (*k, (c.as_str(), w.as_str()))));
        each.collect()
    }
}
