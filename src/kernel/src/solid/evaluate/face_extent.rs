//! How far faces reach on their surfaces, by their ranges of parameters.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::OnceLock;

use crate::geometry::{P3, Surface};
use crate::solid::patch::{Patch, PrimitiveCurve, PrimitiveEdge};
use crate::solid::primitive::Primitive;
use crate::tolerance::{SECTION_STRETCH_WITHIN, TANGENT_SNAP};

/// Ranges of u and v that a face keeps within.
type Ranges = [(f64, f64); 2];

/// Pieces of an edge between whose ends its points are looked at.
const PIECES: usize = 8;

/// A face that goes around farther than this has no ends to tell, radians.
const WIDE: f64 = 1.9 * PI;

/// Ranges of the faces of a primitive. Those of walls under fillets are told by their edges, when they are first asked for.
pub(super) struct FaceExtents {
    /// Edges of each face, for a filleted body.
    edges: Vec<Vec<usize>>,
    of_walls: Vec<OnceLock<Option<Ranges>>>,
}

impl FaceExtents {
    pub(super) fn new(primitive: &Primitive) -> Self {
        let walls = if primitive.filleted_body().is_some() { primitive.patches().len() } else { 0 };
        let mut edges = vec![vec![]; walls];
        for (number, e) in primitive.edges.iter().enumerate().filter(|_| walls > 0) {
            e.patches.iter().for_each(|p| edges[*p].push(number));
        }
        Self { edges, of_walls: (0..walls).map(|_| OnceLock::new()).collect() }
    }

    /// How far from a face of the primitive a point near its surface lies at least, by the ranges alone; zero within them.
    pub(super) fn beyond(&self, primitive: &Primitive, patch: usize, p: P3) -> f64 {
        let face = &primitive.patches()[patch];
        let wall = primitive.filleted_body().is_some_and(|b| !b.is_rolled(patch));
        if !wall {
            return beyond(&face.surface, [face.u, face.v], p);
        }
        let told = || from_edges(face, self.edges[patch].iter().map(|e| &primitive.edges[*e]));
        self.of_walls[patch].get_or_init(told).map_or(0.0, |ranges| beyond(&face.surface, ranges, p))
    }
}

/// Ranges that hold the edges of a face, so that they hold the face.
fn from_edges<'a>(face: &Patch, edges: impl Iterator<Item = &'a PrimitiveEdge>) -> Option<Ranges> {
    let turned = match face.surface {
        Surface::Cylinder(_) | Surface::Cone(_) => [true, false],
        Surface::Torus(_) => [true, true],
        _ => return None,
    };
    let middle = [face.u, face.v].map(|r| f64::midpoint(r.0, r.1));
    let mut out = [(f64::INFINITY, f64::NEG_INFINITY); 2];
    for e in edges {
        let points = points(e)?;
        for k in 0..2 {
            let value = |p: &P3| {
                let (u, v) = face.surface.params(*p);
                let t = [u, v][k];
                if turned[k] { middle[k] + (t - middle[k] + PI).rem_euclid(TAU) - PI } else { t }
            };
            let values: Vec<f64> = points.iter().map(value).collect();
            let (lo, hi) = hull(&values);
            out[k] = (out[k].0.min(lo), out[k].1.max(hi));
        }
    }
    let known = (0..2).all(|k| out[k].0 <= out[k].1 && (!turned[k] || out[k].1 - out[k].0 < WIDE));
    known.then_some(out)
}

/// Points along an edge in even steps; none of a whole circle.
fn points(e: &PrimitiveEdge) -> Option<Vec<P3>> {
    let (a, b) = e.range?;
    let at = |k: usize| {
        let t = a + (b - a) * k as f64 / PIECES as f64;
        match &e.curve {
            PrimitiveCurve::Plain(c) => c.point(t),
            PrimitiveCurve::Contact(c) => c.point(t),
            PrimitiveCurve::Crease(c) => c.point(t),
        }
    };
    Some((0..=PIECES).map(at).collect())
}

/// The range of a smooth course by values in even steps: between them it may reach farther where it turns, by about an eighth of
/// how much its steps differ.
fn hull(values: &[f64]) -> (f64, f64) {
    let (lo, hi) = values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |h, v| (h.0.min(*v), h.1.max(*v)));
    let steps: Vec<f64> = values.windows(2).map(|w| w[1] - w[0]).collect();
    let bend = steps.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max);
    let onwards = |sign: f64| steps.iter().all(|s| sign * s > bend);
    let slack = if onwards(1.0) || onwards(-1.0) { 0.0 } else { 0.5 * bend };
    (lo - slack, hi + slack)
}

/// Whether a point of a surface that a ball left lies beyond the ends of its path.
pub(super) fn beyond_ends(patch: &Patch, p: P3, slack: f64) -> bool {
    let ((u0, u1), (v0, v1)) = (patch.u, patch.v);
    let (u, v) = patch.surface.params(p);
    match &patch.surface {
        Surface::Canal(_) => outside(u, (u0, u1)) > slack,
        Surface::Cylinder(_) => outside(v, (v0, v1)) > slack,
        Surface::Torus(t) => turned_outside(u, (u0, u1)) * t.major > slack,
        _ => false,
    }
}

/// How far from a piece of a surface a point near it lies at least, by the ranges of the parameters alone; zero within them.
fn beyond(surface: &Surface, [along, around]: Ranges, p: P3) -> f64 {
    let (u, v) = surface.params(p);
    // From the half plane in which the range ends, about an axis at this distance.
    let about = |radius: f64, turn: f64| radius * turn.min(FRAC_PI_2).sin();
    let (du, dv) = match surface {
        Surface::Plane(_) | Surface::Sphere(_) => return 0.0,
        Surface::Cylinder(c) => (about(c.radius, turned_outside(u, along)), outside(v, around)),
        Surface::Cone(c) => (about(c.radius_at(v).abs(), turned_outside(u, along)), outside(v, around)),
        Surface::Torus(t) => {
            let from_axis = (t.major + t.minor * v.cos()).max(0.0);
            (about(from_axis, turned_outside(u, along)), about(t.minor, turned_outside(v, around)))
        }
        // Sections of a canal lie nearer together than their centres.
        Surface::Canal(c) => {
            (SECTION_STRETCH_WITHIN * outside(u, along), about(c.radius, turned_outside(v, around)))
        }
    };
    (du.max(dv) - TANGENT_SNAP).max(0.0)
}

/// How far a value lies outside a range.
fn outside(t: f64, (lo, hi): (f64, f64)) -> f64 {
    (lo - t).max(t - hi).max(0.0)
}

/// How far an angle lies outside a range of angles.
fn turned_outside(t: f64, (lo, hi): (f64, f64)) -> f64 {
    let turn = (t - lo).rem_euclid(TAU) - (hi - lo);
    if turn <= 0.0 { 0.0 } else { turn.min((lo - t).rem_euclid(TAU)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, Torus};

    #[test]
    fn beyond_the_edge_of_a_rounding() {
        let torus = Torus { frame: Frame::world(), major: 20.0, minor: 4.0 };
        let ranges = [(-0.5, 0.5), (0.0, FRAC_PI_2)];
        let surface = Surface::Torus(torus);
        for (u, v, least) in
            [(0.2, 0.3, 0.0), (0.2, FRAC_PI_2 + 1e-3, 3.9e-3), (0.6, 0.3, 2.3), (0.2, -PI, 3.9)]
        {
            let p = surface.point(u, v);
            let got = beyond(&surface, ranges, p);
            let nearest = (0..=400)
                .map(|k| (k % 21, k / 21))
                .map(|(i, j)| surface.point(-0.5 + 0.05 * f64::from(i), FRAC_PI_2 * f64::from(j) / 19.0))
                .map(|q| (q - p).norm())
                .fold(f64::INFINITY, f64::min);
            assert!(got >= least && got <= nearest, "{got} at ({u}, {v}): {least} to {nearest}");
        }
    }

    #[test]
    fn between_points_a_course_that_turns_reaches_farther() {
        let turning: Vec<f64> = (0..=8).map(|k| (0.3 + 0.3 * f64::from(k)).sin()).collect();
        assert!(hull(&turning).1 >= 1.0, "the top of a sine");
        let straight: Vec<f64> = (0..=8).map(f64::from).collect();
        assert_eq!(hull(&straight), (0.0, 8.0), "no more than it is");
    }
}
