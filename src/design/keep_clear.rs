//! Parts that turn inside the housing.

use super::record::record;
use crate::params::schema;
use crate::units::Mm;

record! {
    /// A part that turns about the shaft, as the cylinder it sweeps.
    pub struct Turning {
        /// Station of its front end.
        from: Mm,
        /// Its length along the shaft.
        length: Mm,
        /// Its diameter, or that at its front.
        diameter: Mm,
        /// Its diameter at the rear, where it tapers.
        rear_diameter: Option<Mm>,
        /// Least clearance to the housing.
        clearance: Mm,
    } lent {
        /// Its name.
        name: String => str,
    }
}

impl Turning {
    pub(super) fn from_file(raw: &schema::RawTurning) -> Option<Self> {
        Some(Self {
            name: raw.name.get()?,
            from: raw.from.get()?,
            length: raw.length.get()?,
            diameter: raw.diameter.get()?,
            rear_diameter: raw.rear_diameter.get(),
            clearance: raw.clearance.get()?,
        })
    }
}
