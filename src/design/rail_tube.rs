//! The tube or hump in which the shift rail slides.

use super::record::record;
use crate::params::schema;
use crate::units::Mm;

pub use crate::params::schema::RailForm;

record! {
    /// The shift rail's tube, parallel to the shaft.
    pub struct RailTube {
        /// Hump or tube.
        form: RailForm,
        /// Rail axis to the right of the shaft axis.
        y: Mm,
        /// Rail axis above the shaft axis.
        z: Mm,
        /// Diameter of the bore.
        bore: Mm,
        /// Outside diameter.
        outside_diameter: Mm,
        /// Station of the front end; 0 is the gearbox face.
        from: Mm,
        /// Station of the rear end.
        to: Mm,
        /// Station where the bore starts; at `from` it is open.
        bore_from: Mm,
        /// Station where the bore ends; at `to` it is open.
        bore_to: Mm,
    }
}

impl RailTube {
    pub(super) fn from_file(raw: &schema::RawRailTube) -> Option<Self> {
        Some(Self {
            form: raw.form.get()?,
            y: raw.y.get()?,
            z: raw.z.get()?,
            bore: raw.bore.get()?,
            outside_diameter: raw.outside_diameter.get()?,
            from: raw.from.get()?,
            to: raw.to.get()?,
            bore_from: raw.bore_from.get()?,
            bore_to: raw.bore_to.get()?,
        })
    }
}
