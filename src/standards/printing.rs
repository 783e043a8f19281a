//! Rules of filament printing, for trial prints.
//!
//! Pages on shrink and holes differ by two to three times, so a printed and measured bar goes before any value here. Lengths in
//! mm; a shrink is a share: 0.003 for 0.3 %.

use std::fmt;
use std::str::FromStr;

/// Why there is no value.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PrintingError {
    /// No such plastic.
    #[error("{0} is not among the plastics PLA, PETG, ABS, ASA, PA and PC")]
    Plastic(String),
    /// A shrink that cannot be.
    #[error("a shrink of {0} is outside 0 to below 0.1; it is a share, 0.003 for 0.3 %")]
    Shrink(f64),
}

/// A plastic to print with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Plastic {
    /// PLA.
    Pla,
    /// PETG.
    Petg,
    /// ABS.
    Abs,
    /// ASA.
    Asa,
    /// Polyamide, nylon.
    Pa,
    /// Polycarbonate.
    Pc,
}

impl Plastic {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Pla, Self::Petg, Self::Abs, Self::Asa, Self::Pa, Self::Pc];

    /// Linear shrink, percent: default, least and greatest. Ranges from trade pages, read; defaults are their middles (practice).
    ///
    /// Other pages give 1.0 to 1.5 for ABS and ASA, and up to 2.0 for polyamide. For polycarbonate a single value was found.
    pub const fn shrink_percent(self) -> [f64; 3] {
        match self {
            Self::Pla => [0.2, 0.1, 0.3],
            Self::Petg => [0.3, 0.2, 0.4],
            Self::Abs | Self::Asa => [0.6, 0.4, 0.8],
            Self::Pa => [0.95, 0.4, 1.5],
            Self::Pc => [0.7, 0.7, 0.7],
        }
    }

    /// Default shrink as a share.
    pub const fn shrink(self) -> f64 {
        self.shrink_percent()[0] / 100.0
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Pla => "PLA",
            Self::Petg => "PETG",
            Self::Abs => "ABS",
            Self::Asa => "ASA",
            Self::Pa => "PA",
            Self::Pc => "PC",
        }
    }
}

impl FromStr for Plastic {
    type Err = PrintingError;

    /// Reads the name; case does not matter.
    fn from_str(text: &str) -> Result<Self, PrintingError> {
        let found = Self::ALL.into_iter().find(|p| p.name().eq_ignore_ascii_case(text.trim()));
        found.ok_or_else(|| PrintingError::Plastic(text.trim().to_owned()))
    }
}

impl fmt::Display for Plastic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// How printed parts go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrintedFit {
    /// Pushed together by hand.
    Snug,
}

impl PrintedFit {
    /// Clearance on each side, mm: default, least, greatest. Ranges from trade pages, read; defaults practice.
    pub const fn clearance(self) -> [f64; 3] {
        match self {
            Self::Snug => [0.15, 0.1, 0.2],
        }
    }
}

/// Thinnest wall, mm: three lines of a 0.4 mm nozzle (practice).
pub const LEAST_WALL: f64 = 1.2;

/// Room kept free at each edge of the bed, mm (practice).
pub const BED_MARGIN: f64 = 5.0;

/// How much wider holes are drawn than they are to come out, mm on the diameter: the middles of ranges on a calculator page
/// (read: 2–3 mm 0.4–0.5, 4–6 mm 0.3–0.4, 8–12 mm and 15–25 mm 0.2–0.3, from 30 mm 0.1–0.2). Other pages say 0.1 to 0.3 throughout.
const WIDER: [(f64, f64); 5] = [(2.5, 0.45), (5.0, 0.35), (10.0, 0.25), (20.0, 0.25), (30.0, 0.15)];

/// Compensation of a hole, mm on the diameter. Between the page's rows straight lines are drawn, which the page does not say;
/// below the first and above the last row their values stay.
pub fn hole_oversize(diameter: f64) -> f64 {
    let (first, last) = (WIDER[0], WIDER[WIDER.len() - 1]);
    if diameter <= first.0 {
        return first.1;
    }
    let between = WIDER.windows(2).find(|w| diameter <= w[1].0);
    between.map_or(last.1, |w| w[0].1 + (w[1].1 - w[0].1) * (diameter - w[0].0) / (w[1].0 - w[0].0))
}

/// A length as drawn, for one to come out by a linear shrink: `l / (1 − s)` (derived).
///
/// # Errors
/// For a shrink outside 0 to 0.1, most likely one given in percent.
pub fn drawn_length(length: f64, shrink: f64) -> Result<f64, PrintingError> {
    if (0.0..0.1).contains(&shrink) {
        Ok(length / (1.0 - shrink))
    } else {
        Err(PrintingError::Shrink(shrink))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: Result<f64, PrintingError>, want: f64, within: f64) {
        let value = value.expect("in range");
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Shrink of 0.7 % (derived).
    #[test]
    fn t9_1_length_100_at_0_7_percent() {
        near(drawn_length(100.0, 0.007), 100.705, 5e-4);
    }

    /// No outside value: a property of the table itself.
    #[test]
    fn oversize_falls_with_the_diameter() {
        let all: Vec<f64> = (1..60).map(|d| hole_oversize(f64::from(d))).collect();
        assert!(all.windows(2).all(|w| w[0] >= w[1]) && all[58] > 0.1, "{all:?}");
    }

    /// The page's ranges (read).
    #[test]
    fn oversize_lies_in_the_pages_ranges() {
        for (from, to, least, most) in [
            (2.0, 3.0, 0.4, 0.5),
            (4.0, 6.0, 0.3, 0.4),
            (8.0, 12.0, 0.2, 0.3),
            (15.0, 25.0, 0.2, 0.3),
            (30.0, 99.0, 0.1, 0.2),
        ] {
            for d in [from, 0.5 * (from + to), to] {
                let c = hole_oversize(d);
                assert!(least - 1e-9 <= c && c <= most + 1e-9, "{d} mm: {c}");
            }
        }
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn defaults_lie_in_their_ranges() {
        let inside = |[default, least, most]: [f64; 3]| least <= default && default <= most;
        for plastic in Plastic::ALL {
            assert!(inside(plastic.shrink_percent()), "{plastic}");
            assert_eq!(plastic.to_string().to_lowercase().parse(), Ok(plastic), "there and back");
        }
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_cannot_be_is_told_with_its_range() {
        let text = drawn_length(100.0, 0.7).expect_err("percent for a share").to_string();
        assert!(text.contains("0 to below 0.1"), "{text}");
        assert!(drawn_length(100.0, -0.001).is_err() && drawn_length(1.0, f64::NAN).is_err(), "shrink");
        assert_eq!("wood".parse::<Plastic>(), Err(PrintingError::Plastic("wood".into())), "plastics");
    }
}
