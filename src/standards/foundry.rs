//! Rules of pattern making and founding, as formulas.
//!
//! *Read*: the source was read; *memory*: it was not; *practice*: shop practice; *derived*: follows from plain geometry.

/// Contraction as a share, from a contraction rule's inches in a foot: 5/32 gives 0.01302 (read, foundry trade pages).
pub fn contraction_of_rule(inches_per_foot: f64) -> f64 {
    inches_per_foot / 12.0
}

/// A pattern's dimension for a casting's: times one and the contraction, which is how contraction rules are divided
/// (practice; dividing by one less the contraction gives 0.03 mm more on 200 mm of aluminium).
pub fn pattern_size(casting: f64, contraction: f64) -> f64 {
    casting * (1.0 + contraction)
}

/// Offset of a wall of a height by draft, in the height's unit (derived).
pub fn draft_offset(height: f64, draft: f64) -> f64 {
    height * draft.tan()
}

/// Draft for a length to be drawn, both in inches: 0.030 √L, at least 0.030. Fits a trade table of 1 to 10 in (read) within
/// 0.0012 in (derived).
pub fn draft_for_length(inches: f64) -> f64 {
    (0.030 * inches.sqrt()).max(0.030)
}

/// Diameter of the circle inscribed where walls of one thickness meet with a fillet inside and a sharp edge outside
/// (derived). Any unit of length.
pub fn hot_spot(junction: Junction, wall: f64, fillet: f64) -> f64 {
    let (t, r, root2) = (wall, fillet, std::f64::consts::SQRT_2);
    match junction {
        Junction::Tee => ((0.5 * t + r).powi(2) + (t + r).powi(2) - r * r) / (t + 2.0 * r),
        Junction::Ell => 2.0 * (root2 * (t + r) - r) / (1.0 + root2),
        Junction::Cross => 2.0 * (root2 * (0.5 * t + r) - r),
    }
}

/// How walls meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Junction {
    /// One ends in the other.
    Tee,
    /// Both end in one corner.
    Ell,
    /// Both run through.
    Cross,
}

/// Casting modulus: volume over cooling surface, mm (read).
pub fn modulus(volume: f64, surface: f64) -> f64 {
    volume / surface
}

/// Ratio of solidification times of two moduli by Chvorinov's rule, exponent `n` between 1.5 and 2 (read).
pub fn time_ratio(first: f64, second: f64, n: f64) -> f64 {
    (first / second).powf(n)
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

/// Lift of a core in metal and its weight, N; the volume in mm³ (Archimedes).
pub fn core_lift(volume: f64, molten: f64) -> (f64, f64) {
    let v = volume * 1e-9 * GRAVITY;
    (v * (molten - SAND_CORE), v * SAND_CORE)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Arithmetic of the two conventions (derived).
    #[test]
    fn t1_1_contraction_conventions() {
        near(pattern_size(200.0, 0.013), 202.600, 5e-4);
        near(200.0 / (1.0 - 0.013), 202.634, 5e-4);
    }

    /// Contraction rules in inches per foot (trade pages, read); double contraction (derived).
    #[test]
    fn t1_2_contraction_rules() {
        for (rule, want) in [
            (5.0 / 32.0, 0.013_020_8),
            (0.125, 0.010_416_7),
            (0.1875, 0.015_625),
            (0.25, 0.020_833_3),
            (11.0 / 64.0, 0.014_322_9),
        ] {
            near(contraction_of_rule(rule), want, 5e-8);
        }
        near(pattern_size(pattern_size(100.0, 0.013), 0.013), 102.6169, 5e-5);
    }

    /// Plain trigonometry (derived); the trade table of draft by length (read).
    #[test]
    fn t1_6_draft() {
        near(draft_offset(60.0, 1.5_f64.to_radians()), 1.5712, 5e-5);
        near(draft_offset(60.0, 2.0_f64.to_radians()), 2.0952, 5e-5);
        near(draft_offset(40.0, 3.0_f64.to_radians()), 2.0963, 5e-5);
        near(draft_for_length(4.0), 0.060, 1e-12);
        near(draft_for_length(0.5), 0.030, 1e-12);
        for (length, want) in
            [(1.0, 0.030), (2.0, 0.042), (3.0, 0.052), (4.0, 0.060), (5.0, 0.068), (10.0, 0.096)]
        {
            near(draft_for_length(length), want, 0.0012);
        }
    }

    /// Circles touching the walls and the fillets, in wall thicknesses (derived).
    #[test]
    #[allow(clippy::approx_constant, reason = "a table's own digits")]
    fn t1_7_hot_spots() {
        let rows = [
            (0.0, [1.2500, 1.1716, 1.4142]),
            (1.0 / 3.0, [1.4167, 1.2860, 1.6904]),
            (0.5, [1.5000, 1.3431, 1.8284]),
            (1.0, [1.7500, 1.5147, 2.2426]),
        ];
        for (r, want) in rows {
            for (junction, d) in [Junction::Tee, Junction::Ell, Junction::Cross].into_iter().zip(want) {
                near(hot_spot(junction, 1.0, r), d, 6e-5);
            }
        }
        near(hot_spot(Junction::Tee, 6.0, 3.0), 9.0, 1e-12);
    }

    /// A plate 100 × 100 × 6 and a cylinder of 30 by 40 mm (derived); Chvorinov with n = 2.
    #[test]
    fn t1_8_moduli() {
        let plate = modulus(100.0 * 100.0 * 6.0, 2.0 * (100.0 * 100.0 + 2.0 * 100.0 * 6.0));
        let area = std::f64::consts::PI * 30.0 * 40.0 + std::f64::consts::PI * 450.0;
        let cylinder = modulus(std::f64::consts::PI * 225.0 * 40.0, area);
        near(plate, 2.6786, 5e-5);
        near(cylinder, 5.4545, 5e-5);
        near(time_ratio(cylinder, plate, 2.0), 4.1468, 5e-4);
    }

    /// A core of 56 by 200 mm (derived; densities practice).
    #[test]
    fn t1_9_core_lift() {
        let volume = std::f64::consts::PI * 28.0 * 28.0 * 200.0;
        near(volume / 1e3, 492.6, 0.05);
        let (lift, weight) = core_lift(volume, MOLTEN_ALUMINIUM);
        near(lift, 3.87, 0.01);
        near(weight, 7.73, 0.01);
    }
}
