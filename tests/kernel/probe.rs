//! Distances against closed forms, and against samples on whole housings.

#![allow(clippy::unwrap_used, clippy::missing_assert_message, reason = "a test may")]

use std::collections::BTreeMap;
use std::path::Path;

use crate::common::{X, Z, block, cyl, frame, pad, prism, solid, sphere, torus, tree};
use rayon::prelude::*;
use solidwright::geometry::{P2, P3, Surface, V3};
use solidwright::probe::{Probe, Wall};
use solidwright::solid::{Brep, Solid, SolidTree, polygon};
use tailpattern::design::Design;
use tailpattern::{housing, params};

/// Chord error of the meshes, mm.
const CHORD: f64 = 0.15;

/// What closed forms are met to, mm.
const CLOSE: f64 = 1e-6;

fn made(tree: &SolidTree) -> Solid {
    solid(tree).unwrap()
}

fn probe(solid: &Solid) -> Probe<'_> {
    Probe::new(solid, CHORD).unwrap()
}

/// Faces on cylinders of a radius.
fn round(brep: &Brep, radius: f64) -> Vec<usize> {
    faces(brep, |s| matches!(s, Surface::Cylinder(c) if (c.radius - radius).abs() < 1e-9))
}

fn faces(brep: &Brep, which: impl Fn(&Surface) -> bool) -> Vec<usize> {
    (0..brep.faces.len()).filter(|f| which(&brep.faces[*f].surface)).collect()
}

/// The least wall between two sets of faces.
fn wall(solid: &Solid, a: &[usize], b: &[usize], bound: f64) -> Option<Wall> {
    let group = |f: usize| a.contains(&f).then_some(0).or(b.contains(&f).then_some(1));
    probe(solid).least_walls(bound, group).into_iter().find(|w| w.groups == [0, 1])
}

fn check(what: &str, found: f64, wanted: f64) {
    assert!((found - wanted).abs() < CLOSE, "{what}: {found}, by closed form {wanted}");
}

/// No sample's wall between two groups is thinner than the least, and the places of the least lie on their faces.
fn hold_against_samples(
    what: &str,
    solid: &Solid,
    bound: f64,
    allowed: f64,
    group: impl Fn(usize) -> u32 + Sync,
) {
    let (probe, brep) = (probe(solid), solid.brep());
    let walls = probe.least_walls(bound, |f| Some(group(f)));
    let least: BTreeMap<[u32; 2], f64> = walls.iter().map(|w| (w.groups, w.thickness)).collect();
    for w in &walls {
        check("the places' distance", (w.points[0] - w.points[1]).norm(), w.thickness);
        for (f, p) in w.faces.iter().zip(w.points) {
            assert!(brep.faces[*f].surface.f(p).abs() < CLOSE, "{what}: on its surface");
            let near = probe.nearest(p, |other| other == *f, 1.0).unwrap();
            assert!(near.distance < CLOSE, "{what}: inside its loops");
        }
    }
    let samples = probe.samples(20_000, 7);
    assert!(samples.len() > 19_900, "{what}: {} samples", samples.len());
    let found: Vec<_> = samples
        .par_iter()
        .map(|s| {
            let ray = probe.wall_by_ray(s).map(|h| (h.face, h.distance));
            (s, [ray, probe.wall_by_ball(s).map(|b| (b.touches[1].0, 2.0 * b.radius))])
        })
        .collect();
    let mut walls = 0;
    for (s, found) in found {
        for (how, (face, size)) in ["ray", "ball"].iter().zip(found).filter_map(|(h, f)| Some((h, f?))) {
            let (a, b) = (group(s.face), group(face));
            walls += 1;
            let known = least.get(&[a.min(b), a.max(b)]).copied().unwrap_or(bound);
            assert!(
                size > known - allowed,
                "{what}: {how} at {} from {} to {}: {size}, least {known}",
                s.point,
                brep.faces[s.face].tag,
                brep.faces[face].tag
            );
        }
    }
    assert!(walls > 10_000, "{what}: {walls} walls");
}

#[test]
fn eccentric_bore_leaves_radius_less_bore_less_offset() {
    for (outer, bore, off) in [(20.0, 15.0, 2.0), (20.0, 15.0, 0.003), (31.7, 12.0, 11.3)] {
        let solid = made(&tree(
            vec![cyl(frame(0.0, 0.0, 0.0, Z), outer, 40.0)],
            vec![cyl(frame(off * 0.6, off * 0.8, -1.0, Z), bore, 42.0)],
        ));
        let brep = solid.brep();
        let w = wall(&solid, &round(brep, outer), &round(brep, bore), 10.0).unwrap();
        check("eccentric bore", w.thickness, outer - bore - off);
        let probe = probe(&solid);
        let found = probe.samples(3_000, 1).into_iter().filter_map(|s| probe.wall_by_ball(&s));
        let thinnest = found.map(|b| 2.0 * b.radius).fold(f64::INFINITY, f64::min);
        assert!(thinnest > outer - bore - off - CLOSE && thinnest < outer - bore - off + 0.02, "{thinnest}");
    }
}

#[test]
fn skew_holes_are_apart_by_their_axes_less_both_radii() {
    let (a, b) = ([1.0, 0.1, 0.0], [0.2, 1.0, 0.3]);
    let (p, q) = (P3::new(-60.0, -3.0, -7.0), P3::new(2.0, -55.0, -4.0));
    let solid = made(&tree(
        vec![block([-30.0, -30.0, -30.0], [60.0, 60.0, 60.0])],
        vec![cyl(frame(p.x, p.y, p.z, a), 4.0, 130.0), cyl(frame(q.x, q.y, q.z, b), 3.0, 130.0)],
    ));
    let brep = solid.brep();
    let (a, b) = (V3::from(a), V3::from(b));
    let normal = a.cross(&b);
    let wanted = (q - p).dot(&normal).abs() / normal.norm() - 7.0;
    assert!(wanted > 1.0, "{wanted}");
    let (one, other) = (round(brep, 4.0), round(brep, 3.0));
    check("skew holes", probe(&solid).least_distance(&one, &other).unwrap().distance, wanted);
    check("the metal between", wall(&solid, &one, &other, 20.0).unwrap().thickness, wanted);
}

#[test]
fn ball_shaped_void_in_a_block() {
    let solid = made(&tree(
        vec![block([0.0, 0.0, 0.0], [40.0, 50.0, 60.0])],
        vec![sphere(frame(18.0, 25.0, 30.0, [0.3, 0.5, 0.8]), 15.0)],
    ));
    let brep = solid.brep();
    let balls = faces(brep, |s| matches!(s, Surface::Sphere(_)));
    let planes = faces(brep, |s| matches!(s, Surface::Plane(_)));
    check("void", wall(&solid, &balls, &planes, 5.0).unwrap().thickness, 3.0);
    check("void", probe(&solid).least_distance(&planes, &balls).unwrap().distance, 3.0);
    let near = probe(&solid).nearest(P3::new(18.0, 25.0, 31.0), |_| true, 100.0).unwrap();
    check("from the middle of the void", near.distance, 14.0);
    let near = probe(&solid).nearest(P3::new(43.0, 54.0, 30.0), |_| true, 100.0).unwrap();
    check("from beside an edge", near.distance, 5.0);
    let near = probe(&solid).nearest(P3::new(42.0, 53.0, 66.0), |_| true, 100.0).unwrap();
    check("from beside a corner", near.distance, 7.0);
}

#[test]
fn ring_shaped_void_in_a_block() {
    let solid = made(&tree(
        vec![block([0.0, 0.0, 0.0], [60.0, 60.0, 30.0])],
        vec![torus(frame(28.0, 30.0, 14.0, Z), 18.0, 6.5)],
    ));
    let brep = solid.brep();
    let rings = faces(brep, |s| matches!(s, Surface::Torus(_)));
    let planes = faces(brep, |s| matches!(s, Surface::Plane(_)));
    check("ring", wall(&solid, &rings, &planes, 5.0).unwrap().thickness, 28.0 - 24.5);
    let probe = probe(&solid);
    let hit = probe.ray(P3::new(-5.0, 33.0, 15.0), V3::x(), None).unwrap();
    check("the block's side", hit.distance, 5.0);
    let hit = probe.ray(hit.point, V3::x(), Some(hit.face)).unwrap();
    let across = 18.0 + (6.5_f64 * 6.5 - 1.0).sqrt();
    check("the ring", hit.distance, 28.0 - (across * across - 9.0).sqrt());
}

#[test]
fn drafted_rib_is_thinnest_at_its_top() {
    // Both sides lean towards each other upwards: the shortest way joins the two edges of the top.
    let (width, height, draft) = (8.0, 30.0, 3.0_f64);
    let points = [P2::new(-20.0, 0.0), P2::new(20.0, 0.0), P2::new(20.0, width), P2::new(-20.0, width)];
    let solid = made(&tree(
        vec![prism(frame(0.0, 0.0, 0.0, Z), polygon(&points, &[crate::common::tag("side")]), height, draft)],
        vec![],
    ));
    let brep = solid.brep();
    let at = |y: f64| {
        let on = |f: &usize| probe(&solid).nearest(P3::new(0.0, y, 1.0), |g| g == *f, 0.5).is_some();
        (0..brep.faces.len()).filter(on).collect::<Vec<_>>()
    };
    let top = width - 2.0 * height * draft.to_radians().tan();
    let found = wall(&solid, &at(0.0), &at(width), 10.0).unwrap();
    check("rib", found.thickness, top);
    let half = width / 2.0;
    // A ball in the rib, clear of its ends, touches both sides.
    let s = probe(&solid)
        .samples(5_000, 3)
        .into_iter()
        .find(|s| s.outward.y < -0.9 && s.point.z > 10.0 && s.point.z < 20.0 && s.point.x.abs() < 10.0);
    let s = s.unwrap();
    let ball = probe(&solid).wall_by_ball(&s).unwrap();
    // Its centre lies in the middle plane: distance along the normal from a leaning side.
    let (sn, cs) = draft.to_radians().sin_cos();
    check("ball", ball.radius, (half - s.point.y) / cs);
    assert!((ball.center.y - half).abs() < CLOSE && s.outward.z > 0.0 && (s.outward.z - sn).abs() < CLOSE);
}

#[test]
fn cross_hole_beside_a_bore() {
    // A tube with a hole across its wall's length that misses the bore: distance of the axes less both radii.
    let solid = made(&tree(
        vec![cyl(frame(0.0, 0.0, 0.0, X), 30.0, 80.0)],
        vec![
            cyl(frame(-1.0, 0.0, 0.0, X), 15.0, 82.0),
            cyl(frame(40.0, -40.0, 22.0, [0.0, 1.0, 0.0]), 3.0, 80.0),
        ],
    ));
    let brep = solid.brep();
    let (bore, hole, outside) = (round(brep, 15.0), round(brep, 3.0), round(brep, 30.0));
    check("to the bore", wall(&solid, &bore, &hole, 9.0).unwrap().thickness, 22.0 - 18.0);
    check("to the outside", probe(&solid).least_distance(&hole, &outside).unwrap().distance, 0.0);
    hold_against_samples("cross hole", &solid, 9.0, 1e-3, |f| {
        if bore.contains(&f) { 0 } else { u32::from(hole.contains(&f)) + 1 }
    });
}

#[test]
fn tapping_hole_beside_a_rounded_corner() {
    // An M8 tapping hole of 6.8 mm: from the centre of a corner of radius 8 it lies off by 2.5 mm towards the corner.
    let (size, corner, drill) = (60.0, 8.0, 6.8);
    let off = 2.5 / 2.0_f64.sqrt();
    let at = size / 2.0 - corner + off;
    let solid = made(&tree(
        vec![pad(frame(0.0, 0.0, 0.0, Z), size, size, corner, 20.0, 0.0)],
        vec![cyl(frame(at, at, 4.0, Z), drill / 2.0, 20.0)],
    ));
    let brep = solid.brep();
    let (hole, rounds) = (round(brep, drill / 2.0), round(brep, corner));
    check("hole", wall(&solid, &hole, &rounds, 5.0).unwrap().thickness, 2.10);
    hold_against_samples("pad", &solid, 5.0, 1e-3, |f| u32::from(hole.contains(&f)));
}

#[test]
fn counterbore_corner_to_a_chamfer() {
    // The edge at the foot of a counterbore is nearest to the cone outside.
    let outer = solidwright::solid::turned(
        "body",
        frame(0.0, 0.0, 0.0, Z),
        &[(0.0, 0.0), (12.0, 0.0), (20.0, 8.0), (20.0, 40.0), (0.0, 40.0)],
        &[crate::common::tag("body")],
    );
    let solid = made(&tree(vec![outer.unwrap()], vec![cyl(frame(0.0, 0.0, 5.0, Z), 13.0, 40.0)]));
    let brep = solid.brep();
    let cones = faces(brep, |s| matches!(s, Surface::Cone(_)));
    // From (13, 5) square to the line from (12, 0) to (20, 8).
    check("corner", wall(&solid, &cones, &round(brep, 13.0), 5.0).unwrap().thickness, 4.0 / 2.0_f64.sqrt());
    hold_against_samples("counterbore", &solid, 8.0, 1e-3, |f| f as u32);
}

#[test]
fn rod_is_as_thick_as_it_is_and_its_edges_are_no_wall() {
    let solid = made(&tree(vec![cyl(frame(0.0, 0.0, 0.0, Z), 3.0, 40.0)], vec![]));
    let brep = solid.brep();
    let side = round(brep, 3.0);
    let probe = probe(&solid);
    let walls = probe.least_walls(10.0, |f| side.contains(&f).then_some(0));
    check("rod", walls[0].thickness, 6.0);
    for s in probe.samples(2_000, 5).iter().filter(|s| side.contains(&s.face)) {
        match probe.wall_by_ball(s) {
            Some(ball) => check("ball", ball.radius, 3.0),
            None => assert!(s.point.z < 3.0 || s.point.z > 37.0, "{}", s.point),
        }
        let ball = probe.ball(s).unwrap();
        check("towards an end", ball.radius, 3.0_f64.min(s.point.z).min(40.0 - s.point.z));
    }
}

fn shipped(name: &str) -> Solid {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(name);
    let design = Design::validate(params::load(&path).unwrap().1.unwrap()).value.unwrap();
    housing::build(&design).unwrap().solid
}

#[test]
fn no_sample_of_a_housing_finds_a_thinner_wall() {
    for name in ["minimal.yaml", "solid_pads.yaml"] {
        let solid = shipped(name);
        let brep = solid.brep();
        let mut names: Vec<_> = brep.faces.iter().map(|f| f.tag.feature.clone()).collect();
        names.sort();
        names.dedup();
        let feature = |f: usize| names.binary_search(&brep.faces[f].tag.feature).unwrap() as u32;
        hold_against_samples(name, &solid, 12.0, 0.005, feature);
        hold_against_samples(name, &solid, 12.0, 0.005, |f| f as u32);
    }
}

/// Rays from the surface of a filleted housing into all directions: whether one is met is told as by the place that it meets first.
#[test]
fn a_ray_is_met_where_it_meets_something() {
    let solid = shipped("minimal.yaml");
    let probe = probe(&solid);
    let samples = probe.samples(2000, 4);
    let [mut met, mut free] = [0, 0];
    for (sample, other) in samples.iter().zip(samples.iter().rev()) {
        let (from, way) = (sample.point + sample.outward * 2e-3, other.outward);
        let first = probe.ray(from, way, None).map(|hit| hit.distance);
        for length in [1.0, 30.0, f64::INFINITY] {
            let wanted = first.is_some_and(|distance| distance < length);
            assert_eq!(probe.is_met(from, way, length), wanted, "from {from} along {way}, up to {length}");
            if wanted {
                met += 1;
            } else {
                free += 1;
            }
        }
    }
    assert!(met > 1000 && free > 1000, "{met} met and {free} free");
}

#[test]
fn answers_do_not_depend_on_the_number_of_threads() {
    let solid = shipped("minimal.yaml");
    let asked = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let probe = probe(&solid);
            let samples = probe.samples(500, 2);
            let balls: Vec<_> = samples.par_iter().map(|s| probe.ball(s)).collect();
            format!("{samples:?} {balls:?} {:?}", probe.least_walls(12.0, |f| Some(f as u32)))
        })
    };
    assert_eq!(asked(1), asked(3), "one and three threads");
}
