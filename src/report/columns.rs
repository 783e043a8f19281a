//! Rows of text aligned in columns, for the terminal.

use comfy_table::{CellAlignment, Table, presets};

pub(super) use super::document::Align;

/// One line for each row, indented by `indent` spaces: columns as wide as their widest cells, two spaces apart,
/// without trailing spaces. Columns beyond those in `sides` are aligned like the last.
pub(super) fn lines<C: ToString>(
    rows: impl IntoIterator<Item = impl IntoIterator<Item = C>>,
    indent: u16,
    sides: &[Align],
) -> Vec<String> {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    for row in rows {
        table.add_row(row.into_iter().collect::<Vec<_>>());
    }
    for (k, column) in table.column_iter_mut().enumerate() {
        column.set_padding((if k == 0 { indent } else { 2 }, 0));
        let right = sides.get(k).or(sides.last()) == Some(&Align::Right);
        column.set_cell_alignment(if right { CellAlignment::Right } else { CellAlignment::Left });
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}

/// The lines as one text.
pub(super) fn text<C: ToString>(
    rows: impl IntoIterator<Item = impl IntoIterator<Item = C>>,
    indent: u16,
    sides: &[Align],
) -> String {
    lines(rows, indent, sides).into_iter().map(|line| line + "\n").collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_their_cells() {
        let rows = [["a wall", "≥ 5.0 mm", "why"], ["rib", "4 mm", ""]];
        let text = text(rows, 2, &[Align::Left, Align::Right, Align::Left]);
        assert_eq!(text, "  a wall  ≥ 5.0 mm  why\n  rib         4 mm\n");
    }

    #[test]
    fn no_rows_are_no_lines() {
        assert_eq!(lines::<String>(Vec::<Vec<String>>::new(), 2, &[Align::Left]), Vec::<String>::new());
    }
}
