//! Which measurements change in a sweep: what stays the same in all rows says nothing on where the best one is.

use std::collections::BTreeMap;

use super::row::Measured;

/// A margin that changes by less than this share of itself stays the same: far above what exact values are apart.
const SAME: f64 = 1e-5;

/// Margins are not told apart below this, in their own unit, where they are about zero.
const LEAST: f64 = 1e-3;

/// Names of the measurements that change, each with a number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moving(BTreeMap<String, BTreeMap<String, u32>>);

impl Moving {
    /// Whether a margin between these ends changes.
    pub fn is(least: f64, most: f64) -> bool {
        most - least > SAME * least.abs().max(most.abs()).max(LEAST)
    }

    /// Numbers names, in order.
    pub(super) fn new<'a>(names: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let mut out = Self::default();
        for ((check, what), number) in names.zip(0..) {
            out.0.entry(check.to_owned()).or_default().insert(what.to_owned(), number);
        }
        out
    }

    /// The number of a measurement; nothing where it stays the same.
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
