//! The parameter reference: a commented parameter file made from the keys themselves.

use super::kinds::nearest;
use super::load::entries;
use super::reference::{About, Entry, Need, paths};
use crate::units::Units;

/// A key path that does not exist.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{asked}` is not a key of the parameter file{}", .near.as_ref().map(|n| format!("; did you mean `{n}`?")).unwrap_or_default())]
pub struct UnknownPath {
    /// The path as given.
    pub asked: String,
    /// The nearest key path.
    pub near: Option<String>,
}

/// Width at which comments wrap.
const WIDTH: usize = 100;

/// The reference of all keys, or of the section or key at a path such as `tail.seal`.
///
/// The text is itself a parameter file in millimetres that reads without fault.
///
/// # Errors
/// When there is no such key.
pub fn reference_text(path: Option<&str>) -> Result<String, UnknownPath> {
    let all = entries();
    let mut out = String::new();
    match path {
        None => {
            out.push_str("# All parameters. A length may carry its own unit: 34.9 mm, 1.375 in, 3/8 in. Angles are in\n");
            out.push_str("# degrees. X runs aft from the gearbox face, Y to the right, Z up; clock angles are seen from\n");
            out.push_str("# behind, 0 is up, clockwise.\n\n");
            for entry in &all {
                write_entry(entry, 0, true, &mut out);
                out.push('\n');
            }
            out.pop();
        }
        Some(path) => write_entry(find(&all, path)?, 0, true, &mut out),
    }
    Ok(out)
}

fn find<'e>(all: &'e [Entry], path: &str) -> Result<&'e Entry, UnknownPath> {
    let mut level = all;
    let mut found = None;
    for part in path.split('.') {
        let name = part.split('[').next().unwrap_or(part);
        let Some(entry) = level.iter().find(|entry| entry.key == name) else {
            let known = paths(all);
            // The usual mistake is a key without its section; otherwise the path with the most similar spelling is
            // suggested.
            let near = known
                .iter()
                .find(|p| p.ends_with(&format!(".{path}")))
                .map(String::as_str)
                .or_else(|| nearest(path, known.iter().map(String::as_str)))
                .map(str::to_owned);
            return Err(UnknownPath { asked: path.to_owned(), near });
        };
        level = entry.about.children();
        found = Some(entry);
    }
    found.ok_or_else(|| UnknownPath { asked: path.to_owned(), near: None })
}

fn write_entry(entry: &Entry, indent: usize, commented: bool, out: &mut String) {
    let pad = " ".repeat(indent);
    if commented {
        comment(entry.doc, &pad, out);
        comment(&facts(entry), &pad, out);
    }
    match &entry.about {
        About::Section(children) => {
            out.push_str(&format!("{pad}{}:\n", entry.key));
            for child in children {
                write_entry(child, indent + 2, commented, out);
            }
        }
        About::List { least, of, .. } => {
            out.push_str(&format!("{pad}{}:\n", entry.key));
            for copy in 0..(*least).max(1) {
                write_item(of, indent + 2, commented && copy == 0, out);
            }
        }
        _ => out.push_str(&format!("{pad}{}: {}\n", entry.key, quoted(entry.example))),
    }
}

/// A list item: its lines with a dash before the first key.
fn write_item(of: &[Entry], indent: usize, commented: bool, out: &mut String) {
    let mut item = String::new();
    for child in of {
        write_entry(child, indent + 2, commented, &mut item);
    }
    let mut dashed = false;
    for line in item.lines() {
        if !dashed && !line.trim_start().starts_with('#') {
            out.push_str(&format!("{}- {}\n", " ".repeat(indent), line.trim_start()));
            dashed = true;
        } else {
            out.push_str(line);
            out.push('\n');
        }
    }
}

/// Quotes a value that YAML would not read as plain text.
fn quoted(value: &str) -> String {
    if value.contains('"') || value.contains(": ") || value.contains('#') {
        format!("'{}'", value.replace('\'', "''"))
    } else {
        value.to_owned()
    }
}

/// What is allowed, why, and what happens without it.
fn facts(entry: &Entry) -> String {
    let mut text = match &entry.about {
        About::Section(_) => String::new(),
        About::Choice(rows) => format!("One of: {}. ", explained(rows)),
        About::Several { of, .. } => match of.as_ref() {
            About::Choice(rows) => format!("A list of any of: {}. ", explained(rows)),
            _ => format!("Allowed: {}. ", entry.about.allowed(Units::Mm)),
        },
        about => format!("Allowed: {}. ", about.allowed(Units::Mm)),
    };
    if let Some(reason) = entry.about.reason() {
        text.push_str(&format!("Why: {reason}. "));
    }
    match &entry.need {
        Need::Required => text.push_str("Required."),
        Need::Optional => text.push_str("Optional."),
        Need::Default { value, reason, source } => {
            text.push_str(&format!("Default: {value} ({reason}; {source})."));
        }
    }
    text
}

/// Choices with their sentences.
fn explained(rows: &[(&str, &str)]) -> String {
    rows.iter().map(|(name, doc)| format!("{name} ({doc})")).collect::<Vec<_>>().join("; ")
}

fn comment(text: &str, pad: &str, out: &mut String) {
    let mut line = format!("{pad}#");
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = format!("{pad}#");
        }
        line.push(' ');
        line.push_str(word);
    }
    out.push_str(&line);
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{Source, read};

    #[test]
    fn the_reference_is_a_parameter_file_without_fault() {
        let text = reference_text(None).expect("all");
        let source = Source::from_bytes("reference", text.clone().into_bytes()).expect("text");
        let raw = read(&source).expect("a tree");
        assert!(raw.findings.is_empty(), "{:#?}\n{text}", raw.findings);
        for path in paths(&entries()) {
            let key = path.rsplit('.').next().expect("a key").trim_end_matches("[]");
            assert!(text.contains(&format!("{key}:")), "{path}");
        }
    }

    #[test]
    fn a_section_or_key_can_be_asked_for() {
        let seal = reference_text(Some("tail.seal")).expect("a section");
        assert!(seal.contains("counterbore:") && !seal.contains("stop_bore"), "{seal}");
        let error = reference_text(Some("tail.seel")).expect_err("mistyped");
        assert_eq!(error.near.as_deref(), Some("tail.seal"), "nearest");
        let error = reference_text(Some("stop_bore")).expect_err("without its section");
        assert_eq!(error.near.as_deref(), Some("tail.bushing.stop_bore"), "full path");
    }
}
