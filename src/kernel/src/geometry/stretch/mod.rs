//! Enlarging along X and across it.

mod curve;
mod surface;
#[cfg(test)]
mod tests;

use super::{P3, V3};
use crate::tolerance::{LEAST_STRETCH, MOST_STRETCH};

/// A map about the origin that multiplies lengths along X by one factor and those along Y and Z by another: a
/// mould is made larger than the part by what the material shrinks, and that may differ between length and diameters.
///
/// Both factors lie within [`LEAST_STRETCH`] and [`MOST_STRETCH`], so the map keeps right hands right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    axial: f64,
    radial: f64,
}

/// A factor beyond the bounds.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "the {direction} factor {factor} is not a number from {least} to {most}",
    least = LEAST_STRETCH,
    most = MOST_STRETCH
)]
pub struct StretchError {
    /// `axial` or `radial`.
    pub direction: &'static str,
    /// As asked.
    pub factor: f64,
}

impl Default for Stretch {
    /// [`Self::NONE`].
    fn default() -> Self {
        Self::NONE
    }
}

impl Stretch {
    /// Leaves everything as it is, to the last bit.
    pub const NONE: Self = Self { axial: 1.0, radial: 1.0 };

    /// The map with a factor along X and one across it.
    ///
    /// # Errors
    /// A factor that is not a number within [`LEAST_STRETCH`] and [`MOST_STRETCH`].
    pub fn new(axial: f64, radial: f64) -> Result<Self, StretchError> {
        for (direction, factor) in [("axial", axial), ("radial", radial)] {
            if !(LEAST_STRETCH..=MOST_STRETCH).contains(&factor) {
                return Err(StretchError { direction, factor });
            }
        }
        Ok(Self { axial, radial })
    }

    /// The map with one factor everywhere.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn uniform(factor: f64) -> Result<Self, StretchError> {
        Self::new(factor, factor)
    }

    /// Factor along X.
    pub fn axial(&self) -> f64 {
        self.axial
    }

    /// Factor along Y and Z.
    pub fn radial(&self) -> f64 {
        self.radial
    }

    /// Whether both factors are one number, so that every shape stays what it is.
    pub fn is_uniform(&self) -> bool {
        (self.axial - self.radial).abs() < f64::EPSILON
    }

    /// Whether nothing changes.
    pub fn is_none(&self) -> bool {
        *self == Self::NONE
    }

    /// The larger factor: no distance grows by more.
    pub fn largest(&self) -> f64 {
        self.axial.max(self.radial)
    }

    /// The image of a point, mm.
    pub fn point(&self, p: P3) -> P3 {
        P3::from(self.vector(p.coords))
    }

    /// The image of a vector between two points, mm.
    pub fn vector(&self, v: V3) -> V3 {
        V3::new(v.x * self.axial, v.y * self.radial, v.z * self.radial)
    }

    /// The point whose image is `p`, mm.
    pub fn source(&self, p: P3) -> P3 {
        P3::new(p.x / self.axial, p.y / self.radial, p.z / self.radial)
    }

    /// The image of an area vector (normal times area), mm²: the map's cofactors, since a volume over the area grows
    /// by [`Self::volume_factor`] whatever its edge out of the area does.
    pub fn area_vector(&self, n: V3) -> V3 {
        let side = self.axial * self.radial;
        V3::new(n.x * self.radial * self.radial, n.y * side, n.z * side)
    }

    /// The unit normal of the image of a surface with normal `n` (any length but zero).
    pub fn normal(&self, n: V3) -> V3 {
        if self.is_uniform() { n.normalize() } else { self.area_vector(n).normalize() }
    }

    /// By how much volumes grow.
    pub fn volume_factor(&self) -> f64 {
        self.axial * self.radial * self.radial
    }

    /// Whether circles across a direction stay circles: always where the map is uniform, else only across X.
    fn keeps_round(&self, axis: V3) -> bool {
        self.is_uniform() || axis.y.hypot(axis.z) < crate::tolerance::PARALLEL
    }
}
