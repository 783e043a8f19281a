//! Smooth paths of a ball's centre: fillet segments that run on into each other.

use std::collections::BTreeMap;

use super::spines::EdgeChain;
use crate::geometry::{P3, V3};
use crate::solid::blend::FilletSegment;
use crate::solid::brep::Brep;
use crate::tolerance::NO_DIRECTION;

/// A fillet segment as a path runs through it.
pub(super) struct Stretch<'a> {
    /// Its number.
    pub(super) number: usize,
    pub(super) segment: &'a FilletSegment,
    /// Whether the path runs as the spine does.
    pub(super) forward: bool,
    /// Where it begins and ends, in lengths along the path.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Parameter of the spine per length.
    rate: f64,
}

/// The ball's centre at a place of a path, the direction of the path and its curvature vector.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) center: P3,
    pub(super) tangent: V3,
    pub(super) bend: V3,
}

impl Place {
    /// The place at a parameter of a segment's spine.
    pub(super) fn on(segment: &FilletSegment, t: f64) -> Self {
        let (center, tangent) = segment.spine.at(t);
        let bend = segment.spine.bend(t);
        Self { center, tangent, bend: bend - tangent * bend.dot(&tangent) }
    }
}

impl Stretch<'_> {
    fn new(number: usize, segment: &FilletSegment, forward: bool, from: f64) -> Stretch<'_> {
        let rate = 1.0 / segment.spine.length_per_parameter();
        let to = from + (segment.range.1 - segment.range.0) / rate;
        Stretch { number, segment, forward, from, to, rate }
    }

    /// The place at a length along the path.
    pub(super) fn place(&self, s: f64) -> Place {
        let (a, b) = self.segment.range;
        let along = (s - self.from) * self.rate;
        // Beyond its ends, if only by rounding, a spine runs on along a circle.
        let t = if self.forward { a + along } else { b - along }.clamp(a, b);
        let place = Place::on(self.segment, t);
        if self.forward { place } else { Place { tangent: -place.tangent, ..place } }
    }

    /// The end of the segment at the stretch's end: 0 for the start of its spine, 1 for its end.
    pub(super) fn last(&self) -> usize {
        usize::from(self.forward)
    }
}

/// Stretches that run on smoothly into each other.
pub(super) struct SmoothPath<'a> {
    pub(super) stretches: Vec<Stretch<'a>>,
    /// The part of the path, in lengths, whose folds are its own: of a closed path, which is gone round several times.
    pub(super) own: (f64, f64),
}

impl<'a> SmoothPath<'a> {
    /// The number of the stretch that holds a place, the nearest one beyond the ends.
    pub(super) fn at(&self, s: f64) -> usize {
        self.stretches.partition_point(|k| k.from <= s).clamp(1, self.stretches.len()) - 1
    }

    pub(super) fn is_closed(&self) -> bool {
        self.own.0 > self.range().0
    }

    /// Its stretches, of a closed path those of one round.
    pub(super) fn own_stretches(&self) -> &[Stretch<'a>] {
        let rounds = if self.is_closed() { ROUNDS } else { 1 };
        &self.stretches[..self.stretches.len() / rounds]
    }

    /// Where it begins and ends.
    pub(super) fn range(&self) -> (f64, f64) {
        (self.stretches[0].from, self.stretches[self.stretches.len() - 1].to)
    }
}

/// How often a closed path is gone round.
const ROUNDS: usize = 3;

/// Where a round of a closed path begins, in its first stretch.
const ODD_SHARE: f64 = 0.382;

/// All smooth paths along chains, whose segments have the same numbers.
pub(super) fn paths<'a>(
    offset: &Brep,
    chains: &[EdgeChain],
    segments: &'a [FilletSegment],
) -> Vec<SmoothPath<'a>> {
    let ends: Vec<[usize; 2]> = chains.iter().map(|c| c.ends(offset)).collect();
    let mut at: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
    for (i, both) in ends.iter().enumerate() {
        (0..2).for_each(|k| at.entry(both[k]).or_default().push((i, k)));
    }
    // The chain that goes on behind the end of one, and whether it does so forwards.
    let next = |i: usize, end: usize| -> Option<(usize, bool)> {
        let [a, b] = at[&ends[i][end]][..] else { return None };
        let (other, start) = if a == (i, end) { b } else { a };
        Some((other, start == 0))
    };
    let mut used = vec![false; chains.len()];
    let mut out = Vec::new();
    for first in 0..chains.len() {
        if used[first] {
            continue;
        }
        // Back to where the path begins, then on.
        let (mut start, mut closed) = ((first, true), false);
        while let Some((before, backwards)) = next(start.0, usize::from(!start.1)) {
            if before == first {
                closed = true;
                break;
            }
            start = (before, !backwards);
        }
        let mut run = vec![start];
        used[start.0] = true;
        while let Some(following) = next(run[run.len() - 1].0, usize::from(run[run.len() - 1].1)) {
            if used[following.0] {
                break;
            }
            used[following.0] = true;
            run.push(following);
        }
        out.push(path(&run, closed, segments));
    }
    out
}

fn path<'a>(run: &[(usize, bool)], closed: bool, segments: &'a [FilletSegment]) -> SmoothPath<'a> {
    let rounds = if closed { ROUNDS } else { 1 };
    let mut stretches: Vec<Stretch<'_>> = Vec::with_capacity(rounds * run.len());
    for (i, forward) in run.iter().copied().cycle().take(rounds * run.len()) {
        let from = stretches.last().map_or(0.0, |s| s.to);
        stretches.push(Stretch::new(i, &segments[i], forward, from));
    }
    let length = stretches[stretches.len() - 1].to / rounds as f64;
    // One round from an odd place on: folds like to lie where two stretches meet.
    let start = length - ODD_SHARE * stretches[0].to;
    let own = if closed { (start, start + length) } else { (0.0, length) };
    SmoothPath { stretches, own }
}

/// A direction square to `along` that turns as little as it can from `before`.
pub(super) fn carried(before: V3, along: V3) -> V3 {
    let flat = before - along * before.dot(&along);
    flat.try_normalize(NO_DIRECTION).unwrap_or(before)
}
