//! The gearbox face: flange, register, bolt holes with their spot faces.

use super::bores::{Bore, through};
use super::frames::shaft;
use super::tab::tab;
use super::{CLEAR, CUTTER_ROOM, Parts, fillets};
use crate::design::Design;
use crate::geometry::{Frame, P2, P3, V3};
use crate::params::schema::RegisterKind;
use crate::solid::{Primitive, PrimitiveError, Tag, polygon};

const FEATURE: &str = "gearbox_face";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let (radius, thickness) = (face.flange_diameter().get() / 2.0, face.flange_thickness().get());
    let outline =
        [P2::new(0.0, 0.0), P2::new(radius, 0.0), P2::new(radius, thickness), P2::new(0.0, thickness)];
    let tags = [Tag::machined(FEATURE, "face"), Tag::cast(FEATURE, "rim"), Tag::cast(FEATURE, "flange back")];
    let mut outline = polygon(&outline, &tags);
    // Lugs are flush with the ring's edge, which therefore stays sharp.
    if face.lugs().is_none() {
        outline = fillets::rounded(design, &outline);
    }
    parts.added.push(Primitive::revolve(FEATURE, shaft(0.0), outline)?);
    lugs(design, parts)?;
    register(design, parts)?;
    bolt_holes(design, parts)
}

/// One lug for each bolt hole, flush with the base ring on both sides.
fn lugs(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let Some(lugs) = face.lugs() else { return Ok(()) };
    let (ring, half) = (face.flange_diameter().get() / 2.0, lugs.root_width().get() / 2.0);
    let root = 0.5 * (ring * ring - half * half).max(0.0).sqrt();
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let outwards = V3::new(0.0, hole.y().get(), hole.z().get());
        let side = Tag::cast(FEATURE, &format!("lug {}", i + 1));
        // A root too near the hole has its corners inside the round end; the rim is then all there is.
        let Some(outline) = tab(root, half, outwards.norm(), lugs.radius().get(), &side) else { continue };
        let frame = Frame::from_zx(P3::origin(), V3::x(), outwards.normalize());
        let ends = [Tag::machined(FEATURE, "face"), Tag::cast(FEATURE, "flange back")];
        let thickness = face.flange_thickness().get();
        parts.added.push(Primitive::prism(FEATURE, frame, outline, thickness, 0.0, ends)?);
    }
    Ok(())
}

fn register(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let r = design.gearbox_face().register();
    let (radius, length) = (r.diameter().get() / 2.0, r.length().get());
    let (lead, rise) = (r.lead_in().get(), r.lead_in().get() * r.lead_in_angle().tan());
    let wall = Tag::machined(FEATURE, "register");
    let lead_in = Tag::machined(FEATURE, "register lead-in");
    let end = Tag::machined(FEATURE, "register end");
    match r.kind() {
        RegisterKind::Spigot => {
            let mut points = vec![P2::new(0.0, -length), P2::new(radius - rise, -length)];
            let mut tags = vec![end];
            if lead > 0.0 {
                points.push(P2::new(radius, lead - length));
                tags.push(lead_in);
            }
            points.extend([P2::new(radius, 0.0), P2::new(0.0, 0.0)]);
            tags.extend([wall.clone(), Tag::machined(FEATURE, "face")]);
            parts.added.push(Primitive::revolve(FEATURE, shaft(0.0), polygon(&points, &tags))?);
        }
        RegisterKind::Recess => {
            let grow = if lead > 0.0 { rise * (lead + CLEAR) / lead } else { 0.0 };
            let mut points = vec![P2::new(0.0, -CLEAR), P2::new(radius + grow, -CLEAR)];
            let mut tags = vec![end.clone()];
            if lead > 0.0 {
                points.push(P2::new(radius, lead));
                tags.push(lead_in);
            }
            points.extend([P2::new(radius, length), P2::new(0.0, length)]);
            tags.extend([wall.clone(), end]);
            parts.cut.push(Primitive::revolve(FEATURE, shaft(0.0), polygon(&points, &tags))?);
        }
    }
    parts.bores.push(Bore::new(&wall, radius, &shaft(0.0)));
    Ok(())
}

fn bolt_holes(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let thickness = face.flange_thickness().get();
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let origin = P3::new(0.0, hole.y().get(), hole.z().get());
        let frame = Frame::from_zx(origin, V3::x(), V3::z());
        let wall = Tag::machined(FEATURE, &format!("bolt hole {}", i + 1));
        let radius = hole.diameter().get() / 2.0;
        parts.drilled.push(through(frame, radius, -CLEAR, thickness + CLEAR, &wall, &wall)?);
        parts.bores.push(Bore::new(&wall, radius, &frame));
        if let Some(spot) = hole.spot_face() {
            let seat = thickness - spot.depth.get();
            let tag = Tag::machined(FEATURE, &format!("spot face {}", i + 1));
            let cutter =
                through(frame, spot.diameter.get() / 2.0, seat, thickness + CUTTER_ROOM, &tag, &tag)?;
            parts.drilled.push(cutter);
        }
    }
    Ok(())
}
