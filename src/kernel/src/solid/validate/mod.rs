//! Checks of a finished boundary, one file a check.
//!
//! Holds afterwards: a boundary that passes is a set of closed, oriented, manifold shells whose faces are not
//! inside out and whose edges lie on the surfaces they bound.
//! Does not promise: that faces don't cross each other away from their edges; the evaluator sees to that.

// Level 1: what the checks look at and what they report.
mod context;
mod fault;

// Level 2: the checks.
mod edges;
mod euler;
mod loops;
mod orientation;
mod shells;
mod surfaces;
mod vertices;
mod volume;

#[cfg(test)]
mod tests;

use crate::geometry::Stretch;

use super::brep::Brep;
use super::measure::{MassProperties, all_face_sums, center_of};
use super::quadrature::Nodes;

use context::Context;

pub use fault::{BoundaryFault, FaultKind};

/// What a sound boundary is like.
#[derive(Clone, Debug)]
pub struct Report {
    /// Genus (number of handles) of each shell.
    pub genus: Vec<usize>,
    /// Volume of each shell, mm³; negative for voids.
    pub shell_volumes: Vec<f64>,
    /// Mass properties of the whole.
    pub mass: MassProperties,
    /// The shortest edge: its number and length, mm.
    pub shortest_edge: Option<(usize, f64)>,
}

/// Looks at everything that must hold of a boundary.
///
/// # Errors
/// All violations, each with the faces by name and a place. When indices are out of range, only those are
/// reported: nothing else can be looked at.
pub fn validate(brep: &Brep) -> Result<Report, Vec<BoundaryFault>> {
    let mut faults = Vec::new();
    shells::check_indices(brep, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut uses = vec![Vec::new(); brep.edges.len()];
    for (f, face) in brep.faces.iter().enumerate() {
        for half in face.loops.iter().flatten() {
            uses[half.edge].push((f, half.forward));
        }
    }
    let center = center_of(brep);
    let nodes = Nodes::new(brep);
    let faces = all_face_sums(brep, &nodes, center, Stretch::NONE);
    let context = Context { brep, uses, center, nodes, faces };
    let shortest_edge = edges::check(&context, &mut faults);
    loops::check(&context, &mut faults);
    vertices::check(&context, &mut faults);
    surfaces::check(&context, &mut faults);
    shells::check(&context, &mut faults);
    let genus = euler::check(&context, &mut faults);
    let shell_volumes = orientation::check(&context, &mut faults);
    let mass = volume::check(&context, &mut faults);
    if faults.is_empty() { Ok(Report { genus, shell_volumes, mass, shortest_edge }) } else { Err(faults) }
}
