//! The shell's own tube at a station, without pads, bosses and ribs on it.
//!
//! A pad that stands on the shell is no part of a beam's section: it is too short for the bending stress to spread into it, and
//! the neutral axis stays at the shaft. Taking the whole section, as if it did, understates the stress opposite the pad.
//! `tests/reference/cases/stresses.py` holds this against finite elements.

use crate::design::Shell;
use crate::units::Mm;
use std::f64::consts::PI;

/// A round tube about the shaft; radii in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlainTube {
    pub(super) outer: f64,
    pub(super) inner: f64,
}

impl PlainTube {
    /// The shell's tube at a station; `None` ahead of its cavity and behind it.
    pub(super) fn of(shell: &Shell, station: f64) -> Option<Self> {
        let at = Mm::new(station);
        let [outer, inner] = [shell.outside_radius(at)?.get(), shell.cavity_radius(at)?.get()];
        (outer > inner).then_some(Self { outer, inner })
    }

    /// mm².
    pub(super) fn area(self) -> f64 {
        PI * (self.outer.powi(2) - self.inner.powi(2))
    }

    /// Second moment about a line through its axis, mm⁴.
    pub(super) fn second(self) -> f64 {
        PI / 4.0 * (self.outer.powi(4) - self.inner.powi(4))
    }

    /// Greatest tension under a pull and moments about both axes, N/mm².
    pub(super) fn stress(self, pull: f64, bending: [f64; 2]) -> f64 {
        pull.abs() / self.area() + bending[0].hypot(bending[1]) * self.outer / self.second()
    }
}
