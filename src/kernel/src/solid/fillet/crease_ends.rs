//! Ends of creases, and the first points of the creases that begin there.

use std::collections::BTreeMap;

use super::feet::{Foot, Locus};
use super::folds::CreaseEnd;
use super::path::{SmoothPath, carried};
use super::sheets::{ArcId, Planes, Sheet, Sheets, Spot};
use crate::geometry::{Bounds, P3, V3};
use crate::tolerance::{CREASE_ANGLE, CREASE_END, NOT_ZERO, SNAP};

/// How far along the sheets a crease's first point is looked for, in radii.
const REACH: f64 = 6.0;

/// Loops of a line that are tried.
const MOST_LOOPS: usize = 60;

/// Distances from a crease's end at which its first point is looked for, in radii, or in those for which a tenth is a third of the distance of
/// the fold's nearest other end where that is less.
const FIRST: [f64; 6] = [0.05, 0.02, 0.008, 0.003, 0.001, 0.0003];

/// How far from the end, in the same unit, its nearest first point lies at most.
const NEAR: f64 = 0.01;

/// How far from the end a first point on the sheets there lies at most, in distances of its plane.
const MOST_AHEAD: f64 = 1.5;

/// A point of a crease with its feet on the two sheets that meet there.
#[derive(Clone, Copy, Debug)]
pub(super) struct CreasePoint {
    pub(super) p: P3,
    pub(super) feet: [Foot; 2],
}

impl CreasePoint {
    /// The point near `p` in which two sheets meet on a third locus, with guesses of the feet's places.
    pub(super) fn near(sheets: &Sheets<'_>, p: P3, on: [(Sheet, f64); 2], third: Locus) -> Option<Self> {
        let [a, b] = on.map(|(sheet, at)| Locus::Sheet(sheet, at));
        let (p, [Some(a), Some(b), _]) = sheets.meet(p, [a, b, third])? else { return None };
        Some(Self { p, feet: [a, b] })
    }

    /// The sheets, with the places of the feet on them.
    pub(super) fn places(&self) -> [(Sheet, f64); 2] {
        self.feet.map(|f| (f.sheet, f.at))
    }

    /// Unit vector along the crease, forwards as `like`.
    pub(super) fn along(&self, like: V3) -> Option<V3> {
        let [a, b] = self.feet.map(|f| f.towards);
        let along = a.cross(&b).try_normalize(NOT_ZERO)?;
        Some(if along.dot(&like) < 0.0 { -along } else { along })
    }

    pub(super) fn sheets(&self) -> [Sheet; 2] {
        self.feet.map(|f| f.sheet)
    }
}

/// One end of a crease: on an arc between two sheets.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) arc: ArcId,
    pub(super) sheets: [Sheet; 2],
    pub(super) point: P3,
    /// Direction in which the crease sets out: that of the arc.
    pub(super) aside: V3,
    /// Distance of the nearest other end of the fold.
    chord: f64,
}

impl End {
    /// All ends of a fold.
    pub(super) fn all(path: &SmoothPath<'_>, sheets: &Sheets<'_>, ends: &[CreaseEnd]) -> Option<Vec<Self>> {
        let mut all = ends.iter().map(|e| Self::find(path, sheets, *e)).collect::<Option<Vec<Self>>>()?;
        let points: Vec<P3> = all.iter().map(|e| e.point).collect();
        for (k, e) in all.iter_mut().enumerate() {
            let others = points.iter().enumerate().filter(|o| o.0 != k);
            e.chord = others.map(|o| (o.1 - e.point).norm()).fold(f64::INFINITY, f64::min);
        }
        all.iter().all(|e| e.chord > SNAP).then_some(all)
    }

    /// The arc at which a crease ends, at one of the path's joints but for the accuracy with which it was found.
    fn find(path: &SmoothPath<'_>, sheets: &Sheets<'_>, end: CreaseEnd) -> Option<Self> {
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
        Some(Self {
            arc,
            sheets: if last { [own, behind] } else { [behind, own] },
            point: place.center + towards * sheets.radius,
            aside: place.tangent.cross(&towards) * if end.right_handed { 1.0 } else { -1.0 },
            chord: 0.0,
        })
    }

    /// The first point of the crease that begins here, beside its end and on the sheets there if it can be.
    pub(super) fn first(&self, sheets: &Sheets<'_>) -> Option<CreasePoint> {
        let unit = sheets.radius.min(self.chord / 0.3);
        let mut last = None;
        for point in FIRST.iter().filter_map(|share| self.at(sheets, share * unit, false)) {
            if point.sheets() == self.sheets {
                return Some(point);
            }
            last = Some(point);
        }
        // The shortest loop may be that of another fold's crease, farther off and on other sheets.
        let near = |c: &CreasePoint| (c.p - self.point).norm() < NEAR * unit;
        let on_own = |share: &f64| self.at(sheets, share * unit, true);
        let ahead = |share: &f64| {
            let d = share * unit;
            on_own(share).filter(|c| (c.p - self.point).norm() < MOST_AHEAD * d)
        };
        let own = FIRST.iter().find_map(ahead).or(last.filter(near));
        own.or_else(|| FIRST.iter().find_map(on_own)).or(last)
    }

    /// The crease's point in the plane at a distance: where the line in which the plane cuts the sheets crosses itself, in its
    /// shortest loop; of those on the sheets at the end alone, if so asked.
    fn at(&self, sheets: &Sheets<'_>, distance: f64, own: bool) -> Option<CreasePoint> {
        let planes = Planes { from: self.point, normal: self.aside, length: distance };
        let walk = |sheet| sheets.walk(sheet, self.arc, &planes, distance, REACH * sheets.radius);
        let [before, behind] = self.sheets.map(walk);
        let line: Vec<(Spot, P3)> = before.into_iter().rev().chain(behind).collect();
        let plane = Locus::Plane(self.point + self.aside * distance, self.aside);
        let solve = |(spots, p): ([Spot; 2], P3)| on_own_sheets(sheets, spots, p, plane);
        let mut found =
            loops_in(&line, self.aside).into_iter().filter_map(solve).filter(|c| opens(sheets, c));
        let found = if own { found.find(|c| c.sheets() == self.sheets) } else { found.next() };
        found.filter(|c| sheets.nearer(c.p).is_none())
    }
}

/// The point near `p` in a plane in which two sheets meet, on those into which it has run on from those of a guess.
fn on_own_sheets(sheets: &Sheets<'_>, spots: [Spot; 2], mut p: P3, plane: Locus) -> Option<CreasePoint> {
    let mut own = spots.map(|s| (s.sheet, s.at));
    for _ in 0..8 {
        let found = CreasePoint::near(sheets, p, own, plane)?;
        let left = found.feet.map(|f| sheets.left(f.sheet, f.at, f.towards, 0.0));
        if left.iter().all(Option::is_none) {
            return Some(found);
        }
        (own, p) = (found.places(), found.p);
        for k in 0..2 {
            if let Some((arc, behind)) = left[k] {
                own[k] = (behind, sheets.start(behind, arc)?);
            }
        }
    }
    None
}

/// Whether two sheets cross there that are not folded: on the arc between them, and in a fold, they only touch.
pub(super) fn opens(sheets: &Sheets<'_>, point: &CreasePoint) -> bool {
    let [a, b] = &point.feet;
    let sound = |f: &Foot| f.apart > 0.0 && sheets.between_walls(f.sheet, f.center, f.towards);
    sound(a) && sound(b) && a.towards.cross(&b.towards).norm() > CREASE_ANGLE
}

/// The two spots at each loop of a line in a plane, with the point there, the shortest loop first.
fn loops_in(line: &[(Spot, P3)], normal: V3) -> Vec<([Spot; 2], P3)> {
    let step = |i: usize| line[i + 1].1 - line[i].1;
    let one = |i: usize| line[i].0.sheet == line[i + 1].0.sheet && step(i).norm() > 0.0;
    let pieces: Vec<usize> = (0..line.len().saturating_sub(1)).filter(|i| one(*i)).collect();
    // By length, then in order. Where a line runs over itself it has millions: longer ones than the most that are wanted are not looked at.
    let mut out: BTreeMap<(usize, usize), ([Spot; 2], P3)> = BTreeMap::new();
    near_each_other(line, &pieces, |i, j| {
        let (v, w, gap) = (step(i), step(j), line[j].1 - line[i].1);
        let det = v.cross(&w).dot(&normal);
        let x = gap.cross(&w).dot(&normal) / det;
        let y = gap.cross(&v).dot(&normal) / det;
        let on = |s: f64| (-0.001..=1.001).contains(&s);
        if on(x) && on(y) {
            let spot = |i: usize, x: f64| between(line[i].0, line[i + 1].0, x);
            out.insert((j - i, i), ([spot(i, x), spot(j, y)], line[i].1 + v * x));
            if out.len() > MOST_LOOPS {
                out.pop_last();
            }
        }
        let longest = out.last_key_value().filter(|_| out.len() == MOST_LOOPS);
        longest.map_or(usize::MAX, |(key, _)| key.0)
    });
    out.into_values().collect()
}

/// Shows the pairs of pieces of a line, not one behind the other, that are no farther apart than both are long, the earlier one first; `show`
/// gives how far behind one another on the line they may be from then on. Lines have thousands of pieces: they are looked through in the
/// order in which they lie along the line's longest extent.
fn near_each_other(line: &[(Spot, P3)], pieces: &[usize], mut show: impl FnMut(usize, usize) -> usize) {
    let bounds = Bounds::around(line.iter().map(|spot| spot.1));
    let axis = (bounds.max - bounds.min).imax();
    let place = |i: usize| (line[i].1[axis], i, (line[i + 1].1 - line[i].1).norm());
    let mut all: Vec<(f64, usize, f64)> = pieces.iter().map(|i| place(*i)).collect();
    all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let longest = all.iter().map(|piece| piece.2).fold(0.0, f64::max);
    let mut most = usize::MAX;
    for (k, (at, i, long)) in all.iter().enumerate() {
        let ahead = all[k + 1..].iter().take_while(|other| other.0 - at <= long + longest);
        let near = |j: usize, other: f64| (line[j].1 - line[*i].1).norm() <= long + other;
        for (_, j, other) in ahead {
            if (2..=most).contains(&i.abs_diff(*j)) && near(*j, *other) {
                most = show(*i.min(j), *i.max(j));
            }
        }
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

fn between(a: Spot, b: Spot, share: f64) -> Spot {
    if a.sheet == b.sheet { Spot { at: a.at + share * turned(a, b), ..a } } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line that winds through a plane in steps of many lengths: the pairs are those that all are held against all would give.
    #[test]
    fn pieces_near_each_other() {
        let spot = Spot { sheet: Sheet::Canal(0), at: 0.0 };
        let at = |k: usize| {
            let t = 0.013 * k as f64;
            let r = 3.0 + (5.1 * t).sin() + if k.is_multiple_of(50) { 0.5 } else { 0.0 };
            (spot, P3::new(r * t.cos(), r * t.sin(), 0.0))
        };
        let line: Vec<(Spot, P3)> = (0..1500).map(at).collect();
        let pieces: Vec<usize> = (0..line.len() - 1).filter(|i| i % 7 != 3).collect();
        let long = |i: usize| (line[i + 1].1 - line[i].1).norm();
        let mut expected = Vec::new();
        for (k, &i) in pieces.iter().enumerate() {
            let near = |j: &&usize| **j > i + 1 && (line[**j].1 - line[i].1).norm() <= long(i) + long(**j);
            expected.extend(pieces[k + 1..].iter().filter(near).map(|j| (i, *j)));
        }
        assert!(expected.len() > 100, "{}", expected.len());
        let mut found = Vec::new();
        near_each_other(&line, &pieces, |i, j| {
            found.push((i, j));
            usize::MAX
        });
        found.sort_unstable();
        assert_eq!(found, expected);
        let mut short = Vec::new();
        near_each_other(&line, &pieces, |i, j| {
            short.push((i, j));
            9
        });
        expected.retain(|(i, j)| j - i <= 9 || (*i, *j) == short[0]);
        short.sort_unstable();
        assert_eq!(short, expected, "none longer than is wanted but for the first one");
    }
}
