//! The mount pad as a plate: clear of the shell, its walls or gussets reach it, its bosses hold their threads.

use super::{Verdicts, above, error};
use crate::design::mount_plate::narrowest;
use crate::finding::Code;
use crate::params::schema::{File, RawMountPad, RawMountPlate, RawTie};
use crate::params::{Origin, Parameter};
use crate::units::Mm;

const IN_SHELL: Code = Code::new("D130", "mount plate as thick as its drop");
const WALLS_BESIDE: Code = Code::new("D131", "side walls stand beside the shell");
const TIE_KEY: Code = Code::new("D132", "mount plate key that belongs to the other tie");
const CROWDED: Code = Code::new("D133", "no room for walls or gussets on the plate");
const SMALL_BOSS: Code = Code::new("D134", "boss too small for its thread");

pub(super) const CODES: &[Code] = &[IN_SHELL, WALLS_BESIDE, TIE_KEY, CROWDED, SMALL_BOSS];

/// Wall around a thread below which a boss splits, shop practice.
const BOSS_WALL: Mm = Mm::new(2.5);

/// Sand between two gussets below which it breaks away, shop practice.
const SAND: Mm = Mm::new(6.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for pad in file.mount_pad.iter().chain(&file.second_mount_pad) {
        let Some(plate) = &pad.plate else { continue };
        below_shell(pad, plate, out);
        match plate.tie.get() {
            Some(RawTie::Walls) => {
                other(&plate.gussets, "the plate is tied by walls", out);
                walls(pad, plate, out);
            }
            Some(RawTie::Gussets) => {
                other(&plate.edge_radius, "gussets have no upright edges", out);
                gussets(pad, plate, out);
            }
            None => {}
        }
        boss(pad, plate, out);
    }
}

fn other<T>(slot: &Parameter<T>, message: &str, out: &mut Verdicts) {
    if slot.origin() == Origin::Given {
        out.add(error(TIE_KEY, slot, message.to_owned()).hint("remove this key, or change `tie`"));
    }
}

/// Least outside radius of the shell over the pad.
fn shell_over(pad: &RawMountPad, out: &Verdicts) -> Option<Mm> {
    let station = pad.base_station.get()? + pad.offset.get()?;
    let half = pad.outline.length.get()? / 2.0;
    narrowest(out.outside.iter().copied(), station - half, station + half)
}

fn below_shell(pad: &RawMountPad, plate: &RawMountPlate, out: &mut Verdicts) -> Option<()> {
    let room = pad.drop.get()? - shell_over(pad, out)?;
    if !above(room, plate.thickness.get()?) {
        let (own, limit) = (out.mm(plate.thickness.get()?), out.mm(room));
        out.add(
            error(IN_SHELL, &plate.thickness, format!("a plate of {own} reaches into the shell"))
                .allowed(format!("below {limit}, the distance from the face to the shell"))
                .hint("leave `plate` out to get a solid block"),
        );
    }
    Some(())
}

fn walls(pad: &RawMountPad, plate: &RawMountPlate, out: &mut Verdicts) -> Option<()> {
    let (width, thickness) = (pad.outline.width.get()?, plate.tie_thickness.get()?);
    let straight = pad.outline.length.get()? - pad.outline.corner_radius.get()? * 2.0;
    if above(thickness * 2.0 + SAND, width) || above(thickness, straight) {
        let own = out.mm(thickness);
        out.add(
            error(CROWDED, &plate.tie_thickness, format!("two walls of {own} do not fit on the plate"))
                .allowed("walls thinner than the straight part of the sides, with 6 mm of sand between them"),
        );
        return None;
    }
    let edge = plate.edge_radius.get()?;
    if above(edge * 2.0, thickness) {
        let (own, limit) = (out.mm(edge), out.mm(thickness / 2.0));
        out.add(
            error(CROWDED, &plate.edge_radius, format!("an edge radius of {own} is more than half the wall"))
                .allowed(format!("at most {limit}, half the wall")),
        );
    }
    let shell = shell_over(pad, out)?;
    let reach = (width - thickness) / 2.0 + pad.side_offset.get()?.abs();
    if !above(shell, reach) {
        let (own, limit) = (out.mm(reach), out.mm(shell));
        out.add(
            error(WALLS_BESIDE, &plate.tie, format!("a wall's middle lies {own} beside the shaft axis"))
                .allowed(format!("below {limit}, the shell's least outside radius over the pad"))
                .beside(pad.outline.width.place(), "the plate's width")
                .because("the wall would miss the shell")
                .hint("set `tie: gussets`: they run in to the shell"),
        );
    }
    Some(())
}

fn gussets(pad: &RawMountPad, plate: &RawMountPlate, out: &mut Verdicts) -> Option<()> {
    let (count, thickness) = (plate.gussets.get()?, plate.tie_thickness.get()?);
    let straight = pad.outline.length.get()? - pad.outline.corner_radius.get()? * 2.0;
    let needed = thickness * f64::from(count) + SAND * f64::from(count.saturating_sub(1));
    if above(needed, straight) {
        let (own, limit) = (out.mm(needed), out.mm(straight));
        out.add(
            error(CROWDED, &plate.tie_thickness, format!("{count} gussets need {own} of the plate's sides"))
                .allowed(format!("{limit}, the sides less their corners; 6 mm of sand between gussets"))
                .hint("fewer gussets, or thinner ones"),
        );
    }
    Some(())
}

fn boss(pad: &RawMountPad, plate: &RawMountPlate, out: &mut Verdicts) -> Option<()> {
    let needed = pad.holes.as_ref()?.thread.get()?.diameter + BOSS_WALL * 2.0;
    let own = plate.boss_diameter.get()?;
    if above(needed, own) {
        let (own, limit) = (out.mm(own), out.mm(needed));
        out.add(
            error(SMALL_BOSS, &plate.boss_diameter, format!("the boss is {own} in diameter"))
                .allowed(format!("{limit} or more: the thread and 2.5 mm around it"))
                .because("the boss would split"),
        );
    }
    Some(())
}
