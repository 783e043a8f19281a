//! Settings of the forms, collected from the design.

use crate::design::Design;
use crate::standards::core_prints::SAND_BEARING;
use crate::standards::materials::Family;
use crate::units::Units;
use solidwright::geometry::{Stretch, V3};

/// Values that all moulded forms share. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// Direction in which the upper half of the mould is lifted.
    pub up: V3,
    /// Draft of outside walls.
    pub draft: f64,
    /// Draft of walls formed by a core box.
    pub core_draft: f64,
    /// Factors of the contraction, along the shaft and across it: the pattern is larger by them.
    pub scale: Stretch,
    /// Lengths of the prints at the front and the rear.
    pub print_lengths: [f64; 2],
    /// Taper of print ends.
    pub print_taper: f64,
    /// By how much a core print is smaller than the pattern's, on each side.
    pub print_clearance: f64,
    /// Greatest pressure of the core on its prints, megapascals.
    pub bearing: f64,
    /// Diameter of the vent along the core; zero for none.
    pub vent: f64,
    /// Whether loose pieces are parted off the pattern's halves.
    pub loose_pieces: bool,
    /// Room between a loose piece and its half, on each side.
    pub loose_clearance: f64,
    /// Diameter of dowels between halves.
    pub dowel: f64,
    /// Thickness of the finished flange.
    pub flange: f64,
    /// Machined holes below this diameter are cast solid.
    pub cored_above: f64,
    /// The metal that is poured.
    pub family: Family,
    /// In what notes tell lengths.
    pub units: Units,
}

impl Settings {
    /// The settings of a design.
    pub fn of(design: &Design) -> Self {
        let casting = design.casting();
        let (mould, prints) = (casting.mould(), casting.prints());
        let (s, c) = mould.parting_clock().sin_cos();
        let (axial, radial) = (1.0 + mould.axial_contraction(), 1.0 + mould.radial_contraction());
        Self {
            up: V3::new(0.0, s, c),
            draft: mould.draft().to_radians(),
            core_draft: mould.core_draft().to_radians(),
            // Contractions are between 0 and 5 %, so the stretch is valid.
            scale: Stretch::new(axial, radial).unwrap_or(Stretch::NONE),
            print_lengths: [prints.front_length().get(), prints.rear_length().get()],
            print_taper: prints.taper().to_radians(),
            print_clearance: prints.clearance().get(),
            bearing: design.limits().bearing.unwrap_or(SAND_BEARING),
            vent: prints.vent().get(),
            loose_pieces: mould.loose_pieces(),
            loose_clearance: mould.loose_clearance().get(),
            dowel: prints.dowels().get(),
            flange: design.gearbox_face().flange_thickness().get(),
            cored_above: casting.stock().cored_above().get(),
            family: casting.alloy().family,
            units: design.units(),
        }
    }

    /// Depth of a dowel's hole in each half, before the contraction, mm.
    pub fn dowel_depth(&self) -> f64 {
        super::split::DEPTH * self.dowel
    }

    /// The direction across the shaft in the parting plane.
    pub fn across(&self) -> V3 {
        self.up.cross(&V3::x())
    }
}
