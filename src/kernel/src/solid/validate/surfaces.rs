use crate::geometry::Curve;
use crate::tolerance::{EDGE_FIT, SPLINE_EDGE_FIT};

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// Each edge lies on the surfaces of its faces, seen at the nodes of the integrals along it: at least four
/// points, three in each span of a spline.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    for (e, edge) in context.brep.edges.iter().enumerate() {
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        for &(face, _) in &context.uses[e] {
            let surface = &context.brep.faces[face].surface;
            let off = context.nodes.of(e).iter().map(|(p, _)| (surface.f(*p).abs(), *p));
            if let Some((distance, place)) = off.max_by(|a, b| a.0.total_cmp(&b.0))
                && distance > allowed
            {
                let kind = FaultKind::OffSurface { edge: e, face, distance };
                faults.push(BoundaryFault { kind, faces: context.names_of([face]), place });
            }
        }
    }
}
