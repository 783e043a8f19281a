//! Edges' curves as those of `truck-modeling`, each only the edge's own piece.

use truck_modeling::{BSplineCurve, Curve as TruckCurve, KnotVec, Line, NurbsCurve, Vector4};

use super::{TruckError, point};
use crate::export::nets::{Direction, spline::piece};
use crate::geometry::{Curve, P3, V3};
use crate::solid::Brep;

/// The curve of an edge, from its start to its end.
pub(super) fn curve(brep: &Brep, edge: usize) -> Result<TruckCurve, TruckError> {
    let edge = &brep.edges[edge];
    let [start, end] = [edge.start, edge.end].map(|v| brep.vertices[v]);
    let refused = |error: String| TruckError::Spline { at: start, reason: error };
    match &edge.curve {
        Curve::Line(_) => Ok(Line(point(start), point(end)).into()),
        Curve::Circle(c) => {
            let axes = [c.frame.x * c.radius, c.frame.y * c.radius];
            conic(c.frame.origin, axes, edge.range).map_err(refused)
        }
        Curve::Ellipse(c) => {
            let axes = [c.frame.x * c.major, c.frame.y * c.minor];
            conic(c.frame.origin, axes, edge.range).map_err(refused)
        }
        Curve::Spline(c) => {
            let part = piece(c, edge.range);
            let knots = Direction::cubic(&part.knots).full_knots();
            let control = part.control.iter().map(|p| point(*p)).collect();
            let spline = BSplineCurve::try_new(KnotVec::from(knots), control);
            spline.map(TruckCurve::from).map_err(|e| refused(e.to_string()))
        }
    }
}

/// A piece of the ellipse with two conjugate half axes.
fn conic(centre: P3, [x, y]: [V3; 2], (from, to): (f64, f64)) -> Result<TruckCurve, String> {
    let (mut direction, poles) = Direction::arcs(from, to);
    // One from knot to knot: `truck` takes knots for equal that differ by less than a millionth.
    direction.knots = (0..direction.knots.len()).map(|k| k as f64).collect();
    let pole = |(angle, weight): (f64, f64)| {
        homogeneous(centre + (x * angle.cos() + y * angle.sin()) / weight, weight)
    };
    rational(&direction, poles.into_iter().map(pole).collect())
}

/// A rational spline over the knots of a direction.
pub(super) fn rational(direction: &Direction, poles: Vec<Vector4>) -> Result<TruckCurve, String> {
    let spline = BSplineCurve::try_new(KnotVec::from(direction.full_knots()), poles);
    spline.map(|s| NurbsCurve::new(s).into()).map_err(|e| e.to_string())
}

/// A pole in homogeneous coordinates.
pub(super) fn homogeneous(p: P3, weight: f64) -> Vector4 {
    Vector4::new(p.x * weight, p.y * weight, p.z * weight, weight)
}
