//! The least distance to a heap of triangles that are not part of the solid.

use rayon::prelude::*;

use crate::geometry::{Bounds, P3};
use crate::tolerance::{TOUCHING_BOXES, TURNS_GAIN};

use super::Probe;
use super::tree::apart;
use super::triangle::{on_triangle, pierced, triangles};

/// How triangles stand to a solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// Apart: the least distance, mm, the place of the solid and that of the triangles, the solid's face.
    Apart(f64, [P3; 2], usize),
    /// They cross its surface: a box around the places where they do, as the mesh has it.
    Across(Bounds),
}

/// Rounds of taking turns at most.
const ROUNDS: usize = 400;

impl Probe<'_> {
    /// How the triangles stand to the solid's surface. `None` without triangles.
    ///
    /// The nearest pair is found on the mesh, then refined on the exact faces by turns, true to about 1e-6 mm; crossings
    /// are those of the mesh, within its chord.
    pub fn stand_of(&self, heap: &[[P3; 3]]) -> Option<Stand> {
        let found: Vec<(f64, [P3; 2], Bounds)> = heap.par_iter().map(|t| self.one(t)).collect();
        let across = found.iter().fold(Bounds::empty(), |b, f| b.union(&f.2));
        if across.min.x <= across.max.x {
            return Some(Stand::Across(across));
        }
        let least = found.iter().map(|f| f.0).fold(f64::INFINITY, f64::min);
        // Either may be nearer than its mesh by the chord error.
        let near = found.iter().enumerate().filter(|(_, f)| f.0 <= least + 2.0 * self.slack);
        let ends = near.map(|(i, f)| self.by_turns(&heap[i], f.1));
        let best = ends.flatten().min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Stand::Apart(best.0, best.1, best.2))
    }

    /// One triangle and the mesh: their distance and nearest places, and where they cross.
    fn one(&self, t: &[P3; 3]) -> (f64, [P3; 2], Bounds) {
        let bounds = Bounds::around(*t);
        let mut best = (f64::INFINITY, [P3::origin(); 2], Bounds::empty());
        self.tree.near(
            f64::INFINITY,
            |b| apart(b, &bounds),
            |other, reach| {
                let own = self.corners(other);
                for p in pierced(own, *t).into_iter().chain(pierced(*t, own)) {
                    best.2.include(p);
                }
                let pair = triangles(own, *t);
                let distance = (pair[0] - pair[1]).norm();
                if distance < best.0 {
                    (best.0, best.1) = (distance, pair);
                }
                // Those whose boxes touch may all cross.
                reach.min(best.0.max(TOUCHING_BOXES))
            },
        );
        best
    }

    /// The nearest places from a start: of the solid to that of the triangle, of the triangle to that of the solid.
    fn by_turns(&self, t: &[P3; 3], start: [P3; 2]) -> Option<(f64, [P3; 2], usize)> {
        let mut q = start[1];
        let mut best: Option<(f64, [P3; 2], usize)> = None;
        for _ in 0..ROUNDS {
            let near = self.nearest(q, |_| true, f64::INFINITY)?;
            q = on_triangle(near.point, *t);
            let distance = (near.point - q).norm();
            let gain = best.map_or(f64::INFINITY, |b| b.0 - distance);
            if gain > 0.0 {
                best = Some((distance, [near.point, q], near.face));
            }
            if gain < TURNS_GAIN {
                break;
            }
        }
        best
    }
}
