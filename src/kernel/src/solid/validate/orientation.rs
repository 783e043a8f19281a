use crate::geometry::P3;

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// No face is inside out (its outer loop holds it, the others are holes) and no shell is: outer shells hold
/// a positive volume, voids a negative one. Gives the volume of each shell, mm³.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) -> Vec<f64> {
    let brep = context.brep;
    for (f, sums) in context.faces.iter().enumerate() {
        for (ring, &area) in sums.loop_areas.iter().enumerate() {
            let right = if ring == 0 { area > 0.0 } else { area < 0.0 };
            if !right {
                let first = brep.faces[f].loops[ring].first();
                let place = first.map_or(P3::origin(), |h| brep.vertices[brep.tail(*h)]);
                let kind = FaultKind::LoopSense { face: f, ring, area };
                faults.push(BoundaryFault { kind, faces: context.names_of([f]), place });
            }
        }
    }
    let mut volumes = Vec::with_capacity(brep.shells.len());
    for (s, shell) in brep.shells.iter().enumerate() {
        let volume = context.total(&shell.faces).volume();
        let right = if shell.void { volume < 0.0 } else { volume > 0.0 };
        if !right {
            let kind = FaultKind::ShellSense { shell: s, volume, void: shell.void };
            let faces = context.names_of(shell.faces.iter().copied());
            faults.push(BoundaryFault { kind, faces, place: context.center });
        }
        volumes.push(volume);
    }
    volumes
}
