//! How much each margin changes with each parameter: a least-squares plane through all rows that have it.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::axis::Axis;
use super::moving::Moving;
use super::row::SweepRow;

/// Greatest number of measurements tracked; a name that contains a value would make a new one in every row.
const MOST: usize = 4_000;

/// A measurement's dependence on the parameters.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// Which check.
    pub check: String,
    /// What was measured.
    pub what: String,
    /// Unit of its margin.
    pub unit: String,
    /// Rows that have it.
    pub rows: u64,
    /// The least margin among them.
    pub least: f64,
    /// The greatest.
    pub most: f64,
    /// The least margin as a share of its limit, where it has one that is not zero.
    pub share: Option<f64>,
    /// Change of the margin for one unit of each parameter, where the rows determine it.
    pub slopes: Option<Vec<f64>>,
    /// Share of the margin's variance that the plane explains; 1 for a plane that fits.
    pub explained: f64,
}

/// Totals of one measurement.
#[derive(Clone, Debug)]
struct Totals {
    unit: String,
    rows: u64,
    least: f64,
    most: f64,
    share: Option<f64>,
    /// First margin: sums are relative to it, so that no digits are lost.
    origin: f64,
    /// Sums of products of `1, u1, u2 …`.
    uu: DMatrix<f64>,
    /// Sums of products of these with the margin.
    uy: DVector<f64>,
    yy: f64,
}

/// Totals of all measurements.
#[derive(Clone, Debug)]
pub struct Effects {
    /// Middle and half width of each axis, which scale it to -1 to 1.
    scales: Vec<(f64, f64)>,
    sums: BTreeMap<(String, String), Totals>,
    /// Whether there were more measurements than are tracked.
    pub cut_off: bool,
}

impl Effects {
    /// Without any row yet.
    pub fn new(axes: &[Axis]) -> Self {
        let scale = |axis: &Axis| {
            let (a, b) = axis.ends();
            (f64::midpoint(a, b), ((b - a) / 2.0).max(f64::MIN_POSITIVE))
        };
        Self { scales: axes.iter().map(scale).collect(), sums: BTreeMap::new(), cut_off: false }
    }

    /// Adds a row.
    pub fn take(&mut self, row: &SweepRow) {
        let inner = self.scales.iter().zip(&row.values).map(|((middle, half), x)| (x - middle) / half);
        let u = DVector::from_iterator(self.scales.len() + 1, std::iter::once(1.0).chain(inner));
        for m in &row.measured {
            let Some(margin) = m.room() else { continue };
            let key = (m.check.clone(), m.what.clone());
            if self.sums.len() >= MOST && !self.sums.contains_key(&key) {
                self.cut_off = true;
                continue;
            }
            let n = u.len();
            let sums = self.sums.entry(key).or_insert_with(|| Totals {
                unit: m.unit.clone(),
                rows: 0,
                least: f64::INFINITY,
                most: f64::NEG_INFINITY,
                share: None,
                origin: margin,
                uu: DMatrix::zeros(n, n),
                uy: DVector::zeros(n),
                yy: 0.0,
            });
            let y = margin - sums.origin;
            sums.rows += 1;
            sums.least = sums.least.min(margin);
            sums.most = sums.most.max(margin);
            sums.share = m.room_share().map_or(sums.share, |s| Some(sums.share.map_or(s, |t| t.min(s))));
            sums.uu.ger(1.0, &u, &u, 1.0);
            sums.uy.axpy(y, &u, 1.0);
            sums.yy += y * y;
        }
    }

    /// The measurements that change.
    pub fn moving(&self) -> Moving {
        let some = self.sums.iter().filter(|(_, s)| Moving::is(s.least, s.most));
        Moving::new(some.map(|((check, what), _)| (check.as_str(), what.as_str())))
    }

    /// The planes, those nearest to their limits first, by margin as a share of the limit.
    pub fn all(&self) -> Vec<Effect> {
        let mut all: Vec<Effect> = self.sums.iter().map(|(key, sums)| self.one(key, sums)).collect();
        let key = |e: &Effect| e.share.unwrap_or(f64::INFINITY);
        all.sort_by(|a, b| key(a).total_cmp(&key(b)).then(a.least.total_cmp(&b.least)));
        all
    }

    fn one(&self, (check, what): &(String, String), sums: &Totals) -> Effect {
        /// A matrix whose pivots differ by more comes from rows with one value only.
        const SINGULAR: f64 = 1e-9;
        let rows = sums.rows as f64;
        let spread = sums.yy - sums.uy[0] * sums.uy[0] / rows;
        let pivots = sums.uu.clone().symmetric_eigenvalues();
        let told = pivots.min() > SINGULAR * rows;
        let plane = sums.uu.clone().cholesky().filter(|_| told).map(|c| c.solve(&sums.uy));
        let left = plane.as_ref().map_or(spread, |p| sums.yy - p.dot(&sums.uy));
        // A margin that never changes is explained by any plane.
        let explained =
            if spread > 1e-12 * sums.yy.max(1.0) { (1.0 - left / spread).clamp(0.0, 1.0) } else { 1.0 };
        let slopes =
            plane.map(|p| self.scales.iter().zip(p.iter().skip(1)).map(|((_, half), s)| s / half).collect());
        Effect {
            check: check.clone(),
            what: what.clone(),
            unit: sums.unit.clone(),
            rows: sums.rows,
            least: sums.least,
            most: sums.most,
            share: sums.share,
            slopes,
            explained,
        }
    }
}
