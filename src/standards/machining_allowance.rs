//! Required machining allowance.
//!
//! ISO 8062:1994 table 2, the same as the RMAG table of ISO 8062-3:2007: from memory. Its column G at 100 to 1000 mm is borne out
//! by a trade table (read). To be checked against the standard before a casting is ordered by it.

use std::fmt;
use std::str::FromStr;

/// Why there is no allowance, or no size of a casting.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AllowanceError {
    /// No such grade.
    #[error("machining allowance grade {0} is not in the table; grades D, E, F, G, H and J are")]
    Grade(String),
    /// Not a size of the table.
    #[error(
        "{largest} mm is outside the table of machining allowances, which is for castings over 0 up to {END} mm"
    )]
    Size {
        /// Largest dimension as asked, mm.
        largest: f64,
    },
}

/// Grade of required machining allowance. Typical for light metal in sand: F to H moulded by hand, E to G by machine
/// (ISO 8062-3 table B.1, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AllowanceGrade {
    /// Finest given here.
    D,
    /// Machine-moulded light metal, fine end.
    E,
    /// Light metal, hand- or machine-moulded.
    F,
    /// Light metal, hand- or machine-moulded, coarse.
    G,
    /// Hand-moulded light metal, coarse end.
    H,
    /// Coarsest given here.
    J,
}

impl AllowanceGrade {
    /// All grades, finest first. There is no grade I, lest it be read as a one.
    pub const ALL: [Self; 6] = [Self::D, Self::E, Self::F, Self::G, Self::H, Self::J];
}

impl FromStr for AllowanceGrade {
    type Err = AllowanceError;

    /// Reads `F`, `f`, `RMAG F`.
    fn from_str(text: &str) -> Result<Self, AllowanceError> {
        let upper = text.trim().to_ascii_uppercase();
        let letter = upper.strip_prefix("RMAG").unwrap_or(&upper).trim();
        let found = Self::ALL.into_iter().find(|grade| format!("{grade:?}") == letter);
        found.ok_or_else(|| AllowanceError::Grade(text.trim().to_owned()))
    }
}

impl fmt::Display for AllowanceGrade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "RMAG {self:?}")
    }
}

/// Where the table ends, mm.
const END: f64 = 1000.0;

/// Upper end of a row (it belongs to the row; largest dimension of the casting), and the allowance for grades D to J, mm.
const ALLOWANCES: [(f64, [f64; 6]); 8] = [
    (40.0, [0.3, 0.4, 0.5, 0.5, 0.7, 1.0]),
    (63.0, [0.3, 0.4, 0.5, 0.7, 1.0, 1.4]),
    (100.0, [0.5, 0.7, 1.0, 1.4, 2.0, 2.8]),
    (160.0, [0.8, 1.1, 1.5, 2.2, 3.0, 4.0]),
    (250.0, [1.0, 1.4, 2.0, 2.8, 4.0, 5.5]),
    (400.0, [1.3, 1.8, 2.5, 3.5, 5.0, 7.0]),
    (630.0, [1.5, 2.2, 3.0, 4.0, 6.0, 9.0]),
    (END, [1.8, 2.5, 3.5, 5.0, 7.0, 10.0]),
];

/// Required machining allowance on each machined face, mm, by the largest overall dimension of the casting, mm.
///
/// Faces in the upper half of the mould may need more (a trade page on clause 8.1, read).
///
/// # Errors
/// Outside 0 to 1000 mm.
pub fn allowance(largest: f64, grade: AllowanceGrade) -> Result<f64, AllowanceError> {
    let row = ALLOWANCES.iter().find(|(end, _)| largest > 0.0 && largest <= *end);
    row.map(|(_, row)| row[grade as usize]).ok_or(AllowanceError::Size { largest })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No outside value: a property of the table itself.
    #[test]
    fn allowances_rise_with_size_and_with_grade() {
        for pair in ALLOWANCES.windows(2) {
            assert!(pair[0].1.iter().zip(pair[1].1).all(|(a, b)| *a <= b), "{} mm", pair[1].0);
        }
        for (end, row) in ALLOWANCES {
            assert!(row.windows(2).all(|w| w[0] <= w[1]), "{end} mm");
        }
        assert_eq!(allowance(63.0, AllowanceGrade::G), Ok(0.7), "the end of a row belongs to it");
        assert_eq!(allowance(63.01, AllowanceGrade::G), Ok(1.4), "the next row");
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_cannot_be_is_told_with_its_range() {
        let say = |r: Result<f64, AllowanceError>| r.expect_err("outside").to_string();
        for largest in [0.0, 1000.01, f64::NAN] {
            let text = say(allowance(largest, AllowanceGrade::F));
            assert!(text.contains("over 0 up to 1000 mm"), "{text}");
        }
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn grades_are_read_and_shown() {
        for grade in AllowanceGrade::ALL {
            assert_eq!(grade.to_string().parse(), Ok(grade), "there and back");
        }
        assert_eq!(" f ".parse(), Ok(AllowanceGrade::F), "small letter");
        for bad in ["", "I", "K", "FF", "RMAG"] {
            assert_eq!(bad.parse::<AllowanceGrade>(), Err(AllowanceError::Grade(bad.into())), "{bad}");
        }
    }
}
