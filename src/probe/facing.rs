//! Where walls may be: starts on the mesh.

use rayon::prelude::*;

use crate::geometry::{Bounds, P3, V3};

use super::Probe;
use super::least::Start;
use super::tree::apart;
use super::triangle::{to_segment, triangles};

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
                    if apart(&Bounds::around(theirs), &bounds) >= least(&out, [face, facing]) {
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
                    let distance = (points[1] - points[0]).norm();
                    if distance < most {
                        keep(&mut out, Start { faces: [face, facing], points, distance });
                    }
                    reach
                },
            );
            for s in &mut out {
                let on = |k: usize| self.brep.faces[s.faces[k]].surface.closest(s.points[k]);
                s.points = [on(0), on(1)];
                s.distance = (s.points[1] - s.points[0]).norm();
            }
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
            let piece = &self.edge_pieces[k];
            if !self.wraps[piece.edge] {
                return vec![];
            }
            let [a, b] = piece.ends;
            let middle = a + (b - a) * 0.5;
            let sides = self.sides[piece.edge].map(|f| (f, self.brep.faces[f].outward(middle)));
            let bounds = Bounds::around([a, b]);
            // From each face to the edge, both as faces until the sides of the edge take its place.
            let mut nearest = Vec::new();
            self.tree.near(
                most,
                |b| apart(b, &bounds),
                |other, reach| {
                    let facing = self.face_of(other);
                    if of_face[facing].is_none() {
                        return reach;
                    }
                    let (corners, m) = (self.corners(other), &self.normals[other as usize]);
                    // The edge must lie behind the triangle.
                    let behind = [a, b].iter().any(|q| (q - corners[0]).dot(m) < 0.0);
                    if !behind || apart(&Bounds::around(corners), &bounds) >= least(&nearest, [facing; 2]) {
                        return reach;
                    }
                    let points = to_segment(corners, [a, b]);
                    let d = points[1] - points[0];
                    let distance = d.norm();
                    let through = d.dot(m) < -THROUGH * distance
                        && sides.iter().all(|(_, n)| d.dot(n) > -BESIDE * distance);
                    if distance < most && through {
                        keep(&mut nearest, Start { faces: [facing; 2], points, distance });
                    }
                    reach
                },
            );
            let turned = |s: &Start, side: usize| {
                let (facing, [p, q]) = (s.faces[0], s.points);
                let swap = (of_face[side]?, side) < (of_face[facing]?, facing);
                let (faces, points) = if swap { ([side, facing], [q, p]) } else { ([facing, side], [p, q]) };
                Some(Start { faces, points, ..*s })
            };
            nearest.iter().flat_map(|s| sides.iter().filter_map(|(side, _)| turned(s, *side))).collect()
        };
        let found: Vec<Vec<Start>> = (0..self.edge_pieces.len()).into_par_iter().map(one).collect();
        found.into_iter().flatten().collect()
    }
}

/// The distance of the nearest start of two faces so far.
fn least(of: &[Start], faces: [usize; 2]) -> f64 {
    of.iter().find(|s| s.faces == faces).map_or(f64::INFINITY, |s| s.distance)
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
