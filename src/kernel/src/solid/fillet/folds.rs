//! Places where a ball's path turns more tightly than the ball, so that what it leaves would fold.
//!
//! At a place with curvature vector K the section's arc in direction d moves on by 1 − r d·K; where that is negative, it
//! moves backwards. Along the path d stays square to it and turns no more than it must, so that all K of a fold lie in one
//! plane. Directions whose greatest d·K is 1/r bound the fold: there a crease begins and ends, at the place where d·K is
//! greatest.

use std::f64::consts::TAU;

use super::filled_places::Corner;
use super::path::{Place, SmoothPath, carried};
use crate::geometry::{P3, V3};
use crate::solid::blend::{FilletSegment, SpineCurve};
use crate::tolerance::{CREASE_END, LEAST_FOLD, NO_DIRECTION, SECTION_STRETCH};

/// Step along a path by which folds are looked for, and by which their ends are found, in radii.
const STEP: f64 = 0.05;
const FINE_STEP: f64 = 0.002;

/// Directions in a full turn that are tried.
const DIRECTIONS: usize = 720;

/// What to do where a path turns more tightly than the ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Folds<'a> {
    /// End the fillet's two sides in a crease, but for places near which creases are refused.
    Crease { but: &'a [P3] },
    /// Refuse the ball.
    Refuse,
}

/// A place where a crease begins or ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct CreaseEnd {
    /// Length along the path.
    pub(super) at: f64,
    /// Unit vector from the ball's centre.
    pub(super) towards: V3,
    /// Whether the crease sets out by turning right-handed about the path.
    pub(super) right_handed: bool,
}

/// A stretch of a path along which it folds, with the ends of the creases there.
pub(super) struct Fold {
    /// Begin and end in lengths along the path.
    pub(super) range: (f64, f64),
    pub(super) ends: Vec<CreaseEnd>,
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

/// The stretch of a segment along which it folds or nearly does; `None` where it does not.
pub(super) fn corner(segment: &FilletSegment, radius: f64) -> Option<Corner> {
    let (a, b) = segment.range;
    let n = places((b - a) * segment.spine.length_per_parameter(), STEP * radius);
    let place = |k: usize| Place::on(segment, a + (b - a) * k as f64 / n as f64);
    let tight: Vec<P3> = (0..=n)
        .map(place)
        .filter(|p| excess(segment, p, radius) > -2.0 * SECTION_STRETCH)
        .map(|p| p.center)
        .collect();
    let into = |c: &P3| segment.supports[0].towards(*c) + segment.supports[1].towards(*c);
    let towards = tight.iter().map(into).sum::<V3>().try_normalize(NO_DIRECTION)?;
    Some(Corner { path: tight, towards, within: false })
}

fn places(length: f64, step: f64) -> usize {
    ((length / step).ceil() as usize).clamp(16, 4000)
}

/// All folds of a path.
pub(super) fn of_path(path: &SmoothPath<'_>, radius: f64) -> Vec<Fold> {
    let fold = |range| Fold { range, ends: FoldedStretch::of(path, radius, range).ends() };
    islands(path, radius).into_iter().map(fold).collect()
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
    // Of an open path all are its own: where one ends the path, its middle may lie beyond the end by rounding.
    let own = |o: &(f64, f64)| {
        let middle = 0.5 * (o.0 + o.1);
        !path.is_closed() || middle >= path.own.0 && middle < path.own.1
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

/// A direction's greatest bend along a folded stretch.
#[derive(Clone, Copy)]
struct Peak {
    /// Number of the turn.
    turn: usize,
    /// Bend in curvatures of the ball: above one the section's arc folds.
    bend: f64,
}

/// A peak that stands out of its surroundings by less, in curvatures of the ball, is none.
const LEAST_PEAK: f64 = 1e-4;

/// How far the peaks of two neighbouring directions may lie apart, in radii, to be one.
const SAME_PEAK: f64 = 0.3;

/// Ends of creases that lie within this of each other, in radii, are one.
const TOGETHER: f64 = 0.02;

/// How nearly a peak's bend is that of the ball where a crease ends. Elsewhere a peak ends by running into another one.
const AT_END: f64 = 1e-3;

/// A stretch along which a path folds.
struct FoldedStretch {
    turns: Vec<Turn>,
    radius: f64,
}

impl FoldedStretch {
    fn of(path: &SmoothPath<'_>, radius: f64, range: (f64, f64)) -> Self {
        Self { turns: turns(path, radius, range), radius }
    }

    /// All peaks of a direction.
    fn peaks(&self, angle: f64) -> Vec<Peak> {
        let mut out = Vec::new();
        let (mut top, mut valley) = (Peak { turn: 0, bend: f64::NEG_INFINITY }, f64::NEG_INFINITY);
        let mut rising = true;
        for (turn, t) in self.turns.iter().enumerate() {
            let bend = self.radius * t.along(angle);
            if rising {
                if bend > top.bend {
                    top = Peak { turn, bend };
                } else if bend < top.bend - LEAST_PEAK {
                    out.push(top);
                    (rising, valley) = (false, bend);
                }
            } else if bend < valley {
                valley = bend;
            } else if bend > valley + LEAST_PEAK {
                (rising, top) = (true, Peak { turn, bend });
            }
        }
        if rising && top.bend.is_finite() {
            out.push(top);
        }
        // Two within what a crease's end is known by are one.
        let together = |a: &Peak, b: &Peak| {
            self.turns[b.turn].at - self.turns[a.turn].at < 2.0 * CREASE_END * self.radius
        };
        let most = |group: &[Peak]| group.iter().copied().max_by(|a, b| a.bend.total_cmp(&b.bend));
        out.chunk_by(together).filter_map(most).collect()
    }

    /// The peak of a direction that lies nearest to a turn.
    fn peak_near(&self, angle: f64, turn: usize) -> Option<Peak> {
        let off = |p: &Peak| (self.turns[p.turn].at - self.turns[turn].at).abs();
        let nearest = self.peaks(angle).into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        (off(&nearest) < SAME_PEAK * self.radius).then_some(nearest)
    }

    /// The end of a crease between two directions, in the first of which a peak folds and in the second not.
    fn end(&self, mut peak: Peak, mut inside: f64, mut outside: f64) -> Option<CreaseEnd> {
        let right_handed = inside > outside;
        for _ in 0..48 {
            let middle = 0.5 * (inside + outside);
            match self.peak_near(middle, peak.turn).filter(|p| p.bend > 1.0) {
                Some(p) => (inside, peak) = (middle, p),
                None => outside = middle,
            }
        }
        let t = &self.turns[peak.turn];
        let towards = t.axes[0] * inside.cos() + t.axes[1] * inside.sin();
        (peak.bend < 1.0 + AT_END).then_some(CreaseEnd { at: t.at, towards, right_handed })
    }

    /// Whether a peak, one of some, runs on into one of those of the direction beside: the two are nearest to each other.
    fn runs_on(&self, peak: &Peak, own: &[Peak], beside: &[Peak]) -> bool {
        let off = |a: &Peak, b: &Peak| (self.turns[a.turn].at - self.turns[b.turn].at).abs();
        let nearest = |to: &Peak, all: &[Peak]| -> Option<Peak> {
            all.iter().copied().min_by(|a, b| off(a, to).total_cmp(&off(b, to)))
        };
        let Some(next) = nearest(peak, beside) else { return false };
        off(&next, peak) < SAME_PEAK * self.radius && nearest(&next, own).is_some_and(|p| p.turn == peak.turn)
    }

    /// The ends of all its creases: directions in which a peak begins or ceases to fold.
    fn ends(&self) -> Vec<CreaseEnd> {
        let step = TAU / DIRECTIONS as f64;
        let folding = |angle: f64| self.peaks(angle).into_iter().filter(|p| p.bend > 1.0).collect::<Vec<_>>();
        let all: Vec<Vec<Peak>> = (0..DIRECTIONS).map(|i| folding(step * i as f64)).collect();
        let mut out = Vec::new();
        for i in 0..DIRECTIONS {
            for (j, side) in [(i + DIRECTIONS - 1, -1.0), (i + 1, 1.0)] {
                let beside = &all[j % DIRECTIONS];
                for peak in all[i].iter().filter(|p| !self.runs_on(p, &all[i], beside)) {
                    let angle = step * i as f64;
                    out.extend(self.end(*peak, angle, angle + side * step));
                }
            }
        }
        if out.is_empty() { self.narrow() } else { self.distinct(out) }
    }

    /// Of ends that lie together the outermost one: where a path's curvature jumps, peaks come and go.
    fn distinct(&self, ends: Vec<CreaseEnd>) -> Vec<CreaseEnd> {
        let mut out: Vec<CreaseEnd> = Vec::new();
        for end in ends {
            let together = |o: &CreaseEnd| {
                o.right_handed == end.right_handed
                    && (o.at - end.at).abs() < TOGETHER * self.radius
                    && (o.towards - end.towards).norm() < TOGETHER
            };
            match out.iter_mut().find(|o| together(o)) {
                None => out.push(end),
                // Directions are gone through forwards.
                Some(known) if !end.right_handed => *known = end,
                Some(_) => {}
            }
        }
        out
    }

    /// The ends of a fold narrower than the step between directions.
    fn narrow(&self) -> Vec<CreaseEnd> {
        let bend = |t: &Turn| t.bend[0].hypot(t.bend[1]);
        let most =
            (0..self.turns.len()).max_by(|a, b| bend(&self.turns[*a]).total_cmp(&bend(&self.turns[*b])));
        let Some(turn) = most.filter(|t| self.radius * bend(&self.turns[*t]) > 1.0) else { return vec![] };
        let middle = self.turns[turn].bend[1].atan2(self.turns[turn].bend[0]);
        let step = TAU / DIRECTIONS as f64;
        let peak = Peak { turn, bend: self.radius * bend(&self.turns[turn]) };
        [-step, step].into_iter().filter_map(|by| self.end(peak, middle, middle + by)).collect()
    }
}
