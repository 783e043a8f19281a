//! Blocks of a document as strips.

use super::font::{Fonts, Weight};
use super::png::Png;
use super::strips::{Colour, Item, Strip, Style};
use super::table;
use super::text::lines;
use crate::report::document::{Block, Chapter, Document, Fact};

/// Colours of text, of what stands back, of warnings, of thin lines, and behind warnings.
pub(super) const INK: Colour = [0.12, 0.14, 0.16];
pub(super) const DIM: Colour = [0.35, 0.38, 0.42];
pub(super) const ALARM: Colour = [0.64, 0.12, 0.05];
pub(super) const RULE: Colour = [0.82, 0.84, 0.87];
const TINT: Colour = [0.96, 0.965, 0.97];

/// From one line to the next, in the size of the text.
pub(super) const LEADING: f64 = 1.36;

const TITLE: Style = Style { weight: Weight::Bold, size: 17.0, colour: INK };
const LEAD: Style = Style { weight: Weight::Regular, size: 10.0, colour: INK };
const HEADING: Style = Style { weight: Weight::Bold, size: 11.5, colour: INK };
const BODY: Style = Style { weight: Weight::Regular, size: 9.0, colour: INK };
const NAME: Style = Style { weight: Weight::Regular, size: 8.6, colour: DIM };
const VALUE: Style = Style { weight: Weight::Regular, size: 8.6, colour: INK };
pub(super) const NOTE: Style = Style { weight: Weight::Regular, size: 7.6, colour: DIM };

/// Room above paragraphs, and above headings, points.
const BETWEEN: f64 = 5.0;
const ABOVE_HEADING: f64 = 17.0;

/// How far lists are set in, points.
const INDENT: f64 = 13.0;

/// The greatest width of running text, points: longer lines are hard to follow.
const MEASURE: f64 = 430.0;

/// The greatest height of a picture, as a share of its width on paper.
const TALLEST: f64 = 0.85;

/// The largest share of the width that names of facts take.
const NAMES: f64 = 0.4;

/// The height of a line.
pub(super) fn leading(size: f64) -> f64 {
    LEADING * size
}

/// Strips of the whole document, and its pictures in the order of their numbers.
pub(super) struct Layout<'a> {
    fonts: &'a Fonts,
    width: f64,
    pub(super) strips: Vec<Strip>,
    pub(super) pictures: Vec<Png<'a>>,
}

impl<'a> Layout<'a> {
    /// Lays a document out in this width, points.
    pub(super) fn of(document: &'a Document, fonts: &'a Fonts, width: f64) -> Self {
        let mut out = Self { fonts, width, strips: vec![], pictures: vec![] };
        out.lines(&document.title, TITLE, 0.0, 0.0, width);
        out.lines(&document.lead, LEAD, 4.0, 0.0, width);
        let told = document.chapters.iter().filter(|s| !s.blocks.is_empty());
        told.for_each(|section| out.section(section));
        out
    }

    fn section(&mut self, section: &'a Chapter) {
        let first = self.strips.len();
        self.lines(&section.heading, HEADING, ABOVE_HEADING, 0.0, self.width);
        self.keep_from(first);
        for (k, block) in section.blocks.iter().enumerate() {
            let first = self.strips.len();
            self.block(block);
            // A paragraph ahead of a table tells what the table is.
            if let (Block::Text(_), Some(Block::Table(_))) = (block, section.blocks.get(k + 1)) {
                self.keep_from(first);
            }
        }
    }

    /// Keeps everything from a strip on with what follows.
    fn keep_from(&mut self, first: usize) {
        self.strips[first..].iter_mut().for_each(|strip| strip.keep = true);
    }

    fn block(&mut self, block: &'a Block) {
        match block {
            _ if block.is_empty() => {}
            Block::Text(text) => self.lines(text, BODY, BETWEEN, 0.0, self.width.min(MEASURE)),
            Block::List(items) => self.list(items, |_| "•".to_owned()),
            Block::Steps(items) => self.list(items, |k| format!("{}.", k + 1)),
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => {
                let mut strips = table::strips(self.fonts, table, self.width);
                if let Some(first) = strips.first_mut() {
                    first.above = BETWEEN + 2.0;
                }
                self.strips.extend(strips);
            }
            Block::Picture(picture) => {
                if let Some(png) = Png::read(&picture.png) {
                    self.picture(png, &picture.caption);
                }
            }
            Block::Cautions(items) => self.cautions(items),
        }
    }

    /// A text as lines; the first two and the last two stand together.
    fn lines(&mut self, text: &str, style: Style, above: f64, left: f64, width: f64) {
        let broken = lines(self.fonts, style.weight, text, (width - left) / style.size);
        let count = broken.len();
        for (k, text) in broken.into_iter().enumerate() {
            let items = vec![Item::Text { at: [left, style.size], style, text }];
            let (above, height) = (if k == 0 { above } else { 0.0 }, leading(style.size));
            let keep = k + 1 < count && (k == 0 || k + 2 == count);
            self.strips.push(Strip { above, height, items, keep, head: None });
        }
    }

    fn list(&mut self, items: &[String], mark: impl Fn(usize) -> String) {
        for (k, item) in items.iter().enumerate() {
            let first = self.strips.len();
            let above = if k == 0 { BETWEEN } else { 1.5 };
            self.lines(item, BODY, above, INDENT, self.width.min(MEASURE));
            let mark = Item::Text { at: [0.0, BODY.size], style: BODY, text: mark(k) };
            self.strips[first].items.insert(0, mark);
        }
    }

    /// Names at the left, values beside them.
    fn facts(&mut self, facts: &[Fact]) {
        let names = facts.iter().map(|f| self.fonts.width(NAME.weight, &f.name) * NAME.size);
        let names = names.fold(0.0, f64::max).min(NAMES * self.width);
        let left = names + 16.0;
        let count = facts.len();
        for (k, fact) in facts.iter().enumerate() {
            let broken = [
                (0.0, NAME, lines(self.fonts, NAME.weight, &fact.name, names / NAME.size)),
                (left, VALUE, lines(self.fonts, VALUE.weight, &fact.value, (self.width - left) / VALUE.size)),
            ];
            let rows = broken.iter().map(|(.., lines)| lines.len()).max().unwrap_or(1);
            let height = leading(VALUE.size) * rows as f64 + 3.0;
            let mut items: Vec<Item> = Vec::new();
            for (x, style, lines) in broken {
                items.extend(lines.into_iter().enumerate().map(|(k, text)| Item::Text {
                    at: [x, 1.0 + style.size + leading(style.size) * k as f64],
                    style,
                    text,
                }));
            }
            items.push(Item::Fill { at: [0.0, height - 0.4], size: [self.width, 0.4], colour: RULE });
            let above = if k == 0 { BETWEEN } else { 0.0 };
            self.strips.push(Strip {
                above,
                height,
                items,
                keep: k == 0 && count > 1 || k + 2 == count,
                head: None,
            });
        }
    }

    /// A picture as wide as the text, or less wide where it would be too high, with its caption.
    fn picture(&mut self, png: Png<'a>, caption: &str) {
        let ratio = f64::from(png.height) / f64::from(png.width.max(1));
        let width = self.width.min(self.width * TALLEST / ratio);
        let at = [0.5 * (self.width - width), 0.0];
        let size = [width, width * ratio];
        let items = vec![Item::Image { at, size, number: self.pictures.len() }];
        self.pictures.push(png);
        self.strips.push(Strip { above: BETWEEN, height: size[1] + 3.0, items, keep: true, head: None });
        self.strips.extend(note(self.fonts, caption, self.width));
    }

    /// Warnings beside a bar.
    fn cautions(&mut self, items: &[String]) {
        const BAR: f64 = 2.5;
        let first = self.strips.len();
        for item in items {
            self.lines(item, BODY, 0.0, 12.0, self.width.min(MEASURE));
            let last = self.strips.len() - 1;
            self.strips[last].height += 3.0;
        }
        let (count, width) = (self.strips.len() - first, self.width);
        for (k, strip) in self.strips[first..].iter_mut().enumerate() {
            let ground = Item::Fill { at: [0.0, -2.0], size: [width, strip.height], colour: TINT };
            let bar = Item::Fill { at: [0.0, -2.0], size: [BAR, strip.height], colour: ALARM };
            strip.items.splice(0..0, [ground, bar]);
            strip.keep = k + 1 < count;
        }
        self.strips[first].above = BETWEEN + 2.0;
    }
}

/// A small text in lines that stand together.
pub(super) fn note(fonts: &Fonts, text: &str, width: f64) -> Vec<Strip> {
    let broken = lines(fonts, NOTE.weight, text, width / NOTE.size);
    let count = broken.len();
    let strip = |(k, text): (usize, String)| Strip {
        above: if k == 0 { 2.0 } else { 0.0 },
        height: leading(NOTE.size),
        items: vec![Item::Text { at: [0.0, NOTE.size], style: NOTE, text }],
        keep: k + 1 < count,
        head: None,
    };
    broken.into_iter().enumerate().map(strip).collect()
}
