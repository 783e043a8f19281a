//! Spines on crossing cylinders, whose curve is known in closed form.

use super::*;
use crate::geometry::{Cylinder, Frame};

/// The curve of two crossing cylinders of radii 20 and 8 (x = 8 cos u, y = 8 sin u, z = √(400 − y²)), and both of them.
fn of_crossing_cylinders() -> (Spine, Surface, Surface) {
    let a =
        Surface::Cylinder(Cylinder { frame: Frame::from_zx(P3::origin(), V3::x(), V3::y()), radius: 20.0 });
    let b = Surface::Cylinder(Cylinder { frame: Frame::world(), radius: 8.0 });
    let exact = |u: f64| {
        let y = 8.0 * u.sin();
        P3::new(8.0 * u.cos(), y, (400.0 - y * y).sqrt())
    };
    let marks: Vec<P3> = (0..=6).map(|i| exact(f64::from(i) * 0.3)).collect();
    let s = Spine::along(&a, &b, &marks).expect("a spine");
    (s, a, b)
}

#[test]
fn follows_the_curve_of_two_crossing_cylinders() {
    let (s, a, b) = of_crossing_cylinders();
    for i in 0..200 {
        let t = s.length() * (0.001 + 0.998 * f64::from(i) / 199.0);
        let j = s.jet(t);
        assert!(a.f(j.point).abs() < 5e-10 && b.f(j.point).abs() < 5e-10, "off the surfaces at {t}");
        assert!((j.first.norm() - 1.0).abs() < 1e-7, "speed {} at {t}", j.first.norm());
        let e = 1e-4;
        let slope = (s.point(t + e) - s.point(t - e)) / (2.0 * e);
        assert!((slope - j.first).norm() < 1e-6, "first derivative at {t}");
    }
    let p = s.point(3.21) + s.jet(3.21).first.cross(&V3::x()) * 2.0;
    assert!((s.nearest(p) - 3.21).abs() < 1e-9, "nearest point");
}

/// A point nearly as far from the curve as the middle about which it turns there: its distance hardly changes along the curve, and
/// is least where the point lies straight beside it all the same.
#[test]
fn the_nearest_place_of_a_point_near_the_middle_of_the_turn() {
    let (s, ..) = of_crossing_cylinders();
    for share in [0.9, 0.95, 0.97, 0.99] {
        for t in [2.3, 4.1, 6.7] {
            let j = s.jet(t);
            let bend = j.second - j.first * (j.second.dot(&j.first) / j.first.norm_squared());
            let p = j.point + bend * (share / bend.norm_squared());
            let found = s.nearest(p);
            let square = (p - s.point(found)).dot(&s.jet(found).first);
            assert!(square.abs() < 1e-9, "{share} at {t}: {square} off the square");
            assert!((p - s.point(found)).norm() <= (p - j.point).norm() + 1e-12, "{share} at {t}: farther");
        }
    }
}

/// Sought from a place beside it, the nearest place of a point of a tube is the one that is found without; where a section of the tube all
/// but meets its neighbours, before the start and off the tube nothing is told.
#[test]
fn beside_a_known_place_the_same_one_is_found() {
    let (s, _, _) = of_crossing_cylinders();
    let (radius, off) = (2.0, 1e-6);
    for i in 1..40 {
        let t = s.length() * f64::from(i) / 40.0;
        let j = s.jet(t);
        let side = j.first.cross(&V3::x()).normalize();
        for turn in [0.0, 1.7, 3.9] {
            let across = nalgebra::Rotation3::new(j.first.normalize() * turn) * side;
            let p = j.point + across * radius;
            for from in [t - 0.3, t, t + 0.3].map(|f| f.clamp(0.0, s.length())) {
                let found = s.nearest_beside(p, from, radius, off).expect("a place");
                assert!((found - s.nearest(p)).abs() < 1e-9, "{found} for {t}");
            }
            assert!(s.nearest_beside(p, t, radius + 1e-3, off).is_none(), "off the tube");
        }
    }
    let j = s.jet(3.0);
    let (towards, bend) = (j.second.normalize(), j.second.norm());
    let middle = j.point + towards * (0.995 / bend);
    assert!(s.nearest_beside(middle, 3.0, 0.995 / bend, off).is_none(), "sections meet");
    let before = s.point(0.0) - s.jet(0.0).first * 0.5;
    assert!(s.nearest_beside(before, 0.1, 0.5, off).is_none(), "before the start");
}

/// A vertex found where a third surface runs on smoothly from one of the two is off the other by some hundredths of a micrometre, as
/// on drawn housings: the end is put on both. What is off by more than vertices that are made one is none of the curve's.
#[test]
fn an_end_a_little_off_the_surfaces_is_put_on_them() {
    let (whole, a, b) = of_crossing_cylinders();
    let mut marks: Vec<P3> = (0..=6).map(|i| whole.point(whole.length() * f64::from(i) / 6.0)).collect();
    let first = marks[0];
    for (off, found) in [(2.7e-8, true), (4e-7, true), (2e-5, false)] {
        marks[0] = first + a.grad(first) * off;
        let spine = Spine::along(&a, &b, &marks);
        assert_eq!(spine.is_some(), found, "{off} off");
        let Some(spine) = spine else { continue };
        let start = spine.point(0.0);
        assert!(a.f(start).abs() < ON_SURFACE && b.f(start).abs() < ON_SURFACE, "{off}: on both");
        assert!((start - marks[0]).norm() < 2.0 * off, "{off}: no farther than it was off");
    }
}
