//! Checks against ISO 216, ASME Y14.1, ISO 5455, and theorems of descriptive geometry.

#![allow(clippy::unwrap_used, reason = "a test may")]

use std::f64::consts::{FRAC_PI_2, TAU};

use solidwright::geometry::{Circle, Curve, Ellipse, Frame, P2, P3, V2, V3};

use solidwright::probe::Probe;
use solidwright::solid::{
    Primitive, Solid, SolidTree, Tag, cylinder, polygon, round_corners, rounded_rectangle,
};

use super::*;
use crate::faces::{Feature, Role};

const EXACT: f64 = 1e-9;

fn looking(right: V3, up: V3) -> Direction {
    Direction::new(right, up).unwrap()
}

/// Points of the seen curve against its own points, each projected by itself: either way round.
fn assert_seen(from: &Direction, curve: &Curve, range: (f64, f64), within: f64) -> Shape {
    let shape = from.curve(curve, range).unwrap();
    for k in 0..=40 {
        let t = f64::from(k) / 40.0;
        let seen = from.point(curve.point(range.0 + (range.1 - range.0) * t));
        let off = [t, 1.0 - t].map(|s| (shape.point(s).unwrap() - seen).norm());
        assert!(off[0].min(off[1]) < within, "{curve:?} {range:?} at {t}: off by {off:?}; {shape:?}");
    }
    shape
}

/// ISO 216: the sides of A0 are as 1 to the root of 2 and hold one square metre, and each next size is half of the one
/// before, all to whole millimetres.
#[test]
fn iso_sheets_halve() {
    let sides = |format: Format| {
        let size = format.size();
        (size.x.min(size.y), size.x.max(size.y))
    };
    let (short, long) = sides(Format::A0);
    assert!((short * long - 1e6).abs() < 1e3);
    assert!((long / short - 2.0_f64.sqrt()).abs() < 1e-3);
    for pair in Standard::Iso.formats().windows(2) {
        let (small, large) = (sides(pair[0]), sides(pair[1]));
        assert!((large.0 - small.1).abs() < EXACT, "{pair:?}");
        assert!((large.1 / 2.0 - small.0).abs() <= 0.5, "{pair:?}");
    }
}

/// ASME Y14.1: C, D and E each double the shorter side of the one two sizes before; A is 8.5 by 11 in of 25.4 mm.
#[test]
fn inch_sheets_double() {
    let size = |format: Format| format.size();
    assert!((size(Format::AsmeA) - V2::new(279.4, 215.9)).norm() < EXACT);
    for pair in Standard::Asme.formats().windows(2) {
        let (small, large) = (size(pair[0]), size(pair[1]));
        assert!((large.y - small.x).abs() < EXACT && (large.x - 2.0 * small.y).abs() < EXACT, "{pair:?}");
    }
}

/// ISO 5455: scales are 1, 2 or 5 times a power of ten, one side of them 1.
#[test]
fn scales_are_of_the_standard_and_fall() {
    for scale in SheetScale::ALL {
        assert_eq!(scale.paper.min(scale.part), 1);
        let mut factor = scale.paper.max(scale.part);
        while factor % 10 == 0 {
            factor /= 10;
        }
        assert!(matches!(factor, 1 | 2 | 5), "{scale:?}");
    }
    assert!(SheetScale::ALL.windows(2).all(|pair| pair[0].factor() > pair[1].factor()));
}

/// Worked by hand: 300 mm of part and 60 mm of dimensions do not fit in A4's 180 mm at 1:2 (210 mm), but do so in A3's
/// 390 mm at 1:1 (360 mm).
#[test]
fn the_smallest_sheet_is_taken_with_its_largest_scale() {
    let scale = |paper, part| SheetScale { paper, part };
    let chosen =
        Sheet::choose(Standard::Iso, V2::new(300.0, 100.0), V2::new(60.0, 60.0), scale(1, 2)).unwrap();
    assert_eq!(chosen, Sheet { format: Format::A3, scale: scale(1, 1) });
    let far = Sheet::choose(Standard::Iso, V2::new(9000.0, 100.0), V2::zeros(), scale(1, 2));
    assert_eq!(far, None);
}

/// A circle tilted by 60 degrees is an ellipse of ratio cos 60° = 0.5 whose major axis is the diameter across the tilt;
/// square to the eye it is a circle, from the side a line as long as the diameter (descriptive geometry).
#[test]
fn a_circle_is_seen_as_ellipse_circle_and_line() {
    let from = looking(V3::x(), V3::y());
    let tilted = V3::new(0.0, 60_f64.to_radians().sin(), 60_f64.to_radians().cos());
    let circle =
        |z: V3| Curve::Circle(Circle { frame: Frame::from_z(P3::new(3.0, -2.0, 7.0), z), radius: 20.0 });
    let range = (0.3, 4.0);
    let Shape::Ellipse(e) = assert_seen(&from, &circle(tilted), range, EXACT) else { panic!("no ellipse") };
    assert!((e.ratio - 0.5).abs() < EXACT && (e.major.norm() - 20.0).abs() < EXACT, "{e:?}");
    assert!(e.major.y.abs() < EXACT, "{e:?}");
    for z in [V3::z(), -V3::z()] {
        let Shape::Arc(arc) = assert_seen(&from, &circle(z), range, EXACT) else { panic!("no arc") };
        assert!((arc.radius - 20.0).abs() < EXACT && (arc.centre - P2::new(3.0, -2.0)).norm() < EXACT);
    }
    let Some(Shape::Line(a, b)) = from.curve(&circle(V3::x()), (0.0, TAU)) else { panic!("no line") };
    assert!(((a - b).norm() - 40.0).abs() < EXACT);
}

/// A quarter of a circle from the side reaches from its middle to its rim: one radius; turned by half of that, from
/// `r cos 45°` to `r` and back (trigonometry).
#[test]
fn a_piece_of_a_circle_from_the_side_ends_where_it_does() {
    let from = looking(V3::x(), V3::z());
    let circle = Curve::Circle(Circle { frame: Frame::world(), radius: 10.0 });
    let length = |range| match from.curve(&circle, range) {
        Some(Shape::Line(a, b)) => (a - b).norm(),
        other => panic!("{other:?}"),
    };
    assert!((length((0.0, FRAC_PI_2)) - 10.0).abs() < EXACT);
    let eighth = 0.5 * FRAC_PI_2;
    assert!((length((-eighth, eighth)) - 10.0 * (1.0 - eighth.cos())).abs() < EXACT);
}

/// An ellipse cut from a cylinder at 45 degrees is seen along the cylinder as a circle of its radius.
#[test]
fn an_oblique_cut_of_a_cylinder_is_seen_along_it_as_a_circle() {
    let frame = Frame::from_zx(P3::origin(), V3::new(1.0, 0.0, 1.0), V3::new(1.0, 0.0, -1.0));
    let cut = Curve::Ellipse(Ellipse { frame, major: 15.0 * 2.0_f64.sqrt(), minor: 15.0 });
    let shape = assert_seen(&looking(V3::x(), V3::y()), &cut, (-1.0, 2.0), EXACT);
    assert!(matches!(shape, Shape::Arc(arc) if (arc.radius - 15.0).abs() < EXACT), "{shape:?}");
    // Any other direction must agree with the points too.
    assert_seen(&looking(V3::new(1.0, 2.0, 0.5), V3::z()), &cut, (-1.0, 2.0), EXACT);
}

/// The edges of an upright cylinder: from above its two rims as arcs of its radius, from the side as lines that reach
/// its diameter; seams are seen end-on from above and left out.
#[test]
fn edges_of_a_cylinder_from_above_and_from_the_side() {
    let tags = ["bottom", "wall", "top"].map(|role| Tag::formed("post", role));
    let mut tree = SolidTree::new();
    tree.add(cylinder("post", Frame::world(), 12.0, 30.0, &tags).unwrap());
    let solid = Solid::of(tree).unwrap();
    let above = edges(solid.brep(), &looking(V3::x(), V3::y()));
    let turned: f64 = above
        .iter()
        .map(|(_, shape)| match shape {
            Shape::Arc(arc) => {
                assert!((arc.radius - 12.0).abs() < EXACT, "{arc:?}");
                arc.end - arc.start
            }
            other => panic!("{other:?}"),
        })
        .sum();
    assert!((turned - 2.0 * TAU).abs() < EXACT, "two rims, each a full turn: {turned}");
    let side = edges(solid.brep(), &looking(V3::x(), V3::z()));
    let reach = side.iter().flat_map(|(_, shape)| [0.0, 1.0].map(|s| shape.point(s).unwrap().x.abs()));
    assert!((reach.fold(0.0, f64::max) - 12.0).abs() < EXACT);
    assert!(side.iter().all(|(_, shape)| matches!(shape, Shape::Line(..))));
}

/// ISO 128-2: wide lines are twice as wide as narrow ones.
#[test]
fn wide_lines_are_twice_as_wide() {
    assert!((Weight::Wide.width() / Weight::Narrow.width() - 2.0).abs() < EXACT);
    assert_eq!(Layer::Visible.stroke().weight, Weight::Wide);
}

/// Path data of SVG 1.1, section 8.3: y points down; an arc is told by its ends, its flags 0 0 are the shorter way against
/// the clock; its lean is counted with the clock. A quarter circle about (100, 50) from 3 to 12 o'clock, and a whole
/// ellipse that leans up by 90 degrees, on an A4 of 297 mm.
#[test]
fn shapes_are_written_as_svg_says() {
    let arc = Arc { centre: P2::new(100.0, 50.0), radius: 10.0, start: 0.0, end: FRAC_PI_2 };
    let ellipse = EllipseArc {
        centre: P2::new(100.0, 97.0),
        major: V2::new(0.0, 20.0),
        ratio: 0.5,
        start: 0.0,
        end: TAU,
    };
    let on = |layer, shape| Entity { layer, shape };
    let text =
        svg(Format::A4, &[on(Layer::Visible, Shape::Arc(arc)), on(Layer::Hidden, Shape::Ellipse(ellipse))]);
    assert!(text.contains(r#"width="210mm" height="297mm" viewBox="0 0 210 297""#), "{text}");
    assert!(text.contains(r#"<path d="M110 247A10 10 0 0 0 100 237"/>"#), "{text}");
    // A third of a turn from the top: 20 cos 120° = -10 along, 10 sin 120° = 8.6603 to the left.
    assert!(text.contains(r#"<path d="M100 180A20 10 -90 0 0 91.3397 210"#), "{text}");
    assert!(text.contains(r#"stroke-dasharray="3 0.75""#), "12 and 3 widths of 0.25 mm: {text}");
}

/// A shape enlarged by half and moved: each of its points is, too.
#[test]
fn shapes_are_placed_as_their_points_are() {
    let from = looking(V3::new(1.0, 2.0, 0.5), V3::z());
    let frame = Frame::from_z(P3::new(3.0, -2.0, 7.0), V3::new(0.3, 0.2, 1.0));
    let circle = Curve::Circle(Circle { frame, radius: 20.0 });
    let shape = from.curve(&circle, (0.3, 4.0)).unwrap();
    let placed = shape.clone().placed(0.5, V2::new(40.0, -7.0));
    for k in 0..=10 {
        let s = f64::from(k) / 10.0;
        let by_point = P2::from(shape.point(s).unwrap().coords * 0.5 + V2::new(40.0, -7.0));
        assert!((placed.point(s).unwrap() - by_point).norm() < EXACT);
    }
}

/// A body of one feature along z from a frame's origin.
fn post(frame: Frame, radius: f64, height: f64) -> Primitive {
    let tags = ["bottom", "wall", "top"].map(|role| Tag::formed("post", role));
    cylinder("post", frame, radius, height, &tags).unwrap()
}

fn seen(bodies: Vec<Primitive>, chord: f64, from: &Direction) -> SeenLines {
    let mut tree = SolidTree::new();
    for body in bodies {
        tree.add(body);
    }
    let solid = Solid::of(tree).unwrap();
    view(&Probe::new(&solid, chord).unwrap(), from)
}

/// A boss of radius 5 on a shaft of radius 20, seen along the boss from behind the shaft: its rim and its foot, which is no circle in
/// space, lie on one circle. Drawn twice, the dashes of one filled the gaps of the other.
#[test]
fn a_boss_seen_along_its_axis_is_one_circle() {
    let shaft = post(Frame::from_z(P3::new(-30.0, 0.0, 0.0), V3::x()), 20.0, 60.0);
    let boss = post(Frame::world(), 5.0, 30.0);
    let lines = seen(vec![shaft, boss], CHORD, &looking(V3::x(), -V3::y()));
    let [Shape::Arc(arc)] = lines.hidden[..] else { panic!("one circle: {:?}", lines.hidden) };
    assert!((arc.radius - 5.0).abs() < EXACT && (arc.end - arc.start - TAU).abs() < EXACT, "{arc:?}");
}

/// A convex body shows its outline as a whole: nothing of a silhouette is hidden, however far apart the known points of it are. Its edges
/// that are sharp are no chains.
#[test]
fn the_outline_of_a_rounded_body_is_unbroken() {
    let tag = Tag::formed("block", "side");
    let outline = rounded_rectangle(P2::origin(), V2::new(60.0, 40.0), 15.0, &tag);
    let ends = [tag.clone(), tag];
    for chord in [CHORD, 0.5] {
        let block = Primitive::rounded_prism(
            "block",
            Frame::world(),
            outline.clone(),
            30.0,
            0.0,
            ends.clone(),
            [0.0, 6.0],
        );
        let lines =
            seen(vec![block.unwrap()], chord, &looking(V3::new(1.0, 2.0, 0.0), V3::new(-2.0, 1.0, 3.0)));
        let chains = |shapes: &[Shape]| shapes.iter().filter(|s| matches!(s, Shape::Chain(_))).count();
        assert!(chains(&lines.visible) > 0, "roundings have outlines");
        assert_eq!(chains(&lines.hidden), 0, "mesh of {chord}: {:?}", lines.hidden);
    }
}

/// A ring with drafted sides and a rounded crest about a shaft, seen across it: without a sharp edge or a silhouette there, both ends of
/// its crest are told, each as long as the ring's diameter of 56.
#[test]
fn the_ends_of_a_ring_s_crest_are_told() {
    let tag = Tag::formed("ring", "side");
    let corners = [(10.0, -5.5), (28.0, -4.0), (28.0, 4.0), (10.0, 5.5)].map(|(r, x)| P2::new(r, x));
    let sharp = polygon(&corners, &[tag.clone(), tag.clone(), tag.clone(), tag]);
    let outline = round_corners(&sharp, &|corner| if corner.before.to.x > 20.0 { 2.0 } else { 0.0 });
    let ring = Primitive::revolve("ring", Frame::from_z(P3::origin(), V3::x()), outline).unwrap();
    let shaft = post(Frame::from_z(P3::new(-30.0, 0.0, 0.0), V3::x()), 20.0, 60.0);
    let lines = seen(vec![shaft, ring], CHORD, &looking(V3::x(), V3::y()));
    let mut lengths = [0.0; 2];
    for shape in &lines.round {
        let Shape::Line(a, b) = shape else { panic!("no line: {shape:?}") };
        assert!((a.x - b.x).abs() < EXACT && a.x.abs() > 1.5 && a.x.abs() < 4.0, "{shape:?}");
        lengths[usize::from(a.x > 0.0)] += (b - a).norm();
    }
    assert!(lengths.iter().all(|length| (length - 56.0).abs() < 0.1), "{lengths:?}: {:?}", lines.round);
}

/// Letters on top of a part are drawn from above, and left out from below: their lines are shorter than a dash.
#[test]
fn signs_cast_on_are_not_drawn_from_behind() {
    let sign = Feature::Marks.formed(Role::Side);
    let tags = [sign.clone(), sign.clone(), sign];
    let bodies = || {
        let sign =
            cylinder("marks", Frame::from_z(P3::new(3.0, 0.0, 5.0), V3::z()), 2.0, 6.0, &tags).unwrap();
        vec![post(Frame::world(), 20.0, 10.0), sign]
    };
    let circles = |lines: &[Shape]| {
        lines.iter().filter(|s| matches!(s, Shape::Arc(arc) if (arc.radius - 2.0).abs() < EXACT)).count()
    };
    let above = seen(bodies(), CHORD, &looking(V3::x(), V3::y()));
    assert_eq!(circles(&above.visible), 1, "{above:?}");
    let below = seen(bodies(), CHORD, &looking(V3::x(), -V3::y()));
    assert_eq!(circles(&below.visible) + circles(&below.hidden), 0, "{below:?}");
}

/// A post seen obliquely from above, from all around: of the rim of its bottom the half towards the eye is seen (a plane through the
/// axis parts it), and the rim of its top as a whole. The silhouettes touch both rims without crossing them.
/// Places are asked 2 µm off the solid: so far behind the plane on either side a rim of that radius rises no farther.
#[test]
fn the_far_half_of_a_rim_is_hidden() {
    let near = 2.0 * (1.0_f64 - 2e-3 / 12.0).acos();
    for k in 0..12 {
        let (sin, cos) = (0.1 + TAU * f64::from(k) / 12.0).sin_cos();
        let from = looking(V3::new(cos, sin, 0.0), V3::new(-0.6 * sin, 0.6 * cos, 0.8));
        let lines = seen(vec![post(Frame::world(), 12.0, 30.0)], CHORD, &from);
        let turned = |shapes: &[Shape]| -> f64 {
            let angle = |shape: &Shape| if let Shape::Ellipse(e) = shape { e.end - e.start } else { 0.0 };
            shapes.iter().map(angle).sum()
        };
        assert!((turned(&lines.visible) - 1.5 * TAU).abs() < near, "{k}: {:?}", lines.visible);
        assert!((turned(&lines.hidden) - 0.5 * TAU).abs() < near, "{k}: {:?}", lines.hidden);
    }
}
