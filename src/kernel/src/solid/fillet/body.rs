//! Membership in a body with its fillets, and the names of its faces.

use std::sync::Arc;

use crate::geometry::{Bounds, P3};
use crate::solid::brep::Brep;
use crate::solid::primitive::{Patch, Primitive};

use super::strip::{Corner, Strip};
use crate::tolerance::SNAP;

/// Step to both sides of a face at which the bodies are asked whose face it is, mm.
const STEP: f64 = 1e-6;

/// Bodies joined, with the metal of their fillets.
#[derive(Clone, Debug)]
pub(crate) struct Filleted {
    pub(super) parts: Vec<Primitive>,
    /// The same grown by the ball's radius: where its centre may not go. None where edges are rounded, not joints filled.
    pub(super) grown: Vec<Primitive>,
    /// Radius of the ball, mm.
    pub(super) radius: f64,
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
        self.parts.iter().any(|b| b.contains(p)) || rolled() || self.in_gap(p)
    }

    /// Whether `p`, outside the bodies and off the walls of fillets, lies where no ball comes: between bodies that leave too
    /// narrow a gap. A ball that holds `p` has its centre nearest to it straight above a wall, on a path, or at a corner.
    fn in_gap(&self, p: P3) -> bool {
        if self.grown.iter().filter(|g| g.contains(p)).take(2).count() < 2 {
            return false;
        }
        let reaches = |c: P3| (c - p).norm() < self.radius - SNAP;
        let free = |c: P3| !self.grown.iter().any(|g| g.contains(c));
        let from_wall = |w: &Patch| {
            let foot = w.surface.closest(p);
            let up = p - foot;
            let high = up.norm();
            // The centre a little above the place where it touches the wall.
            high > SNAP && high < self.radius && free(foot + up * ((self.radius + STEP) / high))
        };
        let walls = self.parts.iter().flat_map(Primitive::patches);
        let mut near = walls.filter(|w| w.bounds.distance(p) < self.radius);
        !near.any(from_wall)
            && !self.strips.iter().any(|s| reaches(s.center_near(p)))
            && !self.corners.iter().any(|c| reaches(c.center))
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
        let of_part = |b: &Primitive| -> Option<usize> {
            let wanted = |q: &Patch| candidates.iter().any(|i| patches[*i].tag == q.tag);
            let own: Vec<usize> = (0..b.patches().len()).filter(|k| wanted(&b.patches()[*k])).collect();
            let tag = &b.patches()[b.patch_at(&own, p)?].tag;
            candidates.iter().copied().find(|i| patches[*i].tag == *tag)
        };
        let bounds = |b: &&Primitive| b.contains(p + n) != b.contains(p - n);
        self.parts.iter().filter(bounds).find_map(of_part).or(Some(nearest))
    }
}
