//! The gearbox face: flange, register, bolt holes with their spot faces.

use super::bores::{Bore, through};
use super::frames::shaft;
use super::tab::tab;
use super::{CLEAR, CUTTER_ROOM, Parts, fillets};
use crate::design::Design;
use crate::geometry::{Frame, P2, P3, V2, V3};
use crate::params::schema::RegisterKind;
use crate::solid::{Primitive, PrimitiveError, Segment, Tag, polygon};

const FEATURE: &str = "gearbox_face";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    if let Some(outline) = lugged_outline(design) {
        let thickness = design.gearbox_face().flange_thickness().get();
        let ends = [Tag::machined(FEATURE, "face"), Tag::cast(FEATURE, "flange back")];
        parts.added.push(Primitive::prism(FEATURE, shaft(0.0), outline, thickness, 0.0, ends)?);
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
    let tags = [Tag::machined(FEATURE, "face"), Tag::cast(FEATURE, "rim"), Tag::cast(FEATURE, "flange back")];
    let mut outline = polygon(&outline, &tags);
    // Lugs are flush with the ring's edge, which therefore stays sharp.
    if face.lugs().is_none() {
        outline = fillets::rounded(design, &outline);
    }
    parts.added.push(Primitive::revolve(FEATURE, shaft(0.0), outline)?);
    Ok(())
}

/// Base ring and lugs as one plate: its outline, seen from behind with x up, with the fillets between ring and lugs. `None`
/// where there are no lugs, no fillet is asked for, or lugs stand too near to each other.
fn lugged_outline(design: &Design) -> Option<Vec<Segment>> {
    let face = design.gearbox_face();
    let lugs = face.lugs()?;
    // A little more than the ball's, which must pass.
    let radius = 1.05 * design.casting().fillets().of(FEATURE)?.get();
    let (ring, half, tip) =
        (face.flange_diameter().get() / 2.0, lugs.root_width().get() / 2.0, lugs.radius().get());
    let root = 0.5 * (ring * ring - half * half).max(0.0).sqrt();
    let mut all = Vec::new();
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let (x, y) = (hole.z().get(), -hole.y().get());
        all.push(LugSide::of(ring, root, half, tip, radius, P2::new(x, y), i)?);
    }
    all.sort_by(|a, b| a.angle.total_cmp(&b.angle));
    let n = all.len();
    let rim = Tag::cast(FEATURE, "rim");
    let mut out = Vec::with_capacity(6 * n);
    for (i, lug) in all.iter().enumerate() {
        out.extend(lug.segments(&rim));
        let next = &all[(i + 1) % n];
        let (from, to) = (lug.on_ring(1.0), next.on_ring(-1.0));
        // The ring must show between them.
        let turn = (to.y.atan2(to.x) - from.y.atan2(from.x)).rem_euclid(std::f64::consts::TAU);
        let apart = (next.angle - lug.angle).rem_euclid(std::f64::consts::TAU);
        let apart = if n == 1 { std::f64::consts::TAU } else { apart };
        if turn > apart || turn * ring < LEAST_RIM {
            return None;
        }
        out.push(Segment { from, to, arc: Some((P2::origin(), true)), tag: rim.clone() });
    }
    Some(out)
}

/// Least length of the ring's rim between the fillets of two lugs, mm.
const LEAST_RIM: f64 = 0.5;

/// A lug on its ring, with the fillets at its foot: symmetric about the line through its tip.
struct LugSide {
    angle: f64,
    tip: (f64, f64),
    /// Where the side touches the tip, in the lug's own frame (outwards, left).
    touch: P2,
    /// Where the fillet touches the side, its centre, and where it touches the ring.
    fillet: [P2; 3],
    tag: Tag,
}

impl LugSide {
    fn of(ring: f64, root: f64, half: f64, tip: f64, radius: f64, at: P2, number: usize) -> Option<Self> {
        if radius <= 0.0 {
            return None;
        }
        let tag = Tag::cast(FEATURE, &format!("lug {}", number + 1));
        let distance = at.coords.norm();
        let outline = tab(root, half, distance, tip, &tag)?;
        // The last side of the tab runs from the touching point on the left to the root.
        let (touch, foot) = (outline[3].from, outline[3].to);
        let along = (foot - touch).normalize();
        let left = V2::new(along.y, -along.x);
        // The centre keeps the radius off the side, and off the ring.
        let start = touch + left * radius;
        let (b, c) = (start.coords.dot(&along), start.coords.norm_squared() - (ring + radius).powi(2));
        let root_of = b * b - c;
        if c <= 0.0 || root_of <= 0.0 {
            return None;
        }
        let s = -b - root_of.sqrt();
        let center = start + along * s;
        let sound = s > 0.01 && s < (foot - touch).norm();
        let on_ring = P2::from(center.coords * (ring / (ring + radius)));
        let angle = at.y.atan2(at.x);
        let fillet = [touch + along * s, center, on_ring];
        sound.then_some(Self { angle, tip: (distance, tip), touch, fillet, tag })
    }

    /// A point of the lug's frame; `side` is 1 for the left, −1 for its mirror image.
    fn place(&self, p: P2, side: f64) -> P2 {
        let (s, c) = self.angle.sin_cos();
        let y = p.y * side;
        P2::new(p.x * c - y * s, p.x * s + y * c)
    }

    fn on_ring(&self, side: f64) -> P2 {
        self.place(self.fillet[2], side)
    }

    /// From the ring out around the tip and back, counter-clockwise.
    fn segments(&self, rim: &Tag) -> Vec<Segment> {
        let [touch, center, ring] = self.fillet;
        let at = |p: P2, side: f64| self.place(p, side);
        let piece = |from: P2, to: P2, arc: Option<(P2, bool)>, tag: &Tag| Segment {
            from,
            to,
            arc,
            tag: tag.clone(),
        };
        let tip = at(P2::new(self.tip.0, 0.0), 1.0);
        vec![
            piece(at(ring, -1.0), at(touch, -1.0), Some((at(center, -1.0), false)), rim),
            piece(at(touch, -1.0), at(self.touch, -1.0), None, &self.tag),
            piece(at(self.touch, -1.0), at(self.touch, 1.0), Some((tip, true)), &self.tag),
            piece(at(self.touch, 1.0), at(touch, 1.0), None, &self.tag),
            piece(at(touch, 1.0), at(ring, 1.0), Some((at(center, 1.0), false)), rim),
        ]
    }
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
