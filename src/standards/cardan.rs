//! Cardan joints: how unevenly they turn, what two of them leave over, and the angles that a speed allows.
//!
//! Angles are those between the shafts at a joint. Accelerations are rad/s². The limits of acceleration are inferred from published
//! charts and tables of angles that refer to SAE AE-7; its text was not seen.

use std::f64::consts::PI;

use crate::units::{Deg, Mm};

/// Greatest acceleration that two joints may leave over at the driven end (inferred from a chart, read).
pub const MOST_TORSIONAL: f64 = 400.0;

/// Greatest acceleration of the shaft between two joints, or behind a single one (inferred from a table, read).
pub const MOST_INERTIAL: f64 = 1000.0;

/// Least angle of a joint, so that its needles turn (trade rule, read).
pub const LEAST_ANGLE: Deg = Deg::new(0.5);

/// Greatest difference of two joints' angles (trade rule, read; another has 1.5).
pub const MOST_DIFFERENCE: Deg = Deg::new(1.0);

fn omega(rpm: f64) -> f64 {
    rpm * PI / 30.0
}

/// Speed of the driven shaft for a speed of one, at a turn of the driving yoke counted from its standing in the plane of both
/// shafts, where the ratio is greatest: `cos b / (1 − sin² b cos² φ)` (read).
pub fn speed_ratio(angle: Deg, turn: Deg) -> f64 {
    let ((sin, cos), (_, along)) = (angle.sin_cos(), turn.sin_cos());
    cos / (1.0 - (sin * along).powi(2))
}

/// Least and greatest of [`speed_ratio`] over a turn: `cos b` and `1 / cos b`.
pub fn speed_range(angle: Deg) -> [f64; 2] {
    let (_, cos) = angle.sin_cos();
    [cos, 1.0 / cos]
}

/// Turn of the driving yoke at which both shafts run alike: `cos² φ = 1 / (1 + cos b)` (derived from [`speed_ratio`]).
pub fn even_turn(angle: Deg) -> Deg {
    let (_, cos) = angle.sin_cos();
    Deg::new((1.0 / (1.0 + cos)).sqrt().acos().to_degrees())
}

/// Unevenness: greatest less least speed, over the mean, `sin b tan b`.
pub fn unevenness(angle: Deg) -> f64 {
    let (sin, cos) = angle.sin_cos();
    sin * sin / cos
}

/// By how much the driven shaft leads or lags at most: `atan((1 − cos b) / (2 √cos b))`.
pub fn angle_error(angle: Deg) -> Deg {
    let (_, cos) = angle.sin_cos();
    Deg::new(((1.0 - cos) / (2.0 * cos.sqrt())).atan().to_degrees())
}

/// Peak acceleration of the driven shaft by the charts' sum for small angles, `b² ω²`.
pub fn acceleration(angle: Deg, rpm: f64) -> f64 {
    (angle.to_radians() * omega(rpm)).powi(2)
}

/// Peak acceleration of the driven shaft, exactly: the greatest of
/// `ω² cos b sin² b sin 2φ / (1 − sin² b cos² φ)²` (theory of machines, derived).
pub fn exact_acceleration(angle: Deg, rpm: f64) -> f64 {
    let (sin, cos) = angle.sin_cos();
    let s = sin * sin;
    // Where the derivative is zero: with x = cos 2φ, s x² + (2 − s) x − 2 s = 0, free of cancellation.
    let x = 4.0 * s / ((2.0 - s) + ((2.0 - s).powi(2) + 8.0 * s * s).sqrt());
    let across = (1.0 - x * x).sqrt();
    omega(rpm).powi(2) * cos * s * across / (1.0 - 0.5 * s * (1.0 + x)).powi(2)
}

/// Angle of one joint that turns as unevenly as these two in phase: `√|b1² − b2²|` (SAE AE-7, from memory; a chart bears it out).
pub fn residual(first: Deg, second: Deg) -> Deg {
    Deg::new((first.get().powi(2) - second.get().powi(2)).abs().sqrt())
}

/// The same with the yokes a quarter turn out of phase, where the joints add up: `√(b1² + b2²)` (derived).
pub fn residual_out_of_phase(first: Deg, second: Deg) -> Deg {
    Deg::new(first.get().hypot(second.get()))
}

/// The same for joints whose planes, seen along the shaft, stand at an angle to each other, yokes' turn included:
/// `√|b1² − b2² e^(2iθ)|`, of which [`residual`] is 0 and [`residual_out_of_phase`] a quarter turn (derived: each joint's
/// unevenness is of second order).
pub fn residual_turned(first: Deg, second: Deg, turn: Deg) -> Deg {
    let (a, b) = (first.get().powi(2), second.get().powi(2));
    let (_, cos) = (turn * 2.0).sin_cos();
    Deg::new((a * a + b * b - 2.0 * a * b * cos).max(0.0).sqrt().sqrt())
}

/// Angle at which the peak acceleration of [`acceleration`] reaches a limit.
pub fn most_angle(rpm: f64, limit: f64) -> Deg {
    Deg::new((limit.sqrt() / omega(rpm)).to_degrees())
}

/// Angle of a joint from its angles in top and side view, by the sum for small ones: `√(T² + S²)` (read).
pub fn compound_angle(top: Deg, side: Deg) -> Deg {
    Deg::new(top.get().hypot(side.get()))
}

/// The same exactly, for a shaft in line with the view's axis: `atan √(tan² T + tan² S)` (read).
pub fn exact_compound_angle(top: Deg, side: Deg) -> Deg {
    Deg::new(top.tan().hypot(side.tan()).atan().to_degrees())
}

/// Greatest angle by a shaft's length: a fifth of the inches for parallel outer shafts, a tenth for crossing ones (trade rule, read).
pub fn most_angle_by_length(length: Mm, parallel: bool) -> Deg {
    Deg::new(length.to_inches() / if parallel { 5.0 } else { 10.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Between joints in one plane and in planes square to each other: the sum of two phasors of second order.
    #[test]
    fn turned_joints_lie_between_in_phase_and_out_of_phase() {
        let (a, b) = (Deg::new(3.0), Deg::new(2.0));
        for (turn, value) in
            [(0.0, residual(a, b)), (90.0, residual_out_of_phase(a, b)), (180.0, residual(a, b))]
        {
            assert!((residual_turned(a, b, Deg::new(turn)) - value).abs().get() < 1e-12, "{turn}");
        }
        // |9 - 4 i| by Pythagoras.
        let half = residual_turned(a, b, Deg::new(45.0)).get();
        assert!((half - 97.0_f64.sqrt().sqrt()).abs() < 1e-12, "{half}");
    }

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Formulas read; derived.
    #[test]
    fn t6_5_joint_of_5_degrees() {
        let five = Deg::new(5.0);
        let [least, greatest] = speed_range(five);
        near(least, 0.996_195, 5e-7);
        near(greatest, 1.003_820, 5e-7);
        near(unevenness(five), 0.007_625_1, 5e-8);
        near(angle_error(five).get(), 0.109_22, 5e-6);
        near(speed_ratio(five, Deg::new(30.0)), 1.001_902_6, 5e-8);
        near(speed_ratio(five, Deg::new(0.0)), greatest, 1e-12);
        near(speed_ratio(five, Deg::new(90.0)), least, 1e-12);
    }

    /// Formulas from memory of SAE AE-7; derived.
    #[test]
    fn t6_6_two_joints_at_3000() {
        let left = residual(Deg::new(3.0), Deg::new(2.0));
        near(left.get(), 2.236, 5e-4);
        near(acceleration(left, 3000.0), 150.3, 0.05);
        near(acceleration(Deg::new(3.0), 3000.0), 270.6, 0.05);
        near(most_angle(3000.0, MOST_TORSIONAL).get(), 3.648, 5e-4);
        near(most_angle(3000.0, MOST_INERTIAL).get(), 5.767, 5e-4);
    }

    /// Read; derived.
    #[test]
    fn t6_7_compound_angle() {
        let (top, side) = (Deg::new(2.15), Deg::new(2.5));
        near(compound_angle(top, side).get(), 3.297, 5e-4);
        near(exact_compound_angle(top, side).get(), 3.2956, 5e-5);
    }

    /// A driveline page's chart, read: angles allowed at the second joint with none at the first. They lie at 400 to 408 rad/s².
    #[test]
    fn chart_of_allowed_angles() {
        for (rpm, angle, want) in [(1500.0, 7.3, 400.5), (1600.0, 6.9, 407.1), (1700.0, 6.5, 407.9)] {
            near(acceleration(Deg::new(angle), rpm), want, 0.05);
        }
    }

    /// A trade table's greatest angles, read: 855 to 1023 rad/s².
    #[test]
    fn table_of_greatest_angles() {
        for (rpm, angle) in [(5000.0, 3.2), (4500.0, 3.7), (4000.0, 4.2), (3500.0, 5.0), (3000.0, 5.8)] {
            let found = acceleration(Deg::new(angle), rpm);
            assert!((854.0..1024.0).contains(&found), "{rpm}: {found}");
        }
    }

    /// A textbook of the theory of machines, from memory: joint of 20°, 1500 rev/min, printed 3090 rad/s², found at a rounded
    /// turn of 41.45°. The exact peak is 3083.4, which is held.
    #[test]
    fn peak_acceleration_of_20_degrees() {
        near(exact_acceleration(Deg::new(20.0), 1500.0), 3083.4, 0.05);
        near(exact_acceleration(Deg::new(20.0), 1500.0), 3090.0, 10.0);
    }

    /// The same textbook, from memory: at 18° both shafts run alike at 44.3°.
    #[test]
    fn even_turn_of_18_degrees() {
        let turn = even_turn(Deg::new(18.0));
        near(turn.get(), 44.3, 0.05);
        near(speed_ratio(Deg::new(18.0), turn), 1.0, 1e-12);
    }

    /// The acceleration against a difference of speeds, and the small-angle sum against the exact one.
    #[test]
    fn exact_acceleration_is_the_steepest_speed() {
        let (angle, step) = (Deg::new(8.0), 0.01);
        let steepness = |i: i32| {
            let at = |shift: f64| speed_ratio(angle, Deg::new(0.01 * f64::from(i) + shift));
            (at(0.5 * step) - at(-0.5 * step)).abs() / step.to_radians()
        };
        let peak = (0..9000).map(steepness).fold(0.0, f64::max) * omega(3000.0).powi(2);
        near(peak / exact_acceleration(angle, 3000.0), 1.0, 1e-6);
        near(acceleration(Deg::new(3.0), 3000.0) / exact_acceleration(Deg::new(3.0), 3000.0), 1.0, 1e-3);
    }

    #[test]
    fn equal_joints_leave_nothing_in_phase() {
        let three = Deg::new(3.0);
        near(residual(three, three).get(), 0.0, 1e-12);
        near(residual_out_of_phase(three, three).get(), 4.2426, 5e-5);
        near(most_angle_by_length(Mm::inches(45.0), true).get(), 9.0, 1e-9);
        near(most_angle_by_length(Mm::inches(45.0), false).get(), 4.5, 1e-9);
    }
}
