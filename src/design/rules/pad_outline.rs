//! Pads: on the housing, outside the shell, corners that fit, opening inside the outline.

use super::{Verdicts, above, error};
use crate::design::pads::rectangle;
use crate::finding::Code;
use crate::params::Slot;
use crate::params::schema::{File, MountPad, Outline, ShiftBoxPad};
use crate::units::{Deg, Mm};

const OFF_HOUSING: Code = Code::new("D040", "pad beyond the end of the housing");
const CORNERS: Code = Code::new("D041", "corner radius larger than the outline allows");
const OPENING: Code = Code::new("D042", "opening wider than its pad");
const BURIED: Code = Code::new("D043", "pad face inside the shell");
const BESIDE: Code = Code::new("D044", "pad beside the shell");

pub(super) const CODES: &[Code] = &[OFF_HOUSING, CORNERS, OPENING, BURIED, BESIDE];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(pad) = &file.shift_box_pad {
        corners(&pad.outline, out);
        if let Some(opening) = &pad.opening {
            corners(opening, out);
            opening_inside(pad, opening, out);
        }
        let tilt = pad.tilt.get().unwrap_or_default();
        place(file, &Seat::of_shift_box(pad), tilt, out);
    }
    for pad in file.mount_pad.iter().chain(&file.second_mount_pad) {
        corners(&pad.outline, out);
        place(file, &Seat::of_mount(pad), Deg::default(), out);
    }
}

/// What both kinds of pad have in common.
struct Seat<'p> {
    station: Option<Mm>,
    station_slot: &'p Slot<Mm>,
    height: &'p Slot<Mm>,
    side_offset: &'p Slot<Mm>,
    outline: &'p Outline,
}

impl<'p> Seat<'p> {
    fn of_shift_box(pad: &'p ShiftBoxPad) -> Self {
        Self {
            station: pad.station.get(),
            station_slot: &pad.station,
            height: &pad.height,
            side_offset: &pad.side_offset,
            outline: &pad.outline,
        }
    }

    fn of_mount(pad: &'p MountPad) -> Self {
        // The offset is what a builder moves; the base station is only blamed when no offset is given.
        let moved = pad.offset.origin() == crate::params::Origin::Given;
        Self {
            station: pad.base_station.get().zip(pad.offset.get()).map(|(base, offset)| base + offset),
            station_slot: if moved { &pad.offset } else { &pad.base_station },
            height: &pad.drop,
            side_offset: &pad.side_offset,
            outline: &pad.outline,
        }
    }
}

fn corners(outline: &Outline, out: &mut Verdicts) -> Option<()> {
    let limit = outline.length.get()?.min(outline.width.get()?) / 2.0;
    if above(outline.corner_radius.get()?, limit) {
        let (own, limit) = (out.mm(outline.corner_radius.get()?), out.mm(limit));
        out.add(
            error(CORNERS, &outline.corner_radius, format!("four corners of {own} do not fit the outline"))
                .allowed(format!("at most {limit}: half the shorter side")),
        );
    }
    Some(())
}

fn opening_inside(pad: &ShiftBoxPad, opening: &Outline, out: &mut Verdicts) -> Option<()> {
    let (outer, inner) = (rectangle(&pad.outline)?, rectangle(opening)?);
    let sides = [
        (inner.length, outer.length, &opening.length, &pad.outline.length, "length"),
        (inner.width, outer.width, &opening.width, &pad.outline.width, "width"),
    ];
    for (own, limit, slot, outline, name) in sides {
        if !above(limit, own) {
            let (own, limit) = (out.mm(own), out.mm(limit));
            out.add(
                error(OPENING, slot, format!("the opening's {name} of {own} leaves no pad around it"))
                    .allowed(format!("below {limit}"))
                    .beside(outline.place(), format!("the pad's {name}"))
                    .because("the gasket of the shift box seals around the opening"),
            );
        }
    }
    Some(())
}

fn place(file: &File, seat: &Seat<'_>, tilt: Deg, out: &mut Verdicts) -> Option<()> {
    let (x, half) = (seat.station?, seat.outline.length.get()? / 2.0);
    let half = half * tilt.to_radians().cos();
    if let Some(rear) = file.housing.overall_length.get()
        && (above(Mm::new(0.0), x - half) || above(x + half, rear))
    {
        let (from, to, limit) = (out.mm(x - half), out.mm(x + half), out.mm(rear));
        out.add(
            error(OFF_HOUSING, seat.station_slot, format!("the pad reaches from station {from} to {to}"))
                .allowed(format!("within 0 to {limit}, the overall length"))
                .because("a pad beyond the ends hangs in the air or stands in the gearbox"),
        );
        return None;
    }
    // The shell narrows or widens under the pad: its largest radius there counts.
    let ends = [x - half, x, x + half];
    let inside = out.outside.iter().map(|&(x, _)| x).filter(|&s| s > ends[0] && s < ends[2]);
    let shell = ends.into_iter().chain(inside).filter_map(|x| out.outside_at(x)).reduce(Mm::max)?;
    let side = seat.side_offset.get()?.abs();
    let reach = seat.height.get()? - half * tilt.tan().abs();
    if !above(reach, shell) && above(shell, side) {
        let (own, limit) = (out.mm(reach), out.mm(shell));
        out.add(
            error(BURIED, seat.height, format!("the pad's face lies {own} from the axis"))
                .allowed(format!("above {limit}, the shell's outside radius under the pad"))
                .because("the face must stand clear of the shell to be machined"),
        );
    }
    let near = side - seat.outline.width.get()? / 2.0;
    if !above(shell, near) {
        let (own, limit) = (out.mm(near), out.mm(shell));
        out.add(
            error(BESIDE, seat.side_offset, format!("the pad's near side lies {own} beside the axis"))
                .allowed(format!("below {limit}, the shell's outside radius"))
                .because("the pad would not touch the shell"),
        );
    }
    Some(())
}
