//! Pieces that are edges, joined where a vertex between them matters to no one.

use std::collections::BTreeMap;

use super::candidates::CandidateEdge;
use super::carrier::{CarrierCurve, Carriers};
use super::edge_uses::EdgeUse;
use super::vertices::VertexSet;
use crate::geometry::{BSpline, Curve};
use crate::solid::brep::BrepEdge;

/// An edge with the two faces about it.
#[derive(Clone, Debug)]
pub(super) struct Edge {
    pub(super) carrier: usize,
    pub(super) range: (f64, f64),
    pub(super) ends: [usize; 2],
    pub(super) uses: Vec<EdgeUse>,
}

/// Joins neighbouring pieces of one carrier with the same faces about them. A closed curve keeps two vertices.
pub(super) fn join(carriers: &Carriers, candidates: Vec<(CandidateEdge, Vec<EdgeUse>)>) -> Vec<Edge> {
    let mut degree: BTreeMap<usize, usize> = BTreeMap::new();
    for (p, _) in &candidates {
        for v in p.ends {
            *degree.entry(v).or_default() += 1;
        }
    }
    let mut by_carrier: BTreeMap<usize, Vec<Edge>> = BTreeMap::new();
    for (p, mut uses) in candidates {
        uses.sort();
        by_carrier.entry(p.carrier).or_default().push(Edge {
            carrier: p.carrier,
            range: p.range,
            ends: p.ends,
            uses,
        });
    }
    let mut out = Vec::new();
    for (carrier, mut run) in by_carrier {
        run.sort_by(|a, b| a.range.0.total_cmp(&b.range.0));
        out.extend(join_run(run, &degree, carriers.list[carrier].period()));
    }
    out
}

/// Joins along one carrier; `run` is sorted by parameter.
fn join_run(run: Vec<Edge>, degree: &BTreeMap<usize, usize>, period: Option<f64>) -> Vec<Edge> {
    let free = |v: usize| degree.get(&v) == Some(&2);
    let joins = |a: &Edge, b: &Edge| a.ends[1] == b.ends[0] && free(a.ends[1]) && a.uses == b.uses;
    let n = run.len();
    let mut chains: Vec<Vec<Edge>> = Vec::new();
    for e in run {
        match chains.last_mut() {
            Some(chain) if chain.last().is_some_and(|l| joins(l, &e)) => chain.push(e),
            _ => chains.push(vec![e]),
        }
    }
    // Around the end of a closed carrier.
    if let Some(period) = period
        && chains.len() > 1
        && let (Some(last), Some(first)) = (chains.last().and_then(|c| c.last()), chains[0].first())
        && joins(last, first)
        && n > 2
    {
        let head = chains.remove(0);
        if let Some(chain) = chains.last_mut() {
            chain.extend(
                head.into_iter().map(|e| Edge { range: (e.range.0 + period, e.range.1 + period), ..e }),
            );
        }
    }
    chains.iter().flat_map(|c| merge_chain(c)).collect()
}

/// One edge of a chain, or two where it closes on itself.
fn merge_chain(chain: &[Edge]) -> Vec<Edge> {
    let (first, last) = (&chain[0], &chain[chain.len() - 1]);
    let joined = |part: &[Edge]| Edge {
        range: (part[0].range.0, part[part.len() - 1].range.1),
        ends: [part[0].ends[0], part[part.len() - 1].ends[1]],
        ..part[0].clone()
    };
    if first.ends[0] != last.ends[1] {
        return vec![joined(chain)];
    }
    let middle = 0.5 * (first.range.0 + last.range.1);
    let cut = (1..chain.len())
        .min_by(|a, b| (chain[*a].range.0 - middle).abs().total_cmp(&(chain[*b].range.0 - middle).abs()))
        .unwrap_or(1);
    vec![joined(&chain[..cut]), joined(&chain[cut..])]
}

/// The edge as the finished boundary holds it; `index` maps vertices to vertices.
pub(super) fn finished(
    carriers: &Carriers,
    vertices: &VertexSet,
    e: &Edge,
    index: &BTreeMap<usize, usize>,
) -> BrepEdge {
    let ends = e.ends.map(|v| vertices.points[v]);
    let fitted = |spline: BSpline| {
        let range = (spline.knots[0], spline.knots[spline.knots.len() - 1]);
        (Curve::Spline(spline), range)
    };
    let (curve, range) = match &carriers.list[e.carrier].shape {
        CarrierCurve::Plain(c) => (c.clone(), e.range),
        CarrierCurve::Traced(t) => fitted(t.spline(e.range.0, e.range.1, ends)),
        CarrierCurve::Contact(r) => fitted(r.spline(e.range.0, e.range.1, ends)),
        CarrierCurve::Crease(c) => fitted(c.spline(e.range.0, e.range.1, ends)),
    };
    BrepEdge { curve, range, start: index[&e.ends[0]], end: index[&e.ends[1]] }
}
