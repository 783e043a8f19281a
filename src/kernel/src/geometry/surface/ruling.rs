//! Straight lines on planes, cylinders and cones.

use super::Surface;
use crate::geometry::{P3, V3};

/// The straight line of constant first parameter through a surface point, and the surface along it.
#[derive(Clone, Copy, Debug)]
pub struct Ruling {
    /// Second parameter of the point: distance along the line, mm.
    pub v: f64,
    /// Unit direction of rising second parameter.
    pub direction: V3,
    /// Unit direction of rising first parameter.
    pub tangent: V3,
    /// Unit normal, the same all along the line.
    pub normal: V3,
    /// Length per unit of the first parameter at the point; zero in a cone's apex.
    pub width: f64,
    /// Change of the width with the second parameter.
    pub spread: f64,
}

impl Surface {
    /// The ruling through `p`, which must lie on the surface; `None` on spheres, tori and canals. Parameters are
    /// those of [`Surface::point`].
    pub fn ruling(&self, p: P3) -> Option<Ruling> {
        let frame = self.frame();
        let d = p - frame.origin;
        if let Self::Plane(_) = self {
            let (direction, tangent, normal) = (frame.y, frame.x, frame.z);
            return Some(Ruling { v: d.dot(&frame.y), direction, tangent, normal, width: 1.0, spread: 0.0 });
        }
        let z = d.dot(&frame.z);
        let out = d - frame.z * z;
        let rho = out.norm();
        let radial = if rho > 0.0 { out / rho } else { frame.x };
        let tangent = frame.z.cross(&radial);
        match self {
            Self::Cylinder(s) => Some(Ruling {
                v: z,
                direction: frame.z,
                tangent,
                normal: radial,
                width: s.radius,
                spread: 0.0,
            }),
            Self::Cone(s) => {
                let (sn, cs) = s.half_angle.sin_cos();
                let v = rho * sn + z * cs;
                let direction = radial * sn + frame.z * cs;
                let normal = radial * cs - frame.z * sn;
                Some(Ruling { v, direction, tangent, normal, width: v * sn, spread: sn })
            }
            Self::Plane(_) | Self::Sphere(_) | Self::Torus(_) | Self::Canal(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Cylinder, Frame, Plane};

    #[test]
    fn rulings_agree_with_the_parameters() {
        let frame = Frame::from_z(P3::new(1.0, 2.0, 3.0), V3::new(0.3, -0.4, 0.8));
        let all = [
            Surface::Plane(Plane { frame }),
            Surface::Cylinder(Cylinder { frame, radius: 4.0 }),
            Surface::Cone(Cone { frame, half_angle: 0.4 }),
        ];
        for s in all {
            let (u, v, h) = (0.7, 5.0, 1e-6);
            let r = s.ruling(s.point(u, v)).expect("a ruled surface");
            let along = (s.point(u, v + h) - s.point(u, v - h)) / (2.0 * h);
            let across = (s.point(u + h, v) - s.point(u - h, v)) / (2.0 * h);
            let further = (s.point(u + h, v + 1.0) - s.point(u - h, v + 1.0)) / (2.0 * h);
            assert!((r.v - v).abs() < 1e-12, "{s:?}");
            assert!((r.direction - along).norm() < 1e-8, "{s:?}");
            assert!((r.tangent * r.width - across).norm() < 1e-8, "{s:?}");
            assert!((r.tangent * (r.width + r.spread) - further).norm() < 1e-8, "{s:?}");
            assert!((r.normal - s.grad(s.point(u, v))).norm() < 1e-12, "{s:?}");
        }
    }
}
