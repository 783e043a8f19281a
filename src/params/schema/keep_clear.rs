//! `mating.turning` and `surroundings`: what must not touch the housing, inside and outside.

use super::{PRACTICE, range};
use crate::params::kinds::{Choice, Length, Range, Text};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::Mm;

const ALONG: Range = range(-2000.0, 3000.0, "about the housing");
const SIZE: Range = range(0.5, 3000.0, "about the housing");
const ROOM: Range = range(0.0, 200.0, "a clearance");

/// A part that turns about the shaft, as the cylinder it sweeps.
#[derive(Debug, Clone, PartialEq)]
pub struct Turning {
    /// Its name.
    pub name: Slot<String>,
    /// Where it begins.
    pub from: Slot<Mm>,
    /// How long it is.
    pub length: Slot<Mm>,
    /// Its largest diameter.
    pub diameter: Slot<Mm>,
    /// Room about it.
    pub clearance: Slot<Mm>,
}

impl Section for Turning {
    fn read(s: &mut Sheet<'_>) -> Self {
        Self {
            name: s.key("name", "What it is.").value(Text(60), "drive gear").required(),
            from: s.key("from", "Station at which it begins.").value(Length(ALONG), "272").required(),
            length: s.key("length", "Its length along the shaft.").value(Length(SIZE), "14").required(),
            diameter: s.key("diameter", "Its largest diameter.").value(Length(SIZE), "46").required(),
            clearance: s
                .key("clearance", "Least room between it and the housing.")
                .value(Length(ROOM), "2")
                .or_assume(Mm::new(2.0), "casting tolerance and end play", PRACTICE),
        }
    }
}

/// The shape of a thing beside the housing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NeighbourKind {
    /// A box along the shaft.
    Box,
    /// A round along the shaft.
    Pipe,
}

/// A thing beside the housing.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// Its name.
    pub name: Slot<String>,
    /// Its shape.
    pub kind: Slot<NeighbourKind>,
    /// Where it begins.
    pub from: Slot<Mm>,
    /// How long it is.
    pub length: Slot<Mm>,
    /// Its middle, to the right of the shaft.
    pub side: Slot<Mm>,
    /// Its middle, above the shaft.
    pub height: Slot<Mm>,
    /// Its width, or a pipe's diameter.
    pub width: Slot<Mm>,
    /// How tall a box is.
    pub tall: Slot<Mm>,
    /// Room about it.
    pub clearance: Slot<Mm>,
}

impl Section for Neighbour {
    fn read(s: &mut Sheet<'_>) -> Self {
        const KIND: Choice<NeighbourKind> = Choice(&[
            ("box", NeighbourKind::Box, "a box along the shaft: floor, tunnel wall, crossmember"),
            ("pipe", NeighbourKind::Pipe, "a round along the shaft: exhaust, line"),
        ]);
        Self {
            name: s.key("name", "What it is.").value(Text(60), "tunnel roof").required(),
            kind: s.key("kind", "Its shape.").value(KIND, "box").required(),
            from: s.key("from", "Station at which it begins.").value(Length(ALONG), "-25").required(),
            length: s.key("length", "Its length along the shaft.").value(Length(SIZE), "430").required(),
            side: s
                .key("side", "Its middle, to the right of the shaft axis; left is negative.")
                .value(Length(ALONG), "0")
                .required(),
            height: s
                .key("height", "Its middle, above the shaft axis; below is negative.")
                .value(Length(ALONG), "152")
                .required(),
            width: s
                .key("width", "Its width across the shaft, or the diameter of a pipe.")
                .value(Length(SIZE), "406")
                .required(),
            tall: s
                .key("tall", "How tall a box is; a pipe has only its diameter.")
                .value(Length(SIZE), "38")
                .optional(),
            clearance: s
                .key("clearance", "Least room between it and the housing.")
                .value(Length(ROOM), "10")
                .or_assume(Mm::new(10.0), "a gearbox moves on its mounts", PRACTICE),
        }
    }
}
