//! Findings for the terminal: code, key, file, line, column, the underlined text, what is allowed, why, and a hint.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::columns::{self, Align};
use crate::finding::{Finding, Findings, Severity};
use crate::params::Source;
use crate::params::parameter::Assumed;
use crate::words::counted;

/// Greatest number of findings shown; the first ones usually explain the rest.
pub const MOST_SHOWN: usize = 100;

/// All findings, each with the text of the file that it is about, if any.
pub fn findings(findings: &Findings, source: Option<&Source>, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut text = String::new();
    for finding in findings.iter().take(MOST_SHOWN) {
        text.push_str(&renderer.render(&[group(finding, source)]));
        text.push_str("\n\n");
    }
    if findings.len() > MOST_SHOWN {
        text.push_str(&format!("... and {} more\n\n", findings.len() - MOST_SHOWN));
    }
    text.push_str(&totals(findings));
    text
}

/// `2 errors, 1 warning`.
fn totals(findings: &Findings) -> String {
    let part = |count: usize, name: &str| (count > 0).then(|| counted(count, name));
    let errors = part(findings.count(Severity::Error), "error");
    let warnings = part(findings.count(Severity::Warning), "warning");
    let parts: Vec<_> = errors.into_iter().chain(warnings).collect();
    if parts.is_empty() { String::new() } else { parts.join(", ") + "\n" }
}

fn group<'a>(finding: &'a Finding, source: Option<&'a Source>) -> Group<'a> {
    let level = match finding.severity() {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::NotChecked => Level::NOTE.with_name("not checked"),
    };
    let title = format!("{}: {}", finding.subject(), finding.message());
    let mut group = Group::with_title(level.primary_title(title).id(finding.code().id()));
    match (finding.place(), source) {
        (Some(place), Some(source)) => {
            let mut snippet = Snippet::source(source.text()).path(source.name()).line_start(1);
            snippet = snippet
                .annotation(AnnotationKind::Primary.span(place.start..place.end).label(label(finding)));
            for (place, note) in finding.related() {
                snippet =
                    snippet.annotation(AnnotationKind::Context.span(place.start..place.end).label(note));
            }
            group = group.element(snippet);
        }
        _ => {
            if let Some(allowed) = finding.allowed_text() {
                group = group.element(Level::NOTE.with_name("allowed").message(allowed));
            }
        }
    }
    if let Some(reason) = finding.reason() {
        group = group.element(Level::NOTE.with_name("why").message(reason));
    }
    if let Some(source) = finding.source() {
        group = group.element(Level::NOTE.with_name("source").message(source));
    }
    for hint in finding.hints() {
        group = group.element(Level::HELP.with_name("hint").message(hint));
    }
    group
}

fn label(finding: &Finding) -> String {
    finding.allowed_text().map_or_else(String::new, |allowed| format!("allowed: {allowed}"))
}

/// The assumed values as a table of key, value, reason and source.
pub fn assumed(assumed: &[Assumed]) -> String {
    let rows =
        assumed.iter().map(|a| [a.key.clone(), a.value.clone(), format!("{} [{}]", a.reason, a.source)]);
    columns::text(rows, 2, &[Align::Left])
}
