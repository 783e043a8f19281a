//! What the part is cast from.

use super::record::record;
use crate::params::schema;
use crate::standards::materials::Alloy;
use crate::units::{KgPerM3, Mm};

record! {
    /// What the part is cast from.
    pub struct Casting {
        /// The alloy.
        alloy: &'static Alloy,
        /// Its density.
        density: KgPerM3,
    }
    lent {
        /// Radii where cast faces meet.
        fillets: Fillets => Fillets,
    }
}

record! {
    /// Radii where cast faces meet; zero for none.
    pub struct Fillets {
        /// Inward joints outside.
        outside: Mm,
        /// Joints inside the cavity.
        cavity: Mm,
        /// Outward edges.
        edges: Mm,
    }
    lent {
        /// Features with a radius of their own, by name.
        own: Vec<(&'static str, Mm)> => [(&'static str, Mm)],
    }
}

impl Fillets {
    fn from_file(raw: &schema::Fillets) -> Option<Self> {
        let own = [
            ("gearbox_face", &raw.flange),
            ("tail", &raw.tail),
            ("shift_box_pad", &raw.shift_box_pad),
            ("mount_pad", &raw.mount_pad),
            ("second_mount_pad", &raw.second_mount_pad),
            ("sender_boss", &raw.sender_boss),
            ("rail_tube", &raw.rail_tube),
            ("ribs", &raw.ribs),
            ("plugs", &raw.plugs),
        ];
        let own =
            own.into_iter().filter_map(|(name, slot)| slot.get().map(|radius| (name, radius))).collect();
        Some(Self { outside: raw.outside.get()?, cavity: raw.cavity.get()?, edges: raw.edges.get()?, own })
    }

    /// The radius that a feature asks for at its foot; `None` for the shell, which leaves it to what stands on it.
    pub fn of(&self, feature: &str) -> Option<Mm> {
        if feature == "shell" {
            return None;
        }
        Some(self.own.iter().find(|(name, _)| *name == feature).map_or(self.outside, |(_, radius)| *radius))
    }
}

impl Casting {
    pub(super) fn from_file(raw: &schema::Casting) -> Option<Self> {
        Some(Self {
            alloy: raw.alloy.get()?,
            density: raw.density.get()?,
            fillets: Fillets::from_file(&raw.fillets)?,
        })
    }
}
