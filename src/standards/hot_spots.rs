//! Where a casting stays hot longest, by the circle inscribed at a junction of walls.

/// A circle this many times as wide as the walls wants a feeder in reach (practice: a warning).
pub const WARN_RATIO: f64 = 1.5;
