//! Gaps between features that stand apart on the housing: sand between them needs room.

use super::{Checked, Checks, Limits, Sense, Unit};
use crate::probe::Probe;
use crate::solid::Finish;

/// Gaps wider than this are not listed, mm.
const LISTED: f64 = 40.0;

/// Features that stand on the shell or the flange.
const STANDING: [&str; 7] =
    ["shift_box_pad", "mount_pad", "second_mount_pad", "sender_boss", "rail_tube", "plugs", "gearbox_face"];

pub(super) fn check(probe: &Probe, limits: &Limits, out: &mut Checks) {
    let faces = &probe.brep().faces;
    let outside = |feature: &str| -> Vec<usize> {
        let own = |f: &usize| {
            let tag = &faces[*f].tag;
            let hole = ["fillet", "opening", "slot", "bore", "flange back", "face"];
            tag.feature.as_ref() == feature
                && tag.finish == Finish::Cast
                && !hole.iter().any(|word| tag.role.contains(word))
        };
        (0..faces.len()).filter(own).collect()
    };
    for (i, a) in STANDING.iter().enumerate() {
        for b in &STANDING[i + 1..] {
            let (of_a, of_b) = (outside(a), outside(b));
            let Some(least) = probe.least_distance(&of_a, &of_b) else { continue };
            // What touches is one lump, and no gap.
            if least.distance < 1e-6 || least.distance > LISTED {
                continue;
            }
            out.checked.push(Checked {
                check: "gap between features",
                what: format!("{a} / {b}"),
                value: least.distance,
                unit: Unit::Mm,
                sense: Sense::AtLeast,
                limit: Some(limits.gap.clone()).filter(|l| l.given),
                soft: Some(limits.gap.clone()).filter(|l| !l.given),
                at: least.points.to_vec(),
                faces: least.faces.iter().map(|f| faces[*f].tag.to_string()).collect(),
                hint: "move the features apart, or close the gap so that they are one lump",
            });
        }
    }
}
