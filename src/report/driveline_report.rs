//! Figures of fits and driveline: lines and small tables for people, JSON for programs.

use serde_json::{Value, json};

use super::checks::show;
use super::columns::{self, Align};
use super::document::{Column, TextCell, TextTable};
use crate::checks::{DrivelineReport, Figure, Table};
use crate::units::Units;

/// The text below the table of checks: the leading figures, or all figures and tables.
pub fn text(sums: &DrivelineReport, units: Units, all: bool) -> String {
    let shown: Vec<&Figure> = sums.figures.iter().filter(|f| all || f.leading).collect();
    if sums.figures.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nfits and driveline\n");
    let rows = shown.iter().map(|f| [format!("{}: {}", f.subject, f.what), value(f, units), f.note.clone()]);
    out.push_str(&columns::text(rows, 2, &[Align::Left, Align::Right, Align::Left]));
    if all {
        sums.tables.iter().for_each(|t| table(t, units, &mut out));
    } else {
        let (figures, tables) = (sums.figures.len(), sums.tables.len());
        out.push_str(&format!("  {figures} figures and {tables} tables in all (show them with --sums)\n"));
    }
    out
}

/// One line on how to see the figures.
pub fn pointer(sums: &DrivelineReport) -> String {
    let (figures, tables) = (sums.figures.len(), sums.tables.len());
    format!("{figures} figures and {tables} tables of fits and driveline, feeders and gates: --sums\n")
}

/// A figure's value, or both ends of it.
pub(super) fn value(f: &Figure, units: Units) -> String {
    let [low, high] = f.range.map(|v| show(v, f.unit, units));
    if low == high { low } else { format!("{low} to {high}") }
}

fn table(t: &Table, units: Units, out: &mut String) {
    let head = std::iter::once(String::new()).chain(t.columns.iter().map(|(name, _)| (*name).to_owned()));
    let line = |(name, values): &(String, Vec<f64>)| -> Vec<String> {
        let cells = values.iter().zip(&t.columns).map(|(v, (_, unit))| show(*v, *unit, units));
        std::iter::once(name.clone()).chain(cells).collect()
    };
    let rows = std::iter::once(head.collect()).chain(t.rows.iter().map(line));
    out.push_str(&format!("\n  {}: {}\n", t.subject, t.title));
    out.push_str(&columns::text(rows, 4, &[Align::Left, Align::Right]));
}

/// A table as part of a document.
pub(super) fn text_table(t: &Table, units: Units) -> TextTable {
    let columns = t.columns.iter().map(|(name, _)| Column::numbers(name));
    let row = |(name, values): &(String, Vec<f64>)| {
        let cells =
            values.iter().zip(&t.columns).map(|(v, (_, unit))| TextCell::from(show(*v, *unit, units)));
        std::iter::once(TextCell::from(name.clone())).chain(cells).collect()
    };
    TextTable {
        caption: t.title.clone(),
        columns: std::iter::once(Column::words("")).chain(columns).collect(),
        rows: t.rows.iter().map(row).collect(),
        notes: vec![],
    }
}

/// Figures and tables for programs; lengths in mm, each value with its unit.
pub fn figures(sums: &DrivelineReport) -> Value {
    let figure = |f: &Figure| {
        json!({
            "subject": f.subject, "what": f.what, "least": f.range[0], "greatest": f.range[1],
            "unit": f.unit.name(), "note": f.note,
        })
    };
    let table = |t: &Table| {
        json!({
            "subject": t.subject,
            "title": t.title,
            "columns": t.columns.iter().map(|(name, unit)| json!({ "name": name, "unit": unit.name() }))
                .collect::<Vec<_>>(),
            "rows": t.rows.iter().map(|(name, values)| json!({ "name": name, "values": values }))
                .collect::<Vec<_>>(),
        })
    };
    json!({
        "figures": sums.figures.iter().map(figure).collect::<Vec<_>>(),
        "tables": sums.tables.iter().map(table).collect::<Vec<_>>(),
    })
}
