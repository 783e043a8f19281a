//! Writers: from a boundary, a mesh or a sheet to the bytes of a file format.
//!
//! Writers return bytes and touch no file; [`files`] alone does, and [`journal`] for what grows line by line. [`readback`] looks at written text again
//! with other eyes.

mod body;
pub mod files;
mod glb;
pub mod journal;
mod ply;
pub mod readback;
pub mod sidecar;
pub mod step;
mod stl;
mod threemf;

pub use body::{Body, Metadata, PackError, Paint};
pub use glb::glb;
pub use ply::ply;
pub use stl::stl;
pub use threemf::threemf;
