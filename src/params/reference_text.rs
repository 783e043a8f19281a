//! The parameter reference: a commented parameter file made from the keys themselves.

use super::example_values;
use super::kinds::nearest;
use super::load::entries;
use super::reference::{About, Entry, Need, paths};
use crate::units::Units;
use crate::words::counted;

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

/// The beginning of a text that is a whole file.
const HEAD: &str = "\
# A length may carry its own unit: 34.9 mm, 1.375 in, 3/8 in. Angles are in degrees. X runs aft from the
# gearbox face, Y to the right, Z up; clock angles are seen from behind, 0 is up, clockwise.
";

/// Whose the values are that stand beside the keys.
const EXAMPLES: &str = "\
# The values are examples from invented housings, not recommendations; a default is named in the comment above its key.
";

/// One line for each section: its name, what it is, whether it is required, and how many keys it has.
pub fn overview() -> String {
    let rows = entries();
    let width = rows.iter().map(|e| e.key.len()).max().unwrap_or(0);
    let mut out = String::from("Sections of the parameter file\n\n");
    for entry in &rows {
        let need = if matches!(entry.need, Need::Required) { "required" } else { "optional" };
        let keys = counted(keys(entry), "key");
        let text = entry.doc.split([';', '.']).next().unwrap_or_default();
        out.push_str(&format!("  {:width$}  {need}  {keys:>8}  {text}\n", entry.key));
    }
    out.push_str(
        "\ntailpattern describe SECTION      the keys of a section, with range, reason, default and source\n\
         tailpattern describe SECTION.KEY  one key\n\
         tailpattern describe --required   a file to begin with: only what has no default\n\
         tailpattern describe --all        every key of every section, as one file\n\
         tailpattern describe --schema     the JSON Schema for editors\n",
    );
    out
}

/// The number of values that an entry holds, its own or those below it.
fn keys(entry: &Entry) -> usize {
    match entry.about.children() {
        [] => 1,
        children => children.iter().map(keys).sum(),
    }
}

/// The shortest parameter file: only what has no default, with examples to replace.
pub fn required_text() -> String {
    let mut out = String::from("# The shortest parameter file: replace the values by your own.\n");
    out.push_str(HEAD);
    for entry in entries().iter().filter(|entry| is_wanted(entry, "")) {
        out.push('\n');
        Writer { only_required: true, out: &mut out }.entry(entry, "", 0, 0);
    }
    out
}

/// Whether the shortest file has an entry.
fn is_wanted(entry: &Entry, above: &str) -> bool {
    matches!(entry.need, Need::Required) || example_values::is_needed(&path_of(entry, above))
}

/// The path of an entry below another one, which ends in a dot.
fn path_of(entry: &Entry, above: &str) -> String {
    let mark = if matches!(entry.about, About::List { .. }) { "[]" } else { "" };
    format!("{above}{}{mark}", entry.key)
}

/// The reference of all keys, or of the section or key at a path such as `tail.seal`.
///
/// The text is itself a parameter file in millimetres that the rules accept; keys that exclude another one are comments
/// in it.
///
/// # Errors
/// When there is no such key.
pub fn reference_text(path: Option<&str>) -> Result<String, UnknownPath> {
    let all = entries();
    let mut out = String::new();
    let mut writer = Writer { only_required: false, out: &mut out };
    let Some(path) = path else {
        writer.out.push_str(&format!("# All parameters.\n{EXAMPLES}{HEAD}\n"));
        for entry in &all {
            writer.entry(entry, "", 0, 0);
            writer.out.push('\n');
        }
        out.pop();
        return Ok(out);
    };
    let (entry, above) = find(&all, path)?;
    writer.out.push_str(&format!("{EXAMPLES}\n"));
    writer.documented(entry, &above, 0, 0);
    Ok(out)
}

/// The entry at a path, and the path of what is above it, which ends in a dot.
fn find<'e>(all: &'e [Entry], path: &str) -> Result<(&'e Entry, String), UnknownPath> {
    let mut level = all;
    let mut found: Option<(&Entry, String)> = None;
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
        let above = found.map_or_else(String::new, |(last, above)| path_of(last, &above) + ".");
        found = Some((entry, above));
    }
    found.ok_or_else(|| UnknownPath { asked: path.to_owned(), near: None })
}

/// Writes entries as a commented parameter file.
struct Writer<'a> {
    /// Whether only required keys are written, with a shorter comment.
    only_required: bool,
    out: &'a mut String,
}

impl Writer<'_> {
    /// An entry, as a comment where another one excludes it. `item` is the number of the list's item that it belongs to;
    /// the comments stand in the first.
    fn entry(&mut self, entry: &Entry, above: &str, indent: usize, item: usize) {
        if !example_values::is_alternative(&path_of(entry, above)) {
            self.documented(entry, above, indent, item);
            return;
        }
        let mut text = String::new();
        Writer { only_required: self.only_required, out: &mut text }.documented(entry, above, indent, item);
        let pad = " ".repeat(indent);
        comment("An alternative to another key of this section, so only a comment here:", &pad, self.out);
        for line in text.lines() {
            let own = line.get(indent..).unwrap_or_default();
            let mark = if line.trim_start().starts_with('#') { "" } else { "# " };
            self.out.push_str(&format!("{pad}{mark}{own}\n"));
        }
    }

    fn documented(&mut self, entry: &Entry, above: &str, indent: usize, item: usize) {
        let pad = " ".repeat(indent);
        if item == 0 {
            comment(entry.doc, &pad, self.out);
            if !self.only_required {
                comment(&facts(entry), &pad, self.out);
            } else if entry.about.children().is_empty() {
                comment(&format!("Allowed: {}.", entry.about.allowed(Units::Mm)), &pad, self.out);
            }
        }
        let path = path_of(entry, above);
        let below = format!("{path}.");
        match &entry.about {
            About::Section(children) => {
                self.out.push_str(&format!("{pad}{}:\n", entry.key));
                for child in children {
                    if self.writes(child, &below) {
                        self.entry(child, &below, indent + 2, item);
                    }
                }
            }
            About::List { least, of, .. } => {
                self.out.push_str(&format!("{pad}{}:\n", entry.key));
                for number in 0..(*least).max(1) {
                    self.item(of, &below, indent + 2, item + number);
                }
            }
            _ => {
                let value = quoted(example_values::value(&path, item, entry.example));
                self.out.push_str(&format!("{pad}{}: {value}\n", entry.key));
            }
        }
    }

    fn writes(&self, entry: &Entry, above: &str) -> bool {
        !self.only_required || is_wanted(entry, above)
    }

    /// A list item: its lines with a dash before the first key.
    fn item(&mut self, of: &[Entry], above: &str, indent: usize, number: usize) {
        let mut item = String::new();
        for child in of.iter().filter(|child| self.writes(child, above)) {
            Writer { only_required: self.only_required, out: &mut item }.entry(
                child,
                above,
                indent + 2,
                number,
            );
        }
        let mut dashed = false;
        for line in item.lines() {
            if !dashed && !line.trim_start().starts_with('#') {
                self.out.push_str(&format!("{}- {}\n", " ".repeat(indent), line.trim_start()));
                dashed = true;
            } else {
                self.out.push_str(line);
                self.out.push('\n');
            }
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
