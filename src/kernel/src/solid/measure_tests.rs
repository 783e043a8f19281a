//! Closed forms: Beer, Johnston, Mazurek, "Vector Mechanics for Engineers: Statics", the tables of
//! centroids and mass moments of inertia of common shapes.

use std::f64::consts::PI;

use super::*;
use crate::geometry::Frame;
use crate::solid::evaluate::evaluate;
use crate::solid::fillet::{FilletPlan, FilletRequest, filleted, uncut};
use crate::solid::{SolidTree, Tag, samples};

fn close(what: &str, got: f64, want: f64, scale: f64) {
    assert!((got - want).abs() < 1e-10 * scale, "{what}: {got} for {want}");
}

/// Checks volume, area, height of the centroid on the axis and the inertia across and about the axis.
fn check(brep: &Brep, frame: &Frame, volume: f64, area: f64, height: f64, across: f64, about: f64) {
    let m = measure(brep);
    close("volume", m.volume, volume, volume);
    close("area", m.area, area, area);
    let c = frame.local(m.centroid);
    let size = volume.cbrt();
    close("centroid x", c.x, 0.0, size);
    close("centroid y", c.y, 0.0, size);
    close("centroid z", c.z, height, size);
    let (i, p) = (m.inertia, m.products);
    let tensor = nalgebra::Matrix3::new(i.x, p.x, p.z, p.x, i.y, p.y, p.z, p.y, i.z);
    close("inertia across", frame.x.dot(&(tensor * frame.x)), across, about);
    close("inertia across (y)", frame.y.dot(&(tensor * frame.y)), across, about);
    close("inertia about", frame.z.dot(&(tensor * frame.z)), about, about);
    close("product", frame.x.dot(&(tensor * frame.z)), 0.0, about);
    close("closed", m.boundary_area_vector.norm(), 0.0, area);
    close("by axis", m.volume_by_axis.max() - m.volume_by_axis.min(), 0.0, volume);
}

#[test]
fn cuboid() {
    let b = samples::cuboid(P3::new(100.0, 50.0, -30.0), V3::new(3.0, 5.0, 7.0));
    let m = measure(&b);
    close("volume", m.volume, 105.0, 105.0);
    close("area", m.area, 142.0, 142.0);
    close("centroid", (m.centroid - P3::new(101.5, 52.5, -26.5)).norm(), 0.0, 100.0);
    let want = V3::new(25.0 + 49.0, 9.0 + 49.0, 9.0 + 25.0) * (105.0 / 12.0);
    close("inertia", (m.inertia - want).norm(), 0.0, want.norm());
    close("products", m.products.norm(), 0.0, want.norm());
}

#[test]
fn cylinder() {
    let (r, h) = (8.0, 30.0);
    let v = PI * r * r * h;
    let b = samples::cylinder(&samples::skew(), r, h);
    let across = v * (3.0 * r * r + h * h) / 12.0;
    check(&b, &samples::skew(), v, 2.0 * PI * r * (r + h), h / 2.0, across, v * r * r / 2.0);
}

#[test]
fn cone_to_its_apex() {
    let (r, h) = (8.0f64, 30.0f64);
    let v = PI * r * r * h / 3.0;
    let b = samples::cone(&samples::skew(), r, h);
    let area = PI * r * (r + r.hypot(h));
    let across = v * (3.0 / 20.0 * r * r + 3.0 / 80.0 * h * h);
    check(&b, &samples::skew(), v, area, h / 4.0, across, 0.3 * v * r * r);
}

#[test]
fn frustum() {
    // Cone minus the cone that is missing at its top.
    let (r0, r1, h) = (10.0f64, 6.0f64, 12.0f64);
    let full = h * r0 / (r0 - r1);
    let cone = |r: f64, h: f64| (PI * r * r * h / 3.0, h / 4.0, 3.0 / 20.0 * r * r + 3.0 / 80.0 * h * h);
    let ((va, za, ka), (vb, zb, kb)) = (cone(r0, full), cone(r1, full - h));
    let zb = zb + h;
    let v = va - vb;
    let z = (va * za - vb * zb) / v;
    let across = va * (ka + (za - z).powi(2)) - vb * (kb + (zb - z).powi(2));
    let about = 0.3 * (va * r0 * r0 - vb * r1 * r1);
    let area = PI * (r0 * r0 + r1 * r1 + (r0 + r1) * (r0 - r1).hypot(h));
    check(&samples::frustum(&samples::skew(), r0, r1, h), &samples::skew(), v, area, z, across, about);
}

#[test]
fn sphere_of_two_lunes() {
    let r = 12.5;
    let v = 4.0 / 3.0 * PI * r * r * r;
    let i = 0.4 * v * r * r;
    check(&samples::sphere(&samples::skew(), r), &samples::skew(), v, 4.0 * PI * r * r, 0.0, i, i);
}

#[test]
fn torus_of_four_pieces() {
    let (a, b) = (30.0, 7.0);
    let v = 2.0 * PI * PI * a * b * b;
    let about = v * (a * a + 0.75 * b * b);
    let across = v * (a * a / 2.0 + 5.0 / 8.0 * b * b);
    let t = samples::torus(&samples::skew(), a, b);
    check(&t, &samples::skew(), v, 4.0 * PI * PI * a * b, 0.0, across, about);
}

/// The moments of a stretched solid in closed form: each grows by the volume and by its own lengths.
fn check_stretched(brep: &Brep, by: &Stretch) -> MassProperties {
    let (plain, m) = (measure(brep), measure_stretched(brep, by));
    let grown = plain.volume * by.volume_factor();
    close("volume", m.volume, grown, grown);
    let size = grown.cbrt();
    close("centroid", (m.centroid - by.point(plain.centroid)).norm(), 0.0, size);
    // Squares from moments of inertia and back: 2 ∫x² = Iyy + Izz − Ixx.
    let squares = V3::repeat(plain.inertia.sum() / 2.0) - plain.inertia;
    let (a, r) = (by.axial(), by.radial());
    let squares = squares.component_mul(&V3::new(a * a, r * r, r * r)) * by.volume_factor();
    let inertia = V3::repeat(squares.sum()) - squares;
    close("inertia", (m.inertia - inertia).norm(), 0.0, inertia.norm());
    let products = plain.products.component_mul(&V3::new(a * r, r * r, a * r)) * by.volume_factor();
    close("products", (m.products - products).norm(), 0.0, inertia.norm());
    close("closed", m.boundary_area_vector.norm(), 0.0, m.area);
    m
}

#[test]
fn a_stretched_ball_is_a_spheroid() {
    let (radius, center) = (12.5, samples::skew().origin);
    let brep = samples::sphere(&samples::skew(), radius);
    for (axial, radial) in [(1.013, 1.013), (1.02, 1.008), (1.0, 1.02), (1.6, 0.8), (0.7, 1.4)] {
        let by = Stretch::new(axial, radial).expect("two factors");
        let m = check_stretched(&brep, &by);
        let (a, c) = (radius * axial, radius * radial);
        close("ellipsoid", m.volume, 4.0 / 3.0 * PI * a * c * c, m.volume);
        close("centre", (m.centroid - by.point(center)).norm(), 0.0, radius);
        // Spheroid with half axis a of revolution, c across: 2πc²(1 + a/c · asin(e)/e) where it is long,
        // e² = 1 − c²/a²; where it is flat 2πc² + πa²/e · ln((1+e)/(1−e)), e² = 1 − a²/c².
        let area = if by.is_uniform() {
            4.0 * PI * a * a
        } else if a > c {
            let e = (1.0 - c * c / (a * a)).sqrt();
            2.0 * PI * c * c * (1.0 + a / c * e.asin() / e)
        } else {
            let e = (1.0 - a * a / (c * c)).sqrt();
            2.0 * PI * c * c + PI * a * a / e * ((1.0 + e) / (1.0 - e)).ln()
        };
        let within = if axial > radial && axial < 1.1 || by.is_uniform() { 1e-11 } else { 1e-7 };
        assert!((m.area / area - 1.0).abs() < within, "area {} for {area} by {by:?}", m.area);
    }
}

#[test]
fn stretched_samples_follow_their_closed_forms() {
    let frame = samples::skew();
    let holes = samples::prism(
        &frame,
        &[(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)],
        &[(10.0, 10.0, 4.0), (25.0, 8.0, 6.0)],
        5.0,
    );
    let shapes = [
        holes,
        samples::cone(&frame, 8.0, 30.0),
        samples::frustum(&frame, 10.0, 6.0, 12.0),
        samples::torus(&frame, 30.0, 7.0),
    ];
    for brep in &shapes {
        let plain = measure(brep).area;
        for k in [1.0, 1.013, 2.0] {
            let m = check_stretched(brep, &Stretch::uniform(k).expect("a factor"));
            close("area", m.area, plain * k * k, plain * k * k);
        }
        for (axial, radial) in [(1.02, 1.008), (0.7, 1.6)] {
            check_stretched(brep, &Stretch::new(axial, radial).expect("two factors"));
        }
    }
}

#[test]
fn a_rod_along_x_stays_a_rod() {
    let frame = Frame::from_z(P3::new(5.0, 40.0, 0.0), V3::x());
    let by = Stretch::new(1.3, 1.1).expect("two factors");
    let m = check_stretched(&samples::frustum(&frame, 10.0, 6.0, 12.0), &by);
    let (big, small, h) = (11.0f64, 6.6f64, 15.6f64);
    close("volume", m.volume, PI * h / 3.0 * (big * big + big * small + small * small), m.volume);
    let area = PI * (big * big + small * small + (big + small) * (big - small).hypot(h));
    close("area", m.area, area, area);
}

#[test]
fn plate_with_holes_and_ball_with_void() {
    let plate = samples::prism(
        &samples::skew(),
        &[(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)],
        &[(10.0, 10.0, 4.0), (25.0, 8.0, 6.0)],
        5.0,
    );
    let m = measure(&plate);
    let section = 800.0 - PI * 52.0;
    close("volume", m.volume, 5.0 * section, m.volume);
    close("area", m.area, 2.0 * section + 600.0 + 2.0 * PI * 10.0 * 5.0, m.area);
    let shell =
        samples::with_void(samples::sphere(&samples::skew(), 10.0), &samples::sphere(&samples::skew(), 9.0));
    close("hollow ball", measure(&shell).volume, 4.0 / 3.0 * PI * 271.0, 1000.0);
}

#[test]
fn finer_panels_change_no_face_of_a_filleted_branch() {
    // A branch that leaves a tube askew: rolled fillets on splines, cylinders, planes.
    let [side, bottom, top] = ["side", "bottom", "top"].map(|r| Tag::formed("tube", r));
    let tube =
        crate::solid::cylinder("tube", Frame::world(), 20.0, 120.0, &[side, bottom, top]).expect("a tube");
    let [side, bottom, top] = ["side", "bottom", "top"].map(|r| Tag::formed("branch", r));
    let askew = Frame::from_z(P3::new(3.0, 0.0, 55.0), V3::new(1.0, 0.2, 0.5));
    let branch = crate::solid::cylinder("branch", askew, 11.0, 60.0, &[side, bottom, top]).expect("a branch");
    let bodies = [tube, branch].map(|b| uncut(&b, 0.3, 4.0)).map(|b| FilletRequest::new(b.clone(), b, 4.0));
    let made = filleted(&mut FilletPlan::new(bodies.to_vec()), &|_, _| Tag::formed("fillet", "side"))
        .expect("fillets");
    let mut tree = SolidTree::new();
    tree.add(made.body.expect("a filleted body"));
    let brep = evaluate(&tree).expect("a boundary");
    let rolled = brep.faces.iter().filter(|f| matches!(f.surface, Surface::Canal(_))).count();
    assert!(rolled > 1, "{rolled} rolled faces");
    let (center, nodes, finer) = (center_of(&brep), Nodes::new(&brep), Nodes::finer(&brep, 4));
    for face in &brep.faces {
        let of = |n: &Nodes| face_sums(&brep, n, face, center, Stretch::NONE).sums;
        let (a, b) = (of(&nodes), of(&finer));
        close(&face.tag.to_string(), a.volume(), b.volume(), b.volume().abs());
        close(&face.tag.to_string(), a.0[0], b.0[0], b.0[0]);
    }
}
