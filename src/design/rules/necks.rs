//! Outsides that are thinner for a part of their length: the tail's barrel, the neck of the sender's boss.

use super::{Slot, Verdicts, above, error, error_of_given};
use crate::finding::Code;
use crate::params::Origin;
use crate::params::schema::{File, RawNeck, RawSenderBoss};
use crate::units::Mm;

const BARREL: Code = Code::new("D210", "tail barrel without room between bushing and ring");
const COLLAR: Code = Code::new("D211", "tail collar that does not fit on its ring");
const NECK: Code = Code::new("D212", "neck of the sender boss without a wall");
const HEAD: Code = Code::new("D213", "head of the sender boss that holds no screw or no neck");

pub(super) const CODES: &[Code] = &[BARREL, COLLAR, NECK, HEAD];

/// Wall around a bore below which it goes out of round, shop practice.
const THIN: Mm = Mm::new(4.0);

/// Least step from a head to its neck, on each side: smaller ones are lost in draft and fillets, shop practice.
const LEAST_STEP: Mm = Mm::new(1.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    barrel(file, out);
    collar(file, out);
    if let Some(boss) = &file.sender_boss
        && let Some(neck) = &boss.neck
    {
        wall(boss, neck, out);
        head(boss, neck, out);
    }
}

fn barrel(file: &File, out: &mut Verdicts) -> Option<()> {
    let tail = &file.tail;
    let (own, ring) = (tail.barrel_diameter.get()?, tail.outside_diameter.get()?);
    let least = tail.bushing.bore.get()? + THIN * 2.0;
    if above(least, own) || !above(ring, own) {
        let (own, least, ring) = (out.mm(own), out.mm(least), out.mm(ring));
        out.add(
            error(BARREL, &tail.barrel_diameter, format!("the barrel is {own} in diameter"))
                .allowed(format!(
                    "{least} or more: the bushing's bore and 4 mm around it; below the ring's {ring}"
                ))
                .because("the bushing's seat would go out of round, or there is no barrel"),
        );
    }
    Some(())
}

fn collar(file: &File, out: &mut Verdicts) -> Option<()> {
    let tail = &file.tail;
    if tail.barrel_diameter.is_absent() {
        if tail.collar_length.origin() == Origin::Given {
            out.add(
                error(COLLAR, &tail.collar_length, "a ring of one diameter has no collar".to_owned())
                    .hint("add `barrel_diameter`, or remove this key"),
            );
        }
        return None;
    }
    let (own, depth) = (tail.collar_length.get()?, tail.seal.depth.get()?);
    let cone = (tail.outside_diameter.get()? - tail.barrel_diameter.get()?) / 2.0;
    let most = tail.length.get()? - cone;
    if above(depth, own) || !above(most, own) {
        let (own, depth, most) = (out.mm(own), out.mm(depth), out.mm(most));
        let slots = [Slot::of(&tail.collar_length), Slot::of(&tail.length), Slot::of(&tail.barrel_diameter)];
        out.add(
            error_of_given(COLLAR, &slots, format!("the collar is {own} long"))
                .allowed(format!(
                    "{depth} or more, the seal's depth; below {most}, the ring less the cone ahead of it"
                ))
                .because("the seal's seat needs metal all along"),
        );
    }
    Some(())
}

fn wall(boss: &RawSenderBoss, neck: &RawNeck, out: &mut Verdicts) -> Option<()> {
    let (own, whole, head) = (neck.diameter.get()?, boss.diameter.get()?, neck.head.get()?);
    let inside =
        |step: &&crate::params::schema::RawBoreStep| step.depth.get().is_some_and(|d| above(d, head));
    let bore = boss.bore_steps.items.iter().filter(inside).filter_map(|step| step.diameter.get());
    let least = bore.reduce(Mm::max).unwrap_or_default() + THIN * 2.0;
    let most = whole - LEAST_STEP * 2.0;
    if above(least, own) || above(own, most) {
        let (own, least, most) = (out.mm(own), out.mm(least), out.mm(most));
        out.add(
            error(NECK, &neck.diameter, format!("the neck is {own} in diameter"))
                .allowed(format!(
                    "{least} to {most}: the bore in it and 4 mm around; 1 mm a side thinner than the boss"
                ))
                .because("a thinner one would break, and a smaller step is lost in draft and fillets"),
        );
    }
    Some(())
}

fn head(boss: &RawSenderBoss, neck: &RawNeck, out: &mut Verdicts) -> Option<()> {
    let (own, cone) = (neck.head.get()?, (boss.diameter.get()? - neck.diameter.get()?) / 2.0);
    let most = boss.height.get()? - cone;
    let screw = boss.retaining_screw.as_ref().filter(|screw| screw.ear_radius.is_absent());
    let least = screw.and_then(|screw| screw.drill_depth.get()).unwrap_or_default();
    if !above(own, least) || !above(most, own) {
        let (own, least, most) = (out.mm(own), out.mm(least), out.mm(most));
        let slots = [Slot::of(&neck.head), Slot::of(&neck.diameter)];
        out.add(
            error_of_given(HEAD, &slots, format!("the head is {own} long"))
                .allowed(format!(
                    "above {least}, the screw's drilled hole; below {most}, the boss less its cone"
                ))
                .because("the screw's hole would come out beside the neck, or no neck is left"),
        );
    }
    Some(())
}
