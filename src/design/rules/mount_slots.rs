//! Slots of a mount pad: on the pad, clear of each other and of the threads, with a floor or through a plate.

use super::{Verdicts, above, error};
use crate::design::mount_plate::wall_step;
use crate::design::pads::{PlacedPosition, Position, placed, placed_at, rectangle};
use crate::finding::{Code, Finding};
use crate::params::Origin;
use crate::params::schema::{File, RawMountPad, RawMountPlate, RawPadSlots, RawTie, SlotDirection};
use crate::standards::bolts::of_thread;
use crate::units::Mm;

const NONE: Code = Code::new("D135", "slots without position");
const OFF_PAD: Code = Code::new("D136", "slot runs off the pad");
const OVERLAP: Code = Code::new("D137", "slot runs into another or into a thread");
const DEPTH: Code = Code::new("D138", "slot's depth does not suit its pad");
const UNDER_TIE: Code = Code::new("D139", "slot under a wall or gusset");

pub(super) const CODES: &[Code] = &[NONE, OFF_PAD, OVERLAP, DEPTH, UNDER_TIE];

/// Metal around a slot below which its edge tears, shop practice.
const EDGE: Mm = Mm::new(3.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for pad in file.mount_pad.iter().chain(&file.second_mount_pad) {
        let Some(slots) = &pad.slots else { continue };
        depth(pad, slots, out);
        places(pad, slots, out);
    }
}

fn depth(pad: &RawMountPad, slots: &RawPadSlots, out: &mut Verdicts) -> Option<()> {
    if let Some(plate) = &pad.plate {
        let (own, limit) = (slots.depth.get()?, plate.thickness.get()?);
        if slots.depth.origin() == Origin::Given && above(own, limit) {
            let (own, limit) = (out.mm(own), out.mm(limit));
            out.add(
                error(DEPTH, &slots.depth, format!("the slots are {own} deep in a plate of {limit}"))
                    .allowed(format!("at most {limit}; left out, they go through")),
            );
        }
        return None;
    }
    if slots.depth.is_absent() {
        out.add(
            error(DEPTH, &slots.size, "the slots have no depth, and the pad is a block".to_owned())
                .allowed("a `depth`, or a `plate`, through which they go"),
        );
        return None;
    }
    let station = pad.base_station.get()? + pad.offset.get()?;
    let half = pad.outline.length.get()? / 2.0;
    let inside = out.cavity.iter().map(|&(x, _)| x).filter(|&x| x > station - half && x < station + half);
    let ends = [station - half, station + half];
    let cavity = ends.into_iter().chain(inside).filter_map(|x| out.cavity_at(x)).reduce(Mm::max)?;
    let room = pad.drop.get()? - cavity - EDGE;
    if above(slots.depth.get()?, room) {
        let (own, limit) = (out.mm(slots.depth.get()?), out.mm(room));
        out.add(
            error(DEPTH, &slots.depth, format!("the slots are {own} deep"))
                .allowed(format!("at most {limit}: 3 mm of floor below the cavity"))
                .because("they would break into the cavity"),
        );
    }
    Some(())
}

fn places(pad: &RawMountPad, slots: &RawPadSlots, out: &mut Verdicts) -> Option<()> {
    let middles = placed_at(slots.grid.as_ref(), &slots.positions);
    if middles.is_empty() && slots.grid.is_none() && slots.positions.origin != Origin::Bad {
        out.add(
            error(NONE, &slots.size, "the slots have no position".to_owned())
                .allowed("a `grid`, or `positions`, or both"),
        );
    }
    let (radius, half) = (slots.size.get()?.diameter() / 2.0, slots.travel.get()? / 2.0);
    let direction = slots.direction.get()?;
    let outline = rectangle(&pad.outline)?;
    for slot in &middles {
        let inside = ends(slot.position, half, direction).map(|end| outline.depth_inside(end));
        let least = inside[0].min(inside[1]);
        if above(radius + EDGE, least) {
            let own = out.mm(least - radius);
            let finding =
                Finding::error(OFF_PAD, &slot.name, format!("only {own} of metal is left to the pad's edge"))
                    .at(slot.place)
                    .allowed(format!("{} or more", out.mm(EDGE)))
                    .because("the edge would tear");
            out.add(finding);
            break; // the other slots of a grid would only repeat this
        }
    }
    let threads = pad.holes.as_ref().map(placed).unwrap_or_default();
    let thread = pad.holes.as_ref().and_then(|holes| holes.thread.get()).map(|t| t.diameter / 2.0);
    'all: for (i, slot) in middles.iter().enumerate() {
        let own = ends(slot.position, half, direction);
        let others =
            middles[i + 1..].iter().map(|other| (other, ends(other.position, half, direction), radius));
        let holes = threads.iter().map(|hole| (hole, [hole.position; 2], thread.unwrap_or_default()));
        for (other, line, reach) in others.chain(holes) {
            let gap = between(own, line) - radius - reach;
            if above(EDGE, gap) {
                out.add(overlap(slot, other, gap, out));
                break 'all;
            }
        }
    }
    under_tie(pad, &middles, radius, half, direction, out)
}

fn overlap(slot: &PlacedPosition, other: &PlacedPosition, gap: Mm, out: &Verdicts) -> Finding {
    Finding::error(
        OVERLAP,
        &slot.name,
        format!("only {} of metal is left between it and {}", out.mm(gap), other.name),
    )
    .at(slot.place)
    .allowed(format!("{} or more", out.mm(EDGE)))
}

/// A through slot's bolt needs room beside the walls or gussets on the plate, all along the slot, and its nut and washer a seat there.
fn under_tie(
    pad: &RawMountPad,
    middles: &[PlacedPosition],
    radius: Mm,
    half: Mm,
    direction: SlotDirection,
    out: &mut Verdicts,
) -> Option<()> {
    let plate = pad.plate.as_ref()?;
    let ties = Ties::of(pad, plate)?;
    let what = if ties.walls { "a side wall" } else { "a gusset" };
    let lies_over =
        |slot: &&PlacedPosition, reach| ties.lie_over(ends(slot.position, half, direction), reach);
    let beside = |finding: Finding, slot: &PlacedPosition| {
        finding.at(slot.place).beside(plate.tie.place(), "the tie between plate and shell")
    };
    if let Some(slot) = middles.iter().find(|slot| lies_over(slot, radius)) {
        let finding = Finding::error(UNDER_TIE, &slot.name, format!("{what} lies over the slot"));
        out.add(
            beside(finding, slot)
                .because("the bolt would run into it")
                .hint("move the slot, shorten it, or change the `tie`"),
        );
        return None;
    }
    let slots = pad.slots.as_ref()?;
    if above(plate.thickness.get()?, slots.depth.get()?) {
        return None; // no bolt comes out above
    }
    // Without a bolt's name only the slot itself is known.
    let bolt = of_thread(slots.size.get()?.thread()?).ok()?;
    let seat = (bolt.washer.map_or(bolt.corners, |[outside, _]| outside) / 2.0).max(radius);
    if let Some(slot) = middles.iter().find(|slot| lies_over(slot, seat)) {
        let message = format!("{what} stands in the way of the {} bolt's nut and washer", bolt.name);
        out.add(
            beside(Finding::error(UNDER_TIE, &slot.name, message), slot)
                .allowed(format!("{} or more from the bolt's axis to it, all along the slot", out.mm(seat)))
                .because("nut and washer turn and bear beside it")
                .hint("make the plate longer or wider, move the slot, shorten it, or change the `tie`"),
        );
    }
    Some(())
}

/// Walls or gussets on a plate, seen from below.
struct Ties {
    walls: bool,
    /// How far to the side walls stand, or how far gussets reach.
    sideways: (Mm, Mm),
    /// From where to where each stands along the plate.
    along: Vec<(Mm, Mm)>,
}

impl Ties {
    fn of(pad: &RawMountPad, plate: &RawMountPlate) -> Option<Self> {
        let (thickness, width) = (plate.tie_thickness.get()?, pad.outline.width.get()?);
        let straight = pad.outline.length.get()? - pad.outline.corner_radius.get()? * 2.0;
        let walls = plate.tie.get()? == RawTie::Walls;
        let zero = Mm::new(0.0);
        if walls {
            let outer = width / 2.0 - wall_step(width);
            let along = vec![(zero - straight / 2.0, straight / 2.0)];
            return Some(Self { walls, sideways: (outer - thickness, outer), along });
        }
        let middles = gusset_middles(plate.gussets.get()?, straight - thickness);
        let along = middles.into_iter().map(|x| (x - thickness / 2.0, x + thickness / 2.0)).collect();
        Some(Self { walls, sideways: (zero, (width - thickness) / 2.0), along })
    }

    /// Whether one lies over a line widened to both sides.
    fn lie_over(&self, line: [Position; 2], reach: Mm) -> bool {
        let aside = |sign: f64| {
            let [a, b] = line.map(|end| end.across * sign);
            above(a.max(b) + reach, self.sideways.0) && above(self.sideways.1, a.min(b) - reach)
        };
        let beside =
            |(from, to): &(Mm, Mm)| above(line[1].along + reach, *from) && above(*to, line[0].along - reach);
        (aside(1.0) || aside(-1.0)) && self.along.iter().any(beside)
    }
}

/// Positions of the gussets along the pad, from its middle.
fn gusset_middles(count: u32, room: Mm) -> Vec<Mm> {
    let share = |i: u32| if count < 2 { 0.0 } else { f64::from(i) / f64::from(count - 1) - 0.5 };
    (0..count).map(|i| room * share(i)).collect()
}

/// Centres of a slot's round ends.
fn ends(middle: Position, half: Mm, direction: SlotDirection) -> [Position; 2] {
    [-half, half].map(|shift| match direction {
        SlotDirection::Along => Position { along: middle.along + shift, ..middle },
        SlotDirection::Across => Position { across: middle.across + shift, ..middle },
    })
}

/// Distance between two lines parallel to each other or of no length, each along or across.
fn between(a: [Position; 2], b: [Position; 2]) -> Mm {
    let gap = |from: fn(&Position) -> Mm| {
        let (low, high) = (from(&b[0]) - from(&a[1]), from(&a[0]) - from(&b[1]));
        low.max(high).max(Mm::new(0.0)).get()
    };
    Mm::new(gap(|p| p.along).hypot(gap(|p| p.across)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_between_two_slots() {
        let at = |along: f64, across: f64| Position { along: Mm::new(along), across: Mm::new(across) };
        let slot = ends(at(0.0, 0.0), Mm::new(10.0), SlotDirection::Along);
        assert!((between(slot, [at(0.0, 7.0); 2]).get() - 7.0).abs() < 1e-12, "beside its straight part");
        assert!((between(slot, [at(13.0, 4.0); 2]).get() - 5.0).abs() < 1e-12, "past its end");
    }
}
