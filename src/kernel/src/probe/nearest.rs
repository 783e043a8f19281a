//! The nearest place of the surface.

use crate::geometry::{P3, Surface};
use crate::tolerance::PIECE_SAG;

use super::Probe;
use super::ray::Seen;
use super::tree::Tree;
use super::triangle::{on_segment, on_triangle};
use super::trim::nearest_on_edge;

/// The place of the surface nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// The face; at an edge one of its two.
    pub face: usize,
    /// The place, mm.
    pub point: P3,
    /// Its distance, mm.
    pub distance: f64,
}

impl Probe<'_> {
    /// The place of the surface nearest to `p`, among the faces that pass the filter, if it is nearer than `within` mm.
    /// Exact on faces, edges and corners.
    pub fn nearest(&self, p: P3, filter: impl Fn(usize) -> bool, within: f64) -> Option<Near> {
        let face = self.nearest_foot(p, &filter, within);
        self.nearest_edge(self.edges(), p, &filter, face.map_or(within, |n| n.distance)).or(face)
    }

    /// The place of the surface nearest to any of some points, as [`Self::nearest`]; of equal ones the first.
    pub fn nearest_of(
        &self,
        points: impl IntoIterator<Item = P3>,
        filter: impl Fn(usize) -> bool,
        within: f64,
    ) -> Option<Near> {
        // Only what is nearer than what is known is looked for.
        let nearer =
            |known: Option<Near>, p| self.nearest(p, &filter, known.map_or(within, |n| n.distance)).or(known);
        points.into_iter().fold(None, nearer)
    }

    /// As [`Self::nearest`] over all faces for a point in the material, from which only edges can be seen around which the
    /// material wraps.
    pub(super) fn nearest_inside(&self, p: P3, within: f64) -> Option<Near> {
        let face = self.nearest_foot(p, &|_| true, within);
        self.nearest_edge(self.inward(), p, &|_| true, face.map_or(within, |n| n.distance)).or(face)
    }

    /// The nearest foot of a perpendicular on a face.
    fn nearest_foot(&self, p: P3, filter: &impl Fn(usize) -> bool, within: f64) -> Option<Near> {
        let mut best: Option<Near> = None;
        let mut seen = Seen::new();
        self.tree.near(
            within,
            |b| b.distance(p),
            |triangle, reach| {
                let face = self.face_of(triangle);
                if seen.has(face) || !filter(face) {
                    return reach;
                }
                let surface = &self.brep.faces[face].surface;
                // The foot on a canal takes long to find.
                if matches!(surface, Surface::Canal(_))
                    && (on_triangle(p, self.corners(triangle)) - p).norm() - self.slack >= reach
                {
                    return reach;
                }
                seen.first(face);
                let distance = surface.f(p).abs();
                if distance >= reach {
                    return reach;
                }
                let foot = surface.closest(p);
                if !self.trims[face].holds(self.brep, foot) {
                    return reach;
                }
                best = Some(Near { face, point: foot, distance });
                distance
            },
        );
        best
    }

    /// The nearest place of an edge in a tree.
    fn nearest_edge(&self, tree: &Tree, p: P3, filter: &impl Fn(usize) -> bool, within: f64) -> Option<Near> {
        let mut best: Option<(usize, P3, f64)> = None;
        tree.near(
            within,
            |b| b.distance(p),
            |k, reach| {
                let piece = &self.edge_pieces[k as usize];
                if !self.sides[piece.edge].into_iter().any(|f| f != usize::MAX && filter(f)) {
                    return reach;
                }
                let [a, b] = piece.ends;
                let s = on_segment(p, a, b);
                if (a + (b - a) * s - p).norm() - PIECE_SAG >= reach {
                    return reach;
                }
                let start = piece.range.0 + (piece.range.1 - piece.range.0) * s;
                let point =
                    self.brep.edges[piece.edge].curve.point(nearest_on_edge(self.brep, piece.edge, p, start));
                let distance = (point - p).norm();
                if distance >= reach {
                    return reach;
                }
                best = Some((piece.edge, point, distance));
                distance
            },
        );
        let (edge, point, distance) = best?;
        // Of the two faces the one that is turned more to the point.
        let turned = |f: &usize| self.brep.faces[*f].outward(point).dot(&(point - p)).abs();
        let faces = self.sides[edge].into_iter().filter(|f| *f != usize::MAX && filter(*f));
        let face = faces.max_by(|a, b| turned(a).total_cmp(&turned(b)))?;
        Some(Near { face, point, distance })
    }
}
