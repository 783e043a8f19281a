//! `surroundings`: what lies beside the housing in the vehicle.

use super::{PRACTICE, range};
use crate::params::kinds::{Choice, Length, Range, Text};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::{ListSlot, Slot};
use crate::units::Mm;

const ALONG: Range = range(-2000.0, 3000.0, "about the housing");
const SIZE: Range = range(0.5, 3000.0, "about the housing");
const ROOM: Range = range(0.0, 200.0, "a clearance");

/// The shape of a thing beside the housing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NeighbourKind {
    /// A box along the shaft.
    Box,
    /// A round along the shaft.
    Pipe,
    /// Any closed outline along the shaft.
    Profile,
    /// Triangles of a file.
    Stl,
}

/// A thing beside the housing.
#[derive(Debug, Clone, PartialEq)]
pub struct RawNeighbour {
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
    /// Corners of a profile.
    pub corners: ListSlot<NeighbourCorner>,
    /// The file of an STL.
    pub file: Slot<String>,
    /// Room about it.
    pub clearance: Slot<Mm>,
}

/// A corner of a profile.
#[derive(Debug, Clone, PartialEq)]
pub struct NeighbourCorner {
    /// To the right of the shaft.
    pub side: Slot<Mm>,
    /// Above the shaft.
    pub height: Slot<Mm>,
}

impl Section for NeighbourCorner {
    fn read(s: &mut Sheet<'_>) -> Self {
        let side = s.key("side", "To the right of the shaft axis; left is negative.");
        let side = side.value(Length(ALONG), "-200").required();
        let height = s.key("height", "Above the shaft axis; below is negative.");
        Self { side, height: height.value(Length(ALONG), "120").required() }
    }
}

impl Section for RawNeighbour {
    fn read(s: &mut Sheet<'_>) -> Self {
        use NeighbourKind::{Box, Pipe, Profile, Stl};
        const KIND: Choice<NeighbourKind> = Choice(&[
            ("box", Box, "a box along the shaft: floor, crossmember"),
            ("pipe", Pipe, "a round along the shaft: exhaust, line"),
            (
                "profile",
                Profile,
                "any closed outline along the shaft, solid inside, by its corners: a tunnel's sheet",
            ),
            ("stl", Stl, "triangles of an STL file, in millimetres, in the housing's own frame"),
        ]);
        let name = s.key("name", "What it is.").value(Text(60), "tunnel roof").required();
        let kind = s.key("kind", "Its shape.").value(KIND, "box").required();
        let mut place = |name: &'static str, about: &'static str, range: Range, example: &'static str| {
            s.key(name, about).value(Length(range), example).optional()
        };
        Self {
            name,
            kind,
            from: place("from", "Station at which it begins (box, pipe, profile).", ALONG, "-25"),
            length: place("length", "Its length along the shaft (box, pipe, profile).", SIZE, "430"),
            side: place(
                "side",
                "Its middle, to the right of the shaft axis; left is negative (box, pipe).",
                ALONG,
                "0",
            ),
            height: place(
                "height",
                "Its middle, above the shaft axis; below is negative (box, pipe).",
                ALONG,
                "152",
            ),
            width: place("width", "Its width across the shaft, or the diameter of a pipe.", SIZE, "406"),
            tall: place("tall", "How tall a box is; as its width without it.", SIZE, "38"),
            corners: s.key("corners", "The profile's corners, in their order around it.").list(0, 60),
            file: s
                .key("file", "The STL file, beside this one or by its full path.")
                .value(Text(200), "tunnel.stl")
                .optional(),
            clearance: s
                .key("clearance", "Least room between it and the housing.")
                .value(Length(ROOM), "10")
                .or_assume(Mm::new(10.0), "a gearbox moves on its mounts", PRACTICE),
        }
    }
}
