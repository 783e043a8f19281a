//! The sender boss: a skew cylinder with a stepped bore, a spot face, an O-ring land, and a screw or fork.

use super::bores::{Bore, drilled, through};
use super::frames::{clock, clock_across};
use super::tab::tab;
use super::{CLEAR, CUTTER_ROOM, Parts, fillets};
use crate::design::{Design, Fork, ORing, RetainingScrew, SenderBoss};
use crate::faces::{Feature, Role};
use crate::units::Deg;
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, polygon};

const FEATURE: Feature = Feature::SenderBoss;

/// Where the boss stands: its frames all turn about the sender's axis.
pub struct SenderStand {
    /// Where the axis leaves the plane through the shaft.
    pub foot: P3,
    seat: P3,
    /// Outwards along the axis.
    pub axis: V3,
    /// Square to it, aft.
    pub aft: V3,
    across: V3,
}

impl SenderStand {
    fn of(boss: &SenderBoss) -> Self {
        let (d, e) = (clock(boss.clock()), clock_across(boss.clock()));
        let (sin, cos) = boss.tilt().sin_cos();
        let (axis, aft) = (d * cos + V3::x() * sin, V3::x() * cos - d * sin);
        let foot = P3::new(boss.station().get(), 0.0, 0.0) + e * boss.side_offset().get();
        Self { foot, seat: foot + axis * boss.height().get(), axis, aft, across: e }
    }

    /// The direction of an angle about the axis: 0 is aft, 90 towards clock + 90 degrees.
    fn towards(&self, angle: Deg) -> V3 {
        let (s, c) = angle.sin_cos();
        self.aft * c + self.across * s
    }

    /// A frame in the spot face, z outwards.
    fn outwards(&self) -> Frame {
        Frame::from_zx(self.seat, self.axis, self.aft)
    }

    /// A frame in the spot face, z inwards.
    fn inwards(&self) -> Frame {
        Frame::from_zx(self.seat, -self.axis, self.aft)
    }
}

/// Where the sender's boss stands.
pub fn sender_stand(boss: &SenderBoss) -> SenderStand {
    SenderStand::of(boss)
}

/// The middle of the sender's seat, and the outward direction of its axis.
pub fn sender_seat(boss: &SenderBoss) -> (P3, V3) {
    let stand = SenderStand::of(boss);
    (stand.seat, stand.axis)
}

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(boss) = design.sender_boss() else { return Ok(()) };
    let stand = SenderStand::of(boss);
    outside(design, boss, &stand, parts)?;
    let seat = FEATURE.cut(Role::SpotFace);
    let room = boss.spot_face().map_or(0.0, |spot| spot.depth.get()) + CUTTER_ROOM;
    let faced = boss.faced().get() / 2.0;
    parts.drilled.push(through(stand.outwards(), faced, 0.0, room, &seat, &seat)?);
    bore(boss, stand.inwards(), parts)?;
    if let Some(ring) = boss.o_ring() {
        parts.cut.push(o_ring(&ring, boss, stand.inwards())?);
    }
    if let Some(fork) = boss.fork() {
        parts.cut.extend(fork_slot(&fork, boss, &stand)?);
    }
    if let Some(screw) = boss.retaining_screw() {
        retaining_screw(screw, &stand, parts)?;
    }
    Ok(())
}

fn outside(
    design: &Design,
    boss: &SenderBoss,
    stand: &SenderStand,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    // With an ear beside it the whole end is faced, flush with the ear.
    let ear = boss.retaining_screw().is_some_and(|s| s.ear().is_some());
    let faced = boss.spot_face().filter(|_| !ear);
    let end = boss.height().get() + faced.map_or(0.0, |s| s.depth.get());
    let top = if faced.is_some() { FEATURE.formed(Role::End) } else { FEATURE.cut(Role::SpotFace) };
    let radius = boss.diameter().get() / 2.0;
    let side = FEATURE.formed(Role::Side);
    let (mut outline, mut tags) = (vec![P2::new(0.0, 0.0)], vec![FEATURE.formed(Role::Base)]);
    match boss.neck() {
        Some(neck) => {
            let (thin, head) = (neck.diameter.get() / 2.0, boss.height().get() - neck.head.get());
            outline.extend([
                P2::new(thin, 0.0),
                P2::new(thin, head - (radius - thin)),
                P2::new(radius, head),
            ]);
            tags.extend([side.clone(), side.clone()]);
        }
        None => outline.push(P2::new(radius, 0.0)),
    }
    outline.extend([P2::new(radius, end), P2::new(0.0, end)]);
    // The end is faced: its edge stays sharp.
    let faced = FEATURE.cut(Role::End);
    tags.extend([side, faced.clone()]);
    let mut outline = fillets::rounded(design, &polygon(&outline, &tags));
    outline.iter_mut().filter(|s| s.tag == faced).for_each(|s| s.tag = top.clone());
    let frame = Frame::from_zx(stand.foot, stand.axis, stand.aft);
    parts.added.push(Primitive::revolve(FEATURE.name(), frame, outline)?);
    Ok(())
}

/// The stepped bore, turned in one, from outside the spot face inwards.
fn bore(boss: &SenderBoss, frame: Frame, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let steps = boss.bore_steps();
    let mut points = vec![P2::new(0.0, -CLEAR)];
    let mut tags = vec![FEATURE.cut(Role::SpotFace)];
    let mut at = -CLEAR;
    for (i, step) in steps.iter().enumerate() {
        let radius = step.diameter.get() / 2.0;
        let wall = FEATURE.cut(Role::BoreStep(i + 1));
        points.extend([P2::new(radius, at), P2::new(radius, step.depth.get())]);
        tags.extend([wall.clone(), FEATURE.cut(Role::BoreStepShoulder(i + 1))]);
        at = step.depth.get();
        parts.bores.push(Bore::new(&wall, radius, &frame));
    }
    points.push(P2::new(0.0, at));
    parts.cut.push(Primitive::revolve(FEATURE.name(), frame, polygon(&points, &tags))?);
    Ok(())
}

/// A land from outside the spot face, or a groove: a disc, most of which the bore has emptied.
fn o_ring(ring: &ORing, boss: &SenderBoss, frame: Frame) -> Result<Primitive, PrimitiveError> {
    let near = ring.position.get();
    let from = if near > solidwright::tolerance::SAME { near } else { -CLEAR };
    // From within the bore outwards: the disc's middle would say nothing more.
    let narrowest = boss.bore_steps().last().map_or(0.0, |step| step.diameter.get() / 4.0);
    let (outer, to) = (ring.diameter.get() / 2.0, near + ring.width.get());
    let outline =
        [P2::new(narrowest, from), P2::new(outer, from), P2::new(outer, to), P2::new(narrowest, to)];
    let (side, floor) = (FEATURE.cut(Role::ORingLandSide), FEATURE.cut(Role::ORingLand));
    let tags = [side.clone(), floor, side.clone(), side];
    Primitive::revolve(FEATURE.name(), frame, polygon(&outline, &tags))
}

/// A slot across the boss from outside its rim to a half round about the axis.
fn fork_slot(
    fork: &Fork,
    boss: &SenderBoss,
    stand: &SenderStand,
) -> Result<Option<Primitive>, PrimitiveError> {
    let tag = FEATURE.cut(Role::ForkSlot);
    let (half, rim) = (fork.width.get() / 2.0, boss.diameter().get() / 2.0 + CUTTER_ROOM);
    let Some(outline) = tab(-rim, half, 0.0, half, &tag) else { return Ok(None) };
    let origin = stand.seat - stand.axis * fork.depth.get();
    // The tab points away from the side that the fork comes from.
    let frame = Frame::from_zx(origin, -stand.axis, -stand.towards(fork.clock));
    let ends = [tag.clone(), tag];
    Primitive::prism(FEATURE.name(), frame, outline, fork.thickness.get(), 0.0, ends).map(Some)
}

fn retaining_screw(
    screw: &RetainingScrew,
    stand: &SenderStand,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let (towards, distance) = (stand.towards(screw.clock()), screw.distance().get());
    let at = stand.seat + towards * distance;
    if let Some(ear) = screw.ear() {
        let (radius, side) = (ear.radius.get(), FEATURE.formed(Role::Ear));
        if let Some(outline) = tab(0.0, radius, distance, radius, &side) {
            let ends = [FEATURE.cut(Role::SpotFace), FEATURE.formed(Role::EarBase)];
            let frame = Frame::from_zx(stand.seat, -stand.axis, towards);
            parts.added.push(Primitive::prism(FEATURE.name(), frame, outline, ear.depth.get(), 0.0, ends)?);
            let seat = FEATURE.cut(Role::SpotFace);
            let over = Frame::from_zx(at, stand.axis, stand.aft);
            parts.drilled.push(through(over, radius, 0.0, CUTTER_ROOM, &seat, &seat)?);
        }
    }
    let frame = Frame::from_zx(at, -stand.axis, stand.aft);
    let wall = FEATURE.cut(Role::ScrewHole);
    let point = FEATURE.cut(Role::ScrewHolePoint);
    let radius = screw.thread().tap_drill.get() / 2.0;
    parts.drilled.push(drilled(frame, radius, screw.drill_depth().get(), CLEAR, &wall, &point)?);
    parts.bores.push(Bore::new(&wall, radius, &frame));
    Ok(())
}
