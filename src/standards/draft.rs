//! Draft: the slope that lets a pattern leave the sand, or a core its box.
//!
//! Draft adds metal from the parting line outwards unless a drawing says otherwise (trade page, read).

use std::f64::consts::FRAC_PI_2;

use crate::units::{Deg, MM_PER_INCH};

/// Why there is no draft.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DraftError {
    /// A length outside the trade rule.
    #[error("{length} mm is outside the draft rule, which is for draws over 0 up to {} mm (10 in)", 10.0 * MM_PER_INCH)]
    Length {
        /// As asked, mm.
        length: f64,
    },
    /// An angle that is no draft.
    #[error("{0} rad is no draft; it is from 0 to below a quarter turn (1.5708 rad)")]
    Angle(f64),
}

/// Draft at the end of a draw, inches, by the trade rule: `0.030 √L`, at least 0.030, with the length in inches.
///
/// A trade table gives 0.030, 0.042, 0.052, 0.060, 0.068, 0.096 at 1, 2, 3, 4, 5, 10 in and 0.030 below (read); the root is drawn
/// through it and misses it by 0.0012 in at most (derived).
///
/// # Errors
/// Beyond 10 in, where the table ends, and for what is no length.
pub fn trade_draft_inches(length_inches: f64) -> Result<f64, DraftError> {
    if length_inches > 0.0 && length_inches <= 10.0 {
        Ok(0.030 * length_inches.max(1.0).sqrt())
    } else {
        Err(DraftError::Length { length: length_inches * MM_PER_INCH })
    }
}

/// Draft at the end of a draw, mm, by the trade rule for a length in mm: `0.1512 √L`, at least 0.762.
///
/// # Errors
/// Beyond 254 mm, and for what is no length.
pub fn trade_draft(length: f64) -> Result<f64, DraftError> {
    trade_draft_inches(length / MM_PER_INCH)
        .map(|draft| draft * MM_PER_INCH)
        .map_err(|_| DraftError::Length { length })
}

/// Offset of a wall on one side, in the height's unit: `h tan a`, the angle in radians (derived).
///
/// # Errors
/// For angles outside 0 to a quarter turn.
pub fn offset_per_side(height: f64, angle: f64) -> Result<f64, DraftError> {
    if (0.0..FRAC_PI_2).contains(&angle) { Ok(height * angle.tan()) } else { Err(DraftError::Angle(angle)) }
}

/// Where a drafted wall is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DraftedWall {
    /// Outside, drawn from the sand.
    Outside,
    /// Inside a pocket of the lower half of the mould.
    PocketBelow,
    /// Inside a pocket of the upper half, where the sand hangs.
    PocketAbove,
    /// In a core box.
    CoreBox,
}

/// Usual draft of a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UsualDraft {
    /// Taken when nothing else is said (practice).
    pub default: Deg,
    /// Least and greatest in use (trade pages, read).
    pub range: [Deg; 2],
}

impl DraftedWall {
    /// Default and range. One degree does for outside walls of 1 to 4 in (trade page, read). Core boxes are given 2 to 5 deg for
    /// sand, 0.5 to 3 for shell cores: the default of 1.5 lies below the first.
    pub const fn usual(self) -> UsualDraft {
        let (default, least, most) = match self {
            Self::Outside => (1.5, 1.0, 3.0),
            Self::PocketBelow => (3.0, 1.0, 5.0),
            Self::PocketAbove => (3.0, 3.0, 7.0),
            Self::CoreBox => (1.5, 0.5, 5.0),
        };
        UsualDraft { default: Deg::new(default), range: [Deg::new(least), Deg::new(most)] }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: Result<f64, DraftError>, want: f64, within: f64) {
        let value = value.expect("in range");
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Plain trigonometry (derived).
    #[test]
    fn t1_6_offset_per_side() {
        near(offset_per_side(60.0, 1.5_f64.to_radians()), 1.5712, 5e-5);
        near(offset_per_side(60.0, 2.0_f64.to_radians()), 2.0952, 5e-5);
        near(offset_per_side(40.0, 3.0_f64.to_radians()), 2.0963, 5e-5);
    }

    /// The rule drawn through a trade table (derived; the table read).
    #[test]
    fn t1_6_trade_rule() {
        near(trade_draft_inches(4.0), 0.060, 1e-12);
        near(trade_draft_inches(0.5), 0.030, 1e-12);
        for (length, want) in
            [(1.0, 0.030), (2.0, 0.042), (3.0, 0.052), (4.0, 0.060), (5.0, 0.068), (10.0, 0.096)]
        {
            near(trade_draft_inches(length), want, 0.0012);
        }
    }

    #[test]
    fn the_rule_is_the_same_in_mm() {
        for length in [3.0, 25.4, 25.41, 100.0, 254.0] {
            near(trade_draft(length), (0.1512 * length.sqrt()).max(0.762), 5e-4);
        }
    }

    #[test]
    fn outside_the_rule_the_range_is_told() {
        for length in [0.0, -1.0, 254.1, f64::NAN] {
            let text = trade_draft(length).expect_err("outside").to_string();
            assert!(text.contains("over 0 up to 254 mm"), "{text}");
        }
        for angle in [-0.01, FRAC_PI_2, f64::NAN] {
            assert!(offset_per_side(10.0, angle).is_err(), "{angle} rad");
        }
    }

    #[test]
    fn defaults_lie_in_their_ranges() {
        for wall in
            [DraftedWall::Outside, DraftedWall::PocketBelow, DraftedWall::PocketAbove, DraftedWall::CoreBox]
        {
            let UsualDraft { default, range: [least, most] } = wall.usual();
            assert!(least <= default && default <= most, "{wall:?}");
        }
    }
}
