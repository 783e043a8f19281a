//! The table of what is drilled or cut from the solid.

use super::Facts;
use crate::faces::Role;
use crate::forms::{CastSolid, StockRow, cast_solid};
use crate::report::document::{Column, TextCell, TextTable};

/// Alike faces of a feature in one row.
pub(super) fn table(facts: &Facts, rows: &[StockRow]) -> TextTable {
    let finished = facts.product.finished();
    let diameter = |mm: f64| format!("Ø {}", facts.length(mm));
    let row = |alike: CastSolid| {
        let name = match alike.last {
            Some(last) => format!("{} to {}", alike.first, Role::of(last)),
            None => alike.first.to_string(),
        };
        let size = alike.size.text(diameter, |mm| facts.length(mm));
        vec![TextCell::from(name), alike.number.to_string().into(), size.into()]
    };
    TextTable {
        caption: format!(
            "Cast solid, to be drilled or cut: machined holes smaller than {}, and those that no core reaches",
            facts.length(facts.design.casting().stock().cored_above().get())
        ),
        columns: vec![
            Column::words("machined face"),
            Column::numbers("number"),
            Column::numbers("finished size"),
        ],
        rows: cast_solid(&finished.solid, &finished.bores, rows).into_iter().map(row).collect(),
        notes: vec![],
    }
}
