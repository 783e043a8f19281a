//! `gearbox_face.gussets` and `gearbox_face.relief`: gussets that stiffen the flange, and a relief in its gasket face.

use super::{CLOCK, PART_SIZE, PRACTICE, STATION, range};
use crate::params::kinds::{Angle, Count, Length, Radius};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::{Deg, Mm};

/// A set of gussets behind the flange, evenly spaced around it.
///
/// Each is a plate in the plane of shaft axis and clock angle. Its crest runs straight from the flange's rear face, at
/// `outer_radius`, down to its tip at station `to`, `tip` above the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct FlangeGussets {
    /// Number of gussets.
    pub count: Parameter<u32>,
    /// Clock angle of the first.
    pub first_clock: Parameter<Deg>,
    /// Distance of the crest's front end from the shaft axis.
    pub outer_radius: Parameter<Mm>,
    /// Station of the tip.
    pub to: Parameter<Mm>,
    /// Height of the tip above the shell.
    pub tip: Parameter<Mm>,
    /// Thickness.
    pub thickness: Parameter<Mm>,
    /// Radius of the tip's outer corner.
    pub tip_radius: Parameter<Mm>,
}

impl Section for FlangeGussets {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            count: s
                .key("count", "Number of gussets, evenly spaced around the flange.")
                .value(Count(range(1.0, 24.0, "more leave no sand between them")), "6")
                .or_assume(1, "one gusset at `first_clock`", PRACTICE),
            first_clock: s
                .key("first_clock", "Clock angle of the first gusset: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "0 deg")
                .or_assume(Deg::new(0.0), "straight up", PRACTICE),
            outer_radius: s
                .key(
                    "outer_radius",
                    "Distance of the crest's front end from the shaft axis, on the flange's back.",
                )
                .value(Length(range(20.0, 300.0, PART_SIZE)), "92")
                .required(),
            to: s
                .key("to", "Station of the tip, where the gusset ends on the shell.")
                .value(Length(STATION), "48")
                .required(),
            tip: s
                .key(
                    "tip",
                    "Height of the tip above the shell; a gusset that tapers to nothing does not fill.",
                )
                .value(Length(range(1.0, 40.0, "lower does not fill, higher is a rib")), "3.0")
                .or_assume(Mm::new(3.0), "the thinnest that fills", PRACTICE),
            thickness: s
                .key("thickness", "Thickness of each gusset.")
                .value(
                    Length(range(3.0, 40.0, "thinner does not fill in a sand mould, thicker is a hot spot")),
                    "6.0",
                )
                .or_derive("shell.wall", "freezes together with the shell", PRACTICE),
            tip_radius: s
                .key("tip_radius", "Radius of the tip's outer corner; 0 for a sharp one.")
                .value(Radius(range(0.0, 30.0, PART_SIZE)), "2.0")
                .or_assume(Mm::new(2.0), "a cast edge is never sharp", PRACTICE),
        }
    }
}

/// A shallow ring sunk into the gearbox face, so that the gasket bears where it seals.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRelief {
    /// Inner diameter.
    pub inner_diameter: Parameter<Mm>,
    /// Outer diameter.
    pub outer_diameter: Parameter<Mm>,
    /// Depth.
    pub depth: Parameter<Mm>,
}

impl Section for RawRelief {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            inner_diameter: s
                .key("inner_diameter", "Inner diameter of the relieved ring.")
                .value(Length(range(30.0, 560.0, PART_SIZE)), "150")
                .required(),
            outer_diameter: s
                .key("outer_diameter", "Outer diameter of the relieved ring.")
                .value(Length(range(34.0, 580.0, PART_SIZE)), "160")
                .required(),
            depth: s
                .key("depth", "Depth below the face.")
                .value(Length(range(0.2, 8.0, "it only frees the gasket")), "1.0")
                .or_assume(Mm::new(1.0), "clears the gasket, and one cut makes it", PRACTICE),
        }
    }
}
