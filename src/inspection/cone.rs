//! Cones by least squares: conical seats, lead-ins, drafted bores.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra_of_fits::storage::Owned;
use nalgebra_of_fits::{DVector, Dyn, OMatrix, U6, Vector6};
use solidwright::geometry::{Frame, P3, V3};

use super::least_squares::middle;

/// A cone about the z of a frame: its radius at the frame's origin, and how it grows along z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedCone {
    /// Axis along z.
    pub frame: Frame,
    /// Radius where the axis passes the frame's origin, mm.
    pub radius: f64,
    /// Angle between axis and wall, radians; below zero where the cone narrows along z.
    pub half_angle: f64,
}

impl FittedCone {
    /// The signed distance of a point from the wall, square to it, mm: above zero outside.
    pub fn distance(&self, p: P3) -> f64 {
        let q = self.frame.local(p);
        let (sin, cos) = self.half_angle.sin_cos();
        (q.x.hypot(q.y) - self.radius) * cos - q.z * sin
    }

    /// The same cone with its radius told at another place of its axis, `along` its z, mm.
    #[must_use]
    pub fn at(&self, along: f64) -> Self {
        let frame = self.frame.moved_to(self.frame.point(0.0, 0.0, along));
        Self { frame, radius: self.radius + along * self.half_angle.tan(), ..*self }
    }
}

/// The cone with the least sum of squared distances, by the method of Levenberg and Marquardt from a start near it. `None` where the
/// points do not determine one. Its radius is told at the height of the points' middle.
pub fn cone(points: &[P3], start: &FittedCone) -> Option<FittedCone> {
    const LEAST_POINTS: usize = 6;
    // Steeper ones are planes, and turned further they are another cone.
    const STEEP: f64 = 1.5;
    const TURNED: f64 = 0.5;
    if points.len() < LEAST_POINTS {
        return None;
    }
    // Unknowns are small in a frame that stands at the points' middle.
    let begun = start.at(start.frame.local(middle(points)).z);
    let local: Vec<P3> = points.iter().map(|p| begun.frame.local(*p)).collect();
    let unknown = Vector6::new(0.0, 0.0, 0.0, 0.0, begun.radius, begun.half_angle);
    let method = LevenbergMarquardt::new().with_ftol(1e-15).with_xtol(1e-15).with_gtol(1e-15);
    let (solved, report) = method.minimize(Cone { points: local, unknown });
    let u = solved.unknown;
    let finite = u.iter().all(|x| x.is_finite()) && !report.objective_function.is_nan();
    if !finite || u[4] <= 0.0 || u[5].abs() > STEEP || u[2].hypot(u[3]) > TURNED {
        return None;
    }
    let frame = begun.frame;
    let found = Frame::from_zx(frame.point(u[0], u[1], 0.0), frame.vector(u[2], u[3], 1.0), frame.x);
    Some(FittedCone { frame: found, radius: u[4], half_angle: u[5] })
}

/// Unknowns: where the axis passes through the frame's plane (two), its slopes (two), the radius there, the half angle.
struct Cone {
    points: Vec<P3>,
    unknown: Vector6<f64>,
}

/// A point as an axis sees it.
struct Seen {
    /// From the axis's foot.
    from: V3,
    /// The axis's direction, not of unit length.
    direction: V3,
    /// `from` crossed with it.
    crossed: V3,
    /// Distance from the axis, and height along it.
    radial: f64,
    height: f64,
}

impl Cone {
    fn seen(&self, p: &P3) -> Seen {
        let u = &self.unknown;
        let (from, direction) = (V3::new(p.x - u[0], p.y - u[1], p.z), V3::new(u[2], u[3], 1.0));
        let (crossed, long) = (from.cross(&direction), direction.norm());
        Seen { from, direction, crossed, radial: crossed.norm() / long, height: from.dot(&direction) / long }
    }
}

impl LeastSquaresProblem<f64, Dyn, U6> for Cone {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U6>;
    type ParameterStorage = Owned<f64, U6>;

    fn set_params(&mut self, x: &Vector6<f64>) {
        self.unknown = *x;
    }

    fn params(&self) -> Vector6<f64> {
        self.unknown
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let (sin, cos) = self.unknown[5].sin_cos();
        let distance = |p: &P3| {
            let seen = self.seen(p);
            (seen.radial - self.unknown[4]) * cos - seen.height * sin
        };
        Some(DVector::from_iterator(self.points.len(), self.points.iter().map(distance)))
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U6>> {
        let mut out = OMatrix::<f64, Dyn, U6>::zeros(self.points.len());
        let (sin, cos) = self.unknown[5].sin_cos();
        for (k, p) in self.points.iter().enumerate() {
            let Seen { from, direction, crossed, radial, height } = self.seen(p);
            let (long, size) = (direction.norm(), crossed.norm());
            if size <= 0.0 {
                return None;
            }
            let by = |moved: V3| crossed.dot(&moved) / (size * long);
            for (column, axis) in [V3::x(), V3::y()].into_iter().enumerate() {
                out[(k, column)] = -cos * by(axis.cross(&direction)) + sin * direction[column] / long;
                let slope = direction[column] / (long * long);
                let farther = by(from.cross(&axis)) - radial * slope;
                let higher = from[column] / long - height * slope;
                out[(k, 2 + column)] = cos * farther - sin * higher;
            }
            out[(k, 4)] = -cos;
            out[(k, 5)] = -sin * (radial - self.unknown[4]) - cos * height;
        }
        Some(out)
    }
}
