//! `mating.turning`: what turns inside the housing.

use super::{PRACTICE, range};
use crate::params::kinds::{Length, Range, Text};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::Mm;

const ALONG: Range = range(-2000.0, 3000.0, "about the housing");
const SIZE: Range = range(0.5, 3000.0, "about the housing");
const ROOM: Range = range(0.0, 200.0, "a clearance");

/// A part that turns about the shaft, as the cylinder it sweeps.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTurning {
    /// Its name.
    pub name: Slot<String>,
    /// Where it begins.
    pub from: Slot<Mm>,
    /// How long it is.
    pub length: Slot<Mm>,
    /// Its largest diameter, or that at its front.
    pub diameter: Slot<Mm>,
    /// Its diameter at its rear, where it tapers.
    pub rear_diameter: Slot<Mm>,
    /// Room about it.
    pub clearance: Slot<Mm>,
}

impl Section for RawTurning {
    fn read(s: &mut Sheet<'_>) -> Self {
        Self {
            name: s.key("name", "What it is.").value(Text(60), "drive gear").required(),
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
