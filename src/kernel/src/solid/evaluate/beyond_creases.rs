//! Pieces of curves on what a crease cuts off its two surfaces.
//!
//! Beside its end a crease parts two surfaces that all but touch: to membership, what is cut off one of them lies on the other, and a
//! curve on it looks like an edge. Where another body cuts a crease, the curve in which it cuts one of the two surfaces goes on from
//! the crease to one side only. Which side that is, the sense tells in which the loop about that surface's face runs along the crease.

use std::collections::BTreeMap;

use super::candidates::CandidateEdge;
use super::carrier::{CarrierCurve, Carriers};
use super::known_edges::{KnownUses, into_face};
use super::surface_set::SurfaceSet;
use crate::geometry::V3;
use crate::tolerance::NO_DIRECTION;

/// Share of a piece by which its direction at an end is told.
const SHARE: f64 = 0.1;

/// Sine of the angle with the crease within which no side is told.
const ALONG: f64 = 1e-3;

/// Where a crease goes on at a vertex: one of its surfaces, and the direction from the crease into that surface's face.
struct Side {
    surface: usize,
    other: usize,
    inwards: V3,
}

/// The sides of all creases at vertices between two pieces of one of them.
pub(super) struct CreaseSides {
    at: BTreeMap<usize, Vec<Side>>,
}

impl CreaseSides {
    pub(super) fn of(
        set: &SurfaceSet,
        carriers: &Carriers,
        known: &[KnownUses],
        candidates: &[CandidateEdge],
    ) -> Self {
        let crease = |c: &&CandidateEdge| {
            matches!(carriers.list[c.carrier].shape, CarrierCurve::Crease(_)) && c.known.len() == 1
        };
        let mut ends: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for c in candidates.iter().filter(crease) {
            c.ends.iter().for_each(|v| *ends.entry((c.carrier, *v)).or_default() += 1);
        }
        let mut at: BTreeMap<usize, Vec<Side>> = BTreeMap::new();
        for c in candidates.iter().filter(crease) {
            for (k, v) in c.ends.iter().enumerate() {
                if ends[&(c.carrier, *v)] == 2 && c.ends[0] != c.ends[1] {
                    at.entry(*v).or_default().extend(sides(set, carriers, known, c, k as f64));
                }
            }
        }
        Self { at }
    }

    /// Whether a piece sets out from a crease to the side that the crease cuts off.
    pub(super) fn cut_off(&self, carriers: &Carriers, candidate: &CandidateEdge) -> bool {
        (0..2).any(|k| {
            let Some(sides) = self.at.get(&candidate.ends[k]) else { return false };
            let from = k as f64;
            let inner = if k == 0 { SHARE } else { 1.0 - SHARE };
            let out = candidate.point(carriers, inner) - candidate.point(carriers, from);
            let Some(out) = out.try_normalize(NO_DIRECTION) else { return false };
            let has = |s: usize| candidate.surfaces.contains(&s);
            sides.iter().any(|s| has(s.surface) && !has(s.other) && out.dot(&s.inwards) < -ALONG)
        })
    }
}

/// Both sides of a crease's piece at one of its ends, 0 or 1.
fn sides(
    set: &SurfaceSet,
    carriers: &Carriers,
    known: &[KnownUses],
    piece: &CandidateEdge,
    end: f64,
) -> Vec<Side> {
    let (step, number, along) = piece.known[0];
    let edge = &set.tree.steps()[step].primitive.edges[number];
    let Some((senses, forward)) = known[step].about(edge, number) else { return vec![] };
    let surfaces = edge.patches.map(|patch| set.surface_of[step][patch]);
    let (p, t) = (piece.point(carriers, end), piece.tangent(carriers, end));
    let inwards = |k: usize| {
        let face = &set.tree.steps()[step].primitive.patches()[edge.patches[k]];
        into_face(face, senses[k], p, if forward[k] == along { t } else { -t })
    };
    let side = |k: usize| Side { surface: surfaces[k], other: surfaces[1 - k], inwards: inwards(k) };
    vec![side(0), side(1)]
}
