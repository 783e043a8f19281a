//! Boundaries made by hand: one of each kind of surface, voids, bodies, spline edges.

use std::f64::consts::PI;

use crate::geometry::{BSpline, Circle, Curve, Cylinder, Frame, P3, Plane, Surface};
use crate::solid::samples::{self, Builder, chain, cone, prism, reversed, sphere, torus, turned, with_void};
use crate::solid::{Brep, BrepEdge, BrepShell, HalfEdge, Tag};

/// A box of 40 × 30 × 20 about the frame's origin with holes (place and radius) along z.
fn block(frame: Frame, holes: &[(f64, f64, f64)]) -> Brep {
    let corners = [(-20.0, -15.0), (20.0, -15.0), (20.0, 15.0), (-20.0, 15.0)];
    prism(&frame.moved_to(frame.point(0.0, 0.0, -10.0)), &corners, holes, 20.0)
}

/// A box with a bore of radius 6, which is machined.
pub(super) fn drilled_box(frame: Frame) -> Brep {
    let mut brep = block(frame, &[(0.0, 0.0, 6.0)]);
    for face in &mut brep.faces {
        let round = matches!(face.surface, Surface::Cylinder(_));
        face.tag = if round { Tag::cut("block", "bore") } else { Tag::formed("block", "Fläche") };
    }
    brep
}

/// A box with a ball of radius 5 missing inside.
pub(super) fn hollow_box(frame: Frame) -> Brep {
    with_void(block(frame, &[]), &sphere(&frame, 5.0))
}

/// Two boxes apart, the first with a ball missing inside.
pub(super) fn two_bodies(frame: Frame) -> Brep {
    let mut both = hollow_box(frame);
    let second = block(frame.moved_to(frame.point(60.0, 0.0, 0.0)), &[(0.0, 0.0, 3.0)]);
    let (v, e, f) = (both.vertices.len(), both.edges.len(), both.faces.len());
    both.vertices.extend(second.vertices);
    let moved = |edge: BrepEdge| BrepEdge { start: edge.start + v, end: edge.end + v, ..edge };
    both.edges.extend(second.edges.into_iter().map(moved));
    for mut face in second.faces {
        face.loops.iter_mut().flatten().for_each(|h| h.edge += e);
        both.faces.push(face);
    }
    both.shells.push(BrepShell { faces: (f..both.faces.len()).collect(), void: false });
    both
}

/// A ring of outer radius 15 and height 8 whose bore widens from 5 to 10.
pub(super) fn countersunk_ring(frame: Frame) -> Brep {
    turned(&frame, &chain(&[(5.0, 0.0), (15.0, 0.0), (15.0, 8.0), (10.0, 8.0), (5.0, 0.0)]))
}

/// A rod of radius 6 about z from 0 to a roof: part of a cylinder of radius 10 about x. The edges under
/// the roof are pieces of one closed spline when `whole`, else each is a spline of its own.
pub(super) fn rod_with_roof(frame: Frame, whole: bool) -> Brep {
    let mut b = Builder::default();
    let low = [6.0, -6.0].map(|x| b.vertex(frame.point(x, 0.0, 0.0)));
    let high = [6.0, -6.0].map(|x| b.vertex(frame.point(x, 0.0, 10.0)));
    let circle = Circle { frame, radius: 6.0 };
    let foot = [0, 1].map(|i| b.arc(circle, PI * f64::from(i), PI, low[i as usize], low[1 - i as usize]));
    let posts = [0, 1].map(|i| b.line(low[i], high[i]));
    let eaves = [(0.0, PI), (PI, 2.0 * PI)].map(|range| {
        let spline = if whole { eaves(&frame, (0.0, 2.0 * PI)) } else { eaves(&frame, range) };
        let start = usize::from(range.0 > 0.0);
        let (start, end) = (high[start], high[1 - start]);
        b.brep.edges.push(BrepEdge { curve: Curve::Spline(spline), range, start, end });
        HalfEdge { edge: b.brep.edges.len() - 1, forward: true }
    });
    let side = Surface::Cylinder(Cylinder { frame, radius: 6.0 });
    for (i, y) in [6.0, -6.0].into_iter().enumerate() {
        let around = vec![foot[i], posts[1 - i], reversed(eaves[i]), reversed(posts[i])];
        b.face(side.clone(), true, vec![around], frame.point(0.0, y, 4.0));
    }
    let ridge = Frame::from_zx(frame.origin, frame.x, -frame.z);
    let roof = Surface::Cylinder(Cylinder { frame: ridge, radius: 10.0 });
    b.face(roof, true, vec![eaves.to_vec()], frame.point(0.0, 0.0, 10.0));
    let floor = vec![reversed(foot[1]), reversed(foot[0])];
    b.face(Surface::Plane(Plane { frame }), false, vec![floor], frame.origin);
    b.shell(0, false);
    b.brep
}

/// The curve under the roof as a spline through exact points, 1° to 4° apart.
fn eaves(frame: &Frame, (from, to): (f64, f64)) -> BSpline {
    let height = |t: f64| (100.0 - 36.0 * t.sin().powi(2)).sqrt();
    let at = |t: f64| frame.point(6.0 * t.cos(), 6.0 * t.sin(), height(t));
    let slope = |t: f64| frame.vector(-6.0 * t.sin(), 6.0 * t.cos(), -36.0 * t.sin() * t.cos() / height(t));
    let params: Vec<f64> = (0..=96).map(|i| from + (to - from) * f64::from(i) / 96.0).collect();
    let points: Vec<P3> = params.iter().map(|t| at(*t)).collect();
    BSpline::through(&params, &points, slope(from), slope(to))
}

/// Every sample with its name and volume, mm³.
pub(super) fn all(frame: Frame) -> Vec<(&'static str, Brep, f64)> {
    let ball = 4.0 * PI / 3.0;
    vec![
        ("drilled box", drilled_box(frame), 24_000.0 - 720.0 * PI),
        ("hollow box", hollow_box(frame), 24_000.0 - ball * 125.0),
        ("two bodies", two_bodies(frame), 48_000.0 - ball * 125.0 - 180.0 * PI),
        ("ball", sphere(&frame, 7.0), ball * 343.0),
        ("cone", cone(&frame, 9.0, 12.0), 324.0 * PI),
        ("countersunk ring", countersunk_ring(frame), 8.0 * PI * (225.0 - 175.0 / 3.0)),
        ("torus", torus(&frame, 20.0, 4.0), 640.0 * PI * PI),
        ("rod", rod_with_roof(frame, false), roof_volume()),
        ("rod, one spline", rod_with_roof(frame, true), roof_volume()),
    ]
}

/// Volume under a cylinder of radius 10 over a disc of radius 6, by the substitution y = 6 cos t, whose
/// periodic integrand the midpoint rule sums to all digits.
fn roof_volume() -> f64 {
    let slice = |i: i32| {
        let (s, c) = (PI * (f64::from(i) + 0.5) / 64.0).sin_cos();
        72.0 * s * s * (100.0 - 36.0 * c * c).sqrt()
    };
    (0..64).map(slice).sum::<f64>() * PI / 64.0
}

/// A frame that is parallel to nothing.
pub(super) fn skew() -> Frame {
    samples::skew()
}
