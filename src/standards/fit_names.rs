//! A fit by name, of ISO 286 (`H7/s6`) or ANSI B4.1 (`FN2`), and what it gives at a size.

use std::fmt;
use std::str::FromStr;

use super::inch_fits::{self, INCH_FITS, InchFitError};
use super::limits_and_fits::{Deviations, FitClass, FitError};
use crate::units::Mm;

/// A named fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FitName {
    /// A hole's class and a shaft's.
    Iso(FitClass),
    /// A class of the inch fits.
    Inch(&'static str),
}

/// Why a fit has no limits.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitNameError {
    /// By ISO 286.
    #[error(transparent)]
    Iso(#[from] FitError),
    /// By ANSI B4.1.
    #[error(transparent)]
    Inch(#[from] InchFitError),
}

impl FromStr for FitName {
    type Err = FitError;

    fn from_str(text: &str) -> Result<Self, FitError> {
        let inch = INCH_FITS.iter().find(|row| row.class.eq_ignore_ascii_case(text.trim()));
        inch.map_or_else(|| text.parse().map(Self::Iso), |row| Ok(Self::Inch(row.class)))
    }
}

impl fmt::Display for FitName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Iso(class) => class.fmt(f),
            Self::Inch(class) => f.write_str(class),
        }
    }
}

impl FitName {
    /// Deviations of hole and shaft at a nominal size.
    ///
    /// # Errors
    /// Sizes and classes outside the tables.
    pub fn sides(self, size: Mm) -> Result<[Deviations; 2], FitNameError> {
        match self {
            Self::Iso(class) => Ok([class.hole.deviations(size)?, class.shaft.deviations(size)?]),
            Self::Inch(class) => {
                let row = inch_fits::find(class, size)?;
                Ok([row.hole_deviations(), row.shaft_deviations()])
            }
        }
    }

    /// The class of its hole or of its shaft, as it stands beside a diameter; the fit's own name where the two sides have none.
    pub fn of_side(self, hole: bool) -> String {
        match self {
            Self::Iso(class) if hole => class.hole.to_string(),
            Self::Iso(class) => class.shaft.to_string(),
            Self::Inch(class) => class.to_owned(),
        }
    }

    /// The standard of its numbers; [`super::limits_and_fits::SOURCE`] and [`inch_fits::SOURCE`] tell more.
    pub const fn source(self) -> &'static str {
        match self {
            Self::Iso(_) => "ISO 286-1",
            Self::Inch(_) => "ANSI B4.1",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No outside value: what is read, shown or refused.
    #[test]
    fn names_of_both_standards_are_read() {
        for text in ["H7/s6", "FN2", "H8/f7", "RC4"] {
            assert_eq!(text.parse::<FitName>().expect(text).to_string(), text, "{text}");
        }
        assert_eq!("fn2".parse(), Ok(FitName::Inch("FN2")), "small letters");
        assert!("FN9".parse::<FitName>().is_err() && "s6/H7".parse::<FitName>().is_err(), "no fits");
    }

    /// Machinery's Handbook, 27th ed., p. 663: FN2 of 1.875 in has 0.0008 to 0.0024 in of interference.
    ///
    /// ANSI B4.1, read there.
    #[test]
    fn an_inch_fit_has_its_limits() {
        let [hole, shaft] = FitName::Inch("FN2").sides(Mm::inches(1.875)).expect("tabled");
        assert!((shaft.lower - hole.upper - Mm::inches(0.0008)).get().abs() < 1e-9, "least");
        assert!((shaft.upper - hole.lower - Mm::inches(0.0024)).get().abs() < 1e-9, "greatest");
        assert!(FitName::Inch("FN2").sides(Mm::inches(4.0)).is_err(), "beyond the table");
    }
}
