//! Reference pairs for fits: points whose best plane, cylinder or cone by least squares is known beforehand.
//!
//! They are generated, since none of the registries' packages that were looked through carries published pairs: residuals are drawn,
//! and what the unknowns could take up is taken off them (null-space method; M. G. Cox and A. B. Forbes, National Physical Laboratory
//! report DITC 193/92, from memory). So the surface that was begun with is exactly the best one.

use nalgebra::{DMatrix, DVector};
use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use solidwright::geometry::{Frame, P3, V3};
use tailpattern::inspection::cone::{self, FittedCone};
use tailpattern::inspection::extremes;
use tailpattern::inspection::least_squares::{self, FittedCylinder};

/// Residuals of this size that no unknown takes up.
fn residuals(rows: &DMatrix<f64>, size: f64, draw: &mut impl FnMut() -> f64) -> DVector<f64> {
    let raw = DVector::from_iterator(rows.nrows(), (0..rows.nrows()).map(|_| size * draw()));
    let taken = (rows.transpose() * rows).lu().solve(&(rows.transpose() * &raw)).expect("independent");
    raw - rows * taken
}

#[test]
fn the_best_surface_is_the_one_that_the_points_were_made_from() {
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let mut draw = || 2.0 * random.random::<f64>() - 1.0;
    for case in 0..60 {
        let z = V3::new(draw(), draw(), draw() + 1.5);
        let origin = P3::new(500.0 * draw(), 500.0 * draw(), 500.0 * draw());
        let frame = Frame::from_zx(origin, z, V3::new(1.0, draw(), 0.2));
        // Few points and many, on little of the surface and on all of it.
        let count = [8, 12, 30, 200][case % 4];
        let share = [1.0, 0.5, 0.35][case % 3];
        let radius = 5.0 + 60.0 * draw().abs();
        let height = radius * (1.0 + draw().abs());
        let at: Vec<(f64, f64)> =
            (0..count).map(|_| (std::f64::consts::PI * share * draw(), height * draw())).collect();
        let size = 0.02;
        let flat = DMatrix::from_fn(count, 3, |i, j| [1.0, radius * at[i].0, at[i].1][j]);
        let off = residuals(&flat, size, &mut draw);
        let points: Vec<P3> =
            at.iter().enumerate().map(|(i, (a, b))| frame.point(radius * a, *b, off[i])).collect();
        let plane = least_squares::plane(&points, frame.z).expect("a plane");
        assert!(plane.z.cross(&frame.z).norm() < 1e-9, "case {case}: the plane's normal");
        assert!((plane.origin - origin).dot(&frame.z).abs() < 1e-7, "case {case}: the plane's place");

        let round = DMatrix::from_fn(count, 5, |i, j| {
            let (s, c) = at[i].0.sin_cos();
            [c, s, at[i].1 * c, at[i].1 * s, 1.0][j]
        });
        let off = residuals(&round, size, &mut draw);
        let points: Vec<P3> = at
            .iter()
            .enumerate()
            .map(|(i, (a, b))| frame.point((radius + off[i]) * a.cos(), (radius + off[i]) * a.sin(), *b))
            .collect();
        let near = Frame::from_zx(
            frame.point(0.05 * draw(), 0.05 * draw(), 0.0),
            frame.vector(0.002 * draw(), 0.002 * draw(), 1.0),
            frame.x,
        );
        let start = FittedCylinder { frame: near, radius: radius + 0.1 * draw() };
        let found = least_squares::cylinder(&points, &start).expect("a cylinder");
        // What rounding leaves grows as the points span less of the surface.
        let fine = 1e-6;
        let foot = frame.local(found.frame.origin);
        let slope = frame.z.cross(&found.frame.z).norm();
        assert!((found.radius - radius).abs() < fine, "case {case}: radius {} for {radius}", found.radius);
        assert!(slope < fine, "case {case}: direction {slope}");
        assert!(foot.x.hypot(foot.y) < fine + slope * foot.z.abs(), "case {case}: place {foot}");
    }
}

/// The same of cones: drafted walls of half a degree, lead-ins of 15 and 30 degrees, seats of 45. A residual changes with the axis's
/// foot by (cos φ cos a), with its slopes by (z cos a + r sin a) cos φ, with the radius by cos a, with the half angle by the height along the wall.
#[test]
fn the_best_cone_is_the_one_that_the_points_were_made_from() {
    let mut random = ChaCha8Rng::seed_from_u64(12);
    let mut draw = || 2.0 * random.random::<f64>() - 1.0;
    for case in 0..60 {
        let z = V3::new(draw(), draw(), draw() + 1.5);
        let origin = P3::new(500.0 * draw(), 500.0 * draw(), 500.0 * draw());
        let frame = Frame::from_zx(origin, z, V3::new(1.0, draw(), 0.2));
        let half_angle = [0.5_f64, 15.0, 30.0, 45.0, -15.0][case % 5].to_radians();
        let radius = 20.0 + 40.0 * draw().abs();
        let count = [12, 30, 200][case % 3];
        let share = [1.0, 0.6][case % 2];
        let at: Vec<(f64, f64)> =
            (0..count).map(|_| (std::f64::consts::PI * share * draw(), 0.4 * radius * draw())).collect();
        let (sin, cos) = half_angle.sin_cos();
        let wall = |height: f64| radius + height * half_angle.tan();
        let rows = DMatrix::from_fn(count, 6, |i, j| {
            let (s, c) = at[i].0.sin_cos();
            let tilt = at[i].1 * cos + wall(at[i].1) * sin;
            [c * cos, s * cos, tilt * c, tilt * s, cos, at[i].1 / cos][j]
        });
        let off = residuals(&rows, 0.02, &mut draw);
        let points: Vec<P3> = at
            .iter()
            .enumerate()
            .map(|(i, (a, h))| {
                let r = wall(*h) + off[i] * cos;
                frame.point(r * a.cos(), r * a.sin(), h - off[i] * sin)
            })
            .collect();
        let near = Frame::from_zx(
            frame.point(0.05 * draw(), 0.05 * draw(), 0.0),
            frame.vector(0.002 * draw(), 0.002 * draw(), 1.0),
            frame.x,
        );
        let start = FittedCone {
            frame: near,
            radius: radius + 0.1 * draw(),
            half_angle: half_angle + 0.003 * draw(),
        };
        let found = cone::cone(&points, &start).expect("a cone");
        let fine = 1e-6;
        let foot = frame.local(found.frame.origin);
        let slope = frame.z.cross(&found.frame.z).norm();
        assert!((found.radius - wall(foot.z)).abs() < fine, "case {case}: {found:?} for {}", wall(foot.z));
        assert!((found.half_angle - half_angle).abs() < 1e-7, "case {case}: {found:?}");
        assert!(slope < fine, "case {case}: direction {slope}");
        assert!(foot.x.hypot(foot.y) < fine + slope * foot.z.abs(), "case {case}: place {foot}");
        // The narrowest zone is no wider than the one about the best cone by least squares.
        let all: Vec<f64> = points.iter().map(|p| found.distance(*p)).collect();
        let about =
            all.iter().copied().fold(f64::MIN, f64::max) - all.iter().copied().fold(f64::MAX, f64::min);
        let zone = extremes::cone(&points, &found).width();
        assert!(zone <= about + 1e-9 && zone > 0.25 * about, "case {case}: {zone} within {about}");
    }
}

/// By hand: points of a cone, alternately 0.01 outside and inside along each of four circles of 24: no cone has them in a zone narrower
/// than 0.02, since neighbours alternate.
#[test]
fn a_waved_cone_has_its_waves_as_its_zone() {
    let half_angle = 15.0_f64.to_radians();
    let direction = V3::new(0.1, 0.2, 1.0);
    let frame = Frame::from_z(P3::new(3.0, 4.0, 5.0), direction);
    let mut points = Vec::new();
    for z in [0.0, 4.0, 8.0, 12.0] {
        for k in 0..24 {
            let a = std::f64::consts::TAU * f64::from(k) / 24.0;
            let off = if k % 2 == 0 { 0.01 } else { -0.01 };
            let r = 20.0 + z * half_angle.tan() + off * half_angle.cos();
            points.push(frame.point(r * a.cos(), r * a.sin(), z - off * half_angle.sin()));
        }
    }
    let near = Frame::from_z(P3::new(3.01, 3.99, 5.0), V3::new(0.1003, 0.1997, 1.0));
    let zone = extremes::cone(&points, &FittedCone { frame: near, radius: 20.02, half_angle: 0.26 });
    assert!((zone.width() - 0.02).abs() < 1e-6, "{zone:?}");
    assert!((zone.half_angle - half_angle).abs() < 1e-3, "{zone:?}");
}
