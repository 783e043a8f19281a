//! Cavity stations: in order from the gearbox face to the stop bore, inside the flange.

use super::{Verdicts, above, error, tail_values, warning};
use crate::finding::Code;
use crate::params::schema::File;
use crate::units::Mm;

const FIRST: Code = Code::new("D020", "cavity does not start at the gearbox face");
const ORDER: Code = Code::new("D021", "cavity stations out of order");
const REPEATED: Code = Code::new("D022", "cavity station repeated");
const BEYOND: Code = Code::new("D023", "cavity runs into the bushing seat");
const SHOULDER: Code = Code::new("D024", "thin shoulder ahead of the bushing");
const FLANGE: Code = Code::new("D025", "shell larger than the flange");
const NARROW: Code = Code::new("D026", "cavity narrower than the stop bore");

pub(super) const CODES: &[Code] = &[FIRST, ORDER, REPEATED, BEYOND, SHOULDER, FLANGE, NARROW];

/// Length of the stop bore below which a pressed bushing may push through, shop practice.
const THIN_SHOULDER: Mm = Mm::new(2.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    starts_at_face(file, out);
    in_order(file, out);
    ends_before_seat(file, out);
    inside_flange(file, out);
    passes_yoke(file, out);
}

fn starts_at_face(file: &File, out: &mut Verdicts) -> Option<()> {
    let first = &file.shell.cavity.items.first()?.station;
    if above(first.get()?, Mm::new(0.0)) {
        let own = out.mm(first.get()?);
        out.add(
            error(FIRST, first, format!("the first station is at {own}"))
                .allowed("0")
                .because("the cavity is open to the gearbox"),
        );
    }
    Some(())
}

fn in_order(file: &File, out: &mut Verdicts) {
    let items = &file.shell.cavity.items;
    for (i, pair) in items.windows(2).enumerate() {
        let (Some(before), Some(here)) = (pair[0].station.get(), pair[1].station.get()) else { continue };
        if above(before, here) {
            let message =
                format!("this station, {}, lies ahead of the one before, {}", out.mm(here), out.mm(before));
            let finding = error(ORDER, &pair[1].station, message);
            out.add(
                finding
                    .because("stations are listed from front to back")
                    .allowed(format!("{} or more", out.mm(before))),
            );
            continue;
        }
        let same_place = !above(here, before);
        let third = i > 0 && items[i - 1].station.get().is_some_and(|x| same_place && !above(here, x));
        let same_diameter = pair[0]
            .diameter
            .get()
            .zip(pair[1].diameter.get())
            .is_some_and(|(a, b)| same_place && !above(a, b) && !above(b, a));
        if third || same_diameter {
            out.add(
                error(REPEATED, &pair[1].station, format!("station {} is given again", out.mm(here)))
                    .because(
                        "two stations at one place make a step between two diameters; a third has no meaning",
                    )
                    .hint("remove this one"),
            );
        }
    }
}

fn ends_before_seat(file: &File, out: &mut Verdicts) -> Option<()> {
    let last = &file.shell.cavity.items.last()?.station;
    let (_, seat_front) = tail_values(file)?;
    if !above(seat_front, Mm::new(0.0)) {
        return None; // the tail's own rule reports which length is too long
    }
    let (end, limit) = (last.get()?, out.mm(seat_front));
    if !above(seat_front, end) {
        out.add(
            error(
                BEYOND,
                last,
                format!("the last station, {}, reaches the bushing seat at {limit}", out.mm(end)),
            )
            .allowed(format!("below {limit}: overall length less seal depth less bushing length"))
            .because("the bushing needs a shoulder to stop against")
            .hint("end the cavity earlier, or make `housing.overall_length` longer"),
        );
    } else if above(THIN_SHOULDER, seat_front - end) {
        let own = out.mm(seat_front - end);
        out.add(
            warning(
                SHOULDER,
                last,
                format!("only {own} of stop bore are left between cavity and bushing seat"),
            )
            .allowed(format!("{} or more", out.mm(THIN_SHOULDER)))
            .because("a thin shoulder gives way when the bushing is pressed in")
            .from_source("common practice"),
        );
    }
    Some(())
}

fn inside_flange(file: &File, out: &mut Verdicts) -> Option<()> {
    let flange = &file.gearbox_face.flange.diameter;
    let shell = out.outside_at(Mm::new(0.0))?;
    if !above(flange.get()? / 2.0, shell) {
        let (own, limit) = (out.mm(flange.get()?), out.mm(shell * 2.0));
        out.add(
            error(
                FLANGE,
                flange,
                format!("the flange's diameter of {own} is not larger than the shell's {limit}"),
            )
            .allowed(format!("above {limit}: first cavity station plus wall on both sides"))
            .because("the flange must project beyond the shell"),
        );
    }
    Some(())
}

/// One finding is enough: that of the narrowest station.
fn passes_yoke(file: &File, out: &mut Verdicts) -> Option<()> {
    let stop = &file.tail.bushing.stop_bore;
    let known = file.shell.cavity.items.iter().filter_map(|s| Some((s.diameter.get()?, &s.diameter)));
    let (own, slot) = known.min_by(|a, b| a.0.get().total_cmp(&b.0.get()))?;
    if above(stop.get()?, own) {
        let (own, limit) = (out.mm(own), out.mm(stop.get()?));
        out.add(
            error(
                NARROW,
                slot,
                format!("the cavity's diameter of {own} is smaller than the stop bore's {limit}"),
            )
            .allowed(format!("{limit} or more"))
            .beside(stop.place(), "the stop bore")
            .because("yoke and output shaft pass through both the stop bore and the cavity"),
        );
    }
    Some(())
}
