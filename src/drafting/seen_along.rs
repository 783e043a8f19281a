//! Edges on faces that are seen edge-on: they lie on the line or circle that the face is.
//!
//! A boss that is seen along its axis ends on a shell in a spline, and at its top in a circle. Drawn as what they are, both lie on each other
//! and become one line; as a chain and a circle the dashes of one filled the gaps of the other, and the hidden line looked like a visible one.

use std::f64::consts::{PI, TAU};

use solidwright::geometry::{Curve, P2, Surface, V2};

use super::entity::{Arc, Shape};
use super::projection::Direction;

/// Sine or cosine of an angle below which a face is seen edge-on.
const EDGE_ON: f64 = 1e-9;

/// Pieces in which a curve is followed.
const PIECES: u32 = 48;

/// What is shorter than this, mm, is a point.
const POINT: f64 = 1e-6;

/// A piece of a curve on a surface as it is seen, if the surface is seen edge-on all over.
pub(super) fn on_edge_on_face(
    surface: &Surface,
    from: &Direction,
    curve: &Curve,
    (start, end): (f64, f64),
) -> Option<Shape> {
    let at = |k: u32| from.point(curve.point(start + (end - start) * f64::from(k) / f64::from(PIECES)));
    let frame = surface.frame();
    match surface {
        Surface::Plane(_) if frame.z.dot(&from.eye()).abs() < EDGE_ON => {
            on_line(from.point(frame.origin), from.vector(frame.z.cross(&from.eye())), at)
        }
        Surface::Cylinder(cylinder) if frame.z.cross(&from.eye()).norm() < EDGE_ON => {
            on_circle(from.point(frame.origin), cylinder.radius, at)
        }
        _ => None,
    }
}

fn on_line(origin: P2, along: V2, at: impl Fn(u32) -> P2) -> Option<Shape> {
    let place = |k: u32| along.dot(&(at(k) - origin));
    let low = (0..=PIECES).map(place).fold(f64::INFINITY, f64::min);
    let high = (0..=PIECES).map(place).fold(f64::NEG_INFINITY, f64::max);
    (high - low > POINT).then(|| Shape::Line(origin + along * low, origin + along * high))
}

fn on_circle(centre: P2, radius: f64, at: impl Fn(u32) -> P2) -> Option<Shape> {
    let angle = |k: u32| {
        let way = at(k) - centre;
        way.y.atan2(way.x)
    };
    let mut now = angle(0);
    let (mut low, mut high) = (now, now);
    for k in 1..=PIECES {
        now += (angle(k) - now + PI).rem_euclid(TAU) - PI;
        (low, high) = (low.min(now), high.max(now));
    }
    let whole = low.div_euclid(TAU) * TAU;
    let (start, end) = (low - whole, high.min(low + TAU) - whole);
    ((end - start) * radius > POINT).then_some(Shape::Arc(Arc { centre, radius, start, end }))
}
