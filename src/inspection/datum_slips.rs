//! Slips at datum points: one of them turns and moves all the other points, so that these seem astray. What is told are the slips
//! themselves: the points at fault once the one or two datum points are left out that put most of the others astray.

use super::characteristic::MeasuringSheet;
use super::evaluation::{DatumElements, PointsOf};
use super::plausible::{ASTRAY, astray, by_datums, from_own_fit};
use super::readings::{ArticleReadings, ReadingFault};

/// Datum points that are tried, two at once; of more, those that stand off their own surface most.
const TRIED: usize = 40;

/// A datum point: its element, and its place in the element's list.
type DatumPoint = (usize, usize);

/// The points that lie astray once the datum points at fault are left out; none where leaving out no one or two helps.
pub(super) fn told(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    raw: &PointsOf,
) -> Option<Vec<ReadingFault>> {
    let all = suspects(sheet, raw);
    let singles = all.iter().map(|one| vec![*one]);
    let pairs =
        all.iter().enumerate().flat_map(|(k, one)| all[k + 1..].iter().map(move |other| vec![*one, *other]));
    let tried = |left_out: Vec<DatumPoint>| {
        let few = without(sheet, article, raw, &left_out)?;
        // What was left out without being astray afterwards was sound.
        (few.len() >= left_out.len()).then_some(few)
    };
    let fewest = |found: &mut dyn Iterator<Item = Vec<ReadingFault>>| found.min_by_key(Vec::len);
    let one = fewest(&mut singles.filter_map(tried));
    // A single slip explains itself; two are looked for only where it does not.
    if one.as_ref().is_some_and(|few| few.len() == 1) {
        return one;
    }
    let two = fewest(&mut pairs.filter_map(tried));
    [one, two].into_iter().flatten().filter(|few| !few.is_empty()).min_by_key(Vec::len)
}

/// Points of the datums, those first that stand off their own surface most.
fn suspects(sheet: &MeasuringSheet, raw: &PointsOf) -> Vec<DatumPoint> {
    let DatumElements { a, b, c, .. } = DatumElements::of(sheet);
    let mut all: Vec<(f64, DatumPoint)> = Vec::new();
    for element in [a, b, c].into_iter().flatten() {
        let Some(points) = raw.get(&element) else { continue };
        // A rough surface of its own: the nominal one says nothing where the part lies anywhere.
        let off = from_own_fit(&sheet.elements[element].shape, points);
        all.extend(off.iter().enumerate().map(|(k, d)| (d.abs(), (element, k))));
    }
    all.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
    all.truncate(TRIED);
    all.into_iter().map(|(_, at)| at).collect()
}

/// The points astray when the datums are taken without some of their points.
fn without(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    raw: &PointsOf,
    left_out: &[DatumPoint],
) -> Option<Vec<ReadingFault>> {
    let kept = |element: usize| {
        let points = raw[&element].iter().enumerate();
        points.filter(|(k, _)| !left_out.contains(&(element, *k))).map(|(_, p)| *p).collect()
    };
    let others: PointsOf = raw.keys().map(|e| (*e, kept(*e))).collect();
    let frame = by_datums(sheet, &others)?;
    let placed = raw.iter().map(|(e, all)| (*e, all.iter().map(|p| frame.local(*p)).collect())).collect();
    Some(astray(sheet, article, &placed, ASTRAY))
}
