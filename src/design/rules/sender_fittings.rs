//! Fittings that depend on the sender's kind, seal it or hold it: tip, O-ring, fork, ear.

use super::{Slot, Verdicts, above, error, error_of_given, warning};
use crate::design::sender_boss::step_at;
use crate::finding::Code;
use crate::params::Origin;
use crate::params::schema::{File, RawFork, RawORing, RawSenderBoss, SenderKind};
use crate::units::Mm;

const OTHER_KIND: Code = Code::new("D121", "sender key that belongs to the other kind");
const INTO_SHAFT: Code = Code::new("D122", "pulse sender reaches the shaft");
const BORE_SHORT: Code = Code::new("D123", "sender bore shorter than the sender");
const RING_FLOOR: Code = Code::new("D124", "O-ring land without one floor");
const RING_PLACE: Code = Code::new("D125", "O-ring land outside its bore step");
const RING_WALL: Code = Code::new("D126", "no wall around the O-ring land");
const FORK_WIDTH: Code = Code::new("D127", "fork slot does not fit between bore and rim");
const EAR: Code = Code::new("D128", "ear does not hold its screw");
const LOOSE: Code = Code::new("D129", "nothing holds the pulse sender");

pub(super) const CODES: &[Code] =
    &[OTHER_KIND, INTO_SHAFT, BORE_SHORT, RING_FLOOR, RING_PLACE, RING_WALL, FORK_WIDTH, EAR, LOOSE];

/// Wall of a boss below which it breaks out under a cutter, shop practice.
const LEAST_WALL: Mm = Mm::new(2.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(boss) = &file.sender_boss else { return };
    kind(boss, out);
    if let Some(ring) = &boss.o_ring {
        o_ring(boss, ring, out);
    }
    if let Some(fork) = &boss.fork {
        fork_slot(boss, fork, out);
    }
    ear(boss, out);
}

fn kind(boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let slot = &boss.insertion;
    if boss.kind.get()? == SenderKind::Gear {
        if slot.origin() == Origin::Given {
            out.add(
                error(OTHER_KIND, slot, "a gear sender meshes with the shaft's worm".to_owned())
                    .hint("remove this key, or set `sender_boss.kind: pulse`"),
            );
        }
        return None;
    }
    if boss.retaining_screw.is_none() && boss.fork.is_none() {
        out.add(
            warning(LOOSE, &boss.kind, "the sender has neither screw nor fork".to_owned())
                .allowed("a `retaining_screw`, or a `fork`")
                .because("a plain body works loose")
                .from_source("common practice"),
        );
    }
    let (own, height) = (slot.get()?, boss.height.get()?);
    if !above(height, own) {
        let (own, limit) = (out.mm(own), out.mm(height));
        let bore = &boss.bore_steps.items.last()?.diameter;
        let slots = [Slot::of(slot), Slot::of(&boss.side_offset), Slot::of(&boss.height), Slot::of(bore)];
        out.add(
            error_of_given(INTO_SHAFT, &slots, format!("the tip lies {own} below the spot face"))
                .allowed(format!("below {limit}, the depth of the shaft's axis"))
                .because("the tip counts teeth across a small gap and must not touch them"),
        );
    }
    let depth = &boss.bore_steps.items.last()?.depth;
    if above(own, depth.get()?) {
        let (tip, bore) = (out.mm(own), out.mm(depth.get()?));
        out.add(
            error(BORE_SHORT, depth, format!("the bore ends {bore} below the spot face, the sender {tip}"))
                .allowed(format!("{tip} or more"))
                .beside(slot.place(), "the sender's tip"),
        );
    }
    Some(())
}

fn o_ring(boss: &RawSenderBoss, ring: &RawORing, out: &mut Verdicts) -> Option<()> {
    let given = [ring.depth.origin(), ring.diameter.origin()].map(|origin| origin == Origin::Absent);
    if given[0] == given[1] {
        let message =
            if given[0] { "it has neither depth nor diameter" } else { "it has depth and diameter" };
        out.add(error(RING_FLOOR, &ring.width, message.to_owned()).allowed("one of `depth` and `diameter`"));
        return None;
    }
    let (near, far) = (ring.position.get()?, ring.position.get()? + ring.width.get()?);
    let last = boss.bore_steps.items.last()?.depth.get()?;
    if !above(last, far) {
        let (own, limit) = (out.mm(far), out.mm(last));
        out.add(
            error_of_given(
                RING_PLACE,
                &[
                    Slot::of(&ring.position),
                    Slot::of(&ring.width),
                    Slot::of(&boss.bore_steps.items.last()?.depth),
                ],
                format!("its far side lies {own} below the spot face"),
            )
            .allowed(format!("below {limit}, the end of the bore")),
        );
        return None;
    }
    let (bore, mouth) = (step_at(boss, far)?, step_at(boss, near)?);
    if above(mouth, bore) {
        let slots = [Slot::of(&ring.position), Slot::of(&ring.width)];
        out.add(
            error_of_given(RING_PLACE, &slots, "it lies across the shoulder of a bore step".to_owned())
                .allowed("within one step")
                .because("the ring is pressed against a wall of one diameter"),
        );
        return None;
    }
    let slot = if given[0] { &ring.diameter } else { &ring.depth };
    let floor = ring.diameter.get().or_else(|| Some(bore + ring.depth.get()? * 2.0))?;
    if !above(floor, bore) {
        let (own, limit) = (out.mm(floor), out.mm(bore));
        out.add(
            error_of_given(
                RING_PLACE,
                &[Slot::of(slot), Slot::of(&boss.bore_steps.items.last()?.diameter)],
                format!("the floor's diameter is {own}"),
            )
            .allowed(format!("above {limit}, the bore's")),
        );
    }
    let limit = boss.diameter.get()? - LEAST_WALL * 2.0;
    if above(floor, limit) {
        let (own, limit) = (out.mm(floor), out.mm(limit));
        out.add(
            error(RING_WALL, slot, format!("the floor's diameter is {own}"))
                .allowed(format!("at most {limit}: 2 mm of the boss around it"))
                .beside(boss.diameter.place(), "the boss's diameter")
                .because("the boss would break open"),
        );
    }
    Some(())
}

fn fork_slot(boss: &RawSenderBoss, fork: &RawFork, out: &mut Verdicts) -> Option<()> {
    let far = fork.depth.get()? + fork.thickness.get()?;
    let least = step_at(boss, fork.depth.get()?).or_else(|| step_at(boss, far))?;
    let (own, most) = (fork.width.get()?, boss.diameter.get()? - LEAST_WALL * 2.0);
    if !above(own, least) || above(own, most) {
        let (own, least, most) = (out.mm(own), out.mm(least), out.mm(most));
        out.add(
            error(FORK_WIDTH, &fork.width, format!("the slot is {own} wide"))
                .allowed(format!("above {least}, the bore's diameter, and at most {most}"))
                .because("the fork passes on both sides of the sender, and the boss must hold together"),
        );
    }
    Some(())
}

fn ear(boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let screw = boss.retaining_screw.as_ref()?;
    let (radius, thread) = (screw.ear_radius.get()?, screw.thread.get()?);
    let needed = thread.diameter / 2.0 + LEAST_WALL;
    if above(needed, radius) {
        let (own, limit) = (out.mm(radius), out.mm(needed));
        out.add(
            error(EAR, &screw.ear_radius, format!("the ear's radius is {own}"))
                .allowed(format!("{limit} or more: 2 mm around the thread"))
                .because("the ear would split"),
        );
    }
    if above(radius, boss.diameter.get()? / 2.0) {
        let (own, limit) = (out.mm(radius), out.mm(boss.diameter.get()? / 2.0));
        out.add(
            error(EAR, &screw.ear_radius, format!("the ear's radius is {own}"))
                .allowed(format!("at most {limit}, the boss's own"))
                .because("the ear's root lies inside the boss"),
        );
    }
    if let Some(spot) = boss.spot_face.as_ref()
        && above(boss.diameter.get()?, spot.diameter.get()?)
    {
        let limit = out.mm(boss.diameter.get()?);
        out.add(
            error(EAR, &spot.diameter, "the spot face is smaller than the boss, beside an ear".to_owned())
                .allowed(format!("{limit} or more, or no `spot_face`"))
                .because("ear and boss are faced in one plane for the sender's flange"),
        );
    }
    let drilled = screw.drill_depth.get()? + thread.tap_drill / 2.0;
    if !above(screw.ear_depth.get()?, drilled) {
        let (own, limit) = (out.mm(screw.ear_depth.get()?), out.mm(drilled));
        out.add(
            error(EAR, &screw.ear_depth, format!("the ear is {own} deep"))
                .allowed(format!("above {limit}: the drilled hole with its point"))
                .because("the hole would come out at the ear's base"),
        );
    }
    Some(())
}
