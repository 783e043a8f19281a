//! How far the core lay off the outside in the mould: places that the core formed are put onto the nominal casting apart from those that
//! the mould formed.

use super::characteristic::MeasuringSheet;
use super::elements::MeasuredElement;
use super::least_squares::middle;
use super::placement::{Placement, onto_surfaces};
use super::readings::ArticleReadings;
use crate::faces::{Feature, Role};
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// How far the core lies off, mm, across the shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreShift {
    /// At the front, at X 0: to the right, and up.
    pub front: [f64; 2],
    /// At the rear end of the cored places: its station, and the shift.
    pub rear: (f64, [f64; 2]),
    /// Whether the cored places reach far enough along the shaft to tell a tilt; else both ends have the mean.
    pub tilt_told: bool,
}

impl CoreShift {
    /// The larger of both ends, mm: walls between core and outside are thinner by up to that, and thicker on the other side.
    pub fn most(&self) -> f64 {
        let size = |[y, z]: [f64; 2]| y.hypot(z);
        size(self.front).max(size(self.rear.1))
    }
}

/// Whether the core forms an element.
fn is_cored(e: &MeasuredElement) -> bool {
    match (Feature::of(&e.tag), e.face_role()) {
        (Feature::Cavity, _) => true,
        (Feature::Tail, role) => matches!(role, Role::BushingSeat | Role::StopBore | Role::SealCounterbore),
        _ => false,
    }
}

/// The core's shift against the outside. `cast` is the exact nominal casting, `by` puts the places onto it. `None` where too few places
/// of the core, or of the outside, were measured.
pub fn core_shift(
    sheet: &MeasuringSheet,
    cast: &Probe,
    by: &Placement,
    article: &ArticleReadings,
) -> Option<CoreShift> {
    const LEAST: usize = 12;
    const LONG: f64 = 30.0;
    let formed = |cored: bool| {
        let of = article.places.iter().filter(|(e, _)| is_cored(&sheet.elements[**e]) == cored);
        of.flat_map(|(e, all)| all.iter().map(|p| (*e, p.at))).collect::<Vec<(usize, P3)>>()
    };
    let (core, outside) = (formed(true), formed(false));
    if core.len() < LEAST || outside.len() < LEAST {
        return None;
    }
    // Stock of cored bores is their own; the outside tells where the casting lies.
    let lies = onto(sheet, cast, &outside, *by);
    let own = onto(sheet, cast, &core, lies);
    let stations: Vec<f64> = core.iter().map(|(_, p)| lies.moved(*p).x).collect();
    let [first, last] = super::extremes::range(stations.iter().copied());
    let off = |x: f64| {
        // Where the place of the nominal core lies, seen from the outside.
        let q = lies.moved(own.inverse().moved(P3::new(x, 0.0, 0.0)));
        [q.y, q.z]
    };
    let tilt_told = last - first > LONG;
    let mean = middle(&core.iter().map(|(_, p)| lies.moved(*p)).collect::<Vec<_>>()).x;
    let (front, rear) = if tilt_told { (off(0.0), off(last)) } else { (off(mean), off(mean)) };
    Some(CoreShift { front, rear: (last, rear), tilt_told })
}

/// Places put onto the exact faces of their elements.
fn onto(sheet: &MeasuringSheet, cast: &Probe, places: &[(usize, P3)], start: Placement) -> Placement {
    const REACH: f64 = 25.0;
    let own: Vec<P3> = places.iter().map(|(_, p)| *p).collect();
    onto_surfaces(&own, start, |k, p| {
        let faces = &sheet.elements[places[k].0].faces;
        let near = cast.nearest(p, |f| faces.contains(&f), REACH)?;
        let face = &cast.brep().faces[near.face];
        let foot = face.surface.closest(p);
        let along: V3 = face.outward(foot);
        Some(((p - foot).dot(&along), along, 1.0))
    })
}
