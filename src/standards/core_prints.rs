//! Core prints, and the forces on a core while the mould is filled.

use super::materials::Family;
use crate::units::STANDARD_GRAVITY;
/// Density of molten aluminium, kg/m³ (practice).
pub const MOLTEN_ALUMINIUM: f64 = 2400.0;

/// Density of molten iron, kg/m³ (practice).
pub const MOLTEN_IRON: f64 = 7000.0;

/// Density of a sand core, kg/m³ (practice).
pub const SAND_CORE: f64 = 1600.0;

/// Bearing that green sand takes, N/mm² (practice).
pub const SAND_BEARING: f64 = 0.05;

/// Bending stress that a baked or cold-set sand core bears while it is handled and poured round, N/mm²: half of a tensile strength of
/// 0.7 N/mm² at the low end of such cores (practice, from memory; the core maker knows his own sand).
pub const SAND_BENDING: f64 = 0.35;

/// Section modulus of a round section with a round hole in its middle, mm³, by its diameters in mm: π (D⁴ - d⁴) / 32 D (any textbook of
/// strength of materials). Zero where the hole leaves nothing.
pub fn round_section_modulus(outer: f64, hole: f64) -> f64 {
    if outer <= hole {
        return 0.0;
    }
    std::f64::consts::PI * (outer.powi(4) - hole.powi(4)) / (32.0 * outer)
}

/// Default length of a lying print, mm, for a core's diameter there: three quarters of it, at least 25 mm (practice; up to one
/// diameter is in use). There is no fixed length: it must keep the core from sagging and floating (*Shop Practice*, read).
pub fn lying_print_length(diameter: f64) -> f64 {
    (0.75 * diameter).max(25.0)
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
    volume * 1e-9 * molten * STANDARD_GRAVITY
}

/// Net lift of a core in metal and its weight, N: volume in mm³, density of the melt in kg/m³ (Archimedes). The lift is
/// half the weight in aluminium and 3.4 times it in iron.
pub fn core_lift(volume: f64, molten: f64) -> (f64, f64) {
    let weight = buoyancy(volume, SAND_CORE);
    (buoyancy(volume, molten) - weight, weight)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::standards::materials::ALLOYS;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Section moduli of round bars of 10 and 20 mm in tables of bar sections: 98.2 and 785 mm³ (from memory); a tube is its
    /// outer bar less its hole's second moment.
    #[test]
    fn section_moduli_of_bars() {
        near(round_section_modulus(10.0, 0.0), 98.2, 0.05);
        near(round_section_modulus(20.0, 0.0), 785.4, 0.05);
        near(round_section_modulus(20.0, 10.0), 785.4 - 98.2 / 2.0, 0.1);
        near(round_section_modulus(6.0, 6.0), 0.0, 0.0);
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

    /// A core of 1875 cm³ under molten lead of 11.3 g/cm³ weighs 3 kg at 1.6 g/cm³, the lead in its place 21.19 kg, and 178.4 N lift it
    /// (worked example in lecture notes on buoyancy in casting, read; with 9.81 m/s²).
    #[test]
    fn lead_lifts_the_core_of_the_worked_example() {
        let (lift, weight) = core_lift(1_875_000.0, 11_300.0);
        near(weight / STANDARD_GRAVITY, 3.0, 1e-9);
        near(buoyancy(1_875_000.0, 11_300.0) / STANDARD_GRAVITY, 21.19, 0.005);
        near(lift, 178.4, 0.1);
    }

    /// A core of 10 cm diameter and 180 cm length in a cast-iron pipe: 14,137 cm³, and 856.7 N lift it, at 0.0771 N/cm³ for the melt and 0.0165
    /// for the core (worked problem on the weights on a mould, read). Sand is 1600 kg/m³ here, 0.0157 N/cm³: the core is lighter by the difference.
    #[test]
    fn iron_lifts_the_core_of_a_pipe_as_in_the_worked_problem() {
        let volume = PI / 4.0 * 100.0 * 100.0 * 1800.0;
        near(volume / 1e3, 14_137.2, 0.05);
        let (lift, weight) = core_lift(volume, 0.0771e6 / STANDARD_GRAVITY);
        let heavier = volume / 1e3 * 0.0165 - weight;
        near(lift - heavier, 856.7, 0.05);
    }

    /// Shares of the weight (derived; densities practice).
    #[test]
    fn lift_is_a_share_of_the_weight() {
        for (molten, share) in [(MOLTEN_ALUMINIUM, 0.5), (MOLTEN_IRON, 3.375)] {
            let (lift, weight) = core_lift(1e6, molten);
            near(lift / weight, share, 1e-12);
        }
    }

    /// No outside value: a property of the table itself.
    #[test]
    fn every_alloy_has_a_melt() {
        for alloy in ALLOYS {
            let molten = molten_density(alloy.family);
            assert!(molten < alloy.density.get(), "{}: the melt is lighter", alloy.name);
        }
    }

    /// Common practice.
    #[test]
    fn lying_prints_are_at_least_25_long() {
        near(lying_print_length(20.0), 25.0, 0.0);
        near(lying_print_length(80.0), 60.0, 1e-12);
    }
}
