//! Stock: how far a place of the raw casting stands out of the finished surface.

use super::elements::ElementShape;
use solidwright::geometry::{P3, V3};

/// Stock at a place over a finished surface, mm, below zero where metal is missing; and the direction out of the finished metal there.
pub(super) fn stock(shape: &ElementShape, p: P3) -> (f64, V3) {
    match *shape {
        ElementShape::Plane { point, outward } | ElementShape::Drafted { point, outward } => {
            ((p - point).dot(&outward), outward)
        }
        ElementShape::Cylinder { point, axis, radius, hole, .. } => {
            let off = p - point;
            let radial = off - axis * off.dot(&axis);
            let size = radial.norm();
            let outward = radial / size.max(f64::MIN_POSITIVE);
            if hole { (radius - size, -outward) } else { (size - radius, outward) }
        }
        ElementShape::Cone { point, axis, radius, half_angle, hole } => {
            let off = p - point;
            let height = off.dot(&axis);
            let radial = off - axis * height;
            let size = radial.norm();
            let (sin, cos) = half_angle.sin_cos();
            let outward = radial * (cos / size.max(f64::MIN_POSITIVE)) - axis * sin;
            let distance = (size - radius) * cos - height * sin;
            if hole { (-distance, -outward) } else { (distance, outward) }
        }
    }
}
