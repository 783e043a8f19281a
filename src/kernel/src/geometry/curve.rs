//! Curves of edges.

use std::f64::consts::{PI, TAU};

use super::{BSpline, Frame, P3, V3};

/// A straight line; the parameter is the distance from the origin, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where the parameter is zero.
    pub origin: P3,
    /// Unit direction.
    pub dir: V3,
}

/// A circle in the frame's xy plane; the parameter is the angle from x towards y, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Centre and plane.
    pub frame: Frame,
    /// Radius, mm.
    pub radius: f64,
}

/// An ellipse in the frame's xy plane; the parameter is the eccentric angle, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Centre and plane; the major axis lies along x.
    pub frame: Frame,
    /// Half the major axis, mm.
    pub major: f64,
    /// Half the minor axis, mm.
    pub minor: f64,
}

/// A curve on which an edge lies.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// Straight line.
    Line(Line),
    /// Circle.
    Circle(Circle),
    /// Ellipse.
    Ellipse(Ellipse),
    /// Cubic B-spline, for intersections that are none of the above.
    Spline(BSpline),
}

impl Curve {
    /// The point at parameter `t`.
    pub fn point(&self, t: f64) -> P3 {
        match self {
            Self::Line(c) => c.origin + c.dir * t,
            Self::Circle(c) => c.frame.origin + c.frame.radial(t) * c.radius,
            Self::Ellipse(c) => c.frame.point(c.major * t.cos(), c.minor * t.sin(), 0.0),
            Self::Spline(c) => c.point(t),
        }
    }

    /// The first derivative at `t`.
    pub fn derivative(&self, t: f64) -> V3 {
        match self {
            Self::Line(c) => c.dir,
            Self::Circle(c) => (c.frame.y * t.cos() - c.frame.x * t.sin()) * c.radius,
            Self::Ellipse(c) => c.frame.vector(-c.major * t.sin(), c.minor * t.cos(), 0.0),
            Self::Spline(c) => c.derivative(t),
        }
    }

    /// Point and first derivative in one.
    pub fn jet(&self, t: f64) -> (P3, V3) {
        let (s, c) = t.sin_cos();
        match self {
            Self::Circle(o) => {
                let (x, y) = (o.frame.x * o.radius, o.frame.y * o.radius);
                (o.frame.origin + x * c + y * s, y * c - x * s)
            }
            Self::Ellipse(o) => {
                let (x, y) = (o.frame.x * o.major, o.frame.y * o.minor);
                (o.frame.origin + x * c + y * s, y * c - x * s)
            }
            Self::Line(_) | Self::Spline(_) => (self.point(t), self.derivative(t)),
        }
    }

    /// The parameter of a point on (or near) the curve; angles in `(−π, π]`. The point of an ellipse must
    /// lie on it; that of a spline is sought by Newton from the nearest of its knots.
    pub fn param(&self, p: P3) -> f64 {
        match self {
            Self::Line(c) => (p - c.origin).dot(&c.dir),
            Self::Circle(c) => {
                let q = c.frame.local(p);
                q.y.atan2(q.x)
            }
            Self::Ellipse(c) => {
                let q = c.frame.local(p);
                (q.y / c.minor).atan2(q.x / c.major)
            }
            Self::Spline(c) => c.param(p),
        }
    }

    /// Places within a range of the parameter, its ends apart, where the curve may reach farthest along a direction, one way or the other: those
    /// of circles and ellipses exactly, of a spline the knots.
    pub fn farthest(&self, range: (f64, f64), direction: V3) -> Vec<P3> {
        let (frame, major, minor) = match self {
            Self::Line(_) => return vec![],
            Self::Circle(c) => (&c.frame, c.radius, c.radius),
            Self::Ellipse(c) => (&c.frame, c.major, c.minor),
            Self::Spline(c) => {
                let inner = c.knots.iter().filter(|t| **t > range.0 && **t < range.1);
                return inner.map(|t| c.point(*t)).collect();
            }
        };
        let top = (minor * frame.y.dot(&direction)).atan2(major * frame.x.dot(&direction));
        let turns = [top, top + PI].map(|t| range.0 + (t - range.0).rem_euclid(TAU));
        turns.into_iter().filter(|t| *t < range.1).map(|t| self.point(t)).collect()
    }

    /// The period of the parameter, zero for open curves.
    pub fn period(&self) -> f64 {
        match self {
            Self::Circle(_) | Self::Ellipse(_) => std::f64::consts::TAU,
            Self::Line(_) | Self::Spline(_) => 0.0,
        }
    }

    /// The second derivative at a point of the curve; nought for a spline, of which it is not known.
    pub(crate) fn second_derivative(&self, p: P3) -> V3 {
        match self {
            Self::Line(_) | Self::Spline(_) => V3::zeros(),
            Self::Circle(c) => c.frame.origin - p,
            Self::Ellipse(c) => c.frame.origin - p,
        }
    }

    /// An upper bound of the norm of the third derivative; infinite for a spline.
    pub(crate) fn third_derivative_bound(&self) -> f64 {
        if matches!(self, Self::Line(_)) { 0.0 } else { self.derivative_bounds().0 }
    }

    /// Upper bounds of the norms of the first and second derivative. Meaningless for splines (infinite).
    pub fn derivative_bounds(&self) -> (f64, f64) {
        match self {
            Self::Line(_) => (1.0, 0.0),
            Self::Circle(c) => (c.radius, c.radius),
            Self::Ellipse(c) => (c.major, c.major),
            Self::Spline(_) => (f64::INFINITY, f64::INFINITY),
        }
    }
}
