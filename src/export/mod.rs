//! Writers: from a boundary, a mesh or a sheet to the bytes of a file format.
//!
//! Writers return bytes and touch no file; [`files`] alone does. [`readback`] looks at written text again
//! with other eyes.

pub mod files;
pub mod readback;
pub mod step;
mod stl;

pub use stl::stl;
