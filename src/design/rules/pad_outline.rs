//! Pads: on the housing, outside the shell, corners that fit, opening inside the outline.

use super::pad_holes::shift_box_point;
use super::{Verdicts, above, error};
use crate::design::pad_face::{Extent, PadFace};
use crate::design::pads::{Position, rectangle};
use crate::finding::Code;
use crate::params::Parameter;
use crate::params::schema::{File, Outline, RawMountPad, RawShiftBoxPad};
use crate::units::{Deg, Mm};

const OFF_HOUSING: Code = Code::new("D040", "pad beyond the end of the housing");
const CORNERS: Code = Code::new("D041", "corner radius larger than the outline allows");
const OPENING: Code = Code::new("D042", "opening wider than its pad");
const BURIED: Code = Code::new("D043", "pad face inside the shell");
const BESIDE: Code = Code::new("D044", "pad beside the shell");
const ASTRAY: Code = Code::new("D046", "opening misses the cavity or looks outside");

pub(super) const CODES: &[Code] = &[OFF_HOUSING, CORNERS, OPENING, BURIED, BESIDE, ASTRAY];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(pad) = &file.shift_box_pad {
        if let Some(outline) = &pad.outline {
            corners(outline, out);
        }
        if let Some(opening) = &pad.opening {
            corners(opening, out);
            opening_inside(pad, opening, out);
            opening_leads_in(pad, opening, out);
        }
        place(file, &Seat::of_shift_box(pad), out);
    }
    for pad in file.mount_pad.iter().chain(&file.second_mount_pad) {
        corners(&pad.outline, out);
        place(file, &Seat::of_mount(pad), out);
    }
}

/// What both kinds of pad have in common.
struct Seat<'p> {
    station: Option<Mm>,
    station_slot: &'p Parameter<Mm>,
    height: &'p Parameter<Mm>,
    side_offset: &'p Parameter<Mm>,
    extent: Option<Extent>,
    /// Tip of the face aft.
    tilt: Deg,
    draft: &'p Parameter<Deg>,
    /// From the face to the base of its metal.
    depth: Option<Mm>,
}

impl<'p> Seat<'p> {
    fn of_shift_box(pad: &'p RawShiftBoxPad) -> Self {
        Self {
            station: pad.station.get(),
            station_slot: &pad.station,
            height: &pad.height,
            side_offset: &pad.side_offset,
            extent: PadFace::of(pad).map(|face| face.extent()),
            tilt: pad.tilt.get().unwrap_or_default(),
            draft: &pad.draft,
            depth: pad.height.get(),
        }
    }

    fn of_mount(pad: &'p RawMountPad) -> Self {
        // The offset is what a builder moves; the base station is only blamed when no offset is given.
        let moved = pad.offset.origin() == crate::params::Origin::Given;
        Self {
            station: pad.base_station.get().zip(pad.offset.get()).map(|(base, offset)| base + offset),
            station_slot: if moved { &pad.offset } else { &pad.base_station },
            height: &pad.drop,
            side_offset: &pad.side_offset,
            extent: rectangle(&pad.outline).map(Extent::of_rectangle),
            tilt: Deg::default(),
            draft: &pad.draft,
            depth: pad.plate.as_ref().map_or(pad.drop.get(), |plate| plate.thickness.get()),
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

fn opening_inside(pad: &RawShiftBoxPad, opening: &Outline, out: &mut Verdicts) -> Option<()> {
    let inner = rectangle(opening)?;
    let Some(outline) = &pad.outline else {
        // Corner by corner: the opening's own corners, without its radii, must lie inside the polygon.
        let (face, half) = (PadFace::of(pad)?, (inner.length / 2.0, inner.width / 2.0));
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
            let at = Position { along: half.0 * x, across: half.1 * y };
            if !above(face.depth_inside(at)?, Mm::new(0.0)) {
                out.add(
                    error(
                        OPENING,
                        &opening.length,
                        "a corner of the opening lies outside the pad".to_owned(),
                    )
                    .beside(pad.polygon.place, "the pad's polygon")
                    .because("the gasket of the shift box seals around the opening"),
                );
                break;
            }
        }
        return None;
    };
    let outer = rectangle(outline)?;
    let sides = [
        (inner.length, outer.length, &opening.length, &outline.length, "length"),
        (inner.width, outer.width, &opening.width, &outline.width, "width"),
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

/// Places along and across an opening, and over its depth, at which its way is followed.
const STEPS: [u32; 3] = [20, 20, 10];

/// An opening runs from the pad's face as deep as the pad is high: somewhere it must meet the cavity, and its floor must
/// not lie beside the shell, where it would look outside.
fn opening_leads_in(pad: &RawShiftBoxPad, opening: &Outline, out: &mut Verdicts) -> Option<()> {
    if out.cavity.is_empty() || out.outside.is_empty() {
        return None; // nothing is known of the shell
    }
    let inner = rectangle(opening)?;
    let (height, half) = (pad.height.get()?, [inner.length / 2.0, inner.width / 2.0]);
    let share = |k: u32, steps: u32| 2.0 * f64::from(k) / f64::from(steps) - 1.0;
    let (mut leads_in, mut astray) = (false, None::<(Mm, Mm)>);
    for i in 0..=STEPS[0] {
        for j in 0..=STEPS[1] {
            let at = Position { along: half[0] * share(i, STEPS[0]), across: half[1] * share(j, STEPS[1]) };
            if above(Mm::new(0.0), inner.depth_inside(at)) {
                continue;
            }
            let place = |depth: Mm| {
                let [x, y, z] = shift_box_point(pad, at, depth)?;
                Some((x, Mm::new(y.get().hypot(z.get()))))
            };
            for k in 0..=STEPS[2] {
                let (x, far) = place(height * (f64::from(k) / f64::from(STEPS[2])))?;
                leads_in |= out.cavity_at(x).is_some_and(|cavity| above(cavity, far));
            }
            let (x, far) = place(height)?;
            if let Some(shell) = out.outside_at(x).filter(|shell| above(far, *shell))
                && astray.is_none_or(|(worst, _)| above(far, worst))
            {
                astray = Some((far, shell));
            }
        }
    }
    let hint = "move the pad (`side_offset`, `station`), or make the opening smaller";
    if let Some((far, shell)) = astray {
        let (own, limit) = (out.mm(far), out.mm(shell));
        out.add(
            error(ASTRAY, &pad.side_offset, format!("the opening's floor reaches {own} from the shaft axis"))
                .allowed(format!("up to {limit}, the shell's outside radius there"))
                .because("beside the shell the opening looks outside")
                .hint(hint),
        );
    } else if !leads_in {
        out.add(
            error(ASTRAY, &pad.side_offset, "the opening nowhere meets the cavity".to_owned())
                .because("the shift rods reach the gearbox through it")
                .hint(hint),
        );
    }
    Some(())
}

fn place(file: &File, seat: &Seat<'_>, out: &mut Verdicts) -> Option<()> {
    let (x, extent, depth) = (seat.station?, seat.extent?, seat.depth?);
    let (sin, cos) = seat.tilt.sin_cos();
    // Front and rear end at the face and, grown by the draft and shifted by the tilt, at the base.
    let grown = depth * seat.draft.get()?.tan();
    let (front, rear) = (x + extent.along.0 * cos, x + extent.along.1 * cos);
    let (base_front, base_rear) = (front - grown * cos - depth * sin, rear + grown * cos - depth * sin);
    let (first, last) = (front.min(base_front), rear.max(base_rear));
    if let Some(end) = file.housing.overall_length.get()
        && (above(Mm::new(0.0), first) || above(last, end))
    {
        let (from, to, limit) = (out.mm(first), out.mm(last), out.mm(end));
        out.add(
            error(OFF_HOUSING, seat.station_slot, format!("the pad reaches from station {from} to {to}"))
                .allowed(format!("within 0 to {limit}, the overall length"))
                .because("a pad beyond the ends would hang in the air or reach into the gearbox")
                .hint("tilt and draft shift and widen the pad towards its base"),
        );
        return None;
    }
    // The shell narrows or widens under the pad: its largest radius there counts.
    let inside = out.outside.iter().map(|&(x, _)| x).filter(|&s| s > front && s < rear);
    let ends = [front, x, rear];
    let shell = ends.into_iter().chain(inside).filter_map(|x| out.outside_at(x)).reduce(Mm::max)?;
    let side = seat.side_offset.get()?.abs();
    let drops = [(front - x) * seat.tilt.tan(), (rear - x) * seat.tilt.tan()];
    let reach = seat.height.get()? - drops[0].max(drops[1]);
    if !above(reach, shell) && above(shell, side) {
        let (own, limit) = (out.mm(reach), out.mm(shell));
        out.add(
            error(BURIED, seat.height, format!("the pad's face lies {own} from the axis"))
                .allowed(format!("above {limit}, the shell's outside radius under the pad"))
                .because("the face must stand clear of the shell to be machined"),
        );
    }
    let offset = seat.side_offset.get()?;
    let near = (offset + extent.across.0).max(-(offset + extent.across.1));
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
