//! Values of all holes, for the views and their table.

use std::collections::BTreeSet;

use solidwright::solid::BrepFace;

use super::numbers::{diameter, length};
use super::subject::Subject;
use crate::design::{BoreStep, PadHoles};
use crate::faces::{Feature, Role};
use crate::housing::Bore;
use crate::inspection::{NamedHole, named_holes};
use crate::standards::threads::Thread;
use crate::units::Mm;

/// All holes in the order of the part's features, with their names.
pub(super) fn holes<'a>(subject: &Subject<'a>) -> Vec<NamedHole<'a>> {
    named_holes(subject.bores)
}

/// What is in a hole besides its diameter.
pub(super) fn told(subject: &Subject, bore: &Bore) -> String {
    let design = subject.design;
    let feature = Feature::of(&bore.tag);
    let tapped = |thread: &Thread, depth: Mm, drill: Mm| {
        let [depth, drill] = [depth, drill].map(|x| length(subject.units, x.get()));
        format!("{}, {depth} deep, drill {drill}", designation(thread))
    };
    let pad = match feature {
        Feature::ShiftBoxPad => design.shift_box_pad().and_then(|p| p.holes()),
        Feature::MountPad => design.mount_pad().and_then(|p| p.holes()),
        Feature::SecondMountPad => design.second_mount_pad().and_then(|p| p.holes()),
        _ => None,
    };
    match Role::of(&bore.tag) {
        Role::BoltHole(_) => "through".to_owned(),
        Role::TappedHole(_) => {
            pad.map(|h: &PadHoles| tapped(h.thread(), h.depth(), h.drill_depth())).unwrap_or_default()
        }
        Role::DowelHole(n) => {
            let dowel = design.shift_box_pad().and_then(|p| p.dowels().get(n.wrapping_sub(1)));
            dowel.map(|d| format!("dowel, {} deep", length(subject.units, d.depth.get()))).unwrap_or_default()
        }
        Role::PlugHole(plug) => {
            let plug = design.plugs().get(plug.number.wrapping_sub(1));
            plug.map(|p| format!("{}, through", designation(p.thread()))).unwrap_or_default()
        }
        Role::ScrewHole => {
            let screw = design.sender_boss().and_then(|b| b.retaining_screw());
            screw.map(|s| tapped(s.thread(), s.depth(), s.drill_depth())).unwrap_or_default()
        }
        Role::BoreStep(n) => {
            let step = design.sender_boss().and_then(|b| b.bore_steps().get(n.wrapping_sub(1)));
            let last = design.sender_boss().is_some_and(|b| b.bore_steps().len() == n);
            let told = |s: &BoreStep| {
                let below = format!("{} below the spot face", length(subject.units, s.depth.get()));
                format!("sender, {}", if last { last_step(subject, n, below) } else { below })
            };
            step.map(told).unwrap_or_default()
        }
        Role::RailBore => "shift rail".to_owned(),
        Role::OilFeed => "oil feed".to_owned(),
        Role::DrainBack => "drain-back".to_owned(),
        _ => String::new(),
    }
}

/// How deep the last step of the sender's bore goes, where `depth` tells that in words: into the cavity where it breaks into it, with
/// its depth as well where any of its floor is left.
pub(super) fn last_step(subject: &Subject, number: usize, depth: String) -> String {
    let faces = &subject.solid.brep().faces;
    let of = |role: Role| {
        faces
            .iter()
            .filter(move |face| Feature::of(&face.tag) == Feature::SenderBoss && Role::of(&face.tag) == role)
    };
    let edges = |face: &BrepFace| face.loops.iter().flatten().map(|half| half.edge).collect::<BTreeSet<_>>();
    let own: BTreeSet<usize> = of(Role::BoreStep(number)).flat_map(edges).collect();
    let others = faces.iter().filter(|face| Feature::of(&face.tag) != Feature::SenderBoss);
    let opens = others.flat_map(edges).any(|edge| own.contains(&edge));
    let has_floor = of(Role::BoreStepShoulder(number)).next().is_some();
    match (opens, has_floor) {
        (true, false) => "into the cavity".to_owned(),
        (true, true) => format!("{depth}, into the cavity"),
        (false, _) => depth,
    }
}

/// A thread as drawings name it: metric ones with their pitch (ISO 6410-1), unified ones as they are called.
fn designation(thread: &Thread) -> String {
    if thread.is_metric() {
        format!("{}×{}", thread.name, length(crate::units::Units::Mm, thread.pitch.get()))
    } else {
        format!("{} {}", thread.name, if thread.is_fine() { "UNF" } else { "UNC" })
    }
}

/// One row of the table of holes.
pub(super) fn row(subject: &Subject, hole: &NamedHole) -> Vec<String> {
    let p = hole.bore.point;
    let mut out = vec![
        hole.name.clone(),
        subject.numbers(&hole.bore.tag),
        diameter(subject.units, 2.0 * hole.bore.radius),
        told(subject, hole.bore),
    ];
    out.extend([p.x, p.y, p.z].map(|x| length(subject.units, x)));
    out
}
