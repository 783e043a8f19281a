use crate::solid::measure::MassProperties;
use crate::tolerance::VOLUME_AGREEMENT;

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// The volume is positive and the same along all three axes, and the area vectors cancel: true of closed
/// boundaries only. Gives the mass properties.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) -> MassProperties {
    let all: Vec<usize> = (0..context.faces.len()).collect();
    let mass = context.total(&all).properties(context.center);
    let mut report = |kind| faults.push(BoundaryFault { kind, faces: vec![], place: context.center });
    // Differences that are not numbers count as infinite.
    let size_of = |x: f64| if x.is_nan() { f64::INFINITY } else { x };
    if size_of(-mass.volume) >= 0.0 {
        report(FaultKind::Volume { volume: mass.volume });
    }
    let axes = mass.volume_by_axis;
    if size_of(axes.max() - axes.min()) > VOLUME_AGREEMENT * mass.volume.abs() {
        report(FaultKind::VolumeByAxis { x: axes.x, y: axes.y, z: axes.z });
    }
    let size = size_of(mass.boundary_area_vector.norm());
    if size > VOLUME_AGREEMENT * mass.area {
        report(FaultKind::AreaVector { size });
    }
    mass
}
