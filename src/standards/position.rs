//! Position of holes and bolts: what clearance the pattern needs.
//!
//! Floating and fixed fasteners by ASME Y14.5M-1994 appendix B through a
//! tutorial (read).

use crate::units::Mm;

/// Line-up of bores and faces, 0.005 in (common practice, no source).
pub const LINE_UP: Mm = Mm::new(0.127);

/// Tolerance of position of each part through which a bolt passes with clearance in both: smallest hole less largest bolt.
pub fn floating_fastener(hole: Mm, bolt: Mm) -> Mm {
    hole - bolt
}

/// Tolerance of position to share out among the clearance hole and the tapped hole: smallest hole less largest bolt. The
/// tapped hole's must be projected by the thickness of the clamped part.
pub fn fixed_fastener(hole: Mm, bolt: Mm) -> Mm {
    hole - bolt
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: Mm, want: f64, within: f64) {
        assert!((value.get() - want).abs() <= within, "{value} for {want}");
    }

    /// ASME Y14.5M-1994 appendix B, from memory: bolts of 6 mm at most, holes of 6.44 mm at least; 0.44 for each part when
    /// floating, 0.22 when fixed.
    #[test]
    fn appendix_b_example() {
        let (hole, bolt) = (Mm::new(6.44), Mm::new(6.0));
        near(floating_fastener(hole, bolt), 0.44, 1e-9);
        near(fixed_fastener(hole, bolt) / 2.0, 0.22, 1e-9);
    }
}
