//! The outline of the shift-box pad's face: a rounded rectangle or a free polygon.

use super::pads::{Position, Rectangle, rectangle};
use super::polygon::{PolygonCorner, border, depth_inside};
use crate::params::schema;
use crate::units::Mm;

/// Outline of a pad's face, around its centre.
#[derive(Debug, Clone, PartialEq)]
pub enum PadFace {
    /// A rounded rectangle.
    Rectangle(Rectangle),
    /// Corners (along, across) with their radii, in mm.
    Polygon(Vec<PolygonCorner>),
}

/// How far a face reaches from its centre, front, rear, left and right of it; all signed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extent {
    pub(super) along: (Mm, Mm),
    pub(super) across: (Mm, Mm),
}

impl PadFace {
    /// The outline of a pad, if it is valid.
    pub(super) fn of(pad: &schema::RawShiftBoxPad) -> Option<Self> {
        match &pad.outline {
            Some(outline) => rectangle(outline).map(Self::Rectangle),
            None => corners(pad).filter(|corners| corners.len() > 2).map(Self::Polygon),
        }
    }

    /// Its length along the shaft.
    pub fn length(&self) -> Mm {
        let (front, rear) = self.extent().along;
        rear - front
    }

    /// How far it reaches.
    pub(super) fn extent(&self) -> Extent {
        match self {
            Self::Rectangle(rectangle) => Extent::of_rectangle(*rectangle),
            Self::Polygon(corners) => {
                let range = |k: usize| {
                    let values = corners.iter().map(|(at, _)| at[k]);
                    let least = values.clone().fold(f64::INFINITY, f64::min);
                    (Mm::new(least), Mm::new(values.fold(f64::NEG_INFINITY, f64::max)))
                };
                Extent { along: range(0), across: range(1) }
            }
        }
    }

    /// How far a point lies inside it; negative outside. `None` when the corners do not fit.
    pub(super) fn depth_inside(&self, at: Position) -> Option<Mm> {
        match self {
            Self::Rectangle(rectangle) => Some(rectangle.depth_inside(at)),
            Self::Polygon(corners) => {
                let border = border(corners)?;
                Some(Mm::new(depth_inside(&border, [at.along.get(), at.across.get()])))
            }
        }
    }
}

impl Extent {
    pub(super) fn of_rectangle(rectangle: Rectangle) -> Self {
        let (length, width) = (rectangle.length / 2.0, rectangle.width / 2.0);
        Self { along: (-length, length), across: (-width, width) }
    }
}

/// The corners of a pad's polygon, if all are valid.
pub(super) fn corners(pad: &schema::RawShiftBoxPad) -> Option<Vec<PolygonCorner>> {
    let corner = |item: &schema::RawPolygonCorner| {
        Some(([item.along.get()?.get(), item.across.get()?.get()], item.radius.get()?.get()))
    };
    pad.polygon.items.iter().map(corner).collect()
}
