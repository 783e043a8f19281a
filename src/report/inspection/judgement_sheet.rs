//! The judgement as a sheet for the files of the article: what was found, the verdicts, and what they do to the function.

use super::judgement::{effect_cells, item_cells, pattern_words, places_unjudged};
use super::plan::bare;
use crate::cautions;
use crate::design::{Design, Form};
use crate::inspection::{
    ItemVerdict, JudgedArticle, JudgedItem, JudgingRules, MeasuringSheet, OverallVerdict, ToldValue, effects,
    told_values,
};
use crate::report::document::{Block, Chapter, Column, Document, Fact, Paper, TextCell, TextTable};
use crate::units::Units;
use crate::words::counted;

/// The sheet of judged articles. `readings` names the files of readings; `hash` is the SHA-256 of the parameter file.
pub fn judgement_sheet(
    design: &Design,
    form: Form,
    sheet: &MeasuringSheet,
    rules: JudgingRules,
    articles: &[JudgedArticle],
    readings: &[String],
    hash: &str,
) -> Document {
    let units = design.units();
    let chapters = articles.iter().flat_map(|a| article(design, sheet, a));
    let mut rules_told = vec![
        Fact::new("Readings", readings.join(", ")),
        Fact::new("Lengths", format!("{}, at 20 °C", units.words())),
        Fact::new(
            "Rule",
            format!(
                "a value conforms if it keeps its limits by more than its expanded uncertainty, k = 2 (ISO 14253-1); of a probed point ±{}",
                bare(units, rules.of_point)
            ),
        ),
        Fact::new("Judged by", "name ________________   date ________________   signed ________________"),
    ];
    if let Some(shift) = shift(units, articles) {
        rules_told.insert(3, shift);
    }
    if let Some(note) = places_unjudged(design, sheet) {
        rules_told.insert(3, Fact::new("Not judged", note));
    }
    let caution = Block::Cautions(cautions::of_sheet(form).iter().map(|c| (*c).to_owned()).collect());
    let all = std::iter::once(Chapter::new("Readings and rule", [Block::Facts(rules_told)]))
        .chain(chapters)
        .chain([Chapter::new("Cautions", [caution])]);
    Document {
        title: format!("{}: judgement of the first article", design.name()),
        lead: summary(design, sheet, articles),
        paper: Paper::of(units),
        chapters: all.filter(|c| !c.blocks.is_empty()).collect(),
        foot: format!("tailpattern {}; parameter file sha256 {hash}", env!("CARGO_PKG_VERSION")),
    }
}

/// The shift that a datum at its maximum material boundary grants, if the drawing has one.
fn shift(units: Units, articles: &[JudgedArticle]) -> Option<Fact> {
    let told = |a: &JudgedArticle| {
        let pattern = a.evaluation.as_ref()?.pattern;
        (pattern.play > 0.0).then(|| format!("article {}: {}", a.name, pattern_words(units, &pattern)))
    };
    let all: Vec<String> = articles.iter().filter_map(told).collect();
    (!all.is_empty()).then(|| Fact::new("Datum B at MMB", all.join("; ")))
}

/// Characteristics that a verdict's sentence names.
const NAMED: usize = 6;

/// The verdicts, with the numbers that one looks up first.
fn summary(design: &Design, sheet: &MeasuringSheet, articles: &[JudgedArticle]) -> String {
    let named = |a: &JudgedArticle, verdict: ItemVerdict| {
        let of = |i: &&JudgedItem| i.verdict == verdict;
        let name = |i: &JudgedItem| {
            let c = sheet.characteristics.iter().find(|c| c.number == i.number)?;
            Some(format!("{} ({}, {})", i.number, c.what, c.words()))
        };
        a.items.iter().filter(of).filter_map(name).collect::<Vec<_>>()
    };
    let list = |word: &str, all: &[String]| match all.len() {
        0 => String::new(),
        n if n > NAMED => format!(" {word}: {} and {} more.", all[..NAMED].join("; "), n - NAMED),
        _ => format!(" {word}: {}.", all.join("; ")),
    };
    let one = |a: &JudgedArticle| {
        let overall = OverallVerdict::of(sheet, a, &effects(design, sheet, a));
        format!(
            "Article {}: {}.{}{}",
            a.name,
            overall.words(),
            list("Out of its limits", &named(a, ItemVerdict::DoesNotConform)),
            list("Undecided", &named(a, ItemVerdict::Undecided))
        )
    };
    articles.iter().map(one).collect::<Vec<_>>().join(" ")
}

fn article(design: &Design, sheet: &MeasuringSheet, a: &JudgedArticle) -> Vec<Chapter> {
    let units = design.units();
    let found = effects(design, sheet, a);
    let function = TextTable {
        caption: format!("lengths in {}", units.words()),
        columns: ["function", "found", "verdict", "what it is"].map(Column::words).to_vec(),
        rows: found
            .iter()
            .map(|e| effect_cells(units, e).into_iter().map(TextCell::from).collect())
            .collect(),
        notes: vec![],
    };
    vec![
        Chapter::new(
            &format!("Article {}: characteristics", a.name),
            [Block::Table(characteristics(units, sheet, a))],
        ),
        Chapter::new(&format!("Article {}: function", a.name), [Block::Table(function)]),
        Chapter::new(
            &format!("Article {}: told without a limit", a.name),
            [Block::List(told(units, sheet, a))],
        ),
    ]
}

fn characteristics(units: Units, sheet: &MeasuringSheet, a: &JudgedArticle) -> TextTable {
    let row = |i: &JudgedItem| {
        let [number, what, found, uncertainty, limits, verdict] = item_cells(units, sheet, i)?;
        let verdict = match i.verdict {
            ItemVerdict::DoesNotConform | ItemVerdict::Undecided => TextCell::alarm(verdict),
            ItemVerdict::NotMeasured | ItemVerdict::Conforms => verdict.into(),
        };
        Some(vec![number.into(), what.into(), found.into(), uncertainty.into(), limits.into(), verdict])
    };
    TextTable {
        caption: format!("{}, {}", counted(a.items.len(), "characteristic"), units.words()),
        columns: vec![
            Column::numbers("no."),
            Column::words("where and what"),
            Column::numbers("found"),
            Column::numbers("±"),
            Column::numbers("limits"),
            Column::words("verdict"),
        ],
        rows: a.items.iter().filter_map(row).collect(),
        notes: vec![],
    }
}

/// Flatness, runout and cones, in sentences.
pub(super) fn told(units: Units, sheet: &MeasuringSheet, a: &JudgedArticle) -> Vec<String> {
    let values = a.evaluation.as_ref().map(|e| told_values(sheet, e)).unwrap_or_default();
    let line = |v: &ToldValue| {
        let value = bare(units, (v.value * 1e4).round() / 1e4);
        format!("{}: {} {value}", sheet.elements[v.element].shown, v.kind.words())
    };
    values.iter().map(line).collect()
}
