//! A branch held as points, exact in between.

use super::march::Pair;
use crate::geometry::{BSpline, Bounds, P3, Surface, V3};
use crate::tolerance::{NO_DIRECTION, SINGULAR, SNAP, SPLINE_FIT, STRAIGHT, STRAIGHT_PIECE, TANGENT_SNAP};

/// A branch of an intersection as a chain of points on both surfaces.
///
/// Between two points the curve is where both surfaces meet the plane across the chord: exact, found by Newton.
/// The parameter is the length along the chords; the speed is one or slightly more.
#[derive(Clone, Debug)]
pub struct Traced {
    a: Surface,
    b: Surface,
    points: Vec<P3>,
    /// Parameter at each point; for a closed branch one more for the way back to the first.
    at: Vec<f64>,
    closed: bool,
    /// Whether the first and last chord end in a node, where they are taken as straight.
    at_nodes: [bool; 2],
    bounds: Bounds,
    bend: f64,
}

/// A stretch of a branch between two of its points.
#[derive(Clone, Copy, Debug)]
pub struct Chord {
    /// Parameter at its start.
    pub from: f64,
    /// Parameter at its end.
    pub to: f64,
    /// Its middle.
    pub middle: P3,
    /// The stretch of the branch lies within this of the middle, mm.
    pub reach: f64,
}

impl Traced {
    pub(super) fn new(pair: &Pair, mut points: Vec<P3>, closed: bool, at_nodes: [bool; 2]) -> Self {
        if closed {
            points.push(points[0]);
        }
        let mut at = vec![0.0];
        let mut sum = 0.0;
        for w in points.windows(2) {
            sum += (w[1] - w[0]).norm();
            at.push(sum);
        }
        let bounds = Bounds::around(points.iter().copied());
        let mut out =
            Self { a: pair.a.clone(), b: pair.b.clone(), points, at, closed, at_nodes, bounds, bend: 0.0 };
        out.bend = out.greatest_bend();
        let sag = out.points.windows(2).map(|w| (w[1] - w[0]).norm_squared()).fold(0.0, f64::max) * out.bend;
        out.bounds = out.bounds.grown(sag.min(1.0) + SNAP);
        out
    }

    /// A working bound of the curvature, twice the greatest turn per length between points.
    fn greatest_bend(&self) -> f64 {
        let chords: Vec<V3> = self.points.windows(2).map(|w| w[1] - w[0]).collect();
        let turns = chords.windows(2).map(|c| {
            let (l, m) = (c[0].norm(), c[1].norm());
            2.0 * c[0].cross(&c[1]).norm() / (l * m) / l.min(m).max(SNAP) / 0.9
        });
        turns.fold(STRAIGHT, f64::max)
    }

    fn pair(&self) -> Pair<'_> {
        Pair { a: &self.a, b: &self.b }
    }

    /// Length of the parameter range, which starts at zero.
    pub fn length(&self) -> f64 {
        self.at[self.at.len() - 1]
    }

    /// Whether it closes on itself.
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// A box around it.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// A bound of the second derivative on `[t − half, t + half]`, by the turns of the chords.
    pub fn bend_bound(&self, t: f64, half: f64) -> f64 {
        let last = self.points.len() - 2;
        let lo = self.segment(t - half).saturating_sub(1);
        let hi = (self.segment(t + half) + 1).min(last);
        let mut most: f64 = STRAIGHT_PIECE;
        for i in lo..hi {
            let (c, d) = (self.points[i + 1] - self.points[i], self.points[i + 2] - self.points[i + 1]);
            let (l, m) = (c.norm(), d.norm());
            most = most.max(c.cross(&d).norm() / (l * m) / (0.5 * (l + m)));
        }
        2.5 * most
    }

    fn segment(&self, t: f64) -> usize {
        let n = self.points.len();
        self.at.partition_point(|a| *a <= t).clamp(1, n - 1) - 1
    }

    /// The parameter brought into the range (around a closed branch).
    fn wrapped(&self, t: f64) -> f64 {
        if self.closed { t.rem_euclid(self.length()) } else { t.clamp(0.0, self.length()) }
    }

    fn straight(&self, i: usize) -> bool {
        (i == 0 && self.at_nodes[0]) || (i + 2 == self.points.len() && self.at_nodes[1])
    }

    /// The point at parameter `t`.
    pub fn point(&self, t: f64) -> P3 {
        let t = self.wrapped(t);
        let i = self.segment(t);
        let (p, q) = (self.points[i], self.points[i + 1]);
        let d = (q - p).normalize();
        let guess = p + d * (t - self.at[i]);
        if self.straight(i) { guess } else { self.pair().on_plane(guess, d).unwrap_or(guess) }
    }

    /// The derivative at parameter `t`.
    pub fn derivative(&self, t: f64) -> V3 {
        self.jet(t).1
    }

    /// Point and derivative at parameter `t` in one.
    pub fn jet(&self, t: f64) -> (P3, V3) {
        let t = self.wrapped(t);
        let i = self.segment(t);
        let (p, q) = (self.points[i], self.points[i + 1]);
        let d = (q - p).normalize();
        let guess = p + d * (t - self.at[i]);
        if self.straight(i) {
            return (guess, d);
        }
        let at = self.pair().on_plane(guess, d).unwrap_or(guess);
        let (tangent, _) = self.pair().tangent(at);
        let along = tangent.dot(&d);
        (at, if along.abs() < 0.1 { d } else { tangent / along })
    }

    /// The second derivative at a point of the branch with its first, by the two surfaces' own; the plane that parts the branch there
    /// stays square on the chord.
    pub(crate) fn second_derivative(&self, t: f64, p: P3, first: V3) -> V3 {
        let i = self.segment(self.wrapped(t));
        if self.straight(i) {
            return V3::zeros();
        }
        let d = (self.points[i + 1] - self.points[i]).normalize();
        let (a, b) = (self.a.distance_jet(p), self.b.distance_jet(p));
        let (n, m) = (a.gradient, b.gradient);
        let det = n.cross(&m).dot(&d);
        if det.abs() < SINGULAR {
            return V3::zeros();
        }
        (m.cross(&d) * -a.second_along(first) + d.cross(&n) * -b.second_along(first)) / det
    }

    /// A bound of the third derivative on `[t − half, t + half]`, by how the turns of the chords change.
    pub(crate) fn bend_change_bound(&self, t: f64, half: f64) -> f64 {
        let last = self.points.len() - 1;
        let lo = self.segment(t - half).saturating_sub(2);
        let hi = (self.segment(t + half) + 3).min(last);
        let chords: Vec<(f64, V3)> =
            self.points[lo..=hi].windows(2).map(|w| ((w[1] - w[0]).norm(), w[1] - w[0])).collect();
        let turn = |c: &[(f64, V3)]| (c[1].1 / c[1].0 - c[0].1 / c[0].0) * (2.0 / (c[0].0 + c[1].0));
        let turns: Vec<V3> = chords.windows(2).map(turn).collect();
        let (mut bend, mut change): (f64, f64) = (STRAIGHT_PIECE, 0.0);
        for (k, c) in turns.iter().enumerate() {
            bend = bend.max(c.norm());
            if k > 0 {
                change = change.max((c - turns[k - 1]).norm() / chords[k].0);
            }
        }
        3.0 * (change + bend * bend)
    }

    /// The chords. Each turns by less than the march's greatest turn, so the curve strays from it by far less than a
    /// tenth of its length and lies within `reach` of the middle.
    pub fn chords(&self) -> impl Iterator<Item = Chord> + '_ {
        self.points.windows(2).enumerate().map(|(i, w)| {
            let (from, to) = (self.at[i], self.at[i + 1]);
            Chord { from, to, middle: nalgebra::center(&w[0], &w[1]), reach: 0.6 * (to - from) }
        })
    }

    /// The parameter of the branch's point nearest to `p` and the distance, if below `within`.
    pub fn param(&self, p: P3, within: f64) -> Option<f64> {
        if self.bounds.distance(p) > within {
            return None;
        }
        let mut best: Option<(f64, f64)> = None;
        // No chord holds what is farther from its start than this beyond its length, and most are farther.
        let beyond = 16.0 * (within + SNAP).powi(2);
        for (i, w) in self.points.windows(2).enumerate() {
            let d = w[1] - w[0];
            if (p - w[0]).norm_squared() > 3.0 * d.norm_squared() + beyond {
                continue;
            }
            let l = d.norm();
            let along = (p - w[0]).dot(&d) / l;
            if along < -SNAP - within || along > l + SNAP + within {
                continue;
            }
            let foot = along.clamp(0.0, l);
            if (w[0] + d * (foot / l) - p).norm() > 0.2 * l + within {
                continue;
            }
            let t = self.at[i] + foot;
            let dist = (self.point(t) - p).norm();
            if dist <= within && best.is_none_or(|b| dist < b.1) {
                best = Some((t, dist));
            }
        }
        best.map(|b| b.0)
    }

    /// Whether a point of the intersection lies on this branch.
    pub(super) fn passes(&self, p: P3) -> bool {
        self.param(p, TANGENT_SNAP).is_some()
    }

    /// A B-spline of the piece from `t0` to `t1` (beyond the length for a closed branch) with the given ends,
    /// on both surfaces within [`SPLINE_FIT`]: through points in even steps, and through more of them only where it is off.
    pub fn spline(&self, t0: f64, t1: f64, ends: [P3; 2]) -> BSpline {
        let n = ((t1 - t0) * self.bend / 0.5).ceil().clamp(4.0, 16.0) as usize;
        let even = |i: usize| t0 + (t1 - t0) * i as f64 / n as f64;
        let mut through: Vec<(f64, P3)> = (0..=n).map(even).map(|t| (t, self.point(t))).collect();
        (through[0].1, through[n].1) = (ends[0], ends[1]);
        let unit = |v: V3| v.try_normalize(NO_DIRECTION).unwrap_or(v);
        let directions = [t0, t1].map(|t| unit(self.derivative(t)));
        loop {
            let (spline, params) = spline_through(&through, directions);
            let off = self.misfits(&spline, &params);
            let is_off = |(w, off): (&[f64], &f64)| *off >= SPLINE_FIT && w[1] - w[0] > SNAP;
            let mut halved: Vec<bool> = params.windows(2).zip(&off).map(is_off).collect();
            let count = halved.iter().filter(|h| **h).count();
            if count == 0 || through.len() > MOST_POINTS {
                return spline;
            }
            if MANY_OFF * count > halved.len() {
                halved.fill(true);
            }
            self.halve(&mut through, &halved);
        }
    }

    /// Further points in the middle of the stretches between two that are to be halved.
    fn halve(&self, through: &mut Vec<(f64, P3)>, halved: &[bool]) {
        let mut all = Vec::with_capacity(2 * through.len());
        for (w, halved) in through.windows(2).zip(halved) {
            all.push(w[0]);
            if *halved {
                let t = f64::midpoint(w[0].0, w[1].0);
                all.push((t, self.point(t)));
            }
        }
        all.extend(through.last());
        *through = all;
    }

    /// Greatest distance of the spline from the surfaces between each two of its points.
    fn misfits(&self, spline: &BSpline, params: &[f64]) -> Vec<f64> {
        let off = |w: &[f64]| {
            [0.25, 0.5, 0.75].into_iter().fold(0.0_f64, |most, k| {
                let p = spline.point(w[0] + (w[1] - w[0]) * k);
                most.max(self.a.f(p).abs()).max(self.b.f(p).abs())
            })
        };
        params.windows(2).map(off).collect()
    }
}

/// The spline through points of a branch, with these directions at its ends, and its parameters there.
fn spline_through(through: &[(f64, P3)], directions: [V3; 2]) -> (BSpline, Vec<f64>) {
    let points: Vec<P3> = through.iter().map(|t| t.1).collect();
    // Chord lengths keep the parameter smooth where the chain's own marks are uneven.
    let mut params = vec![0.0];
    for w in points.windows(2) {
        params.push(params[params.len() - 1] + (w[1] - w[0]).norm());
    }
    (BSpline::through(&params, &points, directions[0], directions[1]), params)
}

/// Where more than one of so many stretches of a spline are off, all are halved.
const MANY_OFF: usize = 3;

/// Points of a spline at most.
const MOST_POINTS: usize = 4096;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::intersect::{Branch, SurfacePart, SurveyBudget, intersect};
    use crate::geometry::{Cylinder, Frame, Torus};

    /// A cylinder through the side of a torus: the second derivative is what differences of the first tell, and the third stays below
    /// its bound.
    #[test]
    fn a_branch_bends_as_differences_tell() {
        let skew = Frame::from_z(P3::new(20.0, 1.0, 0.5), V3::new(0.2, 0.1, 1.0).normalize());
        let (wall, ring) = (
            Surface::Cylinder(Cylinder { frame: skew, radius: 4.0 }),
            Surface::Torus(Torus { frame: Frame::world(), major: 20.0, minor: 9.0 }),
        );
        let boxes = [Bounds::around([P3::new(-40.0, -40.0, -20.0), P3::new(40.0, 40.0, 20.0)])];
        let whole = (-std::f64::consts::PI, std::f64::consts::PI);
        let part = |surface, v| SurfacePart { surface, domain: (whole, v), boxes: &boxes };
        let found = intersect(&part(&wall, (-30.0, 30.0)), &part(&ring, whole), SurveyBudget::FULL);
        let branches = found.expect("two closed curves").branches;
        assert_eq!(branches.len(), 2, "the cylinder goes in above and out below");
        for branch in &branches {
            let Branch::Traced(curve) = branch else { panic!("no closed form") };
            for k in 0..200 {
                let t = curve.length() * (f64::from(k) + 0.37) / 200.0;
                let h = 1e-4;
                // A difference across a joint of two chords tells nothing: the parameter turns there.
                if curve.segment(t - h) != curve.segment(t + h) {
                    continue;
                }
                let (p, d) = curve.jet(t);
                let second = curve.second_derivative(t, p, d);
                let told = (curve.derivative(t + h) - curve.derivative(t - h)) / (2.0 * h);
                assert!((second - told).norm() < 1e-5, "{second:?} for {told:?} at {t}");
                let other = |t: f64| {
                    let (p, d) = curve.jet(t);
                    curve.second_derivative(t, p, d)
                };
                let third = (other(t + h) - other(t - h)).norm() / (2.0 * h);
                let bound = curve.bend_change_bound(t, h);
                assert!(third <= bound, "the third derivative is {third}, its bound {bound} at {t}");
            }
        }
    }
}
