//! Why a design has no solid.

use std::collections::BTreeSet;

use crate::faces::{Feature, Role};
use crate::finding::Hindrance;
use solidwright::geometry::P3;
use solidwright::solid::{PrimitiveError, SolidError, Tag};

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
    #[error("{} a hollow that nothing reaches; let it break into the cavity or shorten it", enclosing(.features))]
    Hollow {
        /// Features about it.
        features: Vec<String>,
        /// A point of its wall.
        at: P3,
    },
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

    /// Where it is, if it is about one place.
    pub(super) fn place(&self) -> Option<P3> {
        match self {
            Self::Solid(error) => error.place(),
            Self::Hollow { at, .. } => Some(*at),
            _ => None,
        }
    }

    /// The features between which the fillets lie that it is about.
    pub(super) fn joined(&self) -> BTreeSet<Feature> {
        let Self::Solid(error) = self else { return BTreeSet::new() };
        let between = |t: &Tag| match Role::of(t) {
            Role::Fillet => vec![Feature::of(t)],
            Role::FilletTo(other) => vec![Feature::of(t), other],
            _ => vec![],
        };
        error.tags().iter().flat_map(between).collect()
    }

    /// The features it is about, for a heading; `housing` where it is about the whole.
    pub fn subject(&self) -> String {
        let features = match self {
            Self::Shape(error) => vec![error.feature().to_owned()],
            Self::Solid(error) => distinct(error.tags().iter().map(|t| &*t.feature)),
            Self::Apart { apart: features, .. } | Self::Hollow { features, .. } => features.clone(),
        };
        if features.is_empty() { "housing".to_owned() } else { features.join(", ") }
    }
}

/// Who encloses something, as the beginning of a sentence.
fn enclosing(features: &[String]) -> String {
    format!("{} {}", features.join(", "), if features.len() == 1 { "encloses" } else { "enclose" })
}

/// Names in order, each once.
pub(super) fn distinct<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    names.collect::<BTreeSet<_>>().into_iter().map(str::to_owned).collect()
}
