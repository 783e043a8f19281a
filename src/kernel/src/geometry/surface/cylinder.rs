use crate::geometry::{Frame, P3, V3};
use crate::tolerance::NO_DIRECTION;

/// A circular cylinder about the frame's z axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Axis along z; u is measured from x towards y.
    pub frame: Frame,
    /// Radius, mm, positive.
    pub radius: f64,
}

impl Cylinder {
    #[inline]
    pub(in crate::geometry) fn f(&self, p: P3) -> f64 {
        let d = p - self.frame.origin;
        // Square roots, not `hypot`: this is the innermost loop of all, and nothing here overflows.
        let (x, y) = (d.dot(&self.frame.x), d.dot(&self.frame.y));
        (x * x + y * y).sqrt() - self.radius
    }

    #[inline]
    pub(in crate::geometry) fn grad(&self, p: P3) -> V3 {
        let d = p - self.frame.origin;
        let radial = d - self.frame.z * d.dot(&self.frame.z);
        radial.try_normalize(NO_DIRECTION).unwrap_or(self.frame.x)
    }

    pub(in crate::geometry) fn axis_distance(&self, p: P3) -> f64 {
        self.f(p) + self.radius
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        self.frame.origin + self.frame.radial(u) * self.radius + self.frame.z * v
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let q = self.frame.local(p);
        (q.y.atan2(q.x), q.z)
    }
}
