//! The line along which a rolling ball touches a wall.

use std::sync::Arc;

use super::{BSpline, Bounds, Canal, OffsetSurface, P3, V3, curve_fit};
use crate::tolerance::SNAP;

/// The feet of a canal's spine on one of the two walls that its ball touches. The parameter is the spine's.
#[derive(Clone, Debug, PartialEq)]
pub struct ContactCurve {
    canal: Arc<Canal>,
    /// The wall.
    offset: OffsetSurface,
    bounds: Bounds,
    speed: f64,
    bend: f64,
}

impl ContactCurve {
    /// The contact curve of a canal on a wall.
    pub fn new(canal: Arc<Canal>, offset: OffsetSurface) -> Self {
        let mut out = Self { canal, offset, bounds: Bounds::empty(), speed: 1.0, bend: 0.0 };
        let knots: Vec<f64> = out.canal.spine.knots().to_vec();
        let jets: Vec<(P3, V3)> = knots.iter().map(|t| out.jet(*t)).collect();
        let mut sag: f64 = 0.0;
        for (w, t) in jets.windows(2).zip(knots.windows(2)) {
            let turn = (w[1].1 - w[0].1).norm();
            out.bend = out.bend.max(2.5 * turn / (t[1] - t[0]));
            sag = sag.max(turn * (t[1] - t[0]));
        }
        out.speed = 1.1 * jets.iter().map(|j| j.1.norm()).fold(0.0, f64::max);
        out.bounds = Bounds::around(jets.iter().map(|j| j.0)).grown(0.5 * sag + SNAP);
        out
    }

    /// Point and derivative at `t`.
    pub fn jet(&self, t: f64) -> (P3, V3) {
        let j = self.canal.spine.jet(t);
        let r = self.canal.radius;
        let foot = j.point + self.offset.towards(j.point) * r;
        (foot, j.first + self.offset.turning(j.point, j.first) * r)
    }

    /// The point at `t`.
    pub fn point(&self, t: f64) -> P3 {
        let center = self.canal.spine.point(t);
        center + self.offset.towards(center) * self.canal.radius
    }

    /// The derivative at `t`.
    pub fn derivative(&self, t: f64) -> V3 {
        self.jet(t).1
    }

    /// Length of the parameter range, which starts at zero.
    pub fn length(&self) -> f64 {
        self.canal.spine.length()
    }

    /// A box around it.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Working bounds of the norms of the first and second derivative, by samples.
    pub fn derivative_bounds(&self) -> (f64, f64) {
        (self.speed, self.bend)
    }

    /// Parameters that cut it into stretches of little turn.
    pub fn knots(&self) -> &[f64] {
        self.canal.spine.knots()
    }

    /// The surface, parallel to the wall, on which the canal's spine runs.
    pub fn offset(&self) -> &OffsetSurface {
        &self.offset
    }

    /// The canal.
    pub fn canal(&self) -> &Arc<Canal> {
        &self.canal
    }

    /// A B-spline of the piece from `t0` to `t1` with the given ends, on wall and canal within [`SPLINE_FIT`](crate::tolerance::SPLINE_FIT). It gets more points only
    /// where it is off by more: each place asks for the nearest point of a spine where the wall is a canal itself.
    pub fn spline(&self, t0: f64, t1: f64, ends: [P3; 2]) -> BSpline {
        curve_fit::fitted(&|t| self.point(t), &|t| self.derivative(t), (t0, t1), ends)
    }

    /// The parameter of `p` if the contact curve passes within `within` of it.
    pub fn param(&self, p: P3, within: f64) -> Option<f64> {
        if self.bounds.distance(p) > within {
            return None;
        }
        // A wall and its offset have their normals in common.
        let center = p - self.offset.towards(p) * self.canal.radius;
        let t = self.canal.spine.nearest(center);
        let inside = t > -within && t < self.length() + within;
        (inside && (self.point(t) - p).norm() <= within).then_some(t.clamp(0.0, self.length()))
    }
}
