//! Places of a scan on the faces of a sheet, as if they had been probed: what is asked of probed points can be asked of a scan.

use crate::inspection::characteristic::MeasuringSheet;
use crate::inspection::machining::Machining;
use crate::inspection::other_form;
use crate::inspection::probing::{ProbePlan, is_probed, least_points};
use crate::inspection::readings::{ArticleReadings, ProbedPlace};

use super::deviation::PlacedScan;
use super::fit::{ScanFault, ScanFit};
use super::read::Scan;

/// The readings at the probe points of a plan: where the line along each normal meets the scan. They are in the part's axes, as the
/// scan was put onto it. Elements of which too little was scanned are left out.
pub fn readings_of(scan: &Scan, fit: &ScanFit, sheet: &MeasuringSheet, plan: &ProbePlan) -> ArticleReadings {
    let placed = PlacedScan::of(scan, fit);
    let mut out = ArticleReadings::default();
    for p in &plan.points {
        let Some(far) = placed.off(p.point, p.normal) else { continue };
        let at = p.point + p.normal * far;
        let place = ProbedPlace { at, line: 0, confirmed: false };
        out.places.entry(p.element).or_default().push(place);
    }
    let enough = |e: &usize, places: &Vec<ProbedPlace>| {
        !is_probed(sheet, *e) || places.len() >= least_points(&sheet.elements[*e].shape)
    };
    out.places.retain(|e, places| enough(e, places));
    out
}

/// Tells a scan of the other form by its places on the sheet's elements ([`readings_of`]), in the part's axes: a raw casting on the sheet of
/// the finished part, and a machined part on the sheet of the casting, whose `machining` is given.
///
/// # Errors
/// [`ScanFault::RawCasting`] or [`ScanFault::Machined`].
pub fn right_form(
    sheet: &MeasuringSheet,
    machining: Option<&Machining>,
    article: &ArticleReadings,
) -> Result<(), ScanFault> {
    let other = match machining {
        None => other_form::raw_scan(sheet, article),
        Some(machining) => other_form::machined_scan(machining, article),
    };
    other.map_or(Ok(()), Err)
}
