//! Points of a crease: where, in planes across its chord, the two sheets meet.

use super::folds::CreaseEnd;
use super::path::{SmoothPath, carried};
use super::sheets::{ArcId, CutSection, Planes, Sheet, Sheets, Spot};
use crate::geometry::{P3, V3};
use crate::tolerance::{
    CREASE_ANGLE, CREASE_CONVERGED, CREASE_END, CREASE_GAP, CREASE_RISE, CREASE_RISE_AT_END, NO_SOLUTION,
    NOT_ZERO, SNAP,
};

/// Planes across the chord in which a crease is followed.
const PLANES: usize = 24;

/// How far along the sheets a crease is looked for, in radii.
const REACH: f64 = 6.0;

/// Loops of a line that are tried.
const MOST_LOOPS: usize = 60;

/// A point of a crease: its plane, and the two spots that meet there.
#[derive(Clone, Copy, Debug)]
pub(super) struct CreasePoint {
    pub(super) t: f64,
    pub(super) spots: [Spot; 2],
}

/// One end of a crease: on an arc between two sheets.
#[derive(Clone, Copy)]
pub(super) struct End {
    pub(super) arc: ArcId,
    pub(super) sheets: [Sheet; 2],
    pub(super) point: P3,
    /// Direction of the arc.
    aside: V3,
}

/// Follows one crease.
pub(super) struct CreaseTracer<'a> {
    pub(super) sheets: &'a Sheets<'a>,
    pub(super) ends: [End; 2],
    pub(super) planes: Planes,
}

impl<'a> CreaseTracer<'a> {
    pub(super) fn new(path: &SmoothPath<'_>, sheets: &'a Sheets<'a>, ends: [CreaseEnd; 2]) -> Option<Self> {
        let [a, b] = ends.map(|end| Self::end(path, sheets, end));
        let ends = [a?, b?];
        let chord = ends[1].point - ends[0].point;
        let length = chord.norm();
        let planes = Planes { from: ends[0].point, normal: chord / length, length };
        (length > SNAP).then_some(Self { sheets, ends, planes })
    }

    /// The arc at which a crease ends, at one of the path's joints but for the accuracy with which it was found.
    fn end(path: &SmoothPath<'_>, sheets: &Sheets<'_>, end: CreaseEnd) -> Option<End> {
        let n = path.stretches.len();
        let from = |j: usize| if j < n { path.stretches[j].from } else { path.range().1 };
        let off = |j: &usize| (from(*j) - end.at).abs();
        let joint = (0..=n).min_by(|a, b| off(a).total_cmp(&off(b)))?;
        if off(&joint) > 2.0 * CREASE_END * sheets.radius {
            return None;
        }
        // The stretch before the joint, else the one behind it, with its end there.
        let (stretch, last) =
            if joint > 0 { (&path.stretches[joint - 1], true) } else { (&path.stretches[0], false) };
        let (number, k) = (stretch.number, if last { stretch.last() } else { 1 - stretch.last() });
        let (arc, behind) = sheets.behind(number, k);
        let own = Sheet::Canal(number);
        let place = stretch.place(from(joint));
        let bends = [joint.checked_sub(1), (joint < n).then_some(joint)];
        let bends = bends.into_iter().flatten().map(|k| path.stretches[k].place(from(joint)).bend);
        let towards = edge_of_fold(end.towards, place.tangent, bends, sheets.radius);
        Some(End {
            arc,
            sheets: if last { [own, behind] } else { [behind, own] },
            point: place.center + towards * sheets.radius,
            aside: place.tangent.cross(&towards),
        })
    }

    /// The crease's point in the plane `t`, from a guess on given sheets, which it may leave.
    pub(super) fn solve_on(&self, t: f64, mut spots: [Spot; 2]) -> Option<CreasePoint> {
        for _ in 0..40 {
            let [a, b] = spots.map(|s| self.sheets.cut(s, &self.planes, t));
            let (a, b) = (a?, b?);
            let gap = b.point - a.point;
            let det = a.along.cross(&b.along).dot(&self.planes.normal);
            if det.abs() < NO_SOLUTION {
                return None;
            }
            // a + a' x = b + b' y in the plane.
            let x = gap.cross(&b.along).dot(&self.planes.normal) / det;
            let y = gap.cross(&a.along).dot(&self.planes.normal) / det;
            let far = (a.along.norm() * x.abs()).max(b.along.norm() * y.abs());
            let share = (0.25 * self.sheets.radius / far.max(NO_SOLUTION)).min(1.0);
            spots[0].at += x * share;
            spots[1].at += y * share;
            if x.abs().max(y.abs()) < CREASE_CONVERGED * (1.0 + self.sheets.radius) || gap.norm() < CREASE_GAP
            {
                return Some(CreasePoint { t, spots });
            }
        }
        None
    }

    /// The crease's point in the plane `t`, on the sheets into which it has run on from those of the guess.
    pub(super) fn solve(&self, t: f64, guess: [Spot; 2]) -> Option<CreasePoint> {
        let mut point = self.solve_on(t, guess)?;
        for _ in 0..8 {
            let mut moved = false;
            for k in 0..2 {
                let section = self.sheets.cut(point.spots[k], &self.planes, t)?;
                if let Some((arc, behind)) = self.sheets.left(point.spots[k], &section, 0.0) {
                    point.spots[k] = self.sheets.enter(behind, arc, &self.planes, section.point)?;
                    moved = true;
                }
            }
            if !moved {
                return self.opens(&point).then_some(point);
            }
            point = self.solve_on(t, point.spots)?;
        }
        None
    }

    /// Whether two sheets cross there that are not folded: on the arc between them, and in a fold, they only touch.
    pub(super) fn opens(&self, point: &CreasePoint) -> bool {
        let [a, b] = point.spots.map(|s| self.sheets.cut(s, &self.planes, point.t));
        let (Some(a), Some(b)) = (a, b) else { return false };
        let walls = |s: Spot, c: &CutSection| self.sheets.between_walls(s, c);
        let [s, r] = point.spots;
        a.apart > 0.0
            && b.apart > 0.0
            && walls(s, &a)
            && walls(r, &b)
            && a.towards.cross(&b.towards).norm() > CREASE_ANGLE
    }

    /// The same without a guess: where the line in which the plane cuts the sheets crosses itself.
    pub(super) fn search(&self, t: f64, last: Option<&CreasePoint>) -> Option<CreasePoint> {
        let earlier = last.and_then(|p| Some(self.sheets.cut(p.spots[0], &self.planes, p.t)?.point));
        let reach = REACH * self.sheets.radius;
        self.ends.iter().find_map(|end| {
            let [before, behind] = end.sheets.map(|s| self.sheets.walk(s, end.arc, &self.planes, t, reach));
            let line: Vec<(Spot, P3)> = before.into_iter().rev().chain(behind).collect();
            let found = self.loops_in(&line).into_iter().filter_map(|spots| self.solve(t, spots));
            let off = |p: &CreasePoint| {
                let here = self.sheets.cut(p.spots[0], &self.planes, t).map(|c| c.point);
                earlier.zip(here).map_or(0.0, |(a, b)| (a - b).norm())
            };
            // The shortest loop, or that nearest to the crease's last point, which it can't have left far behind.
            let found = found.min_by(|a, b| off(a).total_cmp(&off(b)))?;
            let most = last.map_or(f64::INFINITY, |p| 4.0 * (t - p.t).abs() + 0.1 * self.sheets.radius);
            (off(&found) < most).then_some(found)
        })
    }

    /// The two spots at each loop of a line, the shortest loop first.
    fn loops_in(&self, line: &[(Spot, P3)]) -> Vec<[Spot; 2]> {
        let step = |i: usize| line[i + 1].1 - line[i].1;
        let one = |i: usize| line[i].0.sheet == line[i + 1].0.sheet && step(i).norm() > 0.0;
        let pieces: Vec<usize> = (0..line.len().saturating_sub(1)).filter(|i| one(*i)).collect();
        let mut out: Vec<(usize, [Spot; 2])> = Vec::new();
        for (k, &i) in pieces.iter().enumerate() {
            for &j in pieces[k + 1..].iter().filter(|j| **j > i + 1) {
                let (v, w, gap) = (step(i), step(j), line[j].1 - line[i].1);
                if gap.norm() > v.norm() + w.norm() {
                    continue;
                }
                let det = v.cross(&w).dot(&self.planes.normal);
                let x = gap.cross(&w).dot(&self.planes.normal) / det;
                let y = gap.cross(&v).dot(&self.planes.normal) / det;
                let on = |x: f64| (-0.001..=1.001).contains(&x);
                if on(x) && on(y) {
                    let spot = |i: usize, x: f64| between(line[i].0, line[i + 1].0, x);
                    out.push((j - i, [spot(i, x), spot(j, y)]));
                }
            }
        }
        out.sort_by_key(|o| o.0);
        out.truncate(MOST_LOOPS);
        out.into_iter().map(|o| o.1).collect()
    }

    /// Points in all planes but those so near the ends that none is found there.
    pub(super) fn points(&self) -> Option<Vec<CreasePoint>> {
        let plane = |k: usize| {
            let share = (0.5 * std::f64::consts::PI * k as f64 / PLANES as f64).sin().powi(2);
            self.planes.length * share
        };
        let half = PLANES / 2;
        let middle = self.search(plane(half), None)?;
        let mut out = vec![middle];
        for end in 0..2 {
            let mut last = middle;
            for n in 1..half {
                let k = if end == 0 { half - n } else { half + n };
                let t = plane(k);
                let found = self.solve(t, self.nearer(&last, end, t)).or_else(|| self.solve(t, last.spots));
                match found.or_else(|| self.search(t, Some(&last))) {
                    Some(point) => last = point,
                    None if self.left(end, t) < 0.02 * self.planes.length => break,
                    None => return None,
                }
                out.push(last);
            }
        }
        out.sort_by(|a, b| a.t.total_cmp(&b.t));
        Some(out)
    }

    /// Distance of a plane from an end.
    pub(super) fn left(&self, end: usize, t: f64) -> f64 {
        if end == 0 { t } else { self.planes.length - t }
    }

    /// A guess of the spots in a plane nearer to an end, where they lie on the sheets beside that end: a crease opens with the
    /// square root of the distance from it.
    pub(super) fn nearer(&self, point: &CreasePoint, end: usize, t: f64) -> [Spot; 2] {
        let share = (self.left(end, t) / self.left(end, point.t)).max(0.0).sqrt();
        let at_end = |s: Spot| match s.sheet {
            Sheet::Canal(i) => self.sheets.end_at(i, self.ends[end].arc).map(|k| self.sheets.end(i, k)),
            Sheet::Ball(_) => None,
        };
        point.spots.map(|s| at_end(s).map_or(s, |at| Spot { at: at + (s.at - at) * share, ..s }))
    }

    /// Position and direction of a point of the crease.
    pub(super) fn jet(&self, p: &CreasePoint) -> Option<(P3, V3)> {
        let [a, b] = p.spots.map(|s| self.sheets.cut(s, &self.planes, p.t));
        let (a, b) = (a?, b?);
        let along = a.towards.cross(&b.towards);
        let rise = along.dot(&self.planes.normal);
        (rise.abs() > CREASE_RISE * along.norm()).then(|| (a.point, along / rise))
    }

    /// Direction of the crease at one of its ends: that of the arc there.
    pub(super) fn end_jet(&self, end: usize) -> Option<(P3, V3)> {
        let End { point, aside, .. } = self.ends[end];
        let rise = aside.dot(&self.planes.normal);
        (rise.abs() > CREASE_RISE_AT_END).then(|| (point, aside / rise))
    }
}

/// The direction near a given one in which the section's arc just begins to fold: that in which one of the path's two
/// curvature vectors has the length of the ball's curvature.
fn edge_of_fold(near: V3, tangent: V3, bends: impl Iterator<Item = V3>, radius: f64) -> V3 {
    let near = carried(near, tangent);
    let Some(bend) = bends.max_by(|a, b| a.dot(&near).total_cmp(&b.dot(&near))) else { return near };
    let cosine = 1.0 / (radius * bend.norm());
    if cosine >= 1.0 {
        return near;
    }
    let n = bend.normalize();
    let across = near - n * near.dot(&n);
    match across.try_normalize(NOT_ZERO) {
        Some(b) => n * cosine + b * (1.0 - cosine * cosine).sqrt(),
        None => near,
    }
}

/// From one spot to another of its sheet; angles the short way round.
fn turned(a: Spot, b: Spot) -> f64 {
    use std::f64::consts::{PI, TAU};
    match a.sheet {
        Sheet::Canal(_) => b.at - a.at,
        Sheet::Ball(_) => (b.at - a.at + PI).rem_euclid(TAU) - PI,
    }
}

pub(super) fn between(a: Spot, b: Spot, share: f64) -> Spot {
    if a.sheet == b.sheet { Spot { at: a.at + share * turned(a, b), ..a } } else { a }
}
