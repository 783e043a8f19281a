//! `limits`: limits that replace the built-in limits of the checks.

use super::range;
use super::section::section;
use crate::params::kinds::{Angle, Factor, Length, Measure, Range};
use crate::units::{AREA, Deg, Mm, STRESS};

const WALL: Range = range(0.1, 50.0, "a wall of a housing");
const ROOM: Range = range(0.0, 100.0, "a gap on a housing");
const MULTIPLE: Range = range(0.1, 20.0, "a multiple");
const SHARE: Range = range(0.0, 1.0, "a share of the whole");
const UNEVENNESS: Range = range(0.1, 10_000.0, "shafts that turn");

section! {
    /// Limits from the file; where one is left out, the check's built-in limit applies.
    pub struct LimitsKeys => GivenLimits {
    } optional {
        /// Least thickness of a wall between cast faces; the alloy's if left out.
        wall: Mm = |k| k.value(Length(WALL), "3").optional();
        /// Least wall between cavity and outside in the worst case.
        oil_wall: Mm = |k| k.value(Length(WALL), "4").optional();
        /// Least metal between a machined face and the next face.
        machined_wall: Mm = |k| k.value(Length(WALL), "1.5").optional();
        /// The same in the worst case.
        machined_wall_worst: Mm = |k| k.value(Length(WALL), "1").optional();
        /// Least metal under a blind hole.
        floor: Mm = |k| k.value(Length(WALL), "2").optional();
        /// Least thickness at an edge where two faces meet.
        thin_edge: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least depth of full thread, in diameters of the thread; if left out, that at which the bolt breaks before the
        /// thread strips.
        engagement: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Least distance of a hole's centre from an edge, in diameters of the bolt.
        edge_distance: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Least gap between two features, for the sand between them.
        gap: Mm = |k| k.value(Length(ROOM), "8").optional();
        /// Least room around a bolt's head or washer.
        head_room: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least room around a socket on its straight path to a bolt.
        socket_way: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least free turn of a spanner on a bolt.
        swing: Deg = |k| k.value(Angle(range(0.0, 360.0, "a turn")), "60").optional();
        /// Least room beside the sender on its path into the bore.
        sender_way: Mm = |k| k.value(Length(ROOM), "3").optional();
        /// Least draft of cast walls.
        draft: Deg = |k| k.value(Angle(range(0.0, 10.0, "a draft")), "1").optional();
        /// Greatest area that holds pattern or core box.
        undercut: f64 = |k| k.value(Measure(&AREA, range(0.0, 1e6, "faces of a housing")), "500 mm²").optional();
        /// Least stock left on a machined face in the worst case.
        stock_left: Mm = |k| k.value(Length(ROOM), "0.3").optional();
        /// Greatest pressure on the core's prints.
        bearing: f64 = |k| k.value(Measure(&STRESS, range(0.0, 10.0, "moulding sand")), "0.05 MPa").optional();
        /// Largest ball inside the casting, as a multiple of the shell's wall.
        hot_spot: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// Greatest modulus of a lump, as a multiple of the modulus of the shell's wall.
        lump: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// Greatest ratio by which a wall may thicken over a short distance.
        section_change: f64 = |k| k.value(Factor(MULTIPLE), "3").optional();
        /// Greatest depth of a cored hole, in its widths.
        cored_depth: f64 = |k| k.value(Factor(MULTIPLE), "4").optional();
        /// Least width of a cored hole.
        cored_width: Mm = |k| k.value(Length(ROOM), "10").optional();
        /// Greatest share of a printed surface that overhangs.
        overhang: f64 = |k| k.value(Factor(SHARE), "0.3").optional();
        /// Greatest clearance of the yoke's barrel in its bushing, on the diameter.
        running_clearance: Mm = |k| k.value(Length(ROOM), "0.2").optional();
        /// Greatest distance of the axes of bushing, rail and the like from their true positions on the gearbox.
        line_up: Mm = |k| k.value(Length(ROOM), "0.127").optional();
        /// Greatest distance of a feature from its position according to the vehicle's hard points.
        place: Mm = |k| k.value(Length(ROOM), "1").optional();
        /// Least factor of safety of barrel and spline in shear.
        safety: f64 = |k| k.value(Factor(MULTIPLE), "1.5").optional();
        /// Greatest speed of the propeller shaft as a share of its critical speed.
        critical_share: f64 = |k| k.value(Factor(SHARE), "0.75").optional();
        /// Greatest angular acceleration of the propeller shaft due to the first joint's angle, rad/s².
        shaft_unevenness: f64 = |k| k.value(Factor(UNEVENNESS), "1000").optional();
        /// Greatest residual angular acceleration at the axle from both joints together, rad/s².
        axle_unevenness: f64 = |k| k.value(Factor(UNEVENNESS), "400").optional();
    }
}
