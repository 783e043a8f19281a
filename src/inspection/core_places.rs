//! Where the core itself is probed on the raw casting: on walls that stay as cast, from end to end as far as a stylus reaches.
//!
//! The bores that the core leaves for machining lie at one end of most housings, so that they tell where the core lay there and little
//! of its other end. Places on its walls, as far apart as they can be, tell its tilt.

use super::characteristic::MeasuringSheet;
use super::core_shift::is_of_core;
use super::elements::MeasuredElement;
use super::probing::{FROM_EDGE, is_clear};
use super::wall_places::element_of;
use solidwright::geometry::P3;
use solidwright::probe::{Probe, Sample};
use solidwright::solid::Finish;

/// Side of the parts of walls that are tried, mm.
const GRAIN: f64 = 12.0;

/// Walls that lean more along the shaft than this tell little of a shift across it: the greatest cosine to the shaft.
const ACROSS: f64 = 0.3;

/// Stations along the shaft at which the core is probed, and places about each.
const STATIONS: u32 = 5;
const AROUND: u32 = 8;

/// Whether a place lies on a wall of the core that looks across the shaft and stays as cast.
fn is_on_core(cast: &Probe, sample: &Sample) -> bool {
    let tag = &cast.brep().faces[sample.face].tag;
    tag.finish == Finish::Formed && is_of_core(tag) && sample.outward.x.abs() < ACROSS
}

/// Adds the core's walls to a sheet as elements.
pub(super) fn add_core_elements(sheet: &mut MeasuringSheet, cast: &Probe) {
    for (_, sample) in cast.small_triangles(GRAIN).iter().filter(|(_, s)| is_on_core(cast, s)) {
        let element = element_of(sheet, cast, sample);
        if !sheet.core.contains(&element) {
            sheet.core.push(element);
        }
    }
}

/// Places on the core's walls: nearest to the middle of each cell of stations and directions, for whoever can reach them with `reached`.
pub(super) fn places(
    sheet: &MeasuringSheet,
    cast: &Probe,
    reached: impl Fn(&MeasuredElement, P3) -> bool,
) -> Vec<(usize, P3)> {
    let of = |s: &Sample| sheet.core.iter().copied().find(|e| sheet.elements[*e].faces.contains(&s.face));
    let clear = |e: usize, s: &Sample| is_clear(&sheet.elements[e], cast, s.point, FROM_EDGE);
    let mut all: Vec<(usize, P3)> = cast
        .small_triangles(GRAIN)
        .iter()
        .filter(|(_, s)| is_on_core(cast, s))
        .filter_map(|(_, s)| Some((of(s)?, s)))
        .filter(|(e, s)| clear(*e, s) && reached(&sheet.elements[*e], s.point))
        .map(|(e, s)| (e, s.point))
        .collect();
    let stations = super::extremes::range(all.iter().map(|(_, p)| p.x));
    let mut out = Vec::new();
    for k in 0..STATIONS * AROUND {
        let share = f64::from(k / AROUND) / f64::from(STATIONS - 1);
        let station = stations[0] + share * (stations[1] - stations[0]);
        let (sin, cos) = (std::f64::consts::TAU * f64::from(k % AROUND) / f64::from(AROUND)).sin_cos();
        // How far a place lies from a station, and beside a direction, mm.
        let off = |p: &P3| {
            let (along, beside) = (p.y * cos + p.z * sin, p.z * cos - p.y * sin);
            (along > 0.0).then(|| (p.x - station).hypot(beside))
        };
        let nearest = (0..all.len())
            .filter_map(|k| Some((off(&all[k].1)?, k)))
            .reduce(|a, b| if b.0 < a.0 { b } else { a });
        if let Some((_, k)) = nearest.filter(|(d, _)| *d < 2.0 * GRAIN) {
            out.push(all.remove(k));
        }
    }
    out
}
