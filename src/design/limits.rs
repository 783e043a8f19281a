//! Limits that the file gives for checks.

use crate::params::schema;
use crate::units::{Deg, Mm};

/// Limits that the file gives; nothing where the check's own stands.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct GivenLimits {
    /// Least cast wall.
    pub wall: Option<Mm>,
    /// Least wall of the cavity in the worst case.
    pub oil_wall: Option<Mm>,
    /// Least metal beside a machined face.
    pub machined_wall: Option<Mm>,
    /// The same in the worst case.
    pub machined_wall_worst: Option<Mm>,
    /// Least floor of a blind hole.
    pub floor: Option<Mm>,
    /// Least gap between features.
    pub gap: Option<Mm>,
    /// Least room about a bolt's head.
    pub head_room: Option<Mm>,
    /// Least stock left in the worst case.
    pub stock_left: Option<Mm>,
    /// Least engagement of threads, in diameters.
    pub engagement: Option<f64>,
    /// Least distance of a hole's centre from an edge, in diameters.
    pub edge_distance: Option<f64>,
    /// Largest ball in the casting, in walls.
    pub hot_spot: Option<f64>,
    /// Least room beside the sender on its way in.
    pub sender_way: Option<Mm>,
    /// Least room about a socket on its straight way to a bolt.
    pub socket_way: Option<Mm>,
    /// Least free turn of a spanner on a bolt.
    pub swing: Option<Deg>,
    /// Greatest modulus of a lump, in the modulus of the shell's wall.
    pub lump: Option<f64>,
    /// How many times thicker a wall may become on a short way.
    pub section_change: Option<f64>,
    /// Greatest depth of a cored hole, in its widths.
    pub cored_depth: Option<f64>,
    /// Least width of a cored hole.
    pub cored_width: Option<Mm>,
    /// Least metal at an edge in which two faces meet.
    pub thin_edge: Option<Mm>,
    /// Least draft of cast walls.
    pub draft: Option<Deg>,
    /// Greatest area that holds pattern or core box, in mm2.
    pub undercut: Option<f64>,
    /// Greatest pressure on the core's prints, in megapascals.
    pub bearing: Option<f64>,
    /// Greatest share of a printed surface that hangs over.
    pub overhang: Option<f64>,
}

impl GivenLimits {
    pub(super) fn from_file(raw: &schema::Limits) -> Self {
        Self {
            wall: raw.wall.get(),
            oil_wall: raw.oil_wall.get(),
            machined_wall: raw.machined_wall.get(),
            machined_wall_worst: raw.machined_wall_worst.get(),
            floor: raw.floor.get(),
            gap: raw.gap.get(),
            head_room: raw.head_room.get(),
            stock_left: raw.stock_left.get(),
            engagement: raw.engagement.get(),
            edge_distance: raw.edge_distance.get(),
            hot_spot: raw.hot_spot.get(),
            sender_way: raw.sender_way.get(),
            socket_way: raw.socket_way.get(),
            swing: raw.swing.get(),
            lump: raw.lump.get(),
            section_change: raw.section_change.get(),
            cored_depth: raw.cored_depth.get(),
            cored_width: raw.cored_width.get(),
            thin_edge: raw.thin_edge.get(),
            draft: raw.draft.get(),
            undercut: raw.undercut.get(),
            bearing: raw.bearing.get(),
            overhang: raw.overhang.get(),
        }
    }
}
