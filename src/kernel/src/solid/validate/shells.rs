use crate::geometry::P3;
use crate::solid::brep::Brep;

use super::context::{Context, middle};
use super::fault::{BoundaryFault, FaultKind};

/// Every number names something that exists, and every coordinate is finite.
pub(super) fn check_indices(brep: &Brep, faults: &mut Vec<BoundaryFault>) {
    let mut report = |kind, faces| faults.push(BoundaryFault { kind, faces, place: P3::origin() });
    if brep.shells.is_empty() || brep.shells.iter().any(|s| s.faces.is_empty()) {
        report(FaultKind::Empty, vec![]);
    }
    for (index, p) in brep.vertices.iter().enumerate() {
        if !p.iter().all(|c| c.is_finite()) {
            report(FaultKind::NotFinite { what: "vertex", index }, vec![]);
        }
    }
    for (index, edge) in brep.edges.iter().enumerate() {
        for v in [edge.start, edge.end] {
            if v >= brep.vertices.len() {
                report(FaultKind::Missing { what: "vertex", index: v }, vec![]);
            }
        }
        if !(edge.range.0.is_finite() && edge.range.1.is_finite()) {
            report(FaultKind::NotFinite { what: "edge", index }, vec![]);
        }
    }
    for face in &brep.faces {
        for half in face.loops.iter().flatten() {
            if half.edge >= brep.edges.len() {
                report(FaultKind::Missing { what: "edge", index: half.edge }, vec![face.tag.clone()]);
            }
        }
    }
    for &index in brep.shells.iter().flat_map(|s| &s.faces) {
        if index >= brep.faces.len() {
            report(FaultKind::Missing { what: "face", index }, vec![]);
        }
    }
}

/// Each face is in one shell; each shell hangs together by its edges, and no edge joins two shells.
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) {
    let brep = context.brep;
    let mut shell_of = vec![usize::MAX; brep.faces.len()];
    let mut count = vec![0; brep.faces.len()];
    for (s, shell) in brep.shells.iter().enumerate() {
        for &f in &shell.faces {
            shell_of[f] = s;
            count[f] += 1;
        }
    }
    let place_of = |f: usize| {
        let first = brep.faces[f].loops.iter().flatten().next();
        first.map_or(P3::origin(), |h| brep.vertices[brep.tail(*h)])
    };
    for (face, &count) in count.iter().enumerate().filter(|(_, c)| **c != 1) {
        let kind = FaultKind::ShellOfFace { face, count };
        faults.push(BoundaryFault { kind, faces: context.names_of([face]), place: place_of(face) });
    }
    for (e, uses) in context.uses.iter().enumerate() {
        if uses.iter().any(|(f, _)| shell_of[*f] != shell_of[uses[0].0]) {
            let kind = FaultKind::ShellsJoined { edge: e };
            faults.push(BoundaryFault { kind, faces: context.names(e), place: middle(&brep.edges[e]) });
        }
    }
    let pieces = pieces_per_shell(context, &shell_of);
    for (shell, &pieces) in pieces.iter().enumerate().filter(|(_, p)| **p > 1) {
        let f = brep.shells[shell].faces[0];
        let kind = FaultKind::ShellApart { shell, pieces };
        faults.push(BoundaryFault { kind, faces: context.names_of([f]), place: place_of(f) });
    }
}

fn pieces_per_shell(context: &Context, shell_of: &[usize]) -> Vec<usize> {
    let brep = context.brep;
    let mut pieces = vec![0; brep.shells.len()];
    let mut seen = vec![false; brep.faces.len()];
    for first in 0..brep.faces.len() {
        if seen[first] || shell_of[first] == usize::MAX {
            continue;
        }
        pieces[shell_of[first]] += 1;
        seen[first] = true;
        let mut stack = vec![first];
        while let Some(f) = stack.pop() {
            for half in brep.faces[f].loops.iter().flatten() {
                for &(next, _) in &context.uses[half.edge] {
                    if !seen[next] {
                        seen[next] = true;
                        stack.push(next);
                    }
                }
            }
        }
    }
    pieces
}
