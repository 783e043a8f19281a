//! Surfaces under a stretch. Angle zero stays in the image of where it was, and the sides stay what they were.

use super::Stretch;
use crate::geometry::{Cone, Cylinder, Frame, Plane, Sphere, Torus};

impl Plane {
    /// The image under a stretch.
    #[must_use]
    pub fn stretched(&self, by: &Stretch) -> Self {
        if by.is_none() {
            return *self;
        }
        let (origin, normal) = (by.point(self.frame.origin), by.normal(self.frame.z));
        Self { frame: Frame::from_zx(origin, normal, by.vector(self.frame.x)) }
    }
}

impl Cylinder {
    /// The image under a stretch where it is a circular cylinder: of any cylinder where the stretch is uniform, else
    /// where the axis lies along X.
    pub fn stretched(&self, by: &Stretch) -> Option<Self> {
        let frame = self.frame.moved_to(by.point(self.frame.origin));
        by.keeps_round(frame.z).then_some(Self { frame, radius: self.radius * by.radial })
    }
}

impl Cone {
    /// The image under a stretch where it is a circular cone: where that of a cylinder is one.
    pub fn stretched(&self, by: &Stretch) -> Option<Self> {
        let frame = self.frame.moved_to(by.point(self.frame.origin));
        let slope = self.half_angle.tan() * (by.radial / by.axial);
        let half_angle = if by.is_uniform() { self.half_angle } else { slope.atan() };
        by.keeps_round(frame.z).then_some(Self { frame, half_angle })
    }
}

impl Sphere {
    /// The image under a stretch, a sphere only where the stretch is uniform.
    pub fn stretched(&self, by: &Stretch) -> Option<Self> {
        let frame = self.frame.moved_to(by.point(self.frame.origin));
        by.is_uniform().then_some(Self { frame, radius: self.radius * by.radial })
    }
}

impl Torus {
    /// The image under a stretch, a torus only where the stretch is uniform.
    pub fn stretched(&self, by: &Stretch) -> Option<Self> {
        let frame = self.frame.moved_to(by.point(self.frame.origin));
        let (major, minor) = (self.major * by.radial, self.minor * by.radial);
        by.is_uniform().then_some(Self { frame, major, minor })
    }
}
