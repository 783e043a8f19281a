//! The tail: bores that step down from the rear, all inside the ring, all within the overall length.

use super::{Slot, Verdicts, above, error, error_of_given, warning};
use crate::finding::{Code, Scope};
use crate::params::Parameter;
use crate::params::schema::File;
use crate::units::{Deg, Mm};

const TOO_LONG: Code = Code::new("D030", "seal and bushing longer than the housing");
const RING_SHORT: Code = Code::new("D031", "tail ring does not cover the bushing seat");
const RING_LONG: Code = Code::new("D032", "tail ring as long as the housing");
const NO_RING: Code = Code::new("D033", "no metal around the seal counterbore");
const THIN_RING: Code = Code::new("D034", "thin wall around the seal counterbore").about(Scope::Limits);
const NOT_STEPPED: Code = Code::new("D035", "tail bores do not step down");
const LEAD_IN: Code = Code::new("D036", "lead-in leaves nothing of its bore");
const NO_DEPTH: Code = Code::new("D037", "seal counterbore without depth");

pub(super) const CODES: &[Code] =
    &[TOO_LONG, RING_SHORT, RING_LONG, NO_RING, THIN_RING, NOT_STEPPED, LEAD_IN, NO_DEPTH];

/// Wall around a seal below which the seat goes out of round, shop practice.
const THIN: Mm = Mm::new(4.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    depth_known(file, out);
    lengths(file, out);
    walls(file, out);
    steps(file, out);
    seal_lead_in(file, out);
    bushing_lead_in(file, out);
}

fn depth_known(file: &File, out: &mut Verdicts) {
    let seal = &file.tail.seal;
    if seal.depth.is_absent() && seal.width.is_absent() {
        out.add(
            error(NO_DEPTH, &seal.depth, "neither `width` nor `depth` of the seal is given".to_owned())
                .allowed("one of the two")
                .because("the depth follows from the seal's width")
                .hint("add the seal's width, such as `width: 10 mm`"),
        );
    }
}

fn lengths(file: &File, out: &mut Verdicts) -> Option<()> {
    let tail = &file.tail;
    let bores = tail.seal.depth.get()? + tail.bushing.length.get()?;
    let overall = &file.housing.overall_length;
    if overall.get().is_some_and(|overall| !above(overall, bores)) {
        let (own, limit) = (out.mm(bores), out.mm(overall.get()?));
        out.add(
            error(TOO_LONG, &tail.bushing.length, format!("seal depth plus bushing length is {own}"))
                .allowed(format!("below the overall length of {limit}"))
                .beside(overall.place(), "the overall length"),
        );
    }
    let ring = &tail.length;
    if above(bores, ring.get()?) {
        let (own, limit) = (out.mm(ring.get()?), out.mm(bores));
        out.add(
            error(
                RING_SHORT,
                ring,
                format!("the ring's length of {own} ends behind the bushing seat's front"),
            )
            .allowed(format!("{limit} or more: seal depth plus bushing length"))
            .because("the whole seat needs metal of one thickness around it, or it goes out of round"),
        );
    }
    let room = overall.get()? - file.gearbox_face.flange.thickness.get()?;
    if above(ring.get()?, room) {
        let (own, limit) = (out.mm(ring.get()?), out.mm(room));
        out.add(
            error(RING_LONG, ring, format!("the ring's length of {own} reaches into the flange"))
                .allowed(format!("at most {limit}: overall length less flange thickness")),
        );
    }
    Some(())
}

fn walls(file: &File, out: &mut Verdicts) -> Option<()> {
    let (ring, bore) = (&file.tail.outside_diameter, &file.tail.seal.counterbore);
    let wall = (ring.get()? - bore.get()?) / 2.0;
    if !above(wall, Mm::new(0.0)) {
        let (own, limit) = (out.mm(bore.get()?), out.mm(ring.get()?));
        out.add(
            error(NO_RING, bore, format!("the counterbore's {own} leaves nothing of a ring of {limit}"))
                .allowed(format!("below {limit}"))
                .beside(ring.place(), "the ring's outside diameter"),
        );
    } else if above(THIN, wall) {
        let own = out.mm(wall);
        out.add(
            warning(THIN_RING, bore, format!("the wall around the counterbore is {own}"))
                .allowed(format!("{} or more", out.mm(THIN)))
                .because("a thin ring goes out of round when the seal is pressed in")
                .from_source("common practice"),
        );
    }
    Some(())
}

fn steps(file: &File, out: &mut Verdicts) {
    let (seal, bushing) = (&file.tail.seal, &file.tail.bushing);
    smaller(&bushing.bore, &seal.counterbore, "the seal counterbore", "the bushing goes in from behind", out);
    smaller(&bushing.stop_bore, &bushing.bore, "the bushing seat", "its shoulder stops the bushing", out);
}

fn smaller(
    bore: &Parameter<Mm>,
    behind: &Parameter<Mm>,
    name: &str,
    why: &str,
    out: &mut Verdicts,
) -> Option<()> {
    if !above(behind.get()?, bore.get()?) {
        let (own, limit) = (out.mm(bore.get()?), out.mm(behind.get()?));
        out.add(
            error(NOT_STEPPED, bore, format!("this bore, {own}, is not smaller than {name}, {limit}"))
                .allowed(format!("below {limit}"))
                .beside(behind.place(), name)
                .because(why),
        );
    }
    Some(())
}

fn seal_lead_in(file: &File, out: &mut Verdicts) -> Option<()> {
    let seal = &file.tail.seal;
    within(&seal.lead_in, seal.depth.get(), out);
    let room = (file.tail.outside_diameter.get()? - seal.counterbore.get()?) / 2.0;
    flares(&seal.lead_in, &seal.lead_in_angle, &seal.counterbore, room, "the ring's wall", out)
}

fn bushing_lead_in(file: &File, out: &mut Verdicts) -> Option<()> {
    let bushing = &file.tail.bushing;
    within(&bushing.lead_in, bushing.length.get(), out);
    let room = (file.tail.seal.counterbore.get()? - bushing.bore.get()?) / 2.0;
    flares(&bushing.lead_in, &bushing.lead_in_angle, &bushing.bore, room, "the counterbore's shoulder", out)
}

fn within(lead_in: &Parameter<Mm>, length: Option<Mm>, out: &mut Verdicts) -> Option<()> {
    if !above(length?, lead_in.get()?) {
        let (own, limit) = (out.mm(lead_in.get()?), out.mm(length?));
        out.add(
            error(LEAD_IN, lead_in, format!("the lead-in's {own} leaves nothing of a bore {limit} long"))
                .allowed(format!("below {limit}")),
        );
    }
    Some(())
}

fn flares(
    lead_in: &Parameter<Mm>,
    angle: &Parameter<Deg>,
    bore: &Parameter<Mm>,
    room: Mm,
    what: &str,
    out: &mut Verdicts,
) -> Option<()> {
    let rise = lead_in.get()? * angle.get()?.tan();
    if above(room, Mm::new(0.0)) && !above(room, rise) {
        let (own, limit) = (out.mm(rise), out.mm(room));
        let slots = [Slot::of(lead_in), Slot::of(angle), Slot::of(bore)];
        out.add(
            error_of_given(LEAD_IN, &slots, format!("the lead-in opens by {own}, {what} is {limit}"))
                .allowed(format!("an opening below {limit}"))
                .hint("shorten the lead-in or make its angle smaller"),
        );
    }
    Some(())
}
