//! Files of single rows: the parameter file with the row's values, and the part's STEP file.

use std::path::Path;

use super::row::SweepRow;
use super::variant::Variant;
use crate::export::files::{FileError, write_atomic};
use crate::export::finished_step_info;
use crate::params::vary;
use solidwright::export::step::{StepError, step};

/// Why the files of a row cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// The part has no STEP file.
    #[error(transparent)]
    Step(#[from] StepError),
    /// The folder or the disk is at fault.
    #[error(transparent)]
    File(#[from] FileError),
}

/// Writes the parameter file and the STEP file of a variant into the folder of a sweep, named by the row's number.
///
/// # Errors
/// See [`KeepError`].
pub fn keep(folder: &Path, row: &SweepRow, variant: &Variant) -> Result<(), KeepError> {
    let stem = folder.join("variants").join(format!("{:09}", row.index));
    let text = vary::text(variant.tree);
    let (design, solid) = (variant.design, &variant.housing.solid);
    let (name, note) = (format!("{:09}", row.index), format!("row {} of a sweep", row.index));
    let info = finished_step_info(design, &text, &note, &name, *solid.mass());
    write_atomic(&stem.with_extension("step"), &step(solid, &info)?)?;
    write_atomic(&stem.with_extension("yaml"), text.as_bytes())?;
    Ok(())
}
