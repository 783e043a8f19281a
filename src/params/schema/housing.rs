//! `housing`: the part as a whole.

use super::range;
use crate::params::kinds::{Flag, Length, Text};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// The part as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct RawHousing {
    /// Product name.
    pub name: Parameter<String>,
    /// A one-line description.
    pub description: Parameter<String>,
    /// Whether the vehicle and the numbers are invented.
    pub invented: Parameter<bool>,
    /// From the gearbox face to the rearmost tail face.
    pub overall_length: Parameter<Mm>,
}

impl Section for RawHousing {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            name: s
                .key("name", "Product name, written into every file.")
                .value(Text(80), "Marlow 4 tail housing")
                .required(),
            description: s
                .key("description", "A one-line description, written into every file.")
                .value(Text(200), "Shortened tail housing for the Marlow 4")
                .optional(),
            invented: s
                .key(
                    "invented",
                    "Whether the vehicle and the numbers are invented, as in the demonstration files.",
                )
                .value(Flag, "true")
                .or_assume(false, "a file is taken to describe a real part", "common sense"),
            overall_length: s
                .key("overall_length", "From the gearbox face (station 0) to the rearmost face of the tail.")
                .value(
                    Length(range(
                        80.0,
                        1200.0,
                        "shorter has no room for bushing and seal, longer is no tail housing",
                    )),
                    "339.725",
                )
                .required(),
        }
    }
}
