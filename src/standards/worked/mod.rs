//! Printed tables and worked examples against which the formulas and tables of [`super`] are checked, each with its source.
//!
//! The test of this module runs them all, and the example `sources` prints them: the list cannot say more than is tested.

mod bolts;
mod casting;
mod fits;
mod parts;

/// Where printed values come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Provenance {
    /// A named document, whose values were read in it.
    Read(&'static str),
    /// A named document, whose values were read on a page that quotes it.
    Through(&'static str),
    /// A page without a name that counts: a course, a calculator, an answer to a question.
    Page(&'static str),
    /// A named document from memory; its text was not seen.
    Memory(&'static str),
}

impl Provenance {
    /// Whether the document has a name and its values were seen.
    pub const fn is_named(self) -> bool {
        matches!(self, Self::Read(_) | Self::Through(_))
    }

    /// What it is, and how it was seen.
    pub const fn shown(self) -> (&'static str, &'static str) {
        match self {
            Self::Read(name) => (name, "read"),
            Self::Through(name) => (name, "through a page"),
            Self::Page(name) => (name, "page"),
            Self::Memory(name) => (name, "from memory"),
        }
    }
}

/// A row or column of a printed table, or a worked example.
#[derive(Clone, Copy)]
pub struct Worked {
    /// The subject, as headings of the list.
    pub subject: &'static str,
    /// Which row, column or example, with the unit of its values.
    pub what: &'static str,
    /// Where the values come from.
    pub source: Provenance,
    /// The same values as this program has them; `None` where it has none.
    pub values: fn() -> Option<Vec<f64>>,
    /// The values as printed.
    pub printed: &'static [f64],
    /// How far the program's may lie from the printed ones: half of the last printed digit, or what the source rounds by.
    pub within: f64,
}

impl Worked {
    /// The greatest distance between a printed value and the program's; infinite where a value is missing.
    pub fn off(&self) -> f64 {
        let Some(values) = (self.values)().filter(|values| values.len() == self.printed.len()) else {
            return f64::INFINITY;
        };
        values.iter().zip(self.printed).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    }
}

/// All of them, by subject.
pub fn all() -> impl Iterator<Item = &'static Worked> {
    [casting::WORKED, fits::WORKED, bolts::WORKED, parts::WORKED].into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each entry names its source: printed tables and worked examples.
    #[test]
    fn every_printed_value_is_met() {
        let off: Vec<String> = all()
            .filter(|w| w.off().is_nan() || w.off() > w.within)
            .map(|w| {
                format!("{}, {}: off by {} of {}; {:?}", w.subject, w.what, w.off(), w.within, (w.values)())
            })
            .collect();
        assert!(off.is_empty(), "{}", off.join("\n"));
    }

    /// The README says how many there are; a value that was not seen counts for nothing.
    ///
    /// No outside value: a count.
    #[test]
    fn the_readme_counts_them_rightly() {
        let named: Vec<&Worked> = all().filter(|w| w.source.is_named()).collect();
        let values: usize = named.iter().map(|w| w.printed.len()).sum();
        let said = format!("{} rows, columns and worked examples ({values} values) of named", named.len());
        let readme = include_str!("../../../README.md").split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(readme.contains(&said), "the README should say: {said}");
        assert!(named.len() >= 60, "{}", named.len());
    }
}
