//! The printer for the trial print.

use super::record::record;
use crate::params::{Origin, schema};
use crate::standards::printing::Plastic;
use crate::units::Mm;

record! {
    /// The printer for the trial print.
    pub struct TrialPrint {
        /// Length and width of the bed, and height.
        bed: [Mm; 3],
        /// Whether the file names a size of the bed, so that it is no mere assumption.
        bed_named: bool,
        /// Margin kept free at the bed's edges and at the top.
        margin: Mm,
        /// The plastic.
        material: Plastic,
        /// Linear shrink of the plastic: 0.002 for 0.2 %.
        shrink: f64,
        /// Thinnest wall that prints.
        wall: Mm,
        /// Diameter of pegs between pieces.
        peg: Mm,
        /// Room around a peg, on each side.
        clearance: Mm,
        /// Whether only the left half is printed.
        half_section: bool,
    }
}

impl TrialPrint {
    pub(super) fn from_file(raw: &schema::RawTrialPrint) -> Option<Self> {
        Some(Self {
            bed: [raw.bed_length.get()?, raw.bed_width.get()?, raw.bed_height.get()?],
            bed_named: [&raw.bed_length, &raw.bed_width, &raw.bed_height]
                .iter()
                .any(|size| size.origin() == Origin::Given),
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
