//! The surface, parallel to a wall, on which the centre of a ball runs that touches the wall.

use super::{P3, Surface, V3};

/// A wall as the ball's centre sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetSurface {
    /// The parallel surface; the wall lies at the ball's radius from it.
    pub surface: Surface,
    /// Whether the wall lies against the surface's gradient.
    pub against: bool,
}

impl OffsetSurface {
    fn sign(&self) -> f64 {
        if self.against { -1.0 } else { 1.0 }
    }

    /// Unit vector from the ball's centre to its foot on the wall.
    pub fn towards(&self, center: P3) -> V3 {
        self.surface.grad(center) * self.sign()
    }

    /// How fast [`Self::towards`] turns when the centre moves with a velocity.
    pub fn turning(&self, center: P3, velocity: V3) -> V3 {
        self.surface.hessian_times(center, velocity) * self.sign()
    }

    /// Height of a point over the wall, for a ball of the radius.
    pub fn height(&self, p: P3, radius: f64) -> f64 {
        radius - self.surface.f(p) * self.sign()
    }
}
