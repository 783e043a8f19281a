//! A document for people: what it says, apart from how it is written. Three writers take the same parts: [`html`] and
//! [`pdf`] the whole, [`plain`] single parts for the terminal.
//!
//! Holds afterwards: every writer tells all that is in it, in the same words and figures. Equal documents give equal
//! bytes: no clock, no chance.

pub mod html;
pub mod pdf;
pub mod plain;
#[cfg(test)]
mod tests;

use crate::units::{Mm, Units};

/// A document.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Its title.
    pub title: String,
    /// What it is about, in a sentence or two.
    pub lead: String,
    /// The paper that it is printed on.
    pub paper: Paper,
    /// Its chapters; those without blocks are left out.
    pub chapters: Vec<Chapter>,
    /// Where it comes from: at the end of a page.
    pub foot: String,
}

impl Document {
    /// The same document with each of its texts changed; pictures stay.
    #[must_use]
    pub fn with_texts(&self, change: &impl Fn(&str) -> String) -> Self {
        let chapter = |c: &Chapter| Chapter {
            heading: change(&c.heading),
            blocks: c.blocks.iter().map(|block| block.with_texts(change)).collect(),
        };
        Self {
            title: change(&self.title),
            lead: change(&self.lead),
            paper: self.paper,
            chapters: self.chapters.iter().map(chapter).collect(),
            foot: change(&self.foot),
        }
    }
}

/// A sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 8.5 by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// The paper in use where lengths are in this unit.
    pub const fn of(units: Units) -> Self {
        match units {
            Units::Mm => Self::A4,
            Units::Inch => Self::Letter,
        }
    }

    /// Its width and height.
    pub const fn size(self) -> [Mm; 2] {
        match self {
            Self::A4 => [Mm::new(210.0), Mm::new(297.0)],
            Self::Letter => [Mm::inches(8.5), Mm::inches(11.0)],
        }
    }

    /// Its name in style sheets.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

/// A part of a document with its heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Chapter {
    /// The heading.
    pub heading: String,
    /// What follows it.
    pub blocks: Vec<Block>,
}

impl Chapter {
    /// A chapter of some blocks; empty ones are left out.
    pub fn new(heading: &str, blocks: impl IntoIterator<Item = Block>) -> Self {
        let blocks = blocks.into_iter().filter(|block| !block.is_empty()).collect();
        Self { heading: heading.to_owned(), blocks }
    }
}

/// A part of a chapter.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A paragraph.
    Text(String),
    /// Things in no order.
    List(Vec<String>),
    /// Things to be done one after another.
    Steps(Vec<String>),
    /// Names with their values.
    Facts(Vec<Fact>),
    /// A table.
    Table(TextTable),
    /// A picture.
    Picture(Picture),
    /// Warnings.
    Cautions(Vec<String>),
}

impl Block {
    fn with_texts(&self, change: &impl Fn(&str) -> String) -> Self {
        let all = |items: &[String]| items.iter().map(|item| change(item)).collect();
        let fact = |f: &Fact| Fact { name: change(&f.name), value: change(&f.value) };
        match self {
            Self::Text(text) => Self::Text(change(text)),
            Self::List(items) => Self::List(all(items)),
            Self::Steps(items) => Self::Steps(all(items)),
            Self::Cautions(items) => Self::Cautions(all(items)),
            Self::Facts(facts) => Self::Facts(facts.iter().map(fact).collect()),
            Self::Table(table) => Self::Table(table.with_texts(change)),
            Self::Picture(picture) => Self::Picture(Picture {
                png: picture.png.clone(),
                alt: change(&picture.alt),
                caption: change(&picture.caption),
            }),
        }
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        match self {
            Self::Text(text) => text.is_empty(),
            Self::List(items) | Self::Steps(items) | Self::Cautions(items) => items.is_empty(),
            Self::Facts(facts) => facts.is_empty(),
            Self::Table(table) => table.rows.is_empty(),
            Self::Picture(picture) => picture.png.is_empty(),
        }
    }
}

/// A name with its value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub name: String,
    /// Its value with its unit, or a few words.
    pub value: String,
}

impl Fact {
    /// A fact.
    pub fn new(name: &str, value: impl Into<String>) -> Self {
        Self { name: name.to_owned(), value: value.into() }
    }
}

/// The side of its column to which a cell's text is aligned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A column of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading.
    pub head: &'static str,
    /// Where its cells stand.
    pub side: Align,
}

impl Column {
    /// A column of words.
    pub const fn words(head: &'static str) -> Self {
        Self { head, side: Align::Left }
    }

    /// A column of numbers.
    pub const fn numbers(head: &'static str) -> Self {
        Self { head, side: Align::Right }
    }
}

/// How much a cell matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// As the others.
    Plain,
    /// It needs attention; its words say why.
    Alarm,
}

/// A cell of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextCell {
    /// Its text.
    pub text: String,
    /// How much it matters.
    pub tone: Tone,
}

impl<T: Into<String>> From<T> for TextCell {
    fn from(text: T) -> Self {
        Self { text: text.into(), tone: Tone::Plain }
    }
}

impl TextCell {
    /// A cell that needs attention.
    pub fn alarm(text: impl Into<String>) -> Self {
        Self { text: text.into(), tone: Tone::Alarm }
    }
}

/// A table; the first cell of each row names the row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextTable {
    /// What it shows.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each as long as `columns`.
    pub rows: Vec<Vec<TextCell>>,
    /// Notes below it.
    pub notes: Vec<String>,
}

impl TextTable {
    fn with_texts(&self, change: &impl Fn(&str) -> String) -> Self {
        let cell = |c: &TextCell| TextCell { text: change(&c.text), tone: c.tone };
        Self {
            caption: change(&self.caption),
            columns: self.columns.clone(),
            rows: self.rows.iter().map(|row| row.iter().map(cell).collect()).collect(),
            notes: self.notes.iter().map(|note| change(note)).collect(),
        }
    }
}

/// A picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// PNG with eight bits of red, green and blue, not interlaced.
    pub png: Vec<u8>,
    /// What it shows, for those who do not see it.
    pub alt: String,
    /// What stands below it.
    pub caption: String,
}
