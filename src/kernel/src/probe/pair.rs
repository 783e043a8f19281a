//! The nearest places of two faces, from a start.

use nalgebra::{Matrix4, Vector4};

use crate::geometry::{P3, V3};
use crate::tolerance::{
    NO_SHORTER, NORMAL_STEP, NOT_ZERO, PAIR_GAIN, PARAMETER_STEP, PIECE_SAG, VALLEY_DAMPING,
};

use super::Probe;
use super::triangle::on_segment;
use super::trim::nearest_on_edge;

/// Rounds at most: in each both places are moved to the nearest of the other, then both at once by Newton's method.
const ROUNDS: u32 = 40;

/// Newton's steps in a round.
const NEWTON: u32 = 8;

/// A place on a face, and how it may move there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) face: usize,
    pub(super) point: P3,
    pub(super) on: FaceLocation,
}

/// Where on a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum FaceLocation {
    /// Inside its loops.
    Inner,
    /// On an edge, at a parameter.
    Edge(usize, f64),
    /// At the end of an edge.
    Corner(usize, f64),
}

/// Directions in which a place may move, and how its point bends away when it does: the second derivative along each
/// pair of them.
struct TangentDirections {
    count: usize,
    along: [V3; 2],
    bend: [[V3; 2]; 2],
}

impl Probe<'_> {
    /// The place of a face, cut to its loops, nearest to `p`.
    pub(super) fn nearest_of_face(&self, face: usize, p: P3) -> Place {
        let foot = self.brep.faces[face].surface.closest(p);
        if self.trims[face].holds(self.brep, foot) {
            return Place { face, point: foot, on: FaceLocation::Inner };
        }
        self.nearest_of_rim(face, p).unwrap_or(Place { face, point: foot, on: FaceLocation::Inner })
    }

    /// The place on the loops of a face nearest to `p`.
    fn nearest_of_rim(&self, face: usize, p: P3) -> Option<Place> {
        let mut best: Option<(f64, Place)> = None;
        let mut reach = f64::INFINITY;
        for piece in &self.trims[face].pieces {
            let [a, b] = piece.ends;
            let s = on_segment(p, a, b);
            let rough = (a + (b - a) * s - p).norm();
            if rough - 2.0 * PIECE_SAG >= reach {
                continue;
            }
            let edge = piece.half.edge;
            let start = piece.range.0 + (piece.range.1 - piece.range.0) * s;
            let t = nearest_on_edge(self.brep, edge, p, start);
            let point = self.brep.edges[edge].curve.point(t);
            let distance = (point - p).norm();
            if distance < reach {
                reach = distance;
                best = Some((distance, Place { face, point, on: self.on_edge(edge, t) }));
            }
        }
        best.map(|b| b.1)
    }

    fn on_edge(&self, edge: usize, t: f64) -> FaceLocation {
        let (lo, hi) = self.brep.edges[edge].range;
        if t <= lo || t >= hi { FaceLocation::Corner(edge, t) } else { FaceLocation::Edge(edge, t) }
    }

    /// The least distance of two faces near a start: its places and length. From start to end it only falls.
    pub(super) fn closer(&self, a: usize, b: usize, start: [P3; 2]) -> ([Place; 2], f64) {
        let mut q = self.nearest_of_face(b, start[1]);
        let mut p = self.nearest_of_face(a, q.point);
        let mut distance = (p.point - q.point).norm();
        for _ in 0..ROUNDS {
            let before = distance;
            for _ in 0..NEWTON {
                let Some(next) = self.newton(&p, &q) else { break };
                let shorter = (next[0].point - next[1].point).norm();
                if shorter >= distance - NO_SHORTER {
                    break;
                }
                [p, q] = next;
                distance = shorter;
            }
            let other = self.nearest_of_face(b, p.point);
            if (other.point - p.point).norm() <= distance {
                q = other;
            }
            let one = self.nearest_of_face(a, q.point);
            if (one.point - q.point).norm() <= distance {
                p = one;
            }
            distance = (p.point - q.point).norm();
            if before - distance < PAIR_GAIN {
                break;
            }
        }
        ([p, q], distance)
    }

    fn freedom(&self, place: &Place) -> TangentDirections {
        let none = V3::zeros();
        match place.on {
            FaceLocation::Corner(..) => {
                TangentDirections { count: 0, along: [none; 2], bend: [[none; 2]; 2] }
            }
            FaceLocation::Edge(edge, t) => {
                let edge = &self.brep.edges[edge];
                let step = PARAMETER_STEP * (edge.range.1 - edge.range.0);
                let d = edge.curve.derivative(t);
                let bend = (edge.curve.derivative(t + step) - edge.curve.derivative(t - step)) / (2.0 * step);
                let size = d.norm().max(NOT_ZERO);
                TangentDirections {
                    count: 1,
                    along: [d / size, none],
                    bend: [[bend / (size * size), none], [none; 2]],
                }
            }
            FaceLocation::Inner => {
                let surface = &self.brep.faces[place.face].surface;
                let n = surface.grad(place.point);
                let helper = if n.x.abs() < 0.6 { V3::x() } else { V3::y() };
                let x = n.cross(&helper).normalize();
                let along = [x, n.cross(&x)];
                let turn = along.map(|d| {
                    if matches!(surface, crate::geometry::Surface::Canal(_)) {
                        let at = |h: f64| surface.grad(place.point + d * h);
                        (at(NORMAL_STEP) - at(-NORMAL_STEP)) / (2.0 * NORMAL_STEP)
                    } else {
                        surface.hessian_times(place.point, d)
                    }
                });
                let bend = [0, 1].map(|i| [0, 1].map(|j| -n * turn[i].dot(&along[j])));
                TangentDirections { count: 2, along, bend }
            }
        }
    }

    /// A place moved along its freedom; `None` where it would leave the face.
    fn moved(&self, place: &Place, freedom: &TangentDirections, by: [f64; 2]) -> Option<Place> {
        match place.on {
            FaceLocation::Corner(..) => Some(*place),
            FaceLocation::Edge(edge, t) => {
                let e = &self.brep.edges[edge];
                let to = (t + by[0] / e.curve.derivative(t).norm().max(NOT_ZERO)).clamp(e.range.0, e.range.1);
                Some(Place { point: e.curve.point(to), on: self.on_edge(edge, to), ..*place })
            }
            FaceLocation::Inner => {
                let off = place.point + freedom.along[0] * by[0] + freedom.along[1] * by[1];
                let surface = &self.brep.faces[place.face].surface;
                let point = surface.closest(surface.closest(off));
                self.trims[place.face].holds(self.brep, point).then_some(Place { point, ..*place })
            }
        }
    }

    /// One step of Newton's method for half the squared distance, both places at once; `None` where it leads out of a
    /// face or the distance does not curve upwards.
    fn newton(&self, p: &Place, q: &Place) -> Option<[Place; 2]> {
        let (a, b) = (self.freedom(p), self.freedom(q));
        if a.count + b.count == 0 {
            return None;
        }
        let w = p.point - q.point;
        let mut slope = Vector4::zeros();
        let mut turn = Matrix4::identity();
        let row = |k: usize| if k < 2 { (&a, k, 1.0) } else { (&b, k - 2, -1.0) };
        let free = |k: usize| row(k).1 < row(k).0.count;
        for i in (0..4).filter(|i| free(*i)) {
            let (f, k, sign) = row(i);
            slope[i] = w.dot(&f.along[k]) * sign;
            for j in (0..4).filter(|j| free(*j)) {
                let (g, l, other) = row(j);
                turn[(i, j)] = f.along[k].dot(&g.along[l]) * sign * other;
                if (i < 2) == (j < 2) {
                    turn[(i, j)] += w.dot(&f.bend[k][l]) * sign;
                }
            }
        }
        // Along valleys of one depth the matrix has no inverse: a grain more on its diagonal keeps the step short there.
        let solved = VALLEY_DAMPING.iter().find_map(|more| {
            let mut m = turn;
            for i in 0..4 {
                m[(i, i)] += more;
            }
            m.cholesky().map(|c| c.solve(&-slope))
        })?;
        let size = solved.norm();
        let most = w.norm().max(1.0);
        let by = if size > most { solved * (most / size) } else { solved };
        Some([self.moved(p, &a, [by[0], by[1]])?, self.moved(q, &b, [by[2], by[3]])?])
    }
}
