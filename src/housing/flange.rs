//! The gearbox face: flange, register, bolt holes with their spot faces.

use super::bores::{Bore, through};
use super::frames::shaft;
use super::tab::tab;
use super::{CLEAR, CUTTER_ROOM, Parts, fillets};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::params::schema::RegisterKind;
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::fillet::joined_closing;
use solidwright::solid::{Primitive, PrimitiveError, Profile, Segment, circle, polygon};

const FEATURE: Feature = Feature::GearboxFace;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    if let Some(outline) = lugged_outline(design) {
        let thickness = design.gearbox_face().flange_thickness().get();
        let ends = [FEATURE.cut(Role::Face), FEATURE.formed(Role::FlangeBack)];
        parts.added.push(Primitive::prism(FEATURE.name(), shaft(0.0), outline, thickness, 0.0, ends)?);
    } else {
        disc(design, parts)?;
        lugs(design, parts)?;
    }
    register(design, parts)?;
    bolt_holes(design, parts)
}

fn disc(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let (radius, thickness) = (face.flange_diameter().get() / 2.0, face.flange_thickness().get());
    let outline =
        [P2::new(0.0, 0.0), P2::new(radius, 0.0), P2::new(radius, thickness), P2::new(0.0, thickness)];
    let tags = [FEATURE.cut(Role::Face), FEATURE.formed(Role::Rim), FEATURE.formed(Role::FlangeBack)];
    let mut outline = polygon(&outline, &tags);
    // Lugs are flush with the ring's edge, which therefore stays sharp.
    if face.lugs().is_none() {
        outline = fillets::rounded(design, &outline);
    }
    parts.added.push(Primitive::revolve(FEATURE.name(), shaft(0.0), outline)?);
    Ok(())
}

/// Base ring and lugs as one plate: its outline, seen from behind with x up, with the fillets between them. `None` where
/// there are no lugs, or no fillet is asked for.
fn lugged_outline(design: &Design) -> Option<Vec<Segment>> {
    let face = design.gearbox_face();
    let lugs = face.lugs()?;
    let radius = design.casting().fillets().of(FEATURE)?.get();
    if radius <= 0.0 {
        return None;
    }
    let rim = FEATURE.formed(Role::Rim);
    let ring = face.flange_diameter().get() / 2.0;
    let root = lug_root(ring, lugs.root_width().get());
    let mut shapes = vec![Profile::new(circle(P2::origin(), ring, &rim)).ok()?];
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let tag = FEATURE.formed(Role::Lug(i + 1));
        let at = P2::new(hole.z().get(), -hole.y().get());
        let (half, tip) = (lugs.root_width().get() / 2.0, lugs.radius().get());
        // A root too near the hole has its corners inside the round end; the rim is then all there is.
        let Some(outline) = tab(root, half, at.coords.norm(), tip, &tag) else { continue };
        shapes.push(Profile::new(turned(outline, at.y.atan2(at.x))).ok()?);
    }
    let closed = |least: f64| {
        let sound = |outline: &Vec<Segment>| outline.iter().all(|s| s.length() > least);
        MORE.iter().find_map(|more| joined_closing(&shapes, more * radius).filter(sound))
    };
    let mut outline = LEAST_PIECES.into_iter().find_map(closed)?;
    // What is filled belongs to the ring.
    for s in &mut outline {
        if s.arc.is_some_and(|(_, ccw)| !ccw) {
            s.tag = rim.clone();
        }
    }
    Some(outline)
}

/// Radii of the fillets between lugs and ring, in radii of the ball, which must pass: the first that leaves no piece of
/// the outline too short, else the first that leaves none much too short: bodies apart are worse, as their fillets run out to nothing in
/// the plane of their ends.
const MORE: [f64; 6] = [1.3, 1.4, 1.2, 1.12, 1.5, 1.05];

/// Least lengths of a piece of the plate's outline, mm, tried in turn.
const LEAST_PIECES: [f64; 3] = [1.0, 0.3, 0.05];

/// Distance of a lug's root from the axis, mm: well inside the ring.
fn lug_root(ring: f64, width: f64) -> f64 {
    let half = width / 2.0;
    0.5 * (ring * ring - half * half).max(0.0).sqrt()
}

/// An outline turned about the origin.
fn turned(outline: Vec<Segment>, angle: f64) -> Vec<Segment> {
    let (s, c) = angle.sin_cos();
    let place = |p: P2| P2::new(p.x * c - p.y * s, p.x * s + p.y * c);
    let piece = |s: Segment| Segment {
        from: place(s.from),
        to: place(s.to),
        arc: s.arc.map(|(center, ccw)| (place(center), ccw)),
        tag: s.tag,
    };
    outline.into_iter().map(piece).collect()
}

/// One lug for each bolt hole, flush with the base ring on both sides.
fn lugs(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let Some(lugs) = face.lugs() else { return Ok(()) };
    let (ring, half) = (face.flange_diameter().get() / 2.0, lugs.root_width().get() / 2.0);
    let root = lug_root(ring, lugs.root_width().get());
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let outwards = V3::new(0.0, hole.y().get(), hole.z().get());
        let side = FEATURE.formed(Role::Lug(i + 1));
        // A root too near the hole has its corners inside the round end; the rim is then all there is.
        let Some(outline) = tab(root, half, outwards.norm(), lugs.radius().get(), &side) else { continue };
        let frame = Frame::from_zx(P3::origin(), V3::x(), outwards.normalize());
        let ends = [FEATURE.cut(Role::Face), FEATURE.formed(Role::FlangeBack)];
        let thickness = face.flange_thickness().get();
        parts.added.push(Primitive::prism(FEATURE.name(), frame, outline, thickness, 0.0, ends)?);
    }
    Ok(())
}

fn register(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let r = design.gearbox_face().register();
    let (radius, length) = (r.diameter().get() / 2.0, r.length().get());
    let (lead, rise) = (r.lead_in().get(), r.lead_in().get() * r.lead_in_angle().tan());
    let wall = FEATURE.cut(Role::Register);
    let lead_in = FEATURE.cut(Role::RegisterLeadIn);
    let end = FEATURE.cut(Role::RegisterEnd);
    match r.kind() {
        RegisterKind::Spigot => {
            let mut points = vec![P2::new(0.0, -length), P2::new(radius - rise, -length)];
            let mut tags = vec![end];
            if lead > 0.0 {
                points.push(P2::new(radius, lead - length));
                tags.push(lead_in);
            }
            points.extend([P2::new(radius, 0.0), P2::new(0.0, 0.0)]);
            tags.extend([wall.clone(), FEATURE.cut(Role::Face)]);
            parts.added.push(Primitive::revolve(FEATURE.name(), shaft(0.0), polygon(&points, &tags))?);
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
            parts.cut.push(Primitive::revolve(FEATURE.name(), shaft(0.0), polygon(&points, &tags))?);
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
        let wall = FEATURE.cut(Role::BoltHole(i + 1));
        let radius = hole.diameter().get() / 2.0;
        parts.drilled.push(through(frame, radius, -CLEAR, thickness + CLEAR, &wall, &wall)?);
        parts.bores.push(Bore::new(&wall, radius, &frame));
        if let Some(spot) = hole.spot_face() {
            let seat = thickness - spot.depth.get();
            let tag = FEATURE.cut(Role::BoltSpotFace(i + 1));
            let cutter =
                through(frame, spot.diameter.get() / 2.0, seat, thickness + CUTTER_ROOM, &tag, &tag)?;
            parts.drilled.push(cutter);
        }
    }
    Ok(())
}
