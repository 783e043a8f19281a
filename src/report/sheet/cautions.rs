//! What can go wrong with a form, and who decides.

use crate::cautions::of_sheet;
use crate::design::Form;
use crate::report::document::{Block, Chapter};

/// The section of a form's sheet.
pub(super) fn section(form: Form) -> Chapter {
    let said = of_sheet(form).iter().map(|caution| (*caution).to_owned());
    Chapter::new("Cautions", [Block::Cautions(said.collect())])
}
