//! Torsion of thin-walled bars.

use crate::units::MPa;

/// Where both formulas come from.
pub const TORSION_SOURCE: &str =
    "Bredt's first formula and de Saint-Venant's thin strip: textbook theory, from memory";

/// Yield strength in shear over that in tension, by the greatest energy of distortion (von Mises): 1/√3.
pub const SHEAR_SHARE: f64 = 0.577_350_269_189_625_8;

/// Shear stress in the wall of a closed thin tube: T / (2 A t), with the area A that the wall's middle line encloses and
/// the wall t (Bredt's first formula). N mm, mm², mm. The least wall gives the greatest stress.
pub fn closed_tube(torque: f64, enclosed: f64, wall: f64) -> MPa {
    MPa::new(torque.abs() / (2.0 * enclosed * wall))
}

/// Shear stress in an open thin strip of area A and thickness t that may warp freely: 3 T / (A t). N mm, mm², mm. What
/// keeps it from warping takes a part of the torque, so that the true stress is lower.
pub fn open_strip(torque: f64, area: f64, wall: f64) -> MPa {
    MPa::new(3.0 * torque.abs() / (area * wall))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A round tube of radius 50 and wall 2 has the exact stress T R / J at its outside; Bredt's differs by the share of
    /// half the wall in the radius, 2 %. The same tube slit open bears 3 T / (2 π r t²).
    /// Coulomb's torsion of a round tube and de Saint-Venant's of a slit one: textbook theory, from memory.
    #[test]
    fn a_thin_round_tube_agrees_with_the_exact_theory() {
        let (outer, inner, torque) = (51.0_f64, 49.0_f64, 1e6);
        let polar = PI / 2.0 * (outer.powi(4) - inner.powi(4));
        let thin = closed_tube(torque, PI * 50.0 * 50.0, 2.0).get();
        assert!((thin / (torque * 50.0 / polar) - 1.0).abs() < 1e-3, "at the middle of the wall: {thin}");
        assert!((thin / (torque * outer / polar) - 1.0).abs() < 0.021, "at the outside: {thin}");
        let area = PI * (outer * outer - inner * inner);
        let slit = open_strip(torque, area, 2.0).get();
        assert!((slit / (3.0 * torque / (2.0 * PI * 50.0 * 4.0)) - 1.0).abs() < 1e-9, "slit: {slit}");
        assert!(slit / thin > 70.0, "a slit costs 3 r / t = 75 times the stress: {}", slit / thin);
    }
}
