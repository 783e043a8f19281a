//! What hangs over what along the pull, and what rapping frees.
//!
//! Metal over a place begins with a part that leans against the pull. So only those parts go into the tree that rays
//! along the pull are asked of; where no box of one stands over a facet, nothing is asked.

use rayon::prelude::*;

use solidwright::geometry::{Bounds, V3};
use solidwright::probe::TriangleTree;

use super::facets::{Corner, Facet, Half};

/// How far a pattern is rapped to each side before it is drawn, mm (common practice, no source). Sand under a lip no
/// deeper than this is freed.
const RAP: f64 = 0.5;

/// Directions in which it is rapped.
const RAPS: u32 = 8;

/// How finely shadows are traced.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grain {
    /// Facets under some box are cut to this length, mm: narrower shadows may be missed.
    pub(super) coarse: f64,
    /// Facets on a shadow's outline are cut to this length, mm. The outline's length times this bounds the area's error;
    /// on average a tenth of that is seen.
    pub(super) fine: f64,
}

/// A place in the shadow of another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Covered {
    pub(super) piece: Facet,
    /// The face over it.
    pub(super) by: u32,
}

/// What hangs over a half.
pub(super) struct Overhangs {
    /// The face of each triangle.
    faces: Vec<u32>,
    tree: TriangleTree,
}

impl Overhangs {
    pub(super) fn of(half: &Half) -> Self {
        let all = || half.against.iter().chain(&half.forgiven);
        Self {
            faces: all().map(|f| f.face).collect(),
            tree: TriangleTree::new(all().map(|f| f.corners.map(|c| c.p)).collect()),
        }
    }

    /// The parts of a half in the shadow of others, though they don't face against the pull.
    pub(super) fn covered(&self, half: &Half, grain: Grain) -> Vec<Covered> {
        if self.faces.is_empty() {
            return vec![];
        }
        let places: Vec<&Facet> = half.open.iter().chain(&half.forgiven).collect();
        let shaded = |facet: &&Facet| {
            let mut out = Vec::new();
            self.shade(**facet, grain, &mut out);
            out
        };
        places.par_iter().flat_map_iter(shaded).collect()
    }

    fn shade(&self, facet: Facet, grain: Grain, out: &mut Vec<Covered>) {
        let mut left = vec![facet];
        while let Some(piece) = left.pop() {
            let mut over: Bounds = piece.bounds();
            over.max.z = f64::INFINITY;
            if !self.tree.is_near(&over) {
                continue;
            }
            if let Some(halves) = piece.halves(grain.coarse) {
                left.extend(halves);
                continue;
            }
            let middle = self.over(&piece.middle(), V3::zeros());
            let corners = piece.inner_corners();
            let dark = corners.iter().filter(|p| self.tree.first(**p, V3::z(), START).is_some()).count();
            let outline = dark != if middle.is_some() { 3 } else { 0 };
            match (outline.then(|| piece.halves(grain.fine)).flatten(), middle) {
                (Some(halves), _) => left.extend(halves),
                (None, Some(by)) => out.push(Covered { piece, by }),
                (None, None) => {}
            }
        }
    }

    /// The face first met over a place that has moved.
    fn over(&self, at: &Corner, moved: V3) -> Option<u32> {
        self.tree.first(at.p + moved, V3::z(), START).map(|(k, _)| self.faces[k])
    }

    /// Whether sand at a place stays held however the pattern is rapped: moved away from the metal there by the rapping,
    /// it still has metal over it. Rays for places `under` a lip start lower, since the lip may hang lower there.
    pub(super) fn hold(&self, at: &Corner, under: bool) -> bool {
        let sideways = V3::new(at.n.x, at.n.y, 0.0);
        let lean = sideways.norm();
        let down = if under { V3::z() * (2.0 * RAP) } else { V3::zeros() };
        (0..RAPS).all(|k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / f64::from(RAPS)).sin_cos();
            let away = V3::new(c, s, 0.0);
            let into_metal = lean > UPWARD && away.dot(&sideways) < UPWARD * lean;
            into_metal || self.over(at, away * RAP - down).is_some()
        })
    }
}

/// Where a ray begins to meet things, mm.
const START: f64 = 1e-6;

/// A normal that leans from the pull by less than this, as a sine, may move to all sides; else only to those that lie
/// within about 70 degrees of it.
const UPWARD: f64 = 0.3;
