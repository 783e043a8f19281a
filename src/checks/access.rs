//! Access: the swing of a spanner on each bolt of the gearbox face, and the sender's path to its bore.

use super::{Checks, Limit, Limits, Measurement, Sense, Unit, names};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::housing::Housing;
use crate::standards::bolts::Bolt;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Angular step of the spanner, degrees.
const TURN: usize = 5;

/// Outside of a spanner's jaws and width of its shank, in widths across flats (common practice, no source).
const JAWS: f64 = 2.2;
const SHANK: f64 = 0.7;

/// Length of a spanner from the bolt, in widths across flats (common practice, no source).
const LENGTH: f64 = 9.0;

/// Step along the direction of motion, mm.
const STEP: f64 = 2.0;

/// Room that a sender needs above its seat for insertion, mm: its body's length (common practice, no source).
const SENDER: f64 = 60.0;

/// The widest free turn of a spanner about a bolt whose head stands on `seat`, degrees.
pub(super) fn swing(probe: &Probe, bolt: &Bolt, seat: P3, counts: impl Fn(usize) -> bool) -> f64 {
    let flats = bolt.flats.get();
    let middle = seat + V3::x() * (0.5 * bolt.head.get());
    let free = |turn: usize| {
        let (s, c) = (turn as f64).to_radians().sin_cos();
        let towards = V3::new(0.0, s, c);
        let (from, to) = (0.5 * JAWS * flats, LENGTH * flats);
        let count = ((to - from) / STEP).ceil() as usize;
        let clear = |p: P3, radius: f64| probe.nearest(p, &counts, radius).is_none();
        clear(middle + towards * (0.25 * flats), 0.5 * JAWS * flats - 0.25 * flats)
            && (0..=count).all(|k| {
                clear(middle + towards * (from + (to - from) * k as f64 / count as f64), 0.5 * SHANK * flats)
            })
    };
    let all: Vec<bool> = (0..360 / TURN).map(|k| free(k * TURN)).collect();
    widest(&all) as f64 * TURN as f64
}

/// The longest run of free steps around the circle.
fn widest(free: &[bool]) -> usize {
    let Some(start) = free.iter().position(|f| !f) else { return free.len() };
    let around = (0..free.len()).map(|k| free[(start + k) % free.len()]);
    let (mut run, mut best) = (0, 0);
    for f in around {
        run = if f { run + 1 } else { 0 };
        best = best.max(run);
    }
    best
}

/// The straight path along which the sender, or its driven gear, is inserted from outside.
pub(super) fn sender(design: &Design, housing: &Housing, probe: &Probe, limits: &Limits, out: &mut Checks) {
    if design.sender_boss().is_none() {
        return out.not("way of the sender", "the housing has no sender boss");
    }
    let own = housing.bores.iter().filter(|b| matches!(Role::of(&b.tag), Role::BoreStep(_)));
    let Some(bore) = own.max_by(|a, b| a.radius.total_cmp(&b.radius)) else { return };
    let outwards = -bore.axis;
    let faces = &probe.brep().faces;
    let counts = |f: usize| Feature::of(&faces[f].tag) != Feature::SenderBoss;
    let count = (SENDER / STEP) as usize;
    let far = bore.radius + 60.0;
    let places = (0..=count).map(|k| bore.point + outwards * (SENDER * k as f64 / count as f64));
    let near = probe.nearest_of(places, counts, far);
    let room = near.as_ref().map_or(60.0, |n| n.distance - bore.radius);
    let hint = "turn the boss (`sender_boss.clock`, `tilt`), or make it higher";
    let touch = Limit { value: 0.0, source: "the sender must go in".to_owned(), given: false };
    let (points, named) = near
        .map_or((vec![bore.point], vec![]), |n| (vec![bore.point, n.point], names(probe.brep(), [n.face])));
    out.measurements.push(
        Measurement::new("way of the sender", "sender_boss", (room, Unit::Mm), Sense::AtLeast, hint)
            .fails_by(&touch)
            .warns_too_by(&limits.sender_way)
            .at(points, named),
    );
}

#[cfg(test)]
mod tests {
    use super::widest;

    #[test]
    fn a_run_goes_on_over_the_end() {
        assert_eq!(widest(&[true, true, false, true, false, true]), 3);
        assert_eq!(widest(&[true; 4]), 4);
        assert_eq!(widest(&[false; 4]), 0);
    }
}
