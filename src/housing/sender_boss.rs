//! The sender boss: a skew cylinder with a stepped bore, a spot face and a retaining screw.

use super::bores::{Bore, drilled, through};
use super::frames::{clock, clock_across};
use super::{CLEAR, CUTTER_ROOM, Parts, fillets};
use crate::design::{Design, SenderBoss};
use crate::geometry::{Frame, P2, P3, V3};
use crate::solid::{Primitive, PrimitiveError, Tag, polygon};

const FEATURE: &str = "sender_boss";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(boss) = design.sender_boss() else { return Ok(()) };
    let (d, e) = (clock(boss.clock()), clock_across(boss.clock()));
    let (sin, cos) = boss.tilt().sin_cos();
    let (axis, aft) = (d * cos + V3::x() * sin, V3::x() * cos - d * sin);
    let foot = P3::new(boss.station().get(), 0.0, 0.0) + e * boss.side_offset().get();
    let seat = foot + axis * boss.height().get();
    let outwards = Frame::from_zx(foot, axis, aft);
    let inwards = Frame::from_zx(seat, -axis, aft);
    let end = boss.height().get() + boss.spot_face().map_or(0.0, |s| s.depth.get());
    let side = Tag::cast(FEATURE, "side");
    let top = if boss.spot_face().is_some() {
        Tag::cast(FEATURE, "end")
    } else {
        Tag::machined(FEATURE, "spot face")
    };
    let radius = boss.diameter().get() / 2.0;
    let outline = [P2::new(0.0, 0.0), P2::new(radius, 0.0), P2::new(radius, end), P2::new(0.0, end)];
    // The end is faced: its edge stays sharp.
    let faced = Tag::machined(FEATURE, "end");
    let tags = [Tag::cast(FEATURE, "base"), side, faced.clone()];
    let mut outline = fillets::rounded(design, &polygon(&outline, &tags));
    outline.iter_mut().filter(|s| s.tag == faced).for_each(|s| s.tag = top.clone());
    parts.added.push(Primitive::revolve(FEATURE, outwards, outline)?);
    if let Some(spot) = boss.spot_face() {
        let tag = Tag::machined(FEATURE, "spot face");
        let frame = Frame::from_zx(seat, axis, aft);
        let cutter =
            through(frame, spot.diameter.get() / 2.0, 0.0, spot.depth.get() + CUTTER_ROOM, &tag, &tag)?;
        parts.drilled.push(cutter);
    }
    bore(boss, inwards, parts)?;
    if let Some(screw) = boss.retaining_screw() {
        let (s, c) = screw.clock().sin_cos();
        let at = seat + (aft * c + e * s) * screw.distance().get();
        let frame = Frame::from_zx(at, -axis, aft);
        let wall = Tag::machined(FEATURE, "retaining screw hole");
        let point = Tag::machined(FEATURE, "retaining screw hole point");
        let radius = screw.thread().tap_drill.get() / 2.0;
        parts.drilled.push(drilled(frame, radius, screw.drill_depth().get(), CLEAR, &wall, &point)?);
        parts.bores.push(Bore::new(&wall, radius, &frame));
    }
    Ok(())
}

/// The stepped bore, turned in one, from outside the spot face inwards.
fn bore(boss: &SenderBoss, frame: Frame, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let steps = boss.bore_steps();
    let name = |i: usize| format!("bore step {}", i + 1);
    let mut points = vec![P2::new(0.0, -CLEAR)];
    let mut tags = vec![Tag::machined(FEATURE, "spot face")];
    let mut at = -CLEAR;
    for (i, step) in steps.iter().enumerate() {
        let radius = step.diameter.get() / 2.0;
        let wall = Tag::machined(FEATURE, &name(i));
        points.extend([P2::new(radius, at), P2::new(radius, step.depth.get())]);
        tags.extend([wall.clone(), Tag::machined(FEATURE, &format!("{} shoulder", name(i)))]);
        at = step.depth.get();
        parts.bores.push(Bore::new(&wall, radius, &frame));
    }
    points.push(P2::new(0.0, at));
    parts.cut.push(Primitive::revolve(FEATURE, frame, polygon(&points, &tags))?);
    Ok(())
}
