//! Where walls may be: starts on the mesh.

use rayon::prelude::*;

use crate::geometry::{Bounds, P3, V3};

use super::Probe;
use super::least::Start;
use super::tree::apart;
use super::triangle::triangles;

/// Triangles count as opposed a little before the exact normals do, which turn within a triangle: a cosine.
const NEARLY_OPPOSED: f64 = -0.3;

/// A way is turned away from a normal at its end by no more than this, a little more than a wall's may be: a cosine.
const THROUGH: f64 = 0.3;

/// A way may leave the room between an edge's normals by this, which turn along a piece of the edge: a sine.
const BESIDE: f64 = 0.1;

impl Probe<'_> {
    /// Two by two, opposed triangles with metal between them, nearer than the bound: the nearest of each triangle to
    /// each other face.
    pub(super) fn facing(&self, bound: f64, of_face: &[Option<u32>]) -> Vec<Start> {
        let most = bound + 2.0 * self.slack;
        let one = |t: u32| {
            let mut out: Vec<Start> = Vec::new();
            let face = self.face_of(t);
            let Some(own) = of_face[face] else { return out };
            let (corners, n) = (self.corners(t), self.normals[t as usize]);
            let bounds = Bounds::around(corners);
            self.tree.near(
                most,
                |b| apart(b, &bounds),
                |other, reach| {
                    let m = self.normals[other as usize];
                    let facing = self.face_of(other);
                    let Some(theirs) = of_face[facing] else { return reach };
                    if m.dot(&n) > NEARLY_OPPOSED || (theirs, facing) < (own, face) {
                        return reach;
                    }
                    let theirs = self.corners(other);
                    // Some corner of each must lie behind the other.
                    let beyond = |from: &[P3; 3], n: &V3, of: &[P3; 3]| {
                        of.iter().any(|p| (p - from[0]).dot(n) < self.slack)
                    };
                    if !beyond(&corners, &n, &theirs) || !beyond(&theirs, &m, &corners) {
                        return reach;
                    }
                    let points = triangles(corners, theirs);
                    let d = points[1] - points[0];
                    let size = d.norm();
                    let through = d.dot(&n) < -THROUGH * size && d.dot(&m) > THROUGH * size;
                    let points = if through || size < 2.0 * self.slack {
                        points
                    } else if let Some(points) = straight(&corners, n, &theirs, m) {
                        points
                    } else {
                        return reach;
                    };
                    if (points[1] - points[0]).norm() >= most {
                        return reach;
                    }
                    let points = [(face, points[0]), (facing, points[1])]
                        .map(|(f, p)| self.brep.faces[f].surface.closest(p));
                    let start =
                        Start { faces: [face, facing], points, distance: (points[1] - points[0]).norm() };
                    keep(&mut out, start);
                    reach
                },
            );
            out
        };
        let found: Vec<Vec<Start>> = (0..self.normals.len() as u32).into_par_iter().map(one).collect();
        found.into_iter().flatten().collect()
    }

    /// Triangles opposed to edges around which metal wraps, nearer than the bound, for both faces of the edge: from each
    /// piece of such an edge the nearest triangle of each face.
    pub(super) fn brinks(&self, bound: f64, of_face: &[Option<u32>]) -> Vec<Start> {
        let most = bound + 2.0 * self.slack;
        let one = |k: usize| {
            let mut out: Vec<Start> = Vec::new();
            let piece = &self.edge_pieces[k];
            if !self.wraps[piece.edge] {
                return out;
            }
            let [a, b] = piece.ends;
            let middle = a + (b - a) * 0.5;
            let sides = self.sides[piece.edge].map(|f| (f, self.brep.faces[f].outward(middle)));
            let bounds = Bounds::around([a, b]);
            self.tree.near(
                most,
                |b| apart(b, &bounds),
                |other, reach| {
                    let facing = self.face_of(other);
                    let Some(theirs) = of_face[facing] else { return reach };
                    let [p, q] = triangles(self.corners(other), [a, b, b]);
                    let d = q - p;
                    let size = d.norm();
                    let through = d.dot(&self.normals[other as usize]) < -THROUGH * size
                        && sides.iter().all(|(_, n)| d.dot(n) > -BESIDE * size);
                    if size >= most || !through {
                        return reach;
                    }
                    for (side, _) in sides {
                        let Some(own) = of_face[side] else { continue };
                        let swap = (own, side) < (theirs, facing);
                        let (faces, points) =
                            if swap { ([side, facing], [q, p]) } else { ([facing, side], [p, q]) };
                        keep(&mut out, Start { faces, points, distance: size });
                    }
                    reach
                },
            );
            out
        };
        let found: Vec<Vec<Start>> = (0..self.edge_pieces.len()).into_par_iter().map(one).collect();
        found.into_iter().flatten().collect()
    }
}

/// Keeps the nearest start of each two faces.
fn keep(out: &mut Vec<Start>, start: Start) {
    match out.iter_mut().find(|s| s.faces == start.faces) {
        Some(s) if s.distance <= start.distance => {}
        Some(s) => *s = start,
        None => out.push(start),
    }
}

/// The shortest way square to one of two triangles through the metal to the other, from some places of each: the nearest
/// places of large triangles may lie where no metal is between.
fn straight(a: &[P3; 3], n: V3, b: &[P3; 3], m: V3) -> Option<[P3; 2]> {
    let forth = places(a).into_iter().filter_map(|p| Some([p, behind(p, n, b, m)?]));
    let back = places(b).into_iter().filter_map(|q| Some([behind(q, m, a, n)?, q]));
    let size = |w: &[P3; 2]| (w[1] - w[0]).norm_squared();
    forth.chain(back).min_by(|x, y| size(x).total_cmp(&size(y)))
}

/// Corners, middles of the sides and the middle.
fn places([a, b, c]: &[P3; 3]) -> [P3; 7] {
    let middle = |p: &P3, q: &P3| nalgebra::center(p, q);
    [*a, *b, *c, middle(a, b), middle(b, c), middle(c, a), P3::from((a.coords + b.coords + c.coords) / 3.0)]
}

/// Where the line from `p` against its normal `n` meets a triangle of normal `m`.
fn behind(p: P3, n: V3, corners: &[P3; 3], m: V3) -> Option<P3> {
    let down = -n.dot(&m);
    let t = (corners[0] - p).dot(&m) / down;
    let q = p - n * t;
    let inside = (0..3).all(|k| (corners[(k + 1) % 3] - corners[k]).cross(&(q - corners[k])).dot(&m) >= 0.0);
    (t > 0.0 && inside).then_some(q)
}
