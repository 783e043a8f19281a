//! What several checks look at.

use crate::geometry::P3;
use crate::solid::brep::{Brep, BrepEdge};
use crate::solid::measure::{FaceSums, Sums};
use crate::solid::quadrature::Nodes;
use crate::solid::tag::Tag;

/// Everything that several checks look at.
pub(super) struct Context<'a> {
    pub(super) brep: &'a Brep,
    /// Per edge: the faces that use it and in which sense.
    pub(super) uses: Vec<Vec<(usize, bool)>>,
    /// Point about which the sums are taken.
    pub(super) center: P3,
    pub(super) nodes: Nodes,
    pub(super) faces: Vec<FaceSums>,
}

impl Context<'_> {
    /// Names of the faces along an edge.
    pub(super) fn names(&self, edge: usize) -> Vec<Tag> {
        self.names_of(self.uses[edge].iter().map(|(f, _)| *f))
    }

    pub(super) fn names_of(&self, faces: impl IntoIterator<Item = usize>) -> Vec<Tag> {
        let mut names: Vec<Tag> = faces.into_iter().map(|f| self.brep.faces[f].tag.clone()).collect();
        names.sort();
        names.dedup();
        names
    }

    pub(super) fn total(&self, faces: &[usize]) -> Sums {
        let mut sums = Sums::zero();
        for &f in faces {
            sums.add(&self.faces[f].sums);
        }
        sums
    }
}

/// A point in the middle of an edge.
pub(super) fn middle(edge: &BrepEdge) -> P3 {
    edge.curve.point(0.5 * (edge.range.0 + edge.range.1))
}
