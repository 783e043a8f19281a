//! Carriers cut at their vertices.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::carrier::{Carrier, CarrierCurve, Carriers};
use super::surface_set::SurfaceSet;
use super::vertices::VertexSet;
use crate::geometry::{P3, V3};
use crate::tolerance::{NEAR_SURFACE, NO_DIRECTION, SHORTEST_EDGE, VERTEX_FIT};

/// A piece of a carrier between two neighbouring vertices: a candidate edge.
#[derive(Clone, Debug)]
pub(super) struct CandidateEdge {
    pub(super) carrier: usize,
    /// Parameters of the ends, rising (beyond the period where it wraps).
    pub(super) range: (f64, f64),
    /// Vertices at the ends.
    pub(super) ends: [usize; 2],
    /// Surfaces it lies on, cutting ones too, sorted.
    pub(super) surfaces: Vec<usize>,
    /// Edges of primitives that it is a piece of: step, primitive's edge, and whether that runs the piece's way.
    pub(super) known: Vec<(usize, usize, bool)>,
}

impl CandidateEdge {
    pub(super) fn point(&self, carriers: &Carriers, fraction: f64) -> P3 {
        carriers.list[self.carrier].point(self.range.0 + (self.range.1 - self.range.0) * fraction)
    }

    /// Whether the piece passes through `p`.
    fn covers(&self, carriers: &Carriers, p: P3) -> bool {
        let c = &carriers.list[self.carrier];
        c.param(p, NEAR_SURFACE).is_some_and(|t| c.covers(self.range, t))
    }

    pub(super) fn tangent(&self, carriers: &Carriers, fraction: f64) -> V3 {
        let t = self.range.0 + (self.range.1 - self.range.0) * fraction;
        let d = carriers.list[self.carrier].derivative(t);
        d.try_normalize(NO_DIRECTION).unwrap_or(d)
    }
}

/// Cuts all carriers. Closed ones without two vertices get them at odd places; pieces of different carriers
/// that are the same curve between the same vertices become one.
pub(super) fn cut(set: &SurfaceSet, carriers: &Carriers, vertices: &mut VertexSet) -> Vec<CandidateEdge> {
    let mut out: Vec<CandidateEdge> = Vec::new();
    let mut between: BTreeMap<[usize; 2], Vec<usize>> = BTreeMap::new();
    let known: Vec<_> = carriers.list.par_iter().map(|c| marks(c, vertices)).collect();
    let mut added = Vec::new();
    for ((i, c), mut marks) in carriers.list.iter().enumerate().zip(known) {
        mark_added(c, vertices, &added, &mut marks);
        if let Some(period) = c.period() {
            complete(c, period, &mut marks, vertices, &mut added);
        }
        for (range, ends) in neighbours(c, &marks) {
            let known = carriers.known_at(i, 0.5 * (range.0 + range.1));
            let known = known.map(|k| (k.edge.0, k.edge.1, k.along)).collect();
            let candidate = CandidateEdge { carrier: i, range, ends, surfaces: c.surfaces.clone(), known };
            let mid = candidate.point(carriers, 0.5);
            let near = candidate.surfaces.iter().filter(|s| set.reaches(**s, mid)).count();
            // A primitive's own edge may lie in one surface alone, between two names, and another surface touch it there without a face.
            if candidate.known.is_empty() && near < candidate.surfaces.len().min(2) {
                continue;
            }
            let key = [ends[0].min(ends[1]), ends[0].max(ends[1])];
            let rivals = between.entry(key).or_default();
            let twin = rivals.iter().find(|r| out[**r].covers(carriers, mid));
            if let Some(&twin) = twin {
                let mut all = out[twin].surfaces.clone();
                all.extend(&candidate.surfaces);
                all.sort_unstable();
                all.dedup();
                let turned = out[twin].ends != candidate.ends;
                let mut known = candidate.known.clone();
                // The plain curve is the better carrier.
                if matches!(carriers.list[out[twin].carrier].shape, CarrierCurve::Plain(_)) {
                    for k in &mut known {
                        k.2 ^= turned;
                    }
                    known.splice(0..0, out[twin].known.iter().copied());
                } else {
                    known.extend(out[twin].known.iter().map(|k| (k.0, k.1, k.2 ^ turned)));
                    out[twin] = candidate;
                }
                out[twin].known = known;
                out[twin].surfaces = all;
            } else {
                rivals.push(out.len());
                out.push(candidate);
            }
        }
    }
    out
}

/// Vertices on a carrier with their parameters, sorted, each vertex once.
fn marks(c: &Carrier, vertices: &VertexSet) -> Vec<(f64, usize)> {
    let mut out: Vec<(f64, usize)> = Vec::new();
    for v in vertices.on_any(&c.surfaces) {
        mark(c, vertices, v, &mut out);
    }
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

/// Marks a vertex, if it lies on the carrier.
fn mark(c: &Carrier, vertices: &VertexSet, v: usize, out: &mut Vec<(f64, usize)>) {
    let p = vertices.points[v];
    if let Some(t) = c.param(p, VERTEX_FIT) {
        let t = c.period().map_or(t, |period| t.rem_euclid(period));
        out.push((t, v));
        // A branch may leave a node and come back to it.
        let (start, end) = c.span();
        let other = if t < 0.5 * (start + end) { end } else { start };
        let loops = matches!(c.shape, CarrierCurve::Traced(_)) && c.period().is_none();
        if loops && (c.point(other) - p).norm() < VERTEX_FIT {
            out.push((other, v));
        }
    }
}

/// Marks the vertices that closed carriers before this one were given, and that lie on it as well.
fn mark_added(c: &Carrier, vertices: &VertexSet, added: &[usize], marks: &mut Vec<(f64, usize)>) {
    let before = marks.len();
    for &v in added {
        let shared = vertices.surfaces[v].iter().any(|s| c.surfaces.contains(s));
        if shared && marks.iter().all(|m| m.1 != v) {
            mark(c, vertices, v, marks);
        }
    }
    if marks.len() > before {
        marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
}

/// Gives a closed curve at least two vertices, and takes down in `added` which.
fn complete(
    c: &Carrier,
    period: f64,
    marks: &mut Vec<(f64, usize)>,
    vertices: &mut VertexSet,
    added: &mut Vec<usize>,
) {
    let mut put = |t: f64, marks: &mut Vec<(f64, usize)>| {
        let t = t.rem_euclid(period);
        let v = vertices.add(c.point(t), &c.surfaces);
        marks.push((t, v));
        added.push(v);
    };
    match marks.len() {
        0 => {
            put(0.1 * period, marks);
            put(0.6 * period, marks);
        }
        1 => put(marks[0].0 + 0.5 * period, marks),
        _ => {}
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
}

type MarkedRange = ((f64, f64), [usize; 2]);

fn neighbours(c: &Carrier, marks: &[(f64, usize)]) -> Vec<MarkedRange> {
    let mut out: Vec<MarkedRange> = marks.windows(2).map(|w| ((w[0].0, w[1].0), [w[0].1, w[1].1])).collect();
    if let (Some(period), Some(first), Some(last)) = (c.period(), marks.first(), marks.last()) {
        out.push(((last.0, first.0 + period), [last.1, first.1]));
    }
    out.retain(|(range, ends)| ends[0] != ends[1] && (range.1 - range.0) * c.speed() > SHORTEST_EDGE);
    out
}
