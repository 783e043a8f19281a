#![allow(clippy::unwrap_used, reason = "a test may")]

use std::f64::consts::PI;

use super::*;
use solidwright::geometry::{Frame, P2, P3};
use solidwright::solid::{Primitive, SolidTree, polygon, turned};

/// A prism along the shaft over an outline of (side, height), mm.
fn prism(name: &str, (from, to): (f64, f64), outline: &[[f64; 2]]) -> Primitive {
    let points: Vec<P2> = outline.iter().map(|[side, height]| P2::new(*side, *height)).collect();
    let tags: Vec<Tag> = (0..points.len()).map(|k| Tag::formed(name, &format!("side {k}"))).collect();
    let frame = Frame::from_zx(P3::new(from, 0.0, 0.0), V3::x(), V3::y());
    let ends = [Tag::formed(name, "front"), Tag::formed(name, "rear")];
    Primitive::prism(name, frame, polygon(&points, &tags), to - from, 0.0, ends).unwrap()
}

/// A block; its sides are 0 the lowest, then 1 to the right, 2 the highest, 3 to the left.
fn block(name: &str, along: (f64, f64), side: (f64, f64), height: (f64, f64)) -> Primitive {
    let corners = [[side.0, height.0], [side.1, height.0], [side.1, height.1], [side.0, height.1]];
    prism(name, along, &corners)
}

fn undercuts_of(bodies: Vec<Primitive>) -> Vec<Undercut> {
    let mut tree = SolidTree::new();
    for body in bodies {
        tree.add(body);
    }
    undercuts(&Solid::of(tree).unwrap(), V3::z()).unwrap()
}

/// The faces found are those expected, each with its area within a share, and under the face named.
fn assert_found(found: &[Undercut], expected: &[(&str, Option<&str>, f64)], share: f64) {
    let named = |u: &Undercut| (u.tag.to_string(), u.under.as_ref().map(ToString::to_string));
    for (face, under, area) in expected {
        let own = (face.to_string(), under.map(str::to_owned));
        let u = found.iter().find(|u| named(u) == own).unwrap_or_else(|| panic!("no {own:?} in {found:#?}"));
        assert!((u.area - area).abs() <= share * area, "{own:?}: {} mm² for {area}", u.area);
    }
    assert_eq!(found.len(), expected.len(), "{found:#?}");
}

/// A rib 30 x 4 mm under a plate 40 x 24 mm, 30 mm over the parting plane.
#[test]
fn a_plate_over_a_rib() {
    let found = undercuts_of(vec![
        block("rib", (-15.0, 15.0), (-2.0, 2.0), (-5.0, 33.0)),
        block("plate", (-20.0, 20.0), (-12.0, 12.0), (30.0, 36.0)),
    ]);
    let plate = "plate/side 0";
    assert_found(
        &found,
        &[
            (plate, None, 40.0 * 24.0 - 30.0 * 4.0),
            ("rib/side 1", Some(plate), 900.0),
            ("rib/side 3", Some(plate), 900.0),
            ("rib/front", Some(plate), 120.0),
            ("rib/rear", Some(plate), 120.0),
        ],
        1e-6,
    );
}

/// A plate stands on one side of a pin, 20 mm over the parting plane: it holds its own underside, and the half of the pin's wall below it, in closed
/// form. The facets of that wall have other corners at its foot than where the plate meets it.
#[test]
fn a_plate_beside_a_pin() {
    let profile = |r: f64, from: f64, to: f64| {
        let corners = [P2::new(0.0, from), P2::new(r, from), P2::new(r, to), P2::new(0.0, to)];
        polygon(&corners, &["end", "wall", "top", "axis"].map(|role| Tag::formed("pin", role)))
    };
    let frame = Frame::from_zx(P3::origin(), V3::z(), V3::x());
    let pin = Primitive::revolve("pin", frame, profile(20.0, -5.0, 40.0)).unwrap();
    let found = undercuts_of(vec![pin, block("plate", (-30.0, 30.0), (0.0, 30.0), (20.0, 25.0))]);
    let under = Some("plate/side 0");
    let expected =
        [("plate/side 0", None, 60.0 * 30.0 - 0.5 * PI * 400.0), ("pin/wall", under, PI * 20.0 * 20.0)];
    assert_found(&found, &expected, 0.01);
}

/// A groove 6 mm deep and 10 mm wide in a standing cylinder of radius 20: its roof is an annulus, as is its floor.
#[test]
fn a_ring_groove() {
    let corners = [
        (0.0, -5.0),
        (20.0, -5.0),
        (20.0, 15.0),
        (14.0, 15.0),
        (14.0, 25.0),
        (20.0, 25.0),
        (20.0, 40.0),
        (0.0, 40.0),
    ];
    let tags = ["end", "wall", "floor", "bottom", "roof", "wall", "top"].map(|role| Tag::formed("pin", role));
    let frame = Frame::from_zx(P3::origin(), V3::z(), V3::x());
    let found = undercuts_of(vec![turned("pin", frame, &corners, &tags).unwrap()]);
    let annulus = PI * (20.0_f64.powi(2) - 14.0_f64.powi(2));
    let roof = Some("pin/roof");
    let expected = [
        ("pin/roof", None, annulus),
        ("pin/floor", roof, annulus),
        ("pin/bottom", roof, 2.0 * PI * 14.0 * 10.0),
    ];
    assert_found(&found, &expected, 0.02);
}

/// A groove of radius 6 in a standing cylinder of radius 20, its middle line 23.6 from the axis: from the line at which it stands
/// along the pull, its lower part lies in the shadow of its upper one, to the very line (areas by Pappus's theorem). The mesh has facets
/// across that line; what they cover of themselves was lost.
#[test]
fn a_hollow_groove_is_in_its_own_shadow_up_to_its_middle() {
    let (middle, radius) = (P2::new(23.6, 20.0), 6.0);
    let place = |deg: f64| {
        let (s, c) = deg.to_radians().sin_cos();
        P2::new(middle.x - radius * c, middle.y + radius * s)
    };
    let (from, to) = (place(-0.6_f64.acos().to_degrees()), place(70.0));
    assert!((from.x - 20.0).abs() < 1e-12, "the groove begins at the wall");
    let points = [P2::new(0.0, -5.0), P2::new(20.0, -5.0), from, to, P2::new(to.x, 40.0), P2::new(0.0, 40.0)];
    let tags = ["end", "wall", "groove", "rim", "top", "axis"].map(|role| Tag::formed("pin", role));
    let mut outline = polygon(&points, &tags);
    outline[2].arc = Some((middle, false));
    let frame = Frame::from_zx(P3::origin(), V3::z(), V3::x());
    let found = undercuts_of(vec![Primitive::revolve("pin", frame, outline).unwrap()]);
    let ring =
        |from: f64, to: f64| 2.0 * PI * radius * (middle.x * (to - from) - radius * (to.sin() - from.sin()));
    let groove = Some("pin/groove");
    let expected = [
        ("pin/groove", None, ring(SLOPE.asin(), 70.0_f64.to_radians())),
        ("pin/groove", groove, ring(0.0, 0.6_f64.acos())),
        ("pin/wall", groove, 2.0 * PI * 20.0 * from.y),
    ];
    assert_found(&found, &expected, 0.01);
}

/// An arm 30 x 8 mm stands off a column over a floor.
#[test]
fn a_cantilever() {
    let found = undercuts_of(vec![
        block("floor", (-10.0, 60.0), (-20.0, 20.0), (-3.0, 3.0)),
        block("column", (-5.0, 5.0), (-4.0, 4.0), (0.0, 30.0)),
        block("arm", (0.0, 35.0), (-4.0, 4.0), (20.0, 30.0)),
    ]);
    let arm = "arm/side 0";
    let expected =
        [(arm, None, 240.0), ("floor/side 2", Some(arm), 240.0), ("column/rear", Some(arm), 17.0 * 8.0)];
    assert_found(&found, &expected, 0.03);
}

/// A face that leans by 30 degrees and passes through the parting plane counts on one side of that only, to the edge.
#[test]
fn a_leaning_face_is_cut_at_the_parting_plane() {
    let lean = 30.0_f64.to_radians();
    let at = |side: f64, height: f64| [side + height * lean.tan(), height];
    let outline = [at(-15.0, -10.0), at(15.0, -10.0), at(15.0, 14.0), at(-15.0, 14.0)];
    let found = undercuts_of(vec![prism("bar", (-20.0, 20.0), &outline)]);
    let area = |height: f64| height / lean.cos() * 40.0;
    assert_found(&found, &[("bar/side 1", None, area(14.0)), ("bar/side 3", None, area(10.0))], 1e-6);
}

/// A plain cylinder about the shaft, however its mesh is turned to the parting plane: it once was an undercut.
#[test]
fn a_half_cylinder_can_be_drawn() {
    for turn in [0.0_f64, 0.05, 0.3, 0.77, 1.1] {
        let frame = Frame::from_zx(P3::origin(), V3::x(), V3::new(0.0, turn.cos(), turn.sin()));
        let tags = ["front", "seat", "rear"].map(|role| Tag::formed("core", role));
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 80.0), (0.0, 80.0)];
        assert_eq!(undercuts_of(vec![turned("core", frame, &corners, &tags).unwrap()]), vec![], "{turn}");
    }
}

/// A wall that leans by 1.1 degrees against the pull, so little that each part of it is forgiven: over 60 mm it hangs over
/// the floor by more than rapping frees, over 20 mm it does not.
#[test]
fn a_forgiven_lean_adds_up() {
    let lean = 1.1_f64.to_radians().tan();
    let wall = |height: f64| {
        let top = 20.0 + lean * height;
        let outline = [[0.0, 0.0], [20.0 - 3.0 * lean, 0.0], [top, 3.0 + height], [0.0, 3.0 + height]];
        undercuts_of(vec![
            block("floor", (-50.0, 50.0), (-30.0, 60.0), (-3.0, 3.0)),
            prism("wall", (-40.0, 40.0), &outline),
        ])
    };
    assert_found(&wall(60.0), &[("floor/side 2", Some("wall/side 1"), 60.0 * lean * 80.0)], 0.06);
    assert_eq!(wall(20.0), vec![]);
}

/// A lip that is no deeper than the pattern is rapped does not hold it.
#[test]
fn rapping_frees_a_shallow_lip() {
    let lip = |deep: f64| {
        undercuts_of(vec![
            block("post", (-20.0, 20.0), (-10.0, 10.0), (-5.0, 12.0)),
            block("lip", (-20.0 - deep, 20.0 + deep), (-10.0 - deep, 10.0 + deep), (10.0, 15.0)),
        ])
    };
    assert_eq!(lip(0.4), vec![]);
    let under = |u: &Undercut| u.under.is_some();
    let deep = lip(0.8);
    assert_eq!(deep.iter().filter(|u| under(u)).count(), 4, "the post's sides: {deep:#?}");
    assert_eq!(deep.iter().filter(|u| !under(u)).count(), 1, "the lip: {deep:#?}");
}

/// A plate on a rib and an arm beside it: the estimates by which partings are ranked are near what is traced, and the least of all is the
/// least of those traced.
#[test]
fn partings_are_ranked_as_they_are_traced() {
    let mut tree = SolidTree::new();
    tree.add(block("rib", (-15.0, 15.0), (-2.0, 2.0), (-5.0, 33.0)));
    tree.add(block("plate", (-20.0, 20.0), (-12.0, 12.0), (30.0, 36.0)));
    tree.add(block("arm", (2.0, 12.0), (-30.0, 0.0), (8.0, 15.0)));
    let solid = Solid::of(tree).unwrap();
    let mesh = triangulate(&solid, ROUGH_CHORD).unwrap();
    let boundary = Arc::new(Boundary::of([(solid.brep(), &mesh)]));
    let ranking = Ranking::of(&boundary);
    let traced = |up: V3| held_faces(&[up, -up].map(|pull| Traced::rough(&boundary, pull)));
    let area = |up: V3| traced(up).iter().map(|u| u.area).sum::<f64>();
    let areas: Vec<f64> = (0..36).map(|k| area(upwards(5.0 * f64::from(k)))).collect();
    for (k, area) in areas.iter().enumerate() {
        let estimate = ranking.area(upwards(5.0 * k as f64));
        assert!((estimate - area).abs() < 0.15 * area + 100.0, "at {k}: {estimate} mm² for {area}");
    }
    let least = areas.iter().copied().fold(f64::INFINITY, f64::min);
    let most = areas.iter().copied().fold(0.0, f64::max);
    let found = by_clock(&solid).unwrap();
    let best = found.iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
    assert!((best.1 - area(upwards(best.0))).abs() < 1e-9, "the least one was traced");
    assert!(
        best.1 <= 1.1 * least && most > 1000.0,
        "{best:?}, where {least} mm² is the least, {most} the most"
    );
}
