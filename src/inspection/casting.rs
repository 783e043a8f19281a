//! What is measured on the raw casting: its machined faces' cast sizes, within the casting's tolerance.

use super::characteristic::{CharacteristicKind, MeasuringSheet, SizeLimits};
use super::core_places::add_core_elements;
use super::elements::elements;
use super::wall_places::add_wall_places;
use crate::design::Design;
use crate::faces::plain_names;
use crate::forms::{Casting, StockRow};
use crate::housing::Size;
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;
use solidwright::solid::Solid;

/// Chord error of the meshes that find where to ask, mm.
const CHORD: f64 = 0.15;

/// All that is measured on the casting: every face that will be machined and is not cast solid, at its cast size; and places for the
/// walls that machining leaves.
///
/// # Errors
/// Where a solid cannot be meshed.
pub fn casting(
    design: &Design,
    finished: &MeasuringSheet,
    part: &Solid,
    made: &Casting,
) -> Result<MeasuringSheet, MeshError> {
    let mut sheet = MeasuringSheet {
        elements: elements(made.moulded.casting.solid.brep(), true),
        ..MeasuringSheet::default()
    };
    let mut told: Vec<(String, f64)> = Vec::new();
    for row in &made.stock {
        let Some(size) = row.casting else { continue };
        let what = plain_names::face(&row.tag);
        // A face in several bodies is one face.
        if told.iter().any(|(w, s)| *w == what && (s - size).abs() < 1e-9) {
            continue;
        }
        told.push((what.clone(), size));
        let element = sheet.elements.iter().position(|e| e.tag == row.tag);
        let limits = match half_zone(row) {
            Some(half) => SizeLimits::between(size - half, size + half),
            None => SizeLimits::default(),
        };
        let what = format!("{what}, {}", row.finished.what());
        let source = match limits.greatest {
            Some(_) => "ISO 8062-3, the casting's grade".to_owned(),
            None => "beyond the table of ISO 8062-3: ask".to_owned(),
        };
        sheet.add(what, element, CharacteristicKind::CastSize, Some(size), (limits, source));
        sheet.finished_sizes.insert(sheet.characteristics.len(), row.finished.get());
    }
    let (part, cast) = (Probe::new(part, CHORD)?, Probe::new(&made.moulded.casting.solid, CHORD)?);
    add_wall_places(&mut sheet, finished, &part, &cast, design);
    add_core_elements(&mut sheet, &cast);
    Ok(sheet)
}

/// Half the tolerance of a size, mm: a diameter has it on both of its sides.
fn half_zone(row: &StockRow) -> Option<f64> {
    let sides = match row.finished {
        Size::Round(_) | Size::Bore(_) => 2.0,
        Size::Thickness(_) | Size::Length { .. } | Size::Height(_) => 1.0,
    };
    Some(sides * row.tolerance?)
}
