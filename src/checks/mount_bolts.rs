//! Bolts through the slots of a mount's plate: nut and washer on the plate, beside its walls or gussets, wherever they stand in the slot.

use super::bolts::Seat;
use super::{Checks, Limits};
use crate::design::{Design, MountPad, SlotDirection};
use crate::faces::{Feature, Role};
use crate::standards::bolts::of_thread;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Places along a slot at which its bolt is looked at: where it stands at an end, and between.
const ALONG: u32 = 5;

/// What lies no higher than this over the plate is not in the way of a nut on it, mm.
const LEVEL: f64 = 0.01;

const HINTS: [&str; 2] = [
    "make the plate longer or wider, so that its walls or gussets stand farther off, shorten the slot's travel, or make the fillets smaller",
    "no socket goes on straight: plan for an open spanner, or hold the nut and turn the bolt from below",
];

pub(super) fn check(design: &Design, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let pads =
        [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
    for (feature, pad) in pads {
        if let Some(pad) = pad {
            one(feature, pad, probe, limits, out);
        }
    }
}

fn one(feature: Feature, pad: &MountPad, probe: &Probe, limits: &Limits, out: &mut Checks) -> Option<()> {
    let (plate, slots) = (pad.plate()?, pad.slots().filter(|slots| slots.through())?);
    let bolt = of_thread(slots.thread()?).ok()?;
    let level = plate.thickness().get() - pad.drop().get();
    let faces = 0..probe.brep().faces.len();
    let counting: Vec<bool> = faces.map(|f| probe.brep().bounds_of([f]).max.z > level + LEVEL).collect();
    for (i, middle) in slots.positions().iter().enumerate() {
        let at = |k: u32| {
            let off = slots.travel().get() * (f64::from(k) / f64::from(ALONG - 1) - 0.5);
            let (along, across) = match slots.direction() {
                SlotDirection::Along => (off, 0.0),
                SlotDirection::Across => (0.0, off),
            };
            let (x, y) =
                (pad.station().get() + middle.along.get(), pad.side_offset().get() + middle.across.get());
            P3::new(x + along, y + across, level)
        };
        let what = format!("{}, {} bolt", feature.face(Role::Slot(i + 1)), bolt.name);
        let seat = Seat { what, places: (0..ALONG).map(at).collect(), up: V3::z(), bolt };
        seat.room(probe, |f| counting[f], limits, HINTS, out);
    }
    Some(())
}
