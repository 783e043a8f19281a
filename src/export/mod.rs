//! Files of the program: what it says of itself in them, the sidecar's JSON, the paints of faces, and how files are put on disk.
//!
//! The formats themselves are written by `solidwright::export`. [`files`] alone touches whole files, and [`journal`]
//! what grows line by line.

mod advice;
mod captions;
pub mod files;
pub mod form_files;
pub mod journal;
pub mod maps;
mod naming;
pub mod paint;
pub mod sidecar;

pub use naming::{finished_step_info, hex, metadata, sha256, size, stem, step_info};
