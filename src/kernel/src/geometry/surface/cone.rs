use crate::geometry::{Frame, P3, V3};
use crate::tolerance::{NO_DIRECTION, NOT_ZERO};

/// One nappe of a circular cone: apex at the frame's origin, opening along +z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Apex and axis; the nappe lies at positive z.
    pub frame: Frame,
    /// Angle between axis and wall, radians, in `(0, π/2)`.
    pub half_angle: f64,
}

impl Cone {
    /// Distance from the axis, height over the apex, radial unit vector.
    #[inline]
    fn polar(&self, p: P3) -> (f64, f64, V3) {
        let d = p - self.frame.origin;
        let z = d.dot(&self.frame.z);
        let radial = d - self.frame.z * z;
        let rho = radial.norm();
        let unit = if rho > NO_DIRECTION { radial / rho } else { self.frame.x };
        (rho, z, unit)
    }

    #[inline]
    pub(in crate::geometry) fn f(&self, p: P3) -> f64 {
        let (s, c) = self.half_angle.sin_cos();
        let (rho, z, _) = self.polar(p);
        if z * c + rho * s >= 0.0 { rho * c - z * s } else { (rho * rho + z * z).sqrt() }
    }

    #[inline]
    pub(in crate::geometry) fn grad(&self, p: P3) -> V3 {
        let (s, c) = self.half_angle.sin_cos();
        let (rho, z, unit) = self.polar(p);
        if z * c + rho * s >= 0.0 {
            unit * c - self.frame.z * s
        } else {
            (p - self.frame.origin).try_normalize(NOT_ZERO).unwrap_or(-self.frame.z)
        }
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        let (s, c) = self.half_angle.sin_cos();
        self.frame.origin + self.frame.radial(u) * (v * s) + self.frame.z * (v * c)
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let (s, c) = self.half_angle.sin_cos();
        let q = self.frame.local(p);
        (q.y.atan2(q.x), q.x.hypot(q.y) * s + q.z * c)
    }

    /// Radius of the cone at slant distance `v` from the apex.
    pub fn radius_at(&self, v: f64) -> f64 {
        v * self.half_angle.sin()
    }
}
