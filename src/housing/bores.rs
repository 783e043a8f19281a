//! Machined bores and holes: their cutters, and a list of them for the machinist and the checks.

use crate::standards::drills::drill_point;
use crate::units::Mm;
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, Tag, polygon};

/// A machined cylinder as the design asks for it.
#[derive(Clone, Debug)]
pub struct Bore {
    /// Its face.
    pub tag: Tag,
    /// Radius, mm.
    pub radius: f64,
    /// A point of its axis, mm: of a hole the one in the face from which it is drilled.
    pub point: P3,
    /// Direction of its axis.
    pub axis: V3,
}

impl Bore {
    pub(super) fn new(tag: &Tag, radius: f64, frame: &Frame) -> Self {
        Self { tag: tag.clone(), radius, point: frame.origin, axis: frame.z }
    }
}

/// A blind drilled hole from the frame's origin along z: `depth` at full diameter, then the drill's point.
pub(super) fn drilled(
    frame: Frame,
    radius: f64,
    depth: f64,
    clear: f64,
    wall: &Tag,
    point: &Tag,
) -> Result<Primitive, PrimitiveError> {
    let tip = depth + drill_point(Mm::new(2.0 * radius)).get();
    let outline = [P2::new(0.0, -clear), P2::new(radius, -clear), P2::new(radius, depth), P2::new(0.0, tip)];
    let tags = [wall.clone(), wall.clone(), point.clone(), point.clone()];
    Primitive::revolve(&wall.feature, frame, polygon(&outline, &tags))
}

/// A through hole or seat: a plain cylinder between two heights of the frame.
pub(super) fn through(
    frame: Frame,
    radius: f64,
    from: f64,
    to: f64,
    wall: &Tag,
    ends: &Tag,
) -> Result<Primitive, PrimitiveError> {
    let outline = [P2::new(0.0, from), P2::new(radius, from), P2::new(radius, to), P2::new(0.0, to)];
    let tags = [ends.clone(), wall.clone(), ends.clone(), ends.clone()];
    Primitive::revolve(&wall.feature, frame, polygon(&outline, &tags))
}
