//! The shift-box pad with its opening and tapped holes.

use super::bores::{Bore, drilled};
use super::frames::{clock, clock_across};
use super::pad_hollow::{self, Seat};
use super::{CLEAR, Parts, pad};
use crate::design::{Design, PadFace, ShiftBoxPad, rounded_polygon};
use crate::faces::{Feature, Role};
use crate::units::Deg;
use solidwright::geometry::{Frame, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError};

const FEATURE: Feature = Feature::ShiftBoxPad;

/// The pad's face: its middle, x aft along it, y across, and z out of it. Left-handed.
pub fn shift_box_face(pad: &ShiftBoxPad) -> Frame {
    let (d, e) = (clock(pad.clock()), clock_across(pad.clock()));
    let (sin, cos) = pad.tilt().sin_cos();
    let origin =
        P3::new(pad.station().get(), 0.0, 0.0) + d * pad.height().get() + e * pad.side_offset().get();
    Frame { origin, x: V3::x() * cos - d * sin, y: e, z: d * cos + V3::x() * sin }
}

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(box_pad) = design.shift_box_pad() else { return Ok(()) };
    let height = box_pad.height().get();
    // x along and z outwards make y point against that of the face; the outline is symmetric, the holes are not.
    let face = shift_box_face(box_pad);
    let (center, normal, along) = (face.origin, face.z, face.x);
    let right_handed = Frame::from_zx(center, normal, along);
    match box_pad.outline() {
        PadFace::Rectangle(outline) => {
            parts.added.push(pad::block(FEATURE, &right_handed, outline, height, box_pad.draft())?);
        }
        PadFace::Polygon(corners) => {
            // Extruded from the face inwards, so that y points against that of the face.
            let corners: Vec<_> = corners.iter().map(|&([a, c], radius)| ([a, -c], radius)).collect();
            let inwards = Frame::from_zx(center, -normal, along);
            let side = FEATURE.formed(Role::Side);
            // A rule has made sure that the corners fit.
            if let Some(outline) = rounded_polygon(&corners, &side) {
                let ends = [FEATURE.cut(Role::Face), FEATURE.formed(Role::Base)];
                let draft = -box_pad.draft().to_radians();
                parts.added.push(Primitive::prism(FEATURE.name(), inwards, outline, height, draft, ends)?);
            }
        }
    }
    for (i, dowel) in box_pad.dowels().iter().enumerate() {
        let at = dowel.position;
        let frame = Frame::from_zx(face.point(at.along.get(), at.across.get(), 0.0), -normal, along);
        let (radius, wall) = (dowel.diameter.get() / 2.0, FEATURE.cut(Role::DowelHole(i + 1)));
        let point = FEATURE.cut(Role::DowelHolePoint(i + 1));
        parts.drilled.push(drilled(frame, radius, dowel.depth.get(), CLEAR, &wall, &point)?);
        parts.bores.push(Bore::new(&wall, radius, &frame));
    }
    if let Some(opening) = box_pad.opening() {
        let base = Frame::from_zx(center - normal * height, normal, along);
        let wall = FEATURE.formed(Role::Opening);
        let tags = [wall.clone(), FEATURE.formed(Role::OpeningFloor), wall];
        parts.cut.push(pad::prism(FEATURE, base, &opening, height + CLEAR, Deg::new(0.0), tags)?);
    }
    if let Some(hollow) = box_pad.hollow() {
        let bosses = hollow.bosses(box_pad.holes(), box_pad.dowels());
        let tag = FEATURE.formed(Role::Hollow);
        // A rule has made sure that there is room.
        let layers = hollow.layers(box_pad.outline(), &bosses, hollow.floor(), &tag).unwrap_or_default();
        let inwards = Frame::from_zx(center, -normal, along);
        let fillet = hollow.fillet().get();
        let seat = Seat { feature: FEATURE, inwards, mirrored: true, reach: height, fillet };
        pad_hollow::cut(&seat, hollow.opens(), &layers, parts)?;
    }
    if let Some(holes) = box_pad.holes() {
        pad::tapped(FEATURE, &face, holes, parts)?;
    }
    Ok(())
}
