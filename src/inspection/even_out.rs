//! The most even of all small motions: the least of some linear values, of which one is the plan, is made as great as can be, then of
//! those that can still grow the least, and so on (lexicographic maximin; method after H. Luss, *Equitable Resource Allocation*, 2012, from memory).
//!
//! Each stage is a linear program. Rows with a multiplier bind in every best place, so they stay as they are in the stages that
//! follow: the motion may only use the directions that do not change them. The multipliers of the first stage are a proof: the
//! mean of the values weighted with them is the same for every motion, so no motion makes all of them greater.

use super::linear_program::LinearProgram;
use nalgebra::{DMatrix, DVector, Vector6};

/// A value that changes linearly with a small motion of six numbers, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LinearValue {
    /// The value without the motion.
    pub(super) at_rest: f64,
    /// How it changes.
    pub(super) slope: Vector6<f64>,
}

impl LinearValue {
    fn at(&self, motion: &Vector6<f64>) -> f64 {
        self.at_rest + self.slope.dot(motion)
    }
}

/// How far the values are evened out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Depth {
    /// The least value only.
    Least,
    /// Until no direction is left.
    All,
}

/// The most even motion.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Evened {
    /// The motion.
    pub(super) motion: Vector6<f64>,
    /// The least value after it.
    pub(super) least: f64,
    /// The values that hinder more, by number, with their weights (sum 1); floors are numbered behind the values.
    pub(super) against: Vec<(usize, f64)>,
    /// Whether the motion ran into its reach: nothing hinders it there.
    pub(super) unhindered: bool,
}

/// A direction shorter than this share of the longest slope changes nothing.
const NOTHING: f64 = 1e-5;

/// A multiplier below this is none.
const NO_WEIGHT: f64 = 1e-9;

/// The most even motion within a reach (mm, in each direction). `floors` stay at or above zero. `None` where that cannot be.
pub(super) fn even_out(
    values: &[LinearValue],
    floors: &[LinearValue],
    reach: f64,
    depth: Depth,
) -> Option<Evened> {
    let all: Vec<&LinearValue> = values.iter().chain(floors).collect();
    let mut ways = span(&all);
    let mut fixed = vec![false; all.len()];
    let mut out =
        Evened { motion: Vector6::zeros(), least: f64::NEG_INFINITY, against: vec![], unhindered: false };
    while !ways.is_empty() && !fixed[..values.len()].iter().all(|f| *f) {
        let (by, binding, hit) = stage(&all, values.len(), &fixed, &ways, &out.motion, reach)?;
        let first = out.against.is_empty() && !fixed.contains(&true);
        if hit && !first {
            // What is left would grow without end, and gains nothing by it.
            out.motion += nearest_to_plan(&all, values.len(), &fixed, &ways, &out);
            break;
        }
        out.motion += by;
        out.unhindered |= hit;
        if out.against.is_empty() {
            out.least = values.iter().map(|v| v.at(&out.motion)).fold(f64::INFINITY, f64::min);
            out.against.clone_from(&binding);
        }
        if depth == Depth::Least || hit || !binding.iter().any(|(k, _)| *k < values.len()) {
            break;
        }
        for (k, _) in binding {
            fixed[k] = true;
            ways = without(ways, &all[k].slope);
        }
    }
    Some(out)
}

/// One stage: the step, what binds with which weight, and whether the reach does.
type Stage = (Vector6<f64>, Vec<(usize, f64)>, bool);

fn stage(
    all: &[&LinearValue],
    values: usize,
    fixed: &[bool],
    ways: &[Vector6<f64>],
    from: &Vector6<f64>,
    reach: f64,
) -> Option<Stage> {
    const FREE: f64 = 1e4;
    let n = ways.len();
    let mut aim = vec![0.0; n + 1];
    aim[n] = 1.0;
    let mut sides = vec![reach; n];
    sides.push(FREE);
    let mut program = LinearProgram::new(&aim, &sides);
    let mut owner = Vec::new();
    for (k, v) in all.iter().enumerate().filter(|(k, _)| !fixed[*k]) {
        let mut row: Vec<f64> = ways.iter().map(|w| -v.slope.dot(w)).collect();
        row.push(if k < values { 1.0 } else { 0.0 });
        program.at_most(&row, v.at(from));
        owner.push(k);
    }
    let best = program.best()?;
    // The reach hinders where the rows that bind do not balance each other along a direction.
    let mut balance = vec![0.0; n];
    for (r, m) in &best.binding {
        let slope = &all[owner[*r]].slope;
        balance.iter_mut().zip(ways).for_each(|(b, w)| *b += m * slope.dot(w));
    }
    let unbalanced = balance.iter().any(|b: &f64| b.abs() > NO_WEIGHT.sqrt());
    let motion = |at: &[f64]| -> Vector6<f64> { ways.iter().zip(at).map(|(w, y)| w * *y).sum() };
    let rested = idle_at_rest(&best.at[..n], reach, |at| {
        let to = from + motion(at);
        all.iter().enumerate().filter(|(k, _)| !fixed[*k]).all(|(k, v)| {
            let wanted = if k < values { best.value } else { 0.0 };
            v.at(&to) >= wanted - NOTHING
        })
    });
    // Where all values stay as good without going to the reach, it hinders nothing.
    let hit = unbalanced && rested.iter().any(|y| is_at(*y, reach));
    let by = motion(&rested);
    let binding: Vec<(usize, f64)> =
        best.binding.iter().filter(|(_, m)| *m > NO_WEIGHT).map(|(r, m)| (owner[*r], *m)).collect();
    Some((by, binding, hit))
}

/// The step that brings the values left nearest to one, the plan (least squares), as far as none of them falls below the least one
/// and no floor is broken.
fn nearest_to_plan(
    all: &[&LinearValue],
    values: usize,
    fixed: &[bool],
    ways: &[Vector6<f64>],
    found: &Evened,
) -> Vector6<f64> {
    const UNDETERMINED: f64 = 1e-9;
    let left = || all.iter().enumerate().filter(|(k, _)| !fixed[*k]);
    let mut square = DMatrix::zeros(ways.len(), ways.len());
    let mut right = DVector::zeros(ways.len());
    for (_, v) in left().filter(|(k, _)| *k < values) {
        let row = DVector::from_iterator(ways.len(), ways.iter().map(|w| v.slope.dot(w)));
        square += &row * row.transpose();
        right += row * (1.0 - v.at(&found.motion));
    }
    let most = square.amax();
    let Ok(step) = square.svd(true, true).solve(&right, UNDETERMINED * most) else {
        return Vector6::zeros();
    };
    let by: Vector6<f64> = ways.iter().zip(step.iter()).map(|(w, y)| w * *y).sum();
    let share = left().fold(1.0_f64, |share, (k, v)| {
        let room = v.at(&found.motion) - if k < values { found.least } else { 0.0 };
        let falls = -v.slope.dot(&by);
        if falls > room.max(0.0) { share.min(room.max(0.0) / falls) } else { share }
    });
    by * share
}

/// The steps, with those at rest that ran to their reach though nothing asks for it, as far as that is allowed.
fn idle_at_rest(at: &[f64], reach: f64, allowed: impl Fn(&[f64]) -> bool) -> Vec<f64> {
    let mut out = at.to_vec();
    for k in 0..out.len() {
        if is_at(out[k], reach) {
            let mut rest = out.clone();
            rest[k] = 0.0;
            if allowed(&rest) {
                out = rest;
            }
        }
    }
    out
}

/// Whether a share of the motion has come to its reach.
fn is_at(share: f64, reach: f64) -> bool {
    share.abs() > reach * (1.0 - 1e-9)
}

/// Directions square to each other that span all slopes; what changes no value is in none of them.
fn span(all: &[&LinearValue]) -> Vec<Vector6<f64>> {
    let most = all.iter().map(|v| v.slope.norm()).fold(0.0, f64::max);
    let mut rest: Vec<Vector6<f64>> = all.iter().map(|v| v.slope).collect();
    let mut out: Vec<Vector6<f64>> = Vec::new();
    while out.len() < 6 {
        let Some(longest) = rest.iter().max_by(|a, b| a.norm().total_cmp(&b.norm())).copied() else { break };
        if longest.norm() <= NOTHING * most || most <= 0.0 {
            break;
        }
        let way = longest.normalize();
        for r in &mut rest {
            *r -= way * way.dot(r);
        }
        out.push(way);
    }
    out
}

/// Directions without the part that changes a slope's value.
fn without(ways: Vec<Vector6<f64>>, slope: &Vector6<f64>) -> Vec<Vector6<f64>> {
    let along: Vector6<f64> = ways.iter().map(|w| w * w.dot(slope)).sum();
    if along.norm() <= NOTHING * slope.norm() {
        return ways;
    }
    let along = along.normalize();
    let keep = ways.len() - 1;
    let mut rest: Vec<Vector6<f64>> = ways.iter().map(|w| w - along * along.dot(w)).collect();
    let mut out: Vec<Vector6<f64>> = Vec::new();
    while out.len() < keep {
        let Some(longest) = rest.iter().max_by(|a, b| a.norm().total_cmp(&b.norm())).copied() else { break };
        let way = longest.normalize();
        for r in &mut rest {
            *r -= way * way.dot(r);
        }
        out.push(way);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(at_rest: f64, slope: [f64; 6]) -> LinearValue {
        LinearValue { at_rest, slope: Vector6::from(slope) }
    }

    /// By hand: a slab of 1 and 5 of stock on its two sides along x, and of 2 and 9 along y, comes to 3 and 3, 5.5 and 5.5: the second
    /// pair is evened out although the first one is the least. Along z and in turns nothing changes.
    #[test]
    fn two_pairs_are_evened_one_after_the_other() {
        let x = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        let y = [0.0, 1.0, 0.0, 0.0, 0.0, 0.0];
        let values =
            [value(1.0, x), value(5.0, x.map(|v: f64| -v)), value(2.0, y), value(9.0, y.map(|v: f64| -v))];
        let found = even_out(&values, &[], 100.0, Depth::All).expect("a motion");
        let wanted = Vector6::new(2.0, 3.5, 0.0, 0.0, 0.0, 0.0);
        assert!((found.motion - wanted).norm() < 1e-9 && !found.unhindered, "{found:?}");
        assert!((found.least - 3.0).abs() < 1e-9, "{found:?}");
        let weights: Vec<usize> = found.against.iter().map(|(k, _)| *k).collect();
        assert_eq!(
            {
                let mut w = weights;
                w.sort_unstable();
                w
            },
            [0, 1],
            "the first pair stands against itself"
        );
        // A floor that lets x move by 1.5 at most.
        let floor = [value(1.5, x.map(|v: f64| -v))];
        let found = even_out(&values, &floor, 100.0, Depth::All).expect("a motion");
        assert!((found.motion - Vector6::new(1.5, 3.5, 0.0, 0.0, 0.0, 0.0)).norm() < 1e-9, "{found:?}");
    }

    /// By hand: along x two sides stand against each other, along y one side of 0.4 stands alone; it comes to 1, as planned, and not to
    /// the end of the reach.
    #[test]
    fn what_stands_alone_comes_to_its_plan() {
        let x = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        let back = x.map(|v: f64| -v);
        let y = [0.0, 0.5, 0.0, 0.0, 0.0, 0.0];
        let values = [value(0.1, x), value(0.5, back), value(0.4, y)];
        let found = even_out(&values, &[], 20.0, Depth::All).expect("a motion");
        assert!(!found.unhindered, "{found:?}");
        assert!((found.motion - Vector6::new(0.2, 1.2, 0.0, 0.0, 0.0, 0.0)).norm() < 1e-9, "{found:?}");
    }

    /// By hand: with one side only, nothing hinders the motion.
    #[test]
    fn one_side_alone_hinders_nothing() {
        let found = even_out(&[value(1.0, [1.0, 0.0, 0.0, 0.0, 0.0, 0.0])], &[], 10.0, Depth::All);
        assert!(found.expect("a motion").unhindered, "it runs to its reach");
    }

    /// By hand: the second value gains 8e-5 for each millimetre of y, so that a linear program goes to the reach, a tenth of a
    /// millimetre, for a gain of 4e-6. Both stay as good at rest in y: nothing is unhindered.
    #[test]
    fn a_reach_that_gains_next_to_nothing_hinders_nothing() {
        let x = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        let back = [-1.0, 8e-5, 0.0, 0.0, 0.0, 0.0];
        let found = even_out(&[value(1.0, x), value(1.1, back)], &[], 0.1, Depth::Least).expect("a motion");
        assert!(!found.unhindered && (found.motion[0] - 0.05).abs() < 1e-4, "{found:?}");
    }

    /// By hand: a turned part may turn about itself. What moves it there changes no value but by rounding, so it stays at rest and
    /// nothing is unhindered.
    #[test]
    fn what_changes_nothing_stays_at_rest() {
        let x = [1.0, 1e-9, 0.0, 0.0, 0.0, 0.0];
        let back = [-1.0, 3e-9, 0.0, 0.0, 0.0, 0.0];
        let found = even_out(&[value(1.0, x), value(2.0, back)], &[], 10.0, Depth::All).expect("a motion");
        assert!(!found.unhindered && (found.motion[0] - 0.5).abs() < 1e-9, "{found:?}");
        assert!(found.motion[1].abs() < 1e-6, "{found:?}");
    }
}
