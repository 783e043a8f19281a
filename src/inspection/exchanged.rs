//! Elements whose points stand under each other's names: each is told once, not point by point.

use super::characteristic::MeasuringSheet;
use super::elements::ElementShape;
use super::evaluation::{DatumElements, PointsOf};
use super::plausible::{ASTRAY, astray, near_part, off};
use super::readings::{ArticleReadings, ReadingFault};
use solidwright::geometry::P3;

/// What is said of elements whose points lie on others; none where there are none such.
pub(super) fn told(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    raw: &PointsOf,
    placed: &PointsOf,
) -> Option<Vec<ReadingFault>> {
    // A datum that is exchanged turns all the others.
    let found = match with_datum(sheet, article, raw, placed) {
        Some((c, other)) => vec![(c, other), (other, c)],
        None => elsewhere(sheet, placed),
    };
    (!found.is_empty()).then(|| found.into_iter().map(|(e, other)| fault(sheet, article, e, other)).collect())
}

fn fault(sheet: &MeasuringSheet, article: &ArticleReadings, element: usize, other: usize) -> ReadingFault {
    let [name, lies_on] = [element, other].map(|e| &sheet.elements[e].name);
    let line = article.places[&element].first().map_or(0, |p| p.line);
    ReadingFault::at(
        line,
        format!("{name}: its points lie on {lies_on}: are the names of two elements exchanged?"),
    )
}

fn all_on(shape: &ElementShape, points: &[P3]) -> bool {
    !points.is_empty() && points.iter().all(|p| off(shape, *p) <= ASTRAY)
}

/// Elements none of whose points lie on them, with the probed element of the same kind on which all of them do.
fn elsewhere(sheet: &MeasuringSheet, placed: &PointsOf) -> Vec<(usize, usize)> {
    let of = |(e, points): (&usize, &Vec<P3>)| {
        let own = &sheet.elements[*e].shape;
        if points.iter().any(|p| off(own, *p) <= ASTRAY) {
            return None;
        }
        // Holes lie in one place only; a plane has room for the points of others.
        let holds = |f: &&usize| {
            let shape = &sheet.elements[**f].shape;
            matches!((own, shape), (ElementShape::Cylinder { .. }, ElementShape::Cylinder { .. }))
                && all_on(shape, points)
        };
        placed.keys().filter(|f| *f != e).find(holds).map(|f| (*e, *f))
    };
    placed.iter().filter_map(of).collect()
}

/// Datum C exchanged with another hole turns the whole part: the hole with which exchanging it back puts every point in place.
fn with_datum(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    raw: &PointsOf,
    placed: &PointsOf,
) -> Option<(usize, usize)> {
    let c = DatumElements::of(sheet).c?;
    let on_c = raw.get(&c)?;
    if astray(sheet, article, placed, ASTRAY).is_empty() {
        return None;
    }
    let puts_right = |other: &usize| {
        let mut back = raw.clone();
        back.insert(c, raw[other].clone());
        back.insert(*other, on_c.clone());
        near_part(sheet, &back)
            .iter()
            .all(|(e, points)| points.iter().all(|p| off(&sheet.elements[*e].shape, *p) <= ASTRAY))
    };
    let is_round = |e: &&usize| matches!(sheet.elements[**e].shape, ElementShape::Cylinder { .. });
    raw.keys().filter(|e| **e != c).filter(is_round).find(|e| puts_right(e)).map(|e| (c, *e))
}
