//! The printer for a trial of the fit.

use super::record::record;
use crate::params::schema;
use crate::standards::printing::Plastic;
use crate::units::Mm;

record! {
    /// The printer for a trial of the fit.
    pub struct TrialPrint {
        /// Bed one way, the other way, and height.
        bed: [Mm; 3],
        /// Kept free at the bed's edges and at the top.
        margin: Mm,
        /// The plastic.
        material: Plastic,
        /// Linear shrink of the plastic: 0.002 for 0.2 %.
        shrink: f64,
        /// Thinnest wall that prints.
        wall: Mm,
        /// Diameter of pegs between pieces.
        peg: Mm,
        /// Room about a peg, per side.
        clearance: Mm,
        /// Whether only the left half is printed.
        half_section: bool,
    }
}

impl TrialPrint {
    pub(super) fn from_file(raw: &schema::RawTrialPrint) -> Option<Self> {
        Some(Self {
            bed: [raw.bed_length.get()?, raw.bed_width.get()?, raw.bed_height.get()?],
            margin: raw.margin.get()?,
            material: raw.material.get()?,
            shrink: raw.shrink.get()?.share(),
            wall: raw.wall.get()?,
            peg: raw.peg.get()?,
            clearance: raw.clearance.get()?,
            half_section: raw.half_section.get()?,
        })
    }
}
