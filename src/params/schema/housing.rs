//! `housing`: the part as a whole.

use super::range;
use crate::params::kinds::{Flag, Length, Text};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::Mm;

/// The part as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct RawHousing {
    /// Product name.
    pub name: Slot<String>,
    /// What it is, in a line.
    pub description: Slot<String>,
    /// Whether vehicle and numbers are invented.
    pub invented: Slot<bool>,
    /// From the gearbox face to the rearmost tail face.
    pub overall_length: Slot<Mm>,
}

impl Section for RawHousing {
    fn read(s: &mut Sheet<'_>) -> Self {
        Self {
            name: s
                .key("name", "Product name, written into every file.")
                .value(Text(80), "Marlow 4 tail housing")
                .required(),
            description: s
                .key("description", "What the part is, in a line; written into every file.")
                .value(Text(200), "Shortened tail housing for the Marlow 4")
                .optional(),
            invented: s
                .key("invented", "Whether vehicle and numbers are invented, as in the demonstration files.")
                .value(Flag, "true")
                .or_assume(false, "a file is taken to describe a real part", "plain sense"),
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
