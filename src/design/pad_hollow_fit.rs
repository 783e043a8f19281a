//! Trade defaults of pads on walls.

use super::derive::{Filler, PRACTICE};
use super::pads::{placed, rectangle};
use crate::params::schema::{File, RawPadHoles, RawPadHollow, RawShiftBoxPad};
use crate::units::Mm;

/// Wall around a thread below which a boss splits, shop practice.
pub(super) const BOSS_WALL: Mm = Mm::new(2.5);

/// Sand between a boss and an opening beside it below which it breaks away, shop practice.
pub(super) const BESIDE_OPENING: Mm = Mm::new(1.0);

/// A boss's diameter in diameters of its thread, shop practice.
const BOSS: f64 = 2.0;

/// Least radius that sand holds, shop practice.
const LEAST_FILLET: f64 = 3.0;

/// Fills the sizes of hollows that follow from the wall and from the pads' holes.
pub(super) fn fill(file: &mut File, filler: &mut Filler<'_>) {
    let wall = file.shell.wall.get();
    if let Some(pad) = file.shift_box_pad.as_mut() {
        let room = beside_opening(pad);
        if let Some(hollow) = pad.hollow.as_mut() {
            sizes(hollow, pad.holes.as_ref(), wall, room, filler);
        }
    }
    for pad in file.mount_pad.iter_mut().chain(&mut file.second_mount_pad) {
        if let Some(hollow) = pad.hollow.as_mut() {
            sizes(&mut hollow.sizes, pad.holes.as_ref(), wall, None, filler);
        }
    }
}

fn sizes(
    hollow: &mut RawPadHollow,
    holes: Option<&RawPadHoles>,
    wall: Option<Mm>,
    room: Option<Mm>,
    filler: &mut Filler<'_>,
) {
    filler.length(&mut hollow.wall, wall, "freezes together with the shell", PRACTICE);
    filler.length(&mut hollow.floor, wall, "freezes together with the shell", PRACTICE);
    let fillet = hollow.wall.get().map(|wall| Mm::new((0.5 * wall.get()).max(LEAST_FILLET)));
    let reason = "half the hollow's wall, and at least 3 mm: between 0.4 and 0.67 of equal walls";
    filler.length(&mut hollow.fillet, fillet, reason, "foundry trade pages, read");
    let thread = holes.and_then(|holes| holes.thread.get()).map(|thread| thread.diameter);
    let boss = thread.map(|d| room.map_or(d * BOSS, |room| (d * BOSS).min(room).max(d + BOSS_WALL * 2.0)));
    filler.length(
        &mut hollow.boss_diameter,
        boss,
        "enough metal around the thread, clear of the opening",
        PRACTICE,
    );
}

/// The largest diameter of bosses that stay clear of a pad's opening.
fn beside_opening(pad: &RawShiftBoxPad) -> Option<Mm> {
    let opening = rectangle(pad.opening.as_ref()?)?;
    let gaps = placed(pad.holes.as_ref()?).into_iter().map(|hole| -opening.depth_inside(hole.position));
    gaps.reduce(Mm::min).map(|gap| (gap - BESIDE_OPENING) * 2.0)
}
