//! The summary of a sweep's folder: printed, and written beside its tables.

use std::path::Path;

use super::super::{Exit, complain, say};
use super::told;
use crate::export::files::write_atomic;
use crate::report::sweep::{page, plots, text};
use crate::sweep::answers::Answers;
use crate::sweep::cards::{cards, wanted};
use crate::sweep::goal::Goal;
use crate::sweep::store::StoreError;

/// Reads two goals.
pub(super) fn goals(text: &str) -> Result<[Goal; 2], String> {
    let two = || "name two, such as mass,margin".to_owned();
    // A check's name may contain a comma: the first goal ends at the first comma that is followed by a valid goal.
    let starts = |rest: &str| Goal::parse(rest.trim()).is_ok();
    let at = text.match_indices(',').map(|(at, _)| at).find(|at| starts(&text[at + 1..])).ok_or_else(two)?;
    Ok([Goal::parse(text[..at].trim())?, Goal::parse(text[at + 1..].trim())?])
}

/// Gathers the summary of a folder.
pub(super) fn gathered(folder: &Path, goals: &[Goal; 2]) -> Result<Answers, Exit> {
    let answers = Answers::gather(folder, goals.clone()).map_err(|e| told(&e))?;
    for goal in goals {
        if let Goal::Check(check) = goal
            && !answers.effects.iter().any(|e| e.check == *check)
        {
            complain(&format!("error: no row has the check `{check}` of the goal `margin:{check}`\n"));
            return Err(Exit::BadInput);
        }
    }
    Ok(answers)
}

/// Writes the summary, plots and page of a folder, and prints the summary. Returns whether all rows are there.
pub(super) fn write(folder: &Path, answers: &Answers) -> Result<bool, Exit> {
    let drawn = plots(answers).map_err(|error| {
        complain(&format!("error: {error}\n"));
        Exit::FileTrouble
    })?;
    let put = |name: &str, bytes: &[u8]| {
        write_atomic(&folder.join(name), bytes).map_err(|e| told(&StoreError::from(e)))
    };
    put("answers.json", format!("{:#}\n", answers.to_json()).as_bytes())?;
    for plot in &drawn {
        put(&format!("plots/{}.svg", plot.stem), plot.svg.as_bytes())?;
        put(&format!("plots/{}.png", plot.stem), &plot.png)?;
    }
    let shown = cards(folder, &wanted(answers)).map_err(|e| told(&e))?;
    put("sweep.html", page(answers, &drawn, &shown).as_bytes())?;
    say(&text(answers));
    Ok(answers.is_whole())
}
