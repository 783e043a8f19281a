//! Parts of a document as lines for the terminal.

use super::{Align, TextTable};
use crate::report::columns;

/// A table with its heads and notes, indented by two spaces; nothing where it has no rows.
pub fn table(table: &TextTable) -> String {
    if table.rows.is_empty() {
        return String::new();
    }
    let heads: Vec<&str> = table.columns.iter().map(|column| column.head).collect();
    let cells = table.rows.iter().map(|row| row.iter().map(|cell| cell.text.as_str()).collect());
    let sides: Vec<Align> = table.columns.iter().map(|column| column.side).collect();
    let mut out = columns::text(std::iter::once(heads).chain(cells), 2, &sides);
    out.push_str(&lines(&table.notes));
    out
}

/// Lines, indented by two spaces.
pub fn lines(lines: &[String]) -> String {
    lines.iter().map(|line| format!("  {line}\n")).collect()
}
