use crate::geometry::Curve;
use crate::solid::brep::BrepEdge;
use crate::tolerance::{SNAP, VERTEX_FIT};

use super::context::{Context, middle};
use super::fault::{BoundaryFault, FaultKind};

/// Pieces in which the length of an ellipse or spline is summed up; only short ones matter.
const LENGTH_PIECES: u32 = 16;

/// Each edge is used twice with opposite sense, is long enough, and ends at its vertices. Gives the
/// shortest edge.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) -> Option<(usize, f64)> {
    let mut shortest: Option<(usize, f64)> = None;
    for (e, edge) in context.brep.edges.iter().enumerate() {
        let mut report =
            |kind| faults.push(BoundaryFault { kind, faces: context.names(e), place: middle(edge) });
        match context.uses[e].as_slice() {
            [(_, a), (_, b)] if a != b => {}
            [_, _] => report(FaultKind::EdgeSense { edge: e }),
            uses => report(FaultKind::EdgeUses { edge: e, count: uses.len() }),
        }
        let length = length(edge);
        if edge.start == edge.end || length < SNAP {
            report(FaultKind::EdgeShort { edge: e, length });
        }
        if shortest.is_none_or(|(_, l)| length < l) {
            shortest = Some((e, length));
        }
        for (vertex, t) in [(edge.start, edge.range.0), (edge.end, edge.range.1)] {
            let distance = (context.brep.vertices[vertex] - edge.curve.point(t)).norm();
            if distance > VERTEX_FIT {
                report(FaultKind::EdgeEnd { edge: e, vertex, distance });
            }
        }
    }
    shortest
}

/// Length, mm; exact for lines and circles.
fn length(edge: &BrepEdge) -> f64 {
    let span = edge.range.1 - edge.range.0;
    match &edge.curve {
        Curve::Line(_) => span,
        Curve::Circle(c) => span * c.radius,
        Curve::Ellipse(_) | Curve::Spline(_) => {
            let at = |k: u32| edge.curve.point(edge.range.0 + span * f64::from(k) / f64::from(LENGTH_PIECES));
            let sum: f64 = (0..LENGTH_PIECES).map(|k| (at(k + 1) - at(k)).norm()).sum();
            sum.copysign(span)
        }
    }
}
