//! The verdict on a whole article: its characteristics, and whether it serves. A part can keep every limit of a file that has no tolerance
//! for the place of its bores, and still not line up.

use super::characteristic::MeasuringSheet;
use super::function::{FunctionEffect, PartFunction, Served};
use super::judging::JudgedArticle;
use super::verdict::ItemVerdict;
use crate::faces::{Feature, Role};

/// What is said of the line-up of an article.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineUp {
    /// Raw castings do not line up yet.
    NotAsked,
    /// Not all that it needs was measured.
    NotMeasured,
    /// As its worst bore serves it.
    Judged(Served),
}

/// The verdict on a whole article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OverallVerdict {
    /// The worst verdict on a characteristic.
    pub characteristics: ItemVerdict,
    /// What is said of the line-up.
    pub line_up: LineUp,
    /// Other functions that are not served, each once.
    pub unserved: Vec<PartFunction>,
}

/// How many bores of a part must line up: the seat of the bushing and the counterbore of the seal.
fn bores(sheet: &MeasuringSheet) -> usize {
    [Role::BushingSeat, Role::SealCounterbore]
        .into_iter()
        .filter(|role| sheet.element_of(Feature::Tail, *role).is_some())
        .count()
}

impl OverallVerdict {
    /// The verdict on an article by its characteristics and its effects on the functions.
    pub fn of(sheet: &MeasuringSheet, article: &JudgedArticle, effects: &[FunctionEffect]) -> Self {
        let line_up: Vec<Served> =
            effects.iter().filter(|e| e.function == PartFunction::LineUp).map(|e| e.served).collect();
        let mut unserved: Vec<PartFunction> = Vec::new();
        for effect in effects.iter().filter(|e| e.served == Served::No) {
            if effect.function != PartFunction::LineUp && !unserved.contains(&effect.function) {
                unserved.push(effect.function);
            }
        }
        let raw = !sheet.finished_sizes.is_empty();
        let worst = line_up.iter().copied().max_by_key(|s| badness(*s));
        let line_up = match worst {
            _ if raw => LineUp::NotAsked,
            // What is out is out, whatever else was not measured.
            Some(Served::No) => LineUp::Judged(Served::No),
            Some(worst) if line_up.len() == bores(sheet) => LineUp::Judged(worst),
            _ => LineUp::NotMeasured,
        };
        Self { characteristics: article.verdict(), line_up, unserved }
    }

    /// Whether the article can be used as it is.
    pub fn passes(&self) -> bool {
        self.characteristics == ItemVerdict::Conforms && self.serves()
    }

    fn serves(&self) -> bool {
        let lines_up = match self.line_up {
            LineUp::NotAsked => true,
            LineUp::Judged(served) => matches!(served, Served::Yes | Served::Likely | Served::Alone),
            LineUp::NotMeasured => false,
        };
        lines_up && self.unserved.is_empty()
    }

    /// Whether a function surely is not served.
    fn fails(&self) -> bool {
        self.line_up == LineUp::Judged(Served::No) || !self.unserved.is_empty()
    }

    /// What is to be said besides the verdict on the characteristics; nothing where the part lines up in the worst case.
    fn besides(&self) -> Vec<&'static str> {
        let line_up = match self.line_up {
            LineUp::NotAsked | LineUp::Judged(Served::Yes | Served::Told) => None,
            // That is said already.
            LineUp::NotMeasured if self.characteristics == ItemVerdict::NotMeasured => None,
            LineUp::NotMeasured => Some("whether it lines up was not measured"),
            LineUp::Judged(Served::Likely) => Some("lines up likely, not in the worst case"),
            LineUp::Judged(Served::Alone) => Some("lines up as far as the housing alone tells"),
            LineUp::Judged(Served::Undecided) => Some("whether it lines up is undecided"),
            LineUp::Judged(Served::No) => Some(PartFunction::LineUp.failed()),
        };
        line_up.into_iter().chain(self.unserved.iter().map(|f| f.failed())).collect()
    }

    /// The verdict in words.
    pub fn words(&self) -> String {
        let besides = self.besides();
        match (self.characteristics, besides.is_empty()) {
            (verdict, true) => verdict.words().to_owned(),
            (ItemVerdict::Conforms, false) => {
                let but = if self.serves() { "; it " } else { ", but " };
                format!("conforms to the file{but}{}", besides.join(", "))
            }
            // What surely fails is said before what is not known yet.
            (ItemVerdict::Undecided | ItemVerdict::NotMeasured, false) if self.fails() => {
                format!("{}; else {}", besides.join(", "), self.characteristics.words())
            }
            (verdict, false) => format!("{}; {}", verdict.words(), besides.join(", ")),
        }
    }
}

/// The worse, the higher.
const fn badness(served: Served) -> u8 {
    match served {
        Served::Told => 0,
        Served::Yes => 1,
        Served::Likely => 2,
        Served::Alone => 3,
        Served::Undecided => 4,
        Served::No => 5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(characteristics: ItemVerdict, line_up: LineUp, unserved: Vec<PartFunction>) -> (String, bool) {
        let overall = OverallVerdict { characteristics, line_up, unserved };
        (overall.words(), overall.passes())
    }

    /// Only a part that conforms and serves passes, and what does not serve is said whatever the characteristics are.
    #[test]
    fn a_part_that_does_not_serve_does_not_pass() {
        use ItemVerdict::{Conforms, DoesNotConform, NotMeasured, Undecided};
        let judged = LineUp::Judged;
        for (characteristics, line_up, unserved, words, passes) in [
            (Conforms, judged(Served::Yes), vec![], "conforms", true),
            (Conforms, LineUp::NotAsked, vec![], "conforms", true),
            (
                Conforms,
                judged(Served::Alone),
                vec![],
                "conforms to the file; it lines up as far as the housing alone tells",
                true,
            ),
            (Conforms, judged(Served::No), vec![], "conforms to the file, but does not line up", false),
            (
                Conforms,
                LineUp::NotMeasured,
                vec![],
                "conforms to the file, but whether it lines up was not measured",
                false,
            ),
            (
                Conforms,
                judged(Served::Yes),
                vec![PartFunction::Bolts],
                "conforms to the file, but does not bolt up",
                false,
            ),
            (Undecided, judged(Served::No), vec![], "does not line up; else undecided", false),
            (NotMeasured, LineUp::NotMeasured, vec![], "not measured", false),
            (DoesNotConform, judged(Served::No), vec![], "does not conform; does not line up", false),
        ] {
            let (found, pass) = said(characteristics, line_up, unserved);
            assert_eq!((found.as_str(), pass), (words, passes), "{characteristics:?} {line_up:?}");
        }
    }
}
