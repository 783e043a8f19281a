//! YAML text to a [`Node`] tree.
//!
//! The events come from `saphyr-parser`, because every finding must point at the text it is about: the
//! `serde_yaml` family hands values to serde without their place, so a range fault could only name the file.
//!
//! Only the plain part of YAML is accepted: sections, lists and values. Anchors, aliases, tags and several documents
//! are findings. They would let a small file grow without bound, and no parameter needs them.
//!
//! Holds afterwards: at most [`DEEPEST`] levels, no key twice in a section (the first one counts).

use std::collections::BTreeMap;

use saphyr_parser::{Event, Parser, ScalarStyle, ScanError, Span};

use super::codes;
use super::source::Source;
use super::tree::{Content, Member, Node};
use crate::finding::{Finding, Findings, Place};

/// Deepest nesting of sections and lists; the parameters themselves need five.
pub const DEEPEST: usize = 16;

/// Reads the text of a parameter file.
///
/// The tree is absent when the file is empty or breaks YAML's grammar; after other findings there is still a usable
/// tree.
pub fn parse(source: &Source) -> (Option<Node>, Findings) {
    let mut builder = Builder::new(source);
    if let Some(tab) = indenting_tab(source.text()) {
        builder.findings.push(
            Finding::error(codes::TAB, source.name(), "a tab indents this line")
                .at(Some(tab))
                .because("editors disagree on a tab's width, so YAML indents by blanks only")
                .hint("replace the tab by blanks"),
        );
        return (None, builder.findings);
    }
    let mut parser = Parser::new_from_str(source.text());
    while let Some(event) = parser.next_event() {
        let going_on = match event {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => builder.syntax(&error),
        };
        if !going_on {
            break;
        }
    }
    builder.finish()
}

/// The first tab among the blanks that open a line.
fn indenting_tab(text: &str) -> Option<Place> {
    let mut offset = 0;
    for line in text.split_inclusive('\n') {
        let lead = line.len() - line.trim_start_matches([' ', '\t']).len();
        let blank_or_comment = matches!(line[lead..].chars().next(), None | Some('\n' | '\r' | '#'));
        if !blank_or_comment && let Some(tab) = line[..lead].find('\t') {
            return Some(Place { start: offset + tab, end: offset + tab + 1 });
        }
        offset += line.len();
    }
    None
}

/// A section or list that is still open.
enum Open {
    List {
        place: Place,
        items: Vec<Node>,
    },
    Section {
        place: Place,
        members: Vec<Member>,
        names: BTreeMap<String, Place>,
        key: Option<(String, Place)>,
    },
}

struct Builder<'s> {
    source: &'s Source,
    /// Byte offset of each character, and of the end: the parser counts characters.
    offsets: Option<Vec<usize>>,
    open: Vec<Open>,
    root: Option<Node>,
    documents: usize,
    broken: bool,
    findings: Findings,
}

impl<'s> Builder<'s> {
    fn new(source: &'s Source) -> Self {
        let text = source.text();
        let offsets = (!text.is_ascii())
            .then(|| text.char_indices().map(|(i, _)| i).chain(std::iter::once(text.len())).collect());
        Self {
            source,
            offsets,
            open: Vec::new(),
            root: None,
            documents: 0,
            broken: false,
            findings: Findings::default(),
        }
    }

    fn byte(&self, character: usize) -> usize {
        let end = self.source.text().len();
        match &self.offsets {
            None => character.min(end),
            Some(offsets) => offsets.get(character).copied().unwrap_or(end),
        }
    }

    /// Bytes of a span, without trailing blanks and comments.
    fn place(&self, span: Span) -> Place {
        let (start, end) = (self.byte(span.start.index()), self.byte(span.end.index()));
        let end = end.max(start);
        let text = &self.source.text()[start..end];
        Place { start, end: start + text.trim_end().len() }
    }

    /// Ends a quoted value at its closing quote: the parser's span runs on over a comment behind it.
    fn without_comment(&self, place: Place, style: ScalarStyle) -> Place {
        let quote = match style {
            ScalarStyle::SingleQuoted => '\'',
            ScalarStyle::DoubleQuoted => '"',
            _ => return place,
        };
        let text = &self.source.text()[place.start..place.end];
        let mut characters = text.char_indices().skip(1).peekable();
        while let Some((at, c)) = characters.next() {
            let doubled = quote == '\'' && characters.peek().is_some_and(|&(_, next)| next == quote);
            if c == '\\' && quote == '"' || c == quote && doubled {
                characters.next();
            } else if c == quote {
                return Place { start: place.start, end: place.start + at + 1 };
            }
        }
        place
    }

    /// Handles one event; returns false to stop reading.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        let place = self.place(span);
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents > 1 {
                    self.findings.push(
                        Finding::error(
                            codes::SEVERAL_DOCUMENTS,
                            self.source.name(),
                            "a second document starts here",
                        )
                        .at(Some(place))
                        .because("one file describes one housing")
                        .hint("put the second housing into its own file"),
                    );
                    return false;
                }
            }
            Event::Alias(_) => {
                self.alias(place, "an alias repeats another part of the file");
                self.value(place, Content::Refused);
            }
            Event::Scalar(text, style, anchor, tag) => {
                let place = self.without_comment(place, style);
                self.decorations(place, anchor, tag.is_some());
                let plain = matches!(style, ScalarStyle::Plain);
                let nothing = plain && matches!(&*text, "" | "~" | "null" | "Null" | "NULL");
                let content = if nothing { Content::Nothing } else { Content::Value(text.into_owned()) };
                self.value(place, content);
            }
            Event::SequenceStart(anchor, tag) => {
                self.decorations(place, anchor, tag.is_some());
                return self.enter(place, Open::List { place: first(place), items: Vec::new() });
            }
            Event::MappingStart(anchor, tag) => {
                self.decorations(place, anchor, tag.is_some());
                let names = BTreeMap::new();
                let members = Vec::new();
                return self.enter(place, Open::Section { place: first(place), members, names, key: None });
            }
            Event::SequenceEnd | Event::MappingEnd => self.leave(),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
        true
    }

    fn decorations(&mut self, place: Place, anchor: usize, tagged: bool) {
        if anchor > 0 {
            self.alias(place, "an anchor names this part of the file");
        }
        if tagged {
            self.findings.push(
                Finding::error(codes::TAG, self.source.name(), "this value has a YAML tag")
                    .at(Some(place))
                    .because("the key already determines the type of its value")
                    .hint("remove the word that starts with `!`"),
            );
        }
    }

    fn alias(&mut self, place: Place, what: &str) {
        self.findings.push(
            Finding::error(codes::ALIAS, self.source.name(), what)
                .at(Some(place))
                .because("anchors and aliases can make a small file grow without bound")
                .hint("write the values out"),
        );
    }

    fn enter(&mut self, place: Place, open: Open) -> bool {
        if self.open.len() >= DEEPEST {
            self.findings.push(
                Finding::error(
                    codes::TOO_DEEP,
                    self.source.name(),
                    "sections and lists are nested too deeply here",
                )
                .at(Some(first(place)))
                .allowed(format!("at most {DEEPEST} levels")),
            );
            self.broken = true;
            return false;
        }
        self.open.push(open);
        true
    }

    fn leave(&mut self) {
        match self.open.pop() {
            Some(Open::List { place, items }) => self.value(place, Content::List(items)),
            Some(Open::Section { place, members, .. }) => self.value(place, Content::Section(members)),
            None => {}
        }
    }

    /// Puts a finished node in its place: as root, list item, key, or value of a key.
    fn value(&mut self, place: Place, content: Content) {
        match self.open.last_mut() {
            None => self.root = Some(Node { place, content }),
            Some(Open::List { items, .. }) => items.push(Node { place, content }),
            Some(Open::Section { members, names, key, .. }) => match key.take() {
                None => {
                    let name = match content {
                        Content::Value(text) => text,
                        Content::Nothing | Content::Refused => String::new(),
                        Content::List(_) | Content::Section(_) => {
                            self.findings.push(
                                Finding::error(
                                    codes::WRONG_SHAPE,
                                    self.source.name(),
                                    "a key must be a plain word",
                                )
                                .at(Some(place)),
                            );
                            String::new()
                        }
                    };
                    *key = Some((name, place));
                }
                Some((key, key_place)) if names.contains_key(&key) => {
                    let first = names.get(&key).copied();
                    self.findings.push(
                        Finding::error(
                            codes::DUPLICATE_KEY,
                            &key,
                            "this key was already given in the same section",
                        )
                        .at(Some(key_place))
                        .beside(first, "first given here")
                        .hint("keep one of the two"),
                    );
                }
                Some((key, key_place)) => {
                    names.insert(key.clone(), key_place);
                    let mut node = Node { place, content };
                    if node.content == Content::Nothing && place.start >= place.end {
                        node.place = key_place;
                    }
                    members.push(Member { key, place: key_place, node });
                }
            },
        }
    }

    fn syntax(&mut self, error: &ScanError) -> bool {
        let start = self.byte(error.marker().index()).min(self.source.text().len());
        let width = self.source.text()[start..].chars().next().map_or(0, char::len_utf8);
        self.findings.push(
            Finding::error(
                codes::SYNTAX,
                self.source.name(),
                format!("the YAML breaks off here: {}", error.info()),
            )
            .at(Some(Place { start, end: start + width }))
            .hint("check indentation, quotes and the blank after each colon on this line and the one before"),
        );
        self.broken = true;
        false
    }

    fn finish(mut self) -> (Option<Node>, Findings) {
        let empty = self.root.as_ref().is_none_or(|root| root.content == Content::Nothing);
        if empty && self.findings.is_empty() {
            self.findings.push(
                Finding::error(codes::EMPTY, self.source.name(), "the file has no parameters")
                    .hint("`tailpattern describe` prints a commented parameter file to start from"),
            );
        }
        let root = if self.broken || empty { None } else { self.root };
        (root, self.findings)
    }
}

/// The first character of a block: a finding about a whole section should not underline all of it.
fn first(place: Place) -> Place {
    Place { start: place.start, end: place.end.min(place.start + 1) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes_of(text: &str) -> Vec<&'static str> {
        let source = Source::from_bytes("t", text.into()).expect("text");
        parse(&source).1.iter().map(|f| f.code().id()).collect()
    }

    #[test]
    fn every_value_knows_its_place() {
        let text = "a: 1\r\nb:\n  - x: \"zwölf\"   # note\n    y: 3/8 in   # note\n    z: 'it''s' # note\n";
        let source = Source::from_bytes("t", text.into()).expect("text");
        let (root, findings) = parse(&source);
        assert!(findings.is_empty(), "{findings:?}");
        let mut seen = Vec::new();
        let mut stack = vec![root.expect("a tree")];
        while let Some(node) = stack.pop() {
            match node.content {
                Content::Value(_) => seen.push(text[node.place.start..node.place.end].to_owned()),
                Content::List(items) => stack.extend(items),
                Content::Section(members) => {
                    for member in members {
                        assert_eq!(&text[member.place.start..member.place.end], member.key, "key");
                        stack.push(member.node);
                    }
                }
                Content::Nothing | Content::Refused => {}
            }
        }
        seen.sort();
        assert_eq!(seen, ["\"zwölf\"", "'it''s'", "1", "3/8 in"], "texts");
    }

    #[test]
    fn odd_yaml_is_refused_by_name() {
        for (text, expected) in [
            ("", vec!["P001"]),
            ("# only a comment\n", vec!["P001"]),
            ("~\n", vec!["P001"]),
            ("a: [1, 2\n", vec!["P004"]),
            ("a:\n\tb: 1\n", vec!["P005"]),
            ("a: 1\na: 2\na: 3\n", vec!["P006", "P006"]),
            ("a: &x 1\nb: *x\n", vec!["P007", "P007"]),
            ("a: !!str 1\n", vec!["P008"]),
            ("a: 1\n---\nb: 2\n", vec!["P010"]),
            ("? [a, b]\n: 1\n", vec!["P013"]),
        ] {
            assert_eq!(codes_of(text), expected, "{text:?}");
        }
        assert_eq!(codes_of(&format!("{}{}", "[".repeat(50), "]".repeat(50))), ["P009"], "deep list");
        assert_eq!(codes_of(&format!("{}1", "- ".repeat(50))), ["P009"], "deep block");
        assert_eq!(codes_of(&"[".repeat(50_000)).len(), 1, "a named error, whichever comes first");
    }
}
