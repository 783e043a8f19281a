//! The shift-box pad's free outline and its dowels.

use super::{Verdicts, above, apart, error};
use crate::design::pad_face::{PadFace, corners};
use crate::design::pads::{Position, placed, rectangle};
use crate::design::polygon::{crossing, roundings};
use crate::finding::Code;
use crate::params::Origin;
use crate::params::schema::{File, RawDowel, RawShiftBoxPad};
use crate::units::Mm;

const ONE_OUTLINE: Code = Code::new("D150", "pad with no outline or with two");
const CROSSING: Code = Code::new("D151", "polygon crosses itself");
const CORNERS: Code = Code::new("D152", "polygon's corner radii do not fit its sides");
const DOWEL_PLACE: Code = Code::new("D153", "dowel hole off the pad, or in the way");
const DOWEL_DEEP: Code = Code::new("D154", "dowel hole breaks into the cavity");

pub(super) const CODES: &[Code] = &[ONE_OUTLINE, CROSSING, CORNERS, DOWEL_PLACE, DOWEL_DEEP];

/// Metal around a dowel hole below which reaming breaks it out, shop practice.
const EDGE: Mm = Mm::new(2.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(pad) = &file.shift_box_pad else { return };
    one_outline(pad, out);
    polygon(pad, out);
    for dowel in &pad.dowels.items {
        place(pad, dowel, out);
        floor(pad, dowel, out);
    }
}

fn one_outline(pad: &RawShiftBoxPad, out: &mut Verdicts) {
    let many = pad.polygon.origin == Origin::Given;
    if pad.polygon.origin != Origin::Bad && pad.outline.is_some() == many {
        let message = if many { "both `outline` and `polygon` are given" } else { "the pad has no outline" };
        out.add(
            error(ONE_OUTLINE, &pad.station, message.to_owned())
                .allowed("an `outline`, or a `polygon`")
                .hint("remove one of the two, or add `outline: {length: 110, width: 88}`"),
        );
    }
}

fn polygon(pad: &RawShiftBoxPad, out: &mut Verdicts) -> Option<()> {
    let corners = corners(pad)?;
    if corners.is_empty() {
        return None;
    }
    let slot = &pad.polygon.items.first()?.along;
    let plain: Vec<_> = corners.iter().map(|corner| corner.0).collect();
    if plain.len() < 3 {
        let message = format!("{} corners enclose no area", plain.len());
        out.add(error(CROSSING, slot, message).allowed("three corners or more"));
        return None;
    }
    if let Some((i, j)) = crossing(&plain) {
        let at = pad.polygon.items.get(j)?;
        let message = format!("the side from corner {} meets the one from corner {}", j + 1, i + 1);
        out.add(
            error(CROSSING, &at.along, message)
                .beside(pad.polygon.items.get(i)?.along.place(), "where that side starts")
                .because("corners are listed in order, around the outline"),
        );
    } else if roundings(&corners).is_none() {
        out.add(
            error(
                CORNERS,
                slot,
                "the radii of neighbouring corners need more than the side between".to_owned(),
            )
            .allowed("smaller radii, or corners further apart"),
        );
    }
    Some(())
}

fn place(pad: &RawShiftBoxPad, dowel: &RawDowel, out: &mut Verdicts) -> Option<()> {
    let at = Position { along: dowel.along.get()?, across: dowel.across.get()? };
    let needed = dowel.diameter.get()? / 2.0 + EDGE;
    let mut gaps = vec![("the pad's edge".to_owned(), PadFace::of(pad)?.depth_inside(at)?)];
    if let Some(opening) = pad.opening.as_ref().and_then(rectangle) {
        gaps.push(("the opening".to_owned(), -opening.depth_inside(at)));
    }
    if let Some(holes) = &pad.holes {
        let thread = holes.thread.get().map_or(Mm::new(0.0), |thread| thread.diameter / 2.0);
        gaps.extend(placed(holes).into_iter().map(|hole| {
            let to = (hole.position.along, hole.position.across);
            (hole.name, apart((at.along, at.across), to) - thread)
        }));
    }
    let (what, gap) = gaps.into_iter().min_by(|a, b| a.1.get().total_cmp(&b.1.get()))?;
    if above(needed, gap) {
        let (own, limit) = (out.mm(gap), out.mm(needed));
        out.add(
            error(DOWEL_PLACE, &dowel.along, format!("its centre lies {own} from {what}"))
                .allowed(format!("{limit} or more: its radius and 2 mm"))
                .because("the reamer would break out"),
        );
    }
    Some(())
}

fn floor(pad: &RawShiftBoxPad, dowel: &RawDowel, out: &mut Verdicts) -> Option<()> {
    let (depth, radius) = (dowel.depth.get()?, dowel.diameter.get()? / 2.0);
    let at = Position { along: dowel.along.get()?, across: dowel.across.get()? };
    let [x, y, z] = super::pad_holes::shift_box_point(pad, at, depth)?;
    let floor = Mm::new(y.get().hypot(z.get())) - radius - out.cavity_at(x)?;
    if !above(floor, Mm::new(0.0)) {
        out.add(
            error(DOWEL_DEEP, &dowel.depth, "the hole breaks into the cavity".to_owned())
                .allowed(format!("a depth smaller by at least {}", out.mm(-floor)))
                .because("oil leaks along the dowel"),
        );
    }
    Some(())
}
