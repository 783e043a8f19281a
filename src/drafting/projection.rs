//! Edges of a solid, projected exactly along a direction: lines stay lines, circles and ellipses become circles,
//! ellipses, or lines where they are seen from the side.

use std::f64::consts::TAU;

use solidwright::geometry::{BSpline, Curve, P2, P3, V2, V3};
use solidwright::solid::Brep;

use super::entity::{Arc, EllipseArc, Shape};

/// Shorter on the part than this is a point, mm. Common practice: far below what a plotter shows.
const POINT: f64 = 1e-6;

/// Axes of an ellipse that differ by less than this, mm, are those of a circle.
const ROUND: f64 = 1e-7;

/// Chains of chords leave their curve by no more than about this, mm.
const CHORD: f64 = 0.005;

/// Halvings of a piece of a curve after which its chords are taken as they are.
const HALVINGS: u32 = 12;

/// From where a solid is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    right: V3,
    up: V3,
}

impl Direction {
    /// Looks so that `right` points to the right on paper, and up on paper is as near to `up` as can be. None where the
    /// two lie along one line.
    pub fn new(right: V3, up: V3) -> Option<Self> {
        let right = right.try_normalize(POINT)?;
        let up = (up - right * up.dot(&right)).try_normalize(POINT)?;
        Some(Self { right, up })
    }

    /// Towards the eye.
    pub fn eye(&self) -> V3 {
        self.right.cross(&self.up)
    }

    /// Up on paper.
    pub fn up(&self) -> V3 {
        self.up
    }

    /// A vector as it is seen.
    pub fn vector(&self, v: V3) -> V2 {
        V2::new(v.dot(&self.right), v.dot(&self.up))
    }

    /// A point as it is seen, from the projection of the part's origin.
    pub fn point(&self, p: P3) -> P2 {
        P2::from(self.vector(p.coords))
    }

    /// A piece of a curve as it is seen, mm on the part. None where it is seen end-on, as a point.
    pub fn curve(&self, curve: &Curve, range: (f64, f64)) -> Option<Shape> {
        match curve {
            Curve::Line(_) => line(self.point(curve.point(range.0)), self.point(curve.point(range.1))),
            Curve::Circle(c) => {
                let axes = [c.frame.x, c.frame.y].map(|axis| self.vector(axis * c.radius));
                round(self.point(c.frame.origin), axes, range)
            }
            Curve::Ellipse(c) => {
                let axes = [c.frame.x * c.major, c.frame.y * c.minor].map(|axis| self.vector(axis));
                round(self.point(c.frame.origin), axes, range)
            }
            Curve::Spline(spline) => self.chain(spline, range),
        }
    }

    /// A spline as chords, halved until the middle of each piece, and its quarters, lie near them.
    fn chain(&self, spline: &BSpline, range: (f64, f64)) -> Option<Shape> {
        let at = |t: f64| self.point(spline.point(t));
        let mut points = vec![at(range.0)];
        let mut left = vec![(range.0, range.1, 0)];
        while let Some((from, to, depth)) = left.pop() {
            let (a, b) = (at(from), at(to));
            let near = |share: f64| off_chord(at(from + (to - from) * share), a, b) <= CHORD;
            if depth >= HALVINGS || (depth > 0 && [0.25, 0.5, 0.75].into_iter().all(near)) {
                points.push(b);
                continue;
            }
            let middle = 0.5 * (from + to);
            left.extend([(middle, to, depth + 1), (from, middle, depth + 1)]);
        }
        let first = points[0];
        points.iter().any(|p| (p - first).norm() > POINT).then_some(Shape::Chain(points))
    }
}

/// All edges of a boundary as they are seen, mm on the part, with the number of each. Edges seen end-on are left out.
pub fn edges(brep: &Brep, from: &Direction) -> Vec<(usize, Shape)> {
    let seen = |(number, edge): (usize, &solidwright::solid::BrepEdge)| {
        Some((number, from.curve(&edge.curve, edge.range)?))
    };
    brep.edges.iter().enumerate().filter_map(seen).collect()
}

/// A line, unless it is a point.
fn line(a: P2, b: P2) -> Option<Shape> {
    ((b - a).norm() > POINT).then_some(Shape::Line(a, b))
}

/// Distance of a point from a chord.
fn off_chord(p: P2, a: P2, b: P2) -> f64 {
    let along = b - a;
    let length = along.norm_squared();
    let share = if length > 0.0 { ((p - a).dot(&along) / length).clamp(0.0, 1.0) } else { 0.0 };
    (a + along * share - p).norm()
}

/// The curve `centre + a cos t + b sin t` over a range of t. Its principal axes stand at the eccentric angle at which
/// the distance from the centre is greatest, `tan 2t = 2 a·b / (a² − b²)` (a theorem on conjugate diameters).
fn round(centre: P2, [a, b]: [V2; 2], (from, to): (f64, f64)) -> Option<Shape> {
    let turn = 0.5 * (2.0 * a.dot(&b)).atan2(a.norm_squared() - b.norm_squared());
    let (sin, cos) = turn.sin_cos();
    let (major, minor) = (a * cos + b * sin, b * cos - a * sin);
    let size = major.norm();
    if minor.norm() <= ROUND {
        return seen_from_side(centre, major, (from - turn, to - turn));
    }
    // Seen from behind, the curve runs clockwise.
    let behind = a.perp(&b) < 0.0;
    let (start, end) = if behind { (turn - to, turn - from) } else { (from - turn, to - turn) };
    if size - minor.norm() > ROUND {
        let ratio = minor.norm() / size;
        return Some(Shape::Ellipse(EllipseArc { centre, major, ratio, start, end }));
    }
    let zero = major.y.atan2(major.x);
    let whole = (start + zero).div_euclid(TAU) * TAU;
    Some(Shape::Arc(Arc { centre, radius: size, start: start + zero - whole, end: end + zero - whole }))
}

/// The curve `centre + major cos t` over a range of t: a line between its outermost points.
fn seen_from_side(centre: P2, major: V2, (from, to): (f64, f64)) -> Option<Shape> {
    // A multiple of half a turn within the range is an end of the axis.
    let half = 0.5 * TAU;
    let holds = |odd: f64| {
        let first = ((from - odd * half) / TAU).ceil();
        first * TAU + odd * half <= to
    };
    let ends = [from.cos(), to.cos()];
    let high = if holds(0.0) { 1.0 } else { ends[0].max(ends[1]) };
    let low = if holds(1.0) { -1.0 } else { ends[0].min(ends[1]) };
    line(centre + major * low, centre + major * high)
}
