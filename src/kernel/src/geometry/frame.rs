//! Right-handed orthonormal frames.

use super::{P3, V3};
use crate::tolerance::{SAME_ANGLE, SNAP};

/// A right-handed orthonormal frame: an origin and three unit axes with `z = x × y`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Origin, mm.
    pub origin: P3,
    /// First unit axis.
    pub x: V3,
    /// Second unit axis.
    pub y: V3,
    /// Third unit axis, `x × y`.
    pub z: V3,
}

impl Frame {
    /// Whether its z axis is the world's x axis, either way round.
    pub fn is_about_x(&self) -> bool {
        self.z.cross(&V3::x()).norm() < SAME_ANGLE && self.origin.y.hypot(self.origin.z) < SNAP
    }

    /// The world frame.
    pub fn world() -> Self {
        Self { origin: P3::origin(), x: V3::x(), y: V3::y(), z: V3::z() }
    }

    /// A frame with the given origin and z axis; x is chosen by a fixed rule, so equal input gives
    /// equal frames. `z` need not be a unit vector but must not be zero.
    pub fn from_z(origin: P3, z: V3) -> Self {
        let z = z.normalize();
        let helper = if z.x.abs() < 0.6 {
            V3::x()
        } else if z.y.abs() < 0.6 {
            V3::y()
        } else {
            V3::z()
        };
        Self::from_zx(origin, z, helper)
    }

    /// A frame with the given origin, z axis and an x axis as near to `towards` as can be.
    /// `towards` must not be parallel to `z`.
    pub fn from_zx(origin: P3, z: V3, towards: V3) -> Self {
        let z = z.normalize();
        let x = (towards - z * towards.dot(&z)).normalize();
        Self { origin, x, y: z.cross(&x), z }
    }

    /// World coordinates of a point given in this frame.
    #[inline]
    pub fn point(&self, x: f64, y: f64, z: f64) -> P3 {
        self.origin + self.x * x + self.y * y + self.z * z
    }

    /// World vector of a vector given in this frame.
    pub fn vector(&self, x: f64, y: f64, z: f64) -> V3 {
        self.x * x + self.y * y + self.z * z
    }

    /// Coordinates of a world point in this frame.
    #[inline]
    pub fn local(&self, p: P3) -> P3 {
        P3::from(self.local_vector(p - self.origin))
    }

    /// Components of a world vector in this frame.
    #[inline]
    pub fn local_vector(&self, v: V3) -> V3 {
        V3::new(v.dot(&self.x), v.dot(&self.y), v.dot(&self.z))
    }

    /// The same axes at another origin.
    #[must_use]
    pub fn moved_to(&self, origin: P3) -> Self {
        Self { origin, ..*self }
    }

    /// The unit vector at angle `u` (radians) from x towards y.
    #[inline]
    pub fn radial(&self, u: f64) -> V3 {
        self.x * u.cos() + self.y * u.sin()
    }

    /// This frame turned about its own z axis by `angle` radians.
    #[must_use]
    pub fn turned(&self, angle: f64) -> Self {
        let x = self.radial(angle);
        Self { origin: self.origin, x, y: self.z.cross(&x), z: self.z }
    }
}
