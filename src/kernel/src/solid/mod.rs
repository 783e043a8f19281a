//! Solids: a tree of analytic primitives and its exact boundary.
//!
//! The road: [`Primitive`]s are added, cut and kept in a [`SolidTree`], whose [`SolidTree::contains`] is exact;
//! [`evaluate`] finds the boundary as a [`Brep`]; [`measure`] and [`validate`] judge it. [`Solid::of`] does all of it, and what it
//! gives is what meshes, probes and writers take.
//!
//! The modules here, and in the folders below, stand in levels: each may use those of lower levels only, so that no two
//! import each other. What a filleted body is (`blend`, `primitive`) is finished data and stands below [`evaluate`]; how its
//! boundary is found ([`fillet`]) stands above.

// Level 1: names and plain data.
mod blend;
mod box_groups;
mod disjoint_sets;
mod end_rounding;
mod tag;

// Level 2: boundaries, their pieces and those of outlines, with names on them.
mod brep;
mod patch;
mod segment;

// Level 3: closed outlines.
mod profile;

// Level 4: what is made of one of these.
mod cap;
mod primitive_error;
mod quadrature;
mod rounding;

// Level 5: what a solid is made of.
mod folded;
mod primitive;

// Level 6: what a boundary encloses.
mod measure;

// Level 7: primitives made, placed and put together; checks of a boundary.
mod oriented_box;
mod prism;
mod revolve;
mod tree;
pub mod validate;

// Level 8: from a tree to its boundary.
pub mod evaluate;
mod shapes;

// Level 9: solids whose boundary is found and proved sound.
mod sound;

// Level 10: fillets, which evaluate trees of offset bodies to find their own boundary.
pub mod fillet;

#[cfg(test)]
pub(crate) mod samples;

pub use brep::{Brep, BrepEdge, BrepFace, BrepShell, HalfEdge};
pub use cap::{Cap, leaning};
pub use measure::{MassProperties, measure, measure_stretched};
pub use patch::Patch;
pub use primitive::Primitive;
pub use primitive_error::PrimitiveError;
pub use profile::{Profile, ProfileError, beside_end, put_end};
pub use rounding::{Corner, round_corners, without};
pub use segment::{Segment, mirrored};
pub use shapes::{circle, cylinder, polygon, rounded_rectangle, turned};
pub use sound::{Solid, SolidError};
pub use tag::{Finish, Tag};
pub use tree::{Op, SolidTree, Step};
