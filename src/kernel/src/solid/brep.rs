//! The boundary of a solid: vertices, edges, faces, shells, by index.

use crate::geometry::{Bounds, Chart, Curve, P3, Surface, V3};

use super::Tag;

/// An edge: a piece of a curve between two different vertices.
#[derive(Clone, Debug)]
pub struct BrepEdge {
    /// The curve.
    pub curve: Curve,
    /// The piece, from the start's parameter to the end's, rising.
    pub range: (f64, f64),
    /// Vertex at the lower parameter.
    pub start: usize,
    /// Vertex at the upper parameter.
    pub end: usize,
}

/// An edge as a loop runs along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct HalfEdge {
    /// Which edge.
    pub edge: usize,
    /// Whether the loop runs from the edge's start to its end.
    pub forward: bool,
}

/// A face: a piece of a surface inside loops of edges, at most half a turn about the surface's axis.
#[derive(Clone, Debug)]
pub struct BrepFace {
    /// The surface.
    pub surface: Surface,
    /// Whether the solid lies on the negative side of the surface, so that the outward normal is the
    /// surface's own.
    pub same_sense: bool,
    /// The loops, the outer one first. Seen from outside the solid the face lies to the left.
    pub loops: Vec<Vec<HalfEdge>>,
    /// Feature, role and finish.
    pub tag: Tag,
    /// A flat map that covers the face.
    pub chart: Chart,
}

impl BrepFace {
    /// The exact normal out of the solid at a point on or near the face, of length 1. At the tip of a cone, which
    /// has none, it is some normal of the cone.
    pub fn outward(&self, p: P3) -> V3 {
        if self.same_sense { self.surface.grad(p) } else { -self.surface.grad(p) }
    }
}

/// A closed set of faces.
#[derive(Clone, Debug)]
pub struct BrepShell {
    /// Its faces.
    pub faces: Vec<usize>,
    /// Whether it bounds a void inside the solid.
    pub void: bool,
}

/// The exact boundary of a solid.
#[derive(Clone, Debug, Default)]
pub struct Brep {
    /// Vertices, mm.
    pub vertices: Vec<P3>,
    /// Edges, each used by exactly two half-edges.
    pub edges: Vec<BrepEdge>,
    /// Faces.
    pub faces: Vec<BrepFace>,
    /// Shells; every face is in one of them.
    pub shells: Vec<BrepShell>,
}

impl Brep {
    /// The vertex where a half-edge starts.
    pub fn tail(&self, h: HalfEdge) -> usize {
        let e = &self.edges[h.edge];
        if h.forward { e.start } else { e.end }
    }

    /// The vertex where a half-edge ends.
    pub fn head(&self, h: HalfEdge) -> usize {
        let e = &self.edges[h.edge];
        if h.forward { e.end } else { e.start }
    }

    /// Length of an edge, mm, as that of a chain of chords: good to about one part in a thousand.
    pub fn edge_length(&self, edge: usize) -> f64 {
        let at = |k: u32| self.edge_point(edge, f64::from(k) / 16.0);
        (0..16).map(|k| (at(k + 1) - at(k)).norm()).sum()
    }

    /// The point of an edge at a fraction (0 start, 1 end) of its parameter range.
    pub fn edge_point(&self, edge: usize, fraction: f64) -> P3 {
        let e = &self.edges[edge];
        if fraction <= 0.0 {
            return self.vertices[e.start];
        }
        if fraction >= 1.0 {
            return self.vertices[e.end];
        }
        e.curve.point(e.range.0 + (e.range.1 - e.range.0) * fraction)
    }

    /// The two faces of each edge, the one on its left first; `usize::MAX` where there is none.
    pub fn sides(&self) -> Vec<[usize; 2]> {
        let mut sides = vec![[usize::MAX; 2]; self.edges.len()];
        for (f, face) in self.faces.iter().enumerate() {
            for half in face.loops.iter().flatten() {
                sides[half.edge][usize::from(!half.forward)] = f;
            }
        }
        sides
    }

    /// A box around all edges (curved faces may bulge out of it a little).
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::around(self.vertices.iter().copied());
        for e in 0..self.edges.len() {
            for k in 1..8 {
                b.include(self.edge_point(e, f64::from(k) / 8.0));
            }
        }
        b
    }

    /// From where to where the edges reach along a direction, mm from the origin: exactly on lines, circles and ellipses. A curved face may
    /// reach a little farther than its edges.
    pub fn along(&self, direction: V3) -> (f64, f64) {
        let edges = self.edges.iter().flat_map(|e| e.curve.farthest(e.range, direction));
        let all = self.vertices.iter().copied().chain(edges).map(|p| p.coords.dot(&direction));
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| (low.min(h), high.max(h)))
    }

    /// A box around the edges of some faces.
    pub fn bounds_of(&self, faces: impl IntoIterator<Item = usize>) -> Bounds {
        let halves = faces.into_iter().flat_map(|f| self.faces[f].loops.iter().flatten());
        Bounds::around(halves.flat_map(|h| (0..=8).map(|k| self.edge_point(h.edge, f64::from(k) / 8.0))))
    }

    /// Takes in another boundary that does not meet this one; gives the numbers of its faces.
    pub(crate) fn put_beside(&mut self, other: &Self) -> std::ops::Range<usize> {
        let (vertices, edges, faces) = (self.vertices.len(), self.edges.len(), self.faces.len());
        self.vertices.extend(&other.vertices);
        let moved = |e: &BrepEdge| BrepEdge { start: e.start + vertices, end: e.end + vertices, ..e.clone() };
        self.edges.extend(other.edges.iter().map(moved));
        for face in &other.faces {
            let mut face = face.clone();
            for half in face.loops.iter_mut().flatten() {
                half.edge += edges;
            }
            self.faces.push(face);
        }
        for shell in &other.shells {
            let mut shell = shell.clone();
            shell.faces.iter_mut().for_each(|f| *f += faces);
            self.shells.push(shell);
        }
        faces..self.faces.len()
    }

    /// Number of outer shells: separate bodies.
    pub fn bodies(&self) -> usize {
        self.shells.iter().filter(|s| !s.void).count()
    }
}
