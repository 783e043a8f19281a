//! Files of single rows: the parameter file with the row's values, and the part's STEP file.

use std::path::Path;

use super::row::SweepRow;
use super::variant::Variant;
use crate::export::files::{FileError, write_atomic};
use crate::export::step_info;
use crate::forms::title;
use crate::params::vary;
use solidwright::export::step::{StepError, StepInfo, step};

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
    let info = StepInfo {
        id: design.name().to_owned(),
        name: design.name().to_owned(),
        description: format!("{}, row {} of a sweep", title(design), row.index),
        form: "finished".to_owned(),
        file_stem: format!("{:09}", row.index),
        properties: Some(*solid.mass()),
        ..step_info()
    };
    write_atomic(&stem.with_extension("step"), &step(solid, &info)?)?;
    write_atomic(&stem.with_extension("yaml"), text.as_bytes())?;
    Ok(())
}
