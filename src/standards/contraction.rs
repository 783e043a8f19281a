//! Contraction of cast metals from the mould to room temperature, and what the pattern is larger by.
//!
//! Sources differ widely, so a foundry's own figure goes before any row here. A contraction is a share: 0.013 for 1.3 %.
//! Cores hold diameters back, so these often shrink by less than lengths (Dooley, *Applied Science for Metal Workers*, read;
//! it gives no figure).

use super::materials::Alloy;

/// Contraction of a metal in a sand mould.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contraction {
    /// Name of the metal; the names of its alloys begin with it.
    pub metal: &'static str,
    /// Taken when the foundry has given none, percent.
    pub percent: f64,
    /// Least and greatest value among the sources, percent.
    pub range: [f64; 2],
    /// Whether the sources agree well enough to order a pattern by.
    pub certain: bool,
    /// Where the row was taken from.
    pub source: &'static str,
}

impl Contraction {
    /// The default as a share.
    pub fn share(&self) -> f64 {
        self.percent / 100.0
    }
}

/// A metal that is not in the table.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no contraction is known for {metal}; the table has {}", names())]
pub struct UnknownMetal {
    /// As asked.
    pub metal: String,
}

fn names() -> String {
    CONTRACTIONS.iter().map(|row| row.metal).collect::<Vec<_>>().join(", ")
}

const fn row(
    metal: &'static str,
    percent: f64,
    range: [f64; 2],
    certain: bool,
    source: &'static str,
) -> Contraction {
    Contraction { metal, percent, range, certain, source }
}

/// The table.
pub static CONTRACTIONS: &[Contraction] = &[
    row(
        "aluminium",
        1.3,
        [1.04, 1.82],
        true,
        "5/32 in a foot, 1/8 for large castings: trade pages, read; 1.3 % for 355.0 and 356.0: data, read; Dooley's 7/32, read",
    ),
    row(
        "grey_iron",
        1.04,
        [0.55, 1.04],
        true,
        "1/10 to 1/8 in a foot: trade pages and a textbook's table, read",
    ),
    row("malleable_iron", 1.0, [1.0, 1.6], false, "1/8 in a foot or 1.6 %: two trade lists, read"),
    row("ductile_iron", 0.9, [0.8, 1.0], false, "1/10 to 1/8 in a foot: handbooks, from memory"),
    row(
        "magnesium",
        1.43,
        [1.25, 1.8],
        false,
        "11/64 in a foot: from memory; 1.25 and 1.8 % in two lists, read",
    ),
    row("brass", 1.56, [1.3, 1.56], true, "3/16 in a foot: trade page and a textbook's table, read"),
    row("bronze", 1.3, [1.05, 2.1], false, "5/32 to 3/16 in a foot: trade page and a textbook's table, read"),
    row(
        "aluminium_bronze",
        1.82,
        [1.8, 2.1],
        false,
        "7/32 to 1/4 in a foot: a trade list whose columns are hard to tell apart, read",
    ),
    row("manganese_bronze", 1.82, [1.8, 2.1], false, "as aluminium bronze"),
    row(
        "steel",
        2.08,
        [1.56, 2.08],
        true,
        "1/4 in a foot: trade pages, read; an old book's 3/16 (Dooley), read",
    ),
    row("zinc", 2.6, [2.6, 2.6], true, "5/16 in a foot: trade page, read"),
];

/// The row of a metal, or of an alloy whose name begins with the metal's: `aluminium_356_t6` is in the row `aluminium`.
///
/// # Errors
/// For a metal that is not in the table.
pub fn find(name: &str) -> Result<&'static Contraction, UnknownMetal> {
    let fits = |row: &&Contraction| {
        name.strip_prefix(row.metal).is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
    };
    // The longest name that fits: aluminium bronze is no aluminium.
    let found = CONTRACTIONS.iter().filter(fits).max_by_key(|row| row.metal.len());
    found.ok_or_else(|| UnknownMetal { metal: name.to_owned() })
}

/// The row of a casting alloy.
///
/// # Errors
/// When its metal is not in the table.
pub fn of_alloy(alloy: &Alloy) -> Result<&'static Contraction, UnknownMetal> {
    find(alloy.name)
}

/// Contraction as a share, from a contraction rule's inches in a foot: 5/32 gives 0.01302 (derived).
pub fn contraction_of_rule(inches_per_foot: f64) -> f64 {
    inches_per_foot / 12.0
}

/// A contraction rule's inches in a foot, from a contraction (derived).
pub fn rule_of_contraction(contraction: f64) -> f64 {
    contraction * 12.0
}

/// A pattern's dimension for a casting's, in its unit: `casting × (1 + s)`, which is how contraction rules are divided (practice).
///
/// The other convention, `casting / (1 − s)`, gives 0.034 mm more on 200 mm of aluminium.
pub fn pattern_size(casting: f64, contraction: f64) -> f64 {
    casting * (1.0 + contraction)
}

/// A master pattern's dimension for a casting's, in its unit: the working pattern is cast from the master and
/// shrinks as well, so both contractions are multiplied on (double contraction; practice).
pub fn master_pattern_size(casting: f64, contraction: f64, of_pattern: f64) -> f64 {
    pattern_size(pattern_size(casting, contraction), of_pattern)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::materials::ALLOYS;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Arithmetic of the two conventions (derived).
    #[test]
    fn t1_1_pattern_of_200() {
        near(pattern_size(200.0, 0.013), 202.600, 1e-9);
        near(200.0 / (1.0 - 0.013), 202.634, 5e-4);
    }

    /// Contraction rules in inches a foot (derived).
    #[test]
    fn t1_2_contraction_rules() {
        for (rule, want) in [
            (5.0 / 32.0, 0.013_020_8),
            (1.0 / 8.0, 0.010_416_7),
            (3.0 / 16.0, 0.015_625),
            (1.0 / 4.0, 0.020_833_3),
            (11.0 / 64.0, 0.014_322_9),
        ] {
            near(contraction_of_rule(rule), want, 5e-8);
            near(rule_of_contraction(contraction_of_rule(rule)), rule, 1e-15);
        }
    }

    /// An aluminium pattern for an aluminium casting (derived).
    #[test]
    fn t1_2_double_contraction() {
        near(master_pattern_size(100.0, 0.013, 0.013), 102.6169, 5e-5);
    }

    #[test]
    fn defaults_lie_within_what_the_sources_say() {
        for row in CONTRACTIONS {
            let [least, most] = row.range;
            assert!(least <= row.percent && row.percent <= most, "{}", row.metal);
            assert!((0.5..3.0).contains(&row.percent), "{}: percent, not a share", row.metal);
            near(row.share() * 100.0, row.percent, 1e-12);
        }
    }

    #[test]
    fn every_alloy_has_the_contraction_of_its_metal() {
        for alloy in ALLOYS {
            let row = of_alloy(alloy).expect("in the table");
            near(alloy.contraction, row.percent, 1e-12);
        }
    }

    #[test]
    fn names_are_matched_whole() {
        assert_eq!(find("aluminium_bronze").map(|r| r.metal), Ok("aluminium_bronze"), "no aluminium");
        assert_eq!(find("aluminium_356_t6").map(|r| r.metal), Ok("aluminium"), "an alloy");
        let error = find("brassy").expect_err("no metal").to_string();
        assert!(error.contains("brassy") && error.contains("zinc"), "{error}");
    }
}
