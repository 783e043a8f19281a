//! Boundary evaluation: from a solid tree to its exact boundary.
//!
//! One rule decides everything: a piece of a curve between two neighbouring corners is an edge of the solid iff
//! membership, asked a small and proven-safe step off the curve on either side along each of its surfaces,
//! differs just above and just below that surface on an odd pattern of sides. Flush faces, holes that break
//! out, cavities that meet need no special code.
//!
//! The road: distinct surfaces ([`scene`]) → curves ([`carrier`]) → corners ([`vertex`]) → pieces
//! ([`segment`]) → faces about each piece ([`sides`]) → edges ([`edges`]) → loops and faces ([`faces`]) → shells
//! ([`shells`]) → places where faces touch without crossing ([`touches`]).
//!
//! Full turns: every surface that its patches cover by more than half a turn is cut by a plane through its axis
//! (tori around the tube as well) into halves; the cut lines are ordinary edges between two half faces.
//!
//! Holds afterwards: every edge has two faces; loops close; corners and edges are shared, not copied; faces of
//! one name on one surface are one face. Does not promise: one body (see [`Brep::bodies`]).

mod carrier;
mod edges;
mod error;
mod faces;
mod known;
mod scene;
mod segment;
mod shells;
mod sides;
mod touches;
mod vertex;

use std::collections::BTreeMap;

use rayon::prelude::*;

pub use error::EvaluateError;
pub(in crate::solid) use scene::SEAM_ANGLE;

use super::brep::Brep;
use super::tree::SolidTree;
use crate::tolerance::SLIVER;
use carrier::Carriers;
use scene::Scene;
use segment::Piece;
use sides::Use;

/// Finds the boundary of a tree.
///
/// # Errors
/// See [`EvaluateError`]: nothing left, features that touch without overlapping, or lie too near each other.
pub fn evaluate(tree: &SolidTree) -> Result<Brep, EvaluateError> {
    let scene = Scene::new(tree);
    let sides = known::Sides::of(tree);
    let mut carriers = Carriers::collect(&scene)?;
    touches::check_unsolved(&scene, &carriers)?;
    let mut corners = vertex::corners(&scene, &mut carriers);
    let touches = touches::settle(&scene, &carriers, &mut corners);
    let pieces = segment::cut(&scene, &carriers, &mut corners);
    let uses: Vec<_> = pieces.par_iter().map(|p| uses(&scene, &carriers, &sides, p)).collect();
    let mut kept = Vec::new();
    for (piece, uses) in pieces.into_iter().zip(uses) {
        let uses = uses?;
        if !uses.is_empty() {
            kept.push((piece, uses));
        }
    }
    if kept.is_empty() {
        return Err(EvaluateError::Empty);
    }
    let edges = edges::join(&carriers, kept);
    let mut index: BTreeMap<usize, usize> = BTreeMap::new();
    let mut brep = Brep::default();
    for v in edges.iter().flat_map(|e| e.ends) {
        index.entry(v).or_insert_with(|| {
            brep.vertices.push(corners.points[v]);
            brep.vertices.len() - 1
        });
    }
    brep.edges = edges.par_iter().map(|e| edges::finished(&carriers, &corners, e, &index)).collect();
    brep.faces = faces::faces(&scene, &edges, &brep).map_err(|e| sliver(&scene, &brep, e))?;
    brep.shells = shells::shells(&brep);
    shells::check_corners(&brep)?;
    touches::check(&scene, &carriers, &touches, &edges)?;
    Ok(brep)
}

/// The faces about a piece.
fn uses(
    scene: &Scene,
    carriers: &Carriers,
    known: &[known::Sides],
    piece: &Piece,
) -> Result<Vec<Use>, EvaluateError> {
    known::uses(scene, carriers, known, piece).map_or_else(|| sides::uses(scene, carriers, piece), Ok)
}

/// Loops that don't close are put down to a sliver where there is one: two corners within a few micrometres.
fn sliver(scene: &Scene, brep: &Brep, error: EvaluateError) -> EvaluateError {
    let EvaluateError::Open { tags, at } = error else { return error };
    let others = brep.vertices.iter().map(|p| (p - at).norm()).filter(|d| *d > 0.0);
    let gap = others.fold(f64::INFINITY, f64::min);
    if gap > SLIVER {
        return EvaluateError::Open { tags, at };
    }
    let near = |k: &usize| {
        let e = &scene.entries[*k];
        e.seam_of.is_none() && e.near(at) && e.surface.f(at).abs() < SLIVER
    };
    let tags = (0..scene.entries.len()).filter(near).map(|k| scene.nearest_tag(k, at)).collect();
    EvaluateError::TooNear { tags, at, gap }
}
