//! What hangs over what along the pull, and what rapping frees.
//!
//! Metal over a place begins with a part that leans against the pull. So only those parts go into the tree that rays
//! along the pull are asked of; where no box of one stands over a facet, nothing is asked.

use rayon::prelude::*;

use solidwright::geometry::{Bounds, P3, V3};
use solidwright::mesh::Mesh;
use solidwright::probe::TriangleTree;
use solidwright::solid::{Brep, Tag};

use crate::faces::Feature;

use super::facets::{Corner, Facet, Half, facets};

/// How far a pattern is rapped to each side before it is drawn, mm (common practice, no source). Sand under a lip no
/// deeper than this is freed.
pub(in crate::forms) const RAP: f64 = 0.5;

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
    /// How many of them, the first ones, lean more than is forgiven.
    steep: usize,
    tree: TriangleTree,
}

impl Overhangs {
    pub(super) fn of(half: &Half) -> Self {
        let all = || half.against.iter().chain(&half.forgiven);
        Self {
            faces: all().map(|f| f.face).collect(),
            steep: half.against.len(),
            tree: TriangleTree::new(all().map(|f| f.corners.map(|c| c.p)).collect()),
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
            let over = |at: &Corner| self.over(at.p + at.n * OFF, but);
            let middle = over(&piece.middle());
            let dark = piece.inner_corners().iter().filter(|c| over(c).is_some()).count();
            let outline = dark != if middle.is_some() { 3 } else { 0 };
            match (outline.then(|| piece.halves(grain.fine)).flatten(), middle) {
                (Some(halves), _) => left.extend(halves),
                (None, Some(by)) => out.push(Covered { piece, by }),
                (None, None) => {}
            }
        }
        out
    }

    /// The face first met over a place, but for what is forgiven of one.
    fn over(&self, at: P3, but: Option<u32>) -> Option<u32> {
        let counts = |k: usize| k < self.steep || but != Some(self.faces[k]);
        self.tree.first(at, V3::z(), 0.0, counts).map(|(k, _)| self.faces[k])
    }
}

/// The whole boundary: its facets, and their triangles in a tree.
pub(in crate::forms) struct Boundary {
    pub(in crate::forms) facets: Vec<Facet>,
    /// The name of each face.
    tags: Vec<Tag>,
    tree: TriangleTree,
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
        let tree = TriangleTree::new(all.iter().map(|f| f.corners.map(|c| c.p)).collect());
        Self { facets: all, tags, tree }
    }

    /// The name of a face.
    pub(in crate::forms) fn tag(&self, face: u32) -> &Tag {
        &self.tags[face as usize]
    }

    /// How far a ray runs until it meets the boundary, in lengths of its direction.
    pub(in crate::forms) fn met(&self, from: P3, direction: V3) -> Option<f64> {
        self.tree.first(from, direction, 0.0, |_| true).map(|(_, far)| far)
    }

    /// Whether sand at a place of a half stays held however the pattern is rapped: moved by the rapping to any side, it is
    /// in the metal or has some over it.
    pub(super) fn holds(&self, half: &Half, at: &Corner) -> bool {
        let from = at.p + at.n * OFF;
        (0..RAPS).all(|k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / f64::from(RAPS)).sin_cos();
            let moved = half.place(from + V3::new(c, s, 0.0) * RAP);
            self.tree.first(P3::from(moved), half.pull, 0.0, |_| true).is_some()
        })
    }
}

/// How far from the surface rays begin, mm, so that none runs in a wall.
const OFF: f64 = 1e-4;
