//! Why a turned profile or a prism can't be made.

use super::profile::ProfileError;

/// Why a primitive can't be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PrimitiveError {
    /// The outline is at fault.
    #[error("{feature}: {source}")]
    Profile {
        /// The feature.
        feature: String,
        /// The fault.
        source: ProfileError,
    },
    /// A turned profile reaches over its axis or touches it in a point.
    #[error("{feature}: the turned outline crosses its axis or touches it in a single point")]
    OverAxis {
        /// The feature.
        feature: String,
    },
    /// An arc of a turned profile would make a torus that meets itself.
    #[error(
        "{feature}: an arc of radius {radius} mm centred {center} mm from the axis makes a torus that meets itself; take a radius below {center} mm or centre it on the axis"
    )]
    Spindle {
        /// The feature.
        feature: String,
        /// Arc radius, mm.
        radius: f64,
        /// Distance of its centre from the axis, mm.
        center: f64,
    },
    /// The height is not a positive number.
    #[error("{feature}: the height {height} mm is not above zero")]
    Height {
        /// The feature.
        feature: String,
        /// Height, mm.
        height: f64,
    },
    /// The draft eats up an edge or a corner before the top is reached.
    #[error(
        "{feature}: a draft of {:.3}° eats up an edge or corner radius within the height of {height:.3} mm; the greatest draft here is {greatest_deg:.3}°",
        .draft_deg.abs()
    )]
    Draft {
        /// The feature.
        feature: String,
        /// Draft asked, degrees.
        draft_deg: f64,
        /// Height, mm.
        height: f64,
        /// Greatest possible draft, degrees.
        greatest_deg: f64,
    },
    /// A rounded edge has no room.
    #[error(
        "{feature}: an edge can't be rounded by {radius} mm: the outline has a sharp corner, a radius that the rounding eats up, or too little height"
    )]
    Rounding {
        /// The feature.
        feature: String,
        /// Radius asked, mm.
        radius: f64,
    },
}

impl PrimitiveError {
    /// The feature it is about.
    pub fn feature(&self) -> &str {
        match self {
            Self::Profile { feature, .. }
            | Self::OverAxis { feature }
            | Self::Spindle { feature, .. }
            | Self::Height { feature, .. }
            | Self::Draft { feature, .. }
            | Self::Rounding { feature, .. } => feature,
        }
    }
}
