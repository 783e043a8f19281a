//! Where dimensions find room beside a view: each side of it takes rows, and no writing meets a line.

use solidwright::geometry::{P2, V2};

use super::entity::{Entity, Layer, Shape};
use super::lettering;
use super::page::{Anchor, DimensionKind, Lettering, Rect, SheetContent, SheetDimension, bounds, chords};

/// Height of capitals of dimensions, mm: a size of ISO 3098.
pub const LETTERS: f64 = 2.5;

/// From the view to the first row, mm.
const CLEAR: f64 = 9.0;

/// From row to row, mm.
const ROW: f64 = 8.0;

/// Room between a point and its extension line, and beyond the dimension line, mm.
const GAP: f64 = 1.0;
pub(super) const BEYOND: f64 = 2.0;

/// Room between writing and line, mm.
const LIFT: f64 = 0.9;

/// Length of an arrow, and half its width, mm.
pub(super) const ARROW: f64 = 2.6;
const HALF_ARROW: f64 = 0.45;

/// From one ordinate's writing to the next, in heights of capitals.
const ORDINATES: f64 = 1.7;

/// From one line of a note to the next, mm.
pub const LEADING: f64 = 4.6;

/// Dimension lines that reach into each other by less than this, mm, only touch.
const SHARED: f64 = 0.01;

/// How many placings of distances are tried at most.
const MOST_TRIES: u32 = 50_000;

/// The most rows on a side.
const ROWS: usize = 24;

/// A side of a view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Margin {
    /// Above.
    Top,
    /// Below.
    Bottom,
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl Margin {
    /// Away from the view.
    fn out(self) -> V2 {
        match self {
            Self::Top => V2::new(0.0, 1.0),
            Self::Bottom => V2::new(0.0, -1.0),
            Self::Left => V2::new(-1.0, 0.0),
            Self::Right => V2::new(1.0, 0.0),
        }
    }

    /// Whether its rows stand upright.
    fn upright(self) -> bool {
        matches!(self, Self::Left | Self::Right)
    }

    /// The place of a point along the side.
    fn along(self, p: P2) -> f64 {
        if self.upright() { p.y } else { p.x }
    }

    /// The point at a place along the side and a height outwards.
    fn point(self, along: f64, out: f64) -> P2 {
        match self {
            Self::Top => P2::new(along, out),
            Self::Bottom => P2::new(along, -out),
            Self::Left => P2::new(-out, along),
            Self::Right => P2::new(out, along),
        }
    }
}

/// A distance to be dimensioned.
#[derive(Clone, Debug)]
pub struct Span {
    /// Its ends, on paper.
    pub ends: [P2; 2],
    /// What is written.
    pub text: String,
    /// The length on the part, mm.
    pub value: f64,
}

/// A point to be dimensioned from an origin.
#[derive(Clone, Debug)]
pub struct Stop {
    /// The point, on paper.
    pub at: P2,
    /// What is written.
    pub text: String,
    /// The distance on the part, mm.
    pub value: f64,
}

/// A part of a note: a line of writing, or boxes in a row.
#[derive(Clone, Debug)]
pub enum CalloutLine {
    /// Writing.
    Words(String),
    /// Boxes of a tolerance.
    Boxes(SheetContent),
}

impl CalloutLine {
    /// From this line to the next, mm.
    fn height(&self) -> f64 {
        match self {
            Self::Words(_) => LEADING,
            Self::Boxes(boxes) => boxes.bounds().map_or(LEADING, |b| LEADING.max(b.size().y + 0.4)),
        }
    }
}

/// A note with a line that leads to a point.
#[derive(Clone, Debug)]
pub struct Callout {
    /// Where it points, on paper.
    pub at: P2,
    /// What it says.
    pub lines: Vec<CalloutLine>,
}

/// A view with what is written beside it.
#[derive(Clone, Debug)]
pub struct Annotated {
    /// All of it.
    pub content: SheetContent,
    /// The view alone.
    pub view: Rect,
    /// Paper to part.
    pub factor: f64,
}

impl Annotated {
    /// A view whose shapes are on paper already.
    pub fn new(entities: Vec<Entity>, factor: f64) -> Option<Self> {
        let view = entities.iter().filter_map(|e| bounds(&e.shape)).reduce(Rect::union)?;
        Some(Self { content: SheetContent { entities, ..SheetContent::default() }, view, factor })
    }

    /// How far out the view reaches on a side.
    fn edge(&self, side: Margin) -> f64 {
        match side {
            Margin::Top => self.view.high.y,
            Margin::Bottom => -self.view.low.y,
            Margin::Left => -self.view.low.x,
            Margin::Right => self.view.high.x,
        }
    }

    /// Distances in rows on a side, the short ones nearest to the view where they find room. A side takes either
    /// distances, or ordinates, or notes.
    pub fn distances(&mut self, side: Margin, mut spans: Vec<Span>) {
        spans.retain(|s| (side.along(s.ends[0]) - side.along(s.ends[1])).abs() > 0.2);
        spans.sort_by(|a, b| length(side, a).total_cmp(&length(side, b)).then_with(|| a.text.cmp(&b.text)));
        let placed = in_rows(side, &spans);
        let first = self.edge(side) + CLEAR;
        for (span, place) in spans.iter().zip(placed) {
            let out = first + ROW * place.row as f64;
            let dimension = linear(side, span, out, place.text, self.factor);
            self.content.dimensions.push(dimension);
        }
    }

    /// Distances from one origin, each at the end of a line of its own.
    pub fn ordinates(&mut self, side: Margin, origin: P2, mut stops: Vec<Stop>) {
        stops.sort_by(|a, b| side.along(a.at).total_cmp(&side.along(b.at)).then_with(|| a.text.cmp(&b.text)));
        stops.dedup_by(|a, b| a.text == b.text && (side.along(a.at) - side.along(b.at)).abs() < 1e-3);
        let wanted: Vec<f64> = stops.iter().map(|s| side.along(s.at)).collect();
        let places = spread(&wanted, &vec![ORDINATES * LETTERS; stops.len()]);
        let edge = self.edge(side);
        for (stop, place) in stops.into_iter().zip(places) {
            let dimension = ordinate(side, origin, &stop, place, edge, self.factor);
            self.content.dimensions.push(dimension);
        }
    }

    /// Notes in a column beside the view.
    pub fn notes(&mut self, side: Margin, mut notes: Vec<Callout>) {
        notes.sort_by(|a, b| b.at.y.total_cmp(&a.at.y));
        let height = |n: &Callout| n.lines.iter().map(CalloutLine::height).sum::<f64>() + 2.5;
        let heights: Vec<f64> = notes.iter().map(height).collect();
        // `spread` counts upwards.
        let wanted: Vec<f64> = notes.iter().map(|n| -n.at.y).collect();
        let places = spread(&wanted, &heights);
        let x = side.point(0.0, self.edge(side) + CLEAR + 3.0).x;
        // Beside the view as a whole, where it is high enough: rows below it and above it stay clear.
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for (place, height) in places.iter().zip(&heights) {
            (low, high) = (low.min(-place - 0.5 * height), high.max(-place + 0.5 * height));
        }
        let [below, above] = [self.view.low.y - low, high - self.view.high.y];
        let shift = if below > 0.0 { below.min(-above.min(0.0)) } else { -above.max(0.0).min(-below) };
        for (note, place) in notes.into_iter().zip(places) {
            self.note(side, note, P2::new(x, shift - place));
        }
    }

    /// A note whose middle stands at a point.
    fn note(&mut self, side: Margin, note: Callout, at: P2) {
        let content = &mut self.content;
        let right = side != Margin::Left;
        let shoulder = at - side.out() * 3.0;
        content.line(Layer::Dimension, at - side.out() * 0.8, shoulder);
        content.line(Layer::Dimension, shoulder, note.at);
        content.arrows.push(arrow(note.at, note.at - shoulder));
        let mut foot = at.y + 0.5 * note.lines.iter().map(CalloutLine::height).sum::<f64>();
        for line in note.lines {
            foot -= line.height();
            let base = foot + 0.5 * (LEADING - LETTERS);
            match line {
                CalloutLine::Words(text) => {
                    let anchor = if right { Anchor::Start } else { Anchor::End };
                    content.texts.push(Lettering::level(P2::new(at.x, base), LETTERS, anchor, text));
                }
                CalloutLine::Boxes(boxes) => {
                    let width = boxes.bounds().map_or(0.0, |b| b.high.x);
                    let x = if right { at.x } else { at.x - width };
                    content.put(boxes, V2::new(x, base - 0.8));
                }
            }
        }
    }

    /// Whether no line and no writing of the view comes near a rectangle.
    pub fn is_clear(&self, r: &Rect) -> bool {
        let r = r.grown(0.4);
        let crossed = |(_, shape)| chords(shape).iter().any(|(a, b)| r.is_crossed(*a, *b));
        !self.content.writing().any(|t| t.bounds().overlaps(&r)) && !self.content.shapes().any(crossed)
    }

    /// A short name beside a point, where it meets no line; farther off with a line that leads to it.
    pub fn label(&mut self, at: P2, clear: f64, text: &str) {
        let width = lettering::width(text, LETTERS);
        let lines: Vec<(P2, P2)> = self.content.shapes().flat_map(|(_, s)| chords(s)).collect();
        let taken: Vec<Rect> = self.content.writing().map(|t| t.bounds().grown(0.4)).collect();
        let free = |r: &Rect| {
            let r = r.grown(0.4);
            !taken.iter().any(|t| t.overlaps(&r)) && !lines.iter().any(|(a, b)| r.is_crossed(*a, *b))
        };
        let mut best = None;
        'search: for ring in 0..24 {
            for step in 0..16 {
                let angle = std::f64::consts::TAU * (f64::from(step) + 2.0) / 16.0;
                let (sin, cos) = angle.sin_cos();
                let reach = clear + 1.0 + 1.2 * f64::from(ring);
                let middle = at + V2::new(cos * (reach + 0.5 * width), sin * (reach + 0.5 * LETTERS));
                let text =
                    Lettering::level(middle - V2::new(0.0, 0.5 * LETTERS), LETTERS, Anchor::Middle, text);
                if free(&text.bounds()) {
                    best = Some((ring, middle, text));
                    break 'search;
                }
            }
        }
        let Some((ring, middle, text)) = best else { return };
        if ring > 2 {
            let way = (middle - at).normalize();
            let stop = text.bounds();
            let mut end = middle;
            while stop.contains(end) {
                end -= way * 0.2;
            }
            self.content.line(Layer::Dimension, at + way * clear, end);
        }
        self.content.texts.push(text);
    }
}

fn length(side: Margin, span: &Span) -> f64 {
    (side.along(span.ends[0]) - side.along(span.ends[1])).abs()
}

/// A distance in its row.
struct Placed {
    row: usize,
    /// Both ends along the side.
    ends: [f64; 2],
    /// Middle of the writing, and what it covers.
    text: f64,
    covers: [f64; 2],
}

impl Placed {
    fn new(side: Margin, span: &Span, row: usize, shift: f64) -> Self {
        let [a, b] = span.ends.map(|p| side.along(p));
        let text = 0.5 * (a + b) + shift;
        let half = 0.5 * lettering::width(&span.text, LETTERS) + GAP;
        Self { row, ends: [a.min(b), a.max(b)], text, covers: [text - half, text + half] }
    }

    /// What its line and its writing take of the row.
    fn takes(&self) -> [f64; 2] {
        let outside = if self.ends[1] - self.ends[0] < 3.0 * ARROW { 2.5 * ARROW } else { 0.0 };
        // Neighbours may share an end, as in a chain.
        [
            (self.ends[0] - outside).min(self.covers[0]) + SHARED,
            (self.ends[1] + outside).max(self.covers[1]) - SHARED,
        ]
    }

    /// Whether two disturb each other.
    fn meets(&self, other: &Self) -> bool {
        let [a, b] = [self.takes(), other.takes()];
        if self.row == other.row && a[0] < b[1] && b[0] < a[1] {
            return true;
        }
        let (inner, outer) = if self.row < other.row { (self, other) } else { (other, self) };
        // Extension lines of the outer one pass the inner one's row.
        inner.row < outer.row && outer.ends.iter().any(|e| inner.covers[0] < *e && *e < inner.covers[1])
    }
}

/// A row for each distance, so that none disturbs another: each takes the first room it finds, and one that finds none
/// makes those before it look further.
fn in_rows(side: Margin, spans: &[Span]) -> Vec<Placed> {
    let mut placed = Vec::new();
    let mut tries = 0;
    if fill_rows(side, spans, &mut placed, &mut tries) {
        return placed;
    }
    // Each in a row of its own, beyond all others.
    spans.iter().enumerate().map(|(k, span)| Placed::new(side, span, ROWS + k, 0.0)).collect()
}

fn fill_rows(side: Margin, spans: &[Span], placed: &mut Vec<Placed>, tries: &mut u32) -> bool {
    let Some(span) = spans.get(placed.len()) else { return true };
    for row in 0..spans.len().min(ROWS) {
        for shift in shifts(side, span) {
            *tries += 1;
            if *tries > MOST_TRIES {
                return false;
            }
            let new = Placed::new(side, span, row, shift);
            if placed.iter().any(|old| old.meets(&new)) {
                continue;
            }
            placed.push(new);
            if fill_rows(side, spans, placed, tries) {
                return true;
            }
            placed.pop();
        }
    }
    false
}

/// By how much writing may stand off the middle of its distance: not at all, a little, or beside it. Between extension lines that
/// stand nearer than it is wide it has no room.
fn shifts(side: Margin, span: &Span) -> impl Iterator<Item = f64> {
    let (length, width) = (length(side, span), lettering::width(&span.text, LETTERS));
    let is_wide = width > length;
    let beside = 0.5 * (length + width) + 2.0 * GAP + 2.5 * ARROW;
    let within = (0.5 * (length - width) - GAP).max(0.0);
    let all = [0.0, 0.5 * within, -0.5 * within, within, -within, beside, -beside];
    all.into_iter()
        .enumerate()
        .filter(move |(k, shift)| if *k == 0 { !is_wide } else { shift.abs() > 1e-9 })
        .map(|(_, shift)| shift)
}

/// A dimension in its row.
fn linear(side: Margin, span: &Span, out: f64, text: f64, factor: f64) -> SheetDimension {
    let [a, b] = span.ends.map(|p| side.along(p));
    let tips = [side.point(a, out), side.point(b, out)];
    let mut lines: Vec<Shape> = span
        .ends
        .iter()
        .zip(tips)
        .map(|(p, tip)| Shape::Line(p + side.out() * GAP, tip + side.out() * BEYOND))
        .collect();
    let along = (tips[1] - tips[0]).normalize();
    let inside = (b - a).abs() >= 3.0 * ARROW;
    let way = if inside { along } else { -along };
    let arrows = vec![arrow(tips[0], -way), arrow(tips[1], way)];
    let half = 0.5 * lettering::width(&span.text, LETTERS);
    let mut ends = [a.min(b), a.max(b)];
    if !inside {
        ends = [ends[0] - 2.0 * ARROW, ends[1] + 2.0 * ARROW];
    }
    // The line runs on under writing that stands beside it.
    if text - half < ends[0] || text + half > ends[1] {
        ends = [ends[0].min(text - half), ends[1].max(text + half)];
    }
    lines.push(Shape::Line(side.point(ends[0], out), side.point(ends[1], out)));
    let base = side.point(text, out);
    let upright = side.upright();
    let at = if upright { base - V2::new(LIFT, 0.0) } else { base + V2::new(0.0, LIFT) };
    let text = Lettering { at, height: LETTERS, upright, anchor: Anchor::Middle, text: span.text.clone() };
    let measured = DimensionKind::Linear { from: span.ends[0], to: span.ends[1], line: tips[0], upright };
    SheetDimension { measured, value: span.value, lines, arrows, text, factor }
}

/// An ordinate: a line out to the edge of the view, aside to its place, and its writing.
fn ordinate(side: Margin, origin: P2, stop: &Stop, place: f64, edge: f64, factor: f64) -> SheetDimension {
    let along = side.along(stop.at);
    let start = stop.at + side.out() * GAP;
    let knees =
        [side.point(along, edge + 6.0), side.point(place, edge + 11.0), side.point(place, edge + 13.0)];
    let lines = [start, knees[0], knees[1], knees[2]].windows(2).map(|w| Shape::Line(w[0], w[1])).collect();
    let (upright, anchor) = match side {
        Margin::Top => (true, Anchor::Start),
        Margin::Bottom => (true, Anchor::End),
        Margin::Left => (false, Anchor::End),
        Margin::Right => (false, Anchor::Start),
    };
    let foot = side.point(place, edge + 13.8);
    let half = 0.5 * LETTERS;
    let at = if upright { foot + V2::new(half, 0.0) } else { foot - V2::new(0.0, half) };
    let text = Lettering { at, height: LETTERS, upright, anchor, text: stop.text.clone() };
    let measured = DimensionKind::Ordinate { origin, feature: stop.at, end: knees[2], along_x: upright };
    SheetDimension { measured, value: stop.value, lines, arrows: vec![], text, factor }
}

/// An arrow whose tip is a point and which points in a direction.
pub fn arrow(tip: P2, way: V2) -> [P2; 3] {
    let way = way.try_normalize(1e-9).unwrap_or_else(V2::x);
    let across = V2::new(-way.y, way.x) * HALF_ARROW;
    let back = tip - way * ARROW;
    [tip, back + across, back - across]
}

/// Places as near as can be to the wanted ones, which rise, so that neighbours with these sizes do not overlap: groups that
/// would are put together about their common middle.
pub fn spread(wanted: &[f64], sizes: &[f64]) -> Vec<f64> {
    // Each group: wanted start summed over its members, members, and its size.
    let mut groups: Vec<(f64, f64, f64)> = Vec::new();
    for (want, size) in wanted.iter().zip(sizes) {
        groups.push((want - 0.5 * size, 1.0, *size));
        while let [.., a, b] = &mut groups[..] {
            if a.0 / a.1 + a.2 <= b.0 / b.1 {
                break;
            }
            *a = (a.0 + b.0 - a.2 * b.1, a.1 + b.1, a.2 + b.2);
            groups.pop();
        }
    }
    let mut out = Vec::with_capacity(wanted.len());
    let mut left = sizes.iter();
    for (sum, count, _) in groups {
        let mut at = sum / count;
        for size in left.by_ref().take(count as usize) {
            out.push(at + 0.5 * size);
            at += size;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Writing that is wider than its distance stands beside it, clear of the distance's own extension lines.
    #[test]
    fn wide_writing_stands_beside_a_short_distance() {
        for (length, beside) in [(3.6, true), (30.0, false)] {
            let ends = [P2::origin(), P2::new(length, 0.0)];
            let span = Span { ends, text: "7.2".to_owned(), value: 7.2 };
            let placed = in_rows(Margin::Bottom, &[span]);
            let [low, high] = placed[0].covers;
            assert_eq!(low > length || high < 0.0, beside, "{length} mm: {low} to {high}");
        }
    }

    #[test]
    fn places_are_spread_no_more_than_needed() {
        let places = spread(&[0.0, 1.0, 50.0], &[4.0, 4.0, 4.0]);
        assert_eq!(places, [-1.5, 2.5, 50.0], "two about their middle, one where it was");
        let many = spread(&[0.0; 9], &[2.0; 9]);
        assert!(many.windows(2).all(|w| (w[1] - w[0] - 2.0).abs() < 1e-9), "{many:?}");
        assert!((many[4]).abs() < 1e-9, "about the wanted place: {many:?}");
    }
}
