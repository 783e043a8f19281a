//! `trial_print` and `forms`.

use super::{PRACTICE, range};
use crate::params::kinds::{Flag, Length, Percent};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::Mm;

/// A print for trying the fit.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialPrint {
    /// Bed, front to back.
    pub bed_length: Slot<Mm>,
    /// Bed, side to side.
    pub bed_width: Slot<Mm>,
    /// Height of the printer.
    pub bed_height: Slot<Mm>,
    /// Kept free at the bed's edges.
    pub margin: Slot<Mm>,
    /// Shrink of the plastic, percent.
    pub shrink: Slot<f64>,
    /// Thinnest wall.
    pub wall: Slot<Mm>,
    /// Diameter of pegs between pieces.
    pub peg: Slot<Mm>,
    /// Room about a peg, per side.
    pub clearance: Slot<Mm>,
    /// Print one half only.
    pub half_section: Slot<bool>,
}

impl Section for TrialPrint {
    fn read(s: &mut Sheet<'_>) -> Self {
        let bed = range(80.0, 2000.0, "sizes of printers");
        let mut size = |name: &'static str, about: &'static str| {
            s.key(name, about).value(Length(bed), "220").or_assume(
                Mm::new(220.0),
                "a common desktop printer",
                PRACTICE,
            )
        };
        let (bed_length, bed_width, bed_height) = (
            size("bed_length", "Bed of the printer, one way."),
            size("bed_width", "Bed of the printer, the other way."),
            size("bed_height", "Height that the printer reaches."),
        );
        Self {
            bed_length,
            bed_width,
            bed_height,
            margin: s
                .key("margin", "Kept free at the bed's edges and at the top.")
                .value(Length(range(0.0, 50.0, "more wastes the bed")), "5")
                .or_assume(Mm::new(5.0), "room for a brim", PRACTICE),
            shrink: s
                .key(
                    "shrink",
                    "Linear shrink of the plastic; the print is drawn larger by it. Print a bar and measure.",
                )
                .value(Percent(range(0.0, 3.0, "no filament shrinks by more")), "0.2 %")
                .or_assume(
                    0.2,
                    "PLA, between 0.1 and 0.3 %; ABS 0.4 to 0.8",
                    "trade pages, read; they differ",
                ),
            wall: s
                .key("wall", "Thinnest wall that prints.")
                .value(Length(range(0.4, 5.0, "one line of the nozzle to a solid wall")), "1.2")
                .or_assume(Mm::new(1.2), "three lines of a 0.4 mm nozzle", PRACTICE),
            peg: s
                .key("peg", "Diameter of the pegs between pieces; the wall may ask for less.")
                .value(Length(range(2.0, 20.0, "thinner ones break, thicker ones fit in no wall")), "5")
                .or_assume(Mm::new(5.0), "between 4 and 6 mm", PRACTICE),
            clearance: s
                .key("clearance", "Room about a peg in its socket, on each side.")
                .value(Length(range(0.0, 1.0, "more lets the pieces shift")), "0.15")
                .or_assume(Mm::new(0.15), "a snug fit", "trade pages, read"),
            half_section: s
                .key("half_section", "Print the left half only, to look inside.")
                .value(Flag, "false")
                .or_assume(false, "the whole part is to be offered up", PRACTICE),
        }
    }
}

/// Which forms are built when the command line does not say; the finished part always is.
#[derive(Debug, Clone, PartialEq)]
pub struct Forms {
    /// The raw casting.
    pub casting: Slot<bool>,
    /// The pattern's halves.
    pub pattern: Slot<bool>,
    /// The core.
    pub core: Slot<bool>,
    /// The core box's halves.
    pub core_box: Slot<bool>,
    /// The trial print.
    pub trial_print: Slot<bool>,
}

impl Section for Forms {
    fn read(s: &mut Sheet<'_>) -> Self {
        let mut wanted =
            |name: &'static str, about: &'static str| s.key(name, about).value(Flag, "true").optional();
        Self {
            casting: wanted("casting", "The casting: stock on machined faces, draft, small holes solid."),
            pattern: wanted("pattern", "The pattern in two halves, with prints, larger by the contraction."),
            core: wanted("core", "The core with its prints."),
            core_box: wanted("core_box", "The core box in two halves."),
            trial_print: wanted("trial_print", "Pieces for a 3D printer, to try the fit."),
        }
    }
}
