//! A canal as a rational B-spline surface.

use crate::tolerance::{CANAL_FILE_FIT, FILE_UNCERTAINTY, SPLINE_FIT};
use std::f64::consts::PI;

use crate::geometry::{BSpline, Canal, P2, P3, Surface, V3};
use crate::solid::{Brep, BrepFace};

use super::{Direction, Net};

/// How far the written piece runs on beyond the face, as an angle.
const MARGIN: f64 = 0.02;

/// The share of a curve at its ends in which its places may jump, as a fold ends there.
const STEADY: f64 = 1e-3;

/// Pieces that each span of a curve is cut into for its path on the net, tried in turn.
const PATH_PIECES: [usize; 5] = [1, 2, 4, 8, 16];

/// The piece of the canal that holds the face: cubic along the spine, arcs across, exact.
pub(crate) fn net(brep: &Brep, face: &BrepFace, canal: &Canal) -> Net {
    let (_, lo, hi) = angles(brep, face, canal);
    let (across, columns) = Direction::arcs(lo, hi);
    let paths = paths(canal, &columns);
    let along = Direction::cubic(&paths[0].knots);
    let row = |i: usize| paths.iter().zip(&columns).map(|(path, c)| (path.control[i], c.1)).collect();
    let poles = (0..along.poles()).map(row).collect();
    Net { u: along, v: across, poles }
}

/// The middle angle of a face, from which angles count by less than half a turn, and the range that its edges take.
fn angles(brep: &Brep, face: &BrepFace, canal: &Canal) -> (f64, f64, f64) {
    let middle = canal.angle(face.chart.to_space(P2::origin()));
    let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
    for h in face.loops.iter().flatten() {
        for k in 0..=32 {
            let v = beside(middle, canal.angle(brep.edge_point(h.edge, f64::from(k) / 32.0)));
            (lo, hi) = (lo.min(v), hi.max(v));
        }
    }
    (middle, lo - MARGIN, hi + MARGIN)
}

/// The angle less than half a turn from another.
fn beside(middle: f64, angle: f64) -> f64 {
    middle + (angle - middle + PI).rem_euclid(2.0 * PI) - PI
}

/// The parameters of the net of a face: length along the spine, and across what arcs have.
pub(crate) struct CanalMap<'a> {
    surface: &'a Surface,
    canal: &'a Canal,
    length: f64,
    middle: f64,
    across: Direction,
}

impl<'a> CanalMap<'a> {
    /// That of [`net`]; none for a face that is no piece of a canal.
    pub(crate) fn of(brep: &Brep, face: &'a BrepFace) -> Option<Self> {
        let Surface::Canal(canal) = &face.surface else { return None };
        let (middle, lo, hi) = angles(brep, face, canal);
        let across = Direction::arcs(lo, hi).0;
        Some(Self { surface: &face.surface, canal, length: canal.spine.length(), middle, across })
    }

    fn at(&self, p: P3) -> P2 {
        let (along, angle) = self.surface.params(p);
        P2::new(along.clamp(0.0, self.length), self.across.at_angle(beside(self.middle, angle)))
    }

    fn point(&self, q: P3) -> P3 {
        self.surface.point(q.x, self.across.angle_at(q.y))
    }

    /// The path of a curve on the net, in the curve's own parameter (x and y are the net's parameters, z is nought): within
    /// [`SPLINE_FIT`] of the curve, or as near as it can be fitted, but within [`FILE_UNCERTAINTY`]. None where it can't, because the
    /// curve does not lie on this face.
    ///
    /// Where a fold ends the surface stands still along the spine, and the nearest places of neighbouring points jump between its two
    /// sheets: no curve goes through them. There the path goes evenly along the spine from end to end, at the angle about each place.
    ///
    /// At the very end of a fold only one jump may be left; there the places before it are followed on.
    pub(crate) fn path(&self, curve: &BSpline) -> Option<BSpline> {
        let (from, to) = (*curve.knots.first()?, *curve.knots.last()?);
        let place = |t: f64| self.at(curve.point(t));
        let followed = |t: f64| {
            let near = STEADY * (to - from);
            let [a, b] = if t < from + near {
                [from + 2.0 * near, from + near]
            } else if t > to - near {
                [to - 2.0 * near, to - near]
            } else {
                return place(t);
            };
            let (p, q) = (place(a), place(b));
            let on = q + (q - p) * ((t - b) / (b - a));
            P2::new(on.x.clamp(0.0, self.length), on.y)
        };
        self.best(curve, &place).or_else(|| self.best(curve, &followed)).or_else(|| {
            let [start, end] = [from, to].map(|t| place(t).x);
            let evenly = |t: f64| {
                let along = start + (end - start) * ((t - from) / (to - from));
                let angle = self.canal.angle_at(along, curve.point(t));
                P2::new(along, self.across.at_angle(beside(self.middle, angle)))
            };
            self.best(curve, &evenly)
        })
    }

    /// The path through given places that fits best, if that is well enough.
    fn best(&self, curve: &BSpline, place: &dyn Fn(f64) -> P2) -> Option<BSpline> {
        let mut best: Option<(f64, BSpline)> = None;
        for pieces in PATH_PIECES {
            let (off, path) = self.fitted(curve, pieces, place);
            if best.as_ref().is_none_or(|b| off < b.0) {
                best = Some((off, path));
            }
            if off < SPLINE_FIT {
                break;
            }
        }
        best.filter(|b| b.0 < 0.5 * FILE_UNCERTAINTY).map(|b| b.1)
    }

    /// A path through places of the curve, some in each of its spans, and how far its image strays from the curve, mm.
    fn fitted(&self, curve: &BSpline, pieces: usize, place: &dyn Fn(f64) -> P2) -> (f64, BSpline) {
        let share = |w: &[f64], i: usize| w[0] + (w[1] - w[0]) * i as f64 / pieces as f64;
        let spans = curve.knots.windows(2);
        let mut at: Vec<f64> = spans.flat_map(|w| (0..pieces).map(move |i| share(w, i))).collect();
        at.extend(curve.knots.last());
        let on = |t: &f64| {
            let q = place(*t);
            P3::new(q.x, q.y, 0.0)
        };
        let points: Vec<P3> = at.iter().map(on).collect();
        let n = at.len();
        let slope = |k: [usize; 3]| end_slope(k.map(|i| at[i]), k.map(|i| points[i]));
        let path = if n < 3 {
            let straight = (points[1] - points[0]) / (at[1] - at[0]);
            BSpline::through(&at, &points, straight, straight)
        } else {
            BSpline::through(&at, &points, slope([0, 1, 2]), slope([n - 1, n - 2, n - 3]))
        };
        let off = |t: f64| (self.point(path.point(t)) - curve.point(t)).norm();
        let places =
            at.windows(2).flat_map(|w| [0.03, 0.3, 0.5, 0.7, 0.97].map(|k| w[0] + (w[1] - w[0]) * k));
        (places.map(off).fold(0.0, f64::max), path)
    }
}

/// The slope at the first of three places, of the parabola through them.
fn end_slope(at: [f64; 3], points: [P3; 3]) -> V3 {
    let slope = |i: usize, j: usize| (points[j] - points[i]) / (at[j] - at[i]);
    let (near, far) = (slope(0, 1), slope(1, 2));
    near + (near - far) * ((at[1] - at[0]) / (at[2] - at[0]))
}

/// The paths of the poles as splines over common knots, as fine as the fit asks.
fn paths(canal: &Canal, columns: &[(f64, f64)]) -> Vec<BSpline> {
    let length = canal.spine.length();
    let mut n: usize = 8;
    loop {
        let params: Vec<f64> = (0..=n).map(|i| length * i as f64 / n as f64).collect();
        let paths: Vec<BSpline> = columns
            .iter()
            .map(|(angle, weight)| {
                let at = |t: f64| canal.pole(t, *angle, *weight);
                let points: Vec<P3> = params.iter().map(|t| at(*t).0).collect();
                BSpline::through(&params, &points, at(0.0).1, at(length).1)
            })
            .collect();
        let off = |path: &BSpline, (angle, weight): (f64, f64)| {
            let places = params.windows(2).flat_map(|w| [0.27, 0.5, 0.73].map(|k| w[0] + (w[1] - w[0]) * k));
            places.map(|t| (path.point(t) - canal.pole(t, angle, weight).0).norm()).fold(0.0, f64::max)
        };
        let worst = paths.iter().zip(columns).map(|(p, c)| off(p, *c)).fold(0.0, f64::max);
        if worst < CANAL_FILE_FIT || n >= 2048 {
            return paths;
        }
        n *= 2;
    }
}
