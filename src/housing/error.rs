//! Why a design has no solid.

use std::collections::BTreeSet;

use super::hollow::Hollow;
use crate::finding::Hindrance;
use solidwright::geometry::P3;
use solidwright::solid::evaluate::EvaluateError;
use solidwright::solid::{PrimitiveError, SolidError};

/// Why a design has no solid.
#[derive(Clone, Debug, thiserror::Error)]
pub enum HousingError {
    /// A feature's own shape is impossible.
    #[error(transparent)]
    Shape(#[from] PrimitiveError),
    /// The features together have no sound boundary.
    #[error(transparent)]
    Solid(#[from] SolidError),
    /// The housing comes apart.
    #[error("the housing comes apart into {} pieces: {} stand apart from the rest; let them reach the shell", .pieces, .apart.join(", "))]
    Apart {
        /// Number of bodies.
        pieces: usize,
        /// Features of the smaller ones.
        apart: Vec<String>,
    },
    /// A hollow is closed all round, so no core could fill it and no cutter reach it.
    #[error("{}", enclosing(.0))]
    Hollow(Box<Hollow>),
}

impl From<&HousingError> for Hindrance {
    fn from(error: &HousingError) -> Self {
        Self::new(error.is_internal(), format_args!("{}: {error}", error.subject()))
    }
}

impl HousingError {
    /// Whether the program is at fault, not the design.
    pub fn is_internal(&self) -> bool {
        matches!(self, Self::Solid(error) if error.is_internal())
    }

    /// Whether surfaces only touch, or nearly so, where a ball changed by a hair would part them.
    pub(super) fn is_touch(&self) -> bool {
        use EvaluateError::{TooNear, Touching, TouchingEdge, TouchingPoint};
        let Self::Solid(SolidError::Boundary(error)) = self else { return false };
        matches!(error, Touching { .. } | TouchingEdge { .. } | TouchingPoint { .. } | TooNear { .. })
    }

    /// Where it is, if it is about one place.
    pub(super) fn place(&self) -> Option<P3> {
        match self {
            Self::Solid(error) => error.place(),
            Self::Hollow(hollow) => Some(hollow.at),
            _ => None,
        }
    }

    /// The features it is about, for a heading; `housing` where it is about the whole.
    pub fn subject(&self) -> String {
        let features = match self {
            Self::Shape(error) => vec![error.feature().to_owned()],
            Self::Solid(error) => distinct(error.tags().iter().map(|t| &*t.feature)),
            Self::Apart { apart: features, .. } => features.clone(),
            Self::Hollow(hollow) => names(hollow),
        };
        if features.is_empty() { "housing".to_owned() } else { features.join(", ") }
    }
}

/// The features about a hollow.
fn names(hollow: &Hollow) -> Vec<String> {
    hollow.features.iter().map(ToString::to_string).collect()
}

/// Who encloses a hollow, how large it is, where, and what to do about it.
fn enclosing(hollow: &Hollow) -> String {
    let (size, at) = (hollow.size(), hollow.extent.center());
    let verb = if hollow.features.len() == 1 { "encloses" } else { "enclose" };
    // Adding zero leaves no minus sign before a zero.
    let [x, y, z] = [at.x, at.y, at.z].map(|c| (c * 10.0).round() / 10.0 + 0.0);
    format!(
        "{} {verb} a hollow that nothing reaches, {:.1} mm long, {:.1} mm wide and {:.1} mm high ({:.0} mm³) about ({x:.1}, {y:.1}, {z:.1}) mm: \
         no core and no cutter can make it; lead it into the cavity or out of the part, shorten it, or move what closes it",
        names(hollow).join(", "),
        size.x,
        size.y,
        size.z,
        hollow.volume,
    )
}

/// Names in order, each once.
pub(super) fn distinct<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    names.collect::<BTreeSet<_>>().into_iter().map(str::to_owned).collect()
}
