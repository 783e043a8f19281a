//! Raw castings whose core lay off by a known shift and tilt, and which contracted otherwise than assumed: both come back together, within
//! their stated uncertainty, and so do the walls between core and outside.

use solidwright::geometry::{P3, V3};
use tailpattern::faces::{Feature, Role};
use tailpattern::forms::Product;
use tailpattern::inspection;

use crate::inspection::{RawCasting, demo, raw_casting};
use crate::synthetic_article::{Errors, Machine, anywhere, readings};

/// By hand: places of the core are measured at q + d(x), with d from (0.3, 0.5) at the front to (0.8, −0.2) at the rear of the part; all are
/// stretched by (1 + assumed) / (1 + true).
#[test]
fn core_and_contraction_are_found_together() {
    let (design, housing, finished) = demo();
    let product = Product::new(&design, &housing);
    let RawCasting { casting, machining, probe, plan } =
        raw_casting(&product, (&design, &housing), &finished);
    let length = 340.0;
    let shift = |x: f64| V3::new(0.0, 0.3 + 0.5 * x / length, 0.5 - 0.7 * x / length);
    let (assumed, truth) = ([0.013; 3], [0.0105, 0.009, 0.009]);
    let cored = |e: usize| {
        let (feature, role) = (Feature::of(&casting.elements[e].tag), casting.elements[e].face_role());
        let bored = matches!(role, Role::BushingSeat | Role::StopBore | Role::SealCounterbore);
        feature == Feature::Cavity || (feature == Feature::Tail && bored)
    };
    for (noise, seed) in [(0.0, 1), (0.15, 2), (0.15, 3), (0.15, 5), (0.15, 7)] {
        let mut cast = plan.clone();
        for p in &mut cast.points {
            if cored(p.element) {
                p.point += shift(p.point.x);
            }
            for k in 0..3 {
                p.point[k] *= (1.0 + assumed[k]) / (1.0 + truth[k]);
            }
        }
        let article =
            readings(&casting, &cast, &Errors::new(), Machine { lies: anywhere(seed), noise, seed });
        let core =
            inspection::core_shift(&casting, &machining, &probe, &article).expect("sound").expect("told");
        let found = inspection::contraction(&casting, &machining, &probe, assumed, &article).expect("sound");
        // Without noise the surfaces' own curvature is left: less than 5 µm.
        let least = 0.005;
        for end in core.ends {
            let wanted = shift(end.station);
            for (s, wanted) in end.shift.into_iter().zip([wanted.y, wanted.z]) {
                let off = (s.value - wanted).abs();
                assert!(off < s.uncertainty.max(least), "seed {seed}: {s:?} for {wanted} at {}", end.station);
            }
        }
        for (axis, found) in found.into_iter().enumerate() {
            let found = found.expect("told");
            let off = (found.value - truth[axis]).abs();
            assert!(off < found.uncertainty.max(3e-5), "seed {seed}, axis {axis}: {found:?}");
        }
        let walls = inspection::cast_walls(&probe, &core);
        let wall = walls.first().expect("a wall");
        let near = probe.nearest(wall.at, |_| true, 1.0).expect("on the part");
        let outward = probe.brep().faces[near.face].outward(P3::from(wall.at.coords));
        let wanted = wall.planned + shift(wall.at.x).dot(&outward);
        assert!(
            (wall.left - wanted).abs() < wall.uncertainty.max(least),
            "seed {seed}: {wall:?} for {wanted}"
        );
        assert!(wall.left < wall.planned, "the thin side is told: {wall:?}");
    }
}
