//! The five analytic surfaces.

mod chart;
mod cone;
mod cylinder;
mod plane;
mod ruling;
mod same;
mod sphere;
mod torus;

pub use chart::Chart;
pub use cone::Cone;
pub use cylinder::Cylinder;
pub use plane::Plane;
pub use ruling::Ruling;
pub use sphere::Sphere;
pub use torus::Torus;

use super::{P3, V3};

/// An unbounded analytic surface with a side: the normal points to the positive side of [`Surface::f`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// Plane.
    Plane(Plane),
    /// Circular cylinder.
    Cylinder(Cylinder),
    /// One nappe of a circular cone.
    Cone(Cone),
    /// Sphere.
    Sphere(Sphere),
    /// Ring torus.
    Torus(Torus),
}

macro_rules! each {
    ($self:expr, $s:ident => $e:expr) => {
        match $self {
            Surface::Plane($s) => $e,
            Surface::Cylinder($s) => $e,
            Surface::Cone($s) => $e,
            Surface::Sphere($s) => $e,
            Surface::Torus($s) => $e,
        }
    };
}

impl Surface {
    /// Signed distance from the surface, mm: positive on the side of the normal (outside of turned
    /// surfaces). Exact everywhere; `|f(p) − f(q)| ≤ |p − q|`.
    pub fn f(&self, p: P3) -> f64 {
        each!(self, s => s.f(p))
    }

    /// Gradient of [`Self::f`], a unit vector; on the surface it is the normal.
    pub fn grad(&self, p: P3) -> V3 {
        each!(self, s => s.grad(p))
    }

    /// The nearest point of the surface.
    pub fn closest(&self, p: P3) -> P3 {
        p - self.grad(p) * self.f(p)
    }

    /// The point at `(u, v)`. Plane: x, y. Cylinder: angle, height. Cone: angle, distance from the apex
    /// along the wall. Sphere: longitude, latitude. Torus: angle about the axis, angle about the ring.
    pub fn point(&self, u: f64, v: f64) -> P3 {
        each!(self, s => s.point(u, v))
    }

    /// Parameters of a point on (or near) the surface; angles lie in `(−π, π]`.
    pub fn params(&self, p: P3) -> (f64, f64) {
        each!(self, s => s.params(p))
    }

    /// Periods in u and v, zero where there is none.
    pub fn periods(&self) -> (f64, f64) {
        use std::f64::consts::TAU;
        match self {
            Self::Plane(_) => (0.0, 0.0),
            Self::Cylinder(_) | Self::Cone(_) | Self::Sphere(_) => (TAU, 0.0),
            Self::Torus(_) => (TAU, TAU),
        }
    }

    /// The surface's own frame: plane normal, axis of the turned ones along z.
    pub fn frame(&self) -> &super::Frame {
        each!(self, s => &s.frame)
    }

    /// An upper bound of the norm of the Hessian of [`Self::f`] within `reach` of `p`, 1/mm; infinite when
    /// the ball reaches the axis (or ring), where the distance has a kink.
    pub fn hessian_bound(&self, p: P3, reach: f64) -> f64 {
        let room = match self {
            Self::Plane(_) => return 0.0,
            Self::Cylinder(s) => s.axis_distance(p),
            Self::Sphere(s) => (p - s.frame.origin).norm(),
            Self::Cone(s) => s.axis_distance(p),
            Self::Torus(s) => s.kink_distance(p),
        } - reach;
        if room > 0.0 { 1.0 / room } else { f64::INFINITY }
    }

    /// Whether the surface has an axis about which it is turned (all but the plane).
    pub fn is_turned(&self) -> bool {
        !matches!(self, Self::Plane(_))
    }
}
