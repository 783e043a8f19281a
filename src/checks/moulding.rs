//! What the foundry asks: draft, faces that hold the pattern, stock, hot spots, prints of the core.

use super::{CHORD, Checked, Checks, Limit, Limits, Sense, Unit};
use crate::design::Design;
use crate::forms::{self, Casting};
use crate::geometry::P3;
use crate::probe::Probe;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Places at which balls are put into the casting.
const SAMPLES: usize = 6_000;

pub(super) fn check(design: &Design, casting: &Casting, limits: &Limits, out: &mut Checks) {
    let mould = design.casting().mould();
    for (what, draft, key) in [
        ("outside", mould.draft(), "steepen `casting.mould.draft`"),
        ("core box", mould.core_draft(), "steepen `casting.mould.core_draft`"),
    ] {
        let limit = Some(limits.draft.clone());
        out.checked.push(plain("draft", what, draft.get(), Unit::Deg, Sense::AtLeast, limit, key));
    }
    undrafted(casting, limits, out);
    match forms::undercuts(casting) {
        Ok(held) => undercuts(&held, "pattern", limits, out),
        Err(error) => out.not("undercuts of the pattern", error.to_string()),
    }
    match forms::core_box(casting) {
        Ok(made) => undercuts(&made.undrawn, "core box", limits, out),
        Err(error) => out.not("undercuts of the core box", error.to_string()),
    }
    stock(casting, limits, out);
    match forms::core_bearing(casting) {
        Ok(pressure) => out.checked.push(plain(
            "pressure on the core's prints",
            "core",
            pressure,
            Unit::MPa,
            Sense::AtMost,
            Some(limits.bearing.clone()),
            "lengthen `casting.prints`",
        )),
        Err(error) => out.not("core prints", error.to_string()),
    }
    match Probe::new(&casting.moulded.casting.brep, CHORD) {
        Ok(probe) => hot_spots(design, &probe, limits, out),
        Err(error) => out.not("hot spots", error.to_string()),
    }
}

fn plain(
    check: &'static str,
    what: &str,
    value: f64,
    unit: Unit,
    sense: Sense,
    soft: Option<Limit>,
    hint: &'static str,
) -> Checked {
    Checked {
        check,
        what: what.to_owned(),
        value,
        unit,
        sense,
        limit: None,
        soft,
        at: vec![],
        faces: vec![],
        hint,
    }
}

fn undercuts(held: &[forms::Undercut], form: &str, limits: &Limits, out: &mut Checks) {
    let hint = "turn `casting.mould.parting_clock`, or agree loose pieces with the pattern maker";
    let limit = || Some(limits.undercut.clone());
    if held.is_empty() {
        out.checked.push(plain("undercut", form, 0.0, Unit::Mm2, Sense::AtMost, limit(), hint));
    }
    // One line a feature, at its largest face.
    let mut features: BTreeMap<&str, (f64, Vec<&forms::Undercut>)> = BTreeMap::new();
    for u in held {
        let entry = features.entry(&u.feature).or_default();
        entry.0 += u.area;
        entry.1.push(u);
    }
    for (feature, (area, faces)) in features {
        let what = format!("{form}, {feature}");
        let mut checked = plain("undercut", &what, area, Unit::Mm2, Sense::AtMost, limit(), hint);
        checked.at = faces.iter().take(1).map(|u| P3::from(u.at)).collect();
        checked.faces = faces.iter().map(|u| u.face.clone()).collect();
        out.checked.push(checked);
    }
}

/// Faces without draft, by feature.
fn undrafted(casting: &Casting, limits: &Limits, out: &mut Checks) {
    let faces = match forms::undrafted(casting) {
        Ok(faces) => faces,
        Err(error) => return out.not("draft of the casting's faces", error.to_string()),
    };
    let hint = "turn `casting.mould.parting_clock` so that the feature stands upright, or let the pattern maker dress them";
    for u in faces {
        let what = format!("{}, {:.0} mm²", u.face, u.area);
        let mut checked =
            plain("draft", &what, 0.0, Unit::Deg, Sense::AtLeast, Some(limits.draft.clone()), hint);
        checked.at = vec![P3::from(u.at)];
        checked.faces = vec![u.face];
        out.checked.push(checked);
    }
}

/// Stock that the worst casting leaves.
fn stock(casting: &Casting, limits: &Limits, out: &mut Checks) {
    for row in &casting.stock {
        let Some(least) = row.least else { continue };
        let hint = "give more `casting.stock`, or a finer `tolerance_grade`";
        let mut checked =
            plain("stock left, worst case", &row.face, least, Unit::Mm, Sense::AtLeast, None, hint);
        checked.limit = Some(limits.stock_left.clone());
        checked.faces = vec![row.face.clone()];
        out.checked.push(checked);
    }
}

/// The largest ball in each feature of the casting, in walls of the shell.
fn hot_spots(design: &Design, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let wall = design.shell().cavity().iter().map(|s| s.wall.get()).fold(f64::INFINITY, f64::min);
    let samples = probe.samples(SAMPLES, 1);
    let balls: Vec<_> =
        samples.par_iter().map(|s| probe.ball(s).map(|b| (s.face, b.radius, b.center))).collect();
    let mut largest: BTreeMap<&str, (f64, P3)> = BTreeMap::new();
    for (face, radius, center) in balls.into_iter().flatten() {
        let feature = probe.brep().faces[face].tag.feature.as_ref();
        // A lump beside the cavity is met from its own side too.
        if feature == "cavity" {
            continue;
        }
        let entry = largest.entry(feature).or_insert((0.0, center));
        if radius > entry.0 {
            *entry = (radius, center);
        }
    }
    for (feature, (radius, center)) in largest {
        let hint = "core the lump out, thin it, or agree a feeder or chill there with the foundry";
        let ratio = 2.0 * radius / wall;
        let limit = Some(limits.hot_spot.clone());
        let mut checked = plain("hot spot, walls", feature, ratio, Unit::One, Sense::AtMost, limit, hint);
        checked.at = vec![center];
        if limits.hot_spot.given {
            std::mem::swap(&mut checked.limit, &mut checked.soft);
        }
        out.checked.push(checked);
    }
}
