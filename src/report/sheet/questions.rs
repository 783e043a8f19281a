//! Values that the file leaves to trade defaults and that the foundry should confirm.

use super::Facts;
use crate::design::Form;
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

/// The open questions; nothing where the file leaves none open.
pub(super) fn section(facts: &Facts) -> Chapter {
    let asked = facts.design.assumed().iter().filter(|a| matters(a.doc.concern, facts.files.form));
    let row = |a: &Assumed| {
        vec![
            TextCell::from(a.doc.about),
            a.value.clone().into(),
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
        rows: asked.map(row).collect(),
        notes: vec![],
    };
    let lead = "Nobody has decided these values for this part yet: the parameter file leaves them out, so that trade defaults stand \
                in. Please confirm each, or name yours, before anything is made.";
    let blocks =
        if table.rows.is_empty() { vec![] } else { vec![Block::Text(lead.to_owned()), Block::Table(table)] };
    Chapter::new("Open questions to the foundry", blocks)
}
