//! Oil feed to the bushing, drain back from the seal, and the recess or lip that keeps dirt off the seal.

use super::record::record;
use crate::params::schema;
use crate::units::{Deg, Mm};

pub use crate::params::schema::DustLipKind;
use crate::params::schema::OilFeedKind;

/// The oil feed from the cavity's end to the bushing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OilFeed {
    /// A slot with a round floor along stop bore and seat, from the cavity's end.
    Slot {
        /// Clock angle of its middle.
        clock: Deg,
        /// Width; its floor is a half round of this diameter.
        width: Mm,
        /// Distance of its floor from the shaft axis.
        floor: Mm,
        /// Station of its rear end, in the seat.
        end: Mm,
    },
    /// A hole from the seat forward and outwards into the cavity's end.
    Hole {
        /// Clock angle.
        clock: Deg,
        /// Diameter.
        diameter: Mm,
        /// Station where its axis meets the seat.
        mouth: Mm,
        /// Angle to the shaft axis.
        angle: Deg,
    },
}

record! {
    /// A drilled passage from the seal shoulder forward into the cavity's end.
    pub struct DrainBack {
        /// Clock angle.
        clock: Deg,
        /// Diameter.
        diameter: Mm,
        /// Distance of its axis from the shaft axis at the seal shoulder.
        distance: Mm,
        /// Angle by which it leans outwards on its way forward.
        angle: Deg,
    }
}

/// A recess or lip at the mouth of the seal counterbore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DustLip {
    /// Recess or lip.
    pub kind: DustLipKind,
    /// Diameter of the recess, outside diameter of the lip.
    pub diameter: Mm,
    /// Depth of the recess, height of the lip, from the rear face forward.
    pub depth: Mm,
}

/// The oil feed of a seat of this radius whose stop is at this station.
pub(super) fn oil_feed(raw: &schema::RawOilFeed, stop: Mm, seat_radius: Mm) -> Option<OilFeed> {
    let (clock, width, reach) = (raw.clock.get()?, raw.width.get()?, raw.reach.get()?);
    Some(match raw.kind.get()? {
        OilFeedKind::Slot => {
            OilFeed::Slot { clock, width, floor: seat_radius + raw.depth.get()?, end: stop + reach }
        }
        OilFeedKind::Hole => {
            OilFeed::Hole { clock, diameter: width, mouth: stop + reach, angle: raw.angle.get()? }
        }
    })
}

pub(super) fn drain_back(raw: &schema::RawDrainBack) -> Option<DrainBack> {
    Some(DrainBack {
        clock: raw.clock.get()?,
        diameter: raw.diameter.get()?,
        distance: raw.distance.get()?,
        angle: raw.angle.get()?,
    })
}

pub(super) fn dust_lip(raw: &schema::RawDustLip) -> Option<DustLip> {
    Some(DustLip { kind: raw.kind.get()?, diameter: raw.diameter.get()?, depth: raw.depth.get()? })
}
