//! Solids: a tree of analytic primitives and its exact boundary.
//!
//! The road: [`Primitive`]s are added, cut and kept in a [`SolidTree`], whose [`SolidTree::contains`] is exact;
//! [`evaluate`] finds the boundary as a [`Brep`]; [`measure`] and [`validate`] judge it. [`Solid::of`] does all of it, and what it
//! gives is what meshes, probes and writers take.

mod brep;
mod cap;
pub mod fillet;
mod groups;
mod measure;
mod own_box;
mod primitive;
mod primitive_error;
mod prism;
mod profile;
mod quadrature;
mod rounding;
#[cfg(test)]
pub(crate) mod samples;
mod shapes;
mod sound;
mod tag;
mod tree;

pub mod evaluate;
pub mod validate;

pub use brep::{Brep, BrepEdge, BrepFace, BrepShell, HalfEdge};
pub use cap::{Cap, leaning};
pub use measure::{MassProperties, measure, measure_stretched};
pub use primitive::{Patch, Primitive};
pub use primitive_error::PrimitiveError;
pub use profile::{Profile, ProfileError, Segment, beside_end, put_end};
pub use rounding::{Corner, round_corners, without};
pub use shapes::{circle, cylinder, polygon, rounded_rectangle, turned};
pub use sound::{Solid, SolidError};
pub use tag::{Finish, Tag};
pub use tree::{Op, SolidTree, Step};
