//! Plugs that fill, drain and vent the housing.

use super::record::record;
use crate::params::schema;
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

pub use crate::params::schema::PlugKind;

record! {
    /// A boss on a line from the shaft axis outwards, with a tapped hole into the cavity.
    pub struct Plug {
        /// Its purpose.
        kind: PlugKind,
        /// Station of its axis.
        station: Mm,
        /// Direction in which it points.
        clock: Deg,
        /// Distance of its machined end from the shaft axis.
        height: Mm,
        /// Thread; modelled at the tapping drill's diameter.
        thread: &'static Thread,
        /// Outside diameter of the boss.
        diameter: Mm,
    }
}

impl Plug {
    pub(super) fn from_file(raw: &schema::RawPlug) -> Option<Self> {
        Some(Self {
            kind: raw.kind.get()?,
            station: raw.station.get()?,
            clock: raw.clock.get()?,
            height: raw.height.get()?,
            thread: raw.thread.get()?,
            diameter: raw.diameter.get()?,
        })
    }
}
