//! Membership in a body with its fillets, and the names of its faces.

use std::sync::Arc;

use crate::geometry::{Bounds, P3};
use crate::solid::brep::Brep;
use crate::solid::primitive::{Patch, Primitive};

use super::strip::{Corner, Strip};

/// Step to both sides of a face at which the bodies are asked whose face it is, mm.
const STEP: f64 = 1e-6;

/// Bodies joined, with the metal of their fillets.
#[derive(Clone, Debug)]
pub(crate) struct Filleted {
    pub(super) parts: Vec<Primitive>,
    pub(super) strips: Vec<Strip>,
    pub(super) corners: Vec<Corner>,
    /// Per patch: whether the metal lies on the negative side of its surface.
    pub(super) same_sense: Vec<bool>,
    pub(super) bounds: Bounds,
    /// For a body whose edges are rounded, not its joints filled: the sharp body within.
    pub(in crate::solid) sharp: Option<Arc<Within>>,
    /// Number of patches that are walls; those behind them were left by the ball.
    pub(super) walls: usize,
}

/// A sharp-edged body within a round-edged one.
#[derive(Clone, Debug)]
pub(crate) struct Within {
    /// The body.
    pub(super) body: Primitive,
    /// Its boundary.
    pub(super) brep: Brep,
    /// How far the round-edged one stands out of it, mm.
    pub(super) edge: f64,
}

impl Filleted {
    /// Whether `p` is inside.
    pub(in crate::solid) fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let rolled =
            || self.strips.iter().any(|s| s.contains(p)) || self.corners.iter().any(|c| c.contains(p));
        if self.sharp.is_some() {
            return self.parts.iter().any(|b| b.contains(p)) && !rolled();
        }
        self.parts.iter().any(|b| b.contains(p)) || rolled()
    }

    /// The bodies that are joined.
    pub(in crate::solid) fn parts(&self) -> &[Primitive] {
        &self.parts
    }

    /// Whether the metal lies on the negative side of a patch's surface.
    pub(in crate::solid) fn same_sense(&self, patch: usize) -> bool {
        self.same_sense[patch]
    }

    /// Whether the ball left a patch.
    pub(in crate::solid) fn is_rolled(&self, patch: usize) -> bool {
        patch >= self.walls
    }

    /// Which of some patches on one surface a point of that surface belongs to.
    pub(in crate::solid) fn patch_at(&self, patches: &[Patch], candidates: &[usize], p: P3) -> Option<usize> {
        let off = |i: &usize| patches[*i].surface.f(p).abs() + patches[*i].bounds.distance(p);
        let nearest = candidates.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let first = &patches[*candidates.first()?].tag;
        if candidates.iter().all(|i| patches[*i].tag == *first) {
            return Some(nearest);
        }
        let n = patches[nearest].surface.grad(p) * STEP;
        let of_part = |i: &&usize| {
            let tag = &patches[**i].tag;
            self.parts
                .iter()
                .any(|b| b.contains(p + n) != b.contains(p - n) && b.patches().iter().any(|q| q.tag == *tag))
        };
        candidates.iter().find(of_part).copied().or(Some(nearest))
    }
}
