//! Whether two surfaces are the same set of points.

use super::Surface;
use crate::geometry::P3;
use crate::tolerance::{APEX_SINE, PARALLEL, SAME};

impl Surface {
    /// Whether the two are one surface everywhere within `size` of the point `near`, to [`SAME`].
    /// `Some(true)`: and the normals agree; `Some(false)`: and the normals oppose (planes only).
    pub fn same_as(&self, other: &Self, near: P3, size: f64) -> Option<bool> {
        let parallel = |a: &Self, b: &Self| {
            let c = a.frame().z.cross(&b.frame().z).norm();
            c * size < SAME || c < PARALLEL
        };
        let ok = match (self, other) {
            (Self::Plane(a), Self::Plane(b)) => {
                let foot = self.closest(near);
                if parallel(self, other) && b.f(foot).abs() < SAME {
                    return Some(a.frame.z.dot(&b.frame.z) > 0.0);
                }
                false
            }
            (Self::Cylinder(a), Self::Cylinder(b)) => {
                let d = near - a.frame.origin;
                let on_axis = a.frame.origin + a.frame.z * d.dot(&a.frame.z);
                parallel(self, other) && (a.radius - b.radius).abs() < SAME && b.axis_distance(on_axis) < SAME
            }
            (Self::Cone(a), Self::Cone(b)) => {
                let reach = (near - a.frame.origin).norm() + size;
                parallel(self, other)
                    && a.frame.z.dot(&b.frame.z) > 0.0
                    && (a.half_angle - b.half_angle).abs() * reach < SAME
                    && (a.frame.origin - b.frame.origin).norm()
                        < SAME / a.half_angle.sin().clamp(APEX_SINE.0, APEX_SINE.1)
                    && same_near(self, other, near)
            }
            (Self::Sphere(a), Self::Sphere(b)) => {
                (a.frame.origin - b.frame.origin).norm() < SAME && (a.radius - b.radius).abs() < SAME
            }
            (Self::Torus(a), Self::Torus(b)) => {
                parallel(self, other)
                    && (a.frame.origin - b.frame.origin).norm() < SAME
                    && (a.major - b.major).abs() < SAME
                    && (a.minor - b.minor).abs() < SAME
            }
            (Self::Canal(a), Self::Canal(b)) => std::sync::Arc::ptr_eq(a, b),
            _ => false,
        };
        ok.then_some(true)
    }
}

/// Three feet of the point on the one surface lie on the other.
fn same_near(a: &Surface, b: &Surface, near: P3) -> bool {
    let frame = a.frame();
    [frame.x, frame.y, -frame.x - frame.y].iter().all(|d| {
        let q = a.closest(near + d * 10.0);
        b.f(q).abs() < SAME
    })
}
