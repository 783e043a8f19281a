//! What must not touch the housing.

use super::record::record;
use crate::params::schema;
use crate::units::Mm;

pub use crate::params::schema::NeighbourKind;

record! {
    /// A part that turns about the shaft, as the cylinder it sweeps.
    pub struct Turning {
        /// Where it begins.
        from: Mm,
        /// How long it is.
        length: Mm,
        /// Its largest diameter.
        diameter: Mm,
        /// Least room about it.
        clearance: Mm,
    } lent {
        /// Its name.
        name: String => str,
    }
}

record! {
    /// A thing beside the housing, along the shaft.
    pub struct Neighbour {
        /// Its shape.
        kind: NeighbourKind,
        /// Where it begins.
        from: Mm,
        /// How long it is.
        length: Mm,
        /// Its middle, to the right of the shaft.
        side: Mm,
        /// Its middle, above the shaft.
        height: Mm,
        /// Its width, or a pipe's diameter.
        width: Mm,
        /// How tall a box is.
        tall: Mm,
        /// Least room about it.
        clearance: Mm,
    } lent {
        /// Its name.
        name: String => str,
    }
}

impl Turning {
    pub(super) fn from_file(raw: &schema::Turning) -> Option<Self> {
        Some(Self {
            name: raw.name.get()?,
            from: raw.from.get()?,
            length: raw.length.get()?,
            diameter: raw.diameter.get()?,
            clearance: raw.clearance.get()?,
        })
    }
}

impl Neighbour {
    pub(super) fn from_file(raw: &schema::Neighbour) -> Option<Self> {
        let width = raw.width.get()?;
        Some(Self {
            name: raw.name.get()?,
            kind: raw.kind.get()?,
            from: raw.from.get()?,
            length: raw.length.get()?,
            side: raw.side.get()?,
            height: raw.height.get()?,
            width,
            // A box of which no height is told is square.
            tall: raw.tall.get().unwrap_or(width),
            clearance: raw.clearance.get()?,
        })
    }
}
