//! Where a carrier pierces or touches a surface, near the patches of all.

use std::cell::RefCell;

use super::carrier::{Carrier, CarrierCurve};
use super::surface_set::{SurfaceEntry, SurfaceSet};
use super::uniform::PlainBody;
use crate::geometry::intersect::Traced;
use crate::geometry::{Curve, MidpointValues, P3, Root, Surface, V3, isolate_roots};
use crate::tolerance::{ON_SURFACE, TANGENT_SNAP};

/// Pieces that a closed plain curve is cut into at first.
const PIECES: usize = 8;

/// A piece that reaches less far than this, mm, is not divided to leave out what lies far from all patches.
const SHORT_PIECE: f64 = 2.0;

/// Most middles of stretches of a piece that are kept: deeper ones are asked by one surface alone.
const MOST_KNOWN: usize = 15;

/// Shares of the way between two touches at which it is asked whether they are one.
const BETWEEN: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];

/// The speed of a followed curve at the most.
const TRACED_SPEED: f64 = 1.05;

/// Shares by which bounds of second and third derivatives are raised on a followed curve, for its speed.
const TRACED_SECOND: f64 = 1.1;
const TRACED_THIRD: f64 = 1.2;

/// What stands for a stretch of a carrier in which no vertex can lie.
const NOWHERE: MidpointValues = MidpointValues {
    value: f64::INFINITY,
    slope: 0.0,
    slope_bound: 0.0,
    bend_bound: 0.0,
    bend: 0.0,
    bend_change: 0.0,
};

/// A piece of a carrier that comes near patches of two of its surfaces.
pub(super) struct Piece {
    range: (f64, f64),
    middle: P3,
    /// It lies within this of the middle, mm.
    reach: f64,
    /// What was found at middles of stretches of it: most surfaces ask at the same ones.
    known: RefCell<Vec<((f64, f64), Moving)>>,
}

impl Piece {
    fn new(range: (f64, f64), middle: P3, reach: f64) -> Self {
        Self { range, middle, reach, known: RefCell::default() }
    }

    /// The carrier at `t`, with bounds within `half` of it.
    fn at(&self, c: &Carrier, t: f64, half: f64) -> Moving {
        if half <= 0.0 {
            return Moving::of(c, t, half);
        }
        let mut known = self.known.borrow_mut();
        if let Some(found) = known.iter().find(|k| k.0 == (t, half)) {
            return found.1;
        }
        let new = Moving::of(c, t, half);
        if known.len() < MOST_KNOWN {
            known.push(((t, half), new));
        }
        new
    }
}

/// The pieces of a carrier, without those stretches that lie far from its surfaces' patches or deep within a body.
pub(super) fn pieces(set: &SurfaceSet, c: &Carrier) -> Vec<Piece> {
    // Closed curves are cut at all places: with fewer, an edge ran over the end of the period, and a file held it to 2 µm only.
    let bodies = if c.period().is_some() { vec![] } else { set.plain.near(&c.bounds) };
    let mut out = Vec::new();
    let mut between = |marks: &[f64]| {
        for w in marks.windows(2) {
            near_pieces((set, &bodies), c, (w[0], w[1]), &mut out);
        }
    };
    match &c.shape {
        CarrierCurve::Plain(_) => {
            let (a, b) = c.span();
            let n = if c.range.is_some() { 1 } else { PIECES };
            let marks: Vec<f64> = (0..=n).map(|i| a + (b - a) * i as f64 / n as f64).collect();
            between(&marks);
        }
        CarrierCurve::Contact(curve) => between(curve.knots()),
        CarrierCurve::Crease(curve) => between(curve.knots()),
        CarrierCurve::Traced(curve) => {
            let all = curve.chords().map(|c| Piece::new((c.from, c.to), c.middle, c.reach));
            out.extend(all.filter(|p| {
                is_near_own(set, c, p.middle, p.reach) && !set.plain.settle(&bodies, p.middle, p.reach)
            }));
        }
    }
    out
}

/// Whether a stretch of a carrier within `reach` of `p` may come near patches of two of its surfaces.
fn is_near_own(set: &SurfaceSet, c: &Carrier, p: P3, reach: f64) -> bool {
    // A vertex may lie on the very border of a box.
    let near = |s: &&usize| set.entries[**s].within(p, reach + TANGENT_SNAP);
    c.surfaces.iter().filter(near).count() >= c.surfaces.len().min(2)
}

/// Adds the pieces of a stretch, one piece where no part of it lies far off or deep within one of the bodies; gives whether that is so.
fn near_pieces(
    (set, bodies): (&SurfaceSet, &[PlainBody<'_>]),
    c: &Carrier,
    (from, to): (f64, f64),
    out: &mut Vec<Piece>,
) -> bool {
    let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
    let at = Moving::of(c, mid, half);
    let reach = at.speed_bound * half;
    if !is_near_own(set, c, at.point, reach) {
        return false;
    }
    if reach > SHORT_PIECE {
        let start = out.len();
        let first = near_pieces((set, bodies), c, (from, mid), out);
        let second = near_pieces((set, bodies), c, (mid, to), out);
        if !(first && second) {
            return false;
        }
        out.truncate(start);
    } else if set.plain.settle(bodies, at.point, reach) {
        return false;
    }
    out.push(Piece::new((from, to), at.point, reach));
    true
}

/// The places where pieces of a carrier meet a surface near the patches of all, and whether the carrier crosses it there.
pub(super) fn piercings(
    set: &SurfaceSet,
    c: &Carrier,
    entry: &SurfaceEntry,
    pieces: &[Piece],
) -> Vec<(P3, bool)> {
    let surface = &entry.surface;
    let sample = |p: &Piece, t: f64, half: f64| {
        let at = p.at(c, t, half);
        let reach = at.speed_bound * half;
        let nowhere =
            || !entry.within(at.point, reach + TANGENT_SNAP) || !is_near_own(set, c, at.point, reach);
        if half > 0.0 && nowhere() { NOWHERE } else { at.distance(half, surface) }
    };
    let meets = |p: &&Piece| surface.f(p.middle).abs() <= p.reach && entry.within(p.middle, p.reach);
    let roots = |p: &Piece| isolate_roots(p.range.0, p.range.1, ON_SURFACE, &|t, half| sample(p, t, half));
    let all = pieces.iter().filter(meets).flat_map(roots).collect();
    let off = |t: f64| surface.f(c.point(t)).abs();
    one_of_each_touch(all, &off).into_iter().map(|r| (c.point(r.t), r.crossing)).collect()
}

/// Neighbouring touches between which the distance `off` stays nought are one, found in two pieces: of them the place nearest to
/// the surface is kept. A curve that touches to the third order lies on the surface for some hundredths of a millimetre.
fn one_of_each_touch(roots: Vec<Root>, off: &dyn Fn(f64) -> f64) -> Vec<Root> {
    let mut out: Vec<Root> = Vec::with_capacity(roots.len());
    for root in roots {
        let one = |last: &Root| {
            let between = |share: f64| off(last.t + share * (root.t - last.t)) <= ON_SURFACE;
            !last.crossing && !root.crossing && BETWEEN.into_iter().all(between)
        };
        match out.last_mut() {
            Some(last) if one(last) => {
                if off(root.t) < off(last.t) {
                    *last = root;
                }
            }
            _ => out.push(root),
        }
    }
    out
}

/// A point that runs along a carrier, with bounds for a range of the parameter about it.
#[derive(Clone, Copy)]
struct Moving {
    point: P3,
    first: V3,
    /// The second derivative; it counts only where there is a bound of the third.
    second: V3,
    /// Bounds of the norms of the derivatives in the range; that of the third is infinite where it is not known.
    speed_bound: f64,
    second_bound: f64,
    third_bound: f64,
    /// Shares by which bounds of a distance's second and third derivatives are raised.
    raised: (f64, f64),
}

impl Moving {
    /// At parameter `t`, with bounds within `half` of it.
    fn of(c: &Carrier, t: f64, half: f64) -> Self {
        match &c.shape {
            CarrierCurve::Plain(curve) => Self::plain(curve, t, half),
            CarrierCurve::Contact(curve) => Self::bounded(curve.jet(t), curve.derivative_bounds(), half),
            CarrierCurve::Crease(curve) => Self::bounded(curve.jet(t), curve.derivative_bounds(), half),
            CarrierCurve::Traced(curve) => Self::traced(curve, t, half),
        }
    }

    /// On a curve of which no more than bounds of the first and second derivative are known.
    fn bounded((point, first): (P3, V3), (speed, second_bound): (f64, f64), half: f64) -> Self {
        Self {
            point,
            first,
            second: V3::zeros(),
            // An ellipse is quick on its flat sides only.
            speed_bound: speed.min(first.norm() + second_bound * half),
            second_bound,
            third_bound: f64::INFINITY,
            raised: (1.0, 1.0),
        }
    }

    fn plain(curve: &Curve, t: f64, half: f64) -> Self {
        let mut out = Self::bounded(curve.jet(t), curve.derivative_bounds(), half);
        out.second = curve.second_derivative(out.point);
        out.third_bound = curve.third_derivative_bound();
        out
    }

    fn traced(curve: &Traced, t: f64, half: f64) -> Self {
        let (point, first) = curve.jet(t);
        Self {
            point,
            first,
            second: curve.second_derivative(t, point, first),
            speed_bound: TRACED_SPEED,
            second_bound: curve.bend_bound(t, half),
            // At a place alone no bound of it is asked.
            third_bound: if half > 0.0 { curve.bend_change_bound(t, half) } else { f64::INFINITY },
            raised: (TRACED_SECOND, TRACED_THIRD),
        }
    }

    /// The distance from a surface along the curve, within `half` of the parameter.
    fn distance(&self, half: f64, surface: &Surface) -> MidpointValues {
        let jet = surface.distance_jet(self.point);
        let (speed, reach) = (self.speed_bound, self.speed_bound * half);
        let turn = jet.second_bound(reach) * self.raised.0;
        let of_surface = jet.third_bound(reach) * self.raised.1 * speed.powi(3);
        MidpointValues {
            value: jet.value,
            slope: jet.gradient.dot(&self.first),
            slope_bound: speed,
            bend_bound: turn * speed * speed + self.second_bound,
            bend: jet.second_along(self.first) + jet.gradient.dot(&self.second),
            bend_change: of_surface + 3.0 * turn * speed * self.second_bound + self.third_bound,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// (t − 0.3)⁴ is below a nanometre from 0.2944 to 0.3056: what two neighbouring pieces find there is one touch.
    #[test]
    fn a_touch_that_lies_across_two_pieces_is_one() {
        let root = |t: f64| Root { t, crossing: false };
        let one = one_of_each_touch(vec![root(0.295), root(0.3005), root(0.304)], &|t| (t - 0.3).powi(4));
        assert_eq!(one, vec![root(0.3005)], "the best of them");
    }

    /// Two touches with a gap of a tenth between them, and a touch beside a crossing, stay two.
    #[test]
    fn touches_with_a_gap_between_them_stay_two() {
        let root = |t: f64, crossing: bool| Root { t, crossing };
        let off = |t: f64| (t * (t - 0.1)).powi(2);
        let two = vec![root(0.0, false), root(0.1, false)];
        assert_eq!(one_of_each_touch(two.clone(), &off), two);
        let mixed = vec![root(0.0, false), root(1e-6, true)];
        assert_eq!(one_of_each_touch(mixed.clone(), &off), mixed);
    }
}
