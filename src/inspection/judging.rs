//! From readings to verdicts.

use super::characteristic::{Characteristic, CharacteristicKind, Material, MeasuringSheet};
use super::evaluation::{AxisRule, Evaluation, Found, PointsOf, evaluate};
use super::instruments::{Gauge, suggestion};
use super::other_form;
use super::plausible;
use super::readings::{ArticleReadings, ReadingFault};
use super::uncertainty::{Doubts, doubts};
use super::verdict::{ItemVerdict, JudgedItem, verdict};
use crate::design::Design;

/// How readings are judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JudgingRules {
    /// How the axes of holes are taken.
    pub axes: AxisRule,
    /// Expanded uncertainty of a probed point, mm.
    pub of_point: f64,
}

impl JudgingRules {
    /// The rules of a design's standard, and a point's uncertainty on a coordinate machine in a workshop.
    pub fn of(design: &Design) -> Self {
        let of_point = Gauge::CoordinateMachine.uncertainty(design.overall_length().get());
        Self { axes: AxisRule::of(design.units()), of_point }
    }
}

/// A judged article.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedArticle {
    /// Its name.
    pub name: String,
    /// Its characteristics, in the order of their numbers.
    pub items: Vec<JudgedItem>,
    /// What its points gave, where there are any.
    pub evaluation: Option<Evaluation>,
    /// How uncertain that is.
    pub doubts: Doubts,
}

impl JudgedArticle {
    /// The verdict on the whole: its worst one.
    pub fn verdict(&self) -> ItemVerdict {
        self.items.iter().map(|i| i.verdict).min().unwrap_or(ItemVerdict::NotMeasured)
    }

    /// The value of a characteristic.
    pub fn found(&self, number: usize) -> Option<&JudgedItem> {
        self.items.iter().find(|i| i.number == number)
    }
}

/// Judges an article.
///
/// # Errors
/// Why its readings cannot be judged, with their lines.
pub fn judge(
    sheet: &MeasuringSheet,
    rules: JudgingRules,
    name: &str,
    article: &ArticleReadings,
) -> Result<JudgedArticle, Vec<ReadingFault>> {
    let other = other_form::raw_sizes(sheet, article).or_else(|| other_form::finished_sizes(sheet, article));
    if let Some(fault) = other {
        return Err(vec![fault]);
    }
    let mut faults = plausible::sizes(sheet, article);
    let points = match plausible::aligned(sheet, article) {
        Ok(points) => points,
        Err(more) => {
            faults.extend(more);
            PointsOf::new()
        }
    };
    if !faults.is_empty() {
        faults.sort_by_key(|f| f.line);
        return Err(faults);
    }
    let told = |fault: super::evaluation::FitFault| vec![ReadingFault::whole(fault.to_string())];
    let (evaluation, uncertain) = if points.is_empty() {
        (None, Doubts::new())
    } else {
        let found = evaluate(sheet, rules.axes, &points).map_err(told)?;
        let uncertain = doubts(sheet, rules.axes, &points, &found, rules.of_point).map_err(told)?;
        (Some(found), uncertain)
    };
    let item = |c: &Characteristic| item(sheet, article, evaluation.as_ref(), &uncertain, c);
    let items = sheet.characteristics.iter().map(item).collect();
    Ok(JudgedArticle { name: name.to_owned(), items, evaluation, doubts: uncertain })
}

/// A reading goes before what points give; a gauge speaks for itself.
fn item(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    evaluation: Option<&Evaluation>,
    uncertain: &Doubts,
    c: &Characteristic,
) -> JudgedItem {
    let none =
        JudgedItem { number: c.number, found: None, uncertainty: 0.0, verdict: ItemVerdict::NotMeasured };
    if let Some(went) = article.gauges.get(&c.number) {
        let verdict = if *went { ItemVerdict::Conforms } else { ItemVerdict::DoesNotConform };
        return JudgedItem { verdict, ..none };
    }
    let by_reading = article.sizes.get(&c.number).map(|reading| {
        let bonus = read_bonus(sheet, article, c);
        let found = Found { bonus, ..Found::between([reading.value; 2]) };
        (found, reading.uncertainty.unwrap_or_else(|| suggestion(sheet, c).uncertainty))
    });
    let by_points = || {
        let found = evaluation?.found.get(&c.number)?;
        let doubt = uncertain.get(&c.number)?;
        let found = found.allowing_for(doubt.bias);
        Some((found, doubt.expanded))
    };
    match by_reading.or_else(by_points) {
        Some((found, uncertainty)) => {
            let verdict = verdict(c, &found, uncertainty);
            JudgedItem { found: Some(found), uncertainty, verdict, ..none }
        }
        None => none,
    }
}

/// The bonus of a position that was read, by the diameter that was read of the same hole: less its uncertainty, since it widens
/// the tolerance.
fn read_bonus(sheet: &MeasuringSheet, article: &ArticleReadings, c: &Characteristic) -> f64 {
    let CharacteristicKind::Geometric(t) = &c.kind else { return 0.0 };
    if t.material == Material::Regardless {
        return 0.0;
    }
    let is_size = |d: &&Characteristic| d.element == c.element && d.kind == CharacteristicKind::Diameter;
    let Some(size) = sheet.characteristics.iter().find(is_size) else { return 0.0 };
    let grown = article.sizes.get(&size.number).zip(size.limits.least).map(|(reading, least)| {
        let uncertainty = reading.uncertainty.unwrap_or_else(|| suggestion(sheet, size).uncertainty);
        reading.value - least - uncertainty
    });
    grown.unwrap_or(0.0).max(0.0)
}
