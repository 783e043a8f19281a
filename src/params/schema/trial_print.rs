//! `trial_print`: the printer, its plastic, and the pegs that join the pieces.

use super::{PRACTICE, range};
use crate::params::kinds::{Choice, Flag, Length, Percentage};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::printing::{BED_MARGIN, LEAST_WALL, Plastic, PrintedFit};
use crate::units::{Mm, Percent};

/// A print for trying the fit.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTrialPrint {
    /// Bed, front to back.
    pub bed_length: Parameter<Mm>,
    /// Bed, side to side.
    pub bed_width: Parameter<Mm>,
    /// Height of the printer.
    pub bed_height: Parameter<Mm>,
    /// Margin kept free at the bed's edges.
    pub margin: Parameter<Mm>,
    /// The plastic.
    pub material: Parameter<Plastic>,
    /// Its shrink.
    pub shrink: Parameter<Percent>,
    /// Thinnest wall.
    pub wall: Parameter<Mm>,
    /// Diameter of pegs between pieces.
    pub peg: Parameter<Mm>,
    /// Room around a peg, on each side.
    pub clearance: Parameter<Mm>,
    /// Print one half only.
    pub half_section: Parameter<bool>,
}

impl Section for RawTrialPrint {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const PLASTICS: Choice<Plastic> = Choice(&[
            ("pla", Plastic::Pla, "prints easily, shrinks least"),
            ("petg", Plastic::Petg, "tougher, prints nearly as easily"),
            ("abs", Plastic::Abs, "withstands heat, needs a warm chamber"),
            ("asa", Plastic::Asa, "as ABS, and weather-resistant"),
            ("pa", Plastic::Pa, "polyamide, nylon; absorbs water and shrinks unevenly"),
            ("pc", Plastic::Pc, "polycarbonate"),
        ]);
        let bed = range(80.0, 2000.0, "sizes of printers");
        let mut size = |name: &'static str, about: &'static str| {
            s.key(name, about).value(Length(bed), "220").or_assume(
                Mm::new(220.0),
                "a common desktop printer",
                PRACTICE,
            )
        };
        let (bed_length, bed_width, bed_height) = (
            size("bed_length", "Length of the printer's bed."),
            size("bed_width", "Width of the printer's bed."),
            size("bed_height", "Greatest height of a print."),
        );
        Self {
            bed_length,
            bed_width,
            bed_height,
            margin: s
                .key("margin", "Margin kept free at the bed's edges and at the top.")
                .value(Length(range(0.0, 50.0, "more wastes the bed")), "5")
                .or_assume(Mm::new(BED_MARGIN), "room for a brim", PRACTICE),
            material: s
                .key("material", "The plastic, which gives the shrink.")
                .value(PLASTICS, "pla")
                .or_assume(Plastic::Pla, "the usual plastic for a model that only shows the shape", PRACTICE),
            shrink: s
                .key(
                    "shrink",
                    "Linear shrink of the plastic; the print is drawn larger by it. Print a bar and measure.",
                )
                .value(Percentage(range(0.0, 3.0, "no filament shrinks by more")), "0.2 %")
                .or_derive(
                    "the plastic's shrink",
                    "the middle of the range reported for the plastic",
                    "see the material",
                ),
            wall: s
                .key("wall", "Thinnest wall that prints.")
                .value(Length(range(0.4, 5.0, "from one line of the nozzle to a solid wall")), "1.2")
                .or_assume(Mm::new(LEAST_WALL), "three lines of a 0.4 mm nozzle", PRACTICE),
            peg: s
                .key("peg", "Diameter of the pegs between pieces; a thin wall may need a smaller one.")
                .value(Length(range(2.0, 20.0, "thinner pegs break, and thicker ones fit in no wall")), "5")
                .or_assume(Mm::new(5.0), "between 4 and 6 mm", PRACTICE),
            clearance: s
                .key("clearance", "Room around a peg in its socket, on each side.")
                .value(Length(range(0.0, 1.0, "more lets the pieces shift")), "0.15")
                .or_assume(Mm::new(PrintedFit::Snug.clearance()[0]), "a snug fit", "trade pages, read"),
            half_section: s
                .key("half_section", "Print the left half only, to look inside.")
                .value(Flag, "false")
                .or_assume(false, "the whole part is tried in the vehicle", PRACTICE),
        }
    }
}
