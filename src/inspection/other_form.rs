//! Readings or scans of the raw casting taken for those of the finished part, and the other way round.
//!
//! Neither has to be asked for where it was measured: on a raw casting nearly every surface to be machined stands out of the finished one,
//! and a machined part lies on the finished surfaces where the casting's sheet has stock. Nothing is judged on such readings.

use super::characteristic::{Characteristic, CharacteristicKind, MeasuringSheet};
use super::elements::ElementShape;
use super::evaluation::{DatumElements, PointsOf};
use super::least_squares::{median, middle};
use super::machining::Machining;
use super::placement::{Placement, onto_surfaces, paired};
use super::readings::{ArticleReadings, ProbedPlace, ReadingFault};
use super::scan::ScanFault;
use super::stock::stock;
use crate::words::fixed;
use solidwright::geometry::P3;

/// How far a surface must stand out of the finished one to be taken for unmachined, mm: more than any machining error that a general
/// tolerance lets pass on most faces at once, less than any stock of a casting.
const PROUD: f64 = 0.3;

/// More than any stock, mm; of a diameter read as a size, the share of it that no stock on one side reaches and radii do.
const NO_STOCK: f64 = 15.0;
const NO_STOCK_OF_DIAMETER: f64 = 0.2;

/// Of all surfaces or readings these must say the same, as a share, and so many at least.
const NEARLY_ALL: f64 = 0.75;
const LEAST: usize = 3;

/// Whether enough of them say the same.
fn nearly_all(yes: usize, of: usize) -> bool {
    yes >= LEAST && yes as f64 >= NEARLY_ALL * of as f64
}

/// Tells a raw casting that was measured by the finished part's sheet: nearly every probed surface stands out of the finished one.
/// `placed` are its places in the part's axes as far as its datums could put them there.
pub(super) fn raw_points(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    placed: &PointsOf,
) -> Option<ReadingFault> {
    let confirmed = |e: &usize| article.places.get(e).is_some_and(|all| all.iter().all(|p| p.confirmed));
    // Datum A lies in its own plane, however much stock it has.
    let a = DatumElements::of(sheet).a;
    let by_middles = by_middles(sheet, placed);
    let looked_at: Vec<f64> = placed
        .iter()
        .filter(|(e, _)| Some(**e) != a && !confirmed(e))
        .filter_map(|(e, points)| {
            let out = |by: &Placement| {
                median(points.iter().map(|p| stock(&sheet.elements[*e].shape, by.moved(*p)).0).collect())
            };
            // Where datums of a raw casting lie, its faces lie too: either way of placing it may show its stock.
            let [plain, other] = [out(&Placement::none())?, by_middles.as_ref().and_then(out)?];
            Some(if plain.abs() < other.abs() { plain } else { other })
        })
        .collect();
    told(&looked_at)
}

/// Surfaces that stand out of the finished ones as those of a raw casting do.
struct Unmachined {
    count: usize,
    of: usize,
    /// The stock of the middle one, mm.
    typical: f64,
}

impl Unmachined {
    /// If nearly all of some surfaces stand out by so much.
    fn among(out: &[f64]) -> Option<Self> {
        let proud: Vec<f64> = out.iter().copied().filter(|s| (PROUD..NO_STOCK).contains(s)).collect();
        if !nearly_all(proud.len(), out.len()) {
            return None;
        }
        let count = proud.len();
        Some(Self { count, of: out.len(), typical: median(proud)? })
    }
}

/// The sentence about readings, if nearly all of some surfaces stand out by so much.
fn told(out: &[f64]) -> Option<ReadingFault> {
    let Unmachined { count, of, typical } = Unmachined::among(out)?;
    Some(ReadingFault::whole(format!(
        "{count} of {of} measured surfaces have about {} mm of metal left over the finished size, as before machining: was the raw casting measured? Its readings go with `--form casting`",
        fixed(typical, 1)
    )))
}

/// Tells the scan of a raw casting that was put onto the finished part. `article` are its places on the finished part's sheet. The
/// surfaces that nobody machines have put the scan where it lies, so that its stock stands out of the others.
pub(super) fn raw_scan(sheet: &MeasuringSheet, article: &ArticleReadings) -> Option<ScanFault> {
    let out = |(e, places): (&usize, &Vec<ProbedPlace>)| {
        median(places.iter().map(|p| stock(&sheet.elements[*e].shape, p.at).0).collect())
    };
    let out: Vec<f64> = article.places.iter().filter_map(out).collect();
    let Unmachined { count, of, typical } = Unmachined::among(&out)?;
    Some(ScanFault::RawCasting { count, of, stock: fixed(typical, 1) })
}

/// Tells the scan of a machined part that was put onto the casting. `article` are its places on the casting's sheet.
pub(super) fn machined_scan(machining: &Machining, article: &ArticleReadings) -> Option<ScanFault> {
    let is_machined = |e: &usize| machining.faces.iter().any(|f| f.element == *e);
    let places: PointsOf = article
        .places
        .iter()
        .filter(|(e, _)| is_machined(e))
        .map(|(e, all)| (*e, all.iter().map(|p| p.at).collect()))
        .collect();
    (places.len() >= LEAST && lie_finished(machining, &places, Placement::none()))
        .then_some(ScanFault::Machined(places.len()))
}

/// Where places lie by the middles of their surfaces alone.
fn by_middles(sheet: &MeasuringSheet, placed: &PointsOf) -> Option<Placement> {
    let own: Vec<P3> = placed.values().map(|all| middle(all)).collect();
    let nominal: Vec<P3> = placed.keys().map(|e| sheet.elements[*e].middle).collect();
    paired(&own, &nominal).map(|found| found.by)
}

/// The same of sizes that were read by the finished part's sheet.
pub(super) fn raw_sizes(sheet: &MeasuringSheet, article: &ArticleReadings) -> Option<ReadingFault> {
    let out = |c: &Characteristic| {
        let reading = article.sizes.get(&c.number).filter(|r| !r.confirmed)?;
        let off = reading.value - c.nominal?;
        match (c.kind, c.element.map(|e| sheet.elements[e].shape)) {
            (CharacteristicKind::Diameter, Some(ElementShape::Cylinder { hole, .. })) => {
                let out = if hole { -0.5 * off } else { 0.5 * off };
                // Inches, radii and deviations have messages of their own.
                Some(if out < NO_STOCK_OF_DIAMETER * c.nominal? { out } else { 0.0 })
            }
            (CharacteristicKind::Distance, _) => Some(off),
            _ => None,
        }
    };
    told(&sheet.characteristics.iter().filter_map(out).collect::<Vec<_>>())
}

/// Tells a machined part whose sizes were read by the casting's sheet: nearly all of them are finished sizes.
pub(super) fn finished_sizes(sheet: &MeasuringSheet, article: &ArticleReadings) -> Option<ReadingFault> {
    // Within this share of its stock of the finished size.
    const ON: f64 = 0.25;
    let is_finished: Vec<bool> = sheet
        .finished_sizes
        .iter()
        .filter_map(|(number, finished)| {
            let cast = sheet.characteristics.iter().find(|c| c.number == *number)?.nominal?;
            let reading = article.sizes.get(number).filter(|r| !r.confirmed)?;
            Some((reading.value - finished).abs() < ON * (cast - finished).abs())
        })
        .collect();
    let yes = is_finished.iter().filter(|f| **f).count();
    nearly_all(yes, is_finished.len()).then(|| machined(yes, is_finished.len(), "sizes are"))
}

/// Tells a machined part that was probed by the casting's sheet: its places lie on the finished surfaces far better than on the cast
/// ones. `start` puts them near the part.
pub(super) fn finished_points(
    machining: &Machining,
    places: &PointsOf,
    start: Placement,
) -> Option<ReadingFault> {
    let all = places.len();
    lie_finished(machining, places, start).then(|| machined(all, all, "probed surfaces lie"))
}

/// Whether places lie on the finished surfaces far better than on the cast ones, each as well as a motion of all of them can make it.
fn lie_finished(machining: &Machining, places: &PointsOf, start: Placement) -> bool {
    // Better by this share, and within this share of the stock.
    const BETTER: f64 = 0.5;
    const ON: f64 = 0.25;
    let face = |e: usize| machining.faces.iter().find(|f| f.element == e);
    let flat: Vec<(usize, P3)> =
        places.iter().flat_map(|(e, all)| all.iter().map(move |p| (*e, *p))).collect();
    let own: Vec<P3> = flat.iter().map(|(_, p)| *p).collect();
    // Root mean square distance from the surfaces that lie a share of the planned stock over the finished ones.
    let rest = |share: f64| {
        let off = |k: usize, p: P3| {
            let face = face(flat[k].0)?;
            let (stock, outward) = stock(&face.shape, p);
            Some((stock - share * face.planned, outward, 1.0))
        };
        let by = onto_surfaces(&own, start, off);
        let squares: f64 =
            own.iter().enumerate().filter_map(|(k, p)| off(k, by.moved(*p))).map(|(d, ..)| d * d).sum();
        (squares / own.len().max(1) as f64).sqrt()
    };
    let planned = flat.iter().filter_map(|(e, _)| Some(face(*e)?.planned)).collect();
    let (cast, finished) = (rest(1.0), rest(0.0));
    median(planned).is_some_and(|planned| finished < BETTER * cast && finished < ON * planned)
}

fn machined(yes: usize, of: usize, what: &str) -> ReadingFault {
    ReadingFault::whole(format!(
        "{yes} of {of} {what} at the finished size, where the raw casting has stock to machine off: was the machined part measured? Its readings go with `--form finished`"
    ))
}
