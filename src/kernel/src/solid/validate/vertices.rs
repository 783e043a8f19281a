use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// A corner of a face: the two edges that meet there, and the face.
type Corner = ([usize; 2], usize);

/// Each vertex ends an edge, and the faces around it form one fan.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    let brep = context.brep;
    let mut corners: Vec<Vec<Corner>> = vec![Vec::new(); brep.vertices.len()];
    let mut used = vec![false; brep.vertices.len()];
    for edge in &brep.edges {
        used[edge.start] = true;
        used[edge.end] = true;
    }
    for (f, face) in brep.faces.iter().enumerate() {
        for ring in &face.loops {
            for k in 0..ring.len() {
                let (from, to) = (ring[k], ring[(k + 1) % ring.len()]);
                corners[brep.head(from)].push(([from.edge, to.edge], f));
            }
        }
    }
    for (vertex, around) in corners.iter().enumerate() {
        let place = brep.vertices[vertex];
        if !used[vertex] {
            faults.push(BoundaryFault { kind: FaultKind::Dangling { vertex }, faces: vec![], place });
        }
        let fans = fans(around);
        if fans > 1 {
            let faces = context.names_of(around.iter().map(|(_, f)| *f));
            faults.push(BoundaryFault { kind: FaultKind::Umbrella { vertex, fans }, faces, place });
        }
    }
}

/// Number of sets of corners that hang together by edges.
fn fans(corners: &[Corner]) -> usize {
    let mut seen = vec![false; corners.len()];
    let mut count = 0;
    for first in 0..corners.len() {
        if seen[first] {
            continue;
        }
        count += 1;
        seen[first] = true;
        let mut stack = vec![first];
        while let Some(c) = stack.pop() {
            for (k, other) in corners.iter().enumerate() {
                if !seen[k] && other.0.iter().any(|e| corners[c].0.contains(e)) {
                    seen[k] = true;
                    stack.push(k);
                }
            }
        }
    }
    count
}
