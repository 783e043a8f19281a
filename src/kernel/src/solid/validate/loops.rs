use crate::geometry::P3;

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// Each loop runs head to tail and comes back to where it began; each face has at least one.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    let brep = context.brep;
    for (f, face) in brep.faces.iter().enumerate() {
        if face.loops.is_empty() {
            let kind = FaultKind::LoopOpen { face: f, ring: 0 };
            faults.push(BoundaryFault { kind, faces: context.names_of([f]), place: P3::origin() });
        }
        for (ring, halves) in face.loops.iter().enumerate() {
            let gap = (0..halves.len())
                .find(|&k| brep.head(halves[k]) != brep.tail(halves[(k + 1) % halves.len()]));
            if halves.is_empty() || gap.is_some() {
                let place = gap.map_or(P3::origin(), |k| brep.vertices[brep.head(halves[k])]);
                let kind = FaultKind::LoopOpen { face: f, ring };
                faults.push(BoundaryFault { kind, faces: context.names_of([f]), place });
            }
        }
    }
}
