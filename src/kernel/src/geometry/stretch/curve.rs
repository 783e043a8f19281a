//! Curves under a stretch.

use super::Stretch;
use crate::geometry::{BSpline, Circle, Curve, Ellipse, Frame, Line, V3};
use crate::tolerance::ROUND_ELLIPSE;

impl Curve {
    /// The image under a stretch, exact, running the same way: of a line, circle or ellipse one of these, of a spline
    /// that of the stretched control points. Splines keep their parameters; the others are measured anew, so the
    /// parameter of an image point is to be asked of the image.
    #[must_use]
    pub fn stretched(&self, by: &Stretch) -> Self {
        if by.is_none() {
            return self.clone();
        }
        match self {
            Self::Line(c) => {
                Self::Line(Line { origin: by.point(c.origin), dir: by.vector(c.dir).normalize() })
            }
            Self::Circle(c) if by.keeps_round(c.frame.z) => {
                let frame = c.frame.moved_to(by.point(c.frame.origin));
                Self::Circle(Circle { frame, radius: c.radius * by.radial })
            }
            Self::Circle(c) => conic(by, &c.frame, c.radius, c.radius),
            Self::Ellipse(c) if by.keeps_round(c.frame.z) => {
                let frame = c.frame.moved_to(by.point(c.frame.origin));
                Self::Ellipse(Ellipse { frame, major: c.major * by.radial, minor: c.minor * by.radial })
            }
            Self::Ellipse(c) => conic(by, &c.frame, c.major, c.minor),
            Self::Spline(c) => {
                let control = c.control.iter().map(|p| by.point(*p)).collect();
                Self::Spline(BSpline { knots: c.knots.clone(), control })
            }
        }
    }
}

/// The image of an ellipse with half axes along the frame's x and y.
///
/// Half axes become conjugate half diameters p, q of the image p cos t + q sin t. Its squared length is
/// (p² + q²)/2 + (p² − q²)/2 · cos 2t + p·q sin 2t, greatest where tan 2t = 2 p·q/(p² − q²): there lies the major
/// half axis, and the minor one a quarter turn of t further.
fn conic(by: &Stretch, frame: &Frame, along_x: f64, along_y: f64) -> Curve {
    let (p, q) = (by.vector(frame.x * along_x), by.vector(frame.y * along_y));
    let t = 0.5 * (2.0 * p.dot(&q)).atan2(p.norm_squared() - q.norm_squared());
    let (s, c) = t.sin_cos();
    let long: V3 = p * c + q * s;
    let (major, minor) = (long.norm(), (q * c - p * s).norm());
    let frame = Frame::from_zx(by.point(frame.origin), p.cross(&q), long);
    if major - minor < ROUND_ELLIPSE * major {
        return Curve::Circle(Circle { frame, radius: 0.5 * (major + minor) });
    }
    Curve::Ellipse(Ellipse { frame, major, minor })
}
