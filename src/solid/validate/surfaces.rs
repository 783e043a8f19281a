use crate::geometry::Curve;
use crate::solid::brep::BrepEdge;
use crate::tolerance::{EDGE_FIT, SPLINE_EDGE_FIT};

use super::{Context, Fault, FaultKind};

/// Inner points of a line, circle or ellipse that are looked at: more than two conics have in common.
const CONIC_SAMPLES: u32 = 6;

/// Places within a span of a spline that are looked at.
const SPAN_SAMPLES: [f64; 3] = [0.21, 0.5, 0.79];

/// Each edge lies on the surfaces of its faces, seen at points between its vertices.
pub(super) fn check(context: &Context, faults: &mut Vec<Fault>) {
    for (e, edge) in context.brep.edges.iter().enumerate() {
        let allowed = if matches!(edge.curve, Curve::Spline(_)) { SPLINE_EDGE_FIT } else { EDGE_FIT };
        let points: Vec<_> = samples(edge).into_iter().map(|t| edge.curve.point(t)).collect();
        for &(face, _) in &context.uses[e] {
            let surface = &context.brep.faces[face].surface;
            let worst = points.iter().map(|p| (surface.f(*p).abs(), *p)).max_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((distance, place)) = worst
                && distance > allowed
            {
                let kind = FaultKind::OffSurface { edge: e, face, distance };
                faults.push(Fault { kind, faces: context.names_of([face]), place });
            }
        }
    }
}

/// Parameters at which an edge is looked at.
fn samples(edge: &BrepEdge) -> Vec<f64> {
    let (from, to) = edge.range;
    let Curve::Spline(spline) = &edge.curve else {
        let n = f64::from(CONIC_SAMPLES + 1);
        return (1..=CONIC_SAMPLES).map(|k| from + (to - from) * f64::from(k) / n).collect();
    };
    spline
        .knots
        .windows(2)
        .flat_map(|w| SPAN_SAMPLES.map(|s| w[0] + (w[1] - w[0]) * s))
        .filter(|t| *t > from && *t < to)
        .collect()
}
