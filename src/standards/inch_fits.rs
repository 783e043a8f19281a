//! Limits and fits in inches: ANSI B4.1-1967 (withdrawn, still used), classes that a housing, its bush, yoke and seal are made to.
//!
//! Values are thousandths of an inch. Read in Machinery's Handbook, 31st ed., tables 8a, 8b, 12, and 27th ed., p. 663 (force fits);
//! class LC2 and the holes and shafts of FN1 are from memory.

use super::limits_and_fits::{Deviations, Fit};
use crate::units::Mm;

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InchFitError {
    /// No such class.
    #[error("fit {0} is not in the table of inch fits, which has RC4, RC5, LC2, LN2, LN3, FN1 and FN2")]
    Class(String),
    /// Not a size of the table.
    #[error(
        "{inches} in is outside the table of inch fits, which is for sizes over 1.19 up to 3.15 in, LC2 up to 9.85 in"
    )]
    Size {
        /// As asked, in.
        inches: f64,
    },
}

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InchFit {
    /// Class of the fit.
    pub class: &'static str,
    /// The same by ISO classes.
    pub iso: &'static str,
    /// Sizes over the first up to the second, in.
    pub sizes: [f64; 2],
    /// Lower and upper deviation of the hole, 0.001 in.
    pub hole: [f64; 2],
    /// Lower and upper deviation of the shaft, 0.001 in.
    pub shaft: [f64; 2],
    /// Whether the row was read, or is from memory.
    pub read: bool,
}

const fn row(
    (class, iso): (&'static str, &'static str),
    sizes: [f64; 2],
    hole: f64,
    shaft: [f64; 2],
    read: bool,
) -> InchFit {
    InchFit { class, iso, sizes, hole: [0.0, hole], shaft, read }
}

const RC4: (&str, &str) = ("RC4", "H8/f7");
const RC5: (&str, &str) = ("RC5", "H8/e7");
const LC2: (&str, &str) = ("LC2", "H7/h6");
const LN2: (&str, &str) = ("LN2", "H7/p6");
const LN3: (&str, &str) = ("LN3", "H7/r6");
const FN1: (&str, &str) = ("FN1", "H6");
const FN2: (&str, &str) = ("FN2", "H7/s6");
const LOW: [f64; 2] = [1.19, 1.97];
const HIGH: [f64; 2] = [1.97, 3.15];

/// The table.
pub static INCH_FITS: &[InchFit] = &[
    row(RC4, LOW, 1.6, [-2.0, -1.0], true),
    row(RC4, HIGH, 1.8, [-2.4, -1.2], true),
    row(RC5, LOW, 1.6, [-3.0, -2.0], true),
    row(RC5, HIGH, 1.8, [-3.7, -2.5], true),
    row(LC2, LOW, 1.0, [-0.6, 0.0], false),
    row(LC2, HIGH, 1.2, [-0.7, 0.0], false),
    // Registers.
    row(LC2, [3.15, 4.73], 1.4, [-0.9, 0.0], false),
    row(LC2, [4.73, 7.09], 1.6, [-1.0, 0.0], false),
    row(LC2, [7.09, 9.85], 1.8, [-1.2, 0.0], false),
    row(LN2, LOW, 1.0, [1.0, 1.6], true),
    row(LN2, HIGH, 1.2, [1.4, 2.1], true),
    row(LN3, LOW, 1.0, [1.4, 2.0], true),
    row(LN3, HIGH, 1.2, [1.6, 2.3], true),
    row(FN1, [1.19, 1.58], 0.6, [0.9, 1.3], false),
    row(FN1, [1.58, 1.97], 0.6, [1.0, 1.4], false),
    row(FN1, [1.97, 2.56], 0.7, [1.3, 1.8], false),
    row(FN1, [2.56, 3.15], 0.7, [1.4, 1.9], false),
    row(FN2, LOW, 1.0, [1.8, 2.4], true),
    row(FN2, [1.97, 2.56], 1.2, [2.0, 2.7], true),
    row(FN2, [2.56, 3.15], 1.2, [2.2, 2.9], true),
];

/// The row of a class for a nominal size. The end of a step belongs to it.
///
/// # Errors
/// Classes and sizes that are not in the table.
pub fn find(class: &str, size: Mm) -> Result<&'static InchFit, InchFitError> {
    let class = class.trim();
    let of_class = || INCH_FITS.iter().filter(|row| row.class.eq_ignore_ascii_case(class));
    if of_class().next().is_none() {
        return Err(InchFitError::Class(class.to_owned()));
    }
    let inches = size.to_inches();
    let found = of_class().find(|row| inches > row.sizes[0] && inches <= row.sizes[1]);
    found.ok_or(InchFitError::Size { inches })
}

fn thousandths([lower, upper]: [f64; 2]) -> Deviations {
    Deviations { lower: Mm::inches(lower / 1000.0), upper: Mm::inches(upper / 1000.0) }
}

impl InchFit {
    /// Deviations of the hole.
    pub fn hole_deviations(&self) -> Deviations {
        thousandths(self.hole)
    }

    /// Deviations of the shaft.
    pub fn shaft_deviations(&self) -> Deviations {
        thousandths(self.shaft)
    }

    /// Clearance of the fit.
    pub fn fit(&self) -> Fit {
        Fit::between(self.hole_deviations(), self.shaft_deviations())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The printed limits of each fit: read, but LC2 from memory (reference table 2.2).
    #[test]
    fn printed_limits_of_fit_follow_from_hole_and_shaft() {
        for (class, inches, least, greatest) in [
            ("RC4", 1.5, 1.0, 3.6),
            ("RC4", 2.0, 1.2, 4.2),
            ("RC5", 1.5, 2.0, 4.6),
            ("RC5", 2.0, 2.5, 5.5),
            ("LC2", 1.5, 0.0, 1.6),
            ("LC2", 2.0, 0.0, 1.9),
            ("LN2", 1.5, -1.6, 0.0),
            ("LN2", 2.0, -2.1, -0.2),
            ("LN3", 1.5, -2.0, -0.4),
            ("LN3", 2.0, -2.3, -0.4),
            ("FN1", 1.5, -1.3, -0.3),
            ("FN1", 1.6, -1.4, -0.4),
            ("FN1", 2.0, -1.8, -0.6),
            ("FN1", 3.0, -1.9, -0.7),
            ("FN2", 1.5, -2.4, -0.8),
            ("FN2", 2.0, -2.7, -0.8),
            ("FN2", 3.0, -2.9, -1.0),
        ] {
            let fit = find(class, Mm::inches(inches)).expect("in the table").fit();
            for (value, want) in [(fit.least_clearance, least), (fit.greatest_clearance, greatest)] {
                assert!((value.to_inches() * 1000.0 - want).abs() < 1e-9, "{class} of {inches} in: {value}");
            }
        }
    }

    /// Both tables as their modules name them: ISO 286 and ANSI B4.1, read; one checks the other.
    #[test]
    fn inch_and_metric_classes_lie_within_12_micrometres_of_each_other() {
        use crate::standards::limits_and_fits::FitClass;
        for row in INCH_FITS.iter().filter(|row| row.iso.contains('/')) {
            let size = Mm::inches(row.sizes[1] - 0.01);
            let metric = row.iso.parse::<FitClass>().expect("a fit").at(size).expect("in the table");
            let off = (metric.greatest_interference() - row.fit().greatest_interference()).abs();
            assert!(off < Mm::new(0.012), "{} and {} of {size}: {off}", row.class, row.iso);
        }
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_is_not_in_the_table_is_told() {
        assert_eq!(find("RC9", Mm::inches(2.0)), Err(InchFitError::Class("RC9".into())), "class");
        for inches in [1.19, 3.2, f64::NAN] {
            let text = find("fn2", Mm::inches(inches)).expect_err("outside").to_string();
            assert!(text.contains("1.19 up to 3.15 in"), "{text}");
        }
        assert!(
            find(" fn2 ", Mm::inches(1.97)).is_ok_and(|row| row.sizes == LOW),
            "the end belongs to the step"
        );
    }
}
