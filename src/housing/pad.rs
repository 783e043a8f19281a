//! What both pads are made of: a rounded block from the face down to the shaft, tapped holes in it.

use super::CLEAR;
use super::Parts;
use super::bores::{Bore, drilled};
use crate::design::{PadHoles, Rectangle};
use crate::faces::{Feature, Role};
use crate::units::Deg;
use solidwright::geometry::{Frame, P2, V2};
use solidwright::solid::{Primitive, PrimitiveError, Tag, rounded_rectangle};

/// A rounded rectangle extruded along the frame's z.
pub(super) fn prism(
    feature: Feature,
    frame: Frame,
    outline: &Rectangle,
    height: f64,
    draft: Deg,
    tags: [Tag; 3],
) -> Result<Primitive, PrimitiveError> {
    let size = V2::new(outline.length.get(), outline.width.get());
    let [side, bottom, top] = tags;
    let profile = rounded_rectangle(P2::origin(), size, outline.corner_radius.get(), &side);
    Primitive::prism(feature.name(), frame, profile, height, draft.to_radians(), [bottom, top])
}

/// The pad's block, `height` from its base to its face. `face` is the frame of the machined face: z outwards, x along.
pub(super) fn block(
    feature: Feature,
    face: &Frame,
    outline: &Rectangle,
    height: f64,
    draft: Deg,
) -> Result<Primitive, PrimitiveError> {
    // Extruded from the face inwards, so that the outline is that of the face and draft widens the base.
    let inwards = Frame::from_zx(face.origin, -face.z, face.x);
    let tags = [feature.formed(Role::Side), feature.cut(Role::Face), feature.formed(Role::Base)];
    prism(feature, inwards, outline, height, Deg::new(-draft.get()), tags)
}

/// Tapped holes, square to the face.
pub(super) fn tapped(
    feature: Feature,
    face: &Frame,
    holes: &PadHoles,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let radius = holes.thread().tap_drill.get() / 2.0;
    for (i, at) in holes.positions().iter().enumerate() {
        let origin = face.point(at.along.get(), at.across.get(), 0.0);
        let frame = Frame::from_zx(origin, -face.z, face.x);
        let wall = feature.cut(Role::TappedHole(i + 1));
        let point = feature.cut(Role::TappedHolePoint(i + 1));
        parts.drilled.push(drilled(frame, radius, holes.drill_depth().get(), CLEAR, &wall, &point)?);
        parts.bores.push(Bore::new(&wall, radius, &frame));
    }
    Ok(())
}
