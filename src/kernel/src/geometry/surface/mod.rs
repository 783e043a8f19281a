//! The five analytic surfaces, and the canal of a rolling ball.

mod canal;
mod chart;
mod cone;
mod cylinder;
pub(in crate::geometry) mod distance_jet;
mod plane;
mod ruling;
mod same;
mod sphere;
mod torus;

pub use canal::Canal;
pub use chart::{Chart, ChartStep};
pub use cone::Cone;
pub use cylinder::Cylinder;
pub use plane::Plane;
pub use ruling::Ruling;
pub use sphere::Sphere;
pub use torus::Torus;

use crate::tolerance::ON_SURFACE;
use std::sync::Arc;

use super::{P3, V3};

/// An unbounded analytic surface with a side: the normal points to the positive side of [`Surface::f`].
#[derive(Clone, Debug, PartialEq)]
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
    /// Tube about a spine.
    Canal(Arc<Canal>),
}

macro_rules! each {
    ($self:expr, $s:ident => $e:expr) => {
        match $self {
            Surface::Plane($s) => $e,
            Surface::Cylinder($s) => $e,
            Surface::Cone($s) => $e,
            Surface::Sphere($s) => $e,
            Surface::Torus($s) => $e,
            Surface::Canal($s) => $e,
        }
    };
}

impl Surface {
    /// Signed distance from the surface, mm: positive on the side of the normal (outside of turned
    /// surfaces). Exact everywhere; `|f(p) − f(q)| ≤ |p − q|`.
    #[inline]
    pub fn f(&self, p: P3) -> f64 {
        each!(self, s => s.f(p))
    }

    /// Gradient of [`Self::f`], a unit vector; on the surface it is the normal.
    #[inline]
    pub fn grad(&self, p: P3) -> V3 {
        each!(self, s => s.grad(p))
    }

    /// The nearest point of the surface.
    #[inline]
    pub fn closest(&self, p: P3) -> P3 {
        // The foot on a canal's spine takes long to find: both ask for the same one.
        if let Self::Canal(s) = self { s.closest(p) } else { p - self.grad(p) * self.f(p) }
    }

    /// The point at `(u, v)`. Plane: x, y. Cylinder: angle, height. Cone: angle, distance from the apex
    /// along the wall. Sphere: longitude, latitude. Torus: angle about the axis, angle about the ring. Canal: length
    /// along the spine, angle about it.
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
            Self::Canal(_) => (0.0, TAU),
        }
    }

    /// The surface's own frame: plane normal, axis of the turned ones along z.
    pub fn frame(&self) -> &super::Frame {
        match self {
            Self::Plane(s) => &s.frame,
            Self::Cylinder(s) => &s.frame,
            Self::Cone(s) => &s.frame,
            Self::Sphere(s) => &s.frame,
            Self::Torus(s) => &s.frame,
            Self::Canal(s) => s.frame(),
        }
    }

    /// The Hessian of [`Self::f`] at `p` times a vector: how fast the gradient turns when `p` moves.
    pub fn hessian_times(&self, p: P3, d: V3) -> V3 {
        self.distance_jet(p).turning(d)
    }

    /// The parallel surface at distance `by` on the positive side (negative: on the other). `None` where a radius
    /// would vanish.
    pub fn offset(&self, by: f64) -> Option<Self> {
        let offset = |radius: f64| (radius + by > ON_SURFACE).then_some(radius + by);
        Some(match self {
            Self::Plane(s) => Self::Plane(Plane { frame: s.frame.moved_to(s.frame.origin + s.frame.z * by) }),
            Self::Cylinder(s) => Self::Cylinder(Cylinder { radius: offset(s.radius)?, ..*s }),
            Self::Cone(s) => {
                let apex = s.frame.origin - s.frame.z * (by / s.half_angle.sin());
                Self::Cone(Cone { frame: s.frame.moved_to(apex), ..*s })
            }
            Self::Sphere(s) => Self::Sphere(Sphere { radius: offset(s.radius)?, ..*s }),
            Self::Torus(s) => Self::Torus(Torus { minor: offset(s.minor)?, ..*s }),
            Self::Canal(s) => {
                let radius = offset(s.radius)?;
                Self::Canal(Arc::new(Canal::new(s.spine.clone(), radius, s.offset.clone())))
            }
        })
    }

    /// An upper bound of the norm of the Hessian of [`Self::f`] within `reach` of `p`, 1/mm; infinite when
    /// the ball reaches the axis (or ring), where the distance has a kink.
    pub fn hessian_bound(&self, p: P3, reach: f64) -> f64 {
        self.distance_jet(p).second_bound(reach)
    }

    /// Whether the surface has an axis about which it is turned (all but the plane and the canal).
    pub fn is_turned(&self) -> bool {
        !matches!(self, Self::Plane(_) | Self::Canal(_))
    }
}
