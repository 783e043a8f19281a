//! The corners of a body's triangles as a graphics card wants them: one position with one normal each.

use crate::geometry::{P3, Surface, V3};
use crate::solid::BrepFace;
use crate::tolerance::SNAP;

use super::super::body::{Body, PackError};

/// The triangles of one paint.
#[derive(Debug, Default)]
pub(super) struct Corners {
    /// mm.
    pub(super) positions: Vec<[f32; 3]>,
    /// Outward, length 1; none where the body has no exact surfaces.
    pub(super) normals: Vec<[f32; 3]>,
    /// Three a triangle, counter-clockwise seen from outside.
    pub(super) indices: Vec<u32>,
}

/// The corners of each paint, by its place in the palette; empty ones for paints the body does not show.
pub(super) fn by_paint(
    body: &Body,
    paint_of: &[Option<usize>],
    paints: usize,
) -> Result<Vec<Corners>, PackError> {
    let mut out: Vec<Corners> = (0..paints).map(|_| Corners::default()).collect();
    // Face by face, so that a note at each vertex is enough to find it again.
    let mut order: Vec<usize> = (0..body.mesh.triangles.len()).collect();
    order.sort_by_key(|t| body.mesh.face_of[*t]);
    let mut written: Vec<Option<(u32, u32)>> = vec![None; body.mesh.vertices.len()];
    for t in order {
        let face = body.mesh.face_of[t];
        let paint = paint_of[face as usize].unwrap_or(0);
        let corners = &mut out[paint];
        let surface = body.brep.map(|brep| &brep.faces[face as usize]);
        // Without normals the faces of one paint may share vertices.
        let shared_by = if surface.is_some() { face } else { paint as u32 };
        let places = body.mesh.corners(t);
        for (k, v) in body.mesh.triangles[t].into_iter().enumerate() {
            let tip = surface.is_some_and(|face| is_tip(face, body.stretch.source(places[k])));
            let known = written[v as usize].filter(|(by, _)| *by == shared_by && !tip);
            let index = known.map_or(corners.positions.len() as u32, |(_, index)| index);
            if known.is_none() {
                corners.positions.push(single(places[k]));
                if let Some(face) = surface {
                    corners.normals.push(normal(body, face, places, k, tip));
                }
                written[v as usize] = Some((shared_by, index));
            }
            corners.indices.push(index);
        }
    }
    if out.iter().flat_map(|c| &c.positions).flatten().all(|x| x.is_finite()) {
        Ok(out)
    } else {
        Err(PackError::NotFinite { body: body.name.clone() })
    }
}

fn single(p: P3) -> [f32; 3] {
    // Minus nought becomes nought, so that equal places have equal bytes.
    [p.x, p.y, p.z].map(|x| x as f32 + 0.0)
}

/// Whether a point of the boundary is the tip of a face's cone, where each triangle needs a normal of its own.
fn is_tip(face: &BrepFace, p: P3) -> bool {
    matches!(&face.surface, Surface::Cone(cone) if (p - cone.frame.origin).norm() < SNAP)
}

/// The exact normal at a corner. At a tip that between the two other corners', so that the cone looks round;
/// where even these give none, that of the triangle.
fn normal(body: &Body, face: &BrepFace, places: [P3; 3], corner: usize, tip: bool) -> [f32; 3] {
    let [a, b, c] = places;
    let exact = if tip {
        body.outward(face, places[(corner + 1) % 3]) + body.outward(face, places[(corner + 2) % 3])
    } else {
        body.outward(face, places[corner])
    };
    let unit = |v: V3| v.try_normalize(0.0).filter(|n| n.iter().all(|x| x.is_finite()));
    let n = unit(exact).or_else(|| unit((b - a).cross(&(c - a)))).unwrap_or_else(V3::z);
    [n.x, n.y, n.z].map(|x| x as f32 + 0.0)
}
