//! Places where a ball's path turns more tightly than the ball, so that what it leaves would fold.
//!
//! At a place with curvature vector K the section's arc in direction d moves on by 1 − r d·K; where that is negative, it
//! moves backwards. Along the path d stays square to it and turns no more than it must, so that all K of a fold lie in one
//! plane. Directions whose greatest d·K is 1/r bound the fold: there a crease begins and ends, at the place where d·K is
//! greatest.

use std::f64::consts::TAU;

use super::path::{Place, SmoothPath, carried};
use crate::geometry::V3;
use crate::solid::blend::{FilletSegment, SpineCurve};
use crate::tolerance::{LEAST_FOLD, NO_DIRECTION};

/// Step along a path by which folds are looked for, and by which their ends are found, in radii.
const STEP: f64 = 0.05;
const FINE_STEP: f64 = 0.002;

/// Directions in a full turn that are tried.
const DIRECTIONS: usize = 720;

/// A place where a crease begins or ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct CreaseEnd {
    /// Length along the path.
    pub(super) at: f64,
    /// Unit vector from the ball's centre.
    pub(super) towards: V3,
}

/// How far the section's arc folds at a place: r d·K of the direction d for which it is greatest, less one.
fn excess(segment: &FilletSegment, place: &Place, radius: f64) -> f64 {
    let [x, y] = [0, 1].map(|k| segment.supports[k].towards(place.center));
    let bend = place.bend.norm();
    let Some(n) = place.bend.try_normalize(NO_DIRECTION) else { return -1.0 };
    let z = x.cross(&y);
    let between = x.cross(&n).dot(&z) >= 0.0 && n.cross(&y).dot(&z) >= 0.0;
    let most = if between { bend } else { x.dot(&place.bend).max(y.dot(&place.bend)) };
    radius * most - 1.0
}

/// Whether a segment folds anywhere by more than matters, for a ball of a radius.
pub(super) fn folds(segment: &FilletSegment, radius: f64) -> bool {
    if matches!(segment.spine, SpineCurve::Line(..)) {
        return false;
    }
    let (a, b) = segment.range;
    let length = (b - a) * segment.spine.length_per_parameter();
    let n = places(length, STEP * radius);
    (0..=n).any(|k| {
        let t = a + (b - a) * k as f64 / n as f64;
        let (center, tangent) = segment.spine.at(t);
        excess(segment, &Place { center, tangent, bend: segment.spine.bend(t) }, radius) > LEAST_FOLD
    })
}

fn places(length: f64, step: f64) -> usize {
    ((length / step).ceil() as usize).clamp(16, 4000)
}

/// Begin and end of all creases of a path.
pub(super) fn creases(path: &SmoothPath<'_>, radius: f64) -> Vec<[CreaseEnd; 2]> {
    islands(path, radius).into_iter().flat_map(|island| ends(path, radius, island)).collect()
}

/// Ranges of the path in which it folds.
fn islands(path: &SmoothPath<'_>, radius: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    let mut deepest: Vec<f64> = Vec::new();
    let mut within = false;
    for k in &path.stretches {
        let n = places(k.to - k.from, STEP * radius);
        let step = (k.to - k.from) / n as f64;
        for i in 0..=n {
            let s = k.from + step * i as f64;
            let excess = excess(k.segment, &k.place(s), radius);
            if excess <= 0.0 {
                within = false;
            } else if within {
                let last = out.len() - 1;
                (out[last].1, deepest[last]) = (s + step, deepest[last].max(excess));
            } else {
                out.push((s - step, s + step));
                deepest.push(excess);
                within = true;
            }
        }
    }
    let own = |o: &(f64, f64)| {
        let middle = 0.5 * (o.0 + o.1);
        middle >= path.own.0 && middle < path.own.1
    };
    let deep = out.into_iter().zip(deepest).filter(|(o, d)| *d > LEAST_FOLD && own(o));
    deep.map(|(o, _)| o).collect()
}

/// A place of a fold with the curvature vector in a plane carried along the path.
struct Turn {
    at: f64,
    /// Components of the curvature vector.
    bend: [f64; 2],
    /// The plane's axes here.
    axes: [V3; 2],
}

impl Turn {
    fn along(&self, angle: f64) -> f64 {
        self.bend[0] * angle.cos() + self.bend[1] * angle.sin()
    }
}

fn turns(path: &SmoothPath<'_>, radius: f64, (lo, hi): (f64, f64)) -> Vec<Turn> {
    let mut out: Vec<Turn> = Vec::new();
    let mut x: Option<V3> = None;
    for k in path.stretches.iter().filter(|k| k.to > lo && k.from < hi) {
        let (from, to) = (k.from.max(lo), k.to.min(hi));
        let n = places(to - from, FINE_STEP * radius);
        for i in 0..=n {
            let at = from + (to - from) * i as f64 / n as f64;
            let place = k.place(at);
            let before = x.unwrap_or_else(|| place.bend.try_normalize(NO_DIRECTION).unwrap_or(place.tangent));
            let first = carried(before, place.tangent);
            let axes = [first, place.tangent.cross(&first)];
            x = Some(first);
            out.push(Turn { at, bend: axes.map(|a| a.dot(&place.bend)), axes });
        }
    }
    out
}

/// The creases of one fold: each from the direction at which folding sets in to the one where it ceases.
fn ends(path: &SmoothPath<'_>, radius: f64, island: (f64, f64)) -> Vec<[CreaseEnd; 2]> {
    let turns = turns(path, radius, island);
    let most = |angle: f64| {
        let value = |t: &&Turn| t.along(angle);
        turns.iter().max_by(|a, b| value(a).total_cmp(&value(b)))
    };
    let folded = |angle: f64| most(angle).is_some_and(|t| radius * t.along(angle) > 1.0);
    let angle = |i: usize| TAU * i as f64 / DIRECTIONS as f64;
    let all: Vec<bool> = (0..DIRECTIONS).map(|i| folded(angle(i))).collect();
    let end = |mut inside: f64, mut outside: f64| {
        for _ in 0..48 {
            let middle = 0.5 * (inside + outside);
            if folded(middle) { inside = middle } else { outside = middle }
        }
        let t = most(inside)?;
        let towards = t.axes[0] * inside.cos() + t.axes[1] * inside.sin();
        Some(CreaseEnd { at: t.at, towards })
    };
    let mut out = Vec::new();
    for i in 0..DIRECTIONS {
        if !all[i] || all[(i + DIRECTIONS - 1) % DIRECTIONS] {
            continue;
        }
        let run = (1..DIRECTIONS).find(|n| !all[(i + n) % DIRECTIONS]).unwrap_or(DIRECTIONS);
        let (first, last) = (angle(i), angle(i + run - 1));
        let step = angle(1);
        let both = [end(first, first - step), end(last, last + step)];
        if let [Some(a), Some(b)] = both {
            out.push([a, b]);
        }
    }
    // A fold narrower than the step between directions.
    if out.is_empty()
        && let Some(t) =
            turns.iter().max_by(|a, b| a.bend[0].hypot(a.bend[1]).total_cmp(&b.bend[0].hypot(b.bend[1])))
        && radius * t.bend[0].hypot(t.bend[1]) > 1.0
    {
        let middle = t.bend[1].atan2(t.bend[0]);
        let step = angle(1);
        if let [Some(a), Some(b)] = [end(middle, middle - step), end(middle, middle + step)] {
            out.push([a, b]);
        }
    }
    out
}
