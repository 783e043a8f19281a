//! What the foundry asks: draft, faces that hold the pattern, stock, hot spots, prints of the core.

use super::{CHORD, Checked, Checks, Limits, Sense, Unit};
use crate::design::Design;
use crate::forms::{self, Casting, Undercut};
use crate::geometry::P3;
use crate::probe::Probe;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Places at which balls are put into the casting.
const SAMPLES: usize = 6_000;

pub(super) fn check(design: &Design, casting: &Casting, limits: &Limits, out: &mut Checks) {
    let mould = design.casting().mould();
    for (what, draft, hint) in [
        ("outside", mould.draft(), "steepen `casting.mould.draft`"),
        ("core box", mould.core_draft(), "steepen `casting.mould.core_draft`"),
    ] {
        let value = (draft.get(), Unit::Deg);
        out.checked.push(Checked::new("draft", what, value, Sense::AtLeast, hint).warns_by(&limits.draft));
    }
    match forms::drawing(casting) {
        Ok(drawing) => {
            upright(&drawing.upright, limits, out);
            undercuts(&drawing.undercuts, "pattern", limits, out);
        }
        Err(error) => out.not("draft and undercuts of the pattern", error.to_string()),
    }
    match forms::core_box(casting) {
        Ok(made) => undercuts(&made.undrawn, "core box", limits, out),
        Err(error) => out.not("undercuts of the core box", error.to_string()),
    }
    stock(casting, limits, out);
    match forms::core_bearing(casting) {
        Ok(pressure) => {
            let (check, hint) = ("pressure on the core's prints", "lengthen `casting.prints`");
            let value = (pressure, Unit::MPa);
            out.checked
                .push(Checked::new(check, "core", value, Sense::AtMost, hint).warns_by(&limits.bearing));
        }
        Err(error) => out.not("core prints", error.to_string()),
    }
    match Probe::new(&casting.moulded.casting.brep, CHORD) {
        Ok(probe) => hot_spots(design, &probe, limits, out),
        Err(error) => out.not("hot spots", error.to_string()),
    }
}

fn undercuts(held: &[Undercut], form: &str, limits: &Limits, out: &mut Checks) {
    let hint = "turn `casting.mould.parting_clock`, or agree loose pieces with the pattern maker";
    let make = |what: String, area: f64| {
        Checked::new("undercut", what, (area, Unit::Mm2), Sense::AtMost, hint).warns_by(&limits.undercut)
    };
    if held.is_empty() {
        out.checked.push(make(form.to_owned(), 0.0));
    }
    // One line a feature, at its largest face.
    let mut features: BTreeMap<&str, (f64, Vec<&Undercut>)> = BTreeMap::new();
    for u in held {
        let entry = features.entry(&u.feature).or_default();
        entry.0 += u.area;
        entry.1.push(u);
    }
    for (feature, (area, faces)) in features {
        let at = faces.iter().take(1).map(|u| P3::from(u.at));
        let names = faces.iter().map(|u| u.face.clone());
        out.checked.push(make(format!("{form}, {feature}"), area).at(at, names));
    }
}

/// Faces without draft.
fn upright(faces: &[Undercut], limits: &Limits, out: &mut Checks) {
    let hint = "turn `casting.mould.parting_clock` so that the feature stands upright, or let the pattern maker dress them";
    for u in faces {
        let what = format!("{}, {:.0} mm²", u.face, u.area);
        out.checked.push(
            Checked::new("draft", what, (0.0, Unit::Deg), Sense::AtLeast, hint)
                .warns_by(&limits.draft)
                .at([P3::from(u.at)], [u.face.clone()]),
        );
    }
}

/// Stock that the worst casting leaves.
fn stock(casting: &Casting, limits: &Limits, out: &mut Checks) {
    let hint = "give more `casting.stock`, or a finer `tolerance_grade`";
    for (row, least) in casting.stock.iter().filter_map(|row| Some((row, row.least?))) {
        let face = row.face.as_str();
        out.checked.push(
            Checked::new("stock left, worst case", face, (least, Unit::Mm), Sense::AtLeast, hint)
                .fails_by(&limits.stock_left)
                .at([], [row.face.clone()]),
        );
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
        let ratio = (2.0 * radius / wall, Unit::One);
        out.checked.push(
            Checked::new("hot spot, walls", feature, ratio, Sense::AtMost, hint)
                .warns_or_fails_by(&limits.hot_spot)
                .at([center], []),
        );
    }
}
