//! Oil feed to the bushing, drain-back from the seal, lip around the seal's mouth.

use super::bores::{Bore, through};
use super::frames::{clock, shaft};
use super::tab::tab;
use super::{CLEAR, CUTTER_ROOM, Parts};
use crate::design::{Design, DrainBack, DustLipKind, OilFeed, Tail};
use crate::faces::{Feature, Role};
use crate::units::Deg;
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, polygon};

const FEATURE: Feature = Feature::Tail;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let tail = design.tail();
    let stations = design.shell().cavity();
    let cavity_end = stations[stations.len() - 1].x.get();
    if let Some(feed) = tail.oil_feed() {
        oil_feed(feed, tail, cavity_end, parts)?;
    }
    if let Some(drain) = tail.drain_back() {
        drain_back(drain, tail, cavity_end, parts)?;
    }
    lip(tail, parts)
}

fn oil_feed(feed: &OilFeed, tail: &Tail, cavity_end: f64, parts: &mut Parts) -> Result<(), PrimitiveError> {
    match *feed {
        OilFeed::Slot { clock: at, width, floor, end } => {
            let (half, floor) = (width.get() / 2.0, floor.get());
            let side = FEATURE.cut(Role::OilFeed);
            // Rooted in the shaft axis, which the bores have emptied.
            let Some(outline) = tab(0.0, half, floor - half, half, &side) else { return Ok(()) };
            let ends = [side.clone(), FEATURE.cut(Role::OilFeedEnd)];
            let frame = Frame::from_zx(P3::new(cavity_end, 0.0, 0.0), V3::x(), clock(at));
            let height = end.get() - cavity_end;
            parts.drilled.push(Primitive::prism(FEATURE.name(), frame, outline, height, 0.0, ends)?);
        }
        OilFeed::Hole { clock: at, diameter, mouth, angle } => {
            let origin = P3::new(mouth.get(), 0.0, 0.0) + clock(at) * (tail.bushing().bore().get() / 2.0);
            let radius = diameter.get() / 2.0;
            // Starts where the whole round of the drill is inside the seat.
            let start = -radius / angle.tan() - radius - CLEAR;
            let hole = Leaning { origin, clock: at, angle, radius, start, wall: Role::OilFeed };
            hole.forward_to(cavity_end, parts)?;
        }
    }
    Ok(())
}

fn drain_back(
    drain: &DrainBack,
    tail: &Tail,
    cavity_end: f64,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let shoulder = tail.bushing().rear().get();
    let origin = P3::new(shoulder, 0.0, 0.0) + clock(drain.clock()) * drain.distance().get();
    let radius = drain.diameter().get() / 2.0;
    let start = -CLEAR - radius * drain.angle().tan();
    let hole =
        Leaning { origin, clock: drain.clock(), angle: drain.angle(), radius, start, wall: Role::DrainBack };
    hole.forward_to(cavity_end, parts)
}

/// A drilled hole that leans outwards from the shaft on its way forward.
struct Leaning {
    origin: P3,
    clock: Deg,
    angle: Deg,
    radius: f64,
    /// Where the cutter starts along its axis, from the origin.
    start: f64,
    wall: Role,
}

impl Leaning {
    /// Cuts it until its whole round has passed this station.
    fn forward_to(&self, station: f64, parts: &mut Parts) -> Result<(), PrimitiveError> {
        let (sin, cos) = self.angle.sin_cos();
        let outwards = clock(self.clock);
        let frame = Frame::from_zx(self.origin, outwards * sin - V3::x() * cos, outwards);
        let end = (self.origin.x - station) / cos + self.radius * self.angle.tan() + CLEAR;
        let wall = FEATURE.cut(self.wall);
        parts.drilled.push(through(frame, self.radius, self.start, end, &wall, &wall)?);
        parts.bores.push(Bore::new(&wall, self.radius, &frame));
        Ok(())
    }
}

/// Turns the rear face back around a lip; a recess is turned with the tail's bore.
fn lip(tail: &Tail, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(lip) = tail.dust_lip().filter(|lip| lip.kind == DustLipKind::Lip) else { return Ok(()) };
    let (inner, outer) = (lip.diameter.get() / 2.0, tail.outside_diameter().get() / 2.0 + CUTTER_ROOM);
    let (front, rear) = (tail.rear().get() - lip.depth.get(), tail.rear().get() + CLEAR);
    let outline = [P2::new(inner, front), P2::new(outer, front), P2::new(outer, rear), P2::new(inner, rear)];
    let face = FEATURE.cut(Role::RearFace);
    let tags = [FEATURE.cut(Role::LipShoulder), face.clone(), face, FEATURE.cut(Role::Lip)];
    parts.drilled.push(Primitive::revolve(FEATURE.name(), shaft(0.0), polygon(&outline, &tags))?);
    Ok(())
}
