//! The line in which two stretches of what a ball leaves meet, where its path turns more tightly than the ball.

use super::{BSpline, Bounds, P3, V3};
use crate::tolerance::{CREASE_FIT, CURVE_CONVERGED, SNAP};

/// A smooth curve of cubic pieces through exact points with their exact directions. The parameter is the distance of a plane
/// that moves along the curve's chord, so that the speed is at least one.
#[derive(Clone, Debug, PartialEq)]
pub struct CreaseCurve {
    at: Vec<f64>,
    /// Point and derivative at each knot.
    jets: Vec<(P3, V3)>,
    bounds: Bounds,
    speed: f64,
    bend: f64,
}

impl CreaseCurve {
    /// The curve with these points and derivatives at rising parameters, at least two.
    pub fn through(at: Vec<f64>, jets: Vec<(P3, V3)>) -> Self {
        let mut out = Self { at, jets, bounds: Bounds::empty(), speed: 1.0, bend: 0.0 };
        let mut sag: f64 = 0.0;
        for (t, w) in out.at.windows(2).zip(out.jets.windows(2)) {
            let turn = (w[1].1 - w[0].1).norm();
            out.bend = out.bend.max(2.5 * turn / (t[1] - t[0]));
            sag = sag.max(turn * (t[1] - t[0]));
        }
        out.speed = 1.1 * out.jets.iter().map(|j| j.1.norm()).fold(0.0, f64::max);
        out.bounds = Bounds::around(out.jets.iter().map(|j| j.0)).grown(0.5 * sag + SNAP);
        out
    }

    /// Parameters between which it runs.
    pub fn range(&self) -> (f64, f64) {
        (self.at[0], self.at[self.at.len() - 1])
    }

    /// Parameters of its knots, rising.
    pub fn knots(&self) -> &[f64] {
        &self.at
    }

    /// A box around it.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Working bounds of the norms of the first and second derivative, by its knots.
    pub fn derivative_bounds(&self) -> (f64, f64) {
        (self.speed, self.bend)
    }

    /// Point and derivative at `t`.
    pub fn jet(&self, t: f64) -> (P3, V3) {
        let i = self.at.partition_point(|a| *a <= t).clamp(1, self.at.len() - 1) - 1;
        hermite(&self.at[i..i + 2], &self.jets[i..i + 2], t)
    }

    /// The point at `t`.
    pub fn point(&self, t: f64) -> P3 {
        self.jet(t).0
    }

    /// The derivative at `t`.
    pub fn derivative(&self, t: f64) -> V3 {
        self.jet(t).1
    }

    /// The parameter of `p` if the curve passes within `within` of it.
    pub fn param(&self, p: P3, within: f64) -> Option<f64> {
        if self.bounds.distance(p) > within {
            return None;
        }
        let off = |i: &usize| (self.jets[*i].0 - p).norm_squared();
        let nearest = (0..self.at.len()).min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let (first, last) = self.range();
        let mut t = self.at[nearest];
        for _ in 0..30 {
            let (q, d) = self.jet(t);
            let next = (t + (p - q).dot(&d) / d.norm_squared()).clamp(first, last);
            if (next - t).abs() < CURVE_CONVERGED * (last - first) {
                break;
            }
            t = next;
        }
        ((self.point(t) - p).norm() <= within).then_some(t)
    }

    /// A B-spline of the piece from `t0` to `t1` with the given ends, within [`CREASE_FIT`] of the curve.
    pub fn spline(&self, t0: f64, t1: f64, ends: [P3; 2]) -> BSpline {
        let inner = self.at.iter().copied().filter(|t| *t > t0 + SNAP && *t < t1 - SNAP);
        let mut params: Vec<f64> = std::iter::once(t0).chain(inner).chain([t1]).collect();
        loop {
            let mut points: Vec<P3> = params.iter().map(|t| self.point(*t)).collect();
            let last = points.len() - 1;
            (points[0], points[last]) = (ends[0], ends[1]);
            let spline = BSpline::through(&params, &points, self.derivative(t0), self.derivative(t1));
            let off = |w: &[f64]| {
                let places = [0.25, 0.5, 0.75].map(|k| w[0] + (w[1] - w[0]) * k);
                places.map(|t| (spline.point(t) - self.point(t)).norm()).into_iter().fold(0.0, f64::max)
            };
            // Short pieces lie near the ends of the crease, where its faces' parameters change fast along it.
            let fit = |w: &[f64]| if w[1] - w[0] < 0.01 * (t1 - t0) { 0.1 * CREASE_FIT } else { CREASE_FIT };
            let misfits: Vec<bool> = params.windows(2).map(|w| off(w) > fit(w)).collect();
            if params.len() > 1024 || !misfits.contains(&true) {
                return spline;
            }
            let halved = params
                .windows(2)
                .zip(misfits)
                .flat_map(|(w, misfit)| std::iter::once(w[0]).chain(misfit.then(|| 0.5 * (w[0] + w[1]))));
            params = halved.chain([t1]).collect();
        }
    }
}

/// Point and derivative at `t` of the cubic with given jets at both ends of an interval.
pub(in crate::geometry) fn hermite(at: &[f64], jets: &[(P3, V3)], t: f64) -> (P3, V3) {
    let h = at[1] - at[0];
    let s = (t - at[0]) / h;
    let ((p, v), (q, w)) = (jets[0], jets[1]);
    let (d, v, w) = (q - p, v * h, w * h);
    let (c2, c3) = (d * 3.0 - v * 2.0 - w, v + w - d * 2.0);
    (p + (v + (c2 + c3 * s) * s) * s, (v + (c2 * 2.0 + c3 * (3.0 * s)) * s) / h)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_its_jets_and_finds_its_points_again() {
        let jet = |t: f64| (P3::new(t, t * t, (2.0 * t).sin()), V3::new(1.0, 2.0 * t, 2.0 * (2.0 * t).cos()));
        let at: Vec<f64> = (0..=40).map(|i| f64::from(i) * 0.05).collect();
        let curve = CreaseCurve::through(at.clone(), at.iter().map(|t| jet(*t)).collect());
        for t in [0.0, 0.31, 1.234, 2.0] {
            let ((p, d), (q, e)) = (curve.jet(t), jet(t));
            assert!((p - q).norm() < 3e-7 && (d - e).norm() < 3e-5, "at {t}");
            assert!((curve.param(p, SNAP).expect("on it") - t).abs() < 1e-9, "parameter at {t}");
        }
        assert_eq!(curve.param(P3::new(1.0, 1.5, 1.0), 0.01), None);
        let (a, b) = (0.3, 1.7);
        let spline = curve.spline(a, b, [curve.point(a), curve.point(b)]);
        assert!((spline.point(1.0) - curve.point(1.0)).norm() < CREASE_FIT);
    }
}
