//! Gaps between separate features of the housing: the sand between them needs room.

use super::{Checks, Limits, Measurement, Sense, Unit, names};
use crate::faces::{Feature, Role};
use solidwright::probe::Probe;
use solidwright::solid::Finish;

/// Gaps wider than this are not listed, mm.
const LISTED: f64 = 40.0;

/// Features on the shell or the flange.
const STANDING: [Feature; 7] = [
    Feature::ShiftBoxPad,
    Feature::MountPad,
    Feature::SecondMountPad,
    Feature::SenderBoss,
    Feature::RailTube,
    Feature::Plugs,
    Feature::GearboxFace,
];

pub(super) fn check(probe: &Probe, limits: &Limits, out: &mut Checks) {
    let faces = &probe.brep().faces;
    let outside = |feature: Feature| -> Vec<usize> {
        let own = |f: &usize| {
            let (tag, role) = (&faces[*f].tag, Role::of(&faces[*f].tag));
            Feature::of(tag) == feature
                && tag.finish == Finish::Formed
                && !(role.is_fillet() || role.is_opening() || role.is_hollow() || role == Role::FlangeBack)
        };
        (0..faces.len()).filter(own).collect()
    };
    for (i, a) in STANDING.iter().enumerate() {
        for b in &STANDING[i + 1..] {
            let (of_a, of_b) = (outside(*a), outside(*b));
            let Some(least) = probe.least_distance(&of_a, &of_b) else { continue };
            // Features that touch are one lump without a gap.
            if least.distance < 1e-6 || least.distance > LISTED {
                continue;
            }
            let hint = "move the features apart, or close the gap so that they are one lump";
            let what = format!("{a} / {b}");
            let value = (least.distance, Unit::Mm);
            out.measurements.push(
                Measurement::new("gap between features", what, value, Sense::AtLeast, hint)
                    .warns_or_fails_by(&limits.gap)
                    .at(least.points, names(probe.brep(), least.faces)),
            );
        }
    }
}
