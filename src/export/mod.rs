//! Files that other programs read.

mod stl;

pub use stl::stl;
