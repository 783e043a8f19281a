//! Limits and fits of ISO 286: classes such as `H7` and `s6`, their deviations, and the clearance of a fit `H7/s6`.
//!
//! Since 2010 the tables are the standard and the formulas behind them history; the tables are used, and the formulas
//! (`limits_and_fits_formulas`) test them; where they were read stands beside them (`limits_and_fits_tables`). Sizes over 0 up to 500 mm, grades 5 to 13.

use std::fmt;
use std::str::FromStr;

use super::limits_and_fits_tables::{FINE, FineStep, MAIN, MainStep};
use crate::units::Mm;

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// No class in these words.
    #[error(
        "`{0}` is no tolerance class of the table, such as H7 for a hole or s6 for a shaft; letters C to H, JS, K, M, N, P, R, S, T, U, grades 5 to 13"
    )]
    Class(String),
    /// No fit in these words.
    #[error("`{0}` is no fit, which is a hole's class before a shaft's, such as H7/s6")]
    Fit(String),
    /// Not a size of the tables.
    #[error("{size} is outside the tables of limits and fits, which are for sizes over 0 up to 500 mm")]
    Size {
        /// As asked.
        size: Mm,
    },
    /// The standard gives no deviation for it.
    #[error("{class} is not given for {size}; K ends at grade 8, T and t begin over 24 mm")]
    Blank {
        /// The class.
        class: ToleranceClass,
        /// As asked.
        size: Mm,
    },
}

/// Standard tolerance grade IT5 to IT13; higher numbers are coarser.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Grade(u8);

impl Grade {
    /// Finest grade here.
    pub const FINEST: Self = Self(5);
    /// IT7, of which common shafts and bores are.
    pub const SEVEN: Self = Self(7);
    /// IT8.
    pub const EIGHT: Self = Self(8);
    /// Coarsest grade here.
    pub const COARSEST: Self = Self(13);

    /// The grade of this number, 5 to 13.
    pub fn new(number: u8) -> Option<Self> {
        (Self::FINEST.0..=Self::COARSEST.0).contains(&number).then_some(Self(number))
    }

    /// All grades, finest first.
    pub fn all() -> impl Iterator<Item = Self> {
        (Self::FINEST.0..=Self::COARSEST.0).map(Self)
    }

    /// The number in its name.
    pub const fn number(self) -> u8 {
        self.0
    }

    /// Width of the zone in this row, µm.
    fn width(self, row: &MainStep) -> f64 {
        f64::from(row.it[usize::from(self.0) - 4])
    }

    /// By how much this grade is wider than the next finer one, µm.
    fn step(self, row: &MainStep) -> f64 {
        self.width(row) - f64::from(row.it[usize::from(self.0) - 5])
    }
}

/// Letter of a class: where its zone lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the letters are their own names")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    H,
    Js,
    K,
    M,
    N,
    P,
    R,
    S,
    T,
    U,
}

impl Letter {
    /// All letters, from the loosest fit to the tightest.
    pub const ALL: [Self; 15] = [
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::H,
        Self::Js,
        Self::K,
        Self::M,
        Self::N,
        Self::P,
        Self::R,
        Self::S,
        Self::T,
        Self::U,
    ];

    fn text(self, side: Side) -> String {
        let text = format!("{self:?}");
        match side {
            Side::Hole => text.to_ascii_uppercase(),
            Side::Shaft => text.to_ascii_lowercase(),
        }
    }
}

/// What a class is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Capital letters.
    Hole,
    /// Small letters.
    Shaft,
}

/// A tolerance class such as `H7` or `s6`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToleranceClass {
    /// Hole or shaft.
    pub side: Side,
    /// Where the zone lies.
    pub letter: Letter,
    /// How wide it is.
    pub grade: Grade,
}

impl FromStr for ToleranceClass {
    type Err = FitError;

    /// Reads `H7`, `JS6`, `s6`. Capitals are holes, small letters shafts; mixed ones are neither.
    fn from_str(text: &str) -> Result<Self, FitError> {
        let text = text.trim();
        let digits = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
        let (letters, number) = text.split_at(digits);
        let named = |side: Side| {
            Letter::ALL.into_iter().find(|letter| letter.text(side) == letters).map(|letter| (side, letter))
        };
        let grade = number.parse().ok().and_then(Grade::new);
        let found = named(Side::Hole).or_else(|| named(Side::Shaft)).zip(grade);
        let class = found.map(|((side, letter), grade)| Self { side, letter, grade });
        class.ok_or_else(|| FitError::Class(text.to_owned()))
    }
}

impl fmt::Display for ToleranceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letter.text(self.side), self.grade.number())
    }
}

/// Lower and upper deviation from the nominal size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviations {
    /// EI of a hole, ei of a shaft.
    pub lower: Mm,
    /// ES of a hole, es of a shaft.
    pub upper: Mm,
}

impl Deviations {
    /// Least and greatest size.
    pub fn sizes(self, nominal: Mm) -> [Mm; 2] {
        [nominal + self.lower, nominal + self.upper]
    }
}

fn rows(size: Mm) -> Result<(&'static MainStep, &'static FineStep), FitError> {
    let d = size.get();
    let main = MAIN.iter().find(|row| d > 0.0 && d <= row.end);
    main.zip(FINE.iter().find(|row| d <= row.end)).ok_or(FitError::Size { size })
}

fn microns(value: f64) -> Mm {
    Mm::new(value / 1000.0)
}

/// Standard tolerance: the width of a zone of this grade at this nominal size.
///
/// # Errors
/// Sizes outside 0 to 500 mm.
pub fn standard_tolerance(size: Mm, grade: Grade) -> Result<Mm, FitError> {
    rows(size).map(|(row, _)| microns(grade.width(row)))
}

impl ToleranceClass {
    /// Deviations at this nominal size. An end of a step belongs to it: 50 mm is in 30 to 50.
    ///
    /// # Errors
    /// Sizes outside 0 to 500 mm; classes that the standard gives no deviation for there.
    pub fn deviations(self, size: Mm) -> Result<Deviations, FitError> {
        let (row, fine) = rows(size)?;
        let width = self.grade.width(row);
        if self.letter == Letter::Js {
            return Ok(Deviations { lower: microns(-0.5 * width), upper: microns(0.5 * width) });
        }
        let blank = FitError::Blank { class: self, size };
        let nearest = match self.side {
            Side::Shaft => self.of_shaft(row, fine),
            Side::Hole => self.of_hole(row, fine),
        };
        let nearest = nearest.ok_or(blank)?;
        // The fundamental deviation is the one nearer to the nominal size; the other lies beyond it.
        let upwards = (self.letter <= Letter::H) == (self.side == Side::Hole);
        let other = if upwards { nearest + width } else { nearest - width };
        Ok(Deviations { lower: microns(nearest.min(other)), upper: microns(nearest.max(other)) })
    }

    /// Fundamental deviation of a shaft, µm: upper up to h, lower from k on.
    fn of_shaft(self, row: &MainStep, fine: &FineStep) -> Option<f64> {
        let value = match self.letter {
            Letter::C => -fine.c,
            Letter::D => -row.d_to_g[0],
            Letter::E => -row.d_to_g[1],
            Letter::F => -row.d_to_g[2],
            Letter::G => -row.d_to_g[3],
            Letter::H | Letter::Js => 0,
            Letter::K if self.grade.number() > 7 => 0,
            Letter::K => row.k_to_p[0],
            Letter::M => row.k_to_p[1],
            Letter::N => row.k_to_p[2],
            Letter::P => row.k_to_p[3],
            Letter::R => fine.r_s[0],
            Letter::S => fine.r_s[1],
            Letter::T => fine.t?,
            Letter::U => fine.u,
        };
        Some(f64::from(value))
    }

    /// Fundamental deviation of a hole, µm: lower up to H, upper from K on. Up to H it mirrors the shaft's; beyond,
    /// the finer grades lie higher by what a grade is wider than the next finer one, so that H7/p6 and P7/h6 fit alike.
    fn of_hole(self, row: &MainStep, fine: &FineStep) -> Option<f64> {
        let number = self.grade.number();
        let smallest = row.end <= MAIN[0].end;
        let shift = if smallest { 0.0 } else { self.grade.step(row) };
        let mirror = |grade| Self { side: Side::Shaft, grade, ..self }.of_shaft(row, fine).map(|ei| -ei);
        match self.letter {
            Letter::K if number > 8 && !smallest => None,
            // The k of the table is that of grades 4 to 7.
            Letter::K if number <= 8 => mirror(Grade::FINEST).map(|es| es + shift),
            Letter::N if number > 8 && !smallest => Some(0.0),
            // The one exception that the standard makes.
            Letter::M if number == 6 && (row.end - 315.0).abs() < 1.0 => Some(-9.0),
            Letter::M | Letter::N if number <= 8 => mirror(self.grade).map(|es| es + shift),
            Letter::P | Letter::R | Letter::S | Letter::T | Letter::U if number <= 7 => {
                mirror(self.grade).map(|es| es + shift)
            }
            _ => mirror(self.grade),
        }
    }
}

/// A hole's class and a shaft's, such as `H7/s6`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FitClass {
    /// Of the hole.
    pub hole: ToleranceClass,
    /// Of the shaft.
    pub shaft: ToleranceClass,
}

impl FromStr for FitClass {
    type Err = FitError;

    fn from_str(text: &str) -> Result<Self, FitError> {
        let bad = || FitError::Fit(text.trim().to_owned());
        let (hole, shaft) = text.split_once('/').ok_or_else(bad)?;
        let (hole, shaft): (ToleranceClass, ToleranceClass) = (hole.parse()?, shaft.parse()?);
        let fit = Self { hole, shaft };
        if hole.side == Side::Hole && shaft.side == Side::Shaft { Ok(fit) } else { Err(bad()) }
    }
}

impl fmt::Display for FitClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.hole, self.shaft)
    }
}

impl FitClass {
    /// Clearance of the fit at this nominal size.
    ///
    /// # Errors
    /// As [`ToleranceClass::deviations`] for either.
    pub fn at(self, size: Mm) -> Result<Fit, FitError> {
        Ok(Fit::between(self.hole.deviations(size)?, self.shaft.deviations(size)?))
    }
}

/// What a fit may turn out as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitKind {
    /// Never tight.
    Clearance,
    /// One or the other.
    Transition,
    /// Never loose.
    Interference,
}

/// Limits of a fit, on the diameter. Interference is clearance below zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Smallest hole less largest shaft.
    pub least_clearance: Mm,
    /// Largest hole less smallest shaft.
    pub greatest_clearance: Mm,
}

impl Fit {
    /// The fit of a hole and a shaft of one nominal size.
    pub fn between(hole: Deviations, shaft: Deviations) -> Self {
        Self { least_clearance: hole.lower - shaft.upper, greatest_clearance: hole.upper - shaft.lower }
    }

    /// Smallest shaft less largest hole; below zero for a fit that may be loose.
    pub fn least_interference(self) -> Mm {
        -self.greatest_clearance
    }

    /// Largest shaft less smallest hole; below zero for a fit that is always loose.
    pub fn greatest_interference(self) -> Mm {
        -self.least_clearance
    }

    /// What it may turn out as. No clearance at all at a limit still counts as a clearance fit, no interference as interference.
    pub fn kind(self) -> FitKind {
        if self.least_clearance >= Mm::new(0.0) {
            FitKind::Clearance
        } else if self.greatest_clearance <= Mm::new(0.0) {
            FitKind::Interference
        } else {
            FitKind::Transition
        }
    }
}

#[cfg(test)]
#[path = "limits_and_fits_tests.rs"]
mod tests;
