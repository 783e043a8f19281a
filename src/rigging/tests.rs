//! What is placed stands free, and its metal is counted right.

use super::*;
use crate::checks::feeding;
use crate::housing;
use std::f64::consts::PI;

fn placed(text: &str) -> (Casting, Feeding, Rigging, Design) {
    let design = Design::of_text(text);
    let finished = housing::build(&design).expect("a part");
    let casting = crate::forms::casting(&design, &finished).expect("a casting");
    let advised = feeding(&design, &casting).expect("advice");
    let placed = rigging(&design, &casting, &advised).expect("a rigging");
    (casting, advised, placed, design)
}

/// Places of a body's surface.
fn surface(body: &RiggingBody) -> Vec<P3> {
    triangulate(&body.solid, 0.5).expect("a mesh").vertices
}

/// Each lump is fed once, chilled, or told; what stands about the demonstration lies in free sand, but for the ends of necks and gates and the
/// beds of chills; and the kilograms are the volumes times the density.
#[test]
fn the_demonstration_is_fed_and_gated_in_free_sand() {
    let (casting, advised, placed, design) = placed(include_str!("../../params/demo_mm.yaml"));
    for k in 0..advised.lumps.len() {
        let fed = placed.feeders.iter().filter(|f| f.feeds.contains(&k)).count();
        let chilled = placed.chills.iter().filter(|c| c.lump == k).count();
        let left = usize::from(placed.left.contains(&k));
        assert_eq!(fed + chilled + left, 1, "lump {k}: {:?}", advised.lumps[k]);
    }
    assert!(!placed.feeders.is_empty() && placed.gates.is_some(), "{placed:?}");
    let pattern = pattern_outside(&casting).expect("a pattern");
    for body in &placed.bodies {
        let points = surface(body);
        let within = points.iter().filter(|p| pattern.contains(**p)).count();
        assert!(2 * within <= points.len() + 2, "{}: {within} of {} in the pattern", body.name, points.len());
    }
    for feeder in &placed.feeders {
        let up = casting.settings.up;
        for turn in 0..24 {
            let (s, c) = (PI / 12.0 * f64::from(turn)).sin_cos();
            let way =
                (V3::x() * c + casting.settings.across() * s) * (0.5 * feeder.feeder.diameter + 0.5 * SAND);
            for height in
                [-feeder.below, 0.0, 0.5 * feeder.feeder.height, feeder.feeder.height - feeder.below]
            {
                assert!(!pattern.contains(feeder.at + way + up * height), "{feeder:?}");
            }
        }
        let metal = if feeder.whole {
            [&feeder.feeds[..], &feeder.counted[..]].concat()
        } else {
            feeder.feeds.clone()
        };
        let volumes: f64 = metal.iter().map(|k| advised.lumps[*k].volume).sum();
        let wanted = crate::standards::feeding::feed_volume(volumes, 0.05, 0.14).expect("a feeder");
        assert!(feeder.feeder.volume >= 0.999 * wanted, "{feeder:?}");
        assert!(feeder.feeder.height - feeder.below > advised.gating.heights[0], "over the casting's top");
    }
    let kilograms: f64 =
        placed.bodies.iter().filter(|b| b.poured).map(|b| design.casting().mass(b.volume)).sum();
    assert!((kilograms - placed.fed - placed.gated).abs() < 1e-9 * kilograms, "{kilograms}");
    assert!(
        (placed.gating.choke / gating_for(&casting, placed.poured(), placed.gating.wall).choke - 1.0).abs()
            < 0.02
    );
}

/// The gates drawn are as large together as the gating asks for, unless they would be thicker than two walls; so is the sprue's foot (geometry,
/// derived).
#[test]
fn gates_have_the_area_asked_for() {
    let (.., placed, _) = placed(include_str!("../../params/minimal.yaml"));
    let system = placed.gates.as_ref().expect("gates");
    let (area, thickest) = (system.gate_area(), 2.0 * placed.gating.wall);
    assert!(area < 1.02 * placed.gating.areas[2] && system.gate[1] < thickest + 1e-9, "{system:?}");
    let full = system.gate[1] > thickest - 1e-9;
    assert!(full || area > 0.98 * placed.gating.areas[2], "{area} of {:?}", placed.gating.areas);
    let foot = PI * (0.5 * system.diameters[0]).powi(2);
    assert!((foot / placed.gating.areas[0] - 1.0).abs() < 0.02, "{foot} of {:?}", placed.gating.areas);
}

/// With the key, what is poured comes as pieces of the pattern, cut to its outside: parted and cut exactly, they have the volume that is counted
/// for the weight, which takes the ends of necks and gates within the metal for plain (geometry, two ways).
#[test]
fn pieces_of_the_pattern_have_the_volume_that_is_counted() {
    let (casting, _, placed, _) = placed(include_str!("../../params/minimal.yaml"));
    let poured: Vec<_> = placed.bodies.iter().filter(|b| b.poured).collect();
    assert!(poured.len() > 3, "{}", poured.len());
    for body in poured {
        let (pieces, cut) = crate::forms::beside_pattern(&casting, &body.name, &body.solid).expect("pieces");
        assert!(cut, "{}", body.name);
        let volume: f64 = pieces.iter().map(|p| p.solid.mass().volume).sum();
        assert!(
            (volume / body.volume - 1.0).abs() < 0.04,
            "{}: {volume} mm³, counted {}",
            body.name,
            body.volume
        );
        for piece in &pieces {
            let side = if piece.name.ends_with("upper part") { 1.0 } else { -1.0 };
            let heights =
                piece.solid.brep().vertices.iter().map(|p| side * p.coords.dot(&casting.settings.up));
            assert!(heights.fold(f64::INFINITY, f64::min) > -1e-6, "{}", piece.name);
        }
    }
}

/// Where no gate of the usual width has room, narrower ones are laid (geometry: the width drawn, and that it is one of those allowed).
#[test]
fn narrow_gates_stand_where_wide_ones_have_no_room() {
    let (.., placed, _) = placed(include_str!("../../params/short_lugs.yaml"));
    let system = placed.gates.as_ref().expect("gates");
    assert!(!system.gates.is_empty() && system.gate[0] < super::gates::WIDTHS[0], "{system:?}");
    assert!(super::gates::WIDTHS.contains(&system.gate[0]), "{system:?}");
}

/// The iron lifts the long core by more than sand bears in bending: chaplets stand on it, each in the casting's wall from the core to the mould,
/// and none bears more than a head of 40 mm in green sand does.
#[test]
fn chaplets_stand_between_core_and_mould() {
    let (casting, _, placed, design) = placed(include_str!("../../params/long_iron.yaml"));
    let needed = crate::forms::chaplets_needed(&casting).expect("a core");
    assert!(!needed.is_empty(), "the core's text tells it too");
    assert_eq!(placed.chaplets.len() + placed.unheld.len(), needed.len());
    assert!(!placed.chaplets.is_empty(), "{:?}", placed.unheld);
    let core = crate::forms::core(&casting).expect("a core");
    let (core, metal) = (core.pieces[0].solid.tree(), casting.moulded.casting.solid.tree());
    let finished = housing::build(&design).expect("a part");
    let machined = finished.solid.tree();
    for chaplet in &placed.chaplets {
        // Under the rim of its head, which is bent to the core, lies the part's own wall, and none that is cut away.
        for k in 0..24 {
            let (across, along) = (PI / 12.0 * f64::from(k)).sin_cos();
            let station = chaplet.at.x + 0.5 * chaplet.head * along;
            let radius = crate::forms::core_radius(&casting, station);
            let turn = 0.5 * chaplet.head * across / radius;
            let way = casting.settings.up * turn.cos() + casting.settings.across() * turn.sin();
            let at = P3::new(station, 0.0, 0.0) + way * (radius + 1.0);
            assert!(machined.contains(at), "{at:?} of {chaplet:?}");
        }
        assert!(chaplet.on_top && chaplet.force <= 60.0, "{chaplet:?}");
        let up = casting.settings.up;
        assert!(core.contains(chaplet.at - up * 1.5), "under its foot is the core: {chaplet:?}");
        assert!(
            metal.contains(chaplet.at + up * (0.5 * chaplet.wall)),
            "its stem is in the wall: {chaplet:?}"
        );
        assert!(
            !metal.contains(chaplet.at + up * (chaplet.wall + 0.5)),
            "its head is on the mould: {chaplet:?}"
        );
    }
    let bodies = placed.bodies.iter().filter(|b| b.name.starts_with("chaplet ")).count();
    assert_eq!(bodies, placed.chaplets.len(), "each is a solid");
    let load = needed.iter().map(|n| n.force).sum::<f64>() * (needed.len() + 1) as f64 / needed.len() as f64;
    assert!((load - 226.8).abs() < 5.0, "the load that the core's text told before: {load} N");
}
