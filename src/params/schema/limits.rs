//! `limits`: what checks hold the part against, in place of their own limits.

use super::range;
use crate::params::kinds::{Factor, Length, Range};
use crate::params::sheet::{Section, Sheet};
use crate::params::slot::Slot;
use crate::units::Mm;

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
    /// Least stock left in the worst case.
    pub stock_left: Slot<Mm>,
    /// Greatest running clearance of the yoke's barrel.
    pub running_clearance: Slot<Mm>,
    /// Greatest error of line-up with the gearbox's shaft.
    pub line_up: Slot<Mm>,
    /// Least factor of safety in shear.
    pub safety: Slot<f64>,
    /// Greatest share of the critical speed.
    pub critical_share: Slot<f64>,
    /// Greatest unevenness of the propeller shaft, rad/s².
    pub shaft_unevenness: Slot<f64>,
    /// Greatest unevenness behind both joints, rad/s².
    pub axle_unevenness: Slot<f64>,
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
        let running_clearance = room(
            "running_clearance",
            "Greatest clearance of the yoke's barrel in its bushing, on the diameter.",
        );
        let line_up = room(
            "line_up",
            "Greatest distance of the bushing's axis, the rail's and the like from where the gearbox wants them.",
        );
        let stock_left = room("stock_left", "Least stock left on a machined face in the worst case.");
        let mut factor = |name: &'static str, about: &'static str, most: f64| {
            let range = range(0.1, most, "a multiple or a share");
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
            engagement: factor("engagement", "Least depth of full thread, in diameters of the thread.", 5.0),
            edge_distance: factor(
                "edge_distance",
                "Least distance of a hole's centre from an edge, in diameters of the bolt.",
                5.0,
            ),
            running_clearance,
            line_up,
            safety: factor("safety", "Least factor of safety of barrel and spline in shear.", 10.0),
            critical_share: factor(
                "critical_share",
                "Greatest speed of the propeller shaft, over its critical one.",
                2.0,
            ),
            shaft_unevenness: factor(
                "shaft_unevenness",
                "Greatest acceleration of the propeller shaft by the first joint's angle, rad/s².",
                10_000.0,
            ),
            axle_unevenness: factor(
                "axle_unevenness",
                "Greatest acceleration that both joints together leave over at the axle, rad/s².",
                10_000.0,
            ),
            hot_spot: factor("hot_spot", "Largest ball inside the casting, in walls of the shell.", 20.0),
        }
    }
}
