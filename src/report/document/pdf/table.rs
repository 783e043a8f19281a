//! Tables as strips: widths of columns, cells broken into lines, heads that are repeated.

use std::rc::Rc;

use super::font::{Fonts, Weight};
use super::layout::{ALARM, DIM, INK, LEADING, RULE, leading, note};
use super::strips::{Colour, Item, Strip, Style};
use super::text::{lines, widest_word};
use crate::report::document::{Align, TextCell, TextTable, Tone};

/// Sizes of cells, tried in turn until no word need be broken, points.
const SIZES: [f64; 4] = [8.0, 7.4, 6.8, 6.2];

/// Room between columns, points.
const GAP: f64 = 9.0;

/// Room above and below the lines of a row, points.
const PAD: f64 = 2.4;

/// A table laid out.
struct Grid<'a> {
    fonts: &'a Fonts,
    size: f64,
    /// Left edges and widths of the columns, points.
    columns: Vec<(f64, f64)>,
    width: f64,
}

/// Caption, heads, rows and notes.
pub(super) fn strips(fonts: &Fonts, table: &TextTable, width: f64) -> Vec<Strip> {
    let grid = Grid::new(fonts, table, width);
    let mut out: Vec<Strip> = note(fonts, &table.caption, width);
    for strip in &mut out {
        strip.keep = true;
    }
    let heads: Vec<TextCell> = table.columns.iter().map(|c| TextCell::from(c.head.trim())).collect();
    let head = Strip { keep: true, ..grid.row(table, &heads, true) };
    out.push(head.clone());
    let (head, count) = (Rc::new(head), table.rows.len());
    for (k, cells) in table.rows.iter().enumerate() {
        // The first two rows stand with their heads, and the last two together.
        let keep = k == 0 && count > 1 || k + 2 == count || (k + 1 == count && !table.notes.is_empty());
        out.push(Strip { keep, head: Some(head.clone()), ..grid.row(table, cells, false) });
    }
    out.extend(table.notes.iter().flat_map(|text| note(fonts, text, width)));
    out
}

/// Widths that a column may have, in the size of its text: that of its longest word, and that of its longest text.
fn wanted(fonts: &Fonts, table: &TextTable, column: usize) -> (f64, f64) {
    let head = table.columns[column].head.trim();
    let cells = table.rows.iter().filter_map(|row| row.get(column));
    let texts = cells.map(|cell| (weight(cell), cell.text.as_str())).chain([(Weight::Bold, head)]);
    texts.fold((0.0, 0.0), |(word, whole): (f64, f64), (weight, text)| {
        (word.max(widest_word(fonts, weight, text)), whole.max(fonts.width(weight, text)))
    })
}

fn weight(cell: &TextCell) -> Weight {
    if cell.tone == Tone::Alarm { Weight::Bold } else { Weight::Regular }
}

impl<'a> Grid<'a> {
    fn new(fonts: &'a Fonts, table: &TextTable, width: f64) -> Self {
        let wanted: Vec<(f64, f64)> =
            (0..table.columns.len()).map(|column| self::wanted(fonts, table, column)).collect();
        let room = width - GAP * wanted.len().saturating_sub(1) as f64;
        let least = |size: f64| wanted.iter().map(|(word, _)| word * size).sum::<f64>();
        let size = SIZES.into_iter().find(|size| least(*size) <= room).unwrap_or(SIZES[SIZES.len() - 1]);
        let whole: f64 = wanted.iter().map(|(_, whole)| whole * size).sum();
        // Between the least widths and the wanted ones all columns give way alike; spare room stays at the right.
        let share = if whole <= room { 1.0 } else { (room - least(size)) / (whole - least(size)) };
        let squeeze = (room / least(size)).min(1.0);
        let mut left = 0.0;
        let column = |(word, whole): &(f64, f64)| {
            let own = (word + (whole - word) * share.clamp(0.0, 1.0)) * size * squeeze;
            let at = left;
            left += own + GAP;
            (at, own)
        };
        let columns: Vec<_> = wanted.iter().map(column).collect();
        let width = (left - GAP).clamp(0.0, width);
        Self { fonts, size, columns, width }
    }

    /// A row over a thin line.
    fn row(&self, table: &TextTable, cells: &[TextCell], head: bool) -> Strip {
        let mut items = Vec::new();
        let mut most = 1;
        for ((cell, column), (left, width)) in cells.iter().zip(&table.columns).zip(&self.columns) {
            let weight = if head { Weight::Bold } else { weight(cell) };
            let colour = colour(cell, head);
            let broken = lines(self.fonts, weight, &cell.text, width / self.size + 1e-6);
            most = most.max(broken.len());
            for (k, text) in broken.into_iter().enumerate() {
                let own = self.fonts.width(weight, &text) * self.size;
                let x = if column.side == Align::Right { left + width - own } else { *left };
                let y = PAD + leading(self.size) * k as f64 + self.size;
                items.push(Item::Text { at: [x, y], style: Style { weight, size: self.size, colour }, text });
            }
        }
        let height = leading(self.size) * most as f64 + 2.0 * PAD - self.size * (LEADING - 1.25);
        let (thick, colour) = if head { (0.9, DIM) } else { (0.4, RULE) };
        items.push(Item::Fill { at: [0.0, height - thick], size: [self.width, thick], colour });
        Strip { height, items, ..Strip::default() }
    }
}

fn colour(cell: &TextCell, head: bool) -> Colour {
    match cell.tone {
        Tone::Alarm => ALARM,
        Tone::Plain if head => DIM,
        Tone::Plain => INK,
    }
}
