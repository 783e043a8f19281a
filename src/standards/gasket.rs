//! How evenly the bolts of a flange press its gasket: between them less than under them.

use std::f64::consts::TAU;

/// Where the formula comes from.
pub const GASKET_SOURCE: &str = "beam on an elastic foundation under evenly spaced forces (Winkler; Hetényi), with the shell as a sheet on its edge \
     (Timoshenko and Goodier): textbook theory, from memory; finite elements on the demonstration bear it out";

/// Harmonics of the bolts' spacing that are summed, chosen: the last one counts for less than a millionth.
const HARMONICS: u32 = 200;

/// A flange between two neighbouring bolts ([`GASKET_SOURCE`], from memory), as a straight beam that stands on its gasket; lengths in mm, N/mm².
///
/// The gearbox's flange is taken to be as stiff, so that each bears on half the gasket's thickness. The bolts press in points, and the
/// shell's foot on the flange runs as far as the bolts' circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltedFlange {
    /// From bolt to bolt.
    pub spacing: f64,
    /// Of the face that is pressed.
    pub width: f64,
    /// Of the flange.
    pub thickness: f64,
    /// Wall of the shell that stands on the flange; zero for none.
    pub shell: f64,
    /// Modulus of elasticity of flange and shell.
    pub elasticity: f64,
    /// Face of a lug beyond the ring that is pressed all round, mm²; zero for a disc.
    pub lug: f64,
}

/// Textbook theory, from memory: [`GASKET_SOURCE`].
impl BoltedFlange {
    /// Pressure in the middle between two bolts over the mean one; below zero where it would have to pull. The gasket: modulus, N/mm²,
    /// and thickness, mm.
    ///
    /// A lug is pressed like the ring under its bolt, and takes that off the bolt's force: of the mean over ring and lugs the ring has
    /// (1 + A/lb) / (1 + s A/lb), with the lug's face A and the pressure under a bolt s over the ring's mean. That the bolt stands
    /// outside the ring and tilts it is left out.
    pub fn between_bolts(&self, modulus: f64, gasket: f64) -> f64 {
        let beside = self.lug / (self.spacing * self.width);
        let under = self.wave_sum(modulus, gasket, |_| 2.0);
        let midway = self.wave_sum(modulus, gasket, |n| if n.is_multiple_of(2) { 2.0 } else { -2.0 });
        midway * (1.0 + beside) / (1.0 + under * beside)
    }

    /// Pressure of the ring alone over its mean, where the waves have these weights.
    ///
    /// The bolts' forces F at a spacing l are the sum (F/l)(1 + 2 Σ cos nκx) with κ = 2π/l. Of each wave the gasket takes the share
    /// k / (k + E I (nκ)⁴ + E t nκ/2): the beam's stiffness E I (nκ)⁴, and that of a sheet of thickness t whose edge is pressed in
    /// waves.
    fn wave_sum(&self, modulus: f64, gasket: f64, weight: impl Fn(u32) -> f64) -> f64 {
        let foundation = self.width * modulus / (0.5 * gasket);
        let second = self.width * self.thickness.powi(3) / 12.0;
        let share = |n: u32| {
            let wave = f64::from(n) * TAU / self.spacing;
            let stiff = self.elasticity * (second * wave.powi(4) + 0.5 * self.shell * wave);
            weight(n) * foundation / (foundation + stiff)
        };
        1.0 + (1..=HARMONICS).map(share).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flange(spacing: f64, shell: f64) -> BoltedFlange {
        BoltedFlange { spacing, width: 40.0, thickness: 12.7, shell, elasticity: 72_400.0, lug: 0.0 }
    }

    /// Without a shell: the closed form for evenly spaced forces, deflection midway
    /// (F β / k)(sinh ½βl cos ½βl + cosh ½βl sin ½βl) / (cosh βl − cos βl), with β⁴ = k / 4 E I. Hetényi, Beams on Elastic Foundation,
    /// from memory; also the sum of single forces' deflections (F β / 2k) e^(−βx) (cos βx + sin βx), textbook.
    #[test]
    fn evenly_spaced_forces_on_a_beam() {
        for spacing in [30.0, 60.0, 97.0, 150.0] {
            let (modulus, gasket) = (120.0, 0.5);
            let of = flange(spacing, 0.0);
            let k: f64 = of.width * modulus / (0.5 * gasket);
            let beta = (k / (4.0 * of.elasticity * of.width * of.thickness.powi(3) / 12.0)).powf(0.25);
            let (half, whole) = (0.5 * beta * spacing, beta * spacing);
            let closed =
                whole * (half.sinh() * half.cos() + half.cosh() * half.sin()) / (whole.cosh() - whole.cos());
            let found = of.between_bolts(modulus, gasket);
            assert!((found - closed).abs() < 1e-4, "{spacing}: {found} for {closed}");
            let single = |x: f64| 0.5 * (-beta * x).exp() * ((beta * x).cos() + (beta * x).sin());
            let sum: f64 = (0..60).map(|i| 2.0 * single((f64::from(i) + 0.5) * spacing)).sum();
            assert!((found - whole * sum).abs() < 1e-4, "{spacing}: {found} for {}", whole * sum);
        }
    }

    /// Under a bolt the same beam is pressed by (β l / 2)(sinh βl + sin βl) / (cosh βl − cos βl) of the mean (Hetényi, from memory). A
    /// lug of half the ring's face to a bolt then leaves the ring, by hand, 1.5 / (1 + s / 2) of what a ring alone has midway.
    #[test]
    fn lugs_take_their_part() {
        let (modulus, gasket, ring) = (120.0, 0.5, flange(60.0, 0.0));
        let k: f64 = ring.width * modulus / (0.5 * gasket);
        let beta = (k / (4.0 * ring.elasticity * ring.width * ring.thickness.powi(3) / 12.0)).powf(0.25);
        let whole = beta * ring.spacing;
        let under = 0.5 * whole * (whole.sinh() + whole.sin()) / (whole.cosh() - whole.cos());
        let lugged = BoltedFlange { lug: 0.5 * ring.spacing * ring.width, ..ring };
        let wanted = ring.between_bolts(modulus, gasket) * 1.5 / (1.0 + 0.5 * under);
        let found = lugged.between_bolts(modulus, gasket);
        assert!((found / wanted - 1.0).abs() < 1e-3, "{found} for {wanted}");
        assert!(
            found > 0.0 && found < ring.between_bolts(modulus, gasket),
            "less than without lugs: {found}"
        );
    }

    /// Bolts close together press evenly, far apart not at all between them, and a shell helps: limits of the formula, derived.
    #[test]
    fn near_bolts_press_evenly_and_a_shell_helps() {
        assert!((flange(5.0, 0.0).between_bolts(120.0, 0.5) - 1.0).abs() < 1e-3);
        assert!(flange(400.0, 0.0).between_bolts(120.0, 0.5).abs() < 0.01);
        let [bare, held] = [0.0, 7.9].map(|shell| flange(97.3, shell).between_bolts(120.0, 0.5));
        assert!(bare < held && held < 1.0, "{bare} {held}");
    }
}
