//! Sides of triangles that two faces share by chance.
//!
//! Three neighbouring points of an edge may form a triangle on both its faces, the edge being curved on both
//! maps, and a hole may touch a wall along a line. Either way two faces each have an inner side between the
//! same two points: four triangles at one side.

use super::Mesh;

/// The sides between points of edges (those numbered below `edge_points`) that must be split: (face, ends). One face
/// of several may keep its side, the first, unless the side is a piece of an edge.
pub(super) fn doubled(mesh: &Mesh, edge_points: u32) -> Vec<(u32, [u32; 2])> {
    let mut sides: Vec<([u32; 2], u32, bool)> = Vec::new();
    for (t, &face) in mesh.triangles.iter().zip(&mesh.face_of) {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if a < edge_points && b < edge_points {
                sides.push(([a.min(b), a.max(b)], face, a < b));
            }
        }
    }
    sides.sort_unstable();
    let mut out = Vec::new();
    for uses in sides.chunk_by(|a, b| a.0 == b.0).filter(|u| u.len() > 2) {
        // Both senses in one face: an inner side of it.
        let inner: Vec<u32> =
            uses.windows(2).filter(|w| w[0].1 == w[1].1 && w[0].2 != w[1].2).map(|w| w[0].1).collect();
        let keep = usize::from(2 * inner.len() == uses.len());
        out.extend(inner.into_iter().skip(keep).map(|face| (face, uses[0].0)));
    }
    out
}
