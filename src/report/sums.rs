//! Figures of fits and driveline: lines and small tables for people, JSON for programs.

use serde_json::{Value, json};

use super::checks::show;
use crate::checks::{Figure, Sums, Table};
use crate::units::Units;

/// The part below the table of checks: the leading figures, or all with the tables.
pub fn text(sums: &Sums, units: Units, all: bool) -> String {
    let shown: Vec<&Figure> = sums.figures.iter().filter(|f| all || f.leading).collect();
    if sums.figures.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nfits and driveline\n");
    let rows: Vec<[String; 3]> = shown
        .iter()
        .map(|f| [format!("{}: {}", f.subject, f.what), value(f, units), f.note.clone()])
        .collect();
    let width = |k: usize| rows.iter().map(|r| r[k].chars().count()).max().unwrap_or(0);
    let [w0, w1] = [0, 1].map(width);
    for [what, value, note] in &rows {
        out.push_str(format!("  {what:w0$}  {value:>w1$}  {note}").trim_end());
        out.push('\n');
    }
    if all {
        sums.tables.iter().for_each(|t| table(t, units, &mut out));
    } else {
        let (figures, tables) = (sums.figures.len(), sums.tables.len());
        out.push_str(&format!("  {figures} figures and {tables} tables in all (show them with --sums)\n"));
    }
    out
}

fn value(f: &Figure, units: Units) -> String {
    let [low, high] = f.range.map(|v| show(v, f.unit, units));
    if low == high { low } else { format!("{low} to {high}") }
}

fn table(t: &Table, units: Units, out: &mut String) {
    let head = std::iter::once(String::new()).chain(t.columns.iter().map(|(name, _)| (*name).to_owned()));
    let line = |(name, values): &(String, Vec<f64>)| -> Vec<String> {
        let cells = values.iter().zip(&t.columns).map(|(v, (_, unit))| show(*v, *unit, units));
        std::iter::once(name.clone()).chain(cells).collect()
    };
    let lines: Vec<Vec<String>> = std::iter::once(head.collect()).chain(t.rows.iter().map(line)).collect();
    out.push_str(&format!("\n  {}: {}\n", t.subject, t.title));
    let width =
        |k: usize| lines.iter().filter_map(|l| l.get(k)).map(|c| c.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..=t.columns.len()).map(width).collect();
    for cells in &lines {
        let padded = cells
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(k, (cell, w))| if k == 0 { format!("{cell:w$}") } else { format!("{cell:>w$}") });
        out.push_str(&format!("    {}\n", padded.collect::<Vec<_>>().join("  ")));
    }
}

/// Figures and tables for programs; lengths in mm, each value with its unit.
pub fn figures(sums: &Sums) -> Value {
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
