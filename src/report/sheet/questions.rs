//! Values that the file leaves to trade defaults and that the foundry should confirm.

use super::Facts;
use crate::design::{Design, Form};
use crate::params::{Assumed, Concern};
use crate::report::document::{Block, Chapter, Column, TextCell, TextTable};

/// Whether a default for a value of this concern matters to whoever makes a form.
fn matters(concern: Concern, form: Form) -> bool {
    match form {
        Form::Finished | Form::TrialPrint => false,
        Form::Casting | Form::Pattern => concern != Concern::Part,
        Form::Core | Form::CoreBox => matches!(concern, Concern::Core | Concern::MouldAndCore),
    }
}

/// The defaults that matter to whoever makes a form.
fn open(design: &Design, form: Form) -> impl Iterator<Item = &Assumed> {
    design.assumed().iter().filter(move |assumed| matters(assumed.doc.concern, form))
}

/// A value as people say it.
fn answer(value: &str) -> &str {
    match value {
        "true" => "yes",
        "false" => "no",
        other => other,
    }
}

/// The open questions; nothing where the file leaves none open.
pub(super) fn section(facts: &Facts) -> Chapter {
    let row = |a: &Assumed| {
        vec![
            TextCell::from(a.doc.about),
            answer(&a.value).into(),
            format!("{} ({})", a.reason, a.source).into(),
            a.key.clone().into(),
        ]
    };
    let table = TextTable {
        caption: "Values taken from trade practice".to_owned(),
        columns: vec![
            Column::words("value"),
            Column::words("taken"),
            Column::words("why"),
            Column::words("key in the parameter file"),
        ],
        rows: open(facts.design, facts.files.form).map(row).collect(),
        notes: vec![],
    };
    let lead = "Nobody has decided these values for this part yet: the parameter file leaves them out, so that trade defaults stand \
                in. Please confirm each, or name yours, before anything is made.";
    let blocks =
        if table.rows.is_empty() { vec![] } else { vec![Block::Text(lead.to_owned()), Block::Table(table)] };
    Chapter::new("Open questions to the foundry", blocks)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn design(more: &str) -> Design {
        Design::of_text(&format!("{}{more}", include_str!("../../../params/minimal.yaml")))
    }

    fn keys(design: &Design, form: Form) -> Vec<&str> {
        open(design, form).map(|assumed| assumed.key.as_str()).collect()
    }

    /// What the foundry decides stands in the section `casting`, and the wall in `shell`.
    #[test]
    fn every_default_of_the_casting_is_asked_and_no_other() {
        let design = design("");
        let foundry = |key: &&str| key.starts_with("casting.") || *key == "shell.wall";
        let all: Vec<&str> = design.assumed().iter().map(|a| a.key.as_str()).filter(foundry).collect();
        assert!(all.len() > 12 && all.len() < design.assumed().len(), "{all:?}");
        assert_eq!(keys(&design, Form::Casting), all, "the casting");
        assert_eq!(keys(&design, Form::Pattern), all, "the pattern");
        assert!(keys(&design, Form::Finished).is_empty(), "the machinist is asked nothing");
        let core = keys(&design, Form::Core);
        assert!(
            core.contains(&"casting.prints.vent") && core.contains(&"casting.contraction.axial"),
            "{core:?}"
        );
        assert!(!core.contains(&"casting.stock.grade") && !core.contains(&"casting.mould.draft"), "{core:?}");
    }

    #[test]
    fn what_the_file_gives_is_not_asked() {
        let design = design("\ncasting:\n  prints:\n    vent: 8\n");
        assert!(!keys(&design, Form::Core).contains(&"casting.prints.vent"), "given");
    }
}
