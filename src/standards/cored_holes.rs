//! Which holes are cored, and how deep. All of it is shop practice (one value was read): refusals are for warnings.

/// Why a hole is better cast solid.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CoredHoleError {
    /// Too small a core.
    #[error("a hole of {diameter} mm is too small to core; from {least} mm on it can be")]
    TooSmall {
        /// As asked, mm.
        diameter: f64,
        /// Smallest, mm.
        least: f64,
    },
    /// Too slender a core.
    #[error("a cored hole of {diameter} mm is {depth} mm deep; it may be up to {deepest} mm")]
    TooDeep {
        /// As asked, mm.
        diameter: f64,
        /// As asked, mm.
        depth: f64,
        /// Deepest, mm.
        deepest: f64,
    },
}

/// Smallest cored hole whatever the wall, mm: 1/4 in rounded (practice).
pub const SMALLEST_CORED: f64 = 6.0;

/// Holes that are machined anyway are cast solid below this diameter, mm (trade page on machined iron, read).
pub const SOLID_BELOW: f64 = 30.0;

/// How a core is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreHold {
    /// No core: the pattern leaves a pocket in green sand.
    GreenSandPocket,
    /// A dry core held at one end.
    OneEnd,
    /// A dry core held at both ends.
    BothEnds,
}

impl CoreHold {
    /// Greatest depth over diameter (practice; up to 4 is in use for both ends, the safer 3 is taken).
    pub const fn depth_ratio(self) -> f64 {
        match self {
            Self::GreenSandPocket => 1.0,
            Self::OneEnd => 2.0,
            Self::BothEnds => 3.0,
        }
    }
}

/// Smallest hole to core through a wall, mm: 6 mm and no less than the wall's thickness (practice).
pub fn smallest_cored(wall: f64) -> f64 {
    wall.max(SMALLEST_CORED)
}

/// Deepest cored hole of a diameter, in its unit (practice).
pub fn deepest_cored(diameter: f64, hold: CoreHold) -> f64 {
    diameter * hold.depth_ratio()
}

/// Whether a hole can be cored; all in mm.
///
/// # Errors
/// When it is too small for the wall or too deep for its diameter.
pub fn check_cored(diameter: f64, depth: f64, wall: f64, hold: CoreHold) -> Result<(), CoredHoleError> {
    let (least, deepest) = (smallest_cored(wall), deepest_cored(diameter, hold));
    // Asked for what is good, so that NaN is refused.
    match (diameter >= least, depth <= deepest) {
        (true, true) => Ok(()),
        (false, _) => Err(CoredHoleError::TooSmall { diameter, least }),
        (true, false) => Err(CoredHoleError::TooDeep { diameter, depth, deepest }),
    }
}

/// Least wall of a boss around a cored hole, mm: the casting's wall, and half the hole (practice).
pub fn boss_wall(wall: f64, hole: f64) -> f64 {
    wall.max(0.5 * hole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_hole_is_6_or_the_wall() {
        assert_eq!(check_cored(6.0, 6.0, 5.0, CoreHold::BothEnds), Ok(()), "just so");
        let small = CoredHoleError::TooSmall { diameter: 5.99, least: 6.0 };
        assert_eq!(check_cored(5.99, 5.0, 5.0, CoreHold::BothEnds), Err(small), "below 6");
        let thick = CoredHoleError::TooSmall { diameter: 8.0, least: 10.0 };
        assert_eq!(check_cored(8.0, 10.0, 10.0, CoreHold::BothEnds), Err(thick), "thick wall");
    }

    #[test]
    fn the_better_held_the_deeper() {
        for (hold, deepest) in
            [(CoreHold::GreenSandPocket, 20.0), (CoreHold::OneEnd, 40.0), (CoreHold::BothEnds, 60.0)]
        {
            assert_eq!(check_cored(20.0, deepest, 6.0, hold), Ok(()), "{hold:?}");
            let deep = check_cored(20.0, deepest + 0.01, 6.0, hold).expect_err("too deep").to_string();
            assert!(deep.contains(&format!("up to {deepest} mm")), "{deep}");
        }
    }

    #[test]
    fn no_number_is_no_hole() {
        assert!(check_cored(f64::NAN, 10.0, 6.0, CoreHold::OneEnd).is_err(), "diameter");
        assert!(check_cored(20.0, f64::NAN, 6.0, CoreHold::OneEnd).is_err(), "depth");
    }

    #[test]
    fn bosses_of_large_holes_are_thicker_than_the_wall() {
        assert!((boss_wall(6.0, 10.0) - 6.0).abs() < 1e-12, "the wall");
        assert!((boss_wall(6.0, 20.0) - 10.0).abs() < 1e-12, "half the hole");
    }
}
