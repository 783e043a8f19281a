//! Torsion of thin-walled bars.

use crate::units::MPa;

/// Where the formulas come from.
pub const TORSION_SOURCE: &str =
    "Bredt's first formula; Vlasov's theory of bars that warp: textbook theory, from memory";

/// Yield strength in shear over that in tension, by the greatest energy of distortion (von Mises): 1/√3 (textbook).
pub const SHEAR_SHARE: f64 = 0.577_350_269_189_625_8;

/// Shear stress in the wall of a closed thin tube: T / (2 A t), with the area A that the wall's middle line encloses and
/// the wall t (Bredt's first formula). N mm, mm², mm. The least wall gives the greatest stress.
pub fn closed_tube(torque: f64, enclosed: f64, wall: f64) -> MPa {
    MPa::new(torque.abs() / (2.0 * enclosed * wall))
}

/// An open stretch of a bar between two closed ones, which keep its ends from warping.
///
/// From there φ' = (T / G J) (1 − cosh λx / cosh(λL/2)) about its middle, with λ² = G J / (E Iω) (Vlasov; textbook theory, from
/// memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenStretch {
    /// λL/2: how far the ends' hold decays towards the middle.
    decay: f64,
    /// Half its length, mm.
    half: f64,
}

impl OpenStretch {
    /// A stretch of this length, mm, of a section with torsion constant J, mm⁴, and warping constant Iω, mm⁶, in a metal with this
    /// shear modulus over its modulus of elasticity.
    pub fn new(length: f64, torsion: f64, warping: f64, shear_share: f64) -> Self {
        let half = 0.5 * length;
        Self { decay: half * (shear_share * torsion / warping).sqrt(), half }
    }

    /// Share of the torque that the section bears in its middle as if it were free to warp; the rest is borne by warping.
    pub fn free_share(&self) -> f64 {
        1.0 - 1.0 / self.decay.cosh()
    }

    /// Bimoment at its ends under a torque, N mm: N mm². Tension there is bimoment times ω / Iω.
    pub fn bimoment(&self, torque: f64) -> f64 {
        let eased = if self.decay > 1e-6 { self.decay.tanh() / self.decay } else { 1.0 };
        torque.abs() * self.half * eased
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A round tube of radius 50 and wall 2 has the exact stress T R / J at its outside; Bredt's differs by the share of
    /// half the wall in the radius, 2 %. Coulomb's torsion of a round tube: textbook theory, from memory.
    #[test]
    fn a_thin_round_tube_agrees_with_the_exact_theory() {
        let (outer, inner, torque) = (51.0_f64, 49.0_f64, 1e6);
        let polar = PI / 2.0 * (outer.powi(4) - inner.powi(4));
        let thin = closed_tube(torque, PI * 50.0 * 50.0, 2.0).get();
        assert!((thin / (torque * 50.0 / polar) - 1.0).abs() < 1e-3, "at the middle of the wall: {thin}");
        assert!((thin / (torque * outer / polar) - 1.0).abs() < 0.021, "at the outside: {thin}");
    }

    /// A short stretch bears all by warping, its ends bent like those of a beam between two that are held: T L / 2. A long one
    /// twists freely in its middle, and its ends decay over 1/λ: B = T / λ. Limits of the formula, derived.
    #[test]
    fn short_stretches_warp_and_long_ones_twist() {
        let short = OpenStretch::new(10.0, 1e4, 1e9, 0.4);
        assert!(short.free_share() < 1e-4, "{}", short.free_share());
        assert!((short.bimoment(-100.0) - 500.0).abs() < 0.1, "{}", short.bimoment(-100.0));
        let long = OpenStretch::new(1e5, 1e4, 1e9, 0.4);
        assert!((long.free_share() - 1.0).abs() < 1e-9, "{}", long.free_share());
        let decay = (1e9_f64 / 0.4e4).sqrt();
        assert!((long.bimoment(100.0) / (100.0 * decay) - 1.0).abs() < 1e-9, "{}", long.bimoment(100.0));
        assert!((OpenStretch::new(0.0, 1.0, 1.0, 0.4).bimoment(1.0)).abs() < 1e-12, "no length");
    }
}
