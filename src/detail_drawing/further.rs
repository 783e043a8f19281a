//! Machined features that have no dimensions beside a view: each with its place and its sizes in words.

use super::numbers::{degrees, diameter, length};
use super::pad_rows;
use super::subject::Subject;
use super::tables::table;
use crate::design::{DustLipKind, MountPad, OilFeed, PadSlots, SenderBoss, SlotDirection};
use crate::drafting::SheetContent;
use crate::faces::{Feature, plain_names};
use crate::units::{Mm, Units};
use crate::words::counted;

/// What is cut, and its sizes.
type Row = Vec<String>;

/// The table of these features, if there are any.
pub(super) fn further(subject: &Subject) -> Option<SheetContent> {
    let mut rows = tail(subject);
    rows.extend(pad_rows::rows(subject));
    rows.extend(pad_slots(subject));
    rows.extend(subject.design.sender_boss().into_iter().flat_map(|boss| sender(boss, subject.units)));
    rows.extend(plugs(subject));
    rows.extend(rail(subject));
    rows.extend(relief(subject));
    (!rows.is_empty()).then(|| table("Further machined features", &["what", "size and place"], &rows))
}

fn row(what: impl Into<String>, size: String) -> Row {
    vec![what.into(), size]
}

/// Oil feed, drain-back, dust recess or lip.
fn tail(subject: &Subject) -> Vec<Row> {
    let (tail, units) = (subject.design.tail(), subject.units);
    let show = |mm: Mm| length(units, mm.get());
    let round = |mm: Mm| diameter(units, mm.get());
    let feed = tail.oil_feed().map(|feed| match feed {
        OilFeed::Slot { clock, width, floor, end } => row(
            "oil feed slot",
            format!(
                "{} wide, round floor {} from the shaft axis, to X {}, clock {}",
                show(*width),
                show(*floor),
                show(*end),
                degrees(*clock)
            ),
        ),
        OilFeed::Hole { clock, diameter, mouth, angle } => row(
            "oil feed hole",
            format!(
                "{}, from X {} on the seat forward and outwards at {}, clock {}",
                round(*diameter),
                show(*mouth),
                degrees(*angle),
                degrees(*clock)
            ),
        ),
    });
    let drain = tail.drain_back().map(|drain| {
        row(
            "drain-back",
            format!(
                "{}, at the seal shoulder {} from the shaft axis, forward and outwards at {}, clock {}",
                round(drain.diameter()),
                show(drain.distance()),
                degrees(drain.angle()),
                degrees(drain.clock())
            ),
        )
    });
    let dust = tail.dust_lip().map(|lip| match lip.kind {
        DustLipKind::Recess => {
            row("dust recess", format!("{} × {} deep", round(lip.diameter), show(lip.depth)))
        }
        DustLipKind::Lip => row("dust lip", format!("{} × {} high", round(lip.diameter), show(lip.depth))),
    });
    [feed, drain, dust].into_iter().flatten().collect()
}

/// The slots of the mount pads.
fn pad_slots(subject: &Subject) -> Vec<Row> {
    let design = subject.design;
    let pads =
        [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
    let cut = |(feature, pad): (Feature, Option<&MountPad>)| {
        let pad = pad?;
        let slots = pad.slots()?;
        let what = format!("{}, {}", plain_names::feature(feature), counted(slots.positions().len(), "slot"));
        Some(row(what, slotted(pad, slots, subject.units)))
    };
    pads.into_iter().filter_map(cut).collect()
}

fn slotted(pad: &MountPad, slots: &PadSlots, units: Units) -> String {
    let show = |mm: f64| length(units, mm);
    let way = match slots.direction() {
        SlotDirection::Along => "along the shaft",
        SlotDirection::Across => "across the shaft",
    };
    let deep =
        if slots.through() { "through".to_owned() } else { format!("{} deep", show(slots.depth().get())) };
    let middle = |p: &crate::design::Position| {
        let (x, y) = (pad.station() + p.along, pad.side_offset() + p.across);
        format!("X {} Y {}", show(x.get()), show(y.get()))
    };
    let middles: Vec<String> = slots.positions().iter().map(middle).collect();
    format!(
        "{} wide, {} between centres {way}, {deep}; middles {}",
        show(slots.width().get()),
        show(slots.travel().get()),
        middles.join(", ")
    )
}

/// Seat, O-ring land and fork slot of the sender's boss.
fn sender(boss: &SenderBoss, units: Units) -> Vec<Row> {
    let show = |mm: Mm| length(units, mm.get());
    let seat = boss.spot_face().map(|seat| {
        row(
            "sender spot face",
            format!("{} × {} deep", diameter(units, seat.diameter.get()), show(seat.depth)),
        )
    });
    let ring = boss.o_ring().map(|ring| {
        let place = if ring.position.get() > 0.0 {
            format!("{} below the spot face", show(ring.position))
        } else {
            "from the spot face".to_owned()
        };
        row(
            "sender O-ring land",
            format!("{} × {} wide, {place}", diameter(units, ring.diameter.get()), show(ring.width)),
        )
    });
    let fork = boss.fork().map(|fork| {
        row(
            "sender fork slot",
            format!(
                "{} × {}, {} below the spot face, clock {} about the sender",
                show(fork.thickness),
                show(fork.width),
                show(fork.depth),
                degrees(fork.clock)
            ),
        )
    });
    [seat, ring, fork].into_iter().flatten().collect()
}

/// Where the plugs' axes point, and where their faces lie.
fn plugs(subject: &Subject) -> Vec<Row> {
    let show = |mm: Mm| length(subject.units, mm.get());
    let one = |(k, plug): (usize, &crate::design::Plug)| {
        row(
            format!("plug P{}", k + 1),
            format!(
                "X {}, clock {}, face {} from the shaft axis, square to it",
                show(plug.station()),
                degrees(plug.clock()),
                show(plug.height())
            ),
        )
    };
    subject.design.plugs().iter().enumerate().map(one).collect()
}

/// How far the shift rail's bore reaches.
fn rail(subject: &Subject) -> Option<Row> {
    let tube = subject.design.rail_tube()?;
    let show = |mm: Mm| length(subject.units, mm.get());
    Some(row("rail bore", format!("from X {} to X {}", show(tube.bore_from()), show(tube.bore_to()))))
}

/// The relief of the gearbox face.
fn relief(subject: &Subject) -> Option<Row> {
    let relief = subject.design.gearbox_face().relief()?;
    let show = |mm: Mm| length(subject.units, mm.get());
    let [inner, outer] =
        [relief.inner_diameter, relief.outer_diameter].map(|d| diameter(subject.units, d.get()));
    let size = format!("from {inner} to {outer}, {} deep", show(relief.depth));
    Some(row("relief of the gearbox face", size))
}
