use rayon::prelude::*;

use crate::geometry::{Curve, P3, Surface};
use crate::tolerance::{CANAL_OVERRUN, EDGE_FIT, SPLINE_EDGE_FIT};

use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// How far a point lies off a surface, or beyond the ends of a canal, where its surface runs on as it may, mm. `last` is the place on
/// the canal of the point before it along the edge.
fn off(surface: &Surface, p: P3, last: &mut Option<f64>) -> f64 {
    let Surface::Canal(canal) = surface else { return surface.f(p).abs() };
    let (distance, along) = canal.distance_and_place_after(p, last);
    let beyond = (-along).max(along - canal.spine.length());
    if beyond > CANAL_OVERRUN { beyond.max(distance.abs()) } else { distance.abs() }
}

/// Each edge lies on the surfaces of its faces, seen at the nodes of the integrals along it: at least four
/// points, three in each span of a spline.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    let of_edge = |e: usize| {
        let edge = &context.brep.edges[e];
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        let of_face = |&(face, _): &(usize, bool)| {
            let surface = &context.brep.faces[face].surface;
            let mut last = None;
            let offs = context.nodes.of(e).iter().map(|(p, _)| (off(surface, *p, &mut last), *p));
            let (distance, place) = offs.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|m| m.0 > allowed)?;
            let kind = FaultKind::OffSurface { edge: e, face, distance };
            Some(BoundaryFault { kind, faces: context.names_of([face]), place })
        };
        context.uses[e].iter().filter_map(of_face).collect::<Vec<_>>()
    };
    let all: Vec<Vec<BoundaryFault>> = (0..context.brep.edges.len()).into_par_iter().map(of_edge).collect();
    faults.extend(all.into_iter().flatten());
}
