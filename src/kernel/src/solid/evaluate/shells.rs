//! Shells from faces, and vertices where a shell would touch itself.

use std::collections::BTreeMap;

use super::error::{EvaluateError, unless};
use crate::geometry::Bounds;
use crate::solid::brep::{Brep, BrepShell};
use crate::solid::disjoint_sets::DisjointSets;
use crate::solid::measure::shell_volume;
use crate::solid::quadrature::Nodes;

/// Boxes are told by points of edges, and fall short by less than this share of their size.
const AMPLE: f64 = 0.1;

/// Groups faces over common edges and tells outer shells from voids by the sign of their volume.
pub(super) fn shells(brep: &Brep) -> Vec<BrepShell> {
    let mut joined = DisjointSets::new(brep.faces.len());
    let mut face_at: Vec<Option<usize>> = vec![None; brep.edges.len()];
    for (f, face) in brep.faces.iter().enumerate() {
        for h in face.loops.iter().flatten() {
            match face_at[h.edge] {
                None => face_at[h.edge] = Some(f),
                Some(g) => joined.join(f, g),
            }
        }
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for f in 0..brep.faces.len() {
        groups.entry(joined.least(f)).or_default().push(f);
    }
    if groups.len() == 1 {
        return groups.into_values().map(|faces| BrepShell { faces, void: false }).collect();
    }
    let boxes: Vec<Bounds> = groups.values().map(|faces| brep.bounds_of(faces.iter().copied())).collect();
    let largest = (0..boxes.len()).max_by(|a, b| boxes[*a].diagonal().total_cmp(&boxes[*b].diagonal()));
    let nodes = Nodes::new(brep);
    // What holds all others amply is no void; only the others are asked for their volumes.
    let holds = |i: usize, j: usize| {
        i == j || {
            let other = boxes[j].grown(AMPLE * boxes[j].diagonal());
            boxes[i].union(&other) == boxes[i]
        }
    };
    let around = |i: usize| Some(i) == largest && (0..boxes.len()).all(|j| holds(i, j));
    let shell = |(i, faces): (usize, Vec<usize>)| {
        let void = !around(i) && shell_volume(brep, &nodes, &faces) < 0.0;
        BrepShell { faces, void }
    };
    groups.into_values().enumerate().map(shell).collect()
}

/// The faces about each vertex must form one ring; several rings are a solid that touches itself there.
pub(super) fn check_vertices(brep: &Brep) -> Result<(), Vec<EvaluateError>> {
    let mut faults = Vec::new();
    // For each half-edge arriving at a vertex: the half-edge that leaves it in the same face.
    let mut next: BTreeMap<(usize, bool), (usize, bool, usize)> = BTreeMap::new();
    let mut arriving: BTreeMap<usize, Vec<(usize, bool)>> = BTreeMap::new();
    for (f, face) in brep.faces.iter().enumerate() {
        for l in &face.loops {
            for (i, h) in l.iter().enumerate() {
                let n = l[(i + 1) % l.len()];
                next.insert((h.edge, h.forward), (n.edge, n.forward, f));
                arriving.entry(brep.head(*h)).or_default().push((h.edge, h.forward));
            }
        }
    }
    for (v, around) in &arriving {
        let mut at = around[0];
        let mut count = 0;
        loop {
            count += 1;
            let Some((edge, forward, _)) = next.get(&at) else { break };
            at = (*edge, !*forward);
            if at == around[0] || count > around.len() {
                break;
            }
        }
        if count != around.len() {
            let tags =
                around.iter().filter_map(|h| next.get(h)).map(|n| brep.faces[n.2].tag.clone()).collect();
            faults.push(EvaluateError::TouchingPoint { tags, at: brep.vertices[*v] });
        }
    }
    unless(faults, ())
}
