//! Files of the program: what it says of itself in them, the sidecar's JSON, and how they are put on disk.
//!
//! The formats themselves are written by `solidwright::export`. [`files`] alone touches whole files, and [`journal`]
//! what grows line by line.

pub mod files;
pub mod journal;
pub mod sidecar;

use solidwright::export::Metadata;
use solidwright::export::step::StepInfo;

/// This program and its version, as files name it.
const PROGRAM: &str = concat!("tailpattern ", env!("CARGO_PKG_VERSION"));

/// What every STEP file of this program says, without a part's names and figures.
pub fn step_info() -> StepInfo {
    StepInfo {
        originating_system: PROGRAM.to_owned(),
        preprocessor: PROGRAM.to_owned(),
        ..StepInfo::default()
    }
}

/// What every packed file of this program says, without a part's texts. Its own names are written as `tailpattern:NAME`.
pub fn metadata() -> Metadata {
    Metadata { application: PROGRAM.to_owned(), prefix: "tailpattern".to_owned(), ..Metadata::default() }
}
