//! What the forms are made by, gathered from the design.

use crate::design::Design;
use crate::geometry::V3;

/// Values that all moulded forms share. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// Direction in which the upper half of the mould is lifted.
    pub up: V3,
    /// Draft of outside walls.
    pub draft: f64,
    /// Draft of walls given by a core box.
    pub core_draft: f64,
    /// Factors of the contraction, along the shaft and across it: the pattern is larger by them.
    pub scale: [f64; 2],
    /// Lengths of the prints at the front and the rear.
    pub print_lengths: [f64; 2],
    /// Taper of print ends.
    pub print_taper: f64,
    /// By how much a core print is smaller than the pattern's, per side.
    pub print_clearance: f64,
    /// Diameter of the vent along the core; zero for none.
    pub vent: f64,
    /// Diameter of dowels between halves.
    pub dowel: f64,
    /// Machined holes below this diameter are cast solid.
    pub cored_above: f64,
}

impl Settings {
    /// The settings of a design.
    pub fn of(design: &Design) -> Self {
        let _ = design;
        Self {
            up: V3::z(),
            draft: 1.5_f64.to_radians(),
            core_draft: 1.5_f64.to_radians(),
            scale: [1.013, 1.013],
            print_lengths: [60.0, 40.0],
            print_taper: 7.0_f64.to_radians(),
            print_clearance: 0.4,
            vent: 6.0,
            dowel: 8.0,
            cored_above: 30.0,
        }
    }

    /// The direction across the shaft in the parting plane.
    pub fn across(&self) -> V3 {
        self.up.cross(&V3::x())
    }
}
