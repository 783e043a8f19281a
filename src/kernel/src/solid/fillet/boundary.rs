//! What is known so far of the boundary of a filleted body.

use std::sync::Arc;

use super::convexity::ClassifiedEdge;
use super::corners::{Corners, OffsetSolid};
use super::crease_pieces::Crease;
use super::edges::{ContactCurves, EdgeCurve};
use super::failure::{FilletFailure, LocatedFailure};
use super::kept_creases::KeptCrease;
use super::spines::EdgeChain;
use crate::geometry::{Canal, Surface};
use crate::solid::blend::{FilletSegment, VertexBlend};
use crate::solid::patch::PrimitiveEdge;

/// What the contact curves of a fillet segment bound, in the spine's sense.
pub(super) struct TrimmedSegment {
    pub(super) segment: FilletSegment,
    /// Vertices at both ends, on the first and the second support.
    pub(super) ends: [[usize; 2]; 2],
    /// The support along whose contact curve the loop about the canal runs forwards.
    pub(super) ahead: usize,
}

/// The boundary of what a ball leaves, gathered piece by piece.
pub(super) struct BoundaryBuilder<'a> {
    pub(super) solid: OffsetSolid<'a>,
    pub(super) classified: &'a [ClassifiedEdge],
    pub(super) chains: &'a [EdgeChain],
    pub(super) creases: &'a [Crease],
    pub(super) surfaces: Vec<Surface>,
    pub(super) corners: Corners,
    pub(super) segments: Vec<TrimmedSegment>,
    pub(super) canals: Vec<Option<Arc<Canal>>>,
    pub(super) contacts: ContactCurves,
    pub(super) edges: Vec<PrimitiveEdge>,
    pub(super) vertex_blends: Vec<VertexBlend>,
    /// Vertices of the offset solid with a ball at rest.
    pub(super) balls: Vec<usize>,
    /// The creases as they are kept for smaller balls.
    pub(super) made: Vec<KeptCrease>,
}

impl BoundaryBuilder<'_> {
    pub(super) fn fail(&self, edge: usize, failure: FilletFailure) -> LocatedFailure {
        LocatedFailure::between(
            self.solid.brep,
            &self.classified[edge].faces,
            self.solid.brep.edge_point(edge, 0.5),
            failure,
        )
    }

    pub(super) fn push(
        &mut self,
        (curve, range): EdgeCurve,
        patches: [usize; 2],
        forward: [bool; 2],
        ends: [usize; 2],
    ) {
        for c in ends {
            self.corners.touching[c].extend(patches);
        }
        self.edges.push(PrimitiveEdge { curve, range: Some(range), patches, forward: Some(forward) });
    }

    /// How the two faces' loops run along an edge of the offset solid.
    pub(super) fn senses(&self, edge: usize, faces: [usize; 2]) -> [bool; 2] {
        faces.map(|f| {
            let mut all = self.solid.brep.faces[f].loops.iter().flatten();
            all.find(|h| h.edge == edge).is_some_and(|h| h.forward)
        })
    }

    /// The number of the patch of segment `i`; those of balls follow.
    pub(super) fn canal_patch(&self, i: usize) -> usize {
        self.solid.brep.faces.len() + i
    }

    /// The vertices between which the loop about a fillet segment runs across its end (0: start, 1: end).
    pub(super) fn arc_of(&self, (segment, end): (usize, usize)) -> (usize, usize) {
        let r = &self.segments[segment];
        let [a, b] = [r.ends[end][r.ahead], r.ends[end][1 - r.ahead]];
        if end == 1 { (a, b) } else { (b, a) }
    }
}
