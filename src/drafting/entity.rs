//! What stands on a sheet: plane shapes, each on a layer that says what it means.

use solidwright::geometry::{P2, V2};

/// What a line or a text on the sheet means. Width and dashes follow from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Visible outlines and edges.
    Visible,
    /// Visible borders of flat faces that run out in a rounding: imaginary intersections.
    Smooth,
    /// Outlines and edges behind material.
    Hidden,
    /// Axes and planes of symmetry.
    Centre,
    /// Contours of the finished part within what it is made from.
    Phantom,
    /// Hatching of cut material.
    Hatch,
    /// Lines and arrows of dimensions.
    Dimension,
    /// Writing.
    Text,
    /// Frame of the sheet and title block.
    Frame,
}

/// Wide or narrow, which ISO 128-2 sets at two to one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Outlines and the frame.
    Wide,
    /// All other lines.
    Narrow,
}

/// The pattern of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dashes {
    /// Continuous.
    None,
    /// Dashed.
    Dashed,
    /// Long dashes with dots between.
    LongDashDot,
    /// Long dashes with two dots between.
    LongDashDoubleDot,
}

/// How a layer's lines are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Wide or narrow.
    pub weight: Weight,
    /// The pattern.
    pub dashes: Dashes,
}

impl Layer {
    /// All layers, in the order in which they are drawn.
    pub const ALL: [Self; 9] = [
        Self::Hatch,
        Self::Smooth,
        Self::Hidden,
        Self::Phantom,
        Self::Centre,
        Self::Visible,
        Self::Dimension,
        Self::Frame,
        Self::Text,
    ];

    /// How the layer's lines are drawn, after ISO 128-2: outlines wide and continuous, hidden lines narrow and dashed, axes
    /// narrow with long dashes and dots, finished contours with two dots, the rest narrow and continuous. The frame is wide, as ISO 5457 asks.
    pub const fn stroke(self) -> Stroke {
        let (weight, dashes) = match self {
            Self::Visible | Self::Frame => (Weight::Wide, Dashes::None),
            Self::Hidden => (Weight::Narrow, Dashes::Dashed),
            Self::Centre => (Weight::Narrow, Dashes::LongDashDot),
            Self::Phantom => (Weight::Narrow, Dashes::LongDashDoubleDot),
            Self::Smooth | Self::Hatch | Self::Dimension | Self::Text => (Weight::Narrow, Dashes::None),
        };
        Stroke { weight, dashes }
    }
}

impl Weight {
    /// Width of the line, mm, in the line group of 0.5 mm of ISO 128-2.
    pub const fn width(self) -> f64 {
        match self {
            Self::Wide => 0.5,
            Self::Narrow => 0.25,
        }
    }
}

impl Dashes {
    /// Lengths of dash, gap, dash and so on in widths of the line, as ISO 128-2 lists them from memory: dashes of 12,
    /// long dashes of 24, dots of half a width, gaps of 3. Empty for a continuous line.
    pub const fn lengths(self) -> &'static [f64] {
        match self {
            Self::None => &[],
            Self::Dashed => &[12.0, 3.0],
            Self::LongDashDot => &[24.0, 3.0, 0.5, 3.0],
            Self::LongDashDoubleDot => &[24.0, 3.0, 0.5, 3.0, 0.5, 3.0],
        }
    }
}

/// A piece of a circle, anticlockwise from the start's angle to the end's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Middle.
    pub centre: P2,
    /// Radius, mm.
    pub radius: f64,
    /// Angle of the start from the sheet's x, radians.
    pub start: f64,
    /// Angle of the end, greater than the start's by at most a full turn.
    pub end: f64,
}

/// A piece of an ellipse, anticlockwise from the start's eccentric angle to the end's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipseArc {
    /// Middle.
    pub centre: P2,
    /// Half the major axis: its length and direction.
    pub major: V2,
    /// The minor axis as a share of the major one.
    pub ratio: f64,
    /// Eccentric angle of the start from the major axis, radians.
    pub start: f64,
    /// Eccentric angle of the end, greater than the start's by at most a full turn.
    pub end: f64,
}

/// A plane shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A straight line between two points.
    Line(P2, P2),
    /// A piece of a circle.
    Arc(Arc),
    /// A piece of an ellipse.
    Ellipse(EllipseArc),
    /// A chain of chords of a curve that is none of the above.
    Chain(Vec<P2>),
}

impl Shape {
    /// The point at a fraction of the shape's parameter, 0 the start and 1 the end. Of a chain the nearest corner; of an
    /// empty chain there is none.
    pub fn point(&self, fraction: f64) -> Option<P2> {
        let between = |start: f64, end: f64| (start + (end - start) * fraction).sin_cos();
        match self {
            Self::Line(a, b) => Some(a + (b - a) * fraction),
            Self::Arc(arc) => {
                let (sin, cos) = between(arc.start, arc.end);
                Some(arc.centre + V2::new(cos, sin) * arc.radius)
            }
            Self::Ellipse(e) => {
                let (sin, cos) = between(e.start, e.end);
                let minor = V2::new(-e.major.y, e.major.x) * e.ratio;
                Some(e.centre + e.major * cos + minor * sin)
            }
            Self::Chain(points) => {
                let last = points.len().checked_sub(1)?;
                let at = (fraction.clamp(0.0, 1.0) * last as f64).round() as usize;
                points.get(at).copied()
            }
        }
    }
}

impl Shape {
    /// The shape enlarged by a factor about the origin and then moved.
    #[must_use]
    pub fn placed(self, factor: f64, by: V2) -> Self {
        let at = |p: P2| P2::from(p.coords * factor + by);
        match self {
            Self::Line(a, b) => Self::Line(at(a), at(b)),
            Self::Arc(arc) => Self::Arc(Arc { centre: at(arc.centre), radius: arc.radius * factor, ..arc }),
            Self::Ellipse(e) => {
                Self::Ellipse(EllipseArc { centre: at(e.centre), major: e.major * factor, ..e })
            }
            Self::Chain(points) => Self::Chain(points.into_iter().map(at).collect()),
        }
    }

    /// The shape stretched along x about the origin: by a factor other than 1 curves become chains of chords.
    #[must_use]
    pub fn stretched(self, along: f64) -> Self {
        if (along - 1.0).abs() < f64::EPSILON {
            return self;
        }
        let at = |p: P2| P2::new(p.x * along, p.y);
        match self {
            Self::Line(a, b) => Self::Line(at(a), at(b)),
            curve => Self::Chain(super::page::corners(&curve).into_iter().map(at).collect()),
        }
    }
}

/// A shape on its layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Entity {
    /// What it means.
    pub layer: Layer,
    /// Where it runs.
    pub shape: Shape,
}
