//! Boundaries made by hand, for tests: turned solids in half faces, prisms with round holes.

use std::f64::consts::{PI, TAU};

use crate::geometry::{
    Chart, Circle, Cone, Curve, Cylinder, Frame, Line, P2, P3, Plane, Sphere, Surface, Torus, V3,
};

use super::{Brep, BrepEdge, BrepFace, BrepShell, HalfEdge, Tag};

/// A piece of a turned profile: (distance from the axis, height) of both ends, and the centre and sense
/// (counter-clockwise) of an arc.
#[derive(Clone, Copy)]
pub(crate) struct Piece {
    pub(crate) from: P2,
    pub(crate) to: P2,
    pub(crate) arc: Option<(P2, bool)>,
}

pub(crate) fn straight(from: (f64, f64), to: (f64, f64)) -> Piece {
    Piece { from: P2::new(from.0, from.1), to: P2::new(to.0, to.1), arc: None }
}

pub(crate) fn round(from: (f64, f64), to: (f64, f64), center: (f64, f64), ccw: bool) -> Piece {
    Piece { arc: Some((P2::new(center.0, center.1), ccw)), ..straight(from, to) }
}

/// A polyline profile through the points, closed over the axis.
pub(crate) fn chain(points: &[(f64, f64)]) -> Vec<Piece> {
    points.windows(2).map(|w| straight(w[0], w[1])).collect()
}

#[derive(Default)]
pub(crate) struct Builder {
    pub(crate) brep: Brep,
}

impl Builder {
    pub(crate) fn vertex(&mut self, p: P3) -> usize {
        self.brep.vertices.push(p);
        self.brep.vertices.len() - 1
    }

    fn edge(&mut self, curve: Curve, range: (f64, f64), start: usize, end: usize) -> HalfEdge {
        self.brep.edges.push(BrepEdge { curve, range, start, end });
        HalfEdge { edge: self.brep.edges.len() - 1, forward: true }
    }

    pub(crate) fn line(&mut self, a: usize, b: usize) -> HalfEdge {
        let (p, q) = (self.brep.vertices[a], self.brep.vertices[b]);
        let line = Line { origin: p, dir: (q - p).normalize() };
        self.edge(Curve::Line(line), (0.0, (q - p).norm()), a, b)
    }

    /// The arc from `a` to `b`, running from angle `t` over `sweep` (negative: clockwise).
    pub(crate) fn arc(&mut self, circle: Circle, t: f64, sweep: f64, a: usize, b: usize) -> HalfEdge {
        if sweep > 0.0 {
            self.edge(Curve::Circle(circle), (t, t + sweep), a, b)
        } else {
            reversed(self.edge(Curve::Circle(circle), (t + sweep, t), b, a))
        }
    }

    pub(crate) fn face(&mut self, surface: Surface, same_sense: bool, loops: Vec<Vec<HalfEdge>>, middle: P3) {
        let chart = Chart::new(surface.clone(), middle);
        let tag = Tag::formed("sample", &format!("face {}", self.brep.faces.len()));
        self.brep.faces.push(BrepFace { surface, same_sense, loops, tag, chart });
    }

    pub(crate) fn shell(&mut self, from: usize, void: bool) {
        self.brep.shells.push(BrepShell { faces: (from..self.brep.faces.len()).collect(), void });
    }
}

pub(crate) fn reversed(h: HalfEdge) -> HalfEdge {
    HalfEdge { forward: !h.forward, ..h }
}

/// A profile, counter-clockwise with the material to its left, turned about the frame's z axis; closed in
/// itself or over the axis.
pub(crate) fn turned(frame: &Frame, profile: &[Piece]) -> Brep {
    let mut b = Builder::default();
    turn_into(&mut b, frame, profile);
    b.shell(0, false);
    b.brep
}

/// One ring of a turned solid: vertices at angles 0 and π and the two half circles, or a point of the axis.
#[derive(Clone, Copy)]
struct Ring {
    at: [usize; 2],
    halves: Option<[HalfEdge; 2]>,
}

fn ring(b: &mut Builder, frame: &Frame, p: P2) -> Ring {
    let lifted = frame.moved_to(frame.point(0.0, 0.0, p.y));
    if p.x == 0.0 {
        let v = b.vertex(lifted.origin);
        return Ring { at: [v, v], halves: None };
    }
    let circle = Circle { frame: lifted, radius: p.x };
    let at = [0.0, PI].map(|t| b.vertex(lifted.origin + lifted.radial(t) * p.x));
    let halves = [b.arc(circle, 0.0, PI, at[0], at[1]), b.arc(circle, PI, PI, at[1], at[0])];
    Ring { at, halves: Some(halves) }
}

fn turn_into(b: &mut Builder, frame: &Frame, profile: &[Piece]) {
    let closed = profile[0].from == profile[profile.len() - 1].to;
    let flat_cap =
        |s: &Piece| s.arc.is_none() && (s.to - s.from).y == 0.0 && (s.from.x == 0.0 || s.to.x == 0.0);
    let mut rings: Vec<Option<Ring>> = Vec::new();
    for (i, s) in profile.iter().enumerate() {
        let hidden = i == 0 && flat_cap(s) && s.from.x == 0.0;
        rings.push((!hidden).then(|| ring(b, frame, s.from)));
    }
    let last = profile[profile.len() - 1];
    let hidden = flat_cap(&last) && last.to.x == 0.0;
    rings.push(if closed { rings[0] } else { (!hidden).then(|| ring(b, frame, last.to)) });
    for (i, s) in profile.iter().enumerate() {
        let (surface, same) = turned_surface(frame, s);
        let (lo, hi) = (rings[i], rings[i + 1]);
        match (lo, hi) {
            (Some(r), None) => {
                let [h, k] = r.halves.expect("a cap has a rim");
                let middle = frame.point(0.0, 0.0, s.from.y);
                b.face(surface, same, vec![vec![h, k]], middle);
            }
            (None, Some(r)) => {
                let [h, k] = r.halves.expect("a cap has a rim");
                let middle = frame.point(0.0, 0.0, s.from.y);
                b.face(surface, same, vec![vec![reversed(k), reversed(h)]], middle);
            }
            (Some(lo), Some(hi)) => half_faces(b, frame, s, (surface, same), lo, hi),
            (None, None) => {}
        }
    }
}

fn half_faces(
    b: &mut Builder,
    frame: &Frame,
    s: &Piece,
    (surface, same): (Surface, bool),
    lo: Ring,
    hi: Ring,
) {
    let seams = [0, 1].map(|k| seam(b, frame, s, PI * k as f64, lo.at[k], hi.at[k]));
    for half in [0, 1] {
        let mut ring = Vec::new();
        ring.extend(lo.halves.map(|h| h[half]));
        ring.push(seams[1 - half]);
        ring.extend(hi.halves.map(|h| reversed(h[half])));
        ring.push(reversed(seams[half]));
        let p = piece_middle(s);
        let radial = frame.radial(PI * half as f64 + PI / 2.0);
        let middle = frame.origin + radial * p.x + frame.z * p.y;
        b.face(surface.clone(), same, vec![ring], middle);
    }
}

fn sweep(s: &Piece) -> (f64, f64) {
    let (c, ccw) = s.arc.expect("an arc");
    let angle = |p: P2| (p.y - c.y).atan2(p.x - c.x);
    let (a, e) = (angle(s.from), angle(s.to));
    (a, if ccw { (e - a).rem_euclid(TAU) } else { -(a - e).rem_euclid(TAU) })
}

fn piece_middle(s: &Piece) -> P2 {
    let Some((c, _)) = s.arc else { return P2::from((s.from.coords + s.to.coords) * 0.5) };
    let (a, w) = sweep(s);
    let r = (s.from - c).norm();
    P2::new(c.x + r * (a + w / 2.0).cos(), c.y + r * (a + w / 2.0).sin())
}

fn seam(b: &mut Builder, frame: &Frame, s: &Piece, u: f64, from: usize, to: usize) -> HalfEdge {
    let Some((c, _)) = s.arc else { return b.line(from, to) };
    let (a, w) = sweep(s);
    let radial = frame.radial(u);
    let at = frame.origin + radial * c.x + frame.z * c.y;
    let plane = Frame { origin: at, x: radial, y: frame.z, z: radial.cross(&frame.z) };
    b.arc(Circle { frame: plane, radius: (s.from - c).norm() }, a, w, from, to)
}

fn turned_surface(frame: &Frame, s: &Piece) -> (Surface, bool) {
    let at = |z: f64| frame.moved_to(frame.point(0.0, 0.0, z));
    let d = s.to - s.from;
    if let Some((c, ccw)) = s.arc {
        let radius = (s.from - c).norm();
        let surface = if c.x == 0.0 {
            Surface::Sphere(Sphere { frame: at(c.y), radius })
        } else {
            Surface::Torus(Torus { frame: at(c.y), major: c.x, minor: radius })
        };
        return (surface, ccw);
    }
    if d.y == 0.0 {
        return (Surface::Plane(Plane { frame: at(s.from.y) }), d.x < 0.0);
    }
    if d.x == 0.0 {
        return (Surface::Cylinder(Cylinder { frame: at(0.0), radius: s.from.x }), d.y > 0.0);
    }
    let apex = at(s.from.y - s.from.x * d.y / d.x);
    let up = d.x * d.y > 0.0;
    let axis = if up { apex } else { Frame::from_zx(apex.origin, -frame.z, frame.x) };
    (Surface::Cone(Cone { frame: axis, half_angle: d.x.abs().atan2(d.y.abs()) }), d.y > 0.0)
}

/// A prism over a polygon (counter-clockwise) with round through holes (centre, radius), along the frame's z.
pub(crate) fn prism(frame: &Frame, outline: &[(f64, f64)], holes: &[(f64, f64, f64)], height: f64) -> Brep {
    let mut b = Builder::default();
    let n = outline.len();
    let corner = |z: f64, k: usize| frame.point(outline[k % n].0, outline[k % n].1, z);
    let low: Vec<usize> = (0..n).map(|k| b.vertex(corner(0.0, k))).collect();
    let high: Vec<usize> = (0..n).map(|k| b.vertex(corner(height, k))).collect();
    let bottom: Vec<HalfEdge> = (0..n).map(|k| b.line(low[k], low[(k + 1) % n])).collect();
    let top: Vec<HalfEdge> = (0..n).map(|k| b.line(high[k], high[(k + 1) % n])).collect();
    let posts: Vec<HalfEdge> = (0..n).map(|k| b.line(low[k], high[k])).collect();
    for k in 0..n {
        let along = corner(0.0, k + 1) - corner(0.0, k);
        let plane = Plane::new(corner(0.0, k), along.cross(&frame.z));
        let ring = vec![bottom[k], posts[(k + 1) % n], reversed(top[k]), reversed(posts[k])];
        b.face(Surface::Plane(plane), true, vec![ring], corner(0.0, k));
    }
    let mut floor_loops = vec![bottom.iter().rev().map(|h| reversed(*h)).collect::<Vec<_>>()];
    let mut roof_loops = vec![top];
    for &(x, y, r) in holes {
        let axis = frame.moved_to(frame.point(x, y, 0.0));
        let piece = straight((r, height), (r, 0.0));
        let (lo, hi) = (ring(&mut b, &axis, piece.to), ring(&mut b, &axis, piece.from));
        half_faces(&mut b, &axis, &piece, turned_surface(&axis, &piece), hi, lo);
        let [h, k] = hi.halves.expect("a hole has a rim");
        roof_loops.push(vec![reversed(k), reversed(h)]);
        floor_loops.push(lo.halves.expect("a hole has a rim").to_vec());
    }
    let at = |z: f64| frame.moved_to(frame.point(0.0, 0.0, z));
    b.face(Surface::Plane(Plane { frame: frame.to_owned() }), false, floor_loops, corner(0.0, 0));
    b.face(Surface::Plane(Plane { frame: at(height) }), true, roof_loops, corner(height, 0));
    b.shell(0, false);
    b.brep
}

/// A box with a corner in `at`.
pub(crate) fn cuboid(at: P3, size: V3) -> Brep {
    let frame = Frame::world().moved_to(at);
    prism(&frame, &[(0.0, 0.0), (size.x, 0.0), (size.x, size.y), (0.0, size.y)], &[], size.z)
}

/// A frame that lies askew, so that no coordinate is special.
pub(crate) fn skew() -> Frame {
    Frame::from_zx(P3::new(11.0, -7.0, 23.0), V3::new(0.3, -0.5, 0.8), V3::new(1.0, 0.2, 0.1))
}

pub(crate) fn cylinder(frame: &Frame, r: f64, h: f64) -> Brep {
    turned(frame, &chain(&[(0.0, 0.0), (r, 0.0), (r, h), (0.0, h)]))
}

pub(crate) fn cone(frame: &Frame, r: f64, h: f64) -> Brep {
    turned(frame, &chain(&[(0.0, 0.0), (r, 0.0), (0.0, h)]))
}

pub(crate) fn frustum(frame: &Frame, r0: f64, r1: f64, h: f64) -> Brep {
    turned(frame, &chain(&[(0.0, 0.0), (r0, 0.0), (r1, h), (0.0, h)]))
}

pub(crate) fn sphere(frame: &Frame, r: f64) -> Brep {
    turned(frame, &[round((0.0, -r), (0.0, r), (0.0, 0.0), true)])
}

pub(crate) fn torus(frame: &Frame, major: f64, minor: f64) -> Brep {
    let (i, o) = ((major - minor, 0.0), (major + minor, 0.0));
    turned(frame, &[round(i, o, (major, 0.0), true), round(o, i, (major, 0.0), true)])
}

/// The inner boundary turned inside out becomes a void of the outer one.
pub(crate) fn with_void(mut outer: Brep, inner: &Brep) -> Brep {
    let (v0, e0, f0) = (outer.vertices.len(), outer.edges.len(), outer.faces.len());
    outer.vertices.extend(&inner.vertices);
    outer.edges.extend(inner.edges.iter().cloned().map(|e| BrepEdge {
        start: e.start + v0,
        end: e.end + v0,
        ..e
    }));
    for f in &inner.faces {
        let turn = |h: &HalfEdge| HalfEdge { edge: h.edge + e0, forward: !h.forward };
        let loops = f.loops.iter().map(|l| l.iter().rev().map(turn).collect()).collect();
        outer.faces.push(BrepFace { same_sense: !f.same_sense, loops, ..f.clone() });
    }
    outer.shells.push(BrepShell { faces: (f0..outer.faces.len()).collect(), void: true });
    outer
}
