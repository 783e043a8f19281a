//! The path of the sender and its facing cutter: no pad reaches over the spot face.

use super::{Verdicts, error};
use crate::finding::{Code, Place};
use crate::params::schema::{File, RawSenderBoss};
use crate::units::Mm;

const IN_PAD: Code = Code::new("D120", "pad in the way of the sender");

pub(super) const CODES: &[Code] = &[IN_PAD];

/// How far above its seat a sender and its cutter need room, mm: a common sender's length.
const ROOM: f64 = 40.0;

/// Spacing of the points at which that room is sampled, mm.
const STEP: f64 = 2.0;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(boss) = &file.sender_boss {
        clear_of_pads(file, boss, out);
    }
}

fn clear_of_pads(file: &File, boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let room = points(boss)?;
    for pad in super::pads::blocks(file) {
        if room.iter().any(|&point| pad.holds(point)) {
            let place: Option<Place> = boss.station.place();
            let message = format!("{} reaches over the sender's spot face", pad.name);
            out.add(
                error(IN_PAD, &boss.station, message)
                    .at(place)
                    .beside(pad.place, "that pad's position")
                    .allowed(format!("{} of free room above the whole spot face", out.mm(Mm::new(ROOM))))
                    .because("the seat is cut, and the sender pushed in, from outside")
                    .hint("move or turn the boss, or make it higher"),
            );
        }
    }
    Some(())
}

/// Points of the room above the spot face: along its axis and around its rim.
fn points(boss: &RawSenderBoss) -> Option<Vec<[f64; 3]>> {
    const AROUND: u32 = 24;
    let ((sc, cc), (st, ct)) = (boss.clock.get()?.sin_cos(), boss.tilt.get()?.sin_cos());
    let faced = boss.spot_face.as_ref().and_then(|spot| spot.diameter.get());
    let radius = faced.unwrap_or_default().max(boss.diameter.get()?).get() / 2.0;
    let (station, side) = (boss.station.get()?.get(), boss.side_offset.get()?.get());
    let height = boss.height.get()?.get();
    // Along the axis, aft, and across, as the boss's own directions.
    let at = |along: f64, aft: f64, across: f64| {
        let (out, side) = (along * ct - aft * st, side + across);
        [station + along * st + aft * ct, out * sc + side * cc, out * cc - side * sc]
    };
    let steps = (ROOM / STEP) as u32;
    let rows = (0..=steps).map(|i| height + 0.1 + STEP * f64::from(i));
    Some(
        rows.flat_map(|along| {
            let ring = (0..AROUND).map(move |k| {
                let turn = std::f64::consts::TAU * f64::from(k) / f64::from(AROUND);
                (radius * turn.cos(), radius * turn.sin())
            });
            ring.chain([(0.0, 0.0)]).map(move |(aft, across)| at(along, aft, across))
        })
        .collect(),
    )
}
