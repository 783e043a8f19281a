//! Reference pairs for fits: points whose best plane or cylinder by least squares is known beforehand.
//!
//! They are generated, since none of the registries' packages that were looked through carries published pairs: residuals are drawn,
//! and what the unknowns could take up is taken off them (null-space method; M. G. Cox and A. B. Forbes, National Physical Laboratory
//! report DITC 193/92, from memory). So the surface that was begun with is exactly the best one.

use nalgebra::{DMatrix, DVector};
use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use solidwright::geometry::{Frame, P3, V3};
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
