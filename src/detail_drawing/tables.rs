//! Tables and notes: plain columns of writing.

use solidwright::geometry::{P2, V2};

use super::holes::{holes, row};
use super::numbers::{length, limit};
use super::subject::Subject;
use super::title_block;
use crate::cautions;
use crate::checks::{machined_fit, machined_fits};
use crate::design::Form;
use crate::drafting::{Anchor, LETTERS, Layer, Lettering, SheetContent, width};
use crate::faces::{Feature, Role, plain_names};
use crate::inspection::{Characteristic, CharacteristicKind};
use crate::standards::general_tolerance::{CLASS, medium_steps};
use crate::units::{Mm, Units};
use crate::words::fixed;

/// Height of a row, and room beside writing in a cell, mm.
const ROW: f64 = 5.0;
const PAD: f64 = 1.2;

/// A table with a title; its upper left corner is the origin.
pub(super) fn table(title: &str, heads: &[&str], rows: &[Vec<String>]) -> SheetContent {
    let cell = |r: &Vec<String>, k: usize| r.get(k).map_or(0.0, |text| width(text, LETTERS));
    let column =
        |k: usize| rows.iter().map(|r| cell(r, k)).fold(width(heads[k], LETTERS), f64::max) + 2.0 * PAD;
    let widths: Vec<f64> = (0..heads.len()).map(column).collect();
    let mut out = SheetContent::default();
    let base = |line: usize| -ROW * (line as f64 + 1.0) + 0.5 * (ROW - LETTERS);
    out.texts.push(Lettering::level(P2::new(0.0, base(0)), LETTERS, Anchor::Start, title));
    let head: Vec<String> = heads.iter().map(|h| (*h).to_owned()).collect();
    for (line, texts) in std::iter::once(&head).chain(rows).enumerate() {
        let mut x = 0.0;
        for (text, reach) in texts.iter().zip(&widths) {
            let at = P2::new(x + PAD, base(line + 1));
            out.texts.push(Lettering::level(at, LETTERS, Anchor::Start, text.clone()));
            x += reach;
        }
    }
    let (total, foot) = (widths.iter().sum::<f64>(), -ROW * (rows.len() as f64 + 2.0));
    for line in 1..=rows.len() + 2 {
        let y = -ROW * line as f64;
        out.line(Layer::Dimension, P2::new(0.0, y), P2::new(total, y));
    }
    let mut x = 0.0;
    for reach in widths.iter().chain([&0.0]) {
        out.line(Layer::Dimension, P2::new(x, -ROW), P2::new(x, foot));
        x += reach;
    }
    out
}

/// The table of holes.
pub(super) fn hole_table(subject: &Subject) -> Option<SheetContent> {
    let rows: Vec<Vec<String>> = holes(subject).iter().map(|h| row(subject, h)).collect();
    let title =
        "Holes; no. of the measuring sheet. X from datum A; Y (right), Z (up) from datum B, as modelled";
    (!rows.is_empty()).then(|| table(title, &["hole", "no.", "drill", "what", "X", "Y", "Z"], &rows))
}

/// The table of fits.
pub(super) fn fit_table(subject: &Subject) -> Option<SheetContent> {
    let show = |mm: Mm| limit(subject.units, mm.get());
    let fits = machined_fits(subject.design);
    let row = |f: &crate::checks::MachinedFit| {
        let [least, greatest] = f.sizes.map(show);
        let name = plain_names::fitted(f.face, &f.what);
        vec![name, number(subject, f), show(f.nominal), f.own_class.clone(), least, greatest]
    };
    let rows: Vec<Vec<String>> = fits.iter().flatten().map(row).collect();
    let title = "Fits: limits of size at 20 °C";
    (!rows.is_empty())
        .then(|| table(title, &["where", "no.", "nominal", "class", "least", "greatest"], &rows))
}

/// The number under which a fit's diameter is measured; nothing for what is not of the housing itself.
fn number(subject: &Subject, fit: &crate::checks::MachinedFit) -> String {
    let faces = [
        (Feature::GearboxFace, Role::Register),
        (Feature::RailTube, Role::RailBore),
        (Feature::Tail, Role::BushingSeat),
        (Feature::Tail, Role::SealCounterbore),
    ];
    let of = faces.into_iter().find(|(_, role)| machined_fit(subject.design, *role).as_ref() == Some(fit));
    let is_size = |c: &&Characteristic| c.kind == CharacteristicKind::Diameter;
    let number = of.and_then(|(feature, role)| subject.numbered(feature, role, is_size));
    number.map_or(String::new(), |n| n.to_string())
}

/// Widths of notes: that of the title block, and narrower, for gaps between views.
pub(super) const NOTES: [f64; 2] = [title_block::WIDTH, 0.65 * title_block::WIDTH];

/// Notes in a column of a width; its upper left corner is the origin.
fn paragraphs(title: &str, told: &[String], reach: f64) -> SheetContent {
    let mut out = SheetContent::default();
    let mut y = -ROW;
    out.texts.push(Lettering::level(P2::new(0.0, y), LETTERS, Anchor::Start, title));
    for (k, text) in told.iter().enumerate() {
        let number = format!("{}.", k + 1);
        y -= ROW;
        out.texts.push(Lettering::level(P2::new(0.0, y), LETTERS, Anchor::Start, number));
        for (line, words) in broken(text, reach - 7.0).into_iter().enumerate() {
            if line > 0 {
                y -= 4.2;
            }
            out.texts.push(Lettering::level(P2::new(7.0, y), LETTERS, Anchor::Start, words));
        }
    }
    out
}

/// A text in lines of at most a width.
pub(super) fn broken(text: &str, reach: f64) -> Vec<String> {
    let mut out: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        let last = out.len() - 1;
        let longer = if out[last].is_empty() { word.to_owned() } else { format!("{} {word}", out[last]) };
        if width(&longer, LETTERS) > reach && !out[last].is_empty() {
            out.push(word.to_owned());
        } else {
            out[last] = longer;
        }
    }
    out
}

/// The notes of the finished part.
pub(super) fn notes(subject: &Subject) -> Vec<String> {
    let design = subject.design;
    let unit = subject.units.words();
    let stock = design.casting().stock();
    let mut out = vec![
        format!("Lengths in {unit}. Axes: X aft along the shaft from datum A, Z up, Y to the right seen from behind; clock angles seen from behind, 0 is up."),
        "Datum A: gearbox face. Datum B: axis of the register. Datum C: bolt hole F1, clocking. Datum D: axis of the bushing seat.".to_owned(),
        format!("{} Casting: ISO 8062-3 DCTG {}.", general_tolerance(subject), stock.tolerance_grade()),
        general_roughness(subject.units).to_owned(),
        "Bore the bushing seat and the seal counterbore true to the register and the gearbox face, at one setting.".to_owned(),
        "Tapped holes: table gives the tapping drill, as modelled. Threads 6H (ISO 965-1), unified ones 2B (ASME B1.1).".to_owned(),
    ];
    out.push(cast_roundings(subject));
    out.push(
        "The solid model governs what has no dimension here: finished.step, built from the parameter file in the title block."
            .to_owned(),
    );
    out.extend(without_fit(subject));
    out
}

/// Fillets and edges that stay as cast.
fn cast_roundings(subject: &Subject) -> String {
    let fillets = subject.design.casting().fillets();
    let radius = |r: Mm, without: &str| match r.get() {
        r if r > 0.0 => format!("R{}", length(subject.units, r)),
        _ => without.to_owned(),
    };
    let [outside, cavity] = [fillets.outside(), fillets.cavity()].map(|r| radius(r, "none"));
    let narrow = match fillets.edges().get() {
        r if r > 0.0 => " Narrow lines: ends of faces at roundings.",
        _ => "",
    };
    let edges = radius(fillets.edges(), "sharp");
    format!(
        "Cast fillets {outside} outside, {cavity} inside; cast edges {edges}, where not drawn otherwise. \
         Cast walls, bosses, pads and ribs: the casting\u{2019}s drawing has their sizes in its table of cast sizes. \
         Stations and sizes at rounded corners are those of the sharp corner.{narrow}"
    )
}

/// Diameters that mate with another part and have no limits, since the parameter file gives no fit for them: the general
/// tolerance is far too wide there.
fn without_fit(subject: &Subject) -> Option<String> {
    let design = subject.design;
    let rail = design.rail_tube().map(|_| (Feature::RailTube, Role::RailBore));
    let mating = [
        Some((Feature::GearboxFace, Role::Register)),
        rail,
        Some((Feature::Tail, Role::BushingSeat)),
        Some((Feature::Tail, Role::SealCounterbore)),
    ];
    let bare = mating.into_iter().flatten().filter(|(_, role)| machined_fit(design, *role).is_none());
    let names: Vec<String> = bare.map(|face| plain_names::fitted(Some(face), "")).collect();
    let told = || {
        format!(
            "No fit is known for: {}. Ask for the limits before cutting; the general tolerance is too wide there.",
            names.join(", ")
        )
    };
    (!names.is_empty()).then(told)
}

/// The general tolerance: by its class, and on sheets in inches by its values, as no machinist has that table in inches.
fn general_tolerance(subject: &Subject) -> String {
    let what = "General tolerance of machined lengths and diameters";
    match subject.units {
        Units::Mm => format!("{what}: {CLASS}."),
        Units::Inch => {
            let longest = subject.design.tail().rear().get();
            let place = |mm: f64| fixed(Mm::new(mm).to_inches(), 3).trim_start_matches('0').to_owned();
            let step = |(most, half): &(f64, f64)| format!("±{} to {}", place(*half), place(*most));
            let steps: Vec<String> = medium_steps(longest).iter().map(step).collect();
            format!("{what}: {} ({CLASS} in inches).", steps.join(", "))
        }
    }
}

/// The general roughness. Common practice for milled and turned faces; 125 µin is the value of ASME B46.1's series next to
/// 3.2 µm (from memory).
const fn general_roughness(units: Units) -> &'static str {
    match units {
        Units::Mm => {
            "Machined surfaces Ra 3.2 µm unless told otherwise (common practice; ISO 21920-1). All others as cast."
        }
        Units::Inch => {
            "Machined surfaces Ra 125 µin unless told otherwise (common practice; ASME Y14.36). All others as cast."
        }
    }
}

/// Notes and cautions of a form in a column of a width; where it is narrower than the title block, each by itself.
pub(super) fn told(notes: &[String], form: Form, reach: f64) -> Vec<SheetContent> {
    let all = vec![paragraphs("Notes", notes, reach), paragraphs("Cautions", &cautions_of(form), reach)];
    if reach < title_block::WIDTH { all } else { vec![stacked(all, 5.0)] }
}

/// The cautions of a form.
fn cautions_of(form: Form) -> Vec<String> {
    cautions::of_sheet(form).iter().map(|c| (*c).to_owned()).collect()
}

/// Contents one below the other, with gaps; the upper left corner is the origin.
fn stacked(all: Vec<SheetContent>, gap: f64) -> SheetContent {
    let mut out = SheetContent::default();
    let mut y = 0.0;
    for content in all {
        let Some(bounds) = content.bounds() else { continue };
        out.put(content, V2::new(0.0, y));
        y += bounds.low.y - gap;
    }
    out
}
