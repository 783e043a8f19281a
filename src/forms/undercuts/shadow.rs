//! What hangs over what along the pull.
//!
//! Metal over a place begins with a part that leans against the pull. So only those parts go into the columns that rays
//! along the pull are asked of; where nothing stands over a facet, nothing is asked.

use std::sync::OnceLock;

use rayon::prelude::*;

use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;
use solidwright::probe::{TriangleColumns, TriangleTree};
use solidwright::solid::{Brep, Tag};

use crate::faces::Feature;

use super::CHORD;
use super::facets::{Corner, Facet, Half, facets};

/// How far a pattern is rapped to each side before it is drawn, mm (common practice, no source). Sand under a lip no
/// deeper than this is freed.
pub(in crate::forms) const RAP: f64 = 0.5;

/// How far off a facet it is asked what hangs over it, mm: more than the facets of a curved wall lie within it. From nearer by, the question went up
/// inside the wall and past the foot of a fillet that begins just at the wall's upper edge, whose facets have other corners.
const CLEAR: f64 = CHORD + 0.01;

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
    /// How many of them, the first ones, lean more than is forgiven.
    steep: usize,
    columns: TriangleColumns,
}

impl Overhangs {
    pub(super) fn of(half: &Half) -> Self {
        let all = || half.against.iter().chain(&half.forgiven);
        Self {
            faces: all().map(|f| f.face).collect(),
            steep: half.against.len(),
            columns: TriangleColumns::new(all().map(|f| f.corners.map(|c| c.p)).collect()),
        }
    }

    /// The parts of a half in the shadow of others, though they don't face against the pull.
    pub(super) fn covered(&self, half: &Half, grain: Grain) -> Vec<Covered> {
        if self.faces.is_empty() {
            return vec![];
        }
        let open = half.open.par_iter().flat_map_iter(|f| self.shade(*f, grain, None));
        // A wall that leans a little against the pull stands over itself, which is forgiven.
        let forgiven = half.forgiven.par_iter().flat_map_iter(|f| self.shade(*f, grain, Some(f.face)));
        open.chain(forgiven).collect()
    }

    /// The parts of a facet under any face, but for what is forgiven of one.
    fn shade(&self, facet: Facet, grain: Grain, but: Option<u32>) -> Vec<Covered> {
        let mut out = Vec::new();
        let mut left = vec![facet];
        // Off a wall that is hollow along the pull the upper part would hang over the lower one.
        let off = if facet.is_hollow() { OFF } else { CLEAR };
        while let Some(piece) = left.pop() {
            // It is asked beside the surface what hangs over it: a fillet may begin just at a wall's edge. At its height nothing does.
            let bounds = piece.bounds();
            let mut beside = bounds.grown(off);
            beside.min.z = bounds.min.z;
            if !self.columns.is_over(&beside) {
                continue;
            }
            if let Some(halves) = piece.halves(grain.coarse) {
                left.extend(halves);
                continue;
            }
            let dark = |at: &Corner| self.is_over(at.p + at.n * off, but);
            let middle = piece.middle();
            let covered = dark(&middle);
            // Asked last: most pieces are too small to be cut.
            let outline = || piece.inner_corners().iter().any(|c| dark(c) != covered);
            match piece.halves(grain.fine).filter(|_| outline()) {
                Some(halves) => left.extend(halves),
                None if covered => {
                    let by = self.over(middle.p + middle.n * off, but);
                    out.extend(by.map(|by| Covered { piece, by }));
                }
                None => {}
            }
        }
        out
    }

    /// Whether a triangle counts over a face of which what is forgiven does not.
    fn counts(&self, k: usize, but: Option<u32>) -> bool {
        k < self.steep || but != Some(self.faces[k])
    }

    /// Whether there is a face over a place, but for what is forgiven of one.
    fn is_over(&self, at: P3, but: Option<u32>) -> bool {
        self.columns.is_met(at, |k| self.counts(k, but))
    }

    /// The face first met over a place, but for what is forgiven of one.
    fn over(&self, at: P3, but: Option<u32>) -> Option<u32> {
        self.columns.first(at, |k| self.counts(k, but)).map(|k| self.faces[k])
    }
}

/// The whole boundary: its facets, and their triangles in a tree.
#[derive(Debug)]
pub(in crate::forms) struct Boundary {
    pub(in crate::forms) facets: Vec<Facet>,
    /// The name of each face.
    tags: Vec<Tag>,
    /// Its triangles for rays of any direction, made when one is first asked for.
    tree: OnceLock<TriangleTree>,
}

impl Boundary {
    /// The boundary of a solid, or of several that lie on each other in the parting plane; faces by which pieces lie on each other
    /// are left out.
    pub(in crate::forms) fn of<'a>(solids: impl IntoIterator<Item = (&'a Brep, &'a Mesh)>) -> Self {
        Self::without(solids, |tag| Feature::of(tag) == Feature::Parting)
    }

    /// The same without faces of one's choice.
    pub(in crate::forms) fn without<'a>(
        solids: impl IntoIterator<Item = (&'a Brep, &'a Mesh)>,
        left_out: impl Fn(&Tag) -> bool + Sync,
    ) -> Self {
        let (mut all, mut tags): (Vec<Facet>, Vec<Tag>) = (vec![], vec![]);
        for (brep, mesh) in solids {
            all.extend(facets(brep, mesh, tags.len() as u32, &left_out));
            tags.extend(brep.faces.iter().map(|face| face.tag.clone()));
        }
        Self { facets: all, tags, tree: OnceLock::new() }
    }

    /// The name of a face.
    pub(in crate::forms) fn tag(&self, face: u32) -> &Tag {
        &self.tags[face as usize]
    }

    /// For each face, by its number, whether its name is wanted.
    pub(super) fn faces(&self, wanted: impl Fn(&Tag) -> bool) -> Vec<bool> {
        self.tags.iter().map(wanted).collect()
    }

    /// How far a ray runs until it meets the boundary, in lengths of its direction.
    pub(in crate::forms) fn met(&self, from: P3, direction: V3) -> Option<f64> {
        self.tree().first(from, direction, 0.0, |_| true).map(|(_, far)| far)
    }

    /// Whether the boundary comes nearer to a place than a distance, mm.
    pub(in crate::forms) fn is_within(&self, distance: f64, of: P3) -> bool {
        self.tree().is_within(distance, of)
    }

    fn tree(&self) -> &TriangleTree {
        let made = || TriangleTree::new(self.facets.iter().map(|f| f.corners.map(|c| c.p)).collect());
        self.tree.get_or_init(made)
    }
}

/// How far from the surface rays begin, mm, so that none runs in a wall.
pub(super) const OFF: f64 = 1e-4;
