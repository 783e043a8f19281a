//! Solids: a tree of analytic primitives and its exact boundary.
//!
//! The road: [`Primitive`]s are added, cut and kept in a [`SolidTree`], whose [`SolidTree::contains`] is exact;
//! [`evaluate`] finds the boundary as a [`Brep`]; [`measure`] and [`validate`] judge it.

mod blend;
mod brep;
mod cap;
mod disjoint_sets;
mod end_rounding;
pub mod fillet;
mod measure;
mod oriented_box;
mod patch;
mod primitive;
mod primitive_error;
mod prism;
mod profile;
mod quadrature;
mod revolve;
mod rounding;
#[cfg(test)]
pub(crate) mod samples;
mod shapes;
mod tag;
mod tree;
mod truck;

pub mod evaluate;
pub mod validate;

pub use brep::{Brep, BrepEdge, BrepFace, BrepShell, HalfEdge};
pub use cap::{Cap, leaning};
pub use measure::{MassProperties, measure, measure_stretched};
pub use patch::Patch;
pub use primitive::Primitive;
pub use primitive_error::PrimitiveError;
pub use profile::{Profile, ProfileError, Segment, beside_end, put_end};
pub use rounding::{Corner, round_corners, without};
pub use shapes::{circle, cylinder, polygon, rounded_rectangle, turned};
pub use tag::{Finish, Tag};
pub use tree::{Op, SolidTree, Step};
pub use truck::{TruckSolid, to_truck};
