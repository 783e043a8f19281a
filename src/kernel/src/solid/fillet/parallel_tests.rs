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
