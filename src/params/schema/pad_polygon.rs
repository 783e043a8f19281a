//! `shift_box_pad.polygon` and `shift_box_pad.dowels`: a free outline, and holes that locate the shift box.

use super::{PART_SIZE, PRACTICE, SIDE, range};
use crate::params::kinds::{Length, Radius};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// One corner of a pad's polygon, from the pad's centre.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPolygonCorner {
    /// Aft of the centre.
    pub along: Parameter<Mm>,
    /// Across from the centre.
    pub across: Parameter<Mm>,
    /// Radius of the rounding.
    pub radius: Parameter<Mm>,
}

impl Section for RawPolygonCorner {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            along: along(s, "57.0"),
            across: across(s, "-44.0"),
            radius: s
                .key("radius", "Radius of the rounding, of an inner corner as well; 0 for a sharp corner.")
                .value(Radius(range(0.0, 200.0, PART_SIZE)), "8.0")
                .or_assume(Mm::new(6.0), "at least the wall, so that corners fill", PRACTICE),
        }
    }
}

/// A blind dowel hole in a pad's face.
#[derive(Debug, Clone, PartialEq)]
pub struct RawDowel {
    /// Aft of the centre.
    pub along: Parameter<Mm>,
    /// Across from the centre.
    pub across: Parameter<Mm>,
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// Depth at full diameter.
    pub depth: Parameter<Mm>,
}

impl Section for RawDowel {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            along: along(s, "40.0"),
            across: across(s, "0"),
            diameter: s
                .key("diameter", "Diameter of the hole, reamed to the dowel's fit.")
                .value(Length(range(3.0, 25.0, "thinner dowels shear, and thicker ones are not used")), "8.0")
                .or_assume(Mm::new(8.0), "a common dowel", PRACTICE),
            depth: s
                .key("depth", "Depth at full diameter, from the pad's face.")
                .value(Length(range(3.0, 60.0, "shorter holds no dowel, longer is not reamed")), "12.0")
                .or_derive(
                    "1.5 x diameter",
                    "holds the dowel by its own diameter, with room below",
                    PRACTICE,
                ),
        }
    }
}

fn along(s: &mut SectionReader<'_>, example: &'static str) -> Parameter<Mm> {
    s.key("along", "Aft of the pad's centre; ahead of it is negative.")
        .value(Length(SIDE), example)
        .required()
}

fn across(s: &mut SectionReader<'_>, example: &'static str) -> Parameter<Mm> {
    s.key("across", "To the right of the pad's centre, seen from behind; left is negative.")
        .value(Length(SIDE), example)
        .required()
}
