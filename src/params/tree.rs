//! The parameter file as a tree of sections, lists and values, each with its place in the text.

use crate::finding::Place;

/// One node of the tree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Its place: a value's own text, or the first character of a section or list.
    pub place: Place,
    /// What it is.
    pub content: Content,
}

impl Node {
    /// One past its last byte, with all that it holds.
    pub fn end(&self) -> usize {
        let below = match &self.content {
            Content::List(items) => items.last().map(Self::end),
            Content::Section(members) => members.last().map(|m| m.place.end.max(m.node.end())),
            Content::Nothing | Content::Refused | Content::Value(_) => None,
        };
        below.unwrap_or(self.place.end).max(self.place.end)
    }
}

/// What a node holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Content {
    /// Nothing: an empty value, or YAML's `null` or `~`.
    Nothing,
    /// Something that has its own finding already, such as an alias.
    Refused,
    /// A value, still text: what it means depends on the key.
    Value(String),
    /// A list.
    List(Vec<Node>),
    /// A section: keys with their nodes in the order of the file.
    Section(Vec<Member>),
}

/// One key of a section with its node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The key.
    pub key: String,
    /// Place of the key.
    pub place: Place,
    /// Its node.
    pub node: Node,
}

impl Content {
    /// The kind of content, in words.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Nothing | Self::Refused => "nothing",
            Self::Value(_) => "a value",
            Self::List(_) => "a list",
            Self::Section(_) => "a section",
        }
    }
}
