//! What several articles tell: for the terminal, and as JSON.

use serde_json::{Value, json};

use super::plan::{bare, valued};
use crate::design::Design;
use crate::inspection::{
    ByAxis, CONFIDENCE, Capability, Characteristic, Correction, FoundContraction, Index, LEAST_ARTICLES,
    MeasuringSheet,
};
use crate::report::columns::{self, Align};
use crate::units::Units;
use crate::words::{counted, fixed};

/// Contractions found on raw castings.
#[derive(Clone, Debug, PartialEq)]
pub struct ContractionReport {
    /// What the pattern was made with, along X, Y and Z.
    pub assumed: [f64; 3],
    /// Those of each article, with its name.
    pub articles: Vec<(String, ByAxis)>,
    /// Their means.
    pub mean: ByAxis,
    /// What becomes of the file's values.
    pub corrections: Vec<Correction>,
}

/// All that several articles tell.
#[derive(Clone, Debug, PartialEq)]
pub struct ArticlesReport {
    /// The articles' names, in their order.
    pub names: Vec<String>,
    /// What each characteristic shows.
    pub capabilities: Vec<Capability>,
    /// The contractions, of raw castings.
    pub contraction: Option<ContractionReport>,
}

/// An index with its confidence limits, in words.
fn index(i: Option<&Index>) -> String {
    let two = |x: f64| fixed(x, 2);
    i.map_or("-".to_owned(), |i| format!("{} ({} … {})", two(i.value), two(i.within[0]), two(i.within[1])))
}

/// Where a characteristic is, and what it is.
pub(super) fn named(sheet: &MeasuringSheet, number: usize) -> String {
    let of = sheet.characteristics.iter().find(|c| c.number == number);
    of.map_or(String::new(), |c: &Characteristic| format!("{}: {}", c.what, c.words()))
}

/// For the terminal.
pub fn articles_text(design: &Design, sheet: &MeasuringSheet, told: &ArticlesReport) -> String {
    let units = design.units();
    let mut out = format!("{}, {}\n", design.name(), counted(told.names.len(), "article"));
    if told.capabilities.is_empty() {
        out += &format!("  no characteristic was measured on {LEAST_ARTICLES} articles or more: no index\n");
    } else {
        out += &format!(
            "  indices with their limits of {} % confidence; lengths in {}\n",
            fixed(100.0 * CONFIDENCE, 0),
            units.words()
        );
        let heads = ["no.", "where and what", "n", "mean", "s", "Pp", "Ppk", "Cp", "Cpk", "run"];
        let rows = told.capabilities.iter().map(|c| row(units, sheet, told, c));
        let sides = [Align::Right, Align::Left, Align::Right];
        let head = heads.map(str::to_owned).to_vec();
        out += &columns::text(std::iter::once(head).chain(rows), 2, &sides);
    }
    if let Some(c) = &told.contraction {
        out += &contraction_text(c);
    }
    out
}

/// A value of a characteristic by its number.
pub(super) fn value_of(units: Units, sheet: &MeasuringSheet, number: usize, value: f64) -> String {
    let of = sheet.characteristics.iter().find(|c| c.number == number);
    of.map_or_else(|| bare(units, value), |c| valued(units, c, value))
}

fn row(units: Units, sheet: &MeasuringSheet, told: &ArticlesReport, c: &Capability) -> Vec<String> {
    let beyond: Vec<&str> =
        c.beyond_control().into_iter().filter_map(|k| told.names.get(k).map(String::as_str)).collect();
    let run =
        if beyond.is_empty() { "steady".to_owned() } else { format!("not steady: {}", beyond.join(", ")) };
    vec![
        c.number.to_string(),
        named(sheet, c.number),
        c.values.len().to_string(),
        value_of(units, sheet, c.number, c.mean),
        value_of(units, sheet, c.number, c.overall),
        index(c.pp.as_ref()),
        index(c.ppk.as_ref()),
        index(c.cp.as_ref()),
        index(c.cpk.as_ref()),
        run,
    ]
}

const AXES: [&str; 3] = ["X, along the shaft", "Y, across", "Z, across"];

fn percent(share: f64) -> String {
    fixed(100.0 * share, 3)
}

fn contraction_text(c: &ContractionReport) -> String {
    let mut out = "  contraction, percent\n".to_owned();
    let row = |k: usize| {
        let mut row = vec![AXES[k].to_owned(), percent(c.assumed[k]), found_text(c.mean[k])];
        row.extend(c.articles.iter().map(|(_, by)| found_text(by[k])));
        row
    };
    let mut heads = vec!["axis".to_owned(), "assumed".to_owned(), "found".to_owned()];
    heads.extend(c.articles.iter().map(|(name, _)| format!("article {name}")));
    let sides = [Align::Left, Align::Right];
    out += &columns::text(std::iter::once(heads).chain([0, 1, 2].map(row)), 4, &sides);
    for correction in &c.corrections {
        out += &format!("  {}\n", correction_text(correction));
    }
    out
}

/// The contraction of one casting, found on a scan.
pub(super) fn scanned_contraction_text((assumed, found): &([f64; 3], ByAxis)) -> String {
    let row = |k: usize| vec![AXES[k].to_owned(), percent(assumed[k]), found_text(found[k])];
    let heads = ["contraction, percent", "assumed", "found"].map(str::to_owned).to_vec();
    columns::text(std::iter::once(heads).chain([0, 1, 2].map(row)), 2, &[Align::Left, Align::Right])
}

fn found_text(f: Option<FoundContraction>) -> String {
    f.map_or("not told by these points".to_owned(), |f| {
        format!("{} ±{}", percent(f.value), percent(f.uncertainty))
    })
}

/// What becomes of a value, in a sentence.
fn correction_text(c: &Correction) -> String {
    match c {
        Correction::Corrected(key, value) => format!("{key}: {value} would give the wanted size"),
        Correction::Kept(key) => {
            format!("{key} stays: what was found differs from it by no more than its uncertainty")
        }
        Correction::NotFound(key) => format!("{key} stays: the probed faces do not tell it"),
        Correction::Absent(line) => format!("the file leaves it to its default; add the line `{line}`"),
    }
}

/// Contractions as JSON, as shares.
pub(super) fn by_axis(by: &ByAxis) -> Vec<Option<Value>> {
    by.iter().map(|f| f.map(|f| json!({"value": f.value, "uncertainty": f.uncertainty}))).collect()
}

/// Everything as JSON: lengths in mm, contractions as shares.
pub fn articles_figures(design: &Design, sheet: &MeasuringSheet, told: &ArticlesReport) -> Value {
    let index =
        |i: Option<&Index>| i.map(|i| json!({"value": i.value, "low": i.within[0], "high": i.within[1]}));
    let capability = |c: &Capability| {
        json!({
            "number": c.number,
            "what": named(sheet, c.number),
            "values": c.values.iter().map(|(k, v)| json!([told.names.get(*k), v])).collect::<Vec<_>>(),
            "least": c.limits.least,
            "greatest": c.limits.greatest,
            "mean": c.mean,
            "overall_deviation": c.overall,
            "within_deviation": c.within,
            "control": c.control,
            "Pp": index(c.pp.as_ref()),
            "Ppk": index(c.ppk.as_ref()),
            "Cp": index(c.cp.as_ref()),
            "Cpk": index(c.cpk.as_ref()),
        })
    };
    let contraction = told.contraction.as_ref().map(|c| {
        json!({
            "assumed": c.assumed,
            "found": by_axis(&c.mean),
            "articles": c.articles.iter().map(|(n, by)| json!({"article": n, "found": by_axis(by)})).collect::<Vec<_>>(),
            "corrections": c.corrections.iter().map(correction_text).collect::<Vec<_>>(),
        })
    });
    json!({
        "part": design.name(),
        "lengths": "mm",
        "angles": "degrees",
        "articles": told.names,
        "confidence": CONFIDENCE,
        "capability": told.capabilities.iter().map(capability).collect::<Vec<_>>(),
        "contraction": contraction,
    })
}
