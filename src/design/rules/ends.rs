//! Nothing projects beyond the gearbox face or the rear face: sender boss, plug bosses, ribs.

use super::{Verdicts, above, error};
use crate::design::ribs::ribs_of;
use crate::design::shell::Shell;
use crate::design::tail::Tail;
use crate::finding::Code;
use crate::params::schema::{File, LongitudinalRibs, RawPlug, RawSenderBoss};
use crate::units::Mm;

const RIB: Code = Code::new("D084", "rib projects beyond the gearbox face");
const PLUG: Code = Code::new("D103", "plug boss beyond the ends of the housing");
const SENDER: Code = Code::new("D155", "sender boss beyond the ends of the housing");

pub(super) const CODES: &[Code] = &[RIB, PLUG, SENDER];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(boss) = &file.sender_boss {
        sender(file, boss, out);
    }
    for plug in &file.plugs.items {
        plug_boss(file, plug, out);
    }
    for set in file.ribs.iter().flat_map(|ribs| &ribs.longitudinal.items) {
        rib(file, set, out);
    }
}

/// The stations between which the part lies.
fn within(file: &File) -> Option<(Mm, Mm)> {
    Some((Mm::new(0.0), file.housing.overall_length.get()?))
}

fn sender(file: &File, boss: &RawSenderBoss, out: &mut Verdicts) -> Option<()> {
    let (front, rear) = within(file)?;
    let (sin, cos) = boss.tilt.get()?.sin_cos();
    let raised = boss.spot_face.as_ref().and_then(|spot| spot.depth.get()).unwrap_or_default();
    let (station, radius) = (boss.station.get()?, boss.diameter.get()? / 2.0);
    let tip = station + (boss.height.get()? + raised) * sin;
    let (first, last) = (station.min(tip) - radius * cos, station.max(tip) + radius * cos);
    if above(front, first) || above(last, rear) {
        let (from, to, limit) = (out.mm(first), out.mm(last), out.mm(rear));
        out.add(
            error(SENDER, &boss.station, format!("the boss reaches from station {from} to {to}"))
                .allowed(format!("within 0 to {limit}, the overall length"))
                .because("ahead of the face the boss would reach into the gearbox, behind the tail it would block the yoke"),
        );
    }
    Some(())
}

fn plug_boss(file: &File, plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let (front, rear) = within(file)?;
    let (station, radius) = (plug.station.get()?, plug.diameter.get()? / 2.0);
    if above(front, station - radius) || above(station + radius, rear) {
        let (own, from, to) = (out.mm(station), out.mm(front + radius), out.mm(rear - radius));
        out.add(
            error(PLUG, &plug.station, format!("the boss's axis is at station {own}"))
                .allowed(format!("{from} to {to}: the whole boss on the housing"))
                .because("ahead of the face the boss would reach into the gearbox"),
        );
    }
    Some(())
}

fn rib(file: &File, set: &LongitudinalRibs, out: &mut Verdicts) -> Option<()> {
    let tail = Tail::from_file(&file.tail, file.housing.overall_length.get()?)?;
    let shell = Shell::from_file(&file.shell, &tail)?;
    let rib = *ribs_of(set, file.shell.wall.get()?, &shell)?.first()?;
    let ((from, front), (to, rear)) = (rib.front, rib.rear);
    let slope = (front - rear).get().atan2((to - from).get());
    // The front end is square to the crest, and leans forward where the crest falls; draft lets it grow.
    let ahead = rib.depth * (slope.sin() + rib.draft.tan() * slope.cos());
    let first = from.min(from - ahead);
    if above(Mm::new(0.0), first) {
        let (own, limit) = (out.mm(-first), out.mm(ahead));
        out.add(
            error(RIB, &set.from, format!("the rib's root stands {own} out of the face"))
                .allowed(format!("{limit} or more"))
                .because("the rib's front end is square to its crest, and drafted")
                .hint("start the rib within the flange's thickness"),
        );
    }
    Some(())
}
