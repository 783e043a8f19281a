use std::f64::consts::PI;

use super::*;
use crate::geometry::{Frame, P2, V2, V3};
use crate::solid::validate::validate;
use crate::solid::{cylinder, rounded_rectangle};

fn wish(radius: f64) -> impl Fn(&Tag, &Tag) -> Option<Wish> {
    move |a, b| {
        let differ = a.feature != b.feature;
        differ.then(|| Wish { radius, tag: Tag::cast(&a.feature, &format!("fillet to {}", b.feature)) })
    }
}

fn cast(feature: &str) -> [Tag; 3] {
    ["side", "bottom", "top"].map(|r| Tag::cast(feature, r))
}

fn round(feature: &str, frame: Frame, radius: f64, height: f64) -> Primitive {
    cylinder(feature, frame, radius, height, &cast(feature)).expect("a cylinder")
}

fn block(feature: &str, frame: Frame, size: V2, corner: f64, height: f64) -> Primitive {
    let [side, bottom, top] = cast(feature);
    let outline = rounded_rectangle(P2::origin(), size, corner, &side);
    Primitive::prism(feature, frame, outline, height, 0.0, [bottom, top]).expect("a prism")
}

/// Volume that the fillets add, after all checks of the solid.
fn added(bodies: &[Primitive], radius: f64) -> (f64, Vec<Joint>) {
    let mut tree = SolidTree::new();
    for b in bodies {
        tree.add(b.clone());
    }
    let sharp = validate(&evaluate(&tree).expect("a boundary")).expect("a sound solid").mass.volume;
    let Fillets { metal, joints } = Ground::new(bodies).fillets(&wish(radius), &[]);
    for m in metal {
        tree.add(m);
    }
    let brep = evaluate(&tree).expect("a filleted boundary");
    let report = validate(&brep).expect("a sound filleted solid");
    (report.mass.volume - sharp, joints)
}

fn all_made(joints: &[Joint], radius: f64) {
    assert!(!joints.is_empty(), "no joints");
    for j in joints {
        assert!((j.made - radius).abs() < 1e-12 && j.open_ends == 0, "{j:?}");
    }
}

/// Pappus: the ring at the foot of a round boss adds πr²·[(2−π/2)R + (5/3−π/2)r] (kernel's reference formula).
#[test]
fn boss_on_a_plate() {
    let plate = block("plate", Frame::world(), V2::new(100.0, 80.0), 5.0, 10.0);
    let boss = round("boss", Frame::world().moved_to(P3::new(3.0, 2.0, 5.0)), 12.0, 30.0);
    let (volume, joints) = added(&[plate, boss], 4.0);
    all_made(&joints, 4.0);
    let (big, r) = (12.0, 4.0);
    let want = PI * r * r * ((2.0 - PI / 2.0) * big + (5.0 / 3.0 - PI / 2.0) * r);
    assert!((volume - want).abs() < 1e-7 * want, "{volume} for {want}");
}

/// A square pad with rounded corners: straight stretches of section (1 − π/4)r², rings at the corners.
#[test]
fn pad_on_a_plate() {
    let plate = block("plate", Frame::world(), V2::new(100.0, 80.0), 5.0, 10.0);
    let pad = block("pad", Frame::world().moved_to(P3::new(0.0, 0.0, 5.0)), V2::new(40.0, 30.0), 6.0, 20.0);
    let (volume, joints) = added(&[plate, pad], 3.0);
    all_made(&joints, 3.0);
    let (big, r) = (6.0, 3.0);
    let ring = PI * r * r * ((2.0 - PI / 2.0) * big + (5.0 / 3.0 - PI / 2.0) * r);
    let want = ring + (1.0 - PI / 4.0) * r * r * 2.0 * (28.0 + 18.0);
    assert!((volume - want).abs() < 1e-7 * want, "{volume} for {want}");
}

#[test]
fn boss_on_a_tube() {
    let tube = round("tube", Frame::from_z(P3::new(-60.0, 0.0, 0.0), V3::x()), 40.0, 120.0);
    let boss = round("boss", Frame::from_zx(P3::origin(), V3::z(), V3::x()), 15.0, 70.0);
    let (volume, joints) = added(&[tube, boss], 5.0);
    all_made(&joints, 5.0);
    assert!(volume > 0.0, "{volume}");
}

#[test]
fn pad_on_a_tube() {
    let tube = round("tube", Frame::from_z(P3::new(-60.0, 0.0, 0.0), V3::x()), 40.0, 120.0);
    let pad = block("pad", Frame::world(), V2::new(50.0, 40.0), 8.0, 60.0);
    let (volume, joints) = added(&[tube, pad], 5.0);
    all_made(&joints, 5.0);
    assert!(volume > 0.0, "{volume}");
}

/// Three walls: a boss beside a wall on a plate has two ball corners.
#[test]
fn corners_of_three_walls() {
    let plate = block("plate", Frame::world(), V2::new(100.0, 80.0), 5.0, 10.0);
    let wall =
        block("wall", Frame::world().moved_to(P3::new(0.0, 20.0, 5.0)), V2::new(70.0, 12.0), 6.0, 45.0);
    let boss = round("boss", Frame::world().moved_to(P3::new(0.0, 10.0, 5.0)), 12.0, 30.0);
    let (volume, joints) = added(&[plate, wall, boss], 3.0);
    assert!(volume > 0.0, "{volume} {joints:#?}");
}

#[test]
fn pad_on_a_cone() {
    let points = [(0.0, 0.0), (70.0, 0.0), (45.0, 180.0), (0.0, 180.0)];
    let frame = Frame::from_z(P3::new(-90.0, 0.0, 0.0), V3::x());
    let cone = crate::solid::turned("cone", frame, &points, &cast("cone")).expect("a cone");
    let pad = block("pad", Frame::world(), V2::new(114.3, 88.9), 9.525, 95.0);
    let (volume, joints) = added(&[cone, pad], 3.81);
    all_made(&joints, 3.81);
    assert!(volume > 0.0, "{volume}");
}

/// A round post against a block of its own height: two upright fillets that end flush above and below.
#[test]
fn flush_ends() {
    let plate = block("plate", Frame::world(), V2::new(60.0, 40.0), 4.0, 12.0);
    let post = round("post", Frame::world().moved_to(P3::new(32.0, 0.0, 0.0)), 10.0, 12.0);
    let (volume, joints) = added(&[plate, post], 3.0);
    all_made(&joints, 3.0);
    // Between a straight wall and a circle of radius R whose centre lies d beyond it, rolling ball r: by plane geometry.
    let (big, d, r) = (10.0f64, 2.0f64, 3.0f64);
    let y = ((big + r).powi(2) - (r - d).powi(2)).sqrt();
    let corner = (big * big - d * d).sqrt();
    // Area between wall, circle and ball: the triangle of the two centres' feet less two sectors.
    let angle_post = (r - d).atan2(y);
    let post_sector = 0.5 * big * big * ((d).atan2(corner) + angle_post);
    let ball_sector = 0.5 * r * r * (PI / 2.0 - angle_post);
    // Polygon: circle's centre (2,0), ball's centre (3,y), ball's foot on the wall (0,y), wall's corner (0,corner).
    let shoelace = |p: &[(f64, f64)]| -> f64 {
        (0..p.len()).map(|i| p[i].0 * p[(i + 1) % p.len()].1 - p[(i + 1) % p.len()].0 * p[i].1).sum::<f64>()
            / 2.0
    };
    let polygon = shoelace(&[(d, 0.0), (r, y), (0.0, y), (0.0, corner)]).abs();
    let want = 2.0 * 12.0 * (polygon - post_sector - ball_sector);
    assert!((volume - want).abs() < 1e-6 * want.abs(), "{volume} for {want}");
}

/// A wall that changes its name along a circle under the boss: the fillet is that of the plain wall, its volume too.
#[test]
fn boss_over_a_change_of_name() {
    let boss = || round("boss", Frame::from_zx(P3::new(3.0, 0.0, 0.0), V3::z(), V3::x()), 15.0, 70.0);
    let axis = |x: f64| Frame::from_z(P3::new(x, 0.0, 0.0), V3::x());
    let plain = added(&[round("tube", axis(-60.0), 40.0, 120.0), boss()], 5.0);
    all_made(&plain.1, 5.0);
    let points = [(0.0, 0.0), (40.0, 0.0), (40.0, 60.0), (40.0, 120.0), (0.0, 120.0)];
    let tags = ["end", "front", "rear", "end", "axis"].map(|r| Tag::cast("tube", r));
    let renamed = crate::solid::turned("tube", axis(-60.0), &points, &tags).expect("a tube of two names");
    let halves = [round("front", axis(-60.0), 40.0, 60.0), round("rear", axis(0.0), 40.0, 60.0)];
    for bodies in [vec![renamed, boss()], halves.into_iter().chain([boss()]).collect()] {
        let (volume, joints) = added(&bodies, 5.0);
        all_made(&joints, 5.0);
        assert!((volume - plain.0).abs() < 1e-7 * plain.0, "{volume} for {}", plain.0);
    }
}

/// Two posts that stand apart by less than the ball: it rests on both, but there is no joint to fill.
#[test]
fn a_gap_is_not_bridged() {
    let plate = block("plate", Frame::world(), V2::new(100.0, 80.0), 5.0, 10.0);
    let post = |name: &str, x: f64| round(name, Frame::world().moved_to(P3::new(x, 0.0, 5.0)), 12.0, 30.0);
    let (volume, joints) = added(&[plate, post("left", -13.0), post("right", 13.0)], 4.0);
    assert!(volume > 0.0, "{volume}");
    let gaps = joints
        .iter()
        .filter(|j| j.faces.iter().all(|f| f.role.as_ref() == "side" && f.feature.as_ref() != "plate"));
    for j in gaps {
        assert!(j.made == 0.0 && j.trouble.is_some(), "{j:?}");
    }
}

/// A disc about the x axis whose ends lean away from the plane z = 0 by a draft.
fn roofed(name: &str, radius: f64, from: f64, to: f64, draft: f64) -> Primitive {
    let lean = radius * draft.tan() + 1.0;
    let frame = Frame::from_zx(P3::new(from - lean, 0.0, 0.0), V3::x(), V3::z());
    let roof = |x: f64, aft: f64| {
        let plane = |up: f64| {
            let normal = crate::solid::leaning(V3::x() * aft, V3::z() * up, draft);
            crate::geometry::Plane { frame: Frame::from_z(P3::new(x, 0.0, up * radius), normal) }
        };
        crate::solid::Cap::roof(plane(1.0), plane(-1.0), RIDGE, Tag::cast(name, "end"))
    };
    let caps = [roof(from, -1.0), roof(to, 1.0)];
    round(name, frame, radius, to - from + 2.0 * lean).capped(caps)
}

/// Radius of the ridge between leaning ends.
const RIDGE: f64 = 20.0;

/// Leaning ends add (R − |z|)·tan α on each side: over a disc πR³ − 4R³/3 times tan α.
#[test]
fn a_drafted_disc() {
    let (radius, thick, draft) = (50.0f64, 10.0, 0.03f64);
    let mut tree = SolidTree::new();
    tree.add(roofed("disc", radius, 0.0, thick, draft));
    let report = validate(&evaluate(&tree).expect("a boundary")).expect("a sound solid");
    let want = PI * radius.powi(2) * thick + 2.0 * draft.tan() * radius.powi(3) * (PI - 4.0 / 3.0);
    // The ridge's rounding takes (tan α − α)ρ² of section over the chord it runs along.
    let want = want - 2.0 * 2.0 * radius * RIDGE.powi(2) * (draft.tan() - draft);
    assert!((report.mass.volume - want).abs() < 1e-7 * want, "{} for {want}", report.mass.volume);
}

#[test]
fn a_drafted_flange_on_a_tube() {
    let flange = roofed("flange", 70.0, 0.0, 12.0, 0.026);
    let tube = round("tube", Frame::from_zx(P3::origin(), V3::x(), V3::z()), 45.0, 120.0);
    let (volume, joints) = added(&[flange, tube], 4.0);
    all_made(&joints, 4.0);
    assert!(volume > 0.0, "{volume}");
}

/// A boss with draft on a plate and on a tube; a pad with draft, seen from its face as pads are.
#[test]
fn drafted_bosses_and_pads() {
    let plate = block("plate", Frame::world(), V2::new(120.0, 100.0), 5.0, 10.0);
    let tube = round("tube", Frame::from_z(P3::new(-60.0, 0.0, 0.0), V3::x()), 40.0, 120.0);
    let points = [(0.0, 0.0), (14.0, 0.0), (12.0, 70.0), (0.0, 70.0)];
    let boss = crate::solid::turned("boss", Frame::world(), &points, &cast("boss")).expect("a boss");
    let [side, bottom, top] = cast("pad");
    let outline = rounded_rectangle(P2::origin(), V2::new(50.0, 40.0), 8.0, &side);
    let face = Frame::from_zx(P3::new(0.0, 0.0, 60.0), -V3::z(), V3::x());
    let pad = Primitive::prism("pad", face, outline, 60.0, -0.026, [bottom, top]).expect("a pad");
    for (name, bodies) in [
        ("boss on plate", [plate.clone(), boss.clone()]),
        ("pad on plate", [plate, pad.clone()]),
        ("boss on tube", [tube.clone(), boss]),
        ("pad on tube", [tube, pad]),
    ] {
        let (volume, joints) = added(&bodies, 5.0);
        assert!(
            volume > 0.0 && joints.iter().all(|j| j.made > 0.0 && j.open_ends == 0),
            "{name} {joints:#?}"
        );
    }
}
