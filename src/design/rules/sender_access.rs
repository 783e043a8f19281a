//! The path of the sender and its facing cutter: no pad reaches over the spot face.

use super::round_room::RoundRoom;
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
    let faced = boss.spot_face.as_ref().and_then(|spot| spot.diameter.get());
    let room = RoundRoom {
        start: [boss.station.get()?.get(), boss.side_offset.get()?.get()],
        clock: boss.clock.get()?.sin_cos(),
        tilt: boss.tilt.get()?.sin_cos(),
        radius: faced.unwrap_or_default().max(boss.diameter.get()?).get() / 2.0,
    };
    Some(room.above(boss.height.get()?.get(), ROOM, STEP))
}
