//! Writers: from a boundary, a mesh or coloured triangles to the bytes of a file format.
//!
//! Writers return bytes and touch no file. [`readback`] looks at written text again with other eyes.

mod body;
mod glb;
pub(crate) mod nets;
mod paint;
mod ply;
pub mod readback;
pub mod step;
mod stl;
mod threemf;

pub use body::{Body, Metadata, PackError};
pub use glb::glb;
pub use paint::{Paint, Paints};
pub use ply::ply;
pub use stl::stl;
pub use threemf::threemf;
