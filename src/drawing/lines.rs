//! Which sides of triangles are drawn as lines.

use solidwright::mesh::Mesh;

use super::bodies::{Faces, Shown, together};

/// Faces whose normals differ by less than this (cosine) run smoothly into each other: about two degrees.
const SMOOTH: f64 = 0.9994;

/// How a side of two triangles is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Between two faces that meet at an angle: always.
    Sharp,
    /// Between two faces that run smoothly into each other: faintly, and fully as an outline.
    Smooth,
    /// Inside a face, or between the two halves of one: only as an outline.
    Inner,
}

/// A side that two triangles share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stroke {
    /// Its ends, vertices of the mesh.
    pub(super) ends: [u32; 2],
    /// The triangles on both sides.
    pub(super) triangles: [u32; 2],
    pub(super) kind: Kind,
}

/// Every side of the mesh once, in a fixed order.
pub(super) fn strokes(faces: &Faces, mesh: &Mesh) -> Vec<Stroke> {
    let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(3 * mesh.triangles.len());
    for (t, corners) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            sides.push(([a.min(b), a.max(b)], t as u32));
        }
    }
    sides.sort_unstable();
    let pairs = sides.chunk_by(|a, b| a.0 == b.0).filter(|same| same.len() == 2);
    pairs
        .map(|same| {
            let (ends, triangles) = (same[0].0, [same[0].1, same[1].1]);
            Stroke { ends, triangles, kind: kind(faces, mesh, ends, triangles) }
        })
        .collect()
}

fn kind(faces: &Faces, mesh: &Mesh, ends: [u32; 2], triangles: [u32; 2]) -> Kind {
    let [f, g] = triangles.map(|t| mesh.face_of[t as usize] as usize);
    if f == g {
        return Kind::Inner;
    }
    let [p, q] = ends.map(|v| mesh.vertices[v as usize]);
    let middle = p + (q - p) * 0.5;
    if faces.are_one([f, g], middle, (q - p).norm().max(1.0)) {
        return Kind::Inner;
    }
    if faces.outward(f, middle).dot(&faces.outward(g, middle)) > SMOOTH { Kind::Smooth } else { Kind::Sharp }
}

/// The lines of a body's mesh that stand for edges of its boundary; pairs of vertices.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EdgeLines {
    /// Between faces that meet at an angle.
    pub sharp: Vec<[u32; 2]>,
    /// Between faces that run smoothly into each other.
    pub smooth: Vec<[u32; 2]>,
}

/// The lines of one body, in a fixed order. The two halves of one surface with one name have none between them.
pub fn edge_lines(body: &Shown) -> EdgeLines {
    let (faces, mesh) = together(std::slice::from_ref(body));
    let mut out = EdgeLines::default();
    for stroke in strokes(&faces, &mesh) {
        match stroke.kind {
            Kind::Sharp => out.sharp.push(stroke.ends),
            Kind::Smooth => out.smooth.push(stroke.ends),
            Kind::Inner => {}
        }
    }
    out
}
