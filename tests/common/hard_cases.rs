//! Sound solids that have broken some kernel: coincident faces, tangencies, corners on edges.
//! Volumes by elementary geometry (Bronshtein, "Handbook of Mathematics", Stereometry) where they have a closed
//! form, else by counting.

use std::f64::consts::PI;

use solidwright::geometry::P2;
use solidwright::solid::{SolidTree, polygon, turned};

use super::cases::Cases;
use super::{X, Y, Z, block, cyl, frame, frustum, pad, prism, solid, sphere, tag, torus, tree};

pub fn small_cylinder_through_a_large_one_has_two_loops(out: &mut Cases) {
    let t = tree(
        vec![cyl(frame(0.0, 0.0, -30.0, Z), 20.0, 60.0)],
        vec![cyl(frame(-40.0, 0.0, 3.0, X), 4.0, 80.0)],
    );
    out.counted("through hole", &t);
}

/// The hole's highest line is `depth` inside the outer cylinder's side: at 0.01 mm a lens 4 mm long, 0.1 mm deep.
pub fn a_grazing_cylinder(depth: f64) -> SolidTree {
    tree(
        vec![cyl(frame(0.0, 0.0, -30.0, Z), 20.0, 60.0)],
        vec![cyl(frame(-40.0, 24.0 - depth, 0.0, X), 4.0, 80.0)],
    )
}

/// A torus (20, 6) without what lies beyond the plane x = `at`.
pub fn torus_up_to(at: f64) -> SolidTree {
    tree(vec![torus(frame(0.0, 0.0, 0.0, Z), 20.0, 6.0)], vec![block([at, -40.0, -40.0], [80.0, 80.0, 80.0])])
}

pub fn plane_sections_of_a_torus(out: &mut Cases) {
    let (big, small) = (20.0, 6.0);
    out.counted("one oval", &torus_up_to(22.0));
    out.counted("two ovals", &torus_up_to(5.0));
    out.counted("a bean", &torus_up_to(15.0));
    out.counted("across the axis", &torus_up_to(0.0));
    // Tangent from inside: a figure of eight. The part beyond the plane is sound.
    let far = tree(
        vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)],
        vec![block([big - small - 80.0, -40.0, -40.0], [80.0, 80.0, 80.0])],
    );
    out.counted("far part of the figure of eight", &far);
    let whole = 2.0 * PI * PI * big * small * small;
    out.exact("tangent outside", &torus_up_to(big + small), whole);
    // A flat cut through the middle, and one tangent to the top ring.
    let flat = |z: f64| {
        tree(
            vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)],
            vec![block([-40.0, -40.0, z], [80.0, 80.0, 40.0])],
        )
    };
    out.exact("middle of a torus", &flat(0.0), whole / 2.0);
    out.exact("top ring of a torus", &flat(small), whole);
}

/// A pocket of radius 15 whose end is rounded by 3, so that the flat end has radius 12; a wall's plane touches the circle there, to
/// the third order where it cuts the rounding. The rounding's part of the volume: π∫(12 + √(9 − h²))² dh.
pub fn walls_that_touch_the_flat_end_of_a_pocket(out: &mut Cases) {
    let corner = P2::new(12.0, 25.0);
    let corners = [
        P2::new(0.0, -1.0),
        P2::new(15.0, -1.0),
        P2::new(15.0, 25.0),
        P2::new(12.0, 28.0),
        P2::new(0.0, 28.0),
    ];
    let mut profile = polygon(&corners, &[tag("pocket")]);
    profile[2].arc = Some((corner, true));
    let pocket = 15.0 * 15.0 * 25.0 * PI + PI * (432.0 + 54.0 * PI + 18.0);
    for across in [20.0, 33.0, 60.0] {
        let wall = block([12.0, -0.5 * across, 10.0], [48.0, across, 30.0]);
        let bowl = solidwright::solid::Primitive::revolve("pocket", frame(0.0, 0.0, 0.0, Z), profile.clone());
        let t = tree(vec![block([-40.0, -40.0, 0.0], [80.0, 80.0, 50.0]), wall], vec![bowl.unwrap()]);
        let metal = 80.0 * 80.0 * 50.0 + 20.0 * across * 30.0;
        out.exact(&format!("wall of {across} beside a pocket's flat end"), &t, metal - pocket);
    }
}

pub fn slab_as_wide_as_its_tube(out: &mut Cases) {
    let r = 10.0;
    let tube = || cyl(frame(0.0, 0.0, 0.0, Z), r, 40.0);
    for start in [0.0, 3.0, -4.0] {
        let slab = block([start, -r, 5.0], [30.0 - start, 2.0 * r, 20.0]);
        out.counted(&format!("slab from {start}"), &tree(vec![tube(), slab], vec![]));
    }
    let t = tree(
        vec![tube(), block([0.0, -r, 0.0], [30.0, 2.0 * r, 40.0])],
        vec![cyl(frame(0.0, 0.0, -1.0, Z), 6.0, 42.0)],
    );
    out.exact("slab flush at all sides", &t, 40.0 * (PI * r * r / 2.0 + 30.0 * 2.0 * r - PI * 36.0));
}

pub fn boss_flush_with_a_pad(out: &mut Cases) {
    let plate = pad(frame(0.0, 0.0, 0.0, Z), 40.0, 30.0, 5.0, 10.0, 0.0);
    out.counted("flush boss", &tree(vec![plate, cyl(frame(20.0, 0.0, 0.0, Z), 8.0, 10.0)], vec![]));
}

/// A plate with two holes of radius 5 about x = ± `half`.
pub fn two_holes(half: f64) -> SolidTree {
    let hole = |x: f64| cyl(frame(x, 0.0, -1.0, Z), 5.0, 10.0);
    tree(vec![block([-30.0, -20.0, 0.0], [60.0, 40.0, 8.0])], vec![hole(-half), hole(half)])
}

pub fn holes_that_meet_or_nearly(out: &mut Cases) {
    out.counted("overlapping holes", &two_holes(4.0));
    out.exact("a wall of two microns", &two_holes(5.001), 60.0 * 40.0 * 8.0 - 2.0 * PI * 25.0 * 8.0);
}

pub fn hole_through_an_edge_and_through_a_corner(out: &mut Cases) {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    let along = tree(vec![cube()], vec![cyl(frame(0.0, 0.0, -5.0, Z), 6.0, 40.0)]);
    out.exact("hole along an edge", &along, 8000.0 - PI * 36.0 / 4.0 * 20.0);
    // The same hole as two that meet on the edge, and as one.
    let halves = vec![
        cyl(frame(0.0, 10.0, 0.0, [1.0, 0.0, 1.0]), 4.0, 60.0),
        cyl(frame(0.0, 10.0, 0.0, [-1.0, 0.0, -1.0]), 4.0, 60.0),
    ];
    let one = tree(vec![cube()], vec![cyl(frame(-20.0, 10.0, -20.0, [1.0, 0.0, 1.0]), 4.0, 90.0)]);
    let volume = solid(&one).unwrap_or_else(|e| panic!("hole across an edge: {e}")).mass().volume;
    out.exact("hole across an edge", &tree(vec![cube()], halves), volume);
    let corner = cyl(frame(-10.0, -10.0, -10.0, [1.0, 1.0, 1.0]), 4.0, 60.0);
    out.counted("hole through a corner", &tree(vec![cube()], vec![corner]));
    out.counted("ball at a corner", &tree(vec![cube()], vec![sphere(frame(20.0, 20.0, 20.0, Z), 7.0)]));
}

/// A block of 40 with a conical drill point 12 deep from height `z`, and further cuts.
pub fn countersunk(z: f64, more: Option<solidwright::solid::Primitive>) -> SolidTree {
    let drill = frustum(frame(0.0, 0.0, z, [0.0, 0.0, -1.0]), 8.0, 0.0, 12.0);
    let cuts = std::iter::once(drill).chain(more).collect();
    tree(vec![block([-20.0, -20.0, -20.0], [40.0, 40.0, 40.0])], cuts)
}

pub fn cone_apex_inside_and_on_a_face(out: &mut Cases) {
    let left = 64_000.0 - PI * 64.0 * 12.0 / 3.0;
    out.exact("apex inside", &countersunk(20.0, None), left);
    out.exact("a void with an apex", &countersunk(6.0, None), left);
    out.counted("apex just through", &countersunk(-8.1, None));
    let across = |y: f64| Some(cyl(frame(-30.0, y, 8.0, X), 3.0, 60.0));
    out.counted("cross hole through the apex", &countersunk(20.0, across(0.0)));
    out.counted("hole wall through the apex", &countersunk(20.0, across(3.0)));
}

pub fn counterbore_bottom_flush_with_a_step(out: &mut Cases) {
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
    out.exact(
        "bore step in the plane of the shoulder",
        &tree(vec![shaft], vec![bore]),
        PI * (900.0 * 50.0 + 400.0 * 40.0 - 144.0 * 50.0 - 64.0 * 40.0),
    );
}

/// Outside and bore in halves, two ends: no trace of the joint.
pub fn equal_coaxial_bores_end_to_end(out: &mut Cases) {
    let body = || cyl(frame(0.0, 0.0, 0.0, X), 20.0, 60.0);
    let volume = PI * (400.0 - 64.0) * 60.0;
    let bores = vec![cyl(frame(-1.0, 0.0, 0.0, X), 8.0, 31.0), cyl(frame(30.0, 0.0, 0.0, X), 8.0, 31.0)];
    out.exact("two bores are one", &tree(vec![body()], bores), volume).faces = Some(6);
    let overlap = vec![cyl(frame(-1.0, 0.0, 0.0, X), 8.0, 40.0), cyl(frame(25.0, 0.0, 0.0, X), 8.0, 40.0)];
    out.exact("overlapping bores", &tree(vec![body()], overlap), volume).faces = Some(6);
}

pub fn bosses_inside_and_voids(out: &mut Cases) {
    let cube = || block([0.0, 0.0, 0.0], [20.0, 20.0, 20.0]);
    let hidden = tree(vec![cube(), cyl(frame(10.0, 10.0, 5.0, Z), 3.0, 8.0)], vec![]);
    out.exact("boss wholly inside", &hidden, 8000.0).faces = Some(6);
    out.exact("twice the same is once", &tree(vec![cube(), cube()], vec![]), 8000.0);
    let void = tree(vec![cube()], vec![sphere(frame(10.0, 10.0, 10.0, Z), 5.0)]);
    out.exact("a round void", &void, 8000.0 - 4.0 / 3.0 * PI * 125.0);
}

pub fn edges_through_corners_and_faces_in_planes(out: &mut Cases) {
    // A block turned by 45° whose edges run through the corners of another, faces flush above and below.
    let a = block([-10.0, -10.0, 0.0], [20.0, 20.0, 10.0]);
    let r = 10.0 * 2.0_f64.sqrt();
    let points = [P2::new(-r, 0.0), P2::new(0.0, -r), P2::new(r, 0.0), P2::new(0.0, r)];
    let b = prism(frame(0.0, 0.0, 0.0, Z), polygon(&points, &[tag("turned")]), 10.0, 0.0);
    out.counted("star", &tree(vec![a, b], vec![]));
    let stack = vec![block([0.0, 0.0, 0.0], [10.0, 10.0, 10.0]), block([0.0, 0.0, 10.0], [10.0, 10.0, 5.0])];
    // Equal names: no trace of the joint.
    out.exact("stacked blocks", &tree(stack, vec![]), 1500.0).edges = Some(12);
}

pub fn crossing_cylinders_nearly_equal(out: &mut Cases) {
    for d in [1e-2, 1e-3, 1e-4, 1e-5, 1e-6] {
        let t = tree(
            vec![cyl(frame(-30.0, 0.0, 0.0, X), 5.0, 60.0), cyl(frame(0.0, -30.0, 0.0, Y), 5.0 + d, 60.0)],
            vec![],
        );
        out.counted(&format!("radii {d} apart"), &t);
    }
}

/// The small one runs along the big one's wall: branches cross where they touch.
pub fn cylinders_that_touch_from_inside(out: &mut Cases) {
    let big = cyl(frame(4.0, -20.0, 0.0, Y), 10.0, 40.0);
    out.counted("touching from inside", &tree(vec![big, cyl(frame(-20.0, 3.0, -8.0, X), 2.0, 50.0)], vec![]));
}

/// A hole, a boss's foot or a wall that starts right at an edge of another: they touch in a point of that edge, and nothing
/// is nought thick there.
pub fn edges_that_touch_in_a_point(out: &mut Cases) {
    // A roof that is level up to x = 0 and rises from there: the hole's rim starts at the kink.
    let corners = [(-30.0, 0.0), (30.0, 0.0), (30.0, 25.0), (0.0, 10.0), (-30.0, 10.0)];
    let points = corners.map(|(x, y)| P2::new(x, y));
    let roof = || {
        let f = frame(0.0, 20.0, 0.0, [0.0, -1.0, 0.0]);
        prism(
            solidwright::geometry::Frame::from_zx(f.origin, f.z, X.into()),
            polygon(&points, &[tag("roof")]),
            40.0,
            0.0,
        )
    };
    let whole = 40.0 * (30.0 * 10.0 + 30.0 * 17.5);
    let hole = |x: f64| cyl(frame(x, 0.0, -1.0, Z), 5.0, 60.0);
    let beyond = |x: f64| PI * 25.0 * (10.0 + 0.5 * x);
    out.exact("a hole that starts at a kink", &tree(vec![roof()], vec![hole(5.0)]), whole - beyond(5.0));
    out.exact("a hole that ends at a kink", &tree(vec![roof()], vec![hole(-5.0)]), whole - 250.0 * PI);

    // A conical hollow that runs on as a cylinder, and a cross bore that starts where they meet.
    let cube = || block([-40.0, -40.0, -40.0], [80.0, 80.0, 80.0]);
    let hollow = |kink: f64| {
        let points = [(0.0, -41.0), (30.0, -41.0), (20.0, kink), (20.0, 41.0), (0.0, 41.0)];
        turned("hollow", frame(0.0, 0.0, 0.0, X), &points, &[tag("hollow")]).unwrap()
    };
    let bore = |x: f64, axis: [f64; 3]| cyl(frame(x, 0.0, 0.0, axis), 8.0, 60.0);
    out.counted("a cross bore behind a kink", &tree(vec![cube()], vec![hollow(0.0), bore(8.0, Z)]));
    out.counted("a cross bore ahead of a kink", &tree(vec![cube()], vec![hollow(0.0), bore(-8.0, Y)]));
    let two = vec![hollow(0.0), bore(8.0, Z), bore(-8.0, [0.0, 1.0, 1.0])];
    out.counted("a cross bore on either side", &tree(vec![cube()], two));

    // A pad in the plane of the hollow's rounded step: its corners touch that plane along lines, the rounding touches it
    // along a circle, and so they touch each other where line and circle cross.
    let shell = cyl(frame(-40.0, 0.0, 0.0, X), 20.0, 80.0);
    for width in [20.0, 22.0, 30.0] {
        let on_top = pad(frame(12.5, 0.0, 0.0, Z), 25.0, width, 5.0, 30.0, 0.0);
        let t = tree(vec![shell.clone(), on_top], vec![rounded_step(12.0, 8.0, 1.0)]);
        out.counted(&format!("a pad of {width} flush with a rounded step"), &t);
    }

    // A boss with a rounded foot on a plate, its foot touched by a hole's rim.
    let plate = block([-40.0, -40.0, -10.0], [80.0, 80.0, 10.0]);
    let (foot, rim) = (3.0, 5.5);
    let boss = rounded_boss(12.0, foot, 20.0);
    let metal = PI * 144.0 * 20.0 + foot_volume(12.0, foot);
    let t = tree(vec![plate, boss], vec![cyl(frame(15.0 + rim, 0.0, -11.0, Z), rim, 60.0)]);
    out.exact("a rim that touches a rounded foot", &t, 80.0 * 80.0 * 10.0 + metal - PI * rim * rim * 10.0);
}

/// A hollow about the x axis, of one radius up to x = 0 and a smaller one behind, with a round of radius `round` at the
/// step's outer corner.
fn rounded_step(ahead: f64, behind: f64, round: f64) -> solidwright::solid::Primitive {
    use solidwright::solid::{Primitive, Segment};
    let corners = [
        (0.0, -41.0),
        (ahead, -41.0),
        (ahead, -round),
        (ahead - round, 0.0),
        (behind, 0.0),
        (behind, 41.0),
        (0.0, 41.0),
    ];
    let points = corners.map(|(x, y)| P2::new(x, y));
    let n = points.len();
    let line = |i: usize| Segment { from: points[i], to: points[(i + 1) % n], arc: None, tag: tag("hollow") };
    let mut outline: Vec<Segment> = (0..n).map(line).collect();
    outline[2].arc = Some((P2::new(ahead - round, -round), true));
    Primitive::revolve("hollow", frame(0.0, 0.0, 0.0, X), outline).unwrap()
}

/// A boss of radius `r` that runs out into the plane z = 0 with a quarter round of radius `foot`, reaching below it.
fn rounded_boss(r: f64, foot: f64, height: f64) -> solidwright::solid::Primitive {
    use solidwright::solid::{Primitive, Segment};
    let p = |x: f64, y: f64| P2::new(x, y);
    let line = |from: P2, to: P2| Segment { from, to, arc: None, tag: tag("boss") };
    let outer = r + foot;
    let corners = [p(0.0, -5.0), p(outer, -5.0), p(outer, 0.0), p(r, foot), p(r, height), p(0.0, height)];
    let mut outline: Vec<Segment> = (0..6).map(|i| line(corners[i], corners[(i + 1) % 6])).collect();
    outline[2] = Segment { arc: Some((p(outer, foot), false)), ..line(corners[2], corners[3]) };
    Primitive::revolve("boss", frame(0.0, 0.0, 0.0, Z), outline).unwrap()
}

/// What the quarter round adds: a square of side `foot` less a quarter disc, turned (Pappus).
fn foot_volume(r: f64, foot: f64) -> f64 {
    let (square, quarter) = (foot * foot, PI * foot * foot / 4.0);
    let centre = 4.0 * foot / (3.0 * PI);
    2.0 * PI * (square * (r + 0.5 * foot) - quarter * (r + foot - centre))
}
