//! Tolerances of lengths that have none of their own.

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

#[cfg(test)]
mod tests {
    use super::{medium, medium_steps};

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
