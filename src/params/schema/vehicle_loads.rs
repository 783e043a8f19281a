//! `vehicle.loads`: what the housing must bear.

use super::mating::STATION;
use super::section::section;
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Factor, Length, Measure, Range};
use crate::units::{ACCELERATION, FORCE, MASS, Mm, STRESS};

const TIMES: Range = range(0.0, 20.0, "times the weight");

section! {
    /// What the housing must bear. Torque comes from `mating.yoke`.
    pub struct LoadsKeys => Loads {
        /// Mass that rests on the housing's mount: its share of engine and gearbox.
        carried_mass: f64 = |k| k.value(Measure(&MASS, range(1.0, 2000.0, "engines with gearboxes")), "70 kg").required();
        /// Load up and down on a bad road, as a multiple of the weight.
        vertical: f64 = |k| k.value(Measure(&ACCELERATION, TIMES), "3").or_assume(3.0, "three times the weight up and down", PRACTICE);
        /// Load along the vehicle in hard braking, as a multiple of the weight.
        longitudinal: f64 = |k| k.value(Measure(&ACCELERATION, TIMES), "1.5").or_assume(1.5, "braking, and a kerb", PRACTICE);
        /// Load across the vehicle in a bend, as a multiple of the weight.
        lateral: f64 = |k| k.value(Measure(&ACCELERATION, TIMES), "1").or_assume(1.0, "a bend at the limit of the tyres", PRACTICE);
        /// Share of the torque's reaction that the housing's mount takes.
        torque_share: f64 = |k| k.value(Factor(range(0.0, 1.0, "a share of the whole")), "0.25").or_assume(
            0.25, "the engine's mounts stand wide apart and take the most", PRACTICE);
        /// Distance from the pad's face to where the mount takes the force.
        lever: Mm = |k| k.value(Length(range(0.0, 300.0, PART_SIZE)), "25").or_assume(Mm::new(25.0), "a rubber mount", PRACTICE);
        /// How far ahead of the gearbox face the engine's mounts stand; the propeller shaft's force is shared with them.
        engine_mounts_ahead: Mm = |k| k.value(Length(range(0.0, 3000.0, "engines with gearboxes")), "700").or_assume(
            Mm::new(0.0), "as if the gearbox turned about its face, the most that the mount may have to bear", "equilibrium, derived");
        /// Station of the output shaft's rear bearing.
        bearing_station: Mm = |k| k.value(Length(STATION), "0").or_assume(Mm::new(0.0), "in the gearbox's rear face", PRACTICE);
        /// Friction of a spline that binds under torque.
        spline_friction: f64 = |k| k.value(Factor(range(0.02, 0.6, "greased to dry steel")), "0.15").or_assume(
            0.15, "steel with old grease", PRACTICE);
        /// Least pressure that the gearbox face's gasket or sealant needs.
        gasket_pressure: f64 = |k| k.value(Measure(&STRESS, range(0.0, 100.0, "gaskets")), "1 MPa").or_assume(1.0, "paper or sealant", PRACTICE);
        /// Thickness of the gearbox face's gasket.
        gasket_thickness: Mm = |k| k.value(Length(range(0.02, 5.0, "films of sealant to sheets of cork")), "0.5").or_assume(
            Mm::new(0.5), "a paper gasket", PRACTICE);
        /// Modulus of elasticity of the gearbox face's gasket.
        gasket_modulus: f64 = |k| k.value(Measure(&STRESS, range(1.0, 200_000.0, "cork to steel")), "120 MPa").or_assume(
            120.0, "vegetable fibre", "Shigley's table of gasket materials, from memory");
    } optional {
        /// By how much stress is higher at steps and roots of fillets than in the plain section; by Roark's formula for the flange's
        /// fillet, and at least 2.5, if left out.
        notch_factor: f64 = |k| k.value(Factor(range(1.0, 5.0, "steps with fillets")), "2.5").optional();
        /// Ratio of the lowest gear, from which the torque in the highest one follows.
        lowest_gear: f64 = |k| k.value(Factor(range(1.0, 10.0, "gearboxes")), "3.5").optional();
        /// Thrust that the output shaft's snap rings and bearing stand.
        thrust_limit: f64 = |k| k.value(Measure(&FORCE, range(100.0, 1e6, "snap rings and bearings")), "12000 N").optional();
    }
}
