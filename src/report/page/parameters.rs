//! All parameters on the page: those that the file gives with their lines, and the trade defaults taken for the others.

use std::fmt::Write as _;

use super::PartReport;
use crate::params::parse;
use crate::params::tree::{Content, Node};
use crate::report::document::html::{escaped, marked};
use crate::words::counted;

/// A parameter: its path, its value, and where it comes from.
struct Row {
    path: String,
    value: String,
    from: From,
}

enum From {
    /// A line of the file.
    Line(usize),
    /// A trade default: why, and by which source.
    Default { reason: String, source: String },
}

/// The section: a table for each section of the file.
pub(super) fn section(report: &PartReport) -> String {
    let mut rows = Vec::new();
    if let (Some(root), _) = parse::parse(report.source) {
        given(&root, String::new(), report, &mut rows);
    }
    let assumed = report.product.design().assumed();
    rows.extend(assumed.iter().map(|a| Row {
        path: a.key.clone(),
        value: a.value.clone(),
        from: From::Default { reason: a.reason.clone(), source: a.source.clone() },
    }));
    let mut sections: Vec<(&str, Vec<&Row>)> = Vec::new();
    for row in &rows {
        let name = row.path.split(['.', '[']).next().unwrap_or_default();
        match sections.iter_mut().find(|(known, _)| *known == name) {
            Some((_, members)) => members.push(row),
            None => sections.push((name, vec![row])),
        }
    }
    let mut out = format!(
        "<p>{} given by the file, {} assumed: trade defaults, each marked and with its reason.</p>\n",
        rows.len() - assumed.len(),
        assumed.len()
    );
    for (name, rows) in &sections {
        table(&mut out, name, rows);
    }
    out
}

/// Gathers the values of a tree.
fn given(node: &Node, path: String, report: &PartReport, out: &mut Vec<Row>) {
    match &node.content {
        Content::Nothing | Content::Refused => {}
        Content::Value(value) => {
            let (line, _) = report.source.line_column(node.place);
            out.push(Row { path, value: value.clone(), from: From::Line(line) });
        }
        Content::List(items) => {
            for (k, item) in items.iter().enumerate() {
                given(item, format!("{path}[{}]", k + 1), report, out);
            }
        }
        Content::Section(members) => {
            for member in members {
                let dot = if path.is_empty() { "" } else { "." };
                given(&member.node, format!("{path}{dot}{}", member.key), report, out);
            }
        }
    }
}

fn table(out: &mut String, name: &str, rows: &[&Row]) {
    let assumed = rows.iter().filter(|r| matches!(r.from, From::Default { .. })).count();
    let told = if assumed > 0 { format!(", {assumed} assumed") } else { String::new() };
    let _ = write!(
        out,
        "<details class=\"group\">\n<summary><h3>{}</h3> <span class=\"count\">{}{told}</span></summary>\n\
         <div class=\"wide\" role=\"group\" aria-label=\"Parameters\" tabindex=\"0\"><table>\n<thead><tr><th scope=\"col\">key</th><th scope=\"col\">value</th>\
         <th scope=\"col\">from</th></tr></thead>\n<tbody>\n",
        escaped(name),
        counted(rows.len(), "value")
    );
    for row in rows {
        let (class, from) = match &row.from {
            From::Line(line) => ("", format!("line {line}")),
            From::Default { reason, source } => (
                " class=\"assumed\"",
                format!("<span class=\"tag\">assumed</span> {} [{}]", marked(reason), marked(source)),
            ),
        };
        let _ = writeln!(
            out,
            "<tr{class}><th scope=\"row\"><code>{}</code></th><td>{}</td><td>{from}</td></tr>",
            escaped(&row.path),
            escaped(&row.value)
        );
    }
    out.push_str("</tbody>\n</table></div>\n</details>\n");
}
