//! PLY: triangles with a colour each, for looking at wall thickness (binary, little-endian; the format's own page).

use crate::geometry::P3;

/// Triangles with a colour each, red-green-blue; corners are not shared.
pub fn ply(triangles: &[([P3; 3], [u8; 3])], comment: &str) -> Vec<u8> {
    let comment: String = comment.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let header = format!(
        "ply\nformat binary_little_endian 1.0\ncomment {comment}\nelement vertex {}\nproperty float x\nproperty float y\n\
         property float z\nelement face {}\nproperty list uchar int vertex_indices\nproperty uchar red\n\
         property uchar green\nproperty uchar blue\nend_header\n",
        3 * triangles.len(),
        triangles.len()
    );
    let mut out = header.into_bytes();
    for x in triangles.iter().flat_map(|(corners, _)| corners.iter().flat_map(|p| [p.x, p.y, p.z])) {
        out.extend((x as f32).to_le_bytes());
    }
    for (t, (_, colour)) in triangles.iter().enumerate() {
        out.push(3);
        for k in 0..3 {
            out.extend(((3 * t + k) as u32).to_le_bytes());
        }
        out.extend(colour);
    }
    out
}
