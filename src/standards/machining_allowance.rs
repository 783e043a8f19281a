//! Required machining allowance, and the casting's size from the finished size.
//!
//! ISO 8062:1994 table 2, the same as the RMAG table of ISO 8062-3:2007: from memory. Its column G at 100 to 1000 mm is borne out
//! by a trade table (read). To be checked against the standard before a casting is ordered by it.

use std::fmt;
use std::str::FromStr;

use super::casting_tolerance::{Dctg, ToleranceError, half_zone, widths};

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
    /// An allowance that is none.
    #[error("{0} mm is no machining allowance; it is 0 or more")]
    Negative(f64),
    /// The stock fills the bore.
    #[error(
        "stock of {stock} mm on the diameter fills a bore of {finished} mm; only larger bores can be cored"
    )]
    BoreFilled {
        /// Finished diameter, mm.
        finished: f64,
        /// Stock on the diameter, mm.
        stock: f64,
    },
    /// The casting's size has no tolerance.
    #[error(transparent)]
    Tolerance(#[from] ToleranceError),
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

/// Range of stock on a face of small aluminium castings in sand, mm: 1/16 to 1/8 in rounded (trade habit, practice).
pub const TRADE_STOCK: [f64; 2] = [1.5, 3.0];

/// What is machined about a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Machined {
    /// One face of a length.
    OneFace,
    /// Both faces of a length, or an outside diameter.
    Both,
    /// A bore.
    Bore,
}

/// Size of the raw casting, mm, from the finished size, mm: one face `F + A + T/2`, both `F + 2A + T/2`, bore `F − 2A − T/2`,
/// with the allowance `A` in mm and the tolerance zone `T` (figures of ISO 8062:1994 clause 10, from memory).
///
/// The zone is the raw size's own. Near the end of a row a bore may have no such size, when each of two rows
/// leads into the other; then the wider zone is taken, which leaves more stock.
///
/// # Errors
/// When the allowance is negative, the stock fills the bore, or the raw size is outside the table of tolerances.
pub fn raw_size(
    finished: f64,
    machined: Machined,
    allowance: f64,
    grade: Dctg,
) -> Result<f64, AllowanceError> {
    if !(0.0..f64::INFINITY).contains(&allowance) {
        return Err(AllowanceError::Negative(allowance));
    }
    if !(finished > 0.0 && finished.is_finite()) {
        return Err(ToleranceError::Size { size: finished }.into());
    }
    let with = |half: f64| match machined {
        Machined::OneFace => finished + allowance + half,
        Machined::Both => finished + 2.0 * allowance + half,
        Machined::Bore => finished - 2.0 * allowance - half,
    };
    // The narrowest zone that is as wide as its own raw size asks: the stable one where there is one.
    let mut fault = None;
    for half in widths(grade).map(|width| 0.5 * width) {
        let raw = with(half);
        if raw <= 0.0 {
            let filled = AllowanceError::BoreFilled { finished, stock: finished - raw };
            return Err(fault.unwrap_or(filled));
        }
        match half_zone(raw, grade) {
            Ok(asked) if asked <= half => return Ok(raw),
            Ok(_) => {}
            Err(e) => fault = Some(e.into()),
        }
    }
    Err(fault.unwrap_or(ToleranceError::Size { size: finished }.into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RMAG F of a casting of 250 to 400 mm (2.5 mm, table from memory), DCTG 10.
    fn raw(finished: f64, machined: Machined) -> f64 {
        let rma = allowance(381.0, AllowanceGrade::F).expect("in the table");
        raw_size(finished, machined, rma, Dctg::G10).expect("in the table")
    }

    /// 62 − 5 − 1.4: ISO 8062:1994 clause 10 and table 2, from memory.
    #[test]
    fn t1_4_bore_62_at_rmag_f() {
        assert!((raw(62.0, Machined::Bore) - 55.6).abs() < 1e-12, "{}", raw(62.0, Machined::Bore));
    }

    /// 200 + 5 + 2 and 200 + 2.5 + 2: ISO 8062:1994 clause 10 and table 2, from memory.
    #[test]
    fn t1_4_length_200_at_rmag_f() {
        assert!((raw(200.0, Machined::Both) - 207.0).abs() < 1e-12, "both faces");
        assert!((raw(200.0, Machined::OneFace) - 204.5).abs() < 1e-12, "one face");
    }

    /// A trade table of RMAG G with half of DCTG 11 gives 4, 5, 6, 7, 8, 9 (read), which are these sums rounded up; the table of
    /// tolerances here ends at 630 mm, so the zone of 1000 mm is 8 (ISO 8062-3, from memory).
    #[test]
    fn t1_5_rmag_g_with_dctg_11() {
        let rows = [(100.0, 3.6), (160.0, 4.7), (250.0, 5.6), (400.0, 6.6), (630.0, 7.5), (1000.0, 9.0)];
        for ((size, want), shop) in rows.into_iter().zip([4.0, 5.0, 6.0, 7.0, 8.0, 9.0]) {
            let half =
                if size > 630.0 { 0.5 * 8.0 } else { half_zone(size, Dctg::G11).expect("in the table") };
            let sum = allowance(size, AllowanceGrade::G).expect("in the table") + half;
            assert!((sum - want).abs() < 1e-12, "{size} mm: {sum} for {want}");
            assert!((sum - 1e-9).ceil() <= shop && shop - sum < 1.0, "{size} mm: {sum} rounds up to {shop}");
        }
    }

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

    #[test]
    fn the_zone_is_the_raw_sizes_own() {
        for grade in Dctg::ALL {
            for tenth in 200..5500 {
                let finished = f64::from(tenth) * 0.1;
                for machined in [Machined::OneFace, Machined::Both, Machined::Bore] {
                    let Ok(raw) = raw_size(finished, machined, 2.5, grade) else { continue };
                    let faces = if machined == Machined::OneFace { 1.0 } else { 2.0 };
                    let used = (raw - finished).abs() - faces * 2.5;
                    let asked = half_zone(raw, grade).expect("in the table");
                    assert!(used > asked - 1e-9, "{grade} {finished} {machined:?}: {used} for {asked}");
                    let stable = (used - asked).abs() < 1e-9;
                    assert!(stable || machined == Machined::Bore, "{grade} {finished} {machined:?}");
                }
            }
        }
    }

    /// 69.5 − 5 − 1.4 = 63.1 asks for 1.6, 69.5 − 5 − 1.6 = 62.9 for 1.4.
    #[test]
    fn a_bore_between_two_rows_takes_the_wider_zone() {
        assert!((raw(69.5, Machined::Bore) - 62.9).abs() < 1e-12, "{}", raw(69.5, Machined::Bore));
    }

    #[test]
    fn a_finished_size_beyond_the_table_may_have_a_raw_size_within() {
        assert!((raw(636.0, Machined::Bore) - 628.5).abs() < 1e-12, "636 − 5 − 2.5");
        let beyond = raw_size(628.0, Machined::OneFace, 2.5, Dctg::G10);
        assert!(matches!(beyond, Err(AllowanceError::Tolerance(ToleranceError::Size { .. }))), "{beyond:?}");
    }

    #[test]
    fn what_cannot_be_is_told_with_its_range() {
        let say = |r: Result<f64, AllowanceError>| r.expect_err("outside").to_string();
        for largest in [0.0, 1000.01, f64::NAN] {
            let text = say(allowance(largest, AllowanceGrade::F));
            assert!(text.contains("over 0 up to 1000 mm"), "{text}");
        }
        let filled = say(raw_size(6.0, Machined::Bore, 2.5, Dctg::G10));
        assert_eq!(
            filled,
            "stock of 6 mm on the diameter fills a bore of 6 mm; only larger bores can be cored"
        );
        assert!(say(raw_size(60.0, Machined::Bore, -1.0, Dctg::G10)).contains("0 or more"), "negative");
        assert!(raw_size(f64::NAN, Machined::Both, 2.0, Dctg::G10).is_err(), "no number");
    }

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
