//! Shapes that have broken some kernel: sound ones must come out right, others must be refused by name.

#![allow(clippy::unwrap_used, reason = "a test may")]

use crate::common::cases::Cases;
use crate::common::{X, Y, Z, block, cyl, frame, hard_cases as hard, pad, solid, sphere, tag, torus, tree};
use solidwright::geometry::P2;
use solidwright::solid::Primitive;
use solidwright::solid::evaluate::{EvaluateError, evaluate};

#[test]
fn small_cylinder_through_a_large_one_has_two_loops() {
    Cases::from(hard::small_cylinder_through_a_large_one_has_two_loops).hold();
}

#[test]
fn plane_sections_of_a_torus() {
    Cases::from(hard::plane_sections_of_a_torus).hold();
}

#[test]
fn walls_that_touch_the_flat_end_of_a_pocket() {
    Cases::from(hard::walls_that_touch_the_flat_end_of_a_pocket).hold();
}

#[test]
fn slab_as_wide_as_its_tube() {
    Cases::from(hard::slab_as_wide_as_its_tube).hold();
}

#[test]
fn boss_flush_with_a_pad() {
    Cases::from(hard::boss_flush_with_a_pad).hold();
}

#[test]
fn holes_that_meet_or_nearly() {
    Cases::from(hard::holes_that_meet_or_nearly).hold();
}

#[test]
fn hole_through_an_edge_and_through_a_corner() {
    Cases::from(hard::hole_through_an_edge_and_through_a_corner).hold();
}

#[test]
fn cone_apex_inside_and_on_a_face() {
    Cases::from(hard::cone_apex_inside_and_on_a_face).hold();
}

#[test]
fn counterbore_bottom_flush_with_a_step() {
    Cases::from(hard::counterbore_bottom_flush_with_a_step).hold();
}

#[test]
fn equal_coaxial_bores_end_to_end() {
    Cases::from(hard::equal_coaxial_bores_end_to_end).hold();
}

#[test]
fn bosses_inside_and_voids() {
    Cases::from(hard::bosses_inside_and_voids).hold();
}

#[test]
fn edges_through_corners_and_faces_in_planes() {
    Cases::from(hard::edges_through_corners_and_faces_in_planes).hold();
}

#[test]
fn crossing_cylinders_nearly_equal() {
    Cases::from(hard::crossing_cylinders_nearly_equal).hold();
}

#[test]
fn cylinders_that_touch_from_inside() {
    Cases::from(hard::cylinders_that_touch_from_inside).hold();
}

#[test]
fn edges_that_touch_in_a_point() {
    Cases::from(hard::edges_that_touch_in_a_point).hold();
}

#[test]
fn a_grazing_cylinder_leaves_a_small_loop() {
    for depth in [1.0, 0.1, 0.01, 1e-3, 1e-4] {
        let solid = solid(&hard::a_grazing_cylinder(depth)).unwrap_or_else(|e| panic!("depth {depth}: {e}"));
        let brep = solid.brep();
        assert_eq!(brep.bodies(), 1, "depth {depth}");
        assert!((5..=6).contains(&brep.faces.len()), "two halves, two ends, the groove, at depth {depth}");
    }
}

#[test]
fn planes_tangent_to_a_torus_from_inside() {
    let (big, small) = (20.0, 6.0);
    // A figure of eight: the near part touches itself.
    assert!(
        matches!(evaluate(&hard::torus_up_to(big - small)), Err(EvaluateError::TouchingPoint { .. })),
        "near part"
    );
    // Both tangent circles of a slanted plane (Villarceau): four crossings of branches at two points.
    let slant: f64 = (small / big).asin();
    let f = frame(0.0, 0.0, 0.0, [slant.sin(), 0.0, slant.cos()]);
    let half =
        tree(vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)], vec![pad(f, 100.0, 100.0, 0.0, 50.0, 0.0)]);
    // Each half touches itself at one of the two points.
    assert!(matches!(evaluate(&half), Err(EvaluateError::TouchingPoint { .. })), "Villarceau");
}

#[test]
fn holes_that_touch_along_a_line() {
    let touching = hard::two_holes(5.0);
    assert!(matches!(evaluate(&touching), Err(EvaluateError::TouchingEdge { .. })), "a wall of nought");
}

#[test]
fn a_void_whose_apex_touches_the_far_face() {
    assert!(evaluate(&hard::countersunk(-8.0, None)).is_err(), "a design fault");
}

#[test]
fn nothing_is_left_of_a_solid_minus_itself() {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    assert!(matches!(evaluate(&tree(vec![cube()], vec![cube()])), Err(EvaluateError::Empty)), "block");
    let ring = || torus(frame(0.0, 0.0, 0.0, Z), 20.0, 5.0);
    assert!(matches!(evaluate(&tree(vec![ring()], vec![ring()])), Err(EvaluateError::Empty)), "torus");
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
    let outline = solidwright::solid::rounded_rectangle(
        P2::origin(),
        solidwright::geometry::V2::new(40.0, 30.0),
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
fn bodies_apart_and_voids_are_shells() {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    let parted = solid(&tree(vec![cube()], vec![block([-1.0, -1.0, 8.0], [30.0, 30.0, 4.0])])).unwrap();
    assert_eq!(parted.brep().bodies(), 2, "a cut through parts the body");
    let hollow = solid(&tree(vec![cube()], vec![sphere(frame(10.0, 10.0, 10.0, Z), 5.0)])).unwrap();
    assert_eq!((hollow.brep().bodies(), hollow.brep().shells.len()), (1, 2), "a void is a shell of its own");
}

#[test]
fn blocks_that_touch_in_an_edge_or_a_corner() {
    let at = |x: f64, y: f64, z: f64| block([x, y, z], [10.0, 10.0, 10.0]);
    let edge = tree(vec![at(0.0, 0.0, 0.0), at(10.0, 10.0, 0.0)], vec![]);
    assert!(matches!(evaluate(&edge), Err(EvaluateError::TouchingEdge { .. })), "blocks edge to edge");
    let corner = tree(vec![at(0.0, 0.0, 0.0), at(10.0, 10.0, 10.0)], vec![]);
    assert!(matches!(evaluate(&corner), Err(EvaluateError::TouchingPoint { .. })), "blocks corner to corner");
}

#[test]
fn a_groove_tangent_from_inside_leaves_no_wall() {
    let big = cyl(frame(4.0, -20.0, 0.0, Y), 10.0, 40.0);
    let t = tree(vec![big], vec![cyl(frame(-20.0, 3.0, -8.0, X), 2.0, 50.0)]);
    assert!(evaluate(&t).is_err(), "the wall is nought where they touch");
}
