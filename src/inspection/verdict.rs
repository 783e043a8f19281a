//! Verdicts with a guard band (ISO 14253-1): a value conforms if it lies within the limits by more than its expanded
//! uncertainty, does not conform if it lies beyond them by more than that, and between these nothing is decided.

use super::characteristic::{Characteristic, CharacteristicKind, SizeLimits};
use super::evaluation::Found;

/// What is said of a characteristic.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemVerdict {
    /// Beyond a limit, by more than the uncertainty.
    DoesNotConform,
    /// Nearer to a limit than the uncertainty.
    Undecided,
    /// No reading, or no limit.
    NotMeasured,
    /// Within the limits, by more than the uncertainty.
    Conforms,
}

impl ItemVerdict {
    /// Its words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::DoesNotConform => "does not conform",
            Self::Undecided => "undecided",
            Self::NotMeasured => "not measured",
            Self::Conforms => "conforms",
        }
    }
}

/// A judged characteristic.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedItem {
    /// Its number.
    pub number: usize,
    /// What was found; none where it was not measured or is a gauge's.
    pub found: Option<Found>,
    /// Expanded uncertainty, mm.
    pub uncertainty: f64,
    /// What is said of it.
    pub verdict: ItemVerdict,
}

/// The limits with what a tolerance has grown by.
pub fn grown(c: &Characteristic, found: &Found) -> SizeLimits {
    match c.kind {
        CharacteristicKind::Geometric(_) => {
            SizeLimits { greatest: c.limits.greatest.map(|g| g + found.bonus), ..c.limits }
        }
        _ => c.limits,
    }
}

/// Sums of decimal numbers come out right to this, mm: ends of zones belong to the zone inside them.
const ROUNDING: f64 = 1e-9;

/// The verdict on a value. One at a limit itself is undecided; one that keeps the limit by just its uncertainty conforms, and one
/// beyond it by just that is not yet proved to be out.
pub fn verdict(c: &Characteristic, found: &Found, uncertainty: f64) -> ItemVerdict {
    let limits = grown(c, found);
    if limits.least.is_none() && limits.greatest.is_none() {
        return ItemVerdict::NotMeasured;
    }
    let (least, greatest) = (limits.least.unwrap_or(f64::MIN), limits.greatest.unwrap_or(f64::MAX));
    let ([low, high], [surely_low, surely_high]) = (found.outer, found.inner);
    if surely_low + uncertainty < least - ROUNDING || surely_high - uncertainty > greatest + ROUNDING {
        ItemVerdict::DoesNotConform
    } else if low - uncertainty >= least - ROUNDING && high + uncertainty <= greatest + ROUNDING {
        ItemVerdict::Conforms
    } else {
        ItemVerdict::Undecided
    }
}

/// The verdict on a value that has a least one only.
pub fn at_least(value: f64, uncertainty: f64, least: f64) -> ItemVerdict {
    if value + uncertainty < least - ROUNDING {
        ItemVerdict::DoesNotConform
    } else if value - uncertainty < least - ROUNDING {
        ItemVerdict::Undecided
    } else {
        ItemVerdict::Conforms
    }
}

#[cfg(test)]
mod tests {
    use super::ItemVerdict::{Conforms, DoesNotConform, Undecided};
    use super::*;

    fn of(kind: CharacteristicKind, limits: SizeLimits) -> Characteristic {
        Characteristic {
            number: 1,
            what: String::new(),
            element: None,
            kind,
            nominal: Some(0.0),
            limits,
            source: String::new(),
        }
    }

    /// ISO 14253-1's rule, by hand: limits 10.0 and 10.1, expanded uncertainty 0.01.
    #[test]
    fn the_uncertainty_is_taken_off_both_zones() {
        let c = of(CharacteristicKind::Distance, SizeLimits::between(10.0, 10.1));
        let say = |x: f64| verdict(&c, &Found { outer: [x; 2], inner: [x; 2], bonus: 0.0 }, 0.01);
        let found = [9.98, 9.995, 10.005, 10.02, 10.08, 10.095, 10.105, 10.12].map(say);
        let wanted =
            [DoesNotConform, Undecided, Undecided, Conforms, Conforms, Undecided, Undecided, DoesNotConform];
        assert_eq!(found, wanted, "by zones");
    }

    /// ISO 14253-1's rule at the ends of its zones, by hand: 10.01 and 10.09 keep the limits by just the uncertainty and conform, 10.0
    /// and 10.1 lie at the limits themselves, 9.99 and 10.11 are beyond them by no more than the uncertainty. None of these decimal
    /// numbers is exact in binary.
    #[test]
    fn the_ends_of_the_zones_are_not_lost_by_rounding() {
        let c = of(CharacteristicKind::Distance, SizeLimits::between(10.0, 10.1));
        let say = |x: f64| verdict(&c, &Found { outer: [x; 2], inner: [x; 2], bonus: 0.0 }, 0.01);
        assert_eq!([10.01, 10.09].map(say), [Conforms; 2], "just kept");
        assert_eq!([9.99, 10.0, 10.1, 10.11].map(say), [Undecided; 4], "at a limit, and just beyond");
        assert_eq!([9.9899, 10.1101].map(say), [DoesNotConform; 2], "beyond");
    }
}
