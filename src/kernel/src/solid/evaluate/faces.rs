//! Loops of edges, and faces from loops.

use crate::tolerance::{NOT_ZERO, SAME_ANGLE};
use std::collections::BTreeMap;

use super::edges::Edge;
use super::error::{EvaluateError, unless};
use super::surface_set::SurfaceSet;
use crate::geometry::{Chart, P2, P3, V3};
use crate::solid::Tag;
use crate::solid::brep::{Brep, BrepFace, HalfEdge};

/// What the half-edges of one piece of surface have in common: surface, half, sense, name.
type Key = (usize, u8, bool, Tag);

/// Points taken along an edge where its shape on the map matters.
const SAMPLES: usize = 24;

/// Makes all faces. The errors tell one place on each piece of surface whose loops do not close.
pub(super) fn faces(
    set: &SurfaceSet,
    edges: &[Edge],
    brep: &Brep,
) -> Result<Vec<BrepFace>, Vec<EvaluateError>> {
    let mut groups: BTreeMap<Key, Vec<HalfEdge>> = BTreeMap::new();
    for (i, e) in edges.iter().enumerate() {
        for u in &e.uses {
            let key = (u.surface, u.half, u.same_sense, u.tag.clone());
            groups.entry(key).or_default().push(HalfEdge { edge: i, forward: u.forward });
        }
    }
    let (mut out, mut faults) = (Vec::new(), Vec::new());
    for (key, half_edges) in groups {
        let chart = set.chart(key.0, key.1);
        let loops = link(set, brep, &key, &half_edges);
        match loops.and_then(|loops| nest(set, brep, &key, &chart, loops)) {
            Ok(faces) => out.extend(faces),
            Err(fault) => faults.push(fault),
        }
    }
    unless(faults, out)
}

/// Chains half-edges into loops. Where several leave a vertex, the first one clockwise from the way back (seen
/// from outside) is next, so that loops turn as tightly around the face as can be.
fn link(
    set: &SurfaceSet,
    brep: &Brep,
    key: &Key,
    half_edges: &[HalfEdge],
) -> Result<Vec<Vec<HalfEdge>>, EvaluateError> {
    let mut leaving: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, h) in half_edges.iter().enumerate() {
        leaving.entry(brep.tail(*h)).or_default().push(i);
    }
    let mut used = vec![false; half_edges.len()];
    let mut loops = Vec::new();
    for first in 0..half_edges.len() {
        if used[first] {
            continue;
        }
        let mut chain = Vec::new();
        let mut at = first;
        loop {
            used[at] = true;
            chain.push(half_edges[at]);
            let vertex = brep.head(half_edges[at]);
            if vertex == brep.tail(half_edges[first]) && leaving[&vertex].len() == 1 {
                break;
            }
            let none = vec![];
            let choices = leaving.get(&vertex).unwrap_or(&none);
            let next = tightest(set, brep, key, half_edges, at, choices);
            match next {
                Some(next) if next == first => break,
                Some(next) if !used[next] => at = next,
                _ => {
                    let at = brep.vertices[vertex];
                    return Err(EvaluateError::Open { tags: vec![key.3.clone()], at });
                }
            }
        }
        loops.push(chain);
    }
    Ok(loops)
}

fn tightest(
    set: &SurfaceSet,
    brep: &Brep,
    key: &Key,
    half_edges: &[HalfEdge],
    arriving: usize,
    choices: &[usize],
) -> Option<usize> {
    if choices.len() < 2 {
        return choices.first().copied();
    }
    let vertex = brep.vertices[brep.head(half_edges[arriving])];
    let mut normal = set.entries[key.0].surface.grad(vertex);
    if !key.2 {
        normal = -normal;
    }
    let length = |h: HalfEdge| (brep.edge_point(h.edge, 0.5) - brep.edge_point(h.edge, 0.0)).norm();
    let shortest =
        choices.iter().map(|c| length(half_edges[*c])).fold(length(half_edges[arriving]), f64::min);
    let reach = 0.2 * shortest;
    let back = direction(
        brep,
        HalfEdge { forward: !half_edges[arriving].forward, ..half_edges[arriving] },
        vertex,
        reach,
    );
    let clockwise = |c: usize| {
        let d = direction(brep, half_edges[c], vertex, reach);
        let angle = normal.dot(&d.cross(&back)).atan2(d.dot(&back) - normal.dot(&d) * normal.dot(&back));
        // Straight back is the last choice.
        if angle <= SAME_ANGLE { angle + std::f64::consts::TAU } else { angle }
    };
    choices.iter().copied().min_by(|a, b| clockwise(*a).total_cmp(&clockwise(*b)))
}

/// The direction from a vertex to the point of the half-edge at about `reach` from it.
fn direction(brep: &Brep, h: HalfEdge, vertex: P3, reach: f64) -> V3 {
    let at = |f: f64| brep.edge_point(h.edge, if h.forward { f } else { 1.0 - f });
    let (mut lo, mut hi) = (0.0, 0.5);
    for _ in 0..40 {
        let mid = 0.5 * (lo + hi);
        if (at(mid) - vertex).norm() < reach {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    let d = at(hi) - vertex;
    d.try_normalize(NOT_ZERO).unwrap_or(d)
}

/// Splits loops into faces: counter-clockwise loops are outer ones, the others holes of the least outer loop
/// about them.
fn nest(
    set: &SurfaceSet,
    brep: &Brep,
    key: &Key,
    chart: &Chart,
    loops: Vec<Vec<HalfEdge>>,
) -> Result<Vec<BrepFace>, EvaluateError> {
    let face = |loops| BrepFace {
        surface: set.entries[key.0].surface.clone(),
        same_sense: key.2,
        loops,
        tag: key.3.clone(),
        chart: chart.clone(),
    };
    if loops.len() == 1 {
        return Ok(vec![face(loops)]);
    }
    let outlines: Vec<Vec<P2>> = loops.iter().map(|l| outline(brep, chart, l)).collect();
    let sign = if key.2 { 1.0 } else { -1.0 };
    let areas: Vec<f64> = outlines.iter().map(|o| sign * twice_area(o)).collect();
    let mut outer: Vec<usize> = (0..loops.len()).filter(|i| areas[*i] > 0.0).collect();
    outer.sort_by(|a, b| areas[*a].total_cmp(&areas[*b]));
    let mut owned: BTreeMap<usize, Vec<usize>> = outer.iter().map(|o| (*o, vec![])).collect();
    for hole in (0..loops.len()).filter(|i| areas[*i] <= 0.0) {
        let owner = match outer.as_slice() {
            [only] => Some(*only),
            _ => outer.iter().copied().find(|o| inside(&outlines[hole], &outlines[*o])),
        };
        let Some(owner) = owner else {
            let at = brep.vertices[brep.tail(loops[hole][0])];
            return Err(EvaluateError::Open { tags: vec![key.3.clone()], at });
        };
        owned.entry(owner).or_default().push(hole);
    }
    Ok(owned
        .into_iter()
        .map(|(o, holes)| face(std::iter::once(o).chain(holes).map(|i| loops[i].clone()).collect()))
        .collect())
}

/// A loop as a polygon on the map.
fn outline(brep: &Brep, chart: &Chart, half_edges: &[HalfEdge]) -> Vec<P2> {
    let mut out = Vec::new();
    for h in half_edges {
        for k in 0..SAMPLES {
            let f = k as f64 / SAMPLES as f64;
            let p = brep.edge_point(h.edge, if h.forward { f } else { 1.0 - f });
            out.push(chart.to_flat(p));
        }
    }
    out
}

fn twice_area(polygon: &[P2]) -> f64 {
    let n = polygon.len();
    (0..n).map(|i| polygon[i].x * polygon[(i + 1) % n].y - polygon[(i + 1) % n].x * polygon[i].y).sum()
}

/// Whether most points of a polygon lie inside another.
fn inside(inner: &[P2], outer: &[P2]) -> bool {
    let count = inner.iter().filter(|p| winds(outer, **p)).count();
    2 * count > inner.len()
}

fn winds(polygon: &[P2], p: P2) -> bool {
    let n = polygon.len();
    let mut odd = false;
    for i in 0..n {
        let (a, b) = (polygon[i], polygon[(i + 1) % n]);
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            odd = !odd;
        }
    }
    odd
}
