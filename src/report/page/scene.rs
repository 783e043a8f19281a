//! What the page's 3D view shows: the mesh of each piece of a form with its edges, and what is known of each face.
//!
//! Holds afterwards: each triangle has the number of its face; places are within 1/65,535 of the piece's size of the mesh,
//! normals those of the exact surfaces. Does not promise: dimensions from the mesh; sizes come from the exact surfaces.

use std::collections::HashMap;

use rayon::prelude::*;
use serde_json::{Value, json};

use super::pack::Packed;
use crate::checks::thickness_shares;
use crate::design::Form;
use crate::drawing::{Shown, edge_lines};
use crate::faces::Feature;
use crate::finding::Hindrance;
use crate::forms::{FormError, Piece, Product};
use crate::inspection::Deviation;
use crate::units::{Mm, Units};
use crate::words::fixed;
use solidwright::geometry::{P3, Surface, V3};
use solidwright::mesh::{Mesh, triangulate};
use solidwright::probe::Probe;
use solidwright::solid::{BrepFace, Finish, Solid, Tag};

/// Chord error of the meshes, mm: on a screen no corner of it shows, and the page stays small.
const CHORD: f64 = 0.1;

/// Longest side of a triangle that carries one thickness of wall, mm.
const WALL_SIDE: f64 = 8.0;

/// Steps of a coordinate from one end of a piece to the other.
const STEPS: f64 = 65_535.0;

/// One form, as the page reads it (`viewer/scene.js`).
///
/// # Errors
/// Why it cannot be made.
pub fn form(product: &Product, form: Form) -> Result<Value, Hindrance> {
    let made = product.pieces(form).map_err(|e| Hindrance::from(&e))?;
    let undrawn: Vec<Tag> = match form {
        Form::Casting => undercut_tags(product).map_err(|e| Hindrance::from(&e))?,
        _ => made.undrawn.iter().map(|u| u.tag.clone()).collect(),
    };
    let units = product.design().units();
    let pieces: Result<Vec<Value>, Hindrance> =
        made.pieces.par_iter().map(|piece| self::piece(piece, &undrawn, units)).collect();
    let draw = match form {
        Form::Finished | Form::TrialPrint => Value::Null,
        _ => product.casting().map_or(Value::Null, |casting| list(made.split.unwrap_or(casting.settings.up))),
    };
    let scale = made.pieces.first().and_then(|p| crate::export::size(form, p.scale));
    Ok(json!({ "name": form.name(), "scale": scale, "draw": draw, "pieces": pieces? }))
}

fn undercut_tags(product: &Product) -> Result<Vec<Tag>, FormError> {
    Ok(product.drawing()?.undercuts.iter().map(|u| u.tag.clone()).collect())
}

fn list(v: V3) -> Value {
    json!([v.x, v.y, v.z])
}

fn piece(piece: &Piece, undrawn: &[Tag], units: Units) -> Result<Value, Hindrance> {
    let brep = piece.solid.brep();
    let mesh = triangulate(&piece.solid, CHORD).map_err(|e| Hindrance::from(&e))?;
    let edges = edge_lines(&Shown::new(brep, &mesh));
    let parts = FaceParts::of(&mesh, &brep.faces);
    let grid = Grid::of(mesh.vertices.iter());
    let mut data = Packed::default();
    data.words(parts.corners.iter().flat_map(|(v, _)| grid.steps(mesh.vertices[*v as usize])));
    data.signed(parts.normals.iter().flat_map(|n| octahedral(*n)));
    data.longs(parts.triangles.iter().flatten().copied());
    let vertex = |v: u32| parts.first_of[v as usize];
    data.longs(edges.sharp.iter().chain(&edges.smooth).flatten().map(|v| vertex(*v)));
    let faces: Vec<Value> =
        brep.faces.iter().zip(&parts.faces).map(|(face, part)| one(face, part, undrawn, units)).collect();
    Ok(json!({
        "name": piece.name,
        "apart": list(piece.apart),
        "low": list(grid.low.coords),
        "step": grid.step,
        "vertices": parts.corners.len(),
        "triangles": parts.triangles.len(),
        "sharp": edges.sharp.len(),
        "smooth": edges.smooth.len(),
        "faces": faces,
        "data": data.text(),
    }))
}

/// What is told of a face: name, feature, kind of surface with its size, finish, area, share of the mesh, and whether it
/// holds a pattern or a core.
fn one(face: &BrepFace, part: &FacePart, undrawn: &[Tag], units: Units) -> Value {
    let (kind, size) = surface(&face.surface, units);
    json!({
        "name": face.tag.to_string(),
        "feature": Feature::of(&face.tag).name(),
        "kind": kind,
        "size": size,
        "machined": face.tag.finish == Finish::Cut,
        "area": (part.area * 10.0).round() / 10.0,
        "vertices": part.vertices,
        "triangles": part.triangles,
        "undrawn": undrawn.contains(&face.tag),
    })
}

/// The kind of a surface and its size in words.
fn surface(surface: &Surface, units: Units) -> (&'static str, String) {
    let length = |mm: f64| units.show(Mm::new((mm * 1e3).round() / 1e3));
    match surface {
        Surface::Plane(_) => ("plane", String::new()),
        Surface::Cylinder(c) => ("cylinder", format!("Ø {}", length(2.0 * c.radius))),
        Surface::Cone(c) => ("cone", format!("{}° to its axis", fixed(c.half_angle.to_degrees().abs(), 2))),
        Surface::Sphere(s) => ("sphere", format!("R {}", length(s.radius))),
        Surface::Torus(t) => ("torus", format!("R {} about R {}", length(t.minor), length(t.major))),
        Surface::Canal(c) => ("rolled fillet", format!("R {}", length(c.radius.abs()))),
    }
}

/// How much of a mesh belongs to a face.
#[derive(Clone, Default)]
struct FacePart {
    vertices: usize,
    triangles: usize,
    area: f64,
}

/// A mesh in the order of its faces, each with vertices of its own, so that each vertex has one normal.
struct FaceParts {
    faces: Vec<FacePart>,
    /// For each vertex: that of the mesh, and its face.
    corners: Vec<(u32, u32)>,
    normals: Vec<V3>,
    triangles: Vec<[u32; 3]>,
    /// For each vertex of the mesh, one of those made of it.
    first_of: Vec<u32>,
}

impl FaceParts {
    fn of(mesh: &Mesh, faces: &[BrepFace]) -> Self {
        let mut order: Vec<usize> = (0..mesh.triangles.len()).collect();
        order.sort_by_key(|t| mesh.face_of[*t]);
        let mut parts = vec![FacePart::default(); faces.len()];
        let mut known: HashMap<(u32, u32), u32> = HashMap::with_capacity(mesh.vertices.len() * 2);
        let (mut corners, mut triangles) = (Vec::new(), Vec::with_capacity(order.len()));
        let mut first_of = vec![0; mesh.vertices.len()];
        for t in order {
            let face = mesh.face_of[t];
            let part = &mut parts[face as usize];
            let [a, b, c] = mesh.corners(t);
            part.triangles += 1;
            part.area += 0.5 * (b - a).cross(&(c - a)).norm();
            triangles.push(mesh.triangles[t].map(|v| {
                *known.entry((v, face)).or_insert_with(|| {
                    let number = corners.len() as u32;
                    corners.push((v, face));
                    part.vertices += 1;
                    first_of[v as usize] = number;
                    number
                })
            }));
        }
        let normal = |(v, f): &(u32, u32)| faces[*f as usize].outward(mesh.vertices[*v as usize]);
        let normals = corners.par_iter().map(normal).collect();
        Self { faces: parts, corners, normals, triangles, first_of }
    }
}

/// A grid of 16-bit steps over some points, as wide along each axis as they reach farthest along any.
struct Grid {
    low: P3,
    step: f64,
}

impl Grid {
    fn of<'a>(points: impl Iterator<Item = &'a P3>) -> Self {
        let (mut low, mut high) = (V3::repeat(f64::INFINITY), V3::repeat(f64::NEG_INFINITY));
        for p in points {
            (low, high) = (low.inf(&p.coords), high.sup(&p.coords));
        }
        let reach = (high - low).max();
        Self { low: P3::from(low), step: if reach > 0.0 { reach / STEPS } else { 1.0 } }
    }

    fn steps(&self, p: P3) -> [u16; 3] {
        let v = (p - self.low) / self.step;
        [v.x, v.y, v.z].map(|x| x.round().clamp(0.0, STEPS) as u16)
    }
}

/// A direction as a point of the square onto which an octahedron unfolds.
fn octahedral(n: V3) -> [i16; 2] {
    let sum = n.x.abs() + n.y.abs() + n.z.abs();
    if !(sum > 0.0 && sum.is_finite()) {
        return [0, 0];
    }
    let (x, y) = (n.x / sum, n.y / sum);
    let sign = |v: f64| if v < 0.0 { -1.0 } else { 1.0 };
    let (u, v) = if n.z < 0.0 { ((1.0 - y.abs()) * sign(x), (1.0 - x.abs()) * sign(y)) } else { (x, y) };
    [u, v].map(|w| (w * 32_767.0).round() as i16)
}

/// The wall's thickness by ball over the finished part, in tenths of a millimetre from 1; 0 where there is no wall, 255 from
/// 25.4 mm.
///
/// # Errors
/// Where the part has no mesh.
pub fn walls(solid: &Solid) -> Result<Value, Hindrance> {
    let probe = Probe::new(solid, CHORD).map_err(|e| Hindrance::from(&e))?;
    let map = thickness_shares(&probe, WALL_SIDE);
    let grid = Grid::of(map.iter().flat_map(|(corners, _)| corners));
    let mut data = Packed::default();
    data.words(map.iter().flat_map(|(corners, _)| corners.iter().flat_map(|p| grid.steps(*p))));
    let tenths =
        |thickness: &Option<f64>| thickness.map_or(0, |t| (t * 10.0).round().clamp(1.0, 255.0) as u8);
    data.bytes(map.iter().map(|(_, thickness)| tenths(thickness)));
    Ok(json!({
        "low": list(grid.low.coords), "step": grid.step, "triangles": map.len(), "side": WALL_SIDE, "data": data.text(),
    }))
}

/// How far a scan is off, over the exact faces: 128 is nothing, 1 and 255 are less and more metal by `most` or beyond, 0 where
/// nothing was scanned.
pub fn deviations(map: &[Deviation]) -> Value {
    const LEAST: f64 = 0.1;
    const SHARE: f64 = 0.98;
    let mut sizes: Vec<f64> = map.iter().filter_map(|(_, d)| d.map(f64::abs)).collect();
    sizes.sort_by(f64::total_cmp);
    let most = sizes.get((sizes.len() as f64 * SHARE) as usize).copied().unwrap_or(LEAST).max(LEAST);
    let most = (most * 20.0).ceil() / 20.0;
    let grid = Grid::of(map.iter().flat_map(|(corners, _)| corners));
    let mut data = Packed::default();
    data.words(map.iter().flat_map(|(corners, _)| corners.iter().flat_map(|p| grid.steps(*p))));
    let byte = |d: &Option<f64>| d.map_or(0, |d| (128.0 + 127.0 * d / most).round().clamp(1.0, 255.0) as u8);
    data.bytes(map.iter().map(|(_, d)| byte(d)));
    json!({
        "low": list(grid.low.coords), "step": grid.step, "triangles": map.len(), "most": most, "data": data.text(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Folded back as in the survey of such maps by Cigolle and others, JCGT 3(2), 2014 (from memory).
    #[test]
    fn directions_come_back_from_the_octahedron() {
        let back = |[u, v]: [i16; 2]| {
            let (x, y) = (f64::from(u) / 32_767.0, f64::from(v) / 32_767.0);
            let z = 1.0 - x.abs() - y.abs();
            let t = (-z).max(0.0);
            let fold = |a: f64| if a >= 0.0 { a - t } else { a + t };
            V3::new(fold(x), fold(y), z).normalize()
        };
        for k in 0..200 {
            let (a, b) = (f64::from(k) * 0.7, f64::from(k) * 1.3);
            let n = V3::new(a.sin() * b.cos(), a.sin() * b.sin(), a.cos());
            let off = back(octahedral(n)).angle(&n);
            assert!(off < 1e-4, "{n:?} is off by {off}");
        }
    }
}
