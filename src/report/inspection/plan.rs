//! The measuring sheet: what to set up, what to measure, with room for the readings.

use super::judgement::places_unjudged;
use crate::cautions;
use crate::design::{Design, Form};
use crate::inspection::{
    Characteristic, CharacteristicKind, ElementShape, Material, MeasuredElement, MeasuringSheet, ProbePlan,
    RuleOfTen, STYLUS, Suggestion, suggestion,
};
use crate::report::document::{Block, Chapter, Column, Document, Fact, Paper, TextCell, TextTable};
use crate::report::sheet;
use crate::units::{Mm, Units};
use crate::words::counted;

/// The sheet of a form. `steps` say how the part is set up; `hash` is the SHA-256 of the parameter file.
pub fn document(
    design: &Design,
    form: Form,
    plan: &MeasuringSheet,
    points: &ProbePlan,
    steps: Vec<String>,
    hash: &str,
) -> Document {
    let units = design.units();
    let lead = "What is measured, between which limits, with what; with room for the readings. For the inspector. The numbers are those of the drawing.";
    let mut head = vec![
        Fact::new(
            "Article",
            "no. ________   heat or cast date ________   measured by ________   date ________",
        ),
        Fact::new("Lengths", format!("{}, at 20 °C", units.words())),
        Fact::new("Readings", "write them here, or fill in the CSV file of the same name and have it judged"),
    ];
    head.extend(places_unjudged(design, plan).map(|note| Fact::new("Not judged", note)));
    let chapters = vec![
        Chapter::new("Article", [Block::Facts(head)]),
        Chapter::new("Set up, and indicate first", [Block::Steps(steps)]),
        Chapter::new("Characteristics", [Block::Table(characteristics(units, plan))]),
        Chapter::new("Instruments that are short of four to one", [Block::List(short(units, plan))]),
        Chapter::new("Coordinate machine", [Block::List(machine(units, plan, points))]),
        Chapter::new(
            "Cautions",
            [Block::Cautions(cautions::of_sheet(form).iter().map(|c| (*c).to_owned()).collect())],
        ),
    ];
    Document {
        title: format!("{}: measuring sheet, {}", design.name(), sheet::name(form)),
        lead: lead.to_owned(),
        paper: Paper::of(units),
        chapters: chapters.into_iter().filter(|c: &Chapter| !c.blocks.is_empty()).collect(),
        foot: format!("tailpattern {}; parameter file sha256 {hash}", env!("CARGO_PKG_VERSION")),
    }
}

/// A length as a bare number of the sheet's unit, to a ten-thousandth.
pub(super) fn bare(units: Units, mm: f64) -> String {
    units.bare(Mm::new((mm * 1e4).round() / 1e4))
}

/// A value of a characteristic: a length in the sheet's unit, or an angle with its sign.
pub(super) fn valued(units: Units, c: &Characteristic, value: f64) -> String {
    match c.kind {
        CharacteristicKind::HalfAngle => format!("{}°", degrees(value)),
        _ => bare(units, value),
    }
}

/// An angle in degrees to a thousandth, without noughts at its end.
pub(super) fn degrees(value: f64) -> String {
    Units::Mm.bare(Mm::new((value * 1e3).round() / 1e3))
}

/// Numbers of one row with as many decimals each, so that they can be compared at a glance; what is no number stays.
pub(super) fn with_equal_decimals<const N: usize>(texts: [String; N]) -> [String; N] {
    let number = |text: &str| text.trim_end_matches('°').parse::<f64>().is_ok();
    let decimals =
        |text: &str| text.trim_end_matches('°').split_once('.').map_or(0, |(_, after)| after.len());
    let most = texts.iter().filter(|t| number(t)).map(|t| decimals(t)).max().unwrap_or(0);
    texts.map(|text| {
        if !number(&text) {
            return text;
        }
        let (bare, sign) = text.strip_suffix('°').map_or((text.as_str(), ""), |bare| (bare, "°"));
        let point = if decimals(bare) == 0 && most > 0 { "." } else { "" };
        format!("{bare}{point}{}{sign}", "0".repeat(most - decimals(bare)))
    })
}

/// What the drawing's box says, in words.
fn limits(units: Units, c: &Characteristic) -> [String; 2] {
    match &c.kind {
        CharacteristicKind::Geometric(t) => {
            let round = if t.round { "Ø " } else { "" };
            let material = if t.material == Material::Maximum { " at MMC" } else { "" };
            ["0".to_owned(), format!("{round}{}{material}", bare(units, t.zone))]
        }
        CharacteristicKind::Thread => ["go".to_owned(), "no-go".to_owned()],
        _ => [c.limits.least, c.limits.greatest].map(|l| l.map_or("ask".to_owned(), |l| valued(units, c, l))),
    }
}

fn characteristics(units: Units, plan: &MeasuringSheet) -> TextTable {
    let has_datums = plan.characteristics.iter().any(|c| !c.datums().is_empty());
    let row = |c: &Characteristic| {
        let [least, greatest] = limits(units, c);
        let nominal = match c.kind {
            CharacteristicKind::Geometric(_) | CharacteristicKind::Thread => String::new(),
            _ => c.nominal.map_or(String::new(), |n| valued(units, c, n)),
        };
        // A zone begins at a bare nought.
        let [nominal, least, greatest] = match c.kind {
            CharacteristicKind::Geometric(_) => [nominal, least, greatest],
            _ => with_equal_decimals([nominal, least, greatest]),
        };
        let measured = suggestion(plan, c);
        let mut row = vec![
            TextCell::from(c.number.to_string()),
            format!("{}: {}", c.what, c.words()).into(),
            nominal.into(),
            least.into(),
            greatest.into(),
        ];
        if has_datums {
            row.push(c.datum_letters().into());
        }
        row.extend([told(&measured).into(), "\u{a0}________".into()]);
        row
    };
    let sources: std::collections::BTreeSet<&str> = plan
        .characteristics
        .iter()
        .filter(|c| c.kind != CharacteristicKind::Thread)
        .map(|c| c.source.as_str())
        .collect();
    let mut columns = vec![
        Column::numbers("no."),
        Column::words("where and what"),
        Column::numbers("nominal"),
        Column::numbers("least"),
        Column::numbers("greatest"),
    ];
    if has_datums {
        columns.push(Column::words("datums"));
    }
    columns.extend([Column::words("instrument, ratio"), Column::words("reading")]);
    TextTable {
        caption: format!("{}, {}", counted(plan.characteristics.len(), "characteristic"), units.words()),
        columns,
        rows: plan.characteristics.iter().map(row).collect(),
        notes: vec![
            "Ratio: width of the tolerance over twice the instrument's expanded uncertainty (k = 2, common practice).".to_owned(),
            format!("Limits from: {}.", sources.into_iter().collect::<Vec<_>>().join("; ")),
        ],
    }
}

/// An instrument with its ratio.
fn told(s: &Suggestion) -> String {
    match s.ratio {
        Some(ratio) if ratio >= 10.0 => format!("{}, {ratio:.0}:1", s.gauge.words()),
        Some(ratio) => format!("{}, {ratio:.1}:1", s.gauge.words()),
        None => s.gauge.words().to_owned(),
    }
}

/// Characteristics for which no listed instrument keeps four to one.
fn short(units: Units, plan: &MeasuringSheet) -> Vec<String> {
    let row = |c: &Characteristic| {
        let s = suggestion(plan, c);
        (s.rule() == Some(RuleOfTen::Less)).then(|| {
            format!(
                "{}, {}: {} is the best here, with ±{}. Within that of a limit nothing can be decided; measure it better, or agree it with whoever drew it.",
                c.number,
                c.what,
                s.gauge.words(),
                valued(units, c, s.uncertainty)
            )
        })
    };
    plan.characteristics.iter().filter_map(row).collect()
}

/// What the coordinate machine's operator must know.
fn machine(units: Units, plan: &MeasuringSheet, points: &ProbePlan) -> Vec<String> {
    let [ball, stem, length] = [2.0 * STYLUS.ball, 2.0 * STYLUS.stem, STYLUS.length].map(|x| bare(units, x));
    let mut out = vec![format!(
        "{} on the exact faces, with normals, in the CSV file: for a straight stylus, ball {ball}, stem {stem}, {length} long. Each point gives the direction in which the stylus points back, as a vector and by its angles to the part's axes X (aft), Y (right) and Z (up).",
        counted(points.points.len(), "point")
    )];
    let names: Vec<&str> = points.out_of_reach.iter().map(|e| plan.elements[*e].shown.as_str()).collect();
    if !names.is_empty() {
        out.push(format!("Not reached by that stylus, so to be measured otherwise: {}.", names.join(", ")));
    }
    let short = reached_in_part(units, plan, points);
    if !short.is_empty() {
        out.push(format!(
            "Reached over a part of their length only, so that points tell little of their direction; take a longer stylus or a pin: {}.",
            short.join(", ")
        ));
    }
    out
}

/// Bores that are probed over less than this share of their length.
const PART: f64 = 0.4;

fn reached_in_part(units: Units, plan: &MeasuringSheet, points: &ProbePlan) -> Vec<String> {
    let of = |(index, element): (usize, &MeasuredElement)| {
        let ElementShape::Cylinder { point, axis, span, .. } = element.shape else { return None };
        // A short one stands square to datum A, and its own direction does not count.
        if !element.shape.tells_direction() {
            return None;
        }
        let along = points.points.iter().filter(|p| p.element == index).map(|p| (p.point - point).dot(&axis));
        let [from, to] =
            along.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], t| [low.min(t), high.max(t)]);
        (from <= to && to - from < PART * span.length()).then(|| {
            format!("{} ({} of {})", element.shown, bare(units, to - from), bare(units, span.length()))
        })
    };
    plan.elements.iter().enumerate().filter_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::with_equal_decimals;

    /// By hand: whole numbers get a point and noughts, words stay, degrees keep their sign.
    #[test]
    fn numbers_of_a_row_have_equal_decimals() {
        let even = |texts: [&str; 3]| with_equal_decimals(texts.map(str::to_owned));
        assert_eq!(even(["11", "11", "11.27"]), ["11.00", "11.00", "11.27"]);
        assert_eq!(even(["", "0", "Ø 0.4 at MMC"]), ["", "0", "Ø 0.4 at MMC"]);
        assert_eq!(even(["15°", "14.5°", "-16°"]), ["15.0°", "14.5°", "-16.0°"]);
    }
}
