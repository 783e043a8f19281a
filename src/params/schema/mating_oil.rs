//! `mating.oil`: the oil in gearbox and housing.

use super::section::section;
use super::{PRACTICE, SIDE, range};
use crate::params::kinds::{Angle, Length, Measure};
use crate::units::{ACCELERATION, Deg, Mm};

section! {
    /// The oil in gearbox and housing.
    pub struct OilKeys => Oil {
        /// Height of its level at rest over the shaft axis; below is negative.
        level: Mm = |k| k.value(Length(SIDE), "-15").required();
        /// Slope on which the vehicle stands or climbs.
        slope: Deg = |k| k.value(Angle(range(0.0, 60.0, "roads and ramps")), "17 deg").or_assume(Deg::new(17.0), "a slope of 30 %", PRACTICE);
        /// Braking, as a multiple of the acceleration of gravity.
        braking: f64 = |k| k.value(Measure(&ACCELERATION, range(0.0, 2.0, "tyres on a road")), "0.8").or_assume(0.8, "hard braking on a dry road", PRACTICE);
    } optional {
    }
}
