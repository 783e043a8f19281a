//! Plugs: over the cavity, out of the shell and clear of pads, with metal around the thread.

use super::round_room::RoundRoom;
use super::{Verdicts, above, error, warning};
use crate::finding::Code;
use crate::params::schema::{File, RawPlug};
use crate::units::Mm;

const OFF_CAVITY: Code = Code::new("D100", "plug beyond the cavity");
const BURIED: Code = Code::new("D101", "plug face inside the shell");
const NO_WALL: Code = Code::new("D102", "plug boss too small for its thread");
const UNDER_PAD: Code = Code::new("D104", "pad over a plug");

pub(super) const CODES: &[Code] = &[OFF_CAVITY, BURIED, NO_WALL, UNDER_PAD];

/// Wall around a thread below which a boss splits when the plug is tightened, shop practice.
const WALL: Mm = Mm::new(2.5);

/// How far above its boss a plug and its key need room, common practice.
const ROOM: f64 = 20.0;

/// Spacing of the points at which that room is sampled, mm.
const STEP: f64 = 1.0;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for plug in &file.plugs.items {
        over_cavity(plug, out);
        wall(plug, out);
        clear_of_pads(file, plug, out);
    }
}

/// No pad stands where the plug is screwed in: it would close the hole, or its opening would take away hole and boss. And no boss stands on
/// a pad's face, which something is bolted to. Only a warning: the pad is taken as the rectangle about it, and the solid is sound.
fn clear_of_pads(file: &File, plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let (room, ways) = (points(plug)?, ways(plug)?);
    for pad in super::pads::blocks(file) {
        let message = if room.iter().any(|&point| pad.covers(point)) {
            format!("{} stands over the plug's face", pad.name)
        } else if ways.iter().any(|&[from, to]| pad.is_pierced(from, to)) {
            format!("the plug's boss stands out of the face of {}", pad.name)
        } else {
            continue;
        };
        out.add(
            warning(UNDER_PAD, &plug.station, message)
                .beside(pad.place, "that pad's position")
                .allowed(format!("a plug beside the pad, with {} of free room above its whole face", out.mm(Mm::new(ROOM))))
                .because("the boss is faced, and the plug screwed in, from outside, and the pad's face must stay free")
                .hint("move the plug along the shaft, or turn its `clock` away from the pad"),
        );
    }
    Some(())
}

/// The room about a plug's axis.
fn around(plug: &RawPlug, radius: f64) -> Option<RoundRoom> {
    let clock = plug.clock.get()?.sin_cos();
    Some(RoundRoom { start: [plug.station.get()?.get(), 0.0], clock, tilt: (0.0, 1.0), radius })
}

/// Ways along the boss from the shaft axis to its face.
fn ways(plug: &RawPlug) -> Option<Vec<[[f64; 3]; 2]>> {
    let boss = around(plug, plug.diameter.get()?.get() / 2.0)?;
    let ends = boss.level(0.0).into_iter().zip(boss.level(plug.height.get()?.get()));
    Some(ends.map(|(from, to)| [from, to]).collect())
}

/// Points of the room above the face: along the axis and around the boss, whose whole end is faced.
fn points(plug: &RawPlug) -> Option<Vec<[f64; 3]>> {
    let face = around(plug, plug.diameter.get()?.get() / 2.0)?;
    Some(face.above(plug.height.get()?.get(), ROOM, STEP))
}

fn over_cavity(plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let (x, hole) = (plug.station.get()?, plug.thread.get()?.tap_drill / 2.0);
    let end = out.cavity.last()?.0;
    if above(hole, x) || above(x + hole, end) {
        let (own, from, to) = (out.mm(x), out.mm(hole), out.mm(end - hole));
        out.add(
            error(OFF_CAVITY, &plug.station, format!("the plug's axis is at station {own}"))
                .allowed(format!("{from} to {to}, where its hole opens into the cavity")),
        );
        return None;
    }
    let half = plug.diameter.get()? / 2.0;
    let shell = [x - half, x, x + half].into_iter().filter_map(|x| out.outside_at(x)).reduce(Mm::max)?;
    if !above(plug.height.get()?, shell) {
        let (own, limit) = (out.mm(plug.height.get()?), out.mm(shell));
        out.add(
            error(BURIED, &plug.height, format!("the boss's end lies {own} from the axis"))
                .allowed(format!("above {limit}, the shell's outside radius under the boss"))
                .because("the end must stand clear of the shell to be machined"),
        );
    }
    Some(())
}

fn wall(plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let needed = plug.thread.get()?.diameter + WALL * 2.0;
    if above(needed, plug.diameter.get()?) {
        let (own, limit) = (out.mm(plug.diameter.get()?), out.mm(needed));
        out.add(
            error(NO_WALL, &plug.diameter, format!("the boss is {own} in diameter"))
                .allowed(format!("{limit} or more: the thread and 2.5 mm around it"))
                .because("the boss would split when the plug is tightened"),
        );
    }
    Some(())
}
