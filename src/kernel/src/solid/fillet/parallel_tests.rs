use super::*;
use crate::geometry::V2;
use crate::solid::{Tag, polygon};

fn profile(points: &[(f64, f64)]) -> Profile {
    let points: Vec<P2> = points.iter().map(|p| P2::new(p.0, p.1)).collect();
    Profile::new(polygon(&points, &[Tag::formed("body", "side")])).expect("an outline")
}

/// Every middle of a piece lies at the distance, and so do its ends.
fn true_distance(original: &Profile, moved: &[Segment], by: f64) {
    for s in moved.iter().filter(|s| s.from.x > 1e-9 || s.to.x > 1e-9) {
        for f in [0.001, 0.5, 0.999] {
            let d = original.distance(s.point(f));
            assert!((d - by).abs() < 1e-4, "{d} for {by} at {:?}", s.point(f));
        }
    }
}

fn area(moved: Vec<Segment>) -> f64 {
    Profile::new(moved).expect("a closed outline").area()
}

/// Steiner's formula: a convex outline grows by perimeter × distance and one full circle.
#[test]
fn a_rectangle_grows_by_steiners_formula() {
    let p = profile(&[(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)]);
    let moved = outline(&p, 4.0, false).expect("an outline");
    true_distance(&p, &moved, 4.0);
    let want = 600.0 + 100.0 * 4.0 + std::f64::consts::PI * 16.0;
    assert!((area(moved) - want).abs() < 1e-9, "area for {want}");
}

/// A notch narrower than twice the distance fills up, whatever lies at its bottom.
#[test]
fn a_narrow_notch_fills_up() {
    let p = profile(&[
        (0.0, 0.0),
        (30.0, 0.0),
        (30.0, 20.0),
        (18.0, 20.0),
        (17.0, 12.0),
        (15.0, 11.0),
        (12.0, 20.0),
        (0.0, 20.0),
    ]);
    for by in [1.0, 2.0, 2.9, 3.1, 5.0, 12.0] {
        let moved = outline(&p, by, false).expect("an outline");
        true_distance(&p, &moved, by);
    }
}

/// A stepped shaft with eased inner corners smaller and larger than the distance.
#[test]
fn eased_steps_of_a_shaft() {
    let p = profile(&[
        (0.0, 0.0),
        (20.0, 0.0),
        (20.0, 10.0),
        (30.0, 14.0),
        (32.0, 40.0),
        (50.0, 46.0),
        (50.0, 60.0),
        (0.0, 60.0),
    ]);
    let enlarged = crate::solid::round_corners(p.segments(), &|c| if c.turn < 0.0 { 6.0 } else { 0.0 });
    let p = Profile::new(enlarged).expect("an outline");
    for by in [1.0, 5.0, 5.9, 6.1, 7.0, 9.0, 15.0, 40.0] {
        let moved = outline(&p, by, true).unwrap_or_else(|| panic!("{by}: no outline"));
        true_distance(&p, &moved, by);
        assert!(moved.iter().all(|s| s.from.x > -1e-9), "{by}: beyond the axis");
        area(moved);
    }
}

/// A conical pit in a shaft's end closes from the axis.
#[test]
fn a_pit_on_the_axis() {
    let p = profile(&[(0.0, 4.0), (10.0, 0.0), (20.0, 0.0), (20.0, 30.0), (0.0, 30.0)]);
    let moved = outline(&p, 3.0, true).expect("an outline");
    true_distance(&p, &moved, 3.0);
    let start = P2::new(0.0, 4.0 - 3.0 / (V2::new(10.0, 4.0).normalize().x));
    assert!((moved[0].from - start).norm() < 1e-9, "{:?} for {start:?}", moved[0].from);
}

fn disc(x: f64, y: f64, radius: f64) -> Profile {
    Profile::new(crate::solid::circle(P2::new(x, y), radius, &Tag::formed("body", "boss"))).expect("a disc")
}

/// A rectangle's room is the smaller rectangle with rounded corners: width times length less (4 - pi) r².
#[test]
fn the_room_in_a_rectangle() {
    let p = profile(&[(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]);
    let room = room_within(&p, 6.0, &[], 4.0).expect("a room");
    let want = 48.0 * 28.0 - (4.0 - std::f64::consts::PI) * 16.0;
    assert!((area(room) - want).abs() < 1e-9, "area for {want}");
    assert!(room_within(&p, 16.5, &[], 4.0).is_none(), "no disc fits between the walls");
}

/// A boss in the middle of a side takes a half disc, and the fillets beside it: by hand, from the triangle of the centres of
/// boss and fillet and the foot on the wall.
#[test]
fn a_boss_at_the_wall_takes_its_part_with_fillets() {
    let p = profile(&[(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]);
    let (wall, boss, r) = (6.0, 8.0, 3.0);
    let room = room_within(&p, wall, &[disc(30.0, wall, boss)], r).expect("a room");
    let plain = area(room_within(&p, wall, &[], r).expect("a room"));
    // Fillet centre: r above the wall, boss + r from the boss's centre on the wall.
    let angle = (r / (boss + r)).asin();
    let triangle = 0.5 * r * (boss + r) * angle.cos();
    let sectors = 0.5 * boss * boss * angle + 0.5 * r * r * (std::f64::consts::FRAC_PI_2 - angle);
    let taken = 0.5 * std::f64::consts::PI * boss * boss + 2.0 * (triangle - sectors);
    let own = area(room);
    assert!((plain - own - taken).abs() < 1e-9, "{own} of {plain}, less {taken}");
}

/// Bosses in all corners, one of them cut by the outline: every place of the room's border is as far off as it should be.
#[test]
fn bosses_in_corners_round_the_room() {
    let p = profile(&[(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]);
    let bosses = [disc(10.0, 10.0, 7.0), disc(50.0, 10.0, 7.0), disc(50.0, 30.0, 7.0), disc(2.0, 38.0, 9.0)];
    let room = room_within(&p, 5.0, &bosses, 2.5).expect("a room");
    for s in &room {
        let q = s.point(0.5);
        assert!(p.contains(q) && p.distance(q) > 5.0 - 1e-9, "{q}");
        assert!(bosses.iter().all(|b| !b.contains(q) || b.distance(q) < 1e-9), "{q}");
    }
    assert!(room.iter().filter(|s| s.arc.is_some_and(|a| !a.1)).count() >= 3, "bosses show");
}
