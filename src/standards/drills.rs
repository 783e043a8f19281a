//! Twist drills: the point that they leave in a blind hole.

use crate::units::Mm;

/// Half the point angle of a twist drill, 118° in all: the common grind (ISO 5419, general-purpose drills; from
/// memory).
const HALF_ANGLE: f64 = 59.0;

/// Height of the point of a drill of some diameter, beyond its full diameter.
pub fn drill_point(diameter: Mm) -> Mm {
    Mm::new(0.5 * diameter.get() / HALF_ANGLE.to_radians().tan())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shop rule: the point of a 118° drill is 0.3 of its diameter high (from memory).
    #[test]
    fn a_point_is_three_tenths_of_the_diameter() {
        assert!((drill_point(Mm::new(10.0)).get() - 3.0).abs() < 0.01, "{}", drill_point(Mm::new(10.0)));
    }
}
