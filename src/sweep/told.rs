//! Answers as text for people: for the terminal, and as parts of the page.

use super::answers::Answers;
use super::effects::Effect;
use super::goal::Choice;
use super::moving::Moving;
use super::ranges::Stretch;
use super::row::Verdict;

/// Effects that are shown.
const EFFECTS: usize = 8;

/// Slopes of a plane that explains less than this share of a margin's changes say nothing.
const STRAIGHT: f64 = 0.8;

/// A number with as many digits as matter.
pub(super) fn number(x: f64) -> String {
    let decimals = if x == 0.0 { 0 } else { (4 - x.abs().log10().floor() as i32).clamp(0, 8) as usize };
    let text = format!("{x:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Answers {
    /// How many rows came out how.
    pub(super) fn counts(&self) -> String {
        let some = Verdict::ALL.iter().zip(self.verdicts).filter(|(_, n)| *n > 0);
        let parts: Vec<String> = some.map(|(v, n)| format!("{n} {}", v.word())).collect();
        parts.join(", ")
    }

    /// What a row sets.
    pub(super) fn set(&self, choice: &Choice) -> String {
        let parts = self.keys.iter().zip(&choice.values).map(|(k, v)| format!("{k} {}", number(*v)));
        parts.collect::<Vec<_>>().join(", ")
    }

    /// The effects that are nearest to their limits and change.
    pub(super) fn chief_effects(&self, most: usize) -> Vec<&Effect> {
        let moves = |e: &&Effect| e.slopes.is_some() && Moving::is(e.least, e.most);
        self.effects.iter().filter(moves).take(most).collect()
    }

    /// The answers in some lines.
    pub fn text(&self) -> String {
        let mut out = format!("{} rows: {}\n", self.rows, self.counts());
        if !self.is_whole() {
            let all = self.identity["rows"].as_u64().unwrap_or(0);
            out.push_str(&format!(
                "NOT WHOLE: {} of {all} rows are there; ends of ranges may be missing rows\n",
                self.rows
            ));
        }
        for range in &self.ranges {
            let (key, unit) = (range.axis.key.text(), &range.axis.shown);
            let stretches = range.stretches();
            if stretches.is_empty() {
                out.push_str(&format!("{key}: no value at which no check fails\n"));
            }
            for s in &stretches {
                out.push_str(&format!("{key}: no check fails in the rows {}\n", stretch(s, unit)));
            }
        }
        for best in &self.best {
            let row = best.row.as_ref().map_or_else(
                || "no feasible row has it".to_owned(),
                |c| {
                    format!(
                        "{} in row {}: {}",
                        c.has.first().map_or_else(String::new, |x| number(*x)),
                        c.index,
                        self.set_and_warns(c)
                    )
                },
            );
            out.push_str(&format!("{}: {row}\n", best.goal.words()));
        }
        out.push_str(&format!("front of both goals: {} rows\n", self.front.rows.len()));
        let chief = self.chief_effects(EFFECTS);
        if !chief.is_empty() {
            out.push_str("change of margins for one unit of each parameter, nearest to their limits first\n");
        }
        for e in chief {
            out.push_str(&format!("  {}, {}: {}\n", e.check, e.what, self.slopes(e)));
        }
        out
    }

    /// What a best row sets, and what of it warns.
    pub(super) fn set_and_warns(&self, choice: &Choice) -> String {
        self.set(choice) + &warns(choice)
    }

    /// The slopes of an effect.
    pub(super) fn slopes(&self, e: &Effect) -> String {
        let slopes = e.slopes.iter().flatten();
        let parts = self.axes.iter().zip(slopes).map(|(a, s)| format!("{} {}", a.key.text(), number(*s)));
        if e.explained < STRAIGHT {
            let (least, most) = (number(e.least), number(e.most));
            return format!("no straight line: the margin runs from {least} to {most}");
        }
        parts.collect::<Vec<_>>().join(", ")
    }
}

/// What of a row warns.
fn warns(choice: &Choice) -> String {
    if choice.warns.is_empty() { String::new() } else { format!("; it warns: {}", choice.warns.join("; ")) }
}

/// A stretch, and what ends it.
pub(super) fn stretch(s: &Stretch, unit: &str) -> String {
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let end = |reason: &Option<String>| reason.clone().unwrap_or_else(|| "the end of the axis".to_owned());
    format!(
        "{} to {}{unit}; ended below by {}, above by {}",
        number(s.from),
        number(s.to),
        end(&s.below),
        end(&s.above)
    )
}
