use crate::geometry::{Curve, P3, Surface};
use crate::tolerance::{CANAL_OVERRUN, EDGE_FIT, SPLINE_EDGE_FIT};

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// How far a point lies off a surface, or beyond the ends of a canal, where its surface runs on as it may, mm.
fn off(surface: &Surface, p: P3) -> f64 {
    let Surface::Canal(canal) = surface else { return surface.f(p).abs() };
    let (distance, along) = canal.distance_and_place(p);
    let beyond = (-along).max(along - canal.spine.length());
    if beyond > CANAL_OVERRUN { beyond.max(distance.abs()) } else { distance.abs() }
}

/// Each edge lies on the surfaces of its faces, seen at the nodes of the integrals along it: at least four
/// points, three in each span of a spline.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    for (e, edge) in context.brep.edges.iter().enumerate() {
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        for &(face, _) in &context.uses[e] {
            let surface = &context.brep.faces[face].surface;
            let offs = context.nodes.of(e).iter().map(|(p, _)| (off(surface, *p), *p));
            if let Some((distance, place)) = offs.max_by(|a, b| a.0.total_cmp(&b.0))
                && distance > allowed
            {
                let kind = FaultKind::OffSurface { edge: e, face, distance };
                faults.push(BoundaryFault { kind, faces: context.names_of([face]), place });
            }
        }
    }
}
