//! One sound boundary and one broken one for each check.

use crate::geometry::{Curve, P3, V3};
use crate::solid::samples::{self, Builder};
use crate::solid::{Brep, BrepShell, HalfEdge};

use super::{BoundaryFault, FaultKind, validate};

fn cube() -> Brep {
    samples::cuboid(P3::origin(), V3::new(2.0, 3.0, 4.0))
}

fn plate() -> Brep {
    let outline = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)];
    samples::prism(&samples::skew(), &outline, &[(10.0, 10.0, 4.0), (25.0, 8.0, 6.0)], 5.0)
}

fn faults(brep: &Brep) -> Vec<BoundaryFault> {
    validate(brep).expect_err("the boundary is broken")
}

fn has(brep: &Brep, wanted: impl Fn(&FaultKind) -> bool) {
    let found = faults(brep);
    assert!(found.iter().any(|f| wanted(&f.kind)), "not among {found:?}");
}

#[test]
fn sound_boundaries_pass() {
    let frame = samples::skew();
    let hollow = samples::with_void(samples::sphere(&frame, 9.0), &samples::torus(&frame, 4.0, 1.0));
    let cases: [(&str, Brep, &[usize]); 8] = [
        ("cube", cube(), &[0]),
        ("plate with two holes", plate(), &[2]),
        ("cylinder", samples::cylinder(&frame, 3.0, 8.0), &[0]),
        ("cone", samples::cone(&frame, 3.0, 8.0), &[0]),
        ("frustum", samples::frustum(&frame, 3.0, 4.0, 8.0), &[0]),
        ("sphere", samples::sphere(&frame, 3.0), &[0]),
        ("torus", samples::torus(&frame, 5.0, 1.0), &[1]),
        ("hollow ball", hollow, &[0, 1]),
    ];
    for (name, brep, genus) in cases {
        let report = validate(&brep).unwrap_or_else(|e| panic!("{name}: {e:?}"));
        assert_eq!(report.genus, genus, "{name}");
    }
    let report = validate(&cube()).expect("a cube is sound");
    assert!(report.shortest_edge.is_some_and(|(_, l)| (l - 2.0).abs() < 1e-12), "{report:?}");
}

#[test]
fn a_missing_face_leaves_edges_used_once() {
    let mut b = cube();
    b.faces.pop();
    b.shells[0].faces.pop();
    has(&b, |k| matches!(k, FaultKind::EdgeUses { count: 1, .. }));
    has(&b, |k| matches!(k, FaultKind::VolumeByAxis { .. } | FaultKind::AreaVector { .. }));
    has(&b, |k| matches!(k, FaultKind::Euler { vertices: 8, edges: 12, faces: 5, holes: 0, .. }));
    assert!(
        faults(&b).iter().any(|f| f.faces.iter().map(ToString::to_string).eq(["sample/face 0"])),
        "faces are named"
    );
}

#[test]
fn a_turned_face_runs_along_its_edges_in_the_wrong_sense() {
    let mut b = cube();
    let turned: Vec<HalfEdge> = b.faces[2].loops[0].iter().rev().map(|h| samples::reversed(*h)).collect();
    b.faces[2].loops[0] = turned;
    has(&b, |k| matches!(k, FaultKind::EdgeSense { .. }));
    has(&b, |k| matches!(k, FaultKind::LoopSense { face: 2, ring: 0, .. }));
}

#[test]
fn a_face_with_the_wrong_sense_of_its_surface_is_inside_out() {
    let mut b = plate();
    b.faces[5].same_sense ^= true;
    has(&b, |k| matches!(k, FaultKind::LoopSense { face: 5, .. }));
}

#[test]
fn a_boundary_turned_inside_out_has_no_volume() {
    let mut b = samples::with_void(Brep::default(), &samples::torus(&samples::skew(), 5.0, 1.0));
    has(&b, |k| matches!(k, FaultKind::Volume { .. }));
    b.shells[0].void = false;
    has(&b, |k| matches!(k, FaultKind::ShellSense { void: false, .. }));
}

#[test]
fn a_loop_with_a_gap_is_open() {
    let mut b = cube();
    b.faces[1].loops[0].swap(0, 1);
    has(&b, |k| matches!(k, FaultKind::LoopOpen { face: 1, ring: 0 }));
}

#[test]
fn vertices_without_edges_dangle() {
    let mut b = cube();
    b.vertices.push(P3::new(9.0, 9.0, 9.0));
    has(&b, |k| matches!(k, FaultKind::Dangling { vertex: 8 }));
}

#[test]
fn two_cubes_that_share_a_vertex_are_not_manifold() {
    let mut b = cube();
    let other = samples::cuboid(P3::new(2.0, 3.0, 4.0), V3::new(1.0, 1.0, 1.0));
    let (e0, f0) = (b.edges.len(), b.faces.len());
    let corner = b.vertices.iter().position(|p| (p - P3::new(2.0, 3.0, 4.0)).norm() < 1e-12);
    let corner = corner.expect("the far corner");
    let ids: Vec<usize> = other
        .vertices
        .iter()
        .map(|p| {
            if (p - b.vertices[corner]).norm() < 1e-12 {
                return corner;
            }
            b.vertices.push(*p);
            b.vertices.len() - 1
        })
        .collect();
    for mut e in other.edges {
        (e.start, e.end) = (ids[e.start], ids[e.end]);
        b.edges.push(e);
    }
    for mut f in other.faces {
        f.loops.iter_mut().flatten().for_each(|h| h.edge += e0);
        b.faces.push(f);
    }
    b.shells.push(BrepShell { faces: (f0..b.faces.len()).collect(), void: false });
    has(&b, |k| matches!(k, FaultKind::Umbrella { fans: 2, .. }));
}

#[test]
fn a_moved_vertex_is_off_its_edges() {
    let mut b = cube();
    b.vertices[0].x += 1e-4;
    has(&b, |k| matches!(k, FaultKind::EdgeEnd { vertex: 0, .. }));
}

#[test]
fn an_edge_beside_its_surface_is_seen() {
    let mut b = samples::cylinder(&samples::skew(), 3.0, 8.0);
    for e in &mut b.edges {
        if let Curve::Circle(c) = &mut e.curve {
            c.radius += 1e-5;
        }
    }
    has(&b, |k| matches!(k, FaultKind::OffSurface { .. }));
}

#[test]
fn edges_of_no_length_are_refused() {
    let mut b = cube();
    b.edges[0].range.1 = b.edges[0].range.0;
    has(&b, |k| matches!(k, FaultKind::EdgeShort { edge: 0, .. }));
}

#[test]
fn faces_must_be_in_one_shell_that_hangs_together() {
    let mut b = cube();
    b.shells[0].faces.pop();
    has(&b, |k| matches!(k, FaultKind::ShellOfFace { face: 5, count: 0 }));
    let mut apart = Builder { brep: cube() };
    let more = samples::with_void(apart.brep.clone(), &cube());
    apart.brep = more;
    let second = apart.brep.shells.pop().expect("two shells");
    apart.brep.shells[0].faces.extend(second.faces);
    has(&apart.brep, |k| matches!(k, FaultKind::ShellApart { pieces: 2, .. }));
}

#[test]
fn wrong_numbers_are_reported_alone() {
    let mut b = cube();
    b.faces[0].loops[0][0].edge = 99;
    assert!(
        matches!(faults(&b)[..], [BoundaryFault { kind: FaultKind::Missing { index: 99, .. }, .. }]),
        "index"
    );
    let mut b = cube();
    b.vertices[1].y = f64::NAN;
    has(&b, |k| matches!(k, FaultKind::NotFinite { what: "vertex", index: 1 }));
    has(&Brep::default(), |k| matches!(k, FaultKind::Empty));
}
