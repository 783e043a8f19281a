use std::f64::consts::PI;

use super::*;
use crate::geometry::{Stretch, V3};
use crate::solid::{measure, measure_stretched, samples, validate::validate};

/// Meshes a boundary and checks all that is promised, by means of its own: distances at many points of each
/// triangle, volume and area against the exact ones.
fn checked(name: &str, brep: &Brep, chord: f64) -> Mesh {
    assert!(validate(brep).is_ok(), "{name}: {:?}", validate(brep).err());
    let mesh = of_boundary(brep, chord).unwrap_or_else(|e| panic!("{name}: {e}"));
    mesh.check_closed().unwrap_or_else(|e| panic!("{name}: {e}"));
    let mut worst = 0.0f64;
    for t in 0..mesh.triangles.len() {
        let surface = &brep.faces[mesh.face_of[t] as usize].surface;
        let [a, b, c] = mesh.corners(t).map(|p| p.coords);
        for i in 0..=10 {
            for j in 0..=10 - i {
                let (u, v) = (f64::from(i) / 10.0, f64::from(j) / 10.0);
                let p = P3::from(a * u + b * v + c * (1.0 - u - v));
                worst = worst.max(surface.f(p).abs());
            }
        }
    }
    assert!(worst <= chord * 1.001, "{name}: a triangle is {worst} off at chord {chord}");
    let exact = measure(brep);
    assert!((mesh.volume() - exact.volume).abs() <= exact.area * chord, "{name}: volume");
    assert!((mesh.area() - exact.area).abs() <= 0.06 * exact.area, "{name}: area");
    assert_eq!(mesh, of_boundary(brep, chord).expect("as before"), "{name}: same mesh again");
    mesh
}

#[test]
fn plain_solids() {
    let f = samples::skew();
    for chord in [0.5, 0.05, 0.01] {
        checked("cuboid", &samples::cuboid(P3::origin(), V3::new(30.0, 20.0, 10.0)), chord);
        checked("cylinder", &samples::cylinder(&f, 12.0, 40.0), chord);
        checked("tube-like cylinder", &samples::cylinder(&f, 2.0, 400.0), chord);
        checked("cone", &samples::cone(&f, 12.0, 40.0), chord);
        checked("flat cone", &samples::cone(&f, 50.0, 4.0), chord);
        checked("frustum", &samples::frustum(&f, 12.0, 3.0, 40.0), chord);
        checked("drafted frustum", &samples::frustum(&f, 12.0, 11.9, 40.0), chord);
        checked("sphere", &samples::sphere(&f, 12.0), chord);
        checked("torus", &samples::torus(&f, 30.0, 8.0), chord);
        checked("thin torus", &samples::torus(&f, 80.0, 1.5), chord);
        let hollow = samples::with_void(samples::sphere(&f, 12.0), &samples::torus(&f, 6.0, 1.0));
        checked("hollow ball", &hollow, chord);
    }
}

#[test]
fn a_box_has_twelve_triangles() {
    let mesh = checked("cuboid", &samples::cuboid(P3::origin(), V3::new(30.0, 20.0, 10.0)), 0.05);
    assert_eq!(mesh.triangles.len(), 12, "two a face");
    assert!((mesh.volume() - 6000.0).abs() < 1e-9, "volume of a box is exact");
    assert!((mesh.area() - 2200.0).abs() < 1e-9, "area of a box is exact");
}

#[test]
fn the_error_shrinks_with_the_chord() {
    let ball = samples::sphere(&samples::skew(), 12.0);
    let exact = 4.0 / 3.0 * PI * 12.0f64.powi(3);
    let off = |chord| (exact - checked("sphere", &ball, chord).volume()) / exact;
    let (coarse, fine) = (off(0.1), off(0.01));
    assert!(fine > 0.0 && fine < 0.2 * coarse, "{coarse} then {fine}");
}

#[test]
fn plates_with_holes() {
    let outline = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)];
    let holes = [(10.0, 10.0, 4.0), (25.0, 8.0, 6.0), (25.0, 17.0, 2.99), (3.0, 3.0, 0.05)];
    let mesh = checked("plate", &samples::prism(&samples::skew(), &outline, &holes, 5.0), 0.05);
    assert!(mesh.triangles.len() < 1500, "{} triangles", mesh.triangles.len());
}

#[test]
fn a_hole_close_to_an_edge_refines_the_edge() {
    // Two holes 0.002 mm apart and one 0.001 mm from the rim: coarse polygons would cross.
    let outline = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)];
    let holes = [(10.0, 10.0, 4.0), (18.002, 10.0, 4.0), (30.0, 5.001, 5.0)];
    checked("close holes", &samples::prism(&samples::skew(), &outline, &holes, 5.0), 0.5);
}

#[test]
fn bad_chords_are_refused() {
    let cube = samples::cuboid(P3::origin(), V3::new(1.0, 1.0, 1.0));
    for chord in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
        assert!(matches!(of_boundary(&cube, chord), Err(MeshError::Chord { .. })), "{chord}");
    }
}

#[test]
fn open_boundaries_are_refused() {
    let mut cube = samples::cuboid(P3::origin(), V3::new(1.0, 1.0, 1.0));
    cube.faces.pop();
    assert!(matches!(of_boundary(&cube, 0.05), Err(MeshError::Open { .. })), "a face is missing");
}

#[test]
fn crossing_edges_name_the_face() {
    let outline = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)];
    let holes = [(10.0, 10.0, 4.0), (15.0, 10.0, 4.0)];
    let plate = samples::prism(&samples::skew(), &outline, &holes, 5.0);
    match of_boundary(&plate, 0.5) {
        Err(MeshError::Face { face, reason, .. }) => {
            assert!(face.starts_with("sample/face") && reason == Obstacle::Crossing, "{face}: {reason}");
        }
        other => panic!("two holes cross: {other:?}"),
    }
}

#[test]
fn triangles_on_bores_are_not_too_long() {
    let brep = samples::cylinder(&samples::skew(), 15.0, 200.0);
    let mesh = of_boundary(&brep, 0.05).expect("a cylinder can be meshed");
    let worst = (0..mesh.triangles.len())
        .filter(|t| {
            matches!(brep.faces[mesh.face_of[*t] as usize].surface, crate::geometry::Surface::Cylinder(_))
        })
        .map(|t| {
            let [a, b, c] = mesh.corners(t);
            let longest = (a - b).norm().max((b - c).norm()).max((c - a).norm());
            longest * longest / (b - a).cross(&(c - a)).norm()
        })
        .fold(0.0, f64::max);
    assert!(worst < 20.0, "longest side over height is {worst}");
}

#[test]
fn a_stretched_mesh_stays_within_the_chord_error_times_the_larger_factor() {
    let (chord, by) = (0.05, Stretch::new(1.3, 0.8).expect("two factors"));
    let ball = samples::sphere(&samples::skew(), 12.0);
    let mesh = checked("ball", &ball, chord).stretched(&by);
    assert!(mesh.check_closed().is_ok(), "closed");
    let exact = measure_stretched(&ball, &by);
    let most = exact.area * chord * by.largest();
    assert!((mesh.volume() - exact.volume).abs() <= most, "volume {} for {}", mesh.volume(), exact.volume);
    assert!((mesh.area() / exact.area - 1.0).abs() <= 0.06, "area {} for {}", mesh.area(), exact.area);
    let center = samples::skew().origin;
    // Middles of triangles lie inside the ball by at most the chord error, which a ray through them shows.
    let worst = (0..mesh.triangles.len())
        .map(|t| {
            let [a, b, c] = mesh.corners(t).map(|p| by.source(p).coords);
            let p = P3::from((a + b + c) / 3.0);
            let foot = center + (p - center).normalize() * 12.0;
            (by.point(foot) - by.point(p)).norm()
        })
        .fold(0.0, f64::max);
    assert!(worst > 0.0 && worst <= chord * by.largest() * 1.001, "{worst} mm off");
}
