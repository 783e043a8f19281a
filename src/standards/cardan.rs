//! Cardan joints: how unevenly they turn, what two of them leave over, and the angles that a speed allows.
//!
//! Angles are those between the shafts at a joint. Accelerations are rad/s². The limits of acceleration are inferred from published
//! charts and tables of angles that refer to SAE AE-7; its text was not seen.

use std::f64::consts::PI;

use crate::units::Deg;

/// Greatest acceleration that two joints may leave over at the driven end (inferred from a chart, read).
pub const MOST_TORSIONAL: f64 = 400.0;

/// Greatest acceleration of the shaft between two joints, or behind a single one (inferred from a table, read).
pub const MOST_INERTIAL: f64 = 1000.0;

/// Least angle of a joint, so that its needles turn (trade rule, read).
pub const LEAST_ANGLE: Deg = Deg::new(0.5);

/// Greatest difference of two joints' angles (trade rule, read; another has 1.5).
pub const MOST_DIFFERENCE: Deg = Deg::new(1.0);

/// Radians a second (by definition).
fn omega(rpm: f64) -> f64 {
    rpm * PI / 30.0
}

/// Unevenness: greatest less least speed, over the mean, `sin b tan b`.
pub fn unevenness(angle: Deg) -> f64 {
    let (sin, cos) = angle.sin_cos();
    sin * sin / cos
}

/// Peak acceleration of the driven shaft by the charts' sum for small angles, `b² ω²`.
pub fn acceleration(angle: Deg, rpm: f64) -> f64 {
    (angle.to_radians() * omega(rpm)).powi(2)
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Between joints in one plane and in planes square to each other: the sum of two phasors of second order.
    ///
    /// Derived, no outside value.
    #[test]
    fn turned_joints_lie_between_in_phase_and_out_of_phase() {
        let (a, b) = (Deg::new(3.0), Deg::new(2.0));
        // |9 - 4 i| by Pythagoras.
        let half = residual_turned(a, b, Deg::new(45.0)).get();
        assert!((half - 97.0_f64.sqrt().sqrt()).abs() < 1e-12, "{half}");
    }

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
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
}
