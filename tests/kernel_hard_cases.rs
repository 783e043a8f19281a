//! Shapes that have broken some kernel: coincident faces, tangencies, corners on edges.
//! Volumes by elementary geometry (Bronshtein, "Handbook of Mathematics", Stereometry) where they have a closed
//! form, else by counting `contains`.

#![allow(clippy::unwrap_used, reason = "a test may")]

mod common;

use std::f64::consts::PI;

use common::random_tree::counted_volume;
use common::{block, cyl, frame, frustum, pad, prism, solid, sphere, tag, torus};
use tailpattern::geometry::P2;
use tailpattern::solid::evaluate::{EvaluateError, evaluate};
use tailpattern::solid::{Brep, Primitive, SolidTree, polygon, turned};

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];
const Z: [f64; 3] = [0.0, 0.0, 1.0];

fn tree(add: Vec<Primitive>, cut: Vec<Primitive>) -> SolidTree {
    let mut t = SolidTree::new();
    for p in add {
        t.add(p);
    }
    for p in cut {
        t.cut(p);
    }
    t
}

/// Sound, and its volume within 4 sigma of the count.
fn counted(name: &str, t: &SolidTree) -> Brep {
    let (brep, report) = solid(t).unwrap_or_else(|e| panic!("{name}: {e}"));
    let (volume, error) = counted_volume(t, 7, 60_000);
    let off = (report.mass.volume - volume).abs();
    assert!(off < 4.0 * error, "{name}: {} but counted {volume} ± {error}", report.mass.volume);
    brep
}

fn exact(name: &str, t: &SolidTree, volume: f64) -> Brep {
    let (brep, report) = solid(t).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert!(
        (report.mass.volume / volume - 1.0).abs() < 1e-9,
        "{name}: {} is not {volume}",
        report.mass.volume
    );
    brep
}

#[test]
fn small_cylinder_through_a_large_one_has_two_loops() {
    let t = tree(
        vec![cyl(frame(0.0, 0.0, -30.0, Z), 20.0, 60.0)],
        vec![cyl(frame(-40.0, 0.0, 3.0, X), 4.0, 80.0)],
    );
    counted("through hole", &t);
}

#[test]
fn a_grazing_cylinder_leaves_a_small_loop() {
    // The hole's highest line is 0.01 mm inside the outer cylinder's side: a lens 4 mm long, 0.1 mm deep.
    for depth in [1.0, 0.1, 0.01, 1e-3, 1e-4] {
        let t = tree(
            vec![cyl(frame(0.0, 0.0, -30.0, Z), 20.0, 60.0)],
            vec![cyl(frame(-40.0, 24.0 - depth, 0.0, X), 4.0, 80.0)],
        );
        let (brep, _) = solid(&t).unwrap_or_else(|e| panic!("depth {depth}: {e}"));
        assert_eq!(brep.bodies(), 1, "depth {depth}");
        assert!((5..=6).contains(&brep.faces.len()), "two halves, two ends, the groove, at depth {depth}");
    }
}

#[test]
fn plane_sections_of_a_torus() {
    let (big, small) = (20.0, 6.0);
    let t = |at: f64| {
        tree(
            vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)],
            vec![block([at, -40.0, -40.0], [80.0, 80.0, 80.0])],
        )
    };
    counted("one oval", &t(22.0));
    counted("two ovals", &t(5.0));
    counted("a bean", &t(15.0));
    counted("across the axis", &t(0.0));
    // Tangent from inside: a figure of eight. The part beyond the plane is sound; the near part touches itself.
    let inside = big - small;
    assert!(matches!(evaluate(&t(inside)), Err(EvaluateError::TouchingPoint { .. })), "near part");
    let far = tree(
        vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)],
        vec![block([inside - 80.0, -40.0, -40.0], [80.0, 80.0, 80.0])],
    );
    counted("far part of the figure of eight", &far);
    // Tangent from outside changes nothing, or takes all.
    exact("tangent outside", &t(big + small), 2.0 * PI * PI * big * small * small);
    // A flat cut through the middle, and one tangent to the top ring.
    let flat = |z: f64| {
        tree(
            vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)],
            vec![block([-40.0, -40.0, z], [80.0, 80.0, 40.0])],
        )
    };
    exact("middle", &flat(0.0), PI * PI * big * small * small);
    exact("top ring", &flat(small), 2.0 * PI * PI * big * small * small);
    // Both tangent circles of a slanted plane (Villarceau): four crossings of branches at two points.
    let slant = (small / big).asin();
    let f = frame(0.0, 0.0, 0.0, [slant.sin(), 0.0, slant.cos()]);
    let half =
        tree(vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)], vec![pad(f, 100.0, 100.0, 0.0, 50.0, 0.0)]);
    // Each half touches itself at one of the two points.
    assert!(matches!(evaluate(&half), Err(EvaluateError::TouchingPoint { .. })), "Villarceau");
}

#[test]
fn slab_as_wide_as_its_tube() {
    let r = 10.0;
    let tube = || cyl(frame(0.0, 0.0, 0.0, Z), r, 40.0);
    for start in [0.0, 3.0, -4.0] {
        let slab = block([start, -r, 5.0], [30.0 - start, 2.0 * r, 20.0]);
        let t = tree(vec![tube(), slab], vec![]);
        counted(&format!("slab from {start}"), &t);
    }
    let t = tree(
        vec![tube(), block([0.0, -r, 0.0], [30.0, 2.0 * r, 40.0])],
        vec![cyl(frame(0.0, 0.0, -1.0, Z), 6.0, 42.0)],
    );
    exact("slab flush at all sides", &t, 40.0 * (PI * r * r / 2.0 + 30.0 * 2.0 * r - PI * 36.0));
}

#[test]
fn boss_flush_with_a_pad() {
    let t = tree(
        vec![
            pad(frame(0.0, 0.0, 0.0, Z), 40.0, 30.0, 5.0, 10.0, 0.0),
            cyl(frame(20.0, 0.0, 0.0, Z), 8.0, 10.0),
        ],
        vec![],
    );
    let brep = counted("flush boss", &t);
    assert_eq!(brep.bodies(), 1, "one body");
}

#[test]
fn holes_that_touch_and_holes_that_meet() {
    let plate = || block([-30.0, -20.0, 0.0], [60.0, 40.0, 8.0]);
    let hole = |x: f64| cyl(frame(x, 0.0, -1.0, Z), 5.0, 10.0);
    let touching = tree(vec![plate()], vec![hole(-5.0), hole(5.0)]);
    assert!(
        matches!(evaluate(&touching), Err(EvaluateError::TouchingEdge { .. })),
        "holes that touch along a line"
    );
    let meeting = tree(vec![plate()], vec![hole(-4.0), hole(4.0)]);
    counted("overlapping holes", &meeting);
    let apart = tree(vec![plate()], vec![hole(-5.001), hole(5.001)]);
    exact("a wall of two microns", &apart, 60.0 * 40.0 * 8.0 - 2.0 * PI * 25.0 * 8.0);
}

#[test]
fn hole_through_an_edge_and_through_a_corner() {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    exact(
        "along an edge",
        &tree(vec![cube()], vec![cyl(frame(0.0, 0.0, -5.0, Z), 6.0, 40.0)]),
        8000.0 - PI * 36.0 / 4.0 * 20.0,
    );
    exact(
        "across an edge",
        &tree(
            vec![cube()],
            vec![
                cyl(frame(0.0, 10.0, 0.0, [1.0, 0.0, 1.0]), 4.0, 60.0),
                cyl(frame(0.0, 10.0, 0.0, [-1.0, 0.0, -1.0]), 4.0, 60.0),
            ],
        ),
        {
            // The hole's axis starts on the edge at 45°: by symmetry a full slanted hole of section π r² and
            // length 20√2 between the two corners' planes, less twice the ungula cut off at the far edge.
            let (_, r) =
                solid(&tree(vec![cube()], vec![cyl(frame(-20.0, 10.0, -20.0, [1.0, 0.0, 1.0]), 4.0, 90.0)]))
                    .unwrap();
            r.mass.volume
        },
    );
    counted(
        "through a corner",
        &tree(vec![cube()], vec![cyl(frame(-10.0, -10.0, -10.0, [1.0, 1.0, 1.0]), 4.0, 60.0)]),
    );
    counted("ball at a corner", &tree(vec![cube()], vec![sphere(frame(20.0, 20.0, 20.0, Z), 7.0)]));
}

#[test]
fn cone_apex_inside_and_on_a_face() {
    let cube = || block([-20.0, -20.0, -20.0], [40.0, 40.0, 40.0]);
    let drill = |z: f64| frustum(frame(0.0, 0.0, z, [0.0, 0.0, -1.0]), 8.0, 0.0, 12.0);
    let cone = PI * 64.0 * 12.0 / 3.0;
    exact("apex inside", &tree(vec![cube()], vec![drill(20.0)]), 64_000.0 - cone);
    exact("a void with an apex", &tree(vec![cube()], vec![drill(6.0)]), 64_000.0 - cone);
    let touching = evaluate(&tree(vec![cube()], vec![drill(-8.0)]));
    assert!(touching.is_err(), "a void whose apex touches the far face is a design fault");
    counted("apex just through", &tree(vec![cube()], vec![drill(-8.1)]));
    counted(
        "cross hole through the apex",
        &tree(vec![cube()], vec![drill(20.0), cyl(frame(-30.0, 0.0, 8.0, X), 3.0, 60.0)]),
    );
    counted(
        "hole wall through the apex",
        &tree(vec![cube()], vec![drill(20.0), cyl(frame(-30.0, 3.0, 8.0, X), 3.0, 60.0)]),
    );
}

#[test]
fn counterbore_bottom_flush_with_a_step() {
    let shaft = turned(
        "stepped",
        frame(0.0, 0.0, 0.0, X),
        &[(0.0, 0.0), (30.0, 0.0), (30.0, 50.0), (20.0, 50.0), (20.0, 90.0), (0.0, 90.0)],
        &[tag("outside")],
    )
    .unwrap();
    let bore = turned(
        "bore",
        frame(0.0, 0.0, 0.0, X),
        &[(0.0, -1.0), (12.0, -1.0), (12.0, 50.0), (8.0, 50.0), (8.0, 95.0), (0.0, 95.0)],
        &[tag("bore")],
    )
    .unwrap();
    exact(
        "bore step in the plane of the shoulder",
        &tree(vec![shaft], vec![bore]),
        PI * (900.0 * 50.0 + 400.0 * 40.0 - 144.0 * 50.0 - 64.0 * 40.0),
    );
}

#[test]
fn equal_coaxial_bores_end_to_end() {
    let body = || cyl(frame(0.0, 0.0, 0.0, X), 20.0, 60.0);
    let bores = vec![cyl(frame(-1.0, 0.0, 0.0, X), 8.0, 31.0), cyl(frame(30.0, 0.0, 0.0, X), 8.0, 31.0)];
    let brep = exact("two bores are one", &tree(vec![body()], bores), PI * (400.0 - 64.0) * 60.0);
    assert_eq!(brep.faces.len(), 6, "outside and bore in halves, two ends: no trace of the joint");
    let overlap = vec![cyl(frame(-1.0, 0.0, 0.0, X), 8.0, 40.0), cyl(frame(25.0, 0.0, 0.0, X), 8.0, 40.0)];
    exact("overlapping bores", &tree(vec![body()], overlap), PI * (400.0 - 64.0) * 60.0);
}

#[test]
fn nothing_is_left_of_a_solid_minus_itself() {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    assert!(matches!(evaluate(&tree(vec![cube()], vec![cube()])), Err(EvaluateError::Empty)), "block");
    let ring = || torus(frame(0.0, 0.0, 0.0, Z), 20.0, 5.0);
    assert!(matches!(evaluate(&tree(vec![ring()], vec![ring()])), Err(EvaluateError::Empty)), "torus");
    exact("twice the same is once", &tree(vec![cube(), cube()], vec![]), 8000.0);
}

#[test]
fn a_bore_tangent_to_a_wall_is_reported_by_name() {
    let wall = block([0.0, 0.0, 0.0], [40.0, 40.0, 40.0]);
    let t = tree(vec![wall], vec![cyl(frame(20.0, 5.0, -1.0, Z), 5.0, 50.0)]);
    let e = evaluate(&t).unwrap_err();
    assert!(matches!(e, EvaluateError::TouchingEdge { .. }), "{e}");
    let text = e.to_string();
    assert!(text.contains("test/block") && text.contains("test/cylinder"), "names both features: {text}");
}

#[test]
fn draft_that_eats_a_corner_radius_is_told() {
    let outline = tailpattern::solid::rounded_rectangle(
        P2::origin(),
        tailpattern::geometry::V2::new(40.0, 30.0),
        1.0,
        &tag("pad"),
    );
    let e = Primitive::prism(
        "mount_pad",
        frame(0.0, 0.0, 0.0, Z),
        outline,
        20.0,
        5.0_f64.to_radians(),
        [tag("a"), tag("b")],
    )
    .unwrap_err();
    let text = e.to_string();
    assert!(text.contains("mount_pad") && text.contains("greatest draft here is 2.86"), "{text}");
}

#[test]
fn bosses_inside_and_bodies_apart() {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    let brep = exact(
        "boss wholly inside",
        &tree(vec![cube(), cyl(frame(10.0, 10.0, 5.0, Z), 3.0, 8.0)], vec![]),
        8000.0,
    );
    assert_eq!(brep.faces.len(), 6, "no trace of the boss");
    let (brep, _) = solid(&tree(vec![cube()], vec![block([-1.0, -1.0, 8.0], [30.0, 30.0, 4.0])])).unwrap();
    assert_eq!(brep.bodies(), 2, "a cut through parts the body");
    let (brep, _) = solid(&tree(vec![cube()], vec![sphere(frame(10.0, 10.0, 10.0, Z), 5.0)])).unwrap();
    assert_eq!((brep.bodies(), brep.shells.len()), (1, 2), "a void is a shell of its own");
}

#[test]
fn edges_through_corners_and_faces_in_planes() {
    // A block turned by 45° whose edges run through the corners of another, faces flush above and below.
    let a = block([-10.0, -10.0, 0.0], [20.0, 20.0, 10.0]);
    let r = 10.0 * 2.0_f64.sqrt();
    let points = [P2::new(-r, 0.0), P2::new(0.0, -r), P2::new(r, 0.0), P2::new(0.0, r)];
    let b = prism(frame(0.0, 0.0, 0.0, Z), polygon(&points, &[tag("turned")]), 10.0, 0.0);
    let brep = counted("star", &tree(vec![a, b], vec![]));
    assert_eq!(brep.bodies(), 1, "one body");
    let tower = tree(
        vec![block([0.0, 0.0, 0.0], [10.0, 10.0, 10.0]), block([0.0, 0.0, 10.0], [10.0, 10.0, 5.0])],
        vec![],
    );
    let brep = exact("stacked blocks", &tower, 1500.0);
    assert_eq!(brep.edges.len(), 12, "equal names: no trace of the joint");
    let edge = tree(
        vec![block([0.0, 0.0, 0.0], [10.0, 10.0, 10.0]), block([10.0, 10.0, 0.0], [10.0, 10.0, 10.0])],
        vec![],
    );
    assert!(matches!(evaluate(&edge), Err(EvaluateError::TouchingEdge { .. })), "blocks edge to edge");
    let corner = tree(
        vec![block([0.0, 0.0, 0.0], [10.0, 10.0, 10.0]), block([10.0, 10.0, 10.0], [10.0, 10.0, 10.0])],
        vec![],
    );
    assert!(matches!(evaluate(&corner), Err(EvaluateError::TouchingPoint { .. })), "blocks corner to corner");
}

#[test]
fn crossing_cylinders_nearly_equal() {
    for d in [1e-2, 1e-3, 1e-4, 1e-5, 1e-6] {
        let t = tree(
            vec![cyl(frame(-30.0, 0.0, 0.0, X), 5.0, 60.0), cyl(frame(0.0, -30.0, 0.0, Y), 5.0 + d, 60.0)],
            vec![],
        );
        counted(&format!("radii {d} apart"), &t);
    }
}

#[test]
fn cylinders_that_touch_from_inside() {
    // The small one runs along the big one's wall: branches cross where they touch.
    let t = tree(
        vec![cyl(frame(4.0, -20.0, 0.0, Y), 10.0, 40.0), cyl(frame(-20.0, 3.0, -8.0, X), 2.0, 50.0)],
        vec![],
    );
    counted("added", &t);
    let t = tree(
        vec![cyl(frame(4.0, -20.0, 0.0, Y), 10.0, 40.0)],
        vec![cyl(frame(-20.0, 3.0, -8.0, X), 2.0, 50.0)],
    );
    assert!(evaluate(&t).is_err(), "cut: the wall is nought where they touch");
}
