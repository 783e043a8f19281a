//! Oil feed and drain-back: out of the seat or the seal shoulder, into the cavity's end, with access for the drill.

use super::{Slot, Verdicts, above, error, error_of_given, warning};
use crate::design::derive::lead_in_mouth;
use crate::design::passage_fit::{FeedHole, room_of};
use crate::finding::{Code, Scope};
use crate::params::schema::{File, OilFeedKind, RawDrainBack, RawOilFeed};
use crate::params::{Origin, Parameter};
use crate::units::{Deg, Mm};

const OTHER_KIND: Code = Code::new("D110", "oil feed key that belongs to the other kind");
const OFF_SEAT: Code = Code::new("D111", "oil feed ends outside the bushing seat");
const FEED_MISSES: Code = Code::new("D112", "oil feed misses the cavity's end");
const NO_WAY_IN: Code = Code::new("D113", "oil feed's drill strikes the tail bore");
const FEED_WIDE: Code = Code::new("D114", "oil feed too wide for the bore");
const OFF_SHOULDER: Code = Code::new("D115", "drain-back off the seal shoulder");
const DRAIN_MISSES: Code = Code::new("D116", "drain-back misses the cavity's end");
const THIN: Code = Code::new("D117", "thin wall between drain-back and bushing seat").about(Scope::Limits);

pub(super) const CODES: &[Code] =
    &[OTHER_KIND, OFF_SEAT, FEED_MISSES, NO_WAY_IN, FEED_WIDE, OFF_SHOULDER, DRAIN_MISSES, THIN];

/// Wall between a passage and the seat below which the seat gives way when the bushing is pressed in, shop practice.
const LEAST_WALL: Mm = Mm::new(1.0);

/// Largest width of a slot as a share of the stop bore.
const WIDEST: f64 = 0.5;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(feed) = &file.tail.oil_feed {
        match feed.kind.get() {
            Some(OilFeedKind::Slot) => {
                other_kind(&feed.angle, "a slot has no angle", out);
                slot(file, feed, out);
            }
            Some(OilFeedKind::Hole) => {
                other_kind(&feed.depth, "a hole has no depth below the seat", out);
                hole(file, feed, out);
            }
            None => {}
        }
    }
    if let Some(drain) = &file.tail.drain_back {
        on_shoulder(file, drain, out);
        drains_into_cavity(file, drain, out);
    }
}

fn other_kind<T>(slot: &Parameter<T>, message: &str, out: &mut Verdicts) {
    if slot.origin() == Origin::Given {
        out.add(error(OTHER_KIND, slot, message.to_owned()).hint("remove this key, or change `kind`"));
    }
}

fn slot(file: &File, feed: &RawOilFeed, out: &mut Verdicts) -> Option<()> {
    let bushing = &file.tail.bushing;
    if let (Some(width), Some(stop)) = (feed.width.get(), bushing.stop_bore.get())
        && above(width, stop * WIDEST)
    {
        let (own, limit) = (out.mm(width), out.mm(stop * WIDEST));
        out.add(
            error(FEED_WIDE, &feed.width, format!("the slot is {own} wide"))
                .allowed(format!("at most {limit}, half the stop bore"))
                .because("the bushing needs a stop around it"),
        );
    }
    let (reach, length) = (feed.reach.get()?, bushing.length.get()?);
    if !above(length, reach) {
        let (own, limit) = (out.mm(reach), out.mm(length));
        out.add(
            error(
                OFF_SEAT,
                &feed.reach,
                format!("the slot's reach of {own} runs past the seat's length of {limit}"),
            )
            .allowed(format!("below {limit}"))
            .because("oil would run straight to the seal"),
        );
    }
    let (floor, cavity) = (bushing.bore.get()? / 2.0 + feed.depth.get()?, out.cavity.last()?.1);
    if !above(cavity, floor) {
        let (own, limit) = (out.mm(floor), out.mm(cavity));
        let slots = [Slot::of(&feed.depth), Slot::of(&feed.width), Slot::of(&bushing.bore)];
        out.add(
            error_of_given(FEED_MISSES, &slots, format!("the slot's floor lies {own} from the shaft axis"))
                .allowed(format!("a floor below {limit}, the cavity's radius at its end"))
                .because("the slot starts in the cavity's rear end"),
        );
    }
    Some(())
}

fn hole(file: &File, feed: &RawOilFeed, out: &mut Verdicts) -> Option<()> {
    let tail = &file.tail;
    let hole = FeedHole {
        radius: feed.width.get()?.get() / 2.0,
        reach: feed.reach.get()?.get(),
        angle: feed.angle.get()?,
    };
    let end = out.cavity.last().map(|(x, radius)| (x.get(), radius.get()));
    let room = room_of(tail, end, super::tail_values(file).map(|(_, front)| front.get()))?;
    let (reach, half_mouth, length) = (Mm::new(hole.reach), Mm::new(hole.half_mouth()), Mm::new(room.length));
    if !above(reach, half_mouth) || !above(length, reach + half_mouth) {
        let (own, from, to) = (out.mm(reach), out.mm(half_mouth), out.mm(length - half_mouth));
        let slots =
            [Slot::of(&feed.reach), Slot::of(&feed.angle), Slot::of(&feed.width), Slot::of(&feed.kind)];
        out.add(
            error_of_given(OFF_SEAT, &slots, format!("the hole's mouth lies {own} behind the stop"))
                .allowed(format!("between {from} and {to}: the whole mouth in the seat"))
                .because("the hole would cut the stop or run to the seal")
                .hint("a steeper angle makes the mouth shorter; a slot needs less room"),
        );
        return None;
    }
    let slots = [Slot::of(&feed.angle), Slot::of(&feed.reach), Slot::of(&feed.width), Slot::of(&feed.kind)];
    let [breaks_out, half_oval] = [hole.comes_out(&room), hole.half_oval()].map(Mm::new);
    let (cavity, stop) = (Mm::new(room.cavity), Mm::new(room.stop));
    if !above(cavity, breaks_out + half_oval) || !above(breaks_out - half_oval, stop) {
        let (own, from, to) = (out.mm(breaks_out), out.mm(stop + half_oval), out.mm(cavity - half_oval));
        out.add(
            error_of_given(FEED_MISSES, &slots, format!("the hole comes out {own} from the shaft axis"))
                .allowed(format!("between {from} and {to}, in the cavity's rear end"))
                .because("the whole drill must come out in the cavity"),
        );
    }
    // The drill's other end: past the axis at the seat's rear end and at the rear face, still within the bores.
    for ((passes, bore), what) in hole.way_in(&room).into_iter().zip(["the seat's rear end", "the rear face"])
    {
        let [passes, bore] = [passes, bore].map(Mm::new);
        if !above(bore, passes) {
            let (own, limit) = (out.mm(passes), out.mm(bore));
            out.add(
                error_of_given(NO_WAY_IN, &slots, format!("at {what} the drill reaches {own} from the axis"))
                    .allowed(format!("below {limit}, the bore's radius there"))
                    .because("the drill comes in through the open tail bore")
                    .hint("drill flatter, or further back"),
            );
            break;
        }
    }
    Some(())
}

fn on_shoulder(file: &File, drain: &RawDrainBack, out: &mut Verdicts) -> Option<()> {
    let (inner, outer) = (lead_in_mouth(&file.tail.bushing)?, file.tail.seal.counterbore.get()? / 2.0);
    let (at, half) = (drain.distance.get()?, half_oval(drain.diameter.get()?, drain.angle.get()?));
    if !above(at - half, inner) || !above(outer, at + half) {
        let (from, to) = (out.mm(inner), out.mm(outer));
        let (near, far) = (out.mm(at - half), out.mm(at + half));
        out.add(
            error_of_given(
                OFF_SHOULDER,
                &[
                    Slot::of(&drain.distance),
                    Slot::of(&drain.diameter),
                    Slot::of(&file.tail.seal.counterbore),
                ],
                format!("the hole's mouth reaches from {near} to {far} from the shaft axis"),
            )
            .allowed(if above(outer, inner) {
                format!("between {from} and {to}, the shoulder")
            } else {
                format!(
                    "none: the seal's counterbore, {to} from the axis, is no wider than the bushing seat's mouth, {from} from it; there is no \
                     shoulder"
                )
            })
            .because("it would cut the bushing's seat or the seal's")
            .hint(if above(outer, inner) {
                "a smaller diameter, or the shoulder's middle"
            } else {
                "a larger `tail.seal.counterbore`, or no drain-back"
            }),
        );
        return None;
    }
    let wall = at - half - file.tail.bushing.bore.get()? / 2.0;
    if above(LEAST_WALL, wall) {
        let own = out.mm(wall);
        out.add(
            warning(THIN, &drain.distance, format!("only {own} of wall is left to the bushing seat"))
                .allowed(format!("{} or more", out.mm(LEAST_WALL)))
                .because("the seat gives way when the bushing is pressed in")
                .from_source("common practice"),
        );
    }
    Some(())
}

fn drains_into_cavity(file: &File, drain: &RawDrainBack, out: &mut Verdicts) -> Option<()> {
    let (end, cavity) = *out.cavity.last()?;
    let shoulder = file.housing.overall_length.get()? - file.tail.seal.depth.get()?;
    let angle = drain.angle.get()?;
    let breaks_out = drain.distance.get()? + (shoulder - end) * angle.tan();
    let half = half_oval(drain.diameter.get()?, angle);
    if !above(cavity, breaks_out + half) {
        let (own, limit) = (out.mm(breaks_out + half), out.mm(cavity));
        let given = [Slot::of(&drain.distance), Slot::of(&drain.angle), Slot::of(&drain.diameter)];
        let end = file.shell.cavity.items.last().map(|station| Slot::of(&station.diameter));
        let slots: Vec<Slot> = given.into_iter().chain(end).collect();
        out.add(
            error_of_given(
                DRAIN_MISSES,
                &slots,
                format!("the hole reaches {own} from the shaft axis at the cavity's end"),
            )
            .allowed(format!("below {limit}, the cavity's radius there"))
            .because("the oil must come out in the cavity")
            .hint("a larger last cavity station, a smaller hole, or one nearer to the seat"),
        );
    }
    Some(())
}

/// Half the height of the oval that a leaning drill leaves in a plane square to the shaft.
fn half_oval(diameter: Mm, angle: Deg) -> Mm {
    diameter / 2.0 / angle.sin_cos().1
}
