//! Which holes are cored, and how deep. All of it is shop practice, for warnings.

/// Smallest cored hole whatever the wall, mm: 1/4 in rounded (practice).
pub const SMALLEST_CORED: f64 = 6.0;

/// How a core is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreHold {
    /// A dry core held at both ends.
    BothEnds,
}

impl CoreHold {
    /// Greatest depth over diameter (practice; up to 4 is in use for both ends, the safer 3 is taken).
    pub const fn depth_ratio(self) -> f64 {
        match self {
            Self::BothEnds => 3.0,
        }
    }
}

/// Smallest hole to core through a wall, mm: 6 mm and no less than the wall's thickness (practice).
pub fn smallest_cored(wall: f64) -> f64 {
    wall.max(SMALLEST_CORED)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice.
    #[test]
    fn the_smallest_hole_is_6_or_the_wall() {
        for (wall, smallest) in [(4.0, 6.0), (6.0, 6.0), (8.0, 8.0)] {
            assert!((smallest_cored(wall) - smallest).abs() < 1e-12, "wall {wall}");
        }
    }
}
