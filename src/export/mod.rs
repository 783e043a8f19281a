//! Files of the program: what it says of itself in them, the sidecar's JSON, and how they are put on disk.
//!
//! The formats themselves are written by `solidwright::export`. [`files`] alone touches whole files, and [`journal`]
//! what grows line by line.

pub mod files;
pub mod journal;
pub mod sidecar;

/// This program and its version, as files name it.
pub const PROGRAM: &str = concat!("tailpattern ", env!("CARGO_PKG_VERSION"));

/// Prefix of this program's own names in the metadata of packed files.
pub const METADATA_PREFIX: &str = "tailpattern";
