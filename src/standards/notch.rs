//! Stress at the root of a shoulder over that of the plain section.

use crate::units::Mm;

/// Where the formula comes from.
pub const NOTCH_SOURCE: &str = "Roark's Formulas for Stress and Strain, table 17.1, square shoulder with fillet in a circular shaft, bending, through a page";

/// Factor of a notch of which nothing more is known. Openings and bosses: a small round hole in a wide plate has 3 (Kirsch, textbook),
/// finite elements find 2.2 at the demonstration's flange and opening (common practice).
pub const ELSEWHERE: f64 = 2.5;

/// Greatest stress in bending at the fillet of a square shoulder over that of the smaller diameter: the larger and the smaller
/// diameter, and the fillet's radius. A cubic in 2h/D with coefficients in h/r, h the shoulder's height, for h/r from 0.25 to 20;
/// beyond these the value there. A sharp corner counts as h/r = 20. 1 where there is no shoulder. Coefficients of
/// [`NOTCH_SOURCE`], read.
pub fn shoulder_in_bending(larger: Mm, smaller: Mm, fillet: Mm) -> f64 {
    let height = 0.5 * (larger - smaller).get();
    if height <= 0.0 {
        return 1.0;
    }
    let ratio = (height / fillet.get().max(f64::MIN_POSITIVE)).clamp(0.25, 20.0);
    let root = ratio.sqrt();
    let terms = if ratio <= 2.0 {
        [[0.927, 1.149, -0.086], [0.015, -3.281, 0.837], [0.847, 1.716, -0.506], [-0.790, 0.417, -0.246]]
    } else {
        [[1.225, 0.831, -0.010], [-3.790, 0.958, -0.257], [7.374, -4.834, 0.862], [-3.809, 3.046, -0.595]]
    };
    let share = 2.0 * height / larger.get();
    terms.iter().rev().fold(0.0, |sum, [a, b, c]| sum * share + a + b * root + c * ratio).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(larger: f64, smaller: f64, fillet: f64) -> f64 {
        shoulder_in_bending(Mm::new(larger), Mm::new(smaller), Mm::new(fillet))
    }

    /// A shaft of 32 mm with a fillet of 3 mm to 38 mm: 1.65 by Peterson's chart, as an example of Shigley's textbook takes it (from
    /// memory).
    #[test]
    fn a_shouldered_shaft() {
        let found = factor(38.0, 32.0, 3.0);
        assert!((found - 1.65).abs() < 0.02, "{found}");
    }

    /// Both sets of coefficients agree where they meet, at h/r = 2, within 2 %; sharper fillets are worse, and no shoulder is none.
    /// Properties of the formula, no outside value.
    #[test]
    fn sharper_fillets_are_worse() {
        let [below, above] = [1.999, 2.001].map(|ratio| factor(60.0, 40.0, 10.0 / ratio));
        assert!((below / above - 1.0).abs() < 0.02, "{below} {above}");
        let all = [40.0, 20.0, 10.0, 5.0, 3.0, 2.1].map(|fillet| factor(227.0, 146.0, fillet));
        assert!(all.windows(2).all(|w| w[0] < w[1]), "{all:?}");
        assert!(factor(227.0, 146.0, 0.0).is_finite() && factor(227.0, 146.0, 0.0) > all[5] - 1e-9);
        assert!(
            (factor(40.0, 40.0, 3.0) - 1.0).abs() < 1e-12 && (factor(30.0, 40.0, 3.0) - 1.0).abs() < 1e-12
        );
    }
}
