use crate::geometry::{Frame, P3, V3};
use crate::tolerance::NO_DIRECTION;

/// A sphere about the frame's origin; the poles lie on z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sphere {
    /// Centre and the axis of longitude.
    pub frame: Frame,
    /// Radius, mm, positive.
    pub radius: f64,
}

impl Sphere {
    #[inline]
    pub(in crate::geometry) fn f(&self, p: P3) -> f64 {
        (p - self.frame.origin).norm() - self.radius
    }

    #[inline]
    pub(in crate::geometry) fn grad(&self, p: P3) -> V3 {
        (p - self.frame.origin).try_normalize(NO_DIRECTION).unwrap_or(self.frame.z)
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        let (s, c) = v.sin_cos();
        self.frame.origin + (self.frame.radial(u) * c + self.frame.z * s) * self.radius
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let q = self.frame.local(p);
        (q.y.atan2(q.x), q.z.atan2(q.x.hypot(q.y)))
    }
}
