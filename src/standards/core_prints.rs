//! Core prints, and the forces on a core while the mould is filled.

use super::materials::Family;
use crate::units::{Deg, Mm};

/// Why there is no value for a core.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CoreError {
    /// A print's diameter outside the rule.
    #[error(
        "{diameter} mm is outside the rule for upright prints, which is for diameters over 0 up to 76.2 mm (3 in)"
    )]
    UprightPrint {
        /// As asked, mm.
        diameter: f64,
    },
    /// More than sand bears.
    #[error("prints bear {pressure:.4} MPa; green sand takes up to {SAND_BEARING} MPa")]
    Bearing {
        /// Pressure, N/mm²; infinite where there is no area.
        pressure: f64,
    },
}

/// Density of molten aluminium, kg/m³ (practice).
pub const MOLTEN_ALUMINIUM: f64 = 2400.0;

/// Density of molten iron, kg/m³ (practice).
pub const MOLTEN_IRON: f64 = 7000.0;

/// Density of a sand core, kg/m³ (practice).
pub const SAND_CORE: f64 = 1600.0;

/// Bearing that green sand takes, N/mm² (practice).
pub const SAND_BEARING: f64 = 0.05;

/// Standard gravity, m/s².
pub const GRAVITY: f64 = 9.806_65;

/// Room between the pattern's print and the core's on each side, mm: default, least, greatest (practice).
pub const CLEARANCE: [f64; 3] = [0.4, 0.25, 0.5];

/// Taper of upright prints in the upper half, and of print ends: default, least, greatest (practice).
pub const TAPER: [Deg; 3] = [Deg::new(7.0), Deg::new(5.0), Deg::new(10.0)];

/// Default length of a lying print, mm, for a core's diameter there: three quarters of it, at least 25 mm (practice; up to one
/// diameter is in use). There is no fixed length: it must keep the core from sagging and floating (*Shop Practice*, read).
pub fn lying_print_length(diameter: f64) -> f64 {
    (0.75 * diameter).max(25.0)
}

/// Length of an upright round print in the lower half, mm: its diameter, up to about 3 in (*Modern Mechanical Engineering* I,
/// p. 102, read).
///
/// # Errors
/// Above 3 in, where prints are shorter than their diameter, by how much could not be read.
pub fn upright_print_length(diameter: f64) -> Result<f64, CoreError> {
    let fits = diameter > 0.0 && diameter <= Mm::inches(3.0).get();
    if fits { Ok(diameter) } else { Err(CoreError::UprightPrint { diameter }) }
}

/// Length of the print in the upper half for one below, in its unit: about half (same page, read).
pub fn upper_print_length(lower: f64) -> f64 {
    0.5 * lower
}

/// Density of an alloy's melt, kg/m³ (practice).
pub const fn molten_density(family: Family) -> f64 {
    match family {
        Family::Aluminium => MOLTEN_ALUMINIUM,
        Family::Iron => MOLTEN_IRON,
    }
}

/// Force of metal on a core that it covers, N upwards, before the core's weight: volume in mm³, density in kg/m³ (Archimedes).
pub fn buoyancy(volume: f64, molten: f64) -> f64 {
    volume * 1e-9 * molten * GRAVITY
}

/// Net lift of a core in metal and its weight, N: volume in mm³, density of the melt in kg/m³ (Archimedes). The lift is
/// half the weight in aluminium and 3.4 times it in iron.
pub fn core_lift(volume: f64, molten: f64) -> (f64, f64) {
    let weight = buoyancy(volume, SAND_CORE);
    (buoyancy(volume, molten) - weight, weight)
}

/// Pressure of prints on the sand, N/mm², from the net lift in N and the area in mm² on which they bear, seen from above.
///
/// # Errors
/// When it is more than green sand takes (practice: a warning).
pub fn print_pressure(lift: f64, area: f64) -> Result<f64, CoreError> {
    let pressure = if area > 0.0 { lift / area } else { f64::INFINITY };
    if pressure <= SAND_BEARING { Ok(pressure) } else { Err(CoreError::Bearing { pressure }) }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::standards::materials::ALLOYS;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// A core of 56 by 200 mm in aluminium (derived; densities practice). The lift is half the weight of 7.729 N; halving the
    /// rounded weight would give 3.87.
    #[test]
    fn t1_9_core_of_56_by_200() {
        let volume = PI * 28.0 * 28.0 * 200.0;
        near(volume / 1e3, 492.6, 0.05);
        let (lift, weight) = core_lift(volume, MOLTEN_ALUMINIUM);
        near(lift, 3.8646, 5e-5);
        near(weight, 7.7292, 5e-5);
        near(buoyancy(volume, MOLTEN_ALUMINIUM), lift + weight, 1e-12);
    }

    /// Shares of the weight (derived; densities practice).
    #[test]
    fn lift_is_a_share_of_the_weight() {
        for (molten, share) in [(MOLTEN_ALUMINIUM, 0.5), (MOLTEN_IRON, 3.375)] {
            let (lift, weight) = core_lift(1e6, molten);
            near(lift / weight, share, 1e-12);
        }
    }

    #[test]
    fn every_alloy_has_a_melt() {
        for alloy in ALLOYS {
            let molten = molten_density(alloy.family);
            assert!(molten < alloy.density.get(), "{}: the melt is lighter", alloy.name);
        }
    }

    /// One inch of diameter, one inch long (read).
    #[test]
    fn upright_prints_are_as_long_as_wide_up_to_3_inches() {
        assert_eq!(upright_print_length(25.4), Ok(25.4), "1 in");
        assert_eq!(upright_print_length(76.2), Ok(76.2), "3 in");
        let text = upright_print_length(76.3).expect_err("outside").to_string();
        assert!(text.contains("up to 76.2 mm"), "{text}");
        assert!(upright_print_length(f64::NAN).is_err() && upright_print_length(0.0).is_err(), "no diameter");
        near(upper_print_length(25.4), 12.7, 1e-12);
    }

    #[test]
    fn lying_prints_are_at_least_25_long() {
        near(lying_print_length(20.0), 25.0, 0.0);
        near(lying_print_length(80.0), 60.0, 1e-12);
    }

    #[test]
    fn prints_without_area_bear_nothing() {
        assert_eq!(print_pressure(5.0, 100.0), Ok(0.05), "just so");
        assert!(print_pressure(5.01, 100.0).is_err(), "more");
        assert_eq!(print_pressure(5.0, 0.0), Err(CoreError::Bearing { pressure: f64::INFINITY }), "no area");
        assert!(print_pressure(f64::NAN, 1.0).is_err(), "no number");
    }

    #[test]
    fn defaults_lie_in_their_ranges() {
        let [default, least, most] = CLEARANCE.map(Mm::new);
        assert!(least <= default && default <= most, "clearance");
        assert!(TAPER[1] <= TAPER[0] && TAPER[0] <= TAPER[2], "taper");
    }
}
