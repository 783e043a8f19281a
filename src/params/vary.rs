//! A parameter file with some of its numbers set by their paths: `mount_pad.offset`, `mating.turning[1].length`.
//!
//! Values are set in the tree that the text was read into, so that findings still point at places of the file. Keys
//! that the file leaves out are added; list items must exist already.

use super::kinds::nearest;
use super::load::{Raw, entries, read_tree};
use super::parse;
use super::reference::{self, About};
use super::source::Source;
use super::tree::{Content, Member, Node};
use crate::finding::Findings;

/// The path of a number in a parameter file.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyPath {
    text: String,
    steps: Vec<Step>,
    whole: bool,
    /// The unit of a bare number; `None` where it is the file's unit of lengths.
    unit: Option<&'static str>,
}

/// A key, and which item of its list, from 1.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    key: String,
    item: Option<usize>,
}

/// Why a path does not refer to a number.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PathError {
    /// No such key.
    #[error("`{path}` is not a key of the parameter file{}", near.as_ref().map_or_else(|| "; `tailpattern describe` lists them".to_owned(), |n| format!("; did you mean `{n}`?")))]
    Unknown {
        /// As typed.
        path: String,
        /// The nearest known one.
        near: Option<String>,
    },
    /// It holds something else.
    #[error("`{path}` holds {holds}, no number; only numbers can be varied")]
    NoNumber {
        /// As typed.
        path: String,
        /// What it holds.
        holds: String,
    },
    /// The file's list is shorter, or the file has a value where a section belongs.
    #[error("`{path}` is not in the file: {why}")]
    NotThere {
        /// As typed.
        path: String,
        /// What is missing.
        why: String,
    },
}

impl KeyPath {
    /// Parses a path and looks it up among all keys.
    ///
    /// # Errors
    /// An unknown key, with the nearest known one, or one that holds no number.
    pub fn parse(text: &str) -> Result<Self, PathError> {
        let text = text.trim();
        let known = entries();
        let unknown = || {
            let paths = reference::paths(&known);
            let near = nearest(text, paths.iter().map(String::as_str)).map(str::to_owned);
            // A key without its section is most likely meant in full if only one section has it.
            let ending = || {
                let mut ends = paths.iter().filter(|p| p.ends_with(&format!(".{text}")));
                ends.next().filter(|_| ends.next().is_none()).cloned()
            };
            PathError::Unknown { path: text.to_owned(), near: near.or_else(ending) }
        };
        let steps: Vec<Step> = text.split('.').map(Step::parse).collect::<Option<_>>().ok_or_else(unknown)?;
        let (mut level, mut about) = (known.as_slice(), None);
        for step in &steps {
            let entry = level.iter().find(|e| e.key == step.key).ok_or_else(unknown)?;
            if matches!(entry.about, About::List { .. }) != step.item.is_some() {
                return Err(unknown());
            }
            (level, about) = (entry.about.children(), Some(&entry.about));
        }
        let whole = matches!(about, Some(About::Count(_)));
        let unit = match about {
            Some(About::Length(_) | About::Hole(_)) => None,
            Some(About::Angle(_)) => Some("deg"),
            Some(About::Density(_)) => Some("kg/m3"),
            Some(About::Percent(_)) => Some("%"),
            Some(About::Measure(scale, _)) => Some(scale.base()),
            _ => Some(""),
        };
        match about {
            Some(about) if about.is_number() => Ok(Self { text: text.to_owned(), steps, whole, unit }),
            Some(other) => Err(PathError::NoNumber {
                path: text.to_owned(),
                holds: other.allowed(crate::units::Units::Mm),
            }),
            None => Err(unknown()),
        }
    }

    /// As typed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The unit of a bare number there, in a file that counts lengths in `lengths`.
    pub fn bare_unit<'a>(&self, lengths: &'a str) -> &'a str {
        self.unit.unwrap_or(lengths)
    }

    /// Whether only whole numbers are allowed.
    pub fn is_whole(&self) -> bool {
        self.whole
    }
}

impl Step {
    fn parse(text: &str) -> Option<Self> {
        let Some((key, item)) = text.split_once('[') else {
            return Some(Self { key: text.to_owned(), item: None });
        };
        let item = item.strip_suffix(']')?.parse().ok().filter(|n| *n > 0)?;
        Some(Self { key: key.to_owned(), item: Some(item) })
    }
}

/// A parameter file, read once, of which variants are made.
#[derive(Clone, Debug)]
pub struct Template {
    root: Node,
    findings: Findings,
}

impl Template {
    /// Reads the text.
    ///
    /// # Errors
    /// Findings, when the text is not a tree of keys.
    pub fn new(source: &Source) -> Result<Self, Findings> {
        let (root, findings) = parse::parse(source);
        match root {
            Some(root) => Ok(Self { root, findings }),
            None => Err(findings),
        }
    }

    /// The file's unit of lengths, as written.
    pub fn units(&self) -> Option<&str> {
        let Content::Section(members) = &self.root.content else { return None };
        let node = &members.iter().find(|m| m.key == "units")?.node;
        if let Content::Value(text) = &node.content { Some(text) } else { None }
    }

    /// The file's own value at a path, as written.
    pub fn text_at(&self, path: &KeyPath) -> Option<&str> {
        let mut node = &self.root;
        for step in &path.steps {
            let Content::Section(members) = &node.content else { return None };
            node = &members.iter().find(|m| m.key == step.key)?.node;
            if let (Some(item), Content::List(items)) = (step.item, &node.content) {
                node = items.get(item - 1)?;
            }
        }
        if let Content::Value(text) = &node.content { Some(text) } else { None }
    }

    /// The tree with these values.
    ///
    /// # Errors
    /// A path that is not in the file's lists.
    pub fn tree(&self, settings: &[(&KeyPath, String)]) -> Result<Node, PathError> {
        let mut root = self.root.clone();
        for (path, value) in settings {
            set(&mut root, &path.steps, value)
                .map_err(|why| PathError::NotThere { path: path.text.clone(), why })?;
        }
        Ok(root)
    }

    /// Reads a tree of this file, with values set or not.
    ///
    /// # Errors
    /// Findings, when nothing of the tree can be used.
    pub fn read(&self, tree: &Node) -> Result<Raw, Findings> {
        read_tree(tree, self.findings.clone())
    }
}

fn set(node: &mut Node, steps: &[Step], value: &str) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        node.content = Content::Value(value.to_owned());
        return Ok(());
    };
    let place = node.place;
    if matches!(node.content, Content::Nothing) {
        node.content = Content::Section(Vec::new());
    }
    let Content::Section(members) = &mut node.content else {
        return Err(format!("the file has {} where a section belongs", node.content.name()));
    };
    let at = members.iter().position(|m| m.key == step.key).unwrap_or_else(|| {
        let node = Node { place, content: Content::Nothing };
        members.push(Member { key: step.key.clone(), place, node });
        members.len() - 1
    });
    let inner = &mut members[at].node;
    let Some(item) = step.item else { return set(inner, rest, value) };
    let Content::List(items) = &mut inner.content else {
        return Err(format!("it has no list `{}`", step.key));
    };
    let length = items.len();
    let found = items.get_mut(item - 1);
    set(found.ok_or_else(|| format!("`{}` has {length} items", step.key))?, rest, value)
}

/// A tree as the text of a parameter file, without comments.
pub fn text(tree: &Node) -> String {
    let mut out = String::new();
    write(&tree.content, 0, &mut out);
    out
}

fn write(content: &Content, depth: usize, out: &mut String) {
    let indent = " ".repeat(depth);
    match content {
        Content::Section(members) => {
            for member in members {
                out.push_str(&format!("{indent}{}:", member.key));
                inner(&member.node.content, depth, out);
            }
        }
        Content::List(items) => {
            for item in items {
                out.push_str(&format!("{indent}-"));
                inner(&item.content, depth, out);
            }
        }
        Content::Value(text) => out.push_str(&format!("{indent}{}\n", quoted(text))),
        Content::Nothing | Content::Refused => out.push('\n'),
    }
}

/// Writes the node behind a key or a dash.
fn inner(content: &Content, depth: usize, out: &mut String) {
    match content {
        Content::Value(text) => out.push_str(&format!(" {}\n", quoted(text))),
        Content::Section(empty) if empty.is_empty() => out.push_str(" {}\n"),
        Content::List(empty) if empty.is_empty() => out.push_str(" []\n"),
        other => {
            out.push('\n');
            if !matches!(other, Content::Nothing | Content::Refused) {
                write(other, depth + 2, out);
            }
        }
    }
}

/// A value in quotes, unless it is plainly a word or number.
fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '/' | ' ');
    let number = text.parse::<f64>().is_ok_and(f64::is_finite);
    let word = text.starts_with(|c: char| c.is_ascii_alphanumeric())
        && text.chars().all(plain)
        && !text.ends_with(' ')
        && text != "null";
    if number || word {
        return text.to_owned();
    }
    format!("'{}'", text.replace('\'', "''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn template() -> Template {
        let text = include_str!("../../params/demo_mm.yaml");
        Template::new(&Source::from_bytes("demo", text.into()).expect("text")).expect("a tree")
    }

    fn path(text: &str) -> KeyPath {
        KeyPath::parse(text).expect(text)
    }

    #[test]
    fn values_are_set_put_in_and_read_back() {
        let demo = template();
        let (offset, wall, shaft) =
            (path("mount_pad.offset"), path("limits.wall"), path("mating.turning[1].length"));
        let tree = demo
            .tree(&[(&offset, "-7.5".into()), (&wall, "0.2 in".into()), (&shaft, "300".into())])
            .expect("all there");
        let raw = demo.read(&tree).expect("readable");
        assert!(raw.findings.iter().next().is_none(), "no fault");
        let get = |slot: &crate::params::Parameter<crate::units::Mm>| slot.get().map(crate::units::Mm::get);
        let pad = raw.file.mount_pad.as_ref().expect("a pad");
        assert_eq!(get(&pad.offset), Some(-7.5), "set");
        assert!(
            get(&raw.file.limits.wall).is_some_and(|w| (w - 5.08).abs() < 1e-12),
            "put in, with its unit"
        );
        assert_eq!(demo.text_at(&shaft), Some("298.45"), "the file's own");
    }

    #[test]
    fn a_tree_as_text_reads_as_the_same_values() {
        let demo = template();
        let tree = demo.tree(&[]).expect("itself");
        let again = Source::from_bytes("again", text(&tree).into_bytes()).expect("text");
        let (second, findings) = parse::parse(&again);
        let second = second.expect("a tree");
        assert!(findings.is_empty() && demo.read(&second).expect("readable").findings.is_empty(), "no fault");
        assert_eq!(text(&second), text(&tree), "nothing changes");
        assert!(text(&tree).contains("name: Marlow 4 tail housing"), "words come through");
    }

    #[test]
    fn what_is_no_number_is_refused_by_name() {
        let error = |text: &str| KeyPath::parse(text).expect_err("refused").to_string();
        assert!(error("mount_pad.ofset").contains("did you mean `mount_pad.offset`"), "near");
        assert!(error("housing.name").contains("no number"), "words");
        assert!(error("mating.turning.length").contains("not a key"), "a list without an item");
        let far = template().tree(&[(&path("mating.turning[9].length"), "1".into())]).expect_err("too far");
        assert!(far.to_string().contains("has 3 items"), "{far}");
    }
}
