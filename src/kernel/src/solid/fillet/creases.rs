//! Creases: where a path turns more tightly than the ball, two sheets of what the ball leaves meet before they fold.
//!
//! A point of a crease lies a radius from the path at two places, and nearer to it nowhere. The crease runs from where the
//! section's arc begins to fold to where it ceases ([`folds`]); both lie on arcs between two sheets. Where one of the two
//! places passes from one sheet to the next, the crease crosses the arc between them, and of that arc only what lies outside
//! the crease is left.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::crease_ends::End;
use super::crease_graph::CreaseGraph;
use super::crease_pieces::Crease;
use super::crease_tracer::CreaseTracer;
use super::folds::{self, Fold, Folds};
use super::path::SmoothPath;
use super::sheets::Sheets;
use crate::tolerance::CREASE_END;

/// How far from a place creases are refused, in radii.
const REFUSED: f64 = 1.5;

/// Where segments of a path must be cut so that its creases begin and end between segments: numbers of segments and places
/// along their spines, as lengths from their start, added to those already known.
pub(super) fn cuts(path: &SmoothPath<'_>, radius: f64, folds: &[Fold], out: &mut Vec<(usize, f64)>) {
    if folds.is_empty() {
        return;
    }
    let within = CREASE_END * radius;
    for fold in folds {
        for at in distinct(fold, within) {
            let k = &path.stretches[path.at(at)];
            let known = at - k.from < within || k.to - at < within;
            let along = if k.forward { at - k.from } else { k.to - at };
            if !known {
                add(out, (k.number, along), within);
            }
        }
    }
    // Of a closed path any two segments may meet at one end only, so that an arc tells where it lies between them.
    let own = path.own_stretches();
    if path.is_closed() && own.len() < 3 {
        for k in own {
            let length = k.to - k.from;
            add(out, (k.number, length / 3.0), 0.1 * length);
            add(out, (k.number, length / 1.5), 0.1 * length);
        }
    }
}

/// The places of a fold's ends; those that lie together are one.
fn distinct(fold: &Fold, within: f64) -> Vec<f64> {
    let mut at: Vec<f64> = fold.ends.iter().map(|e| e.at).collect();
    at.sort_by(f64::total_cmp);
    let groups = at.chunk_by(|a, b| b - a < within);
    groups.map(|g| 0.5 * (g[0] + g[g.len() - 1])).collect()
}

/// Adds a cut unless there is one so near.
fn add(out: &mut Vec<(usize, f64)>, cut: (usize, f64), within: f64) {
    if !out.iter().any(|c| c.0 == cut.0 && (c.1 - cut.1).abs() < within) {
        out.push(cut);
    }
}

/// Creases of paths whose segments have been cut.
#[derive(Default)]
pub(super) struct FoundCreases {
    pub(super) creases: Vec<Crease>,
    /// The segments that fold where creases are not found.
    pub(super) lost: BTreeSet<usize>,
}

impl FoundCreases {
    /// Finds all creases that begin or end on some paths.
    pub(super) fn along(paths: &[SmoothPath<'_>], sheets: &Sheets<'_>, folding: Folds<'_>) -> Self {
        let mut out = Self::default();
        let mut ends: Vec<End> = Vec::new();
        // The segments of each end's fold.
        let mut folds: Vec<Vec<usize>> = Vec::new();
        let ends_of = |path: &SmoothPath<'_>| -> Vec<(Vec<usize>, Option<Vec<End>>)> {
            let of_fold = |fold: Fold| {
                let own = segments_between(path, fold.range, sheets.radius);
                // What the ball reaches from elsewhere is gone.
                let left =
                    |all: Vec<End>| all.into_iter().filter(|e| sheets.nearer(e.point).is_none()).collect();
                (own, End::all(path, sheets, &fold.ends).map(left))
            };
            folds::of_path(path, sheets.radius).into_iter().map(of_fold).collect()
        };
        let found: Vec<_> = paths.par_iter().map(ends_of).collect();
        for (own, all) in found.into_iter().flatten() {
            match all {
                None => out.lost.extend(own),
                Some(all) => {
                    folds.extend(all.iter().map(|_| own.clone()));
                    ends.extend(all);
                }
            }
        }
        let mut done = vec![false; ends.len()];
        let mut graphs: Vec<CreaseGraph> = Vec::new();
        for first in 0..ends.len() {
            if done[first] {
                continue;
            }
            match CreaseTracer::graph(sheets, &ends, first) {
                None => out.lost.extend(&folds[first]),
                Some(graph) => {
                    graph.ends.iter().for_each(|e| done[*e] = true);
                    // One that passed over a point of three sheets unseen lacks the ends behind it.
                    graphs.retain(|g| !g.shares_an_end(&graph));
                    graphs.push(graph);
                }
            }
        }
        let graphs = joined(graphs);
        let crease = |graph: &CreaseGraph| {
            let refused = match folding {
                Folds::Crease { but } => graph.passes_near(but, REFUSED * sheets.radius),
                Folds::Refuse => true,
            };
            if refused { None } else { Crease::of(sheets, graph) }
        };
        let creases: Vec<Option<Crease>> = graphs.par_iter().map(crease).collect();
        for (graph, crease) in graphs.iter().zip(creases) {
            match crease {
                Some(crease) => out.creases.push(crease),
                None => out.lost.extend(graph.ends.iter().flat_map(|e| &folds[*e])),
            }
        }
        out
    }
}

/// Graphs that cut one arc from both sides as one.
fn joined(graphs: Vec<CreaseGraph>) -> Vec<CreaseGraph> {
    let mut out: Vec<CreaseGraph> = Vec::new();
    for mut graph in graphs {
        let (with, apart): (Vec<_>, Vec<_>) = out.drain(..).partition(|g| g.shares_an_arc(&graph));
        out = apart;
        for g in with {
            graph.join(g);
        }
        out.push(graph);
    }
    out
}

/// The segments of a path in which a fold lies.
fn segments_between(path: &SmoothPath<'_>, (lo, hi): (f64, f64), radius: f64) -> Vec<usize> {
    let near = CREASE_END * radius;
    path.stretches.iter().filter(|k| k.to > lo - near && k.from < hi + near).map(|k| k.number).collect()
}
