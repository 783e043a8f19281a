//! How far the core lay off the outside in the mould, and what walls between them that leaves.

use std::collections::BTreeMap;

use super::casting_fit::{CoreAt, casting_fit};
use super::characteristic::MeasuringSheet;
use super::elements::MeasuredElement;
use super::machining::Machining;
use super::readings::{ArticleReadings, ReadingFault};
use crate::faces::{Feature, Role, plain_names};
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;
use solidwright::solid::{Finish, Tag};

/// How far the core lies off, across the shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreShift {
    /// At the front end of the cored places, and at their rear end.
    pub ends: [CoreAt; 2],
    /// Whether the cored places reach far enough along the shaft to tell a tilt; else both ends have the mean.
    pub tilt_told: bool,
}

impl CoreShift {
    /// The larger of both ends, mm.
    pub fn most(&self) -> f64 {
        self.ends.iter().map(|e| e.shift[0].value.hypot(e.shift[1].value)).fold(0.0, f64::max)
    }

    /// The shift at a station, mm, and its expanded uncertainty; beyond its ends it goes on straight.
    fn at(&self, station: f64) -> (V3, f64) {
        let [front, rear] = &self.ends;
        let length = rear.station - front.station;
        let share = if self.tilt_told { (station - front.station) / length } else { 0.0 };
        let between = |a: f64, b: f64| a + share * (b - a);
        let [y, z] = [0, 1].map(|k| between(front.shift[k].value, rear.shift[k].value));
        // What both ends may be off at most, if they err together.
        let doubt = |k: usize| {
            (1.0 - share).abs() * front.shift[k].uncertainty + share.abs() * rear.shift[k].uncertainty
        };
        (V3::new(0.0, y, z), doubt(0).max(doubt(1)))
    }
}

/// A wall that stays as cast on both of its sides, between core and outside.
#[derive(Clone, Debug, PartialEq)]
pub struct CastWall {
    /// The core's face, and the one outside.
    pub name: String,
    /// The place on the core's face, in the nominal casting's axes, mm.
    pub at: P3,
    /// The nominal wall there, mm.
    pub planned: f64,
    /// What the core's shift leaves of it, mm.
    pub left: f64,
    /// The expanded uncertainty of that, mm.
    pub uncertainty: f64,
}

/// Whether the core forms an element.
pub(super) fn is_cored(e: &MeasuredElement) -> bool {
    is_of_core(&e.tag)
}

pub(super) fn is_of_core(tag: &Tag) -> bool {
    match (Feature::of(tag), Role::of(tag)) {
        (Feature::Cavity, _) => true,
        (Feature::Tail, role) => matches!(role, Role::BushingSeat | Role::StopBore | Role::SealCounterbore),
        _ => false,
    }
}

/// The core's shift against the outside. `cast` is the exact nominal casting. `None` where too few places of the core, or of the
/// outside, were measured.
///
/// # Errors
/// Readings that cannot be meant.
pub fn core_shift(
    sheet: &MeasuringSheet,
    machining: &Machining,
    cast: &Probe,
    article: &ArticleReadings,
) -> Result<Option<CoreShift>, Vec<ReadingFault>> {
    const LEAST: usize = 12;
    const LONG: f64 = 30.0;
    let count = |cored: bool| -> usize {
        let of = article.places.iter().filter(|(e, _)| is_cored(&sheet.elements[**e]) == cored);
        of.map(|(_, all)| all.len()).sum()
    };
    if count(true) < LEAST || count(false) < LEAST {
        return Ok(None);
    }
    let fit = casting_fit(sheet, machining, cast, article)?;
    let [shift_told, tilt_told] = fit.core_told;
    let long = fit.core[1].station - fit.core[0].station > LONG;
    Ok(shift_told.then_some(CoreShift { ends: fit.core, tilt_told: tilt_told && long }))
}

/// The thinnest wall between core and outside for each pair of faces that stay as cast, thinnest first, as the core's shift leaves them.
pub fn cast_walls(cast: &Probe, core: &CoreShift) -> Vec<CastWall> {
    const SIDE: f64 = 6.0;
    const THICK: f64 = 25.0;
    let stays = |face: usize| cast.brep().faces[face].tag.finish == Finish::Formed;
    let mut thinnest: BTreeMap<String, CastWall> = BTreeMap::new();
    for (_, sample) in cast.small_triangles(SIDE) {
        let tag = &cast.brep().faces[sample.face].tag;
        if !is_of_core(tag) || !stays(sample.face) {
            continue;
        }
        let Some(hit) = cast.wall_by_ray(&sample).filter(|h| h.distance < THICK && stays(h.face)) else {
            continue;
        };
        let other = &cast.brep().faces[hit.face].tag;
        if is_of_core(other) {
            continue;
        }
        let (shift, uncertainty) = core.at(sample.point.x);
        let wall = CastWall {
            name: format!("{} to {}", plain_names::face(tag), plain_names::face(other)),
            at: sample.point,
            planned: hit.distance,
            // The face moves with the core: away from the metal the wall grows.
            left: hit.distance + shift.dot(&sample.outward),
            uncertainty,
        };
        let known = thinnest.entry(wall.name.clone()).or_insert_with(|| wall.clone());
        if wall.left < known.left {
            *known = wall;
        }
    }
    let mut out: Vec<CastWall> = thinnest.into_values().collect();
    out.sort_by(|a, b| a.left.total_cmp(&b.left));
    out
}
