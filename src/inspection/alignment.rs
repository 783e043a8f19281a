//! Where a raw casting lies: its probed places are put onto the nominal casting, wherever it was measured.
//!
//! First the middles of its faces are put onto the nominal middles, which needs no start and tells inches and mirrored axes; then all
//! places onto their surfaces by least squares.

use std::collections::BTreeMap;

use super::characteristic::MeasuringSheet;
use super::evaluation::PointsOf;
use super::least_squares::middle;
use super::machining::Machining;
use super::other_form;
use super::placement::{Paired, Placement, onto_surfaces, paired};
use super::plausible;
use super::probing::least_points;
use super::readings::{ArticleReadings, CONFIRMED, ReadingFault};
use super::stock::stock;
use crate::units::MM_PER_INCH;
use crate::words::fixed;
use solidwright::geometry::{P3, V3};

/// How far a raw casting's place may lie from its nominal one before it is taken for a slip, mm.
const ASTRAY: f64 = 8.0;

/// How far a place may stand off the surface through its neighbours, mm: a casting is rough.
const OUTLIER: f64 = 1.5;

/// How near a place must come to one of the wall places to be that, mm.
const SAME_PLACE: f64 = 8.0;

/// Readings of a casting, as measured, and where it lies.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Aligned {
    /// From the axes of the readings to the part's, by the best fit onto the nominal casting.
    pub(super) by: Placement,
    /// Places on faces to be machined, by element, as measured.
    pub(super) places: PointsOf,
    /// Places that were probed for a wall: its number, and the place as measured.
    pub(super) walls: Vec<(usize, P3)>,
}

/// Puts an article's places onto the nominal casting.
///
/// # Errors
/// Places that cannot be meant, with their lines, or too few.
pub(super) fn aligned(
    sheet: &MeasuringSheet,
    machining: &Machining,
    article: &ArticleReadings,
) -> Result<Aligned, Vec<ReadingFault>> {
    let machined = |e: &usize| machining.faces.iter().find(|f| f.element == *e);
    let places: PointsOf = article
        .places
        .iter()
        .filter(|(e, _)| machined(e).is_some())
        .map(|(e, all)| (*e, all.iter().map(|p| p.at).collect()))
        .collect();
    too_few(sheet, article, &places)?;
    let start = by_middles(sheet, &places)?;
    if let Some(fault) = other_form::finished_points(machining, &places, start.by) {
        return Err(vec![fault]);
    }
    let flat: Vec<(usize, P3)> =
        places.iter().flat_map(|(e, all)| all.iter().map(move |p| (*e, *p))).collect();
    let own: Vec<P3> = flat.iter().map(|(_, p)| *p).collect();
    let by = onto_surfaces(&own, start.by, |k, p| {
        let face = machined(&flat[k].0)?;
        let (stock, outward) = stock(&face.shape, p);
        Some((stock - face.planned, outward, 1.0))
    });
    let placed: PointsOf =
        places.iter().map(|(e, all)| (*e, all.iter().map(|p| by.moved(*p)).collect())).collect();
    let mut faults = astray(sheet, machining, article, &placed);
    if faults.is_empty() {
        faults = plausible::outliers(sheet, article, &placed, OUTLIER);
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Aligned { by, walls: walls(sheet, article, &by), places })
}

fn too_few(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    places: &PointsOf,
) -> Result<(), Vec<ReadingFault>> {
    let few = |(e, points): (&usize, &Vec<P3>)| {
        let element = &sheet.elements[*e];
        let least = least_points(&element.shape);
        let line = article.places[e].first().map_or(0, |p| p.line);
        let text =
            format!("{}: {} points; it needs {least}, spread over the surface", element.name, points.len());
        (points.len() < least).then(|| ReadingFault::at(line, text))
    };
    let faults: Vec<ReadingFault> = places.iter().filter_map(few).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    if places.len() < 4 {
        let text = format!(
            "{} faces to be machined are probed: at least four are needed to set the casting up, among them faces opposite each other",
            places.len()
        );
        return Err(vec![ReadingFault::whole(text)]);
    }
    Ok(())
}

/// The motion by the middles of the faces; inches and mirrored axes are told.
fn by_middles(sheet: &MeasuringSheet, places: &PointsOf) -> Result<Paired, Vec<ReadingFault>> {
    const MIRRORED: f64 = 3.0;
    let own: Vec<P3> = places.values().map(|all| middle(all)).collect();
    let nominal: Vec<P3> = places.keys().map(|e| sheet.elements[*e].middle).collect();
    let told = |text: &str| vec![ReadingFault::whole(text)];
    let found = paired(&own, &nominal)
        .ok_or_else(|| told("the probed faces lie in one line: probe pads and bosses, too"))?;
    let near = |wanted: f64| (found.scale / wanted - 1.0).abs() < 0.15;
    if near(MM_PER_INCH) {
        return Err(told("the points are in inches under columns in millimetres: put the columns right"));
    }
    if near(1.0 / MM_PER_INCH) {
        return Err(told("the points are in millimetres under columns in inches: put the columns right"));
    }
    if found.rest > MIRRORED * found.rest_mirrored.max(1.0) {
        return Err(told(
            "the axes are left-handed: one of them is mirrored, or two are swapped: put the columns right",
        ));
    }
    Ok(found)
}

/// Places too far off the nominal casting.
fn astray(
    sheet: &MeasuringSheet,
    machining: &Machining,
    article: &ArticleReadings,
    placed: &PointsOf,
) -> Vec<ReadingFault> {
    let mut out = Vec::new();
    for face in &machining.faces {
        let Some(points) = placed.get(&face.element) else { continue };
        for (place, p) in article.places[&face.element].iter().zip(points) {
            let off = (stock(&face.shape, *p).0 - face.planned).abs();
            if off > ASTRAY && !place.confirmed {
                let text = format!(
                    "{}: this point lies {} mm from the nominal casting: probe it again, or write `{CONFIRMED}` as its remark",
                    sheet.elements[face.element].name,
                    fixed(off, 2)
                );
                out.push(ReadingFault::at(place.line, text));
            }
        }
    }
    out
}

/// Which wall each place on a face as cast stands for.
fn walls(sheet: &MeasuringSheet, article: &ArticleReadings, by: &Placement) -> Vec<(usize, P3)> {
    let mut by_element: BTreeMap<usize, Vec<(usize, P3)>> = BTreeMap::new();
    for (k, wall) in sheet.walls.iter().enumerate() {
        by_element.entry(wall.element).or_default().push((k, wall.at));
    }
    let mut out = Vec::new();
    for (element, walls) in by_element {
        for place in article.places.get(&element).into_iter().flatten() {
            let at = by.moved(place.at);
            let off = |w: &(usize, P3)| -> f64 { V3::norm(&(at - w.1)) };
            // One place may have walls to several machined faces.
            let nearest = walls.iter().map(&off).fold(f64::INFINITY, f64::min);
            let near = walls.iter().filter(|w| off(w) < (nearest + 1e-3).min(SAME_PLACE));
            out.extend(near.map(|w| (w.0, place.at)));
        }
    }
    out
}
