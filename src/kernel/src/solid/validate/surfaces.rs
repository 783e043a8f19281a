use crate::geometry::{Curve, P3, Surface};
use crate::tolerance::{CANAL_OVERRUN, EDGE_FIT, SPLINE_EDGE_FIT};

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// How far a point lies beyond the ends of a canal, where its surface runs on as it may, mm; zero for other surfaces.
fn beyond(surface: &Surface, p: P3) -> f64 {
    let Surface::Canal(canal) = surface else { return 0.0 };
    let along = surface.params(p).0;
    let out = (-along).max(along - canal.spine.length());
    if out > CANAL_OVERRUN { out } else { 0.0 }
}

/// Each edge lies on the surfaces of its faces, seen at the nodes of the integrals along it: at least four
/// points, three in each span of a spline.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    for (e, edge) in context.brep.edges.iter().enumerate() {
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        for &(face, _) in &context.uses[e] {
            let surface = &context.brep.faces[face].surface;
            let off =
                context.nodes.of(e).iter().map(|(p, _)| (surface.f(*p).abs().max(beyond(surface, *p)), *p));
            if let Some((distance, place)) = off.max_by(|a, b| a.0.total_cmp(&b.0))
                && distance > allowed
            {
                let kind = FaultKind::OffSurface { edge: e, face, distance };
                faults.push(BoundaryFault { kind, faces: context.names_of([face]), place });
            }
        }
    }
}
