//! What a part of a plan is about.

use crate::geometry::P3;

/// What a part is about.
#[derive(Clone, Debug)]
pub(super) struct PartScope {
    pub(super) places: Vec<P3>,
    /// How far about the places, mm.
    pub(super) reach: f64,
    /// Smaller balls do not roll, mm.
    pub(super) down_to: f64,
}

impl PartScope {
    /// Whether a place is near.
    pub(super) fn holds(&self, p: P3) -> bool {
        self.places.iter().any(|q| (p - q).norm() < self.reach)
    }

    /// Whether a ball rolls.
    pub(super) fn rolls(&self, radius: f64) -> bool {
        radius >= self.down_to
    }
}
