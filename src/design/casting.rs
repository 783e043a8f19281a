//! What the part is cast from.

use super::record::record;
use crate::params::schema;
use crate::standards::materials::Alloy;
use crate::units::KgPerM3;

record! {
    /// What the part is cast from.
    pub struct Casting {
        /// The alloy.
        alloy: &'static Alloy,
        /// Its density.
        density: KgPerM3,
    }
}

impl Casting {
    pub(super) fn from_file(raw: &schema::Casting) -> Option<Self> {
        Some(Self { alloy: raw.alloy.get()?, density: raw.density.get()? })
    }
}
