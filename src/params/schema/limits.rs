//! `limits`: what checks hold the part against, in place of their own limits.

use super::range;
use super::section::section;
use crate::params::kinds::{Angle, Factor, Length, Range};
use crate::units::{Deg, Mm};

const WALL: Range = range(0.1, 50.0, "a wall of a housing");
const ROOM: Range = range(0.0, 100.0, "a gap on a housing");
const MULTIPLE: Range = range(0.1, 20.0, "a multiple");
const SHARE: Range = range(0.0, 1.0, "a share of the whole");
const UNEVENNESS: Range = range(0.1, 10_000.0, "shafts that turn");

section! {
    /// Limits that the file gives; those left out are the checks' own.
    pub struct LimitsKeys => GivenLimits {
    } optional {
        /// Least thickness of a wall between cast faces; the alloy's without it.
        wall: Mm = |k| k.value(Length(WALL), "3").optional();
        /// Least wall between cavity and outside in the worst case.
        oil_wall: Mm = |k| k.value(Length(WALL), "4").optional();
        /// Least metal between a machined face and the next face.
        machined_wall: Mm = |k| k.value(Length(WALL), "1.5").optional();
        /// The same in the worst case.
        machined_wall_worst: Mm = |k| k.value(Length(WALL), "1").optional();
        /// Least metal under a blind hole.
        floor: Mm = |k| k.value(Length(WALL), "2").optional();
        /// Least metal at an edge in which two faces meet.
        thin_edge: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least depth of full thread, in diameters of the thread.
        engagement: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Least distance of a hole's centre from an edge, in diameters of the bolt.
        edge_distance: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Least gap between two features, for the sand between them.
        gap: Mm = |k| k.value(Length(ROOM), "8").optional();
        /// Least room about a bolt's head or washer.
        head_room: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least room about a socket on its straight way to a bolt.
        socket_way: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least free turn of a spanner on a bolt.
        swing: Deg = |k| k.value(Angle(range(0.0, 360.0, "a turn")), "60").optional();
        /// Least room beside the sender on its way in.
        sender_way: Mm = |k| k.value(Length(ROOM), "3").optional();
        /// Least draft of cast walls.
        draft: Deg = |k| k.value(Angle(range(0.0, 10.0, "a draft")), "1").optional();
        /// Greatest area that holds pattern or core box, in square millimetres.
        undercut: f64 = |k| k.value(Factor(range(0.0, 1e6, "faces of a housing")), "500").optional();
        /// Least stock left on a machined face in the worst case.
        stock_left: Mm = |k| k.value(Length(ROOM), "0.3").optional();
        /// Greatest pressure on the core's prints, in megapascals.
        bearing: f64 = |k| k.value(Factor(range(0.0, 10.0, "moulding sand")), "0.05").optional();
        /// Largest ball inside the casting, in walls of the shell.
        hot_spot: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// Greatest modulus of a lump, in the modulus of the shell's wall.
        lump: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// How many times thicker a wall may become on a short way.
        section_change: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// Greatest depth of a cored hole, in its widths.
        cored_depth: f64 = |k| k.value(Factor(MULTIPLE), "4").optional();
        /// Least width of a cored hole.
        cored_width: Mm = |k| k.value(Length(ROOM), "10").optional();
        /// Greatest share of a printed surface that hangs over.
        overhang: f64 = |k| k.value(Factor(SHARE), "0.3").optional();
        /// Greatest clearance of the yoke's barrel in its bushing, on the diameter.
        running_clearance: Mm = |k| k.value(Length(ROOM), "0.2").optional();
        /// Greatest distance of the bushing's axis, the rail's and the like from where the gearbox wants them.
        line_up: Mm = |k| k.value(Length(ROOM), "0.127").optional();
        /// Greatest distance of a feature from where the vehicle's hard points put it.
        place: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least factor of safety of barrel and spline in shear.
        safety: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Greatest speed of the propeller shaft, over its critical one.
        critical_share: f64 = |k| k.value(Factor(SHARE), "0.75").optional();
        /// Greatest acceleration of the propeller shaft by the first joint's angle, rad/s².
        shaft_unevenness: f64 = |k| k.value(Factor(UNEVENNESS), "1000").optional();
        /// Greatest acceleration that both joints together leave over at the axle, rad/s².
        axle_unevenness: f64 = |k| k.value(Factor(UNEVENNESS), "400").optional();
    }
}
