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
mod edge_points;
mod face_map;
mod fill;
mod lattice;
mod pace;
mod rim;
mod samples;
#[cfg(test)]
mod tests;

use rayon::prelude::*;

use crate::geometry::P3;
use crate::solid::{Brep, BrepFace, HalfEdge, Solid};
use crate::tolerance::LEAST_CHORD;

use bridge::doubled;
use edge_points::{EdgePoints, Piece};
use fill::{Filled, fill};
pub use samples::each_sample;

/// How often pieces of edges are halved when a face can't be filled. Their sag falls to a quarter each time, so to
/// less than a thousand-millionth in the end.
const RETRIES: u32 = 16;

/// How often all the edges of one face are halved.
const WHOLE_RETRIES: u32 = 6;

/// How often pieces of edges are halved only for triangles that stand askew: what still does is left.
const UPRIGHT_RETRIES: u32 = 3;

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
struct FillFailure {
    reason: Obstacle,
    place: P3,
    /// Pieces of edges that must be cut finer.
    pieces: Vec<Piece>,
}

impl FillFailure {
    fn error(&self, face: &BrepFace) -> MeshError {
        MeshError::Face { face: face.tag.to_string(), place: self.place, reason: self.reason }
    }
}

/// The mesh of a solid, no triangle farther than `chord` mm from the surface of its face.
///
/// # Errors
/// A chord error below [`LEAST_CHORD`]; a face that can't be filled, by name.
pub fn triangulate(solid: &Solid, chord: f64) -> Result<Mesh, MeshError> {
    of_boundary(solid.brep(), chord)
}

/// The mesh of a boundary.
///
/// # Errors
/// As [`triangulate`]; also a boundary that is not closed.
pub(crate) fn of_boundary(brep: &Brep, chord: f64) -> Result<Mesh, MeshError> {
    if !(chord >= LEAST_CHORD && chord.is_finite()) {
        return Err(MeshError::Chord { chord, least: LEAST_CHORD });
    }
    let mut edge_points = EdgePoints::new(brep, chord);
    let mut filled: Vec<Result<Filled, FillFailure>> =
        brep.faces.par_iter().map(|face| fill(brep, &edge_points, face, chord, &[], true)).collect();
    let mut attempt = 0;
    while let Some((face, Err(failure))) = brep.faces.iter().zip(&filled).find(|(_, r)| r.is_err()) {
        if attempt == RETRIES {
            return Err(failure.error(face));
        }
        let pieces = to_halve(brep, &edge_points, &filled, attempt);
        if pieces.is_empty() {
            return Err(failure.error(face));
        }
        attempt += 1;
        edge_points.split(brep, &pieces);
        let cut = |h: &HalfEdge| pieces.binary_search_by_key(&(h.edge as u32), |p| p.0).is_ok();
        brep.faces.par_iter().zip(&mut filled).for_each(|(face, result)| {
            if face.loops.iter().flatten().any(cut) {
                *result = fill(brep, &edge_points, face, chord, &[], attempt < UPRIGHT_RETRIES);
            }
        });
    }
    finish(brep, &edge_points, chord, filled.into_iter().flatten().collect())
}

/// The pieces of edges that the faces which could not be filled want halved, sorted.
fn to_halve(
    brep: &Brep,
    edge_points: &EdgePoints,
    filled: &[Result<Filled, FillFailure>],
    attempt: u32,
) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    for (face, result) in brep.faces.iter().zip(filled) {
        let Err(failure) = result else { continue };
        let all = face.loops.iter().flatten().map(|h| edge_points.pieces(h.edge).count()).sum::<usize>();
        if failure.pieces.len() < all || attempt < WHOLE_RETRIES {
            pieces.extend(&failure.pieces);
        }
    }
    pieces.sort_unstable();
    pieces.dedup();
    pieces
}

/// Closes the mesh: where two faces bridge the same two edge points by a side each, all but one of the sides
/// are split.
fn finish(
    brep: &Brep,
    edge_points: &EdgePoints,
    chord: f64,
    mut filled: Vec<Filled>,
) -> Result<Mesh, MeshError> {
    let mut banned: Vec<Vec<[u32; 2]>> = vec![Vec::new(); brep.faces.len()];
    let mut attempt = 0;
    loop {
        let mesh = assemble(brep, edge_points, &filled)?;
        let Err(open) = mesh.check_closed() else {
            let volume = mesh.volume();
            return if volume > 0.0 { Ok(mesh) } else { Err(MeshError::Volume { volume }) };
        };
        let bridges = doubled(&mesh, edge_points.points.len() as u32);
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
            let face = &brep.faces[f];
            filled[f] = fill(brep, edge_points, face, chord, &banned[f], false)
                .map_err(|failure| failure.error(face))?;
        }
    }
}

fn assemble(brep: &Brep, edge_points: &EdgePoints, filled: &[Filled]) -> Result<Mesh, MeshError> {
    let mut mesh = Mesh { vertices: edge_points.points.clone(), ..Mesh::default() };
    for (f, part) in filled.iter().enumerate() {
        let start = mesh.vertices.len() as u32;
        let place = |v: u32| if v < part.first { v } else { v - part.first + start };
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
