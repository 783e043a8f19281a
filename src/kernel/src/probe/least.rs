//! The least distance between two sets of faces.

use std::borrow::Cow;
use std::ops::Range;

use rayon::prelude::*;

use crate::geometry::{Bounds, P3};

use super::Probe;
use super::tree::Tree;
use super::triangle::{off_plane, triangles};

/// Starts that are refined for a pair of faces at most.
const STARTS: usize = 16;

/// Starts of a pair of faces lie at least this far apart, in times their distance, or in mm if that is more.
const SPREAD: f64 = 0.25;

/// The nearest places of two sets of faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// Their distance, mm.
    pub distance: f64,
    /// One place of each, mm.
    pub points: [P3; 2],
    /// The face of each.
    pub faces: [usize; 2],
}

/// A start for a search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Start {
    pub(super) faces: [usize; 2],
    pub(super) points: [P3; 2],
    pub(super) distance: f64,
}

impl Probe<'_> {
    /// The least distance between two sets of faces, each cut to its loops, true to 1e-6 mm. Faces that share an edge
    /// or are in both sets are at distance zero. `None` where a set is empty.
    pub fn least_distance(&self, a: &[usize], b: &[usize]) -> Option<Least> {
        let (from, to) = (self.tree_of(a), self.tree_of(b));
        let (in_a, in_b) = (self.marked(a), self.marked(b));
        // Any two faces may be nearer or farther than their triangles by the chord error of each. Each step halves the boxes of
        // either: two that lie farther apart than what is known, and that, are left at once.
        let margin = 4.0 * self.slack;
        let mut best: Option<Start> = None;
        let mut found = Vec::new();
        from.pairs(&to, f64::INFINITY, |t, other, reach| {
            let faces = [self.face_of(t), self.face_of(other)];
            if !in_a[faces[0]] || !in_b[faces[1]] {
                return reach;
            }
            let (own, theirs) = (self.corners(t), self.corners(other));
            let planes = [&self.normals[t as usize], &self.normals[other as usize]];
            if off_plane(&theirs, &own[0], planes[0]) >= reach
                || off_plane(&own, &theirs[0], planes[1]) >= reach
            {
                return reach;
            }
            let points = triangles(own, theirs);
            let start = Start { faces, points, distance: (points[0] - points[1]).norm() };
            if start.distance < reach {
                found.push(start);
            }
            if best.is_none_or(|b| start.distance < b.distance) {
                best = Some(start);
            }
            reach.min(start.distance + margin)
        });
        let best = best?;
        let refined = |s: &Start| {
            let ([p, q], distance) = self.closer(s.faces[0], s.faces[1], s.points);
            Least { distance, points: [p.point, q.point], faces: s.faces }
        };
        // The exact faces about the nearest triangles are no farther apart than this, which leaves fewer starts. Triangles
        // that cross are an exception: their distance means nothing.
        let known = refined(&best);
        let near = known.distance + 2.0 * self.slack;
        let most = if best.distance < near { near } else { best.distance + margin };
        found.retain(|s| s.distance < most.min(best.distance + margin));
        let starts = thinned(found);
        let ends: Vec<Least> = starts.par_iter().map(refined).collect();
        ends.into_iter().chain([known]).min_by(|a, b| a.distance.total_cmp(&b.distance))
    }

    /// Which faces are among some.
    fn marked(&self, faces: &[usize]) -> Vec<bool> {
        let mut marked = vec![false; self.brep.faces.len()];
        for f in faces {
            if let Some(mark) = marked.get_mut(*f) {
                *mark = true;
            }
        }
        marked
    }

    /// A tree that holds the triangles of some faces: a solid's own among several, or that of all where most are among
    /// them. The tree of several solids never stands for one: two trees that share triangles have them at no distance.
    fn tree_of(&self, faces: &[usize]) -> Cow<'_, Tree> {
        let marked = self.marked(faces);
        let own = || (0..marked.len()).filter(|f| marked[*f]).flat_map(|f| &self.triangles[f]);
        let made = || Tree::new(own().map(|t| (Bounds::around(self.corners(*t)), *t)).collect());
        let whole = |solid: &Range<usize>| {
            solid.len() == marked.iter().filter(|m| **m).count() && solid.clone().all(|f| marked[f])
        };
        if let Some((_, tree)) = self.solids.iter().find(|(solid, _)| whole(solid)) {
            return Cow::Borrowed(tree.get_or_init(made));
        }
        if self.solids.is_empty() && 2 * own().count() > self.normals.len() {
            return Cow::Borrowed(&self.tree);
        }
        Cow::Owned(made())
    }
}

/// The best starts of each pair of faces, apart from each other.
pub(super) fn thinned(mut starts: Vec<Start>) -> Vec<Start> {
    starts.sort_by(|a, b| a.faces.cmp(&b.faces).then(a.distance.total_cmp(&b.distance)));
    let mut out: Vec<Start> = Vec::new();
    let mut first = 0;
    for s in starts {
        if out.get(first).is_none_or(|f| f.faces != s.faces) {
            first = out.len();
        }
        let kept = &out[first..];
        let spread = (SPREAD * s.distance).max(1.0) * if kept.len() > 2 { 2.0 } else { 1.0 };
        if kept.len() < STARTS && kept.iter().all(|k| (k.points[0] - s.points[0]).norm() > spread) {
            out.push(s);
        }
    }
    out
}
