//! `mating.turning`: parts that turn inside the housing.

use super::{PRACTICE, range};
use crate::params::kinds::{Length, Range, Text};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

const ALONG: Range = range(-2000.0, 3000.0, "around the housing");
const SIZE: Range = range(0.5, 3000.0, "around the housing");
const ROOM: Range = range(0.0, 200.0, "a clearance");

/// A part that turns about the shaft, as the cylinder it sweeps.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTurning {
    /// Its name.
    pub name: Parameter<String>,
    /// Station of its front end.
    pub from: Parameter<Mm>,
    /// Its length along the shaft.
    pub length: Parameter<Mm>,
    /// Its largest diameter, or that at its front.
    pub diameter: Parameter<Mm>,
    /// Its diameter at its rear, where it tapers.
    pub rear_diameter: Parameter<Mm>,
    /// Least clearance to the housing.
    pub clearance: Parameter<Mm>,
}

impl Section for RawTurning {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            name: s.key("name", "Name of the part.").value(Text(60), "drive gear").required(),
            from: s.key("from", "Station at which it begins.").value(Length(ALONG), "272").required(),
            length: s.key("length", "Its length along the shaft.").value(Length(SIZE), "14").required(),
            diameter: s.key("diameter", "Its largest diameter.").value(Length(SIZE), "46").required(),
            rear_diameter: s
                .key("rear_diameter", "Its diameter at the rear, where it tapers evenly.")
                .value(Length(SIZE), "40")
                .optional(),
            clearance: s
                .key("clearance", "Least room between it and the housing.")
                .value(Length(ROOM), "2")
                .or_assume(Mm::new(2.0), "casting tolerance and end play", PRACTICE),
        }
    }
}
