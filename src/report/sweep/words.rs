//! The summary as text: for the terminal, and as parts of the page.

use crate::sweep::answers::Answers;
use crate::sweep::effects::Effect;
use crate::sweep::goal::Objective;
use crate::sweep::moving::Moving;
use crate::sweep::ranges::{Bins, FeasibleRange};
use crate::sweep::row::RowVerdict;
use crate::words::counted;

/// Effects that are shown.
const EFFECTS: usize = 8;

/// Slopes of a plane that explains less than this share of a margin's changes are not shown.
const STRAIGHT: f64 = 0.8;

/// A number with its significant digits.
pub(super) fn number(x: f64) -> String {
    let decimals = if x == 0.0 { 0 } else { (4 - x.abs().log10().floor() as i32).clamp(0, 8) as usize };
    let text = format!("{x:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The number of rows with each verdict.
pub(super) fn counts(answers: &Answers) -> String {
    let some = RowVerdict::ALL.iter().zip(answers.verdicts).filter(|(_, n)| *n > 0);
    let parts: Vec<String> = some.map(|(v, n)| format!("{n} {}", v.word())).collect();
    parts.join(", ")
}

/// What a row sets.
pub(super) fn set(answers: &Answers, choice: &Objective) -> String {
    settings(answers, &choice.values)
}

/// Values of the sweep's keys, each with its unit.
pub(super) fn settings(answers: &Answers, values: &[f64]) -> String {
    let parts = answers.keys.iter().zip(values).enumerate().map(|(k, (key, value))| {
        let unit = answers.units.get(k).map_or("", String::as_str);
        format!("{key} {} {unit}", number(*value)).trim_end().to_owned()
    });
    parts.collect::<Vec<_>>().join(", ")
}

/// The effects of changing measurements that are nearest to their limits.
pub(super) fn chief_effects(answers: &Answers, most: usize) -> Vec<&Effect> {
    let moves = |e: &&Effect| e.slopes.is_some() && Moving::is(e.least, e.most);
    answers.effects.iter().filter(moves).take(most).collect()
}

/// Said of an axis along which no row works, with the reason found most often.
pub(super) fn none_works(axis: &Bins) -> String {
    let why = axis.chief_reason().map_or_else(String::new, |why| format!("; most often for {why}"));
    format!("no value at which no check fails{why}")
}

/// The summary in a few lines.
pub fn text(answers: &Answers) -> String {
    let mut out = format!("{}: {}\n", counted(answers.rows, "row"), counts(answers));
    if !answers.is_whole() {
        let all = answers.identity["rows"].as_u64().unwrap_or(0);
        out.push_str(&format!(
            "NOT COMPLETE: {} of {} there; a range may end only because rows are missing\n",
            answers.rows,
            counted(all, "row")
        ));
    }
    for range in &answers.ranges {
        let (key, unit) = (range.axis.key.text(), &range.axis.shown);
        let stretches = range.stretches();
        if stretches.is_empty() {
            out.push_str(&format!("{key}: {}\n", none_works(range)));
        }
        for s in &stretches {
            out.push_str(&format!("{key}: no check fails in the rows {}\n", stretch(s, unit)));
        }
    }
    for best in &answers.best {
        let row = best.row.as_ref().map_or_else(
            || "no row in which no check fails has a margin to measure".to_owned(),
            |c| {
                format!(
                    "{} in row {}: {}",
                    c.has.first().map_or_else(String::new, |x| number(*x)),
                    c.index,
                    set_and_warns(answers, c)
                )
            },
        );
        out.push_str(&format!("{}: {row}\n", best.goal.words()));
    }
    out.push_str(&format!(
        "rows that no other row beats in both goals (Pareto-optimal): {}\n",
        answers.front.rows.len()
    ));
    let chief = chief_effects(answers, EFFECTS);
    if !chief.is_empty() {
        out.push_str("change of margins for one unit of each parameter, nearest to their limits first\n");
    }
    for e in chief {
        out.push_str(&format!("  {}, {}: {}\n", e.check, e.what, slopes(answers, e)));
    }
    out
}

/// The values that a best row sets, and its warnings.
pub(super) fn set_and_warns(answers: &Answers, choice: &Objective) -> String {
    set(answers, choice) + &warns(choice)
}

/// Whether a plane describes the margin well enough for its slopes to tell something.
pub(super) fn is_linear(e: &Effect) -> bool {
    e.explained >= STRAIGHT
}

/// The slopes of an effect.
pub(super) fn slopes(answers: &Answers, e: &Effect) -> String {
    let slopes = e.slopes.iter().flatten();
    let parts = answers.axes.iter().zip(slopes).map(|(a, s)| format!("{} {}", a.key.text(), number(*s)));
    if !is_linear(e) {
        let (least, most) = (number(e.least), number(e.most));
        return format!("not linear: the margin runs from {least} to {most}");
    }
    parts.collect::<Vec<_>>().join(", ")
}

/// The warnings of a row.
fn warns(choice: &Objective) -> String {
    if choice.warns.is_empty() { String::new() } else { format!("; it warns: {}", choice.warns.join("; ")) }
}

/// A feasible range, and the reasons for its ends.
pub(super) fn stretch(s: &FeasibleRange, unit: &str) -> String {
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let end = |reason: &Option<String>| reason.clone().unwrap_or_else(|| "the end of the axis".to_owned());
    format!(
        "{} to {}{unit}; limited below by {}, above by {}",
        number(s.from),
        number(s.to),
        end(&s.below),
        end(&s.above)
    )
}
