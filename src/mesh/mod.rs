//! Triangle meshes of exact boundaries.
//!
//! Each edge is cut into pieces once, and both its faces use the same points: the mesh is watertight because
//! no point is ever made twice, not because points are welded. Each face is a constrained Delaunay
//! triangulation on a map stretched so that its own curvature asks for points one unit apart.
//!
//! Holds afterwards: closed, oriented outwards, every triangle within the chord error of its face's surface.
//! Does not promise: well-shaped triangles on planes, where shape costs points and gains nothing.

mod bridge;
mod closed;
mod cusp;
mod fill;
mod lattice;
mod rim;
mod sheet;
#[cfg(test)]
mod tests;

use crate::geometry::P3;
use crate::solid::Brep;
use crate::tolerance::LEAST_CHORD;

use bridge::doubled;
use fill::{Filled, fill};
use rim::Rim;

/// How often edges are cut finer when a face can't be filled. Each time doubles their pieces.
const RETRIES: u32 = 7;

/// A closed triangle mesh.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Vertices, mm.
    pub vertices: Vec<P3>,
    /// Corners of the triangles, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// Face of the boundary each triangle lies on.
    pub face_of: Vec<u32>,
}

/// Why a mesh can't be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// A chord error that can't be kept.
    #[error("the chord error {chord} mm is not a number of at least {least} mm")]
    Chord {
        /// As asked, mm.
        chord: f64,
        /// Least that is allowed, mm.
        least: f64,
    },
    /// A face whose edges cross on the mesh however finely they are cut.
    #[error(
        "{face}: can't be filled with triangles near {:.4} {:.4} {:.4}: {reason}",
        .place.x, .place.y, .place.z
    )]
    Face {
        /// The face, `feature/role`.
        face: String,
        /// A point of the place, mm.
        place: P3,
        /// What stood in the way.
        reason: Obstacle,
    },
    /// A triangle side not matched by exactly one opposite side.
    #[error("the mesh is not closed between vertices {from} and {to}")]
    Open {
        /// A vertex.
        from: u32,
        /// The next.
        to: u32,
    },
    /// A mesh turned inside out, or empty.
    #[error("the mesh has volume {volume} mm³")]
    Volume {
        /// mm³.
        volume: f64,
    },
    /// More points than the numbers in a mesh can count.
    #[error("the mesh has more than {most} points")]
    TooMany {
        /// Greatest number of points.
        most: usize,
    },
}

/// What keeps a face from being filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Obstacle {
    /// Two pieces of its edges cross or coincide.
    #[error("its edges cross")]
    Crossing,
    /// Two of its points fall together.
    #[error("two of its points coincide")]
    Coincident,
    /// Inside and outside can't be told apart.
    #[error("inside and outside can't be told apart")]
    Sides,
    /// The chord error could not be reached.
    #[error("the chord error can't be reached")]
    Chord,
    /// A coordinate is not finite.
    #[error("a coordinate is not a number")]
    NotFinite,
}

/// A face that could not be filled.
#[derive(Clone, Debug)]
struct Trouble {
    reason: Obstacle,
    place: P3,
}

/// The mesh of a boundary, no triangle farther than `chord` mm from the surface of its face.
///
/// # Errors
/// A chord error below [`LEAST_CHORD`]; a face that can't be filled, by name; a boundary that is not
/// closed.
pub fn triangulate(brep: &Brep, chord: f64) -> Result<Mesh, MeshError> {
    if !(chord >= LEAST_CHORD && chord.is_finite()) {
        return Err(MeshError::Chord { chord, least: LEAST_CHORD });
    }
    let mut density = vec![1u32; brep.edges.len()];
    let mut attempt = 0;
    loop {
        let rim = Rim::new(brep, chord, &density);
        let filled = fill_all(brep, &rim, chord);
        let Some(bad) = filled.iter().position(Result::is_err) else {
            return finish(brep, &rim, chord, filled.into_iter().flatten().collect());
        };
        if attempt == RETRIES
            && let Err(trouble) = &filled[bad]
        {
            let face = brep.faces[bad].tag.to_string();
            return Err(MeshError::Face { face, place: trouble.place, reason: trouble.reason });
        }
        attempt += 1;
        let mut finer = vec![false; brep.edges.len()];
        for (face, _) in brep.faces.iter().zip(&filled).filter(|(_, r)| r.is_err()) {
            for half in face.loops.iter().flatten() {
                finer[half.edge] = true;
            }
        }
        for (d, _) in density.iter_mut().zip(&finer).filter(|(_, f)| **f) {
            *d *= 2;
        }
    }
}

/// Closes the mesh: where two faces bridge the same two edge points by a side each, all but one of the sides
/// are split.
fn finish(brep: &Brep, rim: &Rim, chord: f64, mut filled: Vec<Filled>) -> Result<Mesh, MeshError> {
    let mut banned: Vec<Vec<[u32; 2]>> = vec![Vec::new(); brep.faces.len()];
    let mut attempt = 0;
    loop {
        let mesh = assemble(brep, rim, &filled)?;
        let Err(open) = mesh.check_closed() else {
            let volume = mesh.volume();
            return if volume > 0.0 { Ok(mesh) } else { Err(MeshError::Volume { volume }) };
        };
        let bridges = doubled(&mesh, rim.points.len() as u32);
        if bridges.is_empty() || attempt == RETRIES {
            return Err(open);
        }
        attempt += 1;
        for (face, side) in &bridges {
            banned[*face as usize].push(*side);
        }
        for f in bridges.iter().map(|(face, _)| *face as usize) {
            banned[f].sort_unstable();
            banned[f].dedup();
            filled[f] = fill(brep, rim, &brep.faces[f], chord, &banned[f]).map_err(|trouble| {
                let face = brep.faces[f].tag.to_string();
                MeshError::Face { face, place: trouble.place, reason: trouble.reason }
            })?;
        }
    }
}

fn fill_all(brep: &Brep, rim: &Rim, chord: f64) -> Vec<Result<Filled, Trouble>> {
    brep.faces.iter().map(|face| fill(brep, rim, face, chord, &[])).collect()
}

fn assemble(brep: &Brep, rim: &Rim, filled: &[Filled]) -> Result<Mesh, MeshError> {
    let mut mesh = Mesh { vertices: rim.points.clone(), ..Mesh::default() };
    let shared = mesh.vertices.len() as u32;
    for (f, part) in filled.iter().enumerate() {
        let shift = mesh.vertices.len() as u32 - shared;
        let place = |v: u32| if v < shared { v } else { v + shift };
        let outward = brep.faces[f].same_sense;
        for &[a, b, c] in &part.triangles {
            let (b, c) = if outward { (b, c) } else { (c, b) };
            mesh.triangles.push([place(a), place(b), place(c)]);
            mesh.face_of.push(f as u32);
        }
        mesh.vertices.extend(&part.inner);
        let most = u32::MAX as usize / 4;
        if mesh.vertices.len() > most {
            return Err(MeshError::TooMany { most });
        }
    }
    Ok(mesh)
}
