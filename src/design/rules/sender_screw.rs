//! The sender's retaining screw: in the boss's metal, between bore and rim.

use super::{Slot, Verdicts, above, error, error_of_given};
use crate::finding::Code;
use crate::params::schema::{File, RawRetainingScrew, RawSenderBoss};

const OFF_BOSS: Code = Code::new("D070", "retaining screw runs off the boss");
const INTO_BORE: Code = Code::new("D071", "retaining screw runs into the bore");
const SHALLOW_DRILL: Code = Code::new("D072", "retaining screw's drill shallower than its thread");
const DEEP: Code = Code::new("D073", "retaining screw drilled through the boss");

pub(super) const CODES: &[Code] = &[OFF_BOSS, INTO_BORE, SHALLOW_DRILL, DEEP];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(boss) = &file.sender_boss else { return };
    let Some(screw) = &boss.retaining_screw else { return };
    between(boss, screw, out);
    depths(boss, screw, out);
}

fn between(boss: &RawSenderBoss, screw: &RawRetainingScrew, out: &mut Verdicts) -> Option<()> {
    let (distance, drill) = (screw.distance.get()?, screw.thread.get()?.tap_drill / 2.0);
    // A screw with an ear may stand beside the boss.
    if screw.ear_radius.is_absent()
        && let Some(rim) = boss.diameter.get().map(|d| d / 2.0)
        && !above(rim, distance + drill)
    {
        let (own, limit) = (out.mm(distance + drill), out.mm(rim));
        out.add(
            error(
                OFF_BOSS,
                &screw.distance,
                format!("the hole reaches {own} from the sender's axis, the boss {limit}"),
            )
            .allowed(format!("below {}", out.mm(rim - drill)))
            .beside(boss.diameter.place(), "the boss's diameter")
            .because("the thread would be open at the side"),
        );
    }
    let bore = boss.bore_steps.items.first()?.diameter.get()? / 2.0;
    if !above(distance - drill, bore) {
        let (own, limit) = (out.mm(distance - drill), out.mm(bore));
        out.add(
            error(
                INTO_BORE,
                &screw.distance,
                format!("the hole comes within {own} of the sender's axis, the bore's wall {limit}"),
            )
            .allowed(format!("above {}", out.mm(bore + drill)))
            .because("the thread would be open to the bore"),
        );
    }
    Some(())
}

fn depths(boss: &RawSenderBoss, screw: &RawRetainingScrew, out: &mut Verdicts) -> Option<()> {
    let (depth, drill) = (screw.depth.get()?, screw.drill_depth.get()?);
    if above(depth, drill) {
        let (own, limit) = (out.mm(drill), out.mm(depth));
        out.add(
            error(
                SHALLOW_DRILL,
                &screw.drill_depth,
                format!("the drilled hole of {own} ends within the thread"),
            )
            .allowed(format!("{limit} or more, the thread's depth")),
        );
    }
    // The boss ends ahead of the closest point. The cavity's wall comes earlier, which only the solid can show.
    if !above(boss.height.get()?, drill) {
        let (own, limit) = (out.mm(drill), out.mm(boss.height.get()?));
        let slots = [Slot::of(&screw.drill_depth), Slot::of(&screw.depth), Slot::of(&screw.thread)];
        out.add(
            error_of_given(DEEP, &slots, format!("the drilled hole of {own} is as long as the boss"))
                .allowed(format!("below {limit}"))
                .because("oil leaks along the thread"),
        );
    }
    Some(())
}
