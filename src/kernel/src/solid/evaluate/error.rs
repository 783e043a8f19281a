//! Why a tree has no proper boundary.

use crate::geometry::P3;
use crate::solid::Tag;

/// Why the boundary of a tree could not be made. Every case names features and a place (mm).
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EvaluateError {
    /// Nothing is left.
    #[error("nothing is left of the solid")]
    Empty,
    /// Two faces touch along a line or in a point without crossing.
    #[error("{} touches {} at ({:.3}, {:.3}, {:.3}) without crossing it: move one of them by 0.01 mm or more, so that they overlap or stand clear", .tags[0], .tags[1], .at.x, .at.y, .at.z)]
    Touching {
        /// The two faces.
        tags: [Tag; 2],
        /// Where.
        at: P3,
    },
    /// Two surfaces touch along a curve that has no closed form.
    #[error("{} and {} run into each other tangentially near ({:.3}, {:.3}, {:.3}): change a radius or move one of them by 0.05 mm or more", .tags[0], .tags[1], .at.x, .at.y, .at.z)]
    Tangent {
        /// The two faces.
        tags: [Tag; 2],
        /// Where.
        at: P3,
    },
    /// The solid would touch itself along an edge.
    #[error("the solid touches itself along an edge of {} near ({:.3}, {:.3}, {:.3}): let the features overlap or stand clear", names(.tags), .at.x, .at.y, .at.z)]
    TouchingEdge {
        /// Faces about the edge.
        tags: Vec<Tag>,
        /// A point of the edge.
        at: P3,
    },
    /// The solid would touch itself in a point.
    #[error("the solid touches itself in a point of {} at ({:.3}, {:.3}, {:.3}): let the features overlap or stand clear", names(.tags), .at.x, .at.y, .at.z)]
    TouchingPoint {
        /// Faces about the point.
        tags: Vec<Tag>,
        /// Where.
        at: P3,
    },
    /// Two faces are so near each other that the side of an edge can't be told.
    #[error("{} lie within {gap:.1e} mm of each other near ({:.3}, {:.3}, {:.3}): make them flush or move them apart", names(.tags), .at.x, .at.y, .at.z)]
    TooNear {
        /// The faces.
        tags: Vec<Tag>,
        /// Where.
        at: P3,
        /// How near, mm.
        gap: f64,
    },
    /// The boundary found does not close; a fault of the program, told rather than hidden.
    #[error("the boundary does not close about {} near ({:.3}, {:.3}, {:.3}); please report this parameter file, and move one of the features a little for now", names(.tags), .at.x, .at.y, .at.z)]
    Open {
        /// Faces about the gap.
        tags: Vec<Tag>,
        /// Where.
        at: P3,
    },
}

impl EvaluateError {
    /// Whether the evaluator is at fault, not the tree: no change that the message asks for mends the cause.
    pub fn is_internal(&self) -> bool {
        matches!(self, Self::Open { .. })
    }

    /// Where it is; nowhere when it is about the whole.
    pub fn place(&self) -> Option<P3> {
        match self {
            Self::Empty => None,
            Self::Touching { at, .. }
            | Self::Tangent { at, .. }
            | Self::TouchingEdge { at, .. }
            | Self::TouchingPoint { at, .. }
            | Self::TooNear { at, .. }
            | Self::Open { at, .. } => Some(*at),
        }
    }

    /// The faces it is about; none where it is about the whole.
    pub fn tags(&self) -> &[Tag] {
        match self {
            Self::Empty => &[],
            Self::Touching { tags, .. } | Self::Tangent { tags, .. } => tags,
            Self::TouchingEdge { tags, .. }
            | Self::TouchingPoint { tags, .. }
            | Self::TooNear { tags, .. }
            | Self::Open { tags, .. } => tags,
        }
    }
}

/// What a step has made, unless it has found faults.
pub(super) fn unless<T>(faults: Vec<EvaluateError>, made: T) -> Result<T, Vec<EvaluateError>> {
    if faults.is_empty() { Ok(made) } else { Err(faults) }
}

fn names(tags: &[Tag]) -> String {
    let mut names: Vec<String> = tags.iter().map(ToString::to_string).collect();
    names.sort();
    names.dedup();
    match names.len() {
        0 => "an unnamed feature".to_owned(),
        _ => names.join(", "),
    }
}
