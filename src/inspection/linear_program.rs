//! Small linear programs: the most of a linear aim under linear limits, by the dual simplex method with bounded variables
//! (textbook method: Chvátal, *Linear Programming*, 1983, chapters 8 and 10, from memory).
//!
//! It begins in the corner of the box of all variables that is best for the aim, and takes in the limit that is broken most,
//! until none is. The binding limits and their multipliers tell what stands in the way.

/// A pivot smaller than this is none.
const NO_PIVOT: f64 = 1e-11;

/// A limit that is broken by less than this share of its row's size is kept.
const KEPT: f64 = 1e-12;

/// Pivots at most; more than a hundred times what fits of a few unknowns take.
const MOST_PIVOTS: usize = 2000;

/// Maximise `aim · x` with `|x_j| ≤ reach_j` and rows `a · x ≤ b`.
#[derive(Clone, Debug)]
pub(super) struct LinearProgram {
    aim: Vec<f64>,
    reach: Vec<f64>,
    rows: Vec<f64>,
    limits: Vec<f64>,
}

/// The best there is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Best {
    /// The variables.
    pub(super) at: Vec<f64>,
    /// The aim's value.
    pub(super) value: f64,
    /// Rows that bind, with their multipliers: by how much the aim would grow for each unit of the row's limit.
    pub(super) binding: Vec<(usize, f64)>,
}

/// The state of the search: the active rows, and the inverse of their matrix, row by row.
struct Corner {
    active: Vec<usize>,
    inverse: Vec<f64>,
}

impl LinearProgram {
    pub(super) fn new(aim: &[f64], reach: &[f64]) -> Self {
        Self { aim: aim.to_vec(), reach: reach.to_vec(), rows: vec![], limits: vec![] }
    }

    /// Adds a limit: `row · x ≤ limit`.
    pub(super) fn at_most(&mut self, row: &[f64], limit: f64) {
        self.rows.extend_from_slice(row);
        self.limits.push(limit);
    }

    fn size(&self) -> usize {
        self.aim.len()
    }

    fn row(&self, r: usize) -> &[f64] {
        &self.rows[r * self.size()..(r + 1) * self.size()]
    }

    /// The limit of an active row: rows below twice the size are sides of the box.
    fn limit(&self, active: usize) -> f64 {
        let n = self.size();
        if active < 2 * n { self.reach[active / 2] } else { self.limits[active - 2 * n] }
    }

    /// The corner of the box that is best for the aim.
    fn start(&self) -> Corner {
        let n = self.size();
        let mut inverse = vec![0.0; n * n];
        let mut active = Vec::with_capacity(n);
        for j in 0..n {
            let down = self.aim[j] < 0.0;
            active.push(2 * j + usize::from(down));
            inverse[j * n + j] = if down { -1.0 } else { 1.0 };
        }
        Corner { active, inverse }
    }

    fn place(&self, corner: &Corner) -> Vec<f64> {
        let n = self.size();
        let limits: Vec<f64> = corner.active.iter().map(|a| self.limit(*a)).collect();
        (0..n).map(|i| (0..n).map(|k| corner.inverse[i * n + k] * limits[k]).sum()).collect()
    }

    /// A row as a sum of the active ones.
    fn shares(&self, corner: &Corner, row: &[f64]) -> Vec<f64> {
        let n = self.size();
        (0..n).map(|k| (0..n).map(|i| row[i] * corner.inverse[i * n + k]).sum()).collect()
    }

    /// The row that is broken most, or a side of the box.
    fn broken(&self, x: &[f64]) -> Option<usize> {
        let n = self.size();
        let mut worst: Option<(f64, usize)> = None;
        let mut ask = |by: f64, scale: f64, index: usize| {
            let by = by / scale;
            if by > KEPT * (1.0 + x.iter().fold(0.0, |m: f64, v| m.max(v.abs())))
                && worst.is_none_or(|w| by > w.0)
            {
                worst = Some((by, index));
            }
        };
        for (r, limit) in self.limits.iter().enumerate() {
            let row = self.row(r);
            let value: f64 = row.iter().zip(x).map(|(a, v)| a * v).sum();
            let scale = row.iter().map(|a| a * a).sum::<f64>().sqrt().max(NO_PIVOT);
            ask(value - limit, scale, 2 * n + r);
        }
        for (j, v) in x.iter().enumerate() {
            ask(v - self.reach[j], 1.0, 2 * j);
            ask(-v - self.reach[j], 1.0, 2 * j + 1);
        }
        worst.map(|(_, index)| index)
    }

    /// The best place; `None` where no place keeps all limits.
    pub(super) fn best(&self) -> Option<Best> {
        let n = self.size();
        let mut corner = self.start();
        for _ in 0..MOST_PIVOTS {
            let x = self.place(&corner);
            let Some(entering) = self.broken(&x) else { return Some(self.told(&corner, x)) };
            let row: Vec<f64> = if entering < 2 * n {
                let side = if entering % 2 == 0 { 1.0 } else { -1.0 };
                (0..n).map(|i| if i == entering / 2 { side } else { 0.0 }).collect()
            } else {
                self.row(entering - 2 * n).to_vec()
            };
            let shares = self.shares(&corner, &row);
            let multipliers = self.shares(&corner, &self.aim);
            let ratio = |k: &usize| multipliers[*k].max(0.0) / shares[*k];
            let leaving = (0..n).filter(|k| shares[*k] > NO_PIVOT).min_by(|a, b| {
                ratio(a).total_cmp(&ratio(b)).then(corner.active[*a].cmp(&corner.active[*b]))
            })?;
            corner.exchange(leaving, entering, &shares);
        }
        None
    }

    fn told(&self, corner: &Corner, at: Vec<f64>) -> Best {
        let n = self.size();
        let multipliers = self.shares(corner, &self.aim);
        let rows = corner.active.iter().zip(multipliers);
        let binding =
            rows.filter(|(a, m)| **a >= 2 * n && *m > NO_PIVOT).map(|(a, m)| (a - 2 * n, m)).collect();
        let value = self.aim.iter().zip(&at).map(|(c, x)| c * x).sum();
        Best { at, value, binding }
    }
}

impl Corner {
    /// Puts a row in the place of another.
    fn exchange(&mut self, leaving: usize, entering: usize, shares: &[f64]) {
        let n = self.active.len();
        for i in 0..n {
            let own = self.inverse[i * n + leaving] / shares[leaving];
            for (k, share) in shares.iter().enumerate().filter(|(k, _)| *k != leaving) {
                self.inverse[i * n + k] -= share * own;
            }
            self.inverse[i * n + leaving] = own;
        }
        self.active[leaving] = entering;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chvátal, *Linear Programming* (1983), chapter 2, first example (from memory): most of 5x + 4y + 3z with
    /// 2x + 3y + z ≤ 5, 4x + y + 2z ≤ 11, 3x + 4y + 2z ≤ 8 and nothing below zero is 13, at (2, 0, 1), with the dual (1, 0, 1).
    #[test]
    fn a_textbooks_example() {
        let mut program = LinearProgram::new(&[5.0, 4.0, 3.0], &[100.0; 3]);
        for (row, limit) in [([2.0, 3.0, 1.0], 5.0), ([4.0, 1.0, 2.0], 11.0), ([3.0, 4.0, 2.0], 8.0)] {
            program.at_most(&row, limit);
        }
        for j in 0..3 {
            program.at_most(&[0, 1, 2].map(|k| if k == j { -1.0 } else { 0.0 }), 0.0);
        }
        let best = program.best().expect("bounded");
        assert!((best.value - 13.0).abs() < 1e-12, "{best:?}");
        for (found, wanted) in best.at.iter().zip([2.0, 0.0, 1.0]) {
            assert!((found - wanted).abs() < 1e-12, "{best:?}");
        }
        let multiplier = |r: usize| best.binding.iter().find(|(row, _)| *row == r).map_or(0.0, |(_, m)| *m);
        for (r, wanted) in [(0, 1.0), (1, 0.0), (2, 1.0)] {
            assert!((multiplier(r) - wanted).abs() < 1e-12, "{best:?}");
        }
    }

    /// By hand: x ≤ −1 and x ≥ 1 exclude each other.
    #[test]
    fn limits_that_exclude_each_other_have_no_best() {
        let mut program = LinearProgram::new(&[1.0], &[10.0]);
        program.at_most(&[1.0], -1.0);
        program.at_most(&[-1.0], -1.0);
        assert_eq!(program.best(), None, "no place");
    }
}
