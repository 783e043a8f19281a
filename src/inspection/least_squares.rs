//! Lines, planes, circles and cylinders by least squares.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra_of_fits::storage::Owned;
use nalgebra_of_fits::{DVector, Dyn, OMatrix, U5, Vector5};
use solidwright::geometry::{Frame, P3, V3};

/// An axis along the frame's z, and a radius, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedCylinder {
    /// Axis along z.
    pub frame: Frame,
    /// Radius, mm.
    pub radius: f64,
}

/// The middle of points, mm.
pub(super) fn middle(points: &[P3]) -> P3 {
    P3::from(points.iter().map(|p| p.coords).sum::<V3>() / points.len().max(1) as f64)
}

/// The middle one of some values, by size; none of no values.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// The plane with the least sum of squared distances: through the middle of the points, its normal the direction in which they
/// scatter least (eigenvector of their scatter matrix). The normal is turned to the side of `outward`. `None` for points on
/// one line.
pub fn plane(points: &[P3], outward: V3) -> Option<Frame> {
    if points.len() < 3 {
        return None;
    }
    let middle = middle(points);
    let scatter: nalgebra::Matrix3<f64> =
        points.iter().map(|p| (p - middle) * (p - middle).transpose()).sum();
    let eigen = scatter.symmetric_eigen();
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]));
    // Points on one line scatter in one direction only.
    if eigen.eigenvalues[order[1]] <= 1e-9 * eigen.eigenvalues[order[2]] {
        return None;
    }
    let normal: V3 = eigen.eigenvectors.column(order[0]).into();
    let normal = if normal.dot(&outward) < 0.0 { -normal } else { normal };
    Some(Frame::from_z(middle, normal))
}

/// The circle with the least sum of squared distances, seen along a frame's z, as a cylinder of that direction: by Newton's method on the
/// distances (Gauss and Newton) from the frame's origin, which lies near its centre. `None` where the points do not determine one.
pub fn circle(points: &[P3], start: &Frame) -> Option<FittedCylinder> {
    const STEPS: usize = 100;
    const FINE: f64 = 1e-13;
    if points.len() < 3 {
        return None;
    }
    let local: Vec<P3> = points.iter().map(|p| start.local(*p)).collect();
    let size = local.iter().map(|q| q.x.hypot(q.y)).fold(0.0, f64::max).max(1.0);
    let radius_of =
        |x: f64, y: f64| local.iter().map(|q| (q.x - x).hypot(q.y - y)).sum::<f64>() / local.len() as f64;
    let (mut x, mut y) = (0.0, 0.0);
    for _ in 0..STEPS {
        let radius = radius_of(x, y);
        let mut normal = nalgebra::Matrix3::zeros();
        let mut right = V3::zeros();
        for q in &local {
            let (u, v) = (q.x - x, q.y - y);
            let from = u.hypot(v);
            if from <= 0.0 {
                return None;
            }
            let row = V3::new(-u / from, -v / from, -1.0);
            normal += row * row.transpose();
            right -= row * (from - radius);
        }
        let step = normal.lu().solve(&right)?;
        if !step.iter().all(|s| s.is_finite()) {
            return None;
        }
        (x, y) = (x + step.x, y + step.y);
        if step.x.hypot(step.y) < FINE * size {
            break;
        }
    }
    Some(FittedCylinder { frame: start.moved_to(start.point(x, y, 0.0)), radius: radius_of(x, y) })
}

/// The line with the least sum of squared distances: through the middle of the points, along the direction in which they scatter most
/// (eigenvector of their scatter matrix); z along it, to the side of `along`. `None` for points in one place.
pub fn line(points: &[P3], along: V3) -> Option<Frame> {
    let middle = middle(points);
    let scatter: nalgebra::Matrix3<f64> =
        points.iter().map(|p| (p - middle) * (p - middle).transpose()).sum();
    let eigen = scatter.symmetric_eigen();
    let most = (0..3).max_by(|a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]))?;
    if points.len() < 2 || eigen.eigenvalues[most] <= 0.0 {
        return None;
    }
    let direction: V3 = eigen.eigenvectors.column(most).into();
    Some(Frame::from_z(middle, if direction.dot(&along) < 0.0 { -direction } else { direction }))
}

/// The cylinder with the least sum of squared distances, by the method of Levenberg and Marquardt from a start near it.
/// `None` where the points do not determine one.
pub fn cylinder(points: &[P3], start: &FittedCylinder) -> Option<FittedCylinder> {
    if points.len() < 5 {
        return None;
    }
    // Unknowns are small in a frame that stands at the points' middle.
    let axis = start.frame;
    let along = (middle(points) - axis.origin).dot(&axis.z);
    let frame = axis.moved_to(axis.origin + axis.z * along);
    let local: Vec<P3> = points.iter().map(|p| frame.local(*p)).collect();
    let problem = Cylinder { points: local, unknown: Vector5::new(0.0, 0.0, 0.0, 0.0, start.radius) };
    let method = LevenbergMarquardt::new().with_ftol(1e-15).with_xtol(1e-15).with_gtol(1e-15);
    let (solved, report) = method.minimize(problem);
    let u = solved.unknown;
    let finite = u.iter().all(|x| x.is_finite());
    // At the limit of rounding the method may stop without meeting its own tolerance: the place is good all the same.
    if !finite || report.objective_function.is_nan() || u[4] <= 0.0 || u[2].hypot(u[3]) > 0.5 {
        return None;
    }
    let direction = frame.vector(u[2], u[3], 1.0);
    let radius = u[4];
    Some(FittedCylinder { frame: Frame::from_zx(frame.point(u[0], u[1], 0.0), direction, frame.x), radius })
}

/// Unknowns: where the axis passes through the frame's plane (two), its slopes (two), the radius.
struct Cylinder {
    points: Vec<P3>,
    unknown: Vector5<f64>,
}

impl Cylinder {
    /// From the axis's foot to a point, crossed with the axis's direction; and that direction.
    fn crossed(&self, p: &P3) -> (V3, V3, V3) {
        let u = &self.unknown;
        let (from, direction) = (V3::new(p.x - u[0], p.y - u[1], p.z), V3::new(u[2], u[3], 1.0));
        (from, direction, from.cross(&direction))
    }
}

impl LeastSquaresProblem<f64, Dyn, U5> for Cylinder {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U5>;
    type ParameterStorage = Owned<f64, U5>;

    fn set_params(&mut self, x: &Vector5<f64>) {
        self.unknown = *x;
    }

    fn params(&self) -> Vector5<f64> {
        self.unknown
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let distance = |p: &P3| {
            let (_, direction, crossed) = self.crossed(p);
            crossed.norm() / direction.norm() - self.unknown[4]
        };
        Some(DVector::from_iterator(self.points.len(), self.points.iter().map(distance)))
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U5>> {
        let mut out = OMatrix::<f64, Dyn, U5>::zeros(self.points.len());
        for (k, p) in self.points.iter().enumerate() {
            let (from, direction, crossed) = self.crossed(p);
            let (long, size) = (direction.norm(), crossed.norm());
            if size <= 0.0 {
                return None;
            }
            let by = |moved: V3| crossed.dot(&moved) / (size * long);
            out[(k, 0)] = by(-V3::x().cross(&direction));
            out[(k, 1)] = by(-V3::y().cross(&direction));
            let turned = |axis: V3, slope: f64| by(from.cross(&axis)) - size * slope / long.powi(3);
            out[(k, 2)] = turned(V3::x(), direction.x);
            out[(k, 3)] = turned(V3::y(), direction.y);
            out[(k, 4)] = -1.0;
        }
        Some(out)
    }
}
