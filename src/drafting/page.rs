//! A whole sheet as data: lines, writing and dimensions at their places on paper.

use solidwright::geometry::{P2, V2};

use super::entity::{Entity, Layer, Shape};
use super::lettering;
use super::paper::{Format, SheetScale};

/// An upright rectangle, mm of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Lower left corner.
    pub low: P2,
    /// Upper right corner.
    pub high: P2,
}

impl Rect {
    /// Between two opposite corners.
    pub fn new(a: P2, b: P2) -> Self {
        Self { low: P2::new(a.x.min(b.x), a.y.min(b.y)), high: P2::new(a.x.max(b.x), a.y.max(b.y)) }
    }

    /// Around points; none where there are none.
    pub fn around(points: impl IntoIterator<Item = P2>) -> Option<Self> {
        points.into_iter().map(|p| Self::new(p, p)).reduce(Self::union)
    }

    /// Around two.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self {
            low: P2::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: P2::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }

    /// Larger by a margin on all sides.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        let by = V2::new(by, by);
        Self { low: self.low - by, high: self.high + by }
    }

    /// Moved.
    #[must_use]
    pub fn moved(self, by: V2) -> Self {
        Self { low: self.low + by, high: self.high + by }
    }

    /// Width and height.
    pub fn size(&self) -> V2 {
        self.high - self.low
    }

    /// Whether two have area in common.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.low.x < other.high.x
            && other.low.x < self.high.x
            && self.low.y < other.high.y
            && other.low.y < self.high.y
    }

    /// Whether a point lies inside.
    pub fn contains(&self, p: P2) -> bool {
        self.low.x < p.x && p.x < self.high.x && self.low.y < p.y && p.y < self.high.y
    }

    /// Whether a line passes through (Liang and Barsky's clipping).
    pub fn is_crossed(&self, a: P2, b: P2) -> bool {
        let d = b - a;
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, run, low, high) in
            [(a.x, d.x, self.low.x, self.high.x), (a.y, d.y, self.low.y, self.high.y)]
        {
            if run == 0.0 {
                if start <= low || start >= high {
                    return false;
                }
                continue;
            }
            let (s, t) = ((low - start) / run, (high - start) / run);
            from = from.max(s.min(t));
            to = to.min(s.max(t));
        }
        from < to
    }
}

/// Which end of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The beginning.
    Start,
    /// The middle.
    Middle,
    /// The end.
    End,
}

/// A line of writing.
#[derive(Clone, Debug, PartialEq)]
pub struct Lettering {
    /// Where its base line has its anchor.
    pub at: P2,
    /// Height of capitals, mm.
    pub height: f64,
    /// Whether it runs upwards, to be read from the right.
    pub upright: bool,
    /// What of it stands there.
    pub anchor: Anchor,
    /// What it says.
    pub text: String,
}

impl Lettering {
    /// A level text.
    pub fn level(at: P2, height: f64, anchor: Anchor, text: impl Into<String>) -> Self {
        Self { at, height, upright: false, anchor, text: text.into() }
    }

    /// Its width, mm.
    pub fn width(&self) -> f64 {
        lettering::width(&self.text, self.height)
    }

    /// The rectangle that its capitals fill, with what hangs below the base line.
    pub fn bounds(&self) -> Rect {
        let width = self.width();
        let start = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -0.5 * width,
            Anchor::End => -width,
        };
        let (low, high) = (-0.25 * self.height, 1.05 * self.height);
        if self.upright {
            Rect::new(self.at + V2::new(-high, start), self.at + V2::new(-low, start + width))
        } else {
            Rect::new(self.at + V2::new(start, low), self.at + V2::new(start + width, high))
        }
    }

    /// Moved.
    #[must_use]
    pub fn moved(self, by: V2) -> Self {
        Self { at: self.at + by, ..self }
    }
}

/// What a dimension measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DimensionKind {
    /// The distance between two points, across or upwards on paper; `line` is a point of the dimension line.
    Linear {
        /// The first point.
        from: P2,
        /// The second one.
        to: P2,
        /// A point of the dimension line.
        line: P2,
        /// Whether the dimension line stands upright.
        upright: bool,
    },
    /// How far a point lies from an origin, to the right or upwards on paper; `end` is where its writing stands.
    Ordinate {
        /// Where counting starts.
        origin: P2,
        /// The point.
        feature: P2,
        /// End of the line that leads to the writing.
        end: P2,
        /// Whether it counts to the right.
        along_x: bool,
    },
    /// The angle between two lines.
    Angular {
        /// Where they cross.
        vertex: P2,
        /// A point of each, anticlockwise.
        on: [P2; 2],
        /// A point of the arc between them.
        arc: P2,
    },
}

/// A dimension with its lines and its writing.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetDimension {
    /// What it measures.
    pub measured: DimensionKind,
    /// The length on the part, mm; of an angle, radians.
    pub value: f64,
    /// Its lines.
    pub lines: Vec<Shape>,
    /// Its arrows: tips and both corners behind.
    pub arrows: Vec<[P2; 3]>,
    /// What it says.
    pub text: Lettering,
    /// The scale of its view: paper to part.
    pub factor: f64,
}

impl SheetDimension {
    fn moved(mut self, by: V2) -> Self {
        self.measured = match self.measured {
            DimensionKind::Linear { from, to, line, upright } => {
                DimensionKind::Linear { from: from + by, to: to + by, line: line + by, upright }
            }
            DimensionKind::Ordinate { origin, feature, end, along_x } => {
                DimensionKind::Ordinate { origin: origin + by, feature: feature + by, end: end + by, along_x }
            }
            DimensionKind::Angular { vertex, on, arc } => {
                DimensionKind::Angular { vertex: vertex + by, on: on.map(|p| p + by), arc: arc + by }
            }
        };
        self.lines = self.lines.into_iter().map(|s| s.placed(1.0, by)).collect();
        self.arrows = self.arrows.into_iter().map(|a| a.map(|p| p + by)).collect();
        self.text = self.text.moved(by);
        self
    }
}

/// What stands on paper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetContent {
    /// Lines that are no part of a dimension.
    pub entities: Vec<Entity>,
    /// Filled arrows and triangles.
    pub arrows: Vec<[P2; 3]>,
    /// Writing.
    pub texts: Vec<Lettering>,
    /// Dimensions.
    pub dimensions: Vec<SheetDimension>,
}

impl SheetContent {
    /// Adds a line.
    pub fn line(&mut self, layer: Layer, a: P2, b: P2) {
        self.entities.push(Entity { layer, shape: Shape::Line(a, b) });
    }

    /// Adds the four sides of a rectangle.
    pub fn rectangle(&mut self, layer: Layer, r: Rect) {
        let corners = [r.low, P2::new(r.high.x, r.low.y), r.high, P2::new(r.low.x, r.high.y)];
        (0..4).for_each(|k| self.line(layer, corners[k], corners[(k + 1) % 4]));
    }

    /// Adds all of another, moved.
    pub fn put(&mut self, other: Self, by: V2) {
        let moved = |e: Entity| Entity { layer: e.layer, shape: e.shape.placed(1.0, by) };
        self.entities.extend(other.entities.into_iter().map(moved));
        self.arrows.extend(other.arrows.into_iter().map(|a| a.map(|p| p + by)));
        self.texts.extend(other.texts.into_iter().map(|t| t.moved(by)));
        self.dimensions.extend(other.dimensions.into_iter().map(|d| d.moved(by)));
    }

    /// All writing, that of dimensions too.
    pub fn writing(&self) -> impl Iterator<Item = &Lettering> {
        self.texts.iter().chain(self.dimensions.iter().map(|d| &d.text))
    }

    /// All shapes with their layers.
    pub fn shapes(&self) -> impl Iterator<Item = (Layer, &Shape)> {
        let own = self.entities.iter().map(|e| (e.layer, &e.shape));
        own.chain(self.dimensions.iter().flat_map(|d| d.lines.iter().map(|s| (Layer::Dimension, s))))
    }

    /// All arrows.
    pub fn all_arrows(&self) -> impl Iterator<Item = &[P2; 3]> {
        self.arrows.iter().chain(self.dimensions.iter().flat_map(|d| &d.arrows))
    }

    /// The rectangle around everything; none where there is nothing.
    pub fn bounds(&self) -> Option<Rect> {
        let shapes = self.shapes().filter_map(|(_, shape)| bounds(shape));
        shapes.chain(self.writing().map(Lettering::bounds)).reduce(Rect::union)
    }
}

/// The rectangle around a shape.
pub fn bounds(shape: &Shape) -> Option<Rect> {
    match shape {
        Shape::Line(a, b) => Some(Rect::new(*a, *b)),
        Shape::Chain(points) => Rect::around(points.iter().copied()),
        Shape::Arc(_) | Shape::Ellipse(_) => {
            Rect::around((0..=64).filter_map(|k| shape.point(f64::from(k) / 64.0)))
        }
    }
}

/// A shape as corners of chords.
pub(super) fn corners(shape: &Shape) -> Vec<P2> {
    match shape {
        Shape::Line(a, b) => vec![*a, *b],
        Shape::Chain(points) => points.clone(),
        Shape::Arc(_) | Shape::Ellipse(_) => {
            (0..=48).filter_map(|k| shape.point(f64::from(k) / 48.0)).collect()
        }
    }
}

/// A shape as chords, for asking what it meets.
pub fn chords(shape: &Shape) -> Vec<(P2, P2)> {
    corners(shape).windows(2).map(|w| (w[0], w[1])).collect()
}

/// A sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Its size.
    pub format: Format,
    /// The scale of its main views.
    pub scale: SheetScale,
    /// What it is called.
    pub title: String,
    /// What stands on it.
    pub content: SheetContent,
}

/// Something on a sheet that a reader would stumble over.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Flaw {
    /// Two texts lie on each other.
    #[error("`{0}` lies on `{1}`")]
    TextOnText(String, String),
    /// A line runs through a text.
    #[error("a line of the layer {1:?} runs through `{0}`")]
    LineThroughText(String, Layer),
    /// Something lies outside the frame.
    #[error("`{0}` lies outside the frame")]
    Outside(String),
}

/// How far into a text's rectangle a line or another text may reach before it counts, mm.
const TOUCH: f64 = 0.15;

impl Page {
    /// What lies on each other, or outside the frame.
    pub fn flaws(&self) -> Vec<Flaw> {
        let texts: Vec<(&Lettering, Rect)> =
            self.content.writing().map(|t| (t, t.bounds().grown(-TOUCH))).collect();
        let lines: Vec<(Layer, P2, P2)> = self
            .content
            .shapes()
            .flat_map(|(layer, shape)| chords(shape).into_iter().map(move |(a, b)| (layer, a, b)))
            .collect();
        let (low, high) = self.format.space();
        let space = Rect::new(low, high).grown(TOUCH);
        let mut out = Vec::new();
        for (k, (text, bounds)) in texts.iter().enumerate() {
            let others = texts[k + 1..].iter().filter(|(_, other)| other.overlaps(bounds));
            out.extend(others.map(|(other, _)| Flaw::TextOnText(text.text.clone(), other.text.clone())));
            let through = lines.iter().find(|(_, a, b)| bounds.is_crossed(*a, *b));
            out.extend(through.map(|(layer, ..)| Flaw::LineThroughText(text.text.clone(), *layer)));
            if bounds.union(space) != space {
                out.push(Flaw::Outside(text.text.clone()));
            }
        }
        let off = lines.iter().find(|(_, a, b)| !space.contains(*a) || !space.contains(*b));
        out.extend(off.map(|(layer, ..)| Flaw::Outside(format!("{layer:?}"))));
        out
    }
}
