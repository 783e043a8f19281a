//! `shell`: cavity and wall.

use super::{PART_SIZE, PRACTICE, STATION, range};
use crate::params::kinds::{Length, Range};
use crate::params::parameter::{Concern, Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

const WALL: Range = range(2.5, 40.0, "thinner does not fill in a sand mould, thicker shrinks hollow");

/// The tapered tube between the two ends.
///
/// The outside is not given: it follows the cavity at the wall's thickness, measured square to the cavity's surface.
#[derive(Debug, Clone, PartialEq)]
pub struct RawShell {
    /// Cavity diameters along the shaft.
    pub cavity: ParameterList<CavityStation>,
    /// Wall at stations without their own.
    pub wall: Parameter<Mm>,
}

impl Section for RawShell {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            cavity: s
                .key(
                    "cavity",
                    "The cavity by stations, front to back, the first at station 0. Between two stations the \
                     diameter changes evenly; two stations at one place make a step. Aft of the last one the bushing's \
                     stop bore begins.",
                )
                .list(2, 60),
            wall: s
                .key("wall", "Wall thickness, measured square to the cavity's surface, at stations without their own.")
                .concerning(Concern::Mould)
                .value(Length(WALL), "7.112")
                .or_assume(Mm::new(6.5), "oil-tight sand casting, 5.5 to 6.5 mm; the worst case still leaves 5 mm", PRACTICE),
        }
    }
}

/// The cavity at one station.
#[derive(Debug, Clone, PartialEq)]
pub struct CavityStation {
    /// Distance aft of the gearbox face.
    pub station: Parameter<Mm>,
    /// Cavity diameter there.
    pub diameter: Parameter<Mm>,
    /// Wall there.
    pub wall: Parameter<Mm>,
}

impl Section for CavityStation {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            station: s
                .key("station", "Distance aft of the gearbox face.")
                .value(Length(STATION), "184.15")
                .required(),
            diameter: s
                .key("diameter", "Cavity diameter at this station.")
                .value(Length(range(20.0, 500.0, PART_SIZE)), "79.375")
                .required(),
            wall: s
                .key("wall", "Wall thickness at this station, when it differs from `shell.wall`.")
                .value(Length(WALL), "8.0")
                .or_derive("shell.wall", "one wall all along", PRACTICE),
        }
    }
}
