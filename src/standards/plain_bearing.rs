//! What a plain bushing bears, and what a joint at an angle loads it with.

use super::mating_materials::MatingMaterial;
use crate::units::{Deg, MPa};

/// Limits of a bushing that no full film of oil carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BushingLimits {
    /// Pressure on its bore, projected.
    pub pressure: MPa,
    /// Speed in its bore, m/s.
    pub speed: f64,
    /// Product of both, `MPa m/s`.
    pub product: f64,
}

/// Where they are from.
pub const BUSHING_SOURCE: &str = "C93200: 3000 psi, 750 ft/min, 75 000 psi ft/min, a bronze maker's table, read; for bushings that no oil film carries";

/// N/mm² (by definition).
const PSI: f64 = 0.006_894_757;
/// m/s (by definition).
const FEET_A_MINUTE: f64 = 0.3048 / 60.0;

/// Limits of a material, read in a table ([`BUSHING_SOURCE`]); `None` where none was found.
pub fn bushing_limits(material: &MatingMaterial) -> Option<BushingLimits> {
    (material.name == "bronze_c93200").then(|| BushingLimits {
        pressure: MPa::new(3000.0 * PSI),
        speed: 750.0 * FEET_A_MINUTE,
        product: 75_000.0 * PSI * FEET_A_MINUTE,
    })
}

/// Greatest couple on the shaft ahead of a cross joint, N m, under a torque: `T tan β`, twice a turn, square to the shaft
/// (textbooks on cross joints, from memory; statics of the cross: its torque is square to the cross's plane, which leans by the
/// joint's angle when the driving fork lies in the plane of both shafts).
pub fn joint_couple(torque: f64, angle: Deg) -> f64 {
    torque * angle.tan().abs()
}

/// Thrust along a spline that binds, N, before it slides: friction of the force at its pitch diameter, mm, under a torque, N m
/// (statics).
pub fn spline_thrust(torque: f64, pitch_diameter: f64, friction: f64) -> f64 {
    friction * 2000.0 * torque / pitch_diameter
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::mating_materials::find;

    /// A bronze maker's table, read: 3000 psi, 750 ft/min, 75 000 psi ft/min; a psi is 6894.757 Pa.
    #[test]
    fn limits_of_c93200() {
        let limits = bushing_limits(find("bronze_c93200").expect("known")).expect("a table");
        assert!((limits.pressure.get() - 20.684).abs() < 1e-3, "{limits:?}");
        assert!((limits.speed - 3.81).abs() < 1e-9, "{limits:?}");
        assert!((limits.product - 2.627).abs() < 1e-3, "{limits:?}");
        assert!(bushing_limits(find("steel").expect("known")).is_none(), "no table");
    }

    /// Statics, by vectors: the driving fork lies in the plane of both shafts, so that the cross's torque is square to both pins,
    /// one of which is square to that plane and the other to the driven shaft. Its part along the driving shaft is T.
    #[test]
    fn couple_of_a_cross_joint() {
        let angle = 10.0_f64.to_radians();
        // Driving shaft along x, driven one in the plane of x and z; driving pin along z, driven pin along y.
        let pins = [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0]];
        let cross = |a: [f64; 3], b: [f64; 3]| {
            [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
        };
        // A quarter turn on: the driving pin along y, the driven one square to the driven shaft in the plane of both.
        let turned = [[0.0, 1.0, 0.0], [-angle.sin(), 0.0, angle.cos()]];
        let straight = cross(pins[0], pins[1]);
        assert!(straight[2].abs() < 1e-12, "no couple on the driving shaft there");
        let normal = cross(turned[0], turned[1]);
        let couple = 100.0 * (normal[2] / normal[0]).abs();
        assert!((couple - joint_couple(100.0, Deg::new(10.0))).abs() < 1e-9, "{couple}");
    }

    /// By hand: 600 N m at 30 mm are 40 kN at the teeth; a friction of 0.15 holds 6 kN.
    #[test]
    fn thrust_of_a_binding_spline() {
        assert!((spline_thrust(600.0, 30.0, 0.15) - 6000.0).abs() < 1e-9);
    }
}
