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

/// The verdict on a value.
pub fn verdict(c: &Characteristic, found: &Found, uncertainty: f64) -> ItemVerdict {
    let limits = grown(c, found);
    if limits.least.is_none() && limits.greatest.is_none() {
        return ItemVerdict::NotMeasured;
    }
    let (least, greatest) = (limits.least.unwrap_or(f64::MIN), limits.greatest.unwrap_or(f64::MAX));
    let ([low, high], [surely_low, surely_high]) = (found.outer, found.inner);
    if surely_low + uncertainty < least || surely_high - uncertainty > greatest {
        ItemVerdict::DoesNotConform
    } else if low - uncertainty >= least && high + uncertainty <= greatest {
        ItemVerdict::Conforms
    } else {
        ItemVerdict::Undecided
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
}
