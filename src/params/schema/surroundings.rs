//! `surroundings`: bodies beside the housing in the vehicle.

use super::{PRACTICE, range};
use crate::params::kinds::{Choice, Length, Range, Text};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

const ALONG: Range = range(-2000.0, 3000.0, "around the housing");
const SIZE: Range = range(0.5, 3000.0, "around the housing");
const ROOM: Range = range(0.0, 200.0, "a clearance");

/// The shape of a body beside the housing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NeighbourKind {
    /// A box along the shaft.
    Box,
    /// A cylinder along the shaft.
    Pipe,
    /// Any closed outline along the shaft.
    Profile,
    /// Triangles of a file.
    Stl,
}

/// A body beside the housing.
#[derive(Debug, Clone, PartialEq)]
pub struct RawNeighbour {
    /// Its name.
    pub name: Parameter<String>,
    /// Its shape.
    pub kind: Parameter<NeighbourKind>,
    /// Station of its front end.
    pub from: Parameter<Mm>,
    /// Its length along the shaft.
    pub length: Parameter<Mm>,
    /// Its middle, to the right of the shaft.
    pub side: Parameter<Mm>,
    /// Its middle, above the shaft.
    pub height: Parameter<Mm>,
    /// Its width, or a pipe's diameter.
    pub width: Parameter<Mm>,
    /// Height of a box.
    pub tall: Parameter<Mm>,
    /// Corners of a profile.
    pub corners: ParameterList<NeighbourCorner>,
    /// The file of an STL.
    pub file: Parameter<String>,
    /// Least clearance to the housing.
    pub clearance: Parameter<Mm>,
}

/// A corner of a profile.
#[derive(Debug, Clone, PartialEq)]
pub struct NeighbourCorner {
    /// To the right of the shaft.
    pub side: Parameter<Mm>,
    /// Above the shaft.
    pub height: Parameter<Mm>,
}

impl Section for NeighbourCorner {
    fn read(s: &mut SectionReader<'_>) -> Self {
        let side = s.key("side", "To the right of the shaft axis; left is negative.");
        let side = side.value(Length(ALONG), "-200").required();
        let height = s.key("height", "Above the shaft axis; below is negative.");
        Self { side, height: height.value(Length(ALONG), "120").required() }
    }
}

impl Section for RawNeighbour {
    fn read(s: &mut SectionReader<'_>) -> Self {
        use NeighbourKind::{Box, Pipe, Profile, Stl};
        const KIND: Choice<NeighbourKind> = Choice(&[
            ("box", Box, "a box along the shaft: floor, crossmember"),
            ("pipe", Pipe, "a cylinder along the shaft: exhaust, line"),
            (
                "profile",
                Profile,
                "any closed outline along the shaft, solid inside, by its corners: a tunnel's sheet",
            ),
            ("stl", Stl, "triangles of an STL file, in millimetres, in the housing's own frame"),
        ]);
        let name = s.key("name", "Name of the body.").value(Text(60), "tunnel roof").required();
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
            tall: place("tall", "Height of a box; its width if left out.", SIZE, "38"),
            corners: s.key("corners", "The profile's corners, in their order around it.").list(0, 60),
            file: s
                .key("file", "The STL file, relative to this file or as a full path.")
                .value(Text(200), "tunnel.stl")
                .optional(),
            clearance: s
                .key("clearance", "Least room between it and the housing.")
                .value(Length(ROOM), "10")
                .or_assume(Mm::new(10.0), "a gearbox moves on its mounts", PRACTICE),
        }
    }
}
