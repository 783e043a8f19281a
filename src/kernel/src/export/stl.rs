//! Binary STL.

use std::collections::HashSet;

use stl_io::{Normal, Triangle, Vertex, write_stl};

use crate::geometry::P3;
use crate::mesh::Mesh;

/// The mesh as a binary STL file, millimetres. The header says what is given, cut to 80 bytes, so equal meshes give equal
/// bytes. It must not start with `solid`, which readers take for the text form.
///
/// STL holds single precision, and readers join corners of the same three numbers. Corners that would become one so, which are
/// closer than about `1e-5` mm, are written apart, by a step or two of single precision: the file has every triangle of the mesh,
/// and is closed as the mesh is. Normals are those of the exact triangles.
///
/// # Errors
/// None in practice: writing into memory fails only when it runs out.
pub fn stl(mesh: &Mesh, header: &str) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::with_capacity(HEADER + FACET * mesh.triangles.len());
    let corners = apart(&mesh.vertices);
    let facets: Vec<Triangle> = (0..mesh.triangles.len())
        .map(|t| Triangle {
            normal: normal(mesh.corners(t)),
            vertices: mesh.triangles[t].map(|v| corners[v as usize]),
        })
        .collect();
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

fn normal(corners: [P3; 3]) -> Normal {
    let [a, b, c] = corners;
    let n = (b - a).cross(&(c - a));
    let n = n.try_normalize(0.0).unwrap_or(n);
    Normal::new([n.x as f32, n.y as f32, n.z as f32])
}

/// The points in single precision, no two of them the same: a point whose place is taken gets the free one nearest to it, among
/// those a step beside, then two steps, and so on.
fn apart(points: &[P3]) -> Vec<Vertex> {
    let mut taken = HashSet::with_capacity(points.len());
    let mut written = Vec::with_capacity(points.len());
    for point in points {
        let near = rounded(*point);
        let mut place = near;
        let mut reach = 0;
        while !taken.insert(place.map(f32::to_bits)) {
            reach += 1;
            let free = |p: &[f32; 3]| !taken.contains(&p.map(f32::to_bits));
            let off = |p: &[f32; 3]| (P3::from(p.map(f64::from)) - point).norm_squared();
            // `min_by` takes the first of equal ones, so the order alone decides between them.
            place = beside(near, reach).filter(free).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(near);
        }
        written.push(Vertex::new(place));
    }
    written
}

/// A point in single precision. Adding nought makes the two noughts one, as readers take them.
fn rounded(point: P3) -> [f32; 3] {
    [point.x, point.y, point.z].map(|x| x as f32 + 0.0)
}

/// The places at most so many steps of single precision beside one along each axis.
fn beside(place: [f32; 3], reach: i32) -> impl Iterator<Item = [f32; 3]> {
    let steps = move || -reach..=reach;
    let along = move |x: f32, by: i32| {
        (0..by.abs()).fold(x, |x, _| if by > 0 { x.next_up() } else { x.next_down() }) + 0.0
    };
    steps()
        .flat_map(move |i| steps().flat_map(move |j| steps().map(move |k| [i, j, k])))
        .map(move |by| [0, 1, 2].map(|n| along(place[n], by[n])))
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

    /// Corners a millionth of a millimetre beside other ones, 300 mm from the origin, where single precision (24 bits, IEEE 754) has steps of
    /// 3e-5 mm: one on a side of its neighbour, the other on a side that does not touch it. The file is closed, with all triangles.
    #[test]
    fn corners_closer_than_single_precision_are_written_apart() {
        let far = P3::new(300.0, 300.0, 300.0);
        let brep = samples::cuboid(far, V3::new(30.0, 20.0, 10.0));
        let mut mesh = of_boundary(&brep, 0.05).expect("a box can be meshed");
        let [a, b, _] = mesh.triangles[0];
        let from = mesh.vertices[a as usize];
        let along = (mesh.vertices[b as usize] - from).normalize();
        let side = halved(&mut mesh, [a, b], from + along * 1e-6);
        halved(&mut mesh, [side, b], from + along * 2e-6);
        mesh.check_closed().expect("a mesh with two more corners");
        let bytes = stl(&mesh, "a test").expect("memory suffices");
        let read = stl_io::read_stl(&mut Cursor::new(bytes)).expect("a well-formed file");
        assert_eq!(read.faces.len(), mesh.triangles.len(), "every triangle is written");
        assert_eq!(read.vertices.len(), mesh.vertices.len(), "no two corners are one");
        // `validate` refuses triangles without area, so closedness is asked apart.
        let corner = |v: &Vertex| P3::new(v[0].into(), v[1].into(), v[2].into());
        let again = Mesh {
            vertices: read.vertices.iter().map(corner).collect(),
            triangles: read.faces.iter().map(|f| f.vertices.map(|v| v as u32)).collect(),
            face_of: vec![0; read.faces.len()],
        };
        assert!(again.check_closed().is_ok(), "closed and oriented");
        for (written, point) in apart(&mesh.vertices).iter().zip(&mesh.vertices) {
            let off = (corner(written) - point).norm();
            assert!(off < 1e-4, "a corner is written {off} mm beside its place");
        }
    }

    #[test]
    fn the_two_noughts_are_one_place() {
        let twice = apart(&[P3::new(0.0, 1.0, 1.0), P3::new(-0.0, 1.0, 1.0)]);
        assert_ne!(twice[0], twice[1], "a reader would join them");
    }

    /// Puts a corner into a side, whose two triangles become four; its number.
    fn halved(mesh: &mut Mesh, side: [u32; 2], point: P3) -> u32 {
        let added = mesh.vertices.len() as u32;
        mesh.vertices.push(point);
        for t in 0..mesh.triangles.len() {
            let corners = mesh.triangles[t];
            let Some(k) =
                (0..3).find(|k| side.contains(&corners[*k]) && side.contains(&corners[(k + 1) % 3]))
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
        added
    }
}
