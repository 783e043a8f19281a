//! Boundary evaluation: from a solid tree to its exact boundary.
//!
//! One rule decides everything: a piece of a curve between two neighbouring vertices is an edge of the solid iff
//! membership, asked a small and proven-safe step off the curve on either side along each of its surfaces,
//! differs just above and just below that surface on an odd pattern of sides. Flush faces, holes that break
//! out, cavities that meet need no special code.
//!
//! The road: distinct surfaces ([`surface_set`]) → curves ([`carrier`]) → vertices ([`vertices`]) → pieces ([`candidates`]) → faces
//! about each piece ([`edge_uses`], [`known_edges`], but for those [`beyond_creases`]) → edges ([`edges`]) → loops and faces
//! ([`faces`]) → shells ([`shells`]) → places where faces touch without crossing ([`tangencies`]).
//!
//! Full turns: every surface that its patches cover by more than half a turn is cut by a plane through its axis
//! (tori around the tube as well) into halves; the cut lines are ordinary edges between two half faces.
//!
//! Holds afterwards: every edge has two faces; loops close; vertices and edges are shared, not copied; faces of
//! one name on one surface are one face. Does not promise: one body (see [`Brep::bodies`]).

// Level 1: what can go wrong; how far faces reach; which curves may be one; where no face passes.
mod error;
mod face_extent;
mod plain_curves;
mod uniform;

// Level 2: the surfaces; shells of finished faces.
mod shells;
mod surface_set;

// Level 3: curves on the surfaces.
mod carrier;

// Level 4: where the curves pierce surfaces.
mod piercings;

// Level 5: vertices on the curves.
mod vertices;

// Level 6: curves cut at the vertices.
mod candidates;

// Level 7: faces about the candidates.
mod edge_uses;

// Level 8: the same where it is known beforehand; candidates that are edges.
mod edges;
mod known_edges;

// Level 9: candidates that creases cut off; loops and faces of the edges; faults of touching.
mod beyond_creases;
mod faces;
mod tangencies;

use std::collections::BTreeMap;

use rayon::prelude::*;

pub use error::EvaluateError;
pub(in crate::solid) use surface_set::SEAM_ANGLE;

use super::brep::Brep;
use super::tree::SolidTree;
use crate::tolerance::{SIDE_STEP, SLIVER};
use beyond_creases::CreaseSides;
use candidates::CandidateEdge;
use carrier::Carriers;
use edge_uses::EdgeUse;
use surface_set::SurfaceSet;

/// Finds the boundary of a tree.
///
/// # Errors
/// See [`EvaluateError`]: nothing left, features that touch without overlapping, or lie too near each other.
pub fn evaluate(tree: &SolidTree) -> Result<Brep, EvaluateError> {
    evaluate_or_faults(tree).map_err(|faults| faults.into_iter().next().unwrap_or(EvaluateError::Empty))
}

/// The same as [`evaluate`], but tells every fault of the step that fails, in the order of the boundary.
///
/// # Errors
/// One or more of [`EvaluateError`].
pub(in crate::solid) fn evaluate_or_faults(tree: &SolidTree) -> Result<Brep, Vec<EvaluateError>> {
    let set = SurfaceSet::new(tree);
    let sides = known_edges::KnownUses::of(tree);
    let mut carriers = Carriers::collect(&set).map_err(|e| vec![e])?;
    tangencies::check_unsolved(&set, &carriers)?;
    let mut vertices = vertices::find(&set, &mut carriers);
    let touches = tangencies::settle(&set, &carriers, &mut vertices);
    let candidates = candidates::cut(&set, &carriers, &mut vertices);
    let creases = CreaseSides::of(&set, &carriers, &sides, &candidates);
    let uses_of = |p: &CandidateEdge| {
        if creases.cut_off(&carriers, p) { Ok(vec![]) } else { uses(&set, &carriers, &sides, p) }
    };
    let uses: Vec<_> = candidates.par_iter().map(uses_of).collect();
    let kept = used(candidates, uses)?;
    let edges = edges::join(&carriers, kept);
    let mut index: BTreeMap<usize, usize> = BTreeMap::new();
    let mut brep = Brep::default();
    for v in edges.iter().flat_map(|e| e.ends) {
        index.entry(v).or_insert_with(|| {
            brep.vertices.push(vertices.points[v]);
            brep.vertices.len() - 1
        });
    }
    brep.edges = edges.par_iter().map(|e| edges::finished(&carriers, &vertices, e, &index)).collect();
    brep.faces = faces::faces(&set, &edges, &brep)
        .map_err(|all| all.into_iter().map(|e| sliver(&set, &brep, e)).collect::<Vec<_>>())?;
    brep.shells = shells::shells(&brep);
    shells::check_vertices(&brep)?;
    tangencies::check(&set, &carriers, &touches, &edges)?;
    Ok(brep)
}

/// The candidates that faces use.
fn used(
    candidates: Vec<CandidateEdge>,
    uses: Vec<Result<Vec<EdgeUse>, EvaluateError>>,
) -> Result<Vec<(CandidateEdge, Vec<EdgeUse>)>, Vec<EvaluateError>> {
    let (mut kept, mut faults) = (Vec::new(), Vec::new());
    for (candidate, uses) in candidates.into_iter().zip(uses) {
        match uses {
            Ok(uses) if uses.is_empty() => {}
            Ok(uses) => kept.push((candidate, uses)),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() && kept.is_empty() {
        faults.push(EvaluateError::Empty);
    }
    error::unless(faults, kept)
}

/// The faces about a piece.
fn uses(
    set: &SurfaceSet,
    carriers: &Carriers,
    known: &[known_edges::KnownUses],
    candidate: &CandidateEdge,
) -> Result<Vec<EdgeUse>, EvaluateError> {
    let middle = candidate.point(carriers, 0.5);
    // It leaves what is kept at vertices only.
    if !set.reach.contains(middle) || set.plain.settle_at(middle, SIDE_STEP) {
        return Ok(vec![]);
    }
    known_edges::edge_uses(set, carriers, known, candidate)
        .map_or_else(|| edge_uses::edge_uses(set, carriers, candidate), Ok)
}

/// Loops that don't close are put down to a sliver where there is one: two vertices within a few micrometres.
fn sliver(set: &SurfaceSet, brep: &Brep, error: EvaluateError) -> EvaluateError {
    let EvaluateError::Open { tags, at } = error else { return error };
    let others = brep.vertices.iter().map(|p| (p - at).norm()).filter(|d| *d > 0.0);
    let gap = others.fold(f64::INFINITY, f64::min);
    if gap > SLIVER {
        return EvaluateError::Open { tags, at };
    }
    let near = |k: &usize| {
        let e = &set.entries[*k];
        e.seam_of.is_none() && e.near(at) && e.surface.f(at).abs() < SLIVER
    };
    let tags = (0..set.entries.len()).filter(near).map(|k| set.nearest_tag(k, at)).collect();
    EvaluateError::TooNear { tags, at, gap }
}
