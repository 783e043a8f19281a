//! Tolerances of lengths and angles that have none of their own.

use crate::units::Deg;

/// Upper ends of the steps of size, mm, and half the tolerance in each, mm: class m of ISO 2768-1:1989, table 1 (from memory;
/// the figures stand on many drawing templates).
const MEDIUM: [(f64, f64); 8] = [
    (3.0, 0.1),
    (6.0, 0.1),
    (30.0, 0.2),
    (120.0, 0.3),
    (400.0, 0.5),
    (1000.0, 0.8),
    (2000.0, 1.2),
    (4000.0, 2.0),
];

/// The name of the class, as it stands on drawings.
pub const CLASS: &str = "ISO 2768-m";

/// By how much a machined length without a tolerance of its own may be off, mm; `None` beyond the table.
pub fn medium(length: f64) -> Option<f64> {
    MEDIUM.iter().find(|(most, _)| length.abs() <= *most).map(|(_, half)| *half)
}

/// The steps of size up to the one that holds a length: upper end and half the tolerance, mm. The first two steps have one
/// tolerance and are one.
pub fn medium_steps(longest: f64) -> &'static [(f64, f64)] {
    let last = MEDIUM.iter().position(|(most, _)| longest.abs() <= *most).unwrap_or(MEDIUM.len() - 1);
    &MEDIUM[1..=last.max(1)]
}

/// Upper ends of the steps of the shorter side of an angle, mm, and half the tolerance in each, minutes of arc: class m of ISO 2768-1:1989,
/// table 3 (from memory; the figures stand on many drawing templates).
const MEDIUM_ANGLES: [(f64, f64); 4] = [(10.0, 60.0), (50.0, 30.0), (120.0, 20.0), (400.0, 10.0)];

/// The same beyond the last step (ISO 2768-1:1989, table 3, from memory).
const LONGEST_ANGLE: f64 = 5.0;

/// The name of the class for angles.
pub const ANGLES: &str = "ISO 2768-m, angles";

/// By how much an angle without a tolerance of its own may be off, by the length of its shorter side, mm.
pub fn medium_angle(shorter_side: f64) -> Deg {
    let step = MEDIUM_ANGLES.iter().find(|(most, _)| shorter_side <= *most);
    Deg::new(step.map_or(LONGEST_ANGLE, |(_, minutes)| *minutes) / 60.0)
}

#[cfg(test)]
mod tests {
    use super::{medium, medium_angle, medium_steps};

    /// ISO 2768-1, table 3, from memory: class m has 1 degree up to 10 mm, 30 minutes up to 50, 20 up to 120, 10 up to 400, 5 beyond.
    #[test]
    fn angles_by_their_shorter_side() {
        let found =
            [1.5, 10.0, 11.0, 50.0, 51.0, 120.0, 121.0, 400.0, 401.0].map(|s| medium_angle(s).get() * 60.0);
        let wanted = [60.0, 60.0, 30.0, 30.0, 20.0, 20.0, 10.0, 10.0, 5.0];
        assert!(found.iter().zip(wanted).all(|(f, w)| (f - w).abs() < 1e-9), "{found:?}");
    }

    /// ISO 2768-1, table 1, from memory: class m has 0.1 mm in the first two steps.
    #[test]
    fn steps_up_to_a_length() {
        assert_eq!(medium_steps(340.0), [(6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5)]);
    }

    /// The ends of the steps belong to the lower step ("over 6 up to 30"): ISO 2768-1, table 1, from memory.
    #[test]
    fn steps_of_size() {
        let found = [2.0, 6.0, 6.01, 30.0, 120.0, 121.0, 400.0, -340.0].map(medium);
        let wanted = [0.1, 0.1, 0.2, 0.2, 0.3, 0.5, 0.5, 0.5].map(Some);
        assert_eq!(found, wanted, "half tolerances");
        assert_eq!(medium(5000.0), None, "beyond the table");
    }
}
