use crate::geometry::{Frame, P3, V3};
use crate::tolerance::NO_DIRECTION;

/// A ring torus about the frame's z axis: `major > minor > 0`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Torus {
    /// Centre and axis; v = 0 is the outer equator, v = π/2 the top ring.
    pub frame: Frame,
    /// Radius of the ring through the tube's middle, mm.
    pub major: f64,
    /// Radius of the tube, mm.
    pub minor: f64,
}

impl Torus {
    /// Offset from the ring in the meridian plane (outwards, up) and the radial unit vector.
    fn meridian(&self, p: P3) -> (f64, f64, V3) {
        let d = p - self.frame.origin;
        let z = d.dot(&self.frame.z);
        let radial = d - self.frame.z * z;
        let rho = radial.norm();
        let unit = if rho > NO_DIRECTION { radial / rho } else { self.frame.x };
        (rho - self.major, z, unit)
    }

    #[inline]
    pub(in crate::geometry) fn f(&self, p: P3) -> f64 {
        let (a, z, _) = self.meridian(p);
        (a * a + z * z).sqrt() - self.minor
    }

    #[inline]
    pub(in crate::geometry) fn grad(&self, p: P3) -> V3 {
        self.value_and_grad(p).1
    }

    #[inline]
    pub(in crate::geometry) fn value_and_grad(&self, p: P3) -> (f64, V3) {
        let (a, z, unit) = self.meridian(p);
        let r = (a * a + z * z).sqrt();
        (r - self.minor, if r < NO_DIRECTION { unit } else { (unit * a + self.frame.z * z) / r })
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        let (s, c) = v.sin_cos();
        self.frame.origin
            + self.frame.radial(u) * (self.major + self.minor * c)
            + self.frame.z * (self.minor * s)
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let q = self.frame.local(p);
        (q.y.atan2(q.x), q.z.atan2(q.x.hypot(q.y) - self.major))
    }
}
