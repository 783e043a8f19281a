use super::context::Context;
use super::fault::{BoundaryFault, FaultKind};

/// The formula of Euler and Poincaré for each shell: V − E + F − (L − F) = 2(1 − G). Gives the genus G of
/// each (zero where it can't be told).
pub(super) fn check(context: &Context, faults: &mut Vec<BoundaryFault>) -> Vec<usize> {
    let brep = context.brep;
    let mut genus = Vec::with_capacity(brep.shells.len());
    let (mut vertex_seen, mut edge_seen) =
        (vec![usize::MAX; brep.vertices.len()], vec![usize::MAX; brep.edges.len()]);
    for (s, shell) in brep.shells.iter().enumerate() {
        let (mut v, mut e, mut l) = (0, 0, 0usize);
        for &f in &shell.faces {
            l += brep.faces[f].loops.len();
            for half in brep.faces[f].loops.iter().flatten() {
                if edge_seen[half.edge] != s {
                    edge_seen[half.edge] = s;
                    e += 1;
                }
                let tail = brep.tail(*half);
                if vertex_seen[tail] != s {
                    vertex_seen[tail] = s;
                    v += 1;
                }
            }
        }
        let f = shell.faces.len();
        let holes = l.saturating_sub(f);
        // V − E + F − (L − F) as a difference of two sums.
        let (plus, minus) = (v + 2 * f, e + l);
        if plus > minus + 2 || (plus + minus) % 2 != 0 {
            let value = plus as f64 - minus as f64;
            let kind = FaultKind::Euler { shell: s, vertices: v, edges: e, faces: f, holes, value };
            let faces = context.names_of([shell.faces[0]]);
            faults.push(BoundaryFault { kind, faces, place: context.center });
            genus.push(0);
        } else {
            genus.push((minus + 2 - plus) / 2);
        }
    }
    genus
}
