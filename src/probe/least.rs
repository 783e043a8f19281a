//! The least distance between two sets of faces.

use rayon::prelude::*;

use crate::geometry::{Bounds, P3};

use super::Probe;
use super::tree::{Tree, apart};
use super::triangle::triangles;

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
        let pick = |faces: &[usize]| -> Vec<u32> {
            let mut faces = faces.to_vec();
            faces.sort_unstable();
            faces.dedup();
            faces.iter().filter_map(|f| self.triangles.get(*f)).flatten().copied().collect()
        };
        let (from, to) = (pick(a), pick(b));
        let box_of = |t: u32| Bounds::around(self.corners(t));
        let tree = Tree::new(to.iter().map(|t| (box_of(*t), *t)).collect());
        let mut best = f64::INFINITY;
        for t in &from {
            let (own, bounds) = (self.corners(*t), box_of(*t));
            tree.near(
                best,
                |b| apart(b, &bounds),
                |other, reach| {
                    let [p, q] = triangles(own, self.corners(other));
                    best = reach.min((p - q).norm());
                    best
                },
            );
        }
        if !best.is_finite() {
            return None;
        }
        // Any two faces may be nearer or farther than their triangles by the chord error of each.
        let most = best + 4.0 * self.slack;
        let found: Vec<Vec<Start>> = from
            .par_iter()
            .map(|t| {
                let (own, bounds) = (self.corners(*t), box_of(*t));
                let mut out = Vec::new();
                tree.near(
                    most,
                    |b| apart(b, &bounds),
                    |other, reach| {
                        let points = triangles(own, self.corners(other));
                        let distance = (points[0] - points[1]).norm();
                        if distance < most {
                            let faces = [self.face_of(*t), self.face_of(other)];
                            out.push(Start { faces, points, distance });
                        }
                        reach
                    },
                );
                out
            })
            .collect();
        let starts = thinned(found.into_iter().flatten().collect());
        let ends: Vec<Least> = starts
            .par_iter()
            .map(|s| {
                let ([p, q], distance) = self.closer(s.faces[0], s.faces[1], s.points);
                Least { distance, points: [p.point, q.point], faces: s.faces }
            })
            .collect();
        ends.into_iter().min_by(|a, b| a.distance.total_cmp(&b.distance))
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
