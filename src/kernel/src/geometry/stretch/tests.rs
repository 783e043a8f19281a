use super::*;
use crate::geometry::{
    BSpline, Circle, Cone, Curve, Cylinder, Ellipse, Frame, Line, Plane, Sphere, Surface, Torus,
};

fn askew() -> Frame {
    Frame::from_zx(P3::new(11.0, -7.0, 23.0), V3::new(0.3, -0.5, 0.8), V3::new(1.0, 0.2, 0.1))
}

/// About an axis along X that is not the X axis.
fn along_x() -> Frame {
    Frame::from_zx(P3::new(11.0, -7.0, 23.0), V3::x(), V3::new(0.0, 0.6, 0.8))
}

fn stretches() -> [Stretch; 3] {
    [(1.013, 1.013), (1.013, 1.008), (0.7, 1.6)].map(|(a, r)| Stretch::new(a, r).expect("two factors"))
}

#[test]
fn factors_that_no_pattern_has_are_refused() {
    for factor in [0.0, -1.0, 0.49, 2.1, f64::NAN, f64::INFINITY] {
        let error = Stretch::new(1.0, factor).expect_err("a bad factor");
        assert_eq!(error.direction, "radial", "{error}");
        assert_eq!(Stretch::new(factor, 1.0).expect_err("a bad factor").direction, "axial", "{factor}");
    }
    assert!(Stretch::NONE.is_none() && Stretch::NONE.is_uniform(), "no change is uniform");
    let both = Stretch::uniform(1.013).expect("one factor");
    assert!(both.is_uniform() && !both.is_none(), "{both:?}");
    assert!(!Stretch::new(1.013, 1.012).expect("two factors").is_uniform(), "two factors");
}

#[test]
fn points_areas_and_volumes_grow_together() {
    for by in stretches() {
        let (a, b, c) = (V3::new(1.0, 2.0, -0.5), V3::new(0.3, -1.0, 2.0), V3::new(-2.0, 0.1, 0.4));
        let area = by.vector(a).cross(&by.vector(b));
        assert!((by.area_vector(a.cross(&b)) - area).norm() < 1e-14, "area of {by:?}");
        let volume = by.vector(c).dot(&area) / c.dot(&a.cross(&b));
        assert!((volume - by.volume_factor()).abs() < 1e-14, "volume of {by:?}");
        let n = by.normal(a.cross(&b));
        assert!((n - area.normalize()).norm() < 1e-15, "normal of {by:?}");
        let p = P3::new(3.0, -4.0, 5.0);
        assert!((by.source(by.point(p)) - p).norm() < 1e-14, "there and back by {by:?}");
    }
}

#[test]
fn ellipse_axes_have_their_closed_form() {
    // A circle about Y: half axes along X and Z.
    let by = Stretch::new(1.5, 1.2).expect("two factors");
    let circle = Circle { frame: Frame::from_z(P3::new(1.0, 2.0, 3.0), V3::y()), radius: 10.0 };
    let Curve::Ellipse(image) = Curve::Circle(circle).stretched(&by) else { panic!("an ellipse") };
    assert!((image.major - 15.0).abs() < 1e-14 && (image.minor - 12.0).abs() < 1e-14, "{image:?}");
    assert!((image.frame.x.x.abs() - 1.0).abs() < 1e-15, "the major axis lies along X: {image:?}");
    assert!((image.frame.origin - P3::new(1.5, 2.4, 3.6)).norm() < 1e-15, "centre of {image:?}");
    // In a plane that leans by an angle from X: half axes r·√(a²cos² + r²sin²) along the slope, r·radial across.
    let lean: f64 = 0.4;
    let tilted = Frame::from_z(P3::origin(), V3::new(-lean.sin(), lean.cos(), 0.0));
    let Curve::Ellipse(image) = Curve::Circle(Circle { frame: tilted, radius: 10.0 }).stretched(&by) else {
        panic!("an ellipse")
    };
    let slope = 10.0 * (1.5 * lean.cos()).hypot(1.2 * lean.sin());
    assert!((image.major - slope).abs() < 1e-13 && (image.minor - 12.0).abs() < 1e-13, "{image:?}");
    // An ellipse that the map makes round.
    let frame = Frame { origin: P3::origin(), x: V3::y(), y: -V3::x(), z: V3::z() };
    let oval = Curve::Ellipse(Ellipse { frame, major: 15.0, minor: 12.0 });
    let Curve::Circle(image) = oval.stretched(&by) else { panic!("a circle") };
    assert!((image.radius - 18.0).abs() < 1e-13, "{image:?}");
}

#[test]
fn curves_are_the_images_of_their_points_and_run_the_same_way() {
    let params = [0.0, 0.5, 1.2, 2.0, 3.0, 4.5, 6.0];
    let path = |t: f64| P3::new(t.cos() * 5.0, 3.0 * t, t * t);
    let points: Vec<P3> = params.iter().map(|t| path(*t)).collect();
    let spline = BSpline::through(&params, &points, V3::new(0.0, 3.0, 0.0), V3::new(1.4, 3.0, 12.0));
    for frame in [askew(), along_x()] {
        let curves = [
            Curve::Line(Line { origin: frame.origin, dir: frame.x }),
            Curve::Circle(Circle { frame, radius: 8.0 }),
            Curve::Ellipse(Ellipse { frame, major: 9.0, minor: 4.0 }),
            Curve::Spline(spline.clone()),
        ];
        for (by, curve) in stretches().iter().flat_map(|by| curves.iter().map(move |c| (by, c))) {
            let image = curve.stretched(by);
            for t in params {
                let want = by.point(curve.point(t));
                let at = image.param(want);
                assert!((image.point(at) - want).norm() < 1e-12, "{by:?} {curve:?} at {t}");
                let (slope, image_slope) = (by.vector(curve.derivative(t)), image.derivative(at));
                let turned = slope.normalize() - image_slope.normalize();
                assert!(turned.norm() < 1e-9, "{by:?} {curve:?} runs the same way at {t}");
            }
        }
    }
}

#[test]
fn surfaces_are_the_images_of_their_points_with_the_same_sides() {
    for (by, frame) in stretches().into_iter().flat_map(|by| [askew(), along_x()].map(|f| (by, f))) {
        let plane = Plane { frame };
        let cylinder = Cylinder { frame, radius: 6.0 };
        let cone = Cone { frame, half_angle: 0.3 };
        let sphere = Sphere { frame, radius: 6.0 };
        let torus = Torus { frame, major: 9.0, minor: 2.0 };
        let pairs = [
            (Surface::Plane(plane), Some(Surface::Plane(plane.stretched(&by)))),
            (Surface::Cylinder(cylinder), cylinder.stretched(&by).map(Surface::Cylinder)),
            (Surface::Cone(cone), cone.stretched(&by).map(Surface::Cone)),
            (Surface::Sphere(sphere), sphere.stretched(&by).map(Surface::Sphere)),
            (Surface::Torus(torus), torus.stretched(&by).map(Surface::Torus)),
        ];
        let kept = pairs.iter().filter(|(_, image)| image.is_some()).count();
        let expected = if by.is_uniform() { 5 } else { 1 + 2 * usize::from(frame == along_x()) };
        assert_eq!(kept, expected, "kinds kept by {by:?}");
        for (surface, image) in pairs {
            let Some(image) = image else { continue };
            for (u, v) in [(0.2, 1.0), (-2.0, 0.4), (1.5, 7.0)] {
                let p = surface.point(u, v);
                let q = by.point(p);
                assert!(image.f(q).abs() < 1e-12, "{by:?} {surface:?} at {u} {v}");
                let turned = image.grad(q) - by.normal(surface.grad(p));
                assert!(turned.norm() < 1e-12, "{by:?} {surface:?}: sides at {u} {v}");
            }
        }
    }
}
