//! Checks for the foundry: draft, faces that hold the pattern, stock, core prints.

use super::{Checks, Limits, Measurement, Sense, Unit};
use crate::design::{Design, Form};
use crate::faces::Feature;
use crate::forms::{self, Casting, Drawing, FILLED_BELOW, FormPieces, Product, Undercut};
use crate::housing::{CastMarks, no_room};
use crate::units::Units;
use solidwright::geometry::P3;
use std::borrow::Cow;
use std::collections::BTreeMap;

pub(super) fn check(product: &Product, casting: &Casting, limits: &Limits, out: &mut Checks) {
    drafts(product.design(), limits, out);
    marks(&product.finished().marks, limits, out);
    lacking(casting, limits, out);
    match product.drawing() {
        Ok(drawing) => {
            upright(&drawing.upright, limits, out);
            out.measurements.extend(undercuts(drawing, limits, product.design().units()));
        }
        Err(error) => out.cannot("pattern can be drawn", "pattern", &error),
    }
    match product.core_box() {
        Ok(made) => out.measurements.extend(undercuts_of_core_box(made, limits)),
        Err(error) => out.cannot("core box can be drawn", "core box", &error),
    }
}

/// The drafts that the file asks for.
fn drafts(design: &Design, limits: &Limits, out: &mut Checks) {
    let mould = design.casting().mould();
    for (what, draft, hint) in [
        ("outside", mould.draft(), "steepen `casting.mould.draft`"),
        ("core box", mould.core_draft(), "steepen `casting.mould.core_draft`"),
    ] {
        let value = (draft.get(), Unit::Deg);
        out.measurements.push(
            Measurement::new("draft", what, value, Sense::AtLeast, hint).warns_or_fails_by(&limits.draft),
        );
    }
}

/// The letters cast on: the draft of their walls against the pull, and those that have no room.
fn marks(marks: &CastMarks, limits: &Limits, out: &mut Checks) {
    let hint =
        "a shell that leans less leaves letters more draft: let the mark stand elsewhere by other features";
    for mark in &marks.made {
        let what = format!("{}, {}", Feature::Marks, mark.of.name());
        out.measurements.push(
            Measurement::new("draft", what, (mark.draft, Unit::Deg), Sense::AtLeast, hint)
                .warns_or_fails_by(&limits.draft),
        );
    }
    for of in &marks.left_out {
        out.not("marks cast on", format!("{}: {}", of.name(), no_room()));
    }
}

/// Metal of the finished part outside the casting, one measurement for each feature.
fn lacking(casting: &Casting, limits: &Limits, out: &mut Checks) {
    let hint = "ask for smaller fillets there in `casting.fillets`, or move the feature";
    let make = |what: &str, depth: f64| {
        Measurement::new("metal that the casting lacks", what, (depth, Unit::Mm), Sense::AtMost, hint)
            .fails_by(&limits.lacking)
            .warns_by(&limits.lacking_soft)
    };
    if casting.missing.is_empty() {
        out.measurements.push(make("finished part", 0.0));
    }
    for l in &casting.missing {
        out.measurements.push(make(l.feature.name(), l.depth).at([l.at], l.faces.iter().cloned()));
    }
}

/// Remaining stock, and the pressure on the core's prints.
pub(super) fn stock_and_prints(casting: &Casting, limits: &Limits, out: &mut Checks) {
    stock(casting, limits, out);
    bearing(casting, limits, out);
}

/// Pressure of the core on its prints.
fn bearing(casting: &Casting, limits: &Limits, out: &mut Checks) {
    match forms::core_bearing(casting) {
        Ok(pressure) => {
            let (check, hint) = ("pressure on the core's prints", "lengthen `casting.prints`");
            let value = (pressure, Unit::MPa);
            out.measurements.push(
                Measurement::new(check, "core", value, Sense::AtMost, hint)
                    .warns_or_fails_by(&limits.bearing),
            );
        }
        Err(error) => out.cannot("core can be laid", "core", &error),
    }
}

/// What is measured while forms are made, undercuts apart, for those that were made.
pub fn of_made(product: &Product, made: &[Form]) -> Vec<Measurement> {
    let (limits, mut out) = (Limits::of(product.design()), Checks::default());
    // Other forms need no casting to be made for their sheets.
    if !made.iter().any(|form| matches!(form, Form::Casting | Form::Core)) {
        return vec![];
    }
    let Ok(casting) = product.casting() else { return vec![] };
    if made.contains(&Form::Casting) {
        drafts(product.design(), &limits, &mut out);
        if let Ok(drawing) = product.drawing() {
            upright(&drawing.upright, &limits, &mut out);
        }
        stock(casting, &limits, &mut out);
    }
    if made.contains(&Form::Core) {
        bearing(casting, &limits, &mut out);
    }
    out.measurements
}

/// What is advised where more holds the pattern than is dressed by hand.
const PART_OFF: &str = "let `build --form pattern` part loose pieces off, and agree on them with the foundry; `build --form casting` tells at which \
                        `casting.mould.parting_clock` least is held";

/// The same for a core box, which comes apart where its core holds it least.
const OTHER_BOX: &str = "agree with the core maker on a loose piece in the box, or a core of two parts; else turn or move the feature";

/// The undercuts of the pattern, one measurement for each feature that holds it, and one for what lies in that feature's shadow: the
/// same for `build` and for `check`.
pub fn undercuts(drawing: &Drawing, limits: &Limits, units: Units) -> Vec<Measurement> {
    let hint = |feature: Feature| -> Cow<'static, str> {
        if drawing.needs_a_piece(feature) {
            return PART_OFF.into();
        }
        let places: Vec<String> = drawing.dressed_at(feature).map(|place| place.where_text(units)).collect();
        let left = if places.is_empty() { "a sliver".to_owned() } else { places.join("; ") };
        format!("rapping frees all but {left}, too little for a loose piece: {FILLED_BELOW}").into()
    };
    by_feature(&drawing.undercuts, "pattern", limits, hint)
}

/// The undercuts of the core box, in the same way.
pub fn undercuts_of_core_box(made: &FormPieces, limits: &Limits) -> Vec<Measurement> {
    by_feature(&made.undrawn, "core box", limits, |_| OTHER_BOX.into())
}

fn by_feature(
    held: &[Undercut],
    form: &str,
    limits: &Limits,
    hint: impl Fn(Feature) -> Cow<'static, str>,
) -> Vec<Measurement> {
    let make = |what: String, area: f64, hint: Cow<'static, str>| {
        Measurement::new("undercut", what, (area, Unit::Mm2), Sense::AtMost, hint)
            .warns_or_fails_by(&limits.undercut)
    };
    if held.is_empty() {
        return vec![make(form.to_owned(), 0.0, "".into())];
    }
    // At its largest face.
    let mut features: BTreeMap<(Feature, bool), (f64, Vec<&Undercut>)> = BTreeMap::new();
    for u in held {
        let entry = features.entry((u.holder(), u.under.is_some())).or_default();
        entry.0 += u.area;
        entry.1.push(u);
    }
    let measured = features.into_iter().map(|((feature, shadow), (area, faces))| {
        let at = faces.iter().take(1).map(|u| P3::from(u.at));
        let names = faces.iter().map(|u| u.tag.to_string());
        let what = if shadow { format!("{form}, under {feature}") } else { format!("{form}, {feature}") };
        make(what, area, hint(feature)).at(at, names).of_undercuts(faces.iter().map(|u| (*u).clone()))
    });
    measured.collect()
}

/// Faces without draft.
fn upright(faces: &[Undercut], limits: &Limits, out: &mut Checks) {
    let hint = "turn `casting.mould.parting_clock` so that the feature stands upright, or let the pattern maker dress them";
    for u in faces {
        out.measurements.push(
            Measurement::new("draft", u.tag.to_string(), (0.0, Unit::Deg), Sense::AtLeast, hint)
                .warns_or_fails_by(&limits.draft)
                .at([P3::from(u.at)], [u.tag.to_string()]),
        );
    }
}

/// Remaining stock in the worst case.
fn stock(casting: &Casting, limits: &Limits, out: &mut Checks) {
    let hint = "give more `casting.stock`, or a finer `tolerance_grade`";
    let check = "stock left, worst case";
    for row in casting.stock.iter().filter(|row| row.stock.is_some()) {
        let face = row.tag.to_string();
        let Some(least) = row.least else {
            out.not(check, format!("{face}: ISO 8062-3 gives no tolerance of its size in this grade"));
            continue;
        };
        out.measurements.push(
            Measurement::new(check, face.as_str(), (least, Unit::Mm), Sense::AtLeast, hint)
                .fails_by(&limits.stock_left)
                .at([], [face.clone()]),
        );
    }
}
