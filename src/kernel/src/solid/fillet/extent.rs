//! Boxes and parameter ranges of faces, from their edges.

use std::f64::consts::{PI, TAU};

use crate::geometry::{Bounds, P3, Surface};

/// Cells along both parameters of the grid by which the box of a curved face is found, and of a canal, whose path may wind.
const CELLS: [usize; 2] = [8, 8];
const CANAL_CELLS: [usize; 2] = [24, 4];

/// Ranges of both parameters.
pub(super) type ParameterRanges = [(f64, f64); 2];

/// A loop's parameters, angles followed around.
struct ParameterTracker {
    periodic: [bool; 2],
    last: Option<[f64; 2]>,
}

impl ParameterTracker {
    fn next(&mut self, (u, v): (f64, f64)) -> [f64; 2] {
        let mut now = [u, v];
        if let Some(last) = self.last {
            for k in 0..2 {
                if self.periodic[k] {
                    now[k] = last[k] + (now[k] - last[k] + PI).rem_euclid(TAU) - PI;
                }
            }
        }
        self.last = Some(now);
        now
    }
}

/// Ranges that hold a face bounded by loops of points on its surface; the first loop is the outer one.
pub(super) fn ranges(surface: &Surface, loops: &[Vec<P3>]) -> ParameterRanges {
    let (pu, pv) = surface.periods();
    let periodic = [pu > 0.0, pv > 0.0];
    let mut lo = [f64::INFINITY; 2];
    let mut hi = [f64::NEG_INFINITY; 2];
    let mut middle = None;
    for points in loops {
        let mut follower = ParameterTracker { periodic, last: middle };
        for p in points {
            let now = follower.next(surface.params(*p));
            for k in 0..2 {
                lo[k] = lo[k].min(now[k]);
                hi[k] = hi[k].max(now[k]);
            }
        }
        middle = Some([0.5 * (lo[0] + hi[0]), 0.5 * (lo[1] + hi[1])]);
    }
    [(lo[0], hi[0]), (lo[1], hi[1])]
}

/// A box around the face.
pub(super) fn bounds(surface: &Surface, ranges: &ParameterRanges, loops: &[Vec<P3>]) -> Bounds {
    let edge = Bounds::around(loops.iter().flatten().copied());
    match surface {
        Surface::Plane(_) => edge.grown(0.15 * longest_step(loops)),
        Surface::Sphere(s) => {
            let whole = Bounds::around([s.frame.origin]).grown(s.radius);
            edge.grown(s.radius).intersection(&whole)
        }
        _ => {
            let [(u0, u1), (v0, v1)] = *ranges;
            let cells = if matches!(surface, Surface::Canal(_)) { CANAL_CELLS } else { CELLS };
            let row = |i: usize| {
                let share = |i: usize, k: usize| i as f64 / cells[k] as f64;
                let u = u0 + (u1 - u0) * share(i, 0);
                let across = (0..=cells[1]).map(|j| v0 + (v1 - v0) * share(j, 1));
                match surface {
                    Surface::Canal(canal) => canal.ring(u, across),
                    _ => across.map(|v| surface.point(u, v)).collect::<Vec<P3>>(),
                }
            };
            let mut all = edge;
            let mut step: f64 = 0.0;
            let mut before: Vec<P3> = vec![];
            for i in 0..=cells[0] {
                let now = row(i);
                let ahead = now.iter().zip(&before).map(|(p, q)| (p - q).norm());
                let aside = now.windows(2).map(|w| (w[1] - w[0]).norm());
                step = ahead.chain(aside).fold(step, f64::max);
                for p in &now {
                    all.include(*p);
                }
                before = now;
            }
            all.grown(0.1 * step)
        }
    }
}

fn longest_step(loops: &[Vec<P3>]) -> f64 {
    let step = |l: &Vec<P3>| (1..l.len()).map(|i| (l[i] - l[i - 1]).norm()).fold(0.0, f64::max);
    loops.iter().map(step).fold(0.0, f64::max)
}
