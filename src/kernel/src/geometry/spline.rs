//! Cubic B-splines through points.

use super::{P3, V3};
use crate::tolerance::SPLINE_CONVERGED;

/// A clamped cubic B-spline, twice continuously differentiable, made by interpolation.
#[derive(Clone, Debug, PartialEq)]
pub struct BSpline {
    /// Distinct knots in rising order; the first and last have multiplicity four, the others one.
    pub knots: Vec<f64>,
    /// Control points, `knots.len() + 2` of them.
    pub control: Vec<P3>,
}

impl BSpline {
    /// The spline that takes `points[i]` at `params[i]` (rising, at least two) with the given end derivatives.
    pub fn through(params: &[f64], points: &[P3], d_start: V3, d_end: V3) -> Self {
        let n = points.len();
        let knots = params.to_vec();
        let mut control = vec![P3::origin(); n + 2];
        control[0] = points[0];
        control[n + 1] = points[n - 1];
        control[1] = points[0] + d_start * ((knots[1] - knots[0]) / 3.0);
        control[n] = points[n - 1] - d_end * ((knots[n - 1] - knots[n - 2]) / 3.0);
        // Inner points: B-spline collocation at the knots, a tridiagonal system (Thomas).
        let mut spline = Self { knots, control };
        if n > 2 {
            let m = n - 2;
            let rows: Vec<[f64; 3]> = (1..=m).map(|i| spline.basis_at_knot(i)).collect();
            let mut c = vec![0.0; m];
            let mut d = vec![V3::zeros(); m];
            for i in 0..m {
                let [a, b, g] = rows[i];
                let mut rhs = points[i + 1].coords;
                if i == 0 {
                    rhs -= spline.control[1].coords * a;
                }
                if i == m - 1 {
                    rhs -= spline.control[n].coords * g;
                }
                let (prev_c, prev_d) = if i == 0 { (0.0, V3::zeros()) } else { (c[i - 1], d[i - 1]) };
                let low = if i == 0 { 0.0 } else { a };
                let den = b - low * prev_c;
                c[i] = g / den;
                d[i] = (rhs - prev_d * low) / den;
            }
            for i in (0..m).rev() {
                let next = if i == m - 1 { V3::zeros() } else { spline.control[i + 3].coords * c[i] };
                spline.control[i + 2] = P3::from(d[i] - next);
            }
        }
        spline
    }

    /// Knot `i` of the full vector with repeated ends, by index from −3.
    fn knot(&self, i: isize) -> f64 {
        let last = self.knots.len().cast_signed() - 1;
        self.knots[i.clamp(0, last).cast_unsigned()]
    }

    /// The three basis functions that are not zero at inner knot `i`: of control points i, i+1, i+2.
    fn basis_at_knot(&self, i: usize) -> [f64; 3] {
        let k = |j: isize| self.knot(i.cast_signed() + j);
        let t = k(0);
        let a = (k(1) - t).powi(2) / ((k(1) - k(-1)) * (k(1) - k(-2)));
        let g = (t - k(-1)).powi(2) / ((k(1) - k(-1)) * (k(2) - k(-1)));
        [a, 1.0 - a - g, g]
    }

    fn span(&self, t: f64) -> usize {
        let n = self.knots.len();
        self.knots.partition_point(|k| *k <= t).clamp(1, n - 1) - 1
    }

    /// The point at `t`, by de Boor's scheme.
    pub fn point(&self, t: f64) -> P3 {
        let s = self.span(t);
        let mut d: [V3; 4] = std::array::from_fn(|j| self.control[s + j].coords);
        for r in 1..4_usize {
            for j in (r..4).rev() {
                let i = s.cast_signed() + j.cast_signed() - 3;
                let (lo, hi) = (self.knot(i), self.knot(i + 4 - r.cast_signed()));
                let w = (t - lo) / (hi - lo);
                d[j] = d[j - 1] * (1.0 - w) + d[j] * w;
            }
        }
        P3::from(d[3])
    }

    /// The first derivative at `t`.
    pub fn derivative(&self, t: f64) -> V3 {
        let s = self.span(t);
        let mut d: [V3; 3] = std::array::from_fn(|j| {
            let i = s.cast_signed() + j.cast_signed() - 2;
            let (lo, hi) = (self.knot(i), self.knot(i + 3));
            (self.control[s + j + 1] - self.control[s + j]) * (3.0 / (hi - lo))
        });
        for r in 1..3_usize {
            for j in (r..3).rev() {
                let i = s.cast_signed() + j.cast_signed() - 2;
                let (lo, hi) = (self.knot(i), self.knot(i + 3 - r.cast_signed()));
                let w = (t - lo) / (hi - lo);
                d[j] = d[j - 1] * (1.0 - w) + d[j] * w;
            }
        }
        d[2]
    }

    /// The parameter of the point of the spline nearest to `p`, by Newton from the nearest knot.
    pub fn param(&self, p: P3) -> f64 {
        let (first, last) = (self.knots[0], self.knots[self.knots.len() - 1]);
        let mut t = self
            .knots
            .iter()
            .copied()
            .min_by(|a, b| {
                (self.point(*a) - p).norm_squared().total_cmp(&(self.point(*b) - p).norm_squared())
            })
            .unwrap_or(first);
        for _ in 0..30 {
            let d = self.derivative(t);
            let step = (p - self.point(t)).dot(&d) / d.norm_squared();
            let next = (t + step).clamp(first, last);
            if (next - t).abs() < SPLINE_CONVERGED * (last - first) {
                break;
            }
            t = next;
        }
        t
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_its_points_and_end_slopes() {
        let f = |t: f64| P3::new(t.cos(), t.sin(), 0.3 * t);
        let d = |t: f64| V3::new(-t.sin(), t.cos(), 0.3);
        let params: Vec<f64> = (0..9).map(|i| f64::from(i) * 0.25 + 0.01 * f64::from(i * i)).collect();
        let points: Vec<P3> = params.iter().map(|t| f(*t)).collect();
        let s = BSpline::through(&params, &points, d(params[0]), d(params[8]));
        for t in &params {
            assert!((s.point(*t) - f(*t)).norm() < 1e-13, "misses its point at {t}");
        }
        assert!((s.derivative(params[8]) - d(params[8])).norm() < 1e-12, "end slope");
        let t = 0.77;
        assert!((s.point(t) - f(t)).norm() < 1e-4, "between the points");
        let slope = (s.point(t + 1e-6) - s.point(t - 1e-6)) / 2e-6;
        assert!((slope - s.derivative(t)).norm() < 1e-8, "derivative against differences");
        assert!((s.param(f(params[3])) - params[3]).abs() < 1e-12, "parameter of a point");
    }
}
