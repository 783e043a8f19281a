//! Limits that the file gives for checks.

use crate::params::schema;
use crate::units::Mm;

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
    /// Greatest running clearance of the yoke's barrel.
    pub running_clearance: Option<Mm>,
    /// Greatest error of line-up.
    pub line_up: Option<Mm>,
    /// Least factor of safety in shear.
    pub safety: Option<f64>,
    /// Greatest share of the critical speed.
    pub critical_share: Option<f64>,
    /// Greatest unevenness of the propeller shaft, rad/s².
    pub shaft_unevenness: Option<f64>,
    /// Greatest unevenness behind both joints, rad/s².
    pub axle_unevenness: Option<f64>,
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
            running_clearance: raw.running_clearance.get(),
            line_up: raw.line_up.get(),
            safety: raw.safety.get(),
            critical_share: raw.critical_share.get(),
            shaft_unevenness: raw.shaft_unevenness.get(),
            axle_unevenness: raw.axle_unevenness.get(),
        }
    }
}
