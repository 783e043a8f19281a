//! A solid written for the reference checks to read.

use std::fs;
use std::path::Path;

use solidwright::export::step::{StepInfo, step};
use solidwright::solid::{MassProperties, Solid};
use tailpattern::export::{sidecar, step_info};
use tailpattern::housing::Bore;

/// Writes STEM.step, and STEM.json with the figures that it must have.
pub fn write_solid(
    folder: &Path,
    stem: &str,
    solid: &Solid,
    mass: &MassProperties,
    bores: &[Bore],
) -> Result<(), String> {
    let info = StepInfo {
        id: stem.to_owned(),
        name: stem.to_owned(),
        form: "finished".to_owned(),
        file_stem: stem.to_owned(),
        ..step_info()
    };
    let figures = sidecar::figures(solid.brep(), mass, bores, &format!("{stem}.step"), stem);
    let save = |end: &str, bytes: Vec<u8>| fs::write(folder.join(format!("{stem}.{end}")), bytes);
    save("step", step(solid, &info).map_err(|e| e.to_string())?)
        .and_then(|()| save("json", format!("{figures:#}\n").into_bytes()))
        .map_err(|e| e.to_string())
}
