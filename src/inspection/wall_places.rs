//! Where machining leaves a thin wall: places on faces that stay as cast, with a machined face behind them.
//!
//! They are probed on the raw casting together with the faces to be machined, so that the set-up that evens out the stock does not take
//! it from a wall. A place counts if the way from it to the finished surface runs through metal of the finished part all along.

use std::collections::BTreeMap;

use super::characteristic::MeasuringSheet;
use super::elements::{ElementShape, MeasuredElement};
use super::stock::stock;
use crate::checks::Limits;
use crate::design::Design;
use crate::faces::plain_names;
use solidwright::geometry::P3;
use solidwright::probe::{Probe, Sample};
use solidwright::solid::Finish;

/// A place that is probed for the wall behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct WallPlace {
    /// The element as cast, by its place in the sheet's list.
    pub element: usize,
    /// The place on the nominal casting, mm.
    pub at: P3,
    /// The finished surface on the wall's other side.
    pub machined: ElementShape,
    /// The name of that surface.
    pub machined_name: String,
    /// The wall that the nominal casting leaves, mm.
    pub planned: f64,
    /// The least wall, mm.
    pub least: f64,
}

/// Walls thicker than this, mm, are in no danger.
const THICK: f64 = 8.0;

/// Side of the parts of faces that are tried, mm.
const GRAIN: f64 = 6.0;

/// How much metal the casting may have before the finished part's own face: draft and rounded edges, mm.
const DRAFT: f64 = 2.5;

/// Places for each pair of faces, and how much thicker than the thinnest their walls may be, mm.
const PLACES: usize = 3;
const THINNEST: f64 = 1.0;

/// Adds the places of a casting to its sheet, with their faces as elements.
pub(super) fn add_wall_places(
    sheet: &mut MeasuringSheet,
    finished: &MeasuringSheet,
    part: &Probe,
    cast: &Probe,
    design: &Design,
) {
    let least = Limits::of(design).machined_wall.value;
    let mut found: BTreeMap<(String, usize), Vec<(f64, Sample)>> = BTreeMap::new();
    for (_, sample) in cast.small_triangles(GRAIN) {
        let tag = &cast.brep().faces[sample.face].tag;
        if tag.finish != Finish::Formed {
            continue;
        }
        for (k, machined) in finished.elements.iter().enumerate() {
            if let Some(wall) = wall(part, machined, &sample, &tag.to_string()) {
                found.entry((tag.to_string(), k)).or_default().push((wall, sample));
            }
        }
    }
    for ((_, machined), places) in found {
        for (planned, sample) in thinnest(places) {
            let element = element_of(sheet, cast, &sample);
            let machined = &finished.elements[machined];
            sheet.walls.push(WallPlace {
                element,
                at: sample.point,
                machined: machined.shape,
                machined_name: machined.shown.clone(),
                planned,
                least: least.min(planned),
            });
        }
    }
}

/// The wall between a place as cast and a machined surface, mm, if there is one.
fn wall(part: &Probe, machined: &MeasuredElement, sample: &Sample, tag: &str) -> Option<f64> {
    const ON: f64 = 0.05;
    let (stock, outward) = stock(&machined.shape, sample.point);
    let wall = -stock;
    if !(0.0..=THICK).contains(&wall) || outward.dot(&sample.outward) > -0.5 {
        return None;
    }
    let foot = sample.point + outward * wall;
    part.nearest(foot, |f| machined.faces.contains(&f), ON)?;
    let hit = part.ray(foot, -outward, machined.faces.iter().copied().find(|f| on(part, *f, foot)))?;
    let same = part.brep().faces[hit.face].tag.to_string() == tag;
    (same && hit.distance > wall - DRAFT && hit.distance < wall + DRAFT).then_some(wall)
}

/// Whether a place lies on a face.
fn on(part: &Probe, face: usize, p: P3) -> bool {
    const ON: f64 = 0.05;
    part.nearest(p, |f| f == face, ON).is_some()
}

/// The thinnest places, apart from each other.
fn thinnest(mut places: Vec<(f64, Sample)>) -> Vec<(f64, Sample)> {
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(first) = places.first().map(|p| p.0) else { return vec![] };
    places.retain(|p| p.0 < first + THINNEST);
    let mut out: Vec<(f64, Sample)> = Vec::new();
    while out.len() < PLACES {
        let far =
            |p: &Sample| out.iter().map(|(_, o)| (o.point - p.point).norm()).fold(f64::INFINITY, f64::min);
        // The thinnest first, then what lies farthest from those chosen.
        let next = places.iter().copied().reduce(|a, b| if far(&b.1) > far(&a.1) + 1e-9 { b } else { a });
        match next.filter(|(_, p)| far(p) > GRAIN) {
            Some(next) => out.push(next),
            None => break,
        }
    }
    out
}

/// The element of the face of a place; it is added if it is not there yet.
pub(super) fn element_of(sheet: &mut MeasuringSheet, cast: &Probe, sample: &Sample) -> usize {
    let tag = &cast.brep().faces[sample.face].tag;
    let name = tag.to_string();
    if let Some(known) = sheet.elements.iter().position(|e| e.name == name) {
        let faces = &mut sheet.elements[known].faces;
        if !faces.contains(&sample.face) {
            faces.push(sample.face);
        }
        return known;
    }
    sheet.elements.push(MeasuredElement {
        name,
        shown: plain_names::face(tag),
        tag: tag.clone(),
        faces: vec![sample.face],
        shape: ElementShape::Drafted { point: sample.point, outward: sample.outward },
        middle: sample.point,
    });
    sheet.elements.len() - 1
}
