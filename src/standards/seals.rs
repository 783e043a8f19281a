//! Rotary lip seals: the depth of the counterbore that takes one.

use crate::units::Mm;

/// Source of [`counterbore_depth`].
pub const DEPTH_SOURCE: &str = "seal width + 0.3 mm (trade guide to DIN 3760, read) or + 0.9 mm for widths up to 10 mm, + 1.2 mm for \
                                larger ones (ISO 6194-1, from memory); the larger is taken";

/// Source of the default lead-in of a seal counterbore.
pub const LEAD_IN_SOURCE: &str = "10 to 20 deg (trade guide, read), 15 to 30 deg x 0.7 to 1.5 mm (ISO 6194-1, from \
                                  memory); 1.0 mm x 20 deg lies in both";

/// Depth of the counterbore from the rear face to its shoulder for a seal of this width.
///
/// The two published rules differ; the deeper one is taken so that the seal never stands proud (from memory:
/// [`DEPTH_SOURCE`]).
pub fn counterbore_depth(seal_width: Mm) -> Mm {
    let extra = if seal_width.get() <= 10.0 { 0.9 } else { 1.2 };
    seal_width + Mm::new(extra)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 6194-1, from memory.
    #[test]
    fn a_10_mm_seal_asks_for_10_9() {
        assert!((counterbore_depth(Mm::new(10.0)).get() - 10.9).abs() < 1e-12, "b + 0.9");
        assert!((counterbore_depth(Mm::new(12.0)).get() - 13.2).abs() < 1e-12, "b + 1.2");
    }
}
