//! Faces, edges and vertices that a primitive brings along: known exactly, before anything is intersected.

use std::sync::Arc;

use crate::geometry::{Bounds, ContactCurve, CreaseCurve, Curve, P3, Surface};

use super::tag::Tag;

/// A face of a primitive: a piece of one surface.
#[derive(Clone, Debug)]
pub struct Patch {
    /// The surface.
    pub surface: Surface,
    /// Feature, role, finish.
    pub tag: Tag,
    /// A box around the piece.
    pub bounds: Bounds,
    /// Range of u; a full turn has width 2π. Unused for planes.
    pub u: (f64, f64),
    /// Range of v. Unused for planes.
    pub v: (f64, f64),
    /// What kind of piece.
    pub(crate) part: Part,
    /// The profile segment that sweeps it; `None` for the ends of a prism.
    pub(crate) segment: Option<usize>,
}

/// What a face of a primitive is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// Any face.
    Plain,
    /// Cuts the primitive short. Its edges with the rest are found by intersecting.
    Cap,
}

/// The curve of an own edge.
#[derive(Clone, Debug)]
pub(crate) enum PrimitiveCurve {
    /// Line, circle.
    Plain(Curve),
    /// Where a ball touches a wall.
    Contact(Arc<ContactCurve>),
    /// Where two stretches of what a ball leaves meet in a crease.
    Crease(Arc<CreaseCurve>),
}

/// An edge that a primitive brings along: known exactly, no intersecting needed.
#[derive(Clone, Debug)]
pub(crate) struct PrimitiveEdge {
    /// Its curve.
    pub(crate) curve: PrimitiveCurve,
    /// The piece that is an edge; `None` for a closed circle.
    pub(crate) range: Option<(f64, f64)>,
    /// The two patches (equal where a patch meets itself).
    pub(crate) patches: [usize; 2],
    /// For an edge of a filleted body, whose boundary is known as a whole: for each patch, whether a loop with the
    /// face on its left runs along the curve.
    pub(crate) forward: Option<[bool; 2]>,
}

/// A corner that a primitive brings along.
#[derive(Clone, Debug)]
pub(crate) struct PrimitiveVertex {
    pub(crate) point: P3,
    pub(crate) patches: Vec<usize>,
}

/// The range between two parameters given in any order.
pub(in crate::solid) fn sorted(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}
