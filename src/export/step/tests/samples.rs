//! Boundaries made by hand, in any frame.

use std::f64::consts::PI;

use crate::geometry::{
    BSpline, Chart, Circle, Cone, Curve, Cylinder, Frame, Line, P3, Plane, Sphere, Surface, Torus, V3,
};
use crate::solid::{Brep, BrepEdge, BrepFace, BrepShell, HalfEdge, Tag};

/// A frame that is parallel to nothing.
pub(super) fn skew() -> Frame {
    Frame::from_zx(P3::new(31.0, -7.5, 12.25), V3::new(0.3, -0.5, 0.8), V3::new(1.0, 0.2, -0.4))
}

/// Collects a boundary whose coordinates are given in a frame.
pub(super) struct Builder {
    frame: Frame,
    brep: Brep,
    shell: Vec<usize>,
}

/// An edge in a loop: its index plus one, negative against its direction.
type Signed = isize;

impl Builder {
    fn new(frame: Frame) -> Self {
        Self { frame, brep: Brep::default(), shell: Vec::new() }
    }

    fn p(&self, [x, y, z]: [f64; 3]) -> P3 {
        self.frame.point(x, y, z)
    }

    fn v(&self, [x, y, z]: [f64; 3]) -> V3 {
        self.frame.vector(x, y, z)
    }

    /// A frame at a place with a z axis, x towards a third vector.
    fn at(&self, origin: [f64; 3], z: [f64; 3], x: [f64; 3]) -> Frame {
        Frame::from_zx(self.p(origin), self.v(z), self.v(x))
    }

    fn vertex(&mut self, p: [f64; 3]) -> usize {
        let p = self.p(p);
        self.brep.vertices.push(p);
        self.brep.vertices.len() - 1
    }

    fn edge(&mut self, curve: Curve, start: usize, end: usize) -> Signed {
        let from = curve.param(self.brep.vertices[start]);
        let mut to = curve.param(self.brep.vertices[end]);
        if curve.period() > 0.0 && to <= from {
            to += curve.period();
        }
        self.brep.edges.push(BrepEdge { curve, range: (from, to), start, end });
        self.brep.edges.len().cast_signed()
    }

    fn line(&mut self, start: usize, end: usize) -> Signed {
        let (a, b) = (self.brep.vertices[start], self.brep.vertices[end]);
        self.edge(Curve::Line(Line { origin: a, dir: (b - a).normalize() }), start, end)
    }

    fn arc(&mut self, frame: Frame, radius: f64, start: usize, end: usize) -> Signed {
        self.edge(Curve::Circle(Circle { frame, radius }), start, end)
    }

    fn face(&mut self, surface: Surface, same: bool, middle: [f64; 3], loops: &[&[Signed]], tag: Tag) {
        let half = |s: &Signed| HalfEdge { edge: s.unsigned_abs() - 1, forward: *s > 0 };
        let chart = Chart::new(surface, self.p(middle));
        let loops = loops.iter().map(|l| l.iter().map(half).collect()).collect();
        self.shell.push(self.brep.faces.len());
        self.brep.faces.push(BrepFace { surface, same_sense: same, loops, tag, chart });
    }

    fn close(&mut self, void: bool) {
        let faces = std::mem::take(&mut self.shell);
        self.brep.shells.push(BrepShell { faces, void });
    }

    fn plane(&self, origin: [f64; 3], normal: [f64; 3]) -> Surface {
        Surface::Plane(Plane::new(self.p(origin), self.v(normal)))
    }

    fn cylinder(&self, radius: f64) -> Surface {
        Surface::Cylinder(Cylinder { frame: self.frame, radius })
    }

    /// Two half circles about z, counter-clockwise seen from +z, at a height: edges from +x to −x and back,
    /// and the two vertices.
    fn ring(&mut self, radius: f64, z: f64) -> ([Signed; 2], [usize; 2]) {
        let v = [self.vertex([radius, 0.0, z]), self.vertex([-radius, 0.0, z])];
        let frame = self.at([0.0, 0.0, z], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
        ([self.arc(frame, radius, v[0], v[1]), self.arc(frame, radius, v[1], v[0])], v)
    }

    /// Both halves of a tube wall between two rings; `outside` when the material is inside the tube.
    fn wall(
        &mut self,
        surface: Surface,
        outside: bool,
        low: ([Signed; 2], [usize; 2]),
        high: ([Signed; 2], [usize; 2]),
        (radius, z): (f64, f64),
        tag: &Tag,
    ) {
        let up = [self.line(low.1[0], high.1[0]), self.line(low.1[1], high.1[1])];
        let mut halves =
            [vec![low.0[0], up[1], -high.0[0], -up[0]], vec![low.0[1], up[0], -high.0[1], -up[1]]];
        for (half, y) in halves.iter_mut().zip([radius, -radius]) {
            if !outside {
                half.reverse();
                for signed in half.iter_mut() {
                    *signed = -*signed;
                }
            }
            self.face(surface, outside, [0.0, y, z], &[half], tag.clone());
        }
    }

    /// A sphere of two lunes about the origin.
    fn ball(&mut self, radius: f64, outside: bool) {
        let (s, n) = (self.vertex([0.0, 0.0, -radius]), self.vertex([0.0, 0.0, radius]));
        let front = self.at([0.0; 3], [0.0, -1.0, 0.0], [1.0, 0.0, 0.0]);
        let back = self.at([0.0; 3], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]);
        let right = self.arc(front, radius, s, n);
        let left = self.arc(back, radius, s, n);
        let sphere = Surface::Sphere(Sphere { frame: self.frame, radius });
        let tag = Tag::cast("ball", "skin");
        let sides = if outside { [[left, -right], [right, -left]] } else { [[right, -left], [left, -right]] };
        for (half, y) in sides.iter().zip([radius, -radius]) {
            self.face(sphere, outside, [0.0, y, 0.0], &[half], tag.clone());
        }
    }
}

/// A box of 40 × 30 × 20 about the middle, with a through hole of the given radius about z unless zero.
fn block(b: &mut Builder, hole: f64) {
    let corner = |i: usize, s: f64| if i == 0 { -s } else { s };
    let mut v = [0; 8];
    for (i, slot) in v.iter_mut().enumerate() {
        *slot = b.vertex([corner(i & 1, 20.0), corner(i & 2, 15.0), corner(i & 4, 10.0)]);
    }
    let [x00, x10, x01, x11] = [(0, 1), (2, 3), (4, 5), (6, 7)].map(|(i, j)| b.line(v[i], v[j]));
    let [y00, y10, y01, y11] = [(0, 2), (1, 3), (4, 6), (5, 7)].map(|(i, j)| b.line(v[i], v[j]));
    let [z00, z10, z01, z11] = [(0, 4), (1, 5), (2, 6), (3, 7)].map(|(i, j)| b.line(v[i], v[j]));
    let side = |role: &str| Tag::cast("block", role);
    let mut top = vec![vec![x01, y11, -x11, -y01]];
    let mut bottom = vec![vec![y00, x10, -y10, -x00]];
    if hole > 0.0 {
        let low = b.ring(hole, -10.0);
        let high = b.ring(hole, 10.0);
        let bore = b.cylinder(hole);
        b.wall(bore, false, low, high, (hole, 0.0), &Tag::machined("block", "bore"));
        top.push(vec![-high.0[1], -high.0[0]]);
        bottom.push(vec![low.0[0], low.0[1]]);
    }
    let top: Vec<&[Signed]> = top.iter().map(Vec::as_slice).collect();
    let bottom: Vec<&[Signed]> = bottom.iter().map(Vec::as_slice).collect();
    let up = [0.0, 0.0, 10.0];
    b.face(b.plane(up, [0.0, 0.0, 1.0]), true, up, &top, Tag::machined("block", "top"));
    // Normal pointing in, to try the other sense.
    let down = [0.0, 0.0, -10.0];
    b.face(b.plane(down, [0.0, 0.0, 1.0]), false, down, &bottom, side("bottom"));
    let f = [0.0, -15.0, 0.0];
    b.face(b.plane(f, [0.0, -1.0, 0.0]), true, f, &[&[x00, z10, -x01, -z00]], side("front"));
    let r = [0.0, 15.0, 0.0];
    b.face(b.plane(r, [0.0, 1.0, 0.0]), true, r, &[&[-x10, z01, x11, -z11]], side("rückwärts"));
    let e = [20.0, 0.0, 0.0];
    b.face(b.plane(e, [1.0, 0.0, 0.0]), true, e, &[&[y10, z11, -y11, -z10]], side("right"));
    let w = [-20.0, 0.0, 0.0];
    b.face(b.plane(w, [1.0, 0.0, 0.0]), false, w, &[&[-y00, z00, y01, -z01]], side("left"));
}

/// A box with a bore of radius 6; volume 24000 − 36·20π.
pub(super) fn drilled_box(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    block(&mut b, 6.0);
    b.close(false);
    b.brep
}

/// A box with a ball of radius 5 missing inside; volume 24000 − 500π/3.
pub(super) fn hollow_box(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    block(&mut b, 0.0);
    b.close(false);
    b.ball(5.0, false);
    b.close(true);
    b.brep
}

/// Two boxes apart, the first hollow, written as two bodies.
pub(super) fn two_bodies(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    block(&mut b, 0.0);
    b.close(false);
    b.ball(5.0, false);
    b.close(true);
    b.frame.origin = frame.point(60.0, 0.0, 0.0);
    block(&mut b, 3.0);
    b.close(false);
    b.brep
}

/// A ball of radius 7; volume 4·343π/3.
pub(super) fn ball(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    b.ball(7.0, true);
    b.close(false);
    b.brep
}

/// A cone of radius 9 and height 12, apex up; volume 81·12π/3.
pub(super) fn cone(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    let base = b.ring(9.0, 0.0);
    let apex = b.vertex([0.0, 0.0, 12.0]);
    let up = [b.line(base.1[0], apex), b.line(base.1[1], apex)];
    let axis = b.at([0.0, 0.0, 12.0], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]);
    let wall = Surface::Cone(Cone { frame: axis, half_angle: 0.75_f64.atan() });
    let tag = Tag::cast("cone", "side");
    b.face(wall, true, [0.0, 4.5, 6.0], &[&[base.0[0], up[1], -up[0]]], tag.clone());
    b.face(wall, true, [0.0, -4.5, 6.0], &[&[base.0[1], up[0], -up[1]]], tag);
    let floor = b.plane([0.0; 3], [0.0, 0.0, -1.0]);
    b.face(floor, true, [0.0; 3], &[&[-base.0[1], -base.0[0]]], Tag::machined("cone", "base"));
    b.close(false);
    b.brep
}

/// A countersunk ring: outer radius 15, bore a cone from 5 up to 10, height 8;
/// volume 8π(225 − 175/3).
pub(super) fn conical_bore(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    let (low, high) = (b.ring(15.0, 0.0), b.ring(15.0, 8.0));
    let (inner_low, inner_high) = (b.ring(5.0, 0.0), b.ring(10.0, 8.0));
    let outer = b.cylinder(15.0);
    b.wall(outer, true, low, high, (15.0, 4.0), &Tag::cast("ring", "outside"));
    let axis = b.at([0.0, 0.0, -8.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
    let bore = Surface::Cone(Cone { frame: axis, half_angle: 0.625_f64.atan() });
    b.wall(bore, false, inner_low, inner_high, (7.5, 4.0), &Tag::machined("ring", "countersink"));
    let top = b.plane([0.0, 0.0, 8.0], [0.0, 0.0, 1.0]);
    let holes = [-inner_high.0[1], -inner_high.0[0]];
    b.face(top, true, [0.0, 0.0, 8.0], &[&high.0, &holes], Tag::machined("ring", "top"));
    let bottom = b.plane([0.0; 3], [0.0, 0.0, -1.0]);
    b.face(bottom, true, [0.0; 3], &[&[-low.0[1], -low.0[0]], &inner_low.0], Tag::machined("ring", "bottom"));
    b.close(false);
    b.brep
}

/// A ring of radii 20 and 4 in four patches; volume 2π²·20·16.
pub(super) fn torus(frame: Frame) -> Brep {
    let mut b = Builder::new(frame);
    let (outer, inner) = (b.ring(24.0, 0.0), b.ring(16.0, 0.0));
    let mut over = [0; 2];
    let mut under = [0; 2];
    for (i, x) in [20.0, -20.0].into_iter().enumerate() {
        // From outside over the top to inside, and on below.
        let frame = b.at([x, 0.0, 0.0], [0.0, -x, 0.0], [x, 0.0, 0.0]);
        over[i] = b.arc(frame, 4.0, outer.1[i], inner.1[i]);
        under[i] = b.arc(frame, 4.0, inner.1[i], outer.1[i]);
    }
    let surface = Surface::Torus(Torus { frame: b.frame, major: 20.0, minor: 4.0 });
    let tag = |role: &str| Tag::cast("ring", role);
    let [(o0, o1), (i0, i1)] = [(outer.0[0], outer.0[1]), (inner.0[0], inner.0[1])];
    for (y, o, i, a, e) in [(20.0, o0, i0, 0, 1), (-20.0, o1, i1, 1, 0)] {
        b.face(surface, true, [0.0, y, 4.0], &[&[o, over[e], -i, -over[a]]], tag("upper"));
        b.face(surface, true, [0.0, y, -4.0], &[&[i, under[e], -o, -under[a]]], tag("lower"));
    }
    b.close(false);
    b.brep
}

/// A rod of radius 6 about z from 0 to a roof: part of a cylinder of radius 10 about x.
/// The edges under the roof are the halves of one closed spline when `whole`, else a spline each.
pub(super) fn rod_with_roof(frame: Frame, whole: bool) -> Brep {
    let mut b = Builder::new(frame);
    let low = b.ring(6.0, 0.0);
    let tops = [b.vertex([6.0, 0.0, 10.0]), b.vertex([-6.0, 0.0, 10.0])];
    let halves = [(0.0, PI), (PI, 2.0 * PI)];
    let closed = rim(&b, 0.0, 2.0 * PI);
    let rim = [0, 1].map(|i| {
        let range = halves[i];
        let spline = if whole { closed.clone() } else { rim(&b, range.0, range.1) };
        let (start, end) = (tops[i], tops[1 - i]);
        b.brep.edges.push(BrepEdge { curve: Curve::Spline(spline), range, start, end });
        b.brep.edges.len().cast_signed()
    });
    let side = b.cylinder(6.0);
    b.wall(side, true, low, (rim, tops), (6.0, 3.0), &Tag::cast("rod", "side"));
    let axis = b.at([0.0; 3], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]);
    let roof = Surface::Cylinder(Cylinder { frame: axis, radius: 10.0 });
    b.face(roof, true, [0.0, 0.0, 10.0], &[&rim], Tag::machined("rod", "roof"));
    let floor = b.plane([0.0; 3], [0.0, 0.0, -1.0]);
    b.face(floor, true, [0.0; 3], &[&[-low.0[1], -low.0[0]]], Tag::machined("rod", "floor"));
    b.close(false);
    b.brep
}

/// The rim under the roof as a spline through many exact points.
fn rim(b: &Builder, from: f64, to: f64) -> BSpline {
    let n = 96;
    let at = |t: f64| b.p([6.0 * t.cos(), 6.0 * t.sin(), (100.0 - 36.0 * t.sin().powi(2)).sqrt()]);
    let slope = |t: f64| {
        let z = (100.0 - 36.0 * t.sin().powi(2)).sqrt();
        b.v([-6.0 * t.sin(), 6.0 * t.cos(), -36.0 * t.sin() * t.cos() / z])
    };
    let params: Vec<f64> = (0..=n).map(|i| from + (to - from) * f64::from(i) / f64::from(n)).collect();
    let points: Vec<P3> = params.iter().map(|t| at(*t)).collect();
    BSpline::through(&params, &points, slope(from), slope(to))
}
