//! What is wrong with a parameter file, each fault at its line, for the page that `watch` keeps open.

use std::fmt::Write as _;

use crate::finding::{Finding, Findings, Severity};
use crate::params::Source;
use crate::report::document::html::{escaped, marked};
use crate::words::counted;

/// Greatest number of findings shown; the first ones usually explain the rest.
const MOST: usize = 20;

/// The faults as a list, each with its line of the file and the faulty part of it marked.
pub fn faults(findings: &Findings, source: Option<&Source>) -> String {
    let errors: Vec<&Finding> = findings.iter().filter(|f| f.severity() == Severity::Error).collect();
    let mut out = format!(
        "<p><b>{} in the parameter file.</b> What is shown greyed is the last good part.</p>\n<ol class=\"faults\">\n",
        counted(errors.len(), "error")
    );
    for finding in errors.iter().take(MOST) {
        let _ = write!(
            out,
            "<li><b>{}</b> {}: {}",
            finding.code(),
            marked(finding.subject()),
            marked(finding.message())
        );
        if let (Some(place), Some(source)) = (finding.place(), source) {
            out.push_str(&excerpt(source, place.start, place.end));
        }
        if let Some(allowed) = finding.allowed_text() {
            let _ = write!(out, "<p>Allowed: {}</p>", marked(allowed));
        }
        for hint in finding.hints() {
            let _ = write!(out, "<p>{}</p>", marked(hint));
        }
        out.push_str("</li>\n");
    }
    out.push_str("</ol>\n");
    if errors.len() > MOST {
        let _ = writeln!(out, "<p>… and {} more.</p>", errors.len() - MOST);
    }
    out
}

/// The line on which a stretch of the file begins, with its number, the stretch marked.
fn excerpt(source: &Source, start: usize, end: usize) -> String {
    let text = source.text();
    let (number, _) = source.line_column(crate::finding::Place { start, end });
    let from = text.get(..start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let to = text.get(start..).and_then(|rest| rest.find('\n')).map_or(text.len(), |at| start + at);
    let end = end.min(to).max(start);
    let [before, within, after] =
        [(from, start), (start, end), (end, to)].map(|(a, b)| escaped(text.get(a..b).unwrap_or_default()));
    format!("<pre><span class=\"line\">line {number}</span> {before}<mark>{within}</mark>{after}</pre>")
}
