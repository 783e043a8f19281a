//! Binary STL.

use stl_io::{Normal, Triangle, Vertex, write_stl};

use crate::geometry::P3;
use crate::mesh::Mesh;

/// The mesh as a binary STL file, millimetres. The header says what is given, cut to 80 bytes, so equal meshes give equal
/// bytes. It must not start with `solid`, which readers take for the text form.
///
/// STL holds single precision: points closer than about `1e-5` mm may become one, and normals are those of
/// the exact triangles. Two triangles beside a side whose ends become one are left out: their other sides fall together in
/// pairs, so that the file is closed as the mesh is.
///
/// # Errors
/// None in practice: writing into memory fails only when it runs out.
pub fn stl(mesh: &Mesh, header: &str) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::with_capacity(HEADER + FACET * mesh.triangles.len());
    let written = (0..mesh.triangles.len()).filter(|t| in_stl(mesh, *t));
    let facets: Vec<Triangle> = written.map(|t| facet(mesh.corners(t))).collect();
    write_stl(&mut bytes, facets.iter())?;
    let text = &header.as_bytes()[..header.len().min(HEADER - COUNT)];
    bytes[..text.len()].copy_from_slice(text);
    Ok(bytes)
}

/// Bytes of the header and the count.
const HEADER: usize = 84;

/// Bytes of the count.
const COUNT: usize = 4;

/// Bytes of a triangle.
const FACET: usize = 50;

fn facet(corners: [P3; 3]) -> Triangle {
    let [a, b, c] = corners;
    let n = (b - a).cross(&(c - a));
    let n = n.try_normalize(0.0).unwrap_or(n);
    Triangle { normal: Normal::new([n.x as f32, n.y as f32, n.z as f32]), vertices: corners.map(vertex) }
}

fn vertex(p: P3) -> Vertex {
    Vertex::new([p.x as f32, p.y as f32, p.z as f32])
}

/// Whether a triangle of a mesh is in its STL file: it has three corners in single precision.
pub fn in_stl(mesh: &Mesh, triangle: usize) -> bool {
    let [a, b, c] = mesh.corners(triangle).map(vertex);
    a != b && b != c && c != a
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::geometry::V3;
    use crate::mesh::of_boundary;
    use crate::solid::samples;

    #[test]
    fn reads_back_as_a_closed_mesh() {
        let brep = samples::torus(&samples::skew(), 20.0, 5.0);
        let mesh = of_boundary(&brep, 0.05).expect("a torus can be meshed");
        let bytes = stl(&mesh, "a test").expect("memory suffices");
        assert_eq!(bytes.len(), HEADER + FACET * mesh.triangles.len(), "size of the file");
        assert_eq!(bytes, stl(&mesh, "a test").expect("memory suffices"), "same bytes again");
        let read = stl_io::read_stl(&mut Cursor::new(bytes)).expect("a well-formed file");
        assert_eq!(read.faces.len(), mesh.triangles.len(), "number of triangles");
        assert!(read.validate().is_ok(), "closed and oriented");
    }

    /// A corner a millionth of a millimetre beside another one, 300 mm from the origin: both are one in single precision (24 bits, IEEE 754),
    /// and the file is closed all the same.
    #[test]
    fn corners_that_become_one_leave_the_file_closed() {
        let far = P3::new(300.0, 300.0, 300.0);
        let brep = samples::cuboid(far, V3::new(30.0, 20.0, 10.0));
        let mut mesh = of_boundary(&brep, 0.05).expect("a box can be meshed");
        let whole = mesh.triangles.len();
        let [a, b, _] = mesh.triangles[0];
        let [from, to] = [a, b].map(|v| mesh.vertices[v as usize]);
        let added = mesh.vertices.len() as u32;
        mesh.vertices.push(from + (to - from).normalize() * 1e-6);
        for t in 0..whole {
            let corners = mesh.triangles[t];
            let Some(k) =
                (0..3).find(|k| [a, b].contains(&corners[*k]) && [a, b].contains(&corners[(k + 1) % 3]))
            else {
                continue;
            };
            // Either half keeps the third corner.
            mesh.triangles[t][k] = added;
            let mut other = corners;
            other[(k + 1) % 3] = added;
            mesh.triangles.push(other);
            mesh.face_of.push(mesh.face_of[t]);
        }
        mesh.check_closed().expect("a mesh with one more corner");
        let bytes = stl(&mesh, "a test").expect("memory suffices");
        let read = stl_io::read_stl(&mut Cursor::new(bytes)).expect("a well-formed file");
        assert_eq!(read.faces.len(), whole, "two triangles of no area are left out");
        assert!(read.validate().is_ok(), "closed and oriented");
    }
}
