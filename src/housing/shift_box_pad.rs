//! The shift-box pad with its opening and tapped holes.

use super::frames::{clock, clock_across};
use super::{CLEAR, Parts, pad};
use crate::design::Design;
use crate::geometry::{Frame, P3, V3};
use crate::solid::{PrimitiveError, Tag};
use crate::units::Deg;

const FEATURE: &str = "shift_box_pad";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(box_pad) = design.shift_box_pad() else { return Ok(()) };
    let (d, e) = (clock(box_pad.clock()), clock_across(box_pad.clock()));
    let (sin, cos) = box_pad.tilt().sin_cos();
    let height = box_pad.height().get();
    let center = P3::new(box_pad.station().get(), 0.0, 0.0) + d * height + e * box_pad.side_offset().get();
    let (normal, along) = (d * cos + V3::x() * sin, V3::x() * cos - d * sin);
    // x along and z outwards make y point against `e` or with it; the outline is symmetric, the holes are not.
    let face = Frame { origin: center, x: along, y: e, z: normal };
    let right_handed = Frame::from_zx(center, normal, along);
    parts.added.push(pad::block(FEATURE, &right_handed, &box_pad.outline(), height, box_pad.draft())?);
    if let Some(opening) = box_pad.opening() {
        let base = Frame::from_zx(center - normal * height, normal, along);
        let wall = Tag::cast(FEATURE, "opening");
        let tags = [wall.clone(), Tag::cast(FEATURE, "opening floor"), wall];
        parts.cut.push(pad::prism(FEATURE, base, &opening, height + CLEAR, Deg::new(0.0), tags)?);
    }
    if let Some(holes) = box_pad.holes() {
        pad::tapped(FEATURE, &face, holes, parts)?;
    }
    Ok(())
}
