//! The boss of the speedometer sender.

use super::gearbox_face::SpotFace;
use super::record::record;
use crate::params::schema;
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

pub use crate::params::schema::SenderKind;

record! {
    /// The sender boss.
    ///
    /// With `d` the direction of `clock` and `e` that of clock + 90 degrees, the axis passes through the foot
    /// `F = (station, 0, 0) + side_offset e` and runs outwards along `a = cos(tilt) d + sin(tilt) X`. `F` is its
    /// point closest to the shaft axis. The spot face is the plane through `F + height a` square to `a`.
    pub struct SenderBoss {
        /// Gear or pulse.
        kind: SenderKind,
        /// From the spot face to a pulse sender's tip.
        insertion: Option<Mm>,
        /// Station of the foot.
        station: Mm,
        /// Signed distance between the two axes, along `e`.
        side_offset: Mm,
        /// Clock angle of the outward direction.
        clock: Deg,
        /// Tip of the outward direction aft.
        tilt: Deg,
        /// Outside diameter.
        diameter: Mm,
        /// From the foot to the spot face along the axis.
        height: Mm,
        /// The machined seat: sunk `depth` below the cast end, which lies at `height + depth`. None when the whole end
        /// is the spot face.
        spot_face: Option<SpotFace>,
        /// Diameter that the facing cutter clears over the seat: the spot face's, or at least the whole end's.
        faced: Mm,
        /// Where it is thinner.
        neck: Option<Neck>,
        /// The O-ring's land or groove.
        o_ring: Option<ORing>,
        /// The slot for a fork.
        fork: Option<Fork>,
    } lent {
        /// The bore's steps from the spot face inwards, each smaller and deeper than the one before.
        bore_steps: Vec<BoreStep> => [BoreStep],
    } optional {
        /// The tapped hole of the retaining screw.
        retaining_screw: RetainingScrew,
    }
}

/// The thinner part of a boss below its head; a cone of 45 degrees leads from one to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neck {
    /// Its diameter.
    pub diameter: Mm,
    /// Length of the head, from the spot face inwards.
    pub head: Mm,
}

/// One step of the bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreStep {
    /// Diameter.
    pub diameter: Mm,
    /// From the spot face to the end of this step.
    pub depth: Mm,
}

/// A land or groove in the bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ORing {
    /// From the spot face to its near side; 0 for a land open to the spot face.
    pub position: Mm,
    /// Width along the bore.
    pub width: Mm,
    /// Diameter of its floor.
    pub diameter: Mm,
}

/// A slot across the boss, from one side to a half round about the sender's axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fork {
    /// From the spot face to its near side.
    pub depth: Mm,
    /// Width along the sender's axis.
    pub thickness: Mm,
    /// Width across.
    pub width: Mm,
    /// Side from which it comes, measured as the retaining screw's clock.
    pub clock: Deg,
}

/// A cast ear around the retaining screw, tied to the boss by straight sides and flush with its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ear {
    /// Radius about the screw.
    pub radius: Mm,
    /// From the spot face inwards.
    pub depth: Mm,
}

record! {
    /// A blind tapped hole in the spot face's plane, parallel to the sender's axis.
    ///
    /// Its centre lies `distance` from the axis in the direction `cos(clock) t + sin(clock) e`, with `e` as for the boss
    /// and `t = cos(tilt) X - sin(tilt) d`, the aft direction square to the axis.
    pub struct RetainingScrew {
        /// Thread; modelled at the tapping drill's diameter.
        thread: &'static Thread,
        /// Depth of full thread.
        depth: Mm,
        /// Depth of the drill's full diameter.
        drill_depth: Mm,
        /// Distance from the sender's axis.
        distance: Mm,
        /// Direction from the sender's axis.
        clock: Deg,
        /// The ear around it, for a screw beside the boss.
        ear: Option<Ear>,
    }
}

impl SenderBoss {
    pub(super) fn from_file(raw: &schema::RawSenderBoss) -> Option<Self> {
        let diameter = raw.diameter.get()?;
        let spot_face = super::absent_or(raw.spot_face.as_ref(), |spot| {
            Some(SpotFace { diameter: spot.diameter.get()?, depth: spot.depth.get()? })
        })
        .ok()?;
        Some(Self {
            kind: raw.kind.get()?,
            insertion: raw.insertion.get(),
            station: raw.station.get()?,
            side_offset: raw.side_offset.get()?,
            clock: raw.clock.get()?,
            tilt: raw.tilt.get()?,
            diameter,
            height: raw.height.get()?,
            spot_face: spot_face.filter(|spot| spot.diameter < diameter),
            faced: spot_face.map_or(diameter, |spot| spot.diameter),
            neck: super::absent_or(raw.neck.as_ref(), |neck| {
                Some(Neck { diameter: neck.diameter.get()?, head: neck.head.get()? })
            })
            .ok()?,
            o_ring: super::absent_or(raw.o_ring.as_ref(), |ring| o_ring(raw, ring)).ok()?,
            fork: super::absent_or(raw.fork.as_ref(), fork).ok()?,
            bore_steps: steps(raw)?,
            retaining_screw: super::absent_or(raw.retaining_screw.as_ref(), screw).ok()?,
        })
    }
}

/// All steps of the bore, if every one is good.
pub(super) fn steps(raw: &schema::RawSenderBoss) -> Option<Vec<BoreStep>> {
    let step =
        |s: &schema::RawBoreStep| Some(BoreStep { diameter: s.diameter.get()?, depth: s.depth.get()? });
    raw.bore_steps.items.iter().map(step).collect()
}

fn o_ring(boss: &schema::RawSenderBoss, raw: &schema::RawORing) -> Option<ORing> {
    let (position, width) = (raw.position.get()?, raw.width.get()?);
    let diameter = match raw.diameter.get() {
        Some(diameter) => diameter,
        None => step_at(boss, position + width)? + raw.depth.get()? * 2.0,
    };
    Some(ORing { position, width, diameter })
}

/// Diameter of the bore's step at a depth.
pub(super) fn step_at(boss: &schema::RawSenderBoss, depth: Mm) -> Option<Mm> {
    let reaches = |step: &BoreStep| step.depth.get() + solidwright::tolerance::SAME >= depth.get();
    steps(boss)?.into_iter().find(reaches).map(|step| step.diameter)
}

fn fork(raw: &schema::RawFork) -> Option<Fork> {
    Some(Fork {
        depth: raw.depth.get()?,
        thickness: raw.thickness.get()?,
        width: raw.width.get()?,
        clock: raw.clock.get()?,
    })
}

fn screw(raw: &schema::RawRetainingScrew) -> Option<RetainingScrew> {
    Some(RetainingScrew {
        thread: raw.thread.get()?,
        depth: raw.depth.get()?,
        drill_depth: raw.drill_depth.get()?,
        distance: raw.distance.get()?,
        clock: raw.clock.get()?,
        ear: match raw.ear_radius.get() {
            Some(radius) => Some(Ear { radius, depth: raw.ear_depth.get()? }),
            None => None,
        },
    })
}
