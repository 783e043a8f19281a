//! Verdicts on articles: for the terminal, and as JSON.

use serde_json::{Value, json};

use super::judgement_sheet::told;
use super::plan::{bare, valued, with_equal_decimals};
use crate::design::Design;
use crate::inspection::{
    Characteristic, CharacteristicKind, FunctionEffect, ItemVerdict, JudgedArticle, JudgedItem, JudgingRules,
    MeasuringSheet, OverallVerdict, PartFunction, PatternMove, ReadingFault, Served, SizeLimits, ToldValue,
    effects, grown, told_values,
};
use crate::report::columns::{self, Align};
use crate::units::Units;
use crate::words::{counted, fixed};

/// Faults that are told one by one; the rest is counted.
const MOST_FAULTS: usize = 200;

/// Faults of readings, one a line.
pub fn faults(file: &str, faults: &[ReadingFault]) -> String {
    let line = |f: &ReadingFault| match f.line {
        Some(line) => format!("error: {file}, line {line}: {}\n", f.text),
        None => format!("error: {file}: {}\n", f.text),
    };
    let told: String = faults.iter().take(MOST_FAULTS).map(line).collect();
    match faults.len().saturating_sub(MOST_FAULTS) {
        0 => told,
        more => format!("{told}… and {} like these in {file}\n", counted(more, "more error")),
    }
}

/// A value as it is shown: one number, or from the least to the greatest.
fn value(units: Units, c: &Characteristic, item: &JudgedItem) -> String {
    let Some(found) = item.found else {
        return match (&c.kind, item.verdict) {
            (CharacteristicKind::Thread, ItemVerdict::Conforms) => "go".to_owned(),
            (CharacteristicKind::Thread, ItemVerdict::DoesNotConform) => "no-go".to_owned(),
            _ => String::new(),
        };
    };
    let [low, high] = with_equal_decimals(found.outer.map(|x| valued(units, c, x)));
    if low == high { low } else { format!("{low} … {high}") }
}

fn limits(units: Units, c: &Characteristic, l: SizeLimits) -> String {
    match [l.least, l.greatest].map(|l| l.map(|l| valued(units, c, l))) {
        [Some(least), Some(greatest)] => with_equal_decimals([least, greatest]).join(" … "),
        [Some(least), None] => format!("at least {least}"),
        [None, Some(greatest)] => format!("at most {greatest}"),
        [None, None] => String::new(),
    }
}

/// What is said of an article. `all` lists every characteristic, else those that do not conform.
pub fn text(design: &Design, sheet: &MeasuringSheet, article: &JudgedArticle, all: bool) -> String {
    let units = design.units();
    let effects = effects(design, sheet, article);
    let count = |v: ItemVerdict| article.items.iter().filter(|i| i.verdict == v).count();
    let mut out = format!(
        "Article {}: {}\n  {}: {} conform, {} do not, {} undecided, {} not measured; lengths in {}\n",
        article.name,
        OverallVerdict::of(sheet, article, &effects).words(),
        counted(article.items.len(), "characteristic"),
        count(ItemVerdict::Conforms),
        count(ItemVerdict::DoesNotConform),
        count(ItemVerdict::Undecided),
        count(ItemVerdict::NotMeasured),
        units.words()
    );
    let shown =
        |i: &&JudgedItem| all || matches!(i.verdict, ItemVerdict::DoesNotConform | ItemVerdict::Undecided);
    let rows: Vec<Vec<String>> = article
        .items
        .iter()
        .filter(shown)
        .filter_map(|i| item_cells(units, sheet, i).map(Vec::from))
        .collect();
    if !rows.is_empty() {
        let heads = ["no.", "where and what", "found", "±", "limits", "verdict"].map(str::to_owned).to_vec();
        let sides = [Align::Right, Align::Left, Align::Right, Align::Right, Align::Right, Align::Left];
        out.push_str(&columns::text(std::iter::once(heads).chain(rows), 2, &sides));
    }
    if !all && count(ItemVerdict::NotMeasured) > 0 {
        let missing = article.items.iter().filter(|i| i.verdict == ItemVerdict::NotMeasured);
        let numbers: Vec<String> = missing.map(|i| i.number.to_string()).collect();
        out.push_str(&format!("  not measured: {}\n", numbers.join(", ")));
    }
    if let Some(note) = places_unjudged(design, sheet) {
        out.push_str(&format!("  not judged: {note}\n"));
    }
    out.push_str(&pattern_text(units, article));
    if !effects.is_empty() {
        out.push_str("  function\n");
        let rows = effects.iter().map(|e| effect_cells(units, e));
        out.push_str(&columns::text(rows, 4, &[Align::Left, Align::Right, Align::Left, Align::Left]));
    }
    if all {
        let told = told(units, sheet, article);
        if !told.is_empty() {
            out.push_str("  told without a limit, with the machine's noise in it\n");
            out.push_str(&told.iter().map(|line| format!("    {line}\n")).collect::<String>());
        }
    }
    out
}

/// What a finished part's sheet says where the file gives no tolerances of place: sizes that conform do not make a part line up.
pub(super) fn places_unjudged(design: &Design, sheet: &MeasuringSheet) -> Option<String> {
    let finished = sheet.finished_sizes.is_empty();
    (finished && design.mating().tolerances.is_none()).then(|| {
        "where the bolt holes lie and how square the faces are, and what gearbox and bushing add to the line-up: the file gives no tolerances for it (`mating.tolerances`; `tolerances: {}` takes the trade's). How far seat and counterbore lie off the register is judged against the line-up's limit, from probed points of them and of the datums".to_owned()
    })
}

/// How the bolt holes were shifted together, where the drawing grants a shift.
fn pattern_text(units: Units, article: &JudgedArticle) -> String {
    let Some(pattern) = article.evaluation.as_ref().map(|e| e.pattern).filter(|p| p.play > 0.0) else {
        return String::new();
    };
    format!("  datum B at its maximum material boundary: {}\n", pattern_words(units, &pattern))
}

/// How far a pattern may shift, and did.
pub(super) fn pattern_words(units: Units, pattern: &PatternMove) -> String {
    let [y, z] = pattern.shift.map(|s| bare(units, s));
    format!(
        "the bolt holes may shift by {}, and were judged shifted by Y {y}, Z {z}",
        bare(units, pattern.play)
    )
}

/// Number, place and kind, value, uncertainty, limits, verdict.
pub(super) fn item_cells(units: Units, sheet: &MeasuringSheet, item: &JudgedItem) -> Option<[String; 6]> {
    let c = characteristic(sheet, item.number)?;
    let uncertainty = item.found.map_or(String::new(), |_| valued(units, c, item.uncertainty));
    Some([
        c.number.to_string(),
        format!("{}: {}", c.what, c.words()),
        value(units, c, item),
        uncertainty,
        with_bonus(units, c, item),
        item.verdict.words().to_owned(),
    ])
}

/// The drawing's limits, with what a zone has grown by behind them.
fn with_bonus(units: Units, c: &Characteristic, item: &JudgedItem) -> String {
    let limits = limits(units, c, c.limits);
    match item.found.map(|f| f.bonus).filter(|b| *b > 0.0) {
        Some(bonus) => format!("{limits} + {} bonus", bare(units, bonus)),
        None => limits,
    }
}

fn characteristic(sheet: &MeasuringSheet, number: usize) -> Option<&Characteristic> {
    sheet.characteristics.iter().find(|c| c.number == number)
}

/// Function, value, verdict, what the value is.
pub(super) fn effect_cells(units: Units, e: &FunctionEffect) -> [String; 4] {
    let served = match (e.served, e.limit) {
        (Served::Told, _) | (_, None) => String::new(),
        (served, Some(limit)) => {
            let side = if e.function == PartFunction::Bolts { "at least" } else { "limit" };
            format!("{} ({side} {})", served.word(), bare(units, limit))
        }
    };
    [e.what.clone(), bare(units, e.value), served, e.note.clone()]
}

/// A number of JSON, in mm to a hundred-thousandth.
fn number(value: f64) -> Value {
    fixed(value, 5).parse::<f64>().map_or(Value::Null, Value::from)
}

/// Everything as JSON; lengths in mm.
pub fn figures(
    design: &Design,
    sheet: &MeasuringSheet,
    rules: JudgingRules,
    articles: &[JudgedArticle],
) -> Value {
    let item = |i: &JudgedItem| {
        let c = characteristic(sheet, i.number);
        let limits = c.map(|c| i.found.map_or(c.limits, |found| grown(c, &found))).unwrap_or_default();
        json!({
            "number": i.number,
            "what": c.map(|c| c.what.clone()),
            "characteristic": c.map(Characteristic::words),
            "least_found": i.found.map(|f| number(f.outer[0])),
            "greatest_found": i.found.map(|f| number(f.outer[1])),
            "bonus": i.found.map(|f| number(f.bonus)),
            "uncertainty": i.found.map(|_| number(i.uncertainty)),
            "least": limits.least.map(number),
            "greatest": limits.greatest.map(number),
            "verdict": i.verdict.words(),
        })
    };
    let effect = |e: &FunctionEffect| {
        json!({
            "function": e.what,
            "value": number(e.value),
            "limit": e.limit.map(number),
            "served": (e.served != Served::Told).then(|| e.served.word()),
            "note": e.note,
        })
    };
    let told_value = |v: &ToldValue| json!({"element": sheet.elements[v.element].name, "what": v.kind.words(), "value": number(v.value)});
    let article = |a: &JudgedArticle| {
        let effects = effects(design, sheet, a);
        let overall = OverallVerdict::of(sheet, a, &effects);
        json!({
            "article": a.name,
            "verdict": overall.words(),
            "passes": overall.passes(),
            "characteristics": a.items.iter().map(item).collect::<Vec<_>>(),
            "bolt_pattern": a.evaluation.as_ref().map(|e| json!({
                "play": number(e.pattern.play), "shift": e.pattern.shift.map(number), "turn": fixed(e.pattern.turn.to_degrees(), 5).parse::<f64>().ok(),
            })),
            "function": effects.iter().map(effect).collect::<Vec<_>>(),
            "told": a.evaluation.as_ref().map(|e| told_values(sheet, e)).unwrap_or_default().iter().map(told_value).collect::<Vec<_>>(),
        })
    };
    json!({
        "part": design.name(),
        "lengths": "mm",
        "angles": "degrees",
        "uncertainty_of_a_point": number(rules.of_point),
        "articles": articles.iter().map(article).collect::<Vec<_>>(),
    })
}
