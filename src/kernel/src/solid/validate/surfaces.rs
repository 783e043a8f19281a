use rayon::prelude::*;

use crate::geometry::{Curve, Surface};
use crate::tolerance::{EDGE_FIT, SPLINE_EDGE_FIT};

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// Each edge lies on the surfaces of its faces, seen at the nodes of the integrals along it: at least four
/// points, three in each span of a spline. How far they miss canals the integrals have found.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    let of_edge = |e: usize| {
        let edge = &context.brep.edges[e];
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        let of_face = |&(face, _): &(usize, bool)| {
            let surface = &context.brep.faces[face].surface;
            let farthest = if matches!(surface, Surface::Canal(_)) {
                context.faces[face].missed_by(e)
            } else {
                let offs = context.nodes.of(e).iter().map(|(p, _)| (surface.f(*p).abs(), *p));
                offs.max_by(|a, b| a.0.total_cmp(&b.0))
            };
            let (distance, place) = farthest.filter(|m| m.0 > allowed)?;
            let kind = FaultKind::OffSurface { edge: e, face, distance };
            Some(BoundaryFault { kind, faces: context.names_of([face]), place })
        };
        context.uses[e].iter().filter_map(of_face).collect::<Vec<_>>()
    };
    let all: Vec<Vec<BoundaryFault>> = (0..context.brep.edges.len()).into_par_iter().map(of_edge).collect();
    faults.extend(all.into_iter().flatten());
}
