//! `limits`: what checks hold the part against, in place of their own limits.

use super::range;
use crate::params::kinds::{Angle, Factor, Length, Range};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::{Deg, Mm};

/// Limits that the file gives; those left out are the checks' own.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Least cast wall.
    pub wall: Slot<Mm>,
    /// Least wall of the cavity in the worst case.
    pub oil_wall: Slot<Mm>,
    /// Least metal beside a machined face.
    pub machined_wall: Slot<Mm>,
    /// The same in the worst case.
    pub machined_wall_worst: Slot<Mm>,
    /// Least floor of a blind hole.
    pub floor: Slot<Mm>,
    /// Least gap between features.
    pub gap: Slot<Mm>,
    /// Least room about a bolt's head.
    pub head_room: Slot<Mm>,
    /// Least engagement of threads, in diameters.
    pub engagement: Slot<f64>,
    /// Least distance of a hole's centre from an edge, in diameters.
    pub edge_distance: Slot<f64>,
    /// Largest ball in the casting, in walls.
    pub hot_spot: Slot<f64>,
    /// Least room beside the sender on its way in.
    pub sender_way: Slot<Mm>,
    /// Least room about a socket on its straight way to a bolt.
    pub socket_way: Slot<Mm>,
    /// Least free turn of a spanner on a bolt.
    pub swing: Slot<Deg>,
    /// Greatest modulus of a lump, in the modulus of the shell's wall.
    pub lump: Slot<f64>,
    /// How many times thicker a wall may become on a short way.
    pub section_change: Slot<f64>,
    /// Greatest depth of a cored hole, in its widths.
    pub cored_depth: Slot<f64>,
    /// Least width of a cored hole.
    pub cored_width: Slot<Mm>,
    /// Least metal at an edge in which two faces meet.
    pub thin_edge: Slot<Mm>,
    /// Least draft of cast walls.
    pub draft: Slot<Deg>,
    /// Greatest area that holds pattern or core box, in mm2.
    pub undercut: Slot<f64>,
    /// Greatest pressure on the core's prints, in megapascals.
    pub bearing: Slot<f64>,
    /// Greatest share of a printed surface that hangs over.
    pub overhang: Slot<f64>,
    /// Least stock left in the worst case.
    pub stock_left: Slot<Mm>,
}

impl Section for Limits {
    fn read(s: &mut Sheet<'_>) -> Self {
        const WALL: Range = range(0.1, 50.0, "a wall of a housing");
        const ROOM: Range = range(0.0, 100.0, "a gap on a housing");
        let mut wall =
            |name: &'static str, about: &'static str| s.key(name, about).value(Length(WALL), "3").optional();
        let (cast, oil) = (
            wall("wall", "Least thickness of a wall between cast faces; the alloy's without it."),
            wall("oil_wall", "Least wall between cavity and outside in the worst case."),
        );
        let machined = wall("machined_wall", "Least metal between a machined face and the next face.");
        let worst = wall("machined_wall_worst", "The same in the worst case.");
        let floor = wall("floor", "Least metal under a blind hole.");
        let mut room =
            |name: &'static str, about: &'static str| s.key(name, about).value(Length(ROOM), "8").optional();
        let (gap, head_room) = (
            room("gap", "Least gap between two features, for the sand between them."),
            room("head_room", "Least room about a bolt's head or washer."),
        );
        let stock_left = room("stock_left", "Least stock left on a machined face in the worst case.");
        let sender_way = room("sender_way", "Least room beside the sender on its way in.");
        let socket_way = room("socket_way", "Least room about a socket on its straight way to a bolt.");
        let cored_width = room("cored_width", "Least width of a cored hole.");
        let thin_edge = room("thin_edge", "Least metal at an edge in which two faces meet.");
        let swing = s
            .key("swing", "Least free turn of a spanner on a bolt.")
            .value(Angle(range(0.0, 360.0, "a turn")), "60")
            .optional();
        let draft = s
            .key("draft", "Least draft of cast walls.")
            .value(Angle(range(0.0, 10.0, "a draft")), "1")
            .optional();
        // Not multiples, but plain numbers all the same.
        let mut number = |name: &'static str, about: &'static str, most: f64, example: &'static str| {
            s.key(name, about).value(Factor(range(0.0, most, "what can be measured")), example).optional()
        };
        let undercut =
            number("undercut", "Greatest area that holds pattern or core box, in mm2.", 1e6, "500");
        let bearing =
            number("bearing", "Greatest pressure on the core's prints, in megapascals.", 10.0, "0.05");
        let overhang = number("overhang", "Greatest share of a printed surface that hangs over.", 1.0, "0.3");
        let mut factor = |name: &'static str, about: &'static str, most: f64| {
            let range = range(0.1, most, "a multiple");
            s.key(name, about).value(Factor(range), "1.5").optional()
        };
        Self {
            wall: cast,
            oil_wall: oil,
            machined_wall: machined,
            machined_wall_worst: worst,
            floor,
            gap,
            head_room,
            stock_left,
            sender_way,
            socket_way,
            cored_width,
            thin_edge,
            swing,
            draft,
            undercut,
            bearing,
            overhang,
            engagement: factor("engagement", "Least depth of full thread, in diameters of the thread.", 5.0),
            edge_distance: factor(
                "edge_distance",
                "Least distance of a hole's centre from an edge, in diameters of the bolt.",
                5.0,
            ),
            hot_spot: factor("hot_spot", "Largest ball inside the casting, in walls of the shell.", 20.0),
            lump: factor("lump", "Greatest modulus of a lump, in the modulus of the shell's wall.", 20.0),
            section_change: factor(
                "section_change",
                "How many times thicker a wall may become on a short way.",
                20.0,
            ),
            cored_depth: factor("cored_depth", "Greatest depth of a cored hole, in its widths.", 20.0),
        }
    }
}
