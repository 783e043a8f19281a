//! The rear end. Its bore, from the rear face forward: seal lead-in, seal counterbore, bushing lead-in, bushing seat,
//! stop bore.

use super::record::record;
use super::tail_passages::{DrainBack, DustLip, OilFeed, drain_back, dust_lip, oil_feed};
use crate::params::schema;
use crate::units::{Deg, Mm};

record! {
    /// The rear end.
    pub struct Tail {
        /// Outside diameter of the ring around bushing and seal.
        outside_diameter: Mm,
        /// Station of the ring's front face.
        ring_front: Mm,
        /// Station of the rear face: the overall length.
        rear: Mm,
    } lent {
        /// The bushing seat.
        bushing: Bushing => Bushing,
        /// The seal counterbore.
        seal: Seal => Seal,
    } optional {
        /// Where the ring is thinner, over the bushing.
        barrel: Barrel,
        /// The oil feed to the bushing.
        oil_feed: OilFeed,
        /// The drain from the seal back to the cavity.
        drain_back: DrainBack,
        /// The recess or lip that keeps dirt from the seal.
        dust_lip: DustLip,
    }
}

/// The thinner part of the ring, ahead of a collar around the seal; a cone of 45 degrees leads from one to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Barrel {
    /// Its outside diameter.
    pub diameter: Mm,
    /// Station at which the collar begins.
    pub rear: Mm,
}

record! {
    /// The bushing seat.
    pub struct Bushing {
        /// Seat diameter.
        bore: Mm,
        /// Station of the seat's front end, the stop.
        front: Mm,
        /// Station of the seat's rear end, the seal counterbore's shoulder; the lead-in starts there.
        rear: Mm,
        /// Diameter of the bore ahead of the seat, from the last cavity station to the stop.
        stop_bore: Mm,
        /// Length of the lead-in along the axis; may be 0.
        lead_in: Mm,
        /// Its angle to the axis.
        lead_in_angle: Deg,
    }
}

record! {
    /// The seal counterbore.
    pub struct Seal {
        /// Counterbore diameter.
        counterbore: Mm,
        /// Depth from the rear face to the shoulder, lead-in included.
        depth: Mm,
        /// Length of the lead-in along the axis, from the rear face; may be 0.
        lead_in: Mm,
        /// Its angle to the axis.
        lead_in_angle: Deg,
    }
}

impl Tail {
    /// Outside diameter around the bushing.
    pub fn around_bushing(&self) -> Mm {
        self.barrel.map_or(self.outside_diameter, |barrel| barrel.diameter)
    }

    pub(super) fn from_file(raw: &schema::RawTail, overall_length: Mm) -> Option<Self> {
        let (bushing, seal) = (&raw.bushing, &raw.seal);
        let depth = seal.depth.get()?;
        let rear = overall_length - depth;
        let (front, seat) = (rear - bushing.length.get()?, bushing.bore.get()? / 2.0);
        Some(Self {
            oil_feed: super::absent_or(raw.oil_feed.as_ref(), |feed| oil_feed(feed, front, seat)).ok()?,
            drain_back: super::absent_or(raw.drain_back.as_ref(), drain_back).ok()?,
            dust_lip: super::absent_or(raw.dust_lip.as_ref(), dust_lip).ok()?,
            barrel: match raw.barrel_diameter.get() {
                Some(diameter) => Some(Barrel { diameter, rear: overall_length - raw.collar_length.get()? }),
                None => None,
            },
            outside_diameter: raw.outside_diameter.get()?,
            ring_front: overall_length - raw.length.get()?,
            rear: overall_length,
            bushing: Bushing {
                bore: bushing.bore.get()?,
                front,
                rear,
                stop_bore: bushing.stop_bore.get()?,
                lead_in: bushing.lead_in.get()?,
                lead_in_angle: bushing.lead_in_angle.get()?,
            },
            seal: Seal {
                counterbore: seal.counterbore.get()?,
                depth,
                lead_in: seal.lead_in.get()?,
                lead_in_angle: seal.lead_in_angle.get()?,
            },
        })
    }
}
