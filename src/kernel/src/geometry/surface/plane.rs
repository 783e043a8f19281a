use crate::geometry::{Frame, P3, V3};

/// A plane through the frame's origin; normal along z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Origin, in-plane axes x and y, normal z.
    pub frame: Frame,
}

impl Plane {
    /// The plane through `origin` with the given normal (need not be a unit vector).
    pub fn new(origin: P3, normal: V3) -> Self {
        Self { frame: Frame::from_z(origin, normal) }
    }

    /// Signed distance of a point, positive on the normal's side, mm.
    #[inline]
    pub fn f(&self, p: P3) -> f64 {
        (p - self.frame.origin).dot(&self.frame.z)
    }

    #[inline]
    pub(in crate::geometry) fn grad(&self, _: P3) -> V3 {
        self.frame.z
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        self.frame.point(u, v, 0.0)
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let q = self.frame.local(p);
        (q.x, q.y)
    }
}
