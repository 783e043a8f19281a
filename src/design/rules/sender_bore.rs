//! The sender's bore: steps down inwards, inside the boss, into the cavity and not out of it again.

use super::{Verdicts, above, error, warning};
use crate::finding::{Code, Scope};
use crate::params::schema::{File, RawSenderBoss, SenderKind};
use crate::units::Mm;

const WIDENS: Code = Code::new("D060", "sender bore widens inwards");
const DEPTHS: Code = Code::new("D061", "sender bore depths out of order");
const NO_WALL: Code = Code::new("D062", "sender bore as large as its boss");
const THIN_WALL: Code = Code::new("D063", "thin wall around the sender bore").about(Scope::Limits);
const OFF_CAVITY: Code = Code::new("D064", "sender station beyond the cavity");
const MISSES: Code = Code::new("D065", "sender bore misses the cavity");
const BURIED: Code = Code::new("D066", "sender spot face inside the shell");
const SHORT: Code = Code::new("D067", "sender bore ends before the cavity");
const THROUGH: Code = Code::new("D068", "sender bore leaves the cavity on the far side");
const SPOT_SMALL: Code = Code::new("D069", "sender spot face no larger than its bore");

pub(super) const CODES: &[Code] =
    &[WIDENS, DEPTHS, NO_WALL, THIN_WALL, OFF_CAVITY, MISSES, BURIED, SHORT, THROUGH, SPOT_SMALL];

/// Wall around a bore below which a boss cracks, shop practice.
const THIN: Mm = Mm::new(3.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(boss) = &file.sender_boss else { return };
    steps(boss, out);
    wall(boss, out);
    into_cavity(boss, out);
    stands_clear(boss, out);
}

/// Why the bore must open into the cavity.
fn what_it_reaches(boss: &RawSenderBoss) -> &'static str {
    match boss.kind.get() {
        Some(SenderKind::Pulse) => "the sender reads a toothed wheel on the shaft inside the cavity",
        _ => "the sender reaches a gear on the shaft inside the cavity",
    }
}

fn steps(boss: &RawSenderBoss, out: &mut Verdicts) {
    for pair in boss.bore_steps.items.windows(2) {
        if let (Some(outer), Some(inner)) = (pair[0].diameter.get(), pair[1].diameter.get())
            && !above(outer, inner)
        {
            let (own, limit) = (out.mm(inner), out.mm(outer));
            out.add(
                error(
                    WIDENS,
                    &pair[1].diameter,
                    format!("this step, {own}, is not smaller than the one before, {limit}"),
                )
                .allowed(format!("below {limit}"))
                .because("the bore is cut from the spot face inwards"),
            );
        }
        if let (Some(outer), Some(inner)) = (pair[0].depth.get(), pair[1].depth.get())
            && !above(inner, outer)
        {
            let (own, limit) = (out.mm(inner), out.mm(outer));
            out.add(
                error(DEPTHS, &pair[1].depth, format!("this step ends at {own}, the one before at {limit}"))
                    .allowed(format!("above {limit}"))
                    .because("depths count from the spot face"),
            );
        }
    }
    let all_but_last = boss.bore_steps.items.split_last().map_or(&[][..], |(_, before)| before);
    for step in all_but_last.iter().filter(|step| step.depth.is_absent()) {
        out.add(
            error(DEPTHS, &step.depth, "this step has no depth".to_owned())
                .allowed("only the last step may leave its depth out"),
        );
    }
}

fn wall(boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let first = boss.bore_steps.items.first()?;
    let wall = (boss.diameter.get()? - first.diameter.get()?) / 2.0;
    if !above(wall, Mm::new(0.0)) {
        let (own, limit) = (out.mm(first.diameter.get()?), out.mm(boss.diameter.get()?));
        out.add(
            error(NO_WALL, &first.diameter, format!("the bore's {own} leaves nothing of a boss of {limit}"))
                .allowed(format!("below {limit}"))
                .beside(boss.diameter.place(), "the boss's diameter"),
        );
    } else if above(THIN, wall) {
        let own = out.mm(wall);
        out.add(
            warning(THIN_WALL, &first.diameter, format!("the boss's wall is {own} here"))
                .allowed(format!("{} or more", out.mm(THIN)))
                .because("a thin boss cracks and does not fill")
                .from_source("common practice"),
        );
    }
    let spot = boss.spot_face.as_ref()?;
    if !above(spot.diameter.get()?, first.diameter.get()?) {
        let limit = out.mm(first.diameter.get()?);
        out.add(
            error(SPOT_SMALL, &spot.diameter, "no seat is left around the bore".to_owned())
                .allowed(format!("above {limit}")),
        );
    }
    Some(())
}

fn into_cavity(boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let last = boss.bore_steps.items.last()?;
    let station = boss.station.get()?;
    let Some(cavity) = out.cavity_at(station) else {
        let end = out.cavity.last()?.0;
        let (own, limit) = (out.mm(station), out.mm(end));
        out.add(
            error(OFF_CAVITY, &boss.station, format!("the sender sits at station {own}"))
                .allowed(format!("0 to {limit}, the cavity"))
                .because(what_it_reaches(boss)),
        );
        return None;
    };
    let (offset, radius) = (boss.side_offset.get()?.abs(), last.diameter.get()? / 2.0);
    // Nearest and furthest line of the bore, seen along the sender's axis.
    let near = (offset - radius).max(Mm::new(0.0));
    if !above(cavity, near) {
        let (own, limit) = (out.mm(near), out.mm(cavity));
        out.add(
            error(MISSES, &boss.side_offset, format!("the bore passes {own} beside the shaft axis"))
                .allowed(format!("below {limit}, the cavity's radius at this station"))
                .because(what_it_reaches(boss)),
        );
        return None;
    }
    let end = (boss.height.get()? - last.depth.get()?) * boss.tilt.get()?.to_radians().cos();
    let entry = Mm::new((cavity.get().powi(2) - near.get().powi(2)).sqrt());
    if !above(entry, end) {
        let (own, limit) = (out.mm(end), out.mm(entry));
        out.add(
            error(
                SHORT,
                &last.depth,
                format!("the bore ends {own} above the shaft axis, the cavity begins at {limit}"),
            )
            .allowed("a depth that reaches the cavity")
            .hint("leave the last step's depth out to run it into the cavity"),
        );
    } else if above(-end, entry) {
        let (own, limit) = (out.mm(-end), out.mm(entry));
        out.add(
            error(
                THROUGH,
                &last.depth,
                format!("the bore ends {own} beyond the shaft axis, the cavity at {limit}"),
            )
            .allowed("a depth that ends inside the cavity")
            .because("it would drill the far wall"),
        );
    }
    Some(())
}

fn stands_clear(boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let tilt = boss.tilt.get()?.to_radians();
    let up = boss.height.get()? * tilt.cos();
    let x = boss.station.get()? + boss.height.get()? * tilt.sin();
    let shell = out.outside_at(x).or_else(|| out.outside_at(boss.station.get()?))?;
    let reach = Mm::new(up.get().hypot(boss.side_offset.get()?.get()));
    if !above(reach, shell) {
        let (own, limit) = (out.mm(reach), out.mm(shell));
        out.add(
            error(BURIED, &boss.height, format!("the spot face's centre lies {own} from the shaft axis"))
                .allowed(format!("more than {limit}, the shell's outside radius there"))
                .because("the spot face must stand clear of the shell to be machined"),
        );
    }
    Some(())
}
