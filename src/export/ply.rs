//! PLY: triangles with a colour at each, for looking at wall thickness (binary, little-endian; the format's own page).

use crate::mesh::Mesh;

/// A mesh with one colour a triangle, red-green-blue.
pub fn ply(mesh: &Mesh, colours: &[[u8; 3]], comment: &str) -> Vec<u8> {
    let comment: String = comment.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let header = format!(
        "ply\nformat binary_little_endian 1.0\ncomment {comment}\nelement vertex {}\nproperty float x\nproperty float y\n\
         property float z\nelement face {}\nproperty list uchar int vertex_indices\nproperty uchar red\n\
         property uchar green\nproperty uchar blue\nend_header\n",
        mesh.vertices.len(),
        mesh.triangles.len()
    );
    let mut out = header.into_bytes();
    for v in &mesh.vertices {
        for x in [v.x, v.y, v.z] {
            out.extend((x as f32).to_le_bytes());
        }
    }
    for (t, corners) in mesh.triangles.iter().enumerate() {
        out.push(3);
        for c in corners {
            out.extend(c.to_le_bytes());
        }
        out.extend(colours.get(t).copied().unwrap_or([180, 180, 180]));
    }
    out
}
