//! Files of stretched boundaries.

use crate::export::nets::{Net, sphere, turned};
use crate::export::readback::census;
use crate::geometry::{Frame, P3, Stretch, Surface, V3};
use crate::solid::{Brep, BrepFace};

use super::super::of_boundary;
use super::{info, samples};

/// An uneven stretch, much wilder than any pattern's.
fn uneven() -> Stretch {
    Stretch::new(1.3, 0.9).expect("two factors")
}

fn text(brep: &Brep, by: &Stretch) -> String {
    String::from_utf8(of_boundary(brep, by, &info()).expect("a file")).expect("plain ASCII")
}

fn count(brep: &Brep, by: &Stretch, kind: &str) -> usize {
    let census = census(&text(brep, by)).expect("readable");
    assert!(census.faults.is_empty(), "{:?}", census.faults);
    census.count(kind)
}

/// About an axis along X that is not the X axis.
fn along_x() -> Frame {
    Frame::from_zx(P3::new(11.0, -7.0, 23.0), -V3::x(), V3::new(0.0, 0.6, 0.8))
}

#[test]
fn no_stretch_changes_no_byte() {
    for (name, brep, _) in samples::all(samples::skew()) {
        let plain = of_boundary(&brep, &Stretch::NONE, &info()).expect("a file");
        assert_eq!(of_boundary(&brep, &Stretch::NONE, &info()).expect("a file"), plain, "{name}");
    }
}

#[test]
fn an_even_stretch_keeps_all_kinds() {
    let kinds = ["PLANE", "CYLINDRICAL_SURFACE", "CONICAL_SURFACE", "SPHERICAL_SURFACE", "TOROIDAL_SURFACE"];
    let curves = ["LINE", "CIRCLE", "ELLIPSE", "B_SPLINE_CURVE_WITH_KNOTS", "B_SPLINE_SURFACE"];
    let by = Stretch::uniform(1.013).expect("a factor");
    for (name, brep, _) in samples::all(samples::skew()) {
        for kind in kinds.iter().chain(&curves) {
            let (plain, grown) = (count(&brep, &Stretch::NONE, kind), count(&brep, &by, kind));
            // Placements of coinciding things are shared, so only entities of faces and edges are compared.
            assert_eq!(plain, grown, "{name}: {kind}");
        }
    }
}

#[test]
fn an_uneven_stretch_keeps_what_is_turned_about_x() {
    let ring = samples::countersunk_ring(along_x());
    for (kind, number) in [("CONICAL_SURFACE", 2), ("CYLINDRICAL_SURFACE", 2), ("PLANE", 4), ("CIRCLE", 8)] {
        assert_eq!(count(&ring, &uneven(), kind), number, "{kind}");
    }
    let askew = samples::countersunk_ring(samples::skew());
    for (kind, number) in [("RATIONAL_B_SPLINE_SURFACE", 4), ("PLANE", 4), ("ELLIPSE", 8), ("CIRCLE", 0)] {
        assert_eq!(count(&askew, &uneven(), kind), number, "{kind}");
    }
}

/// The net of a face whose surface is turned about an axis.
fn net(brep: &Brep, face: &BrepFace) -> Option<Net> {
    match &face.surface {
        Surface::Cylinder(s) => Some(turned::net(brep, face, s)),
        Surface::Cone(s) => Some(turned::net(brep, face, s)),
        Surface::Sphere(s) => Some(sphere::net(brep, face, s)),
        Surface::Torus(s) => Some(turned::net(brep, face, s)),
        Surface::Plane(_) | Surface::Canal(_) => None,
    }
}

#[test]
fn nets_are_the_surfaces_with_their_sides_and_hold_their_faces() {
    for (name, brep, _) in samples::all(samples::skew()) {
        for face in &brep.faces {
            let Some(net) = net(&brep, face) else { continue };
            let (us, vs) = (net.u.range(), net.v.range());
            let at = |(from, to): (f64, f64), k: f64| from + (to - from) * k;
            let mut near = vec![f64::INFINITY; face.loops[0].len()];
            for (i, j) in (0..=24).flat_map(|i| (0..=24).map(move |j| (i, j))) {
                let (u, v) = (at(us, f64::from(i) / 24.0), at(vs, f64::from(j) / 24.0));
                let p = net.point(u, v);
                assert!(face.surface.f(p).abs() < 1e-12, "{name}: {p} off the surface");
                for (best, h) in near.iter_mut().zip(&face.loops[0]) {
                    *best = best.min((brep.edge_point(h.edge, 0.4) - p).norm());
                }
                if (1..24).contains(&i) && (1..24).contains(&j) {
                    let step = 1e-6;
                    let along = net.point(u + step, v) - net.point(u - step, v);
                    let across = net.point(u, v + step) - net.point(u, v - step);
                    let side = along.cross(&across).normalize().dot(&face.surface.grad(p));
                    assert!(side > 0.99, "{name}: the normal turns over at {p}: {side}");
                }
            }
            // Every edge runs through the net: no farther from its points than these from each other.
            assert!(near.iter().all(|d| *d < 2.0), "{name}: an edge {near:?} mm off the net");
            let least = net.poles.iter().flatten().map(|(_, w)| *w).fold(1.0, f64::min);
            assert!(least > 0.49, "{name}: a weight of {least}");
        }
    }
}
