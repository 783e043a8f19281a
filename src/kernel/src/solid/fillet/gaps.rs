//! Gaps in which fillets from both sides would run through each other.
//!
//! Where a body hangs over another one, and the gap between them is a little narrower than the ball is wide, the ball comes into it from either side,
//! and the two ways pass each other at less than its width. Each fillet by itself is sound there, but what lies between the walls belongs to neither:
//! the solid would be turned inside out where they overlap.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use super::convexity::ClassifiedEdge;
use super::crease_pieces::Crease;
use super::failure::{FilletFailure, LocatedFailure};
use super::filled_places::Corner;
use super::sheets::is_between;
use super::spines::EdgeChain;
use crate::geometry::{Bounds, P3, V3};
use crate::solid::blend::FilletSegment;
use crate::solid::brep::Brep;
use crate::tolerance::{LEAST_OVERLAP, NO_DIRECTION};

/// Distance of the places of a path that are looked at, in radii.
const STEP: f64 = 0.25;

/// Most places of one segment.
const MOST_PLACES: usize = 400;

/// What bounds the piece of the ball that stays at a place of its centre.
enum Rest {
    /// On its way: the direction of that, and those to the two walls that it touches.
    Between { tangent: V3, walls: [V3; 2] },
    /// In a corner: the directions in which its ways leave.
    Corner { exits: Vec<V3> },
}

/// A place of the ball's centre.
struct Touch {
    center: P3,
    rest: Rest,
}

impl Touch {
    /// The point of the ball's arc, or of its piece in a corner, that is nearest to another place of its centre; `None` where a wall lies between.
    fn point_towards(&self, other: P3, radius: f64) -> Option<P3> {
        let way = other - self.center;
        let towards = match &self.rest {
            Rest::Between { tangent, walls } => {
                let across = (way - tangent * way.dot(tangent)).try_normalize(NO_DIRECTION)?;
                is_between(*walls, across).then_some(across)
            }
            Rest::Corner { exits } => {
                let towards = way.try_normalize(NO_DIRECTION)?;
                exits.iter().all(|exit| exit.dot(&towards) < 0.0).then_some(towards)
            }
        };
        towards.map(|towards| self.center + towards * radius)
    }

    /// Whether its arc reaches into the ball at another place.
    fn reaches(&self, other: &Self, radius: f64) -> bool {
        let into = |p: P3| (p - other.center).norm() < radius - LEAST_OVERLAP;
        self.point_towards(other.center, radius).is_some_and(into)
    }
}

/// The ways and corners of one ball.
pub(super) struct BallWays<'a> {
    pub(super) offset: &'a Brep,
    pub(super) classified: &'a [ClassifiedEdge],
    pub(super) chains: &'a [EdgeChain],
    pub(super) segments: &'a [FilletSegment],
    pub(super) creases: &'a [Crease],
    pub(super) radius: f64,
}

/// A way along a segment, or a corner in which three or more end.
struct Sheet {
    /// The segments along it, or that end in it.
    segments: Vec<usize>,
    /// The vertices at its ends, or the corner.
    ends: Vec<usize>,
    bounds: Bounds,
    touches: OnceCell<Vec<Touch>>,
}

impl BallWays<'_> {
    /// The gaps, each with the stretch in it that the ball is to be kept off.
    pub(super) fn gaps(&self) -> Vec<LocatedFailure> {
        let sheets = self.sheets();
        let mut out = Vec::new();
        for (k, one) in sheets.iter().enumerate() {
            for other in sheets[k + 1..].iter().filter(|other| self.may_meet(one, other)) {
                let [a, b] = [one, other].map(|s| s.touches.get_or_init(|| self.touches(s)));
                out.extend(self.gap(a, b).map(|corner| self.failure([one, other], corner)));
            }
        }
        out
    }

    fn sheets(&self) -> Vec<Sheet> {
        let mut meeting: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut out: Vec<Sheet> = Vec::new();
        for (i, (chain, segment)) in self.chains.iter().zip(self.segments).enumerate() {
            let ends = chain.ends(self.offset);
            for v in ends {
                meeting.entry(v).or_default().push(i);
            }
            let bounds = segment.bounds;
            out.push(Sheet { segments: vec![i], ends: ends.to_vec(), bounds, touches: OnceCell::new() });
        }
        for (vertex, segments) in meeting.into_iter().filter(|(_, own)| own.len() > 2) {
            let bounds = Bounds::around([self.offset.vertices[vertex]]).grown(self.radius);
            out.push(Sheet { segments, ends: vec![vertex], bounds, touches: OnceCell::new() });
        }
        out
    }

    /// Whether two are near each other, but neither follow one another nor meet in a crease.
    fn may_meet(&self, one: &Sheet, other: &Sheet) -> bool {
        let both = |a: &[usize], b: &[usize]| a.iter().any(|n| b.contains(n));
        let in_crease = |c: &Crease| both(&c.segments, &one.segments) && both(&c.segments, &other.segments);
        one.bounds.meets(&other.bounds)
            && !both(&one.ends, &other.ends)
            && !both(&one.segments, &other.segments)
            && !self.creases.iter().any(in_crease)
    }

    fn touches(&self, sheet: &Sheet) -> Vec<Touch> {
        match sheet.ends[..] {
            [vertex] => {
                let exit = |i: &usize| self.exit(*i, vertex);
                let exits = sheet.segments.iter().map(exit).collect();
                vec![Touch { center: self.offset.vertices[vertex], rest: Rest::Corner { exits } }]
            }
            _ => self.along(&self.segments[sheet.segments[0]]),
        }
    }

    /// The direction in which a segment leaves a corner.
    fn exit(&self, number: usize, vertex: usize) -> V3 {
        let segment = &self.segments[number];
        let [from, _] = self.chains[number].ends(self.offset);
        if from == vertex {
            segment.spine.at(segment.range.0).1
        } else {
            -segment.spine.at(segment.range.1).1
        }
    }

    fn along(&self, segment: &FilletSegment) -> Vec<Touch> {
        let (a, b) = segment.range;
        let length = (b - a) * segment.spine.length_per_parameter();
        let n = ((length / (STEP * self.radius)).ceil() as usize).clamp(2, MOST_PLACES);
        let touch = |k: usize| {
            let (center, tangent) = segment.spine.at(a + (b - a) * k as f64 / n as f64);
            let walls = segment.supports.each_ref().map(|s| s.towards(center));
            Touch { center, rest: Rest::Between { tangent, walls } }
        };
        (0..=n).map(touch).collect()
    }

    /// The stretch in which two reach into each other, along the first of them.
    fn gap(&self, one: &[Touch], other: &[Touch]) -> Option<Corner> {
        let within = |a: &Touch, b: &Touch| {
            let width = (a.center - b.center).norm();
            let reach = width < 2.0 * self.radius && a.reaches(b, self.radius) && b.reaches(a, self.radius);
            reach.then_some(width)
        };
        let narrowest = |a: &Touch| {
            let all = other.iter().filter_map(|b| Some((within(a, b)?, a.center, b.center)));
            all.min_by(|p, q| p.0.total_cmp(&q.0))
        };
        let pairs: Vec<_> = one.iter().filter_map(narrowest).collect();
        let towards = pairs.iter().map(|p| p.2 - p.1).sum::<V3>().try_normalize(NO_DIRECTION)?;
        let path = pairs.iter().map(|p| nalgebra::center(&p.1, &p.2)).collect();
        Some(Corner { path, towards, within: true })
    }

    fn failure(&self, both: [&Sheet; 2], corner: Corner) -> LocatedFailure {
        let of = |k: &usize| self.classified[self.chains[*k].edges[0].edge].faces;
        let mut faces: Vec<usize> = both.iter().flat_map(|s| s.segments.iter().flat_map(of)).collect();
        faces.sort_unstable();
        faces.dedup();
        let at = corner.path[corner.path.len() / 2];
        let failure = LocatedFailure::between(self.offset, &faces, at, FilletFailure::Gap);
        LocatedFailure { corner: Some(Box::new(corner)), ..failure }
    }
}
