//! Sheets and scales: trimmed sizes, frames, and the largest standard scale at which views fit.

use solidwright::geometry::{P2, V2};

use super::entity::{Entity, Layer, Shape};
use crate::units::MM_PER_INCH;

/// Whose sheets are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standard {
    /// ISO 5457, A4 to A0.
    Iso,
    /// ASME Y14.1, A to E.
    Asme,
}

/// The size of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// ISO A4, upright: the only one of ISO 5457 that is.
    A4,
    /// ISO A3.
    A3,
    /// ISO A2.
    A2,
    /// ISO A1.
    A1,
    /// ISO A0.
    A0,
    /// ASME A, 11 by 8.5 in.
    AsmeA,
    /// ASME B, 17 by 11 in.
    AsmeB,
    /// ASME C, 22 by 17 in.
    AsmeC,
    /// ASME D, 34 by 22 in.
    AsmeD,
    /// ASME E, 44 by 34 in.
    AsmeE,
}

impl Standard {
    /// The standard's sheets, the smallest first.
    pub const fn formats(self) -> [Format; 5] {
        match self {
            Self::Iso => [Format::A4, Format::A3, Format::A2, Format::A1, Format::A0],
            Self::Asme => [Format::AsmeA, Format::AsmeB, Format::AsmeC, Format::AsmeD, Format::AsmeE],
        }
    }
}

impl Format {
    /// Width and height of the trimmed sheet, mm.
    pub fn size(self) -> V2 {
        match self {
            Self::A4 => V2::new(210.0, 297.0),
            Self::A3 => V2::new(420.0, 297.0),
            Self::A2 => V2::new(594.0, 420.0),
            Self::A1 => V2::new(841.0, 594.0),
            Self::A0 => V2::new(1189.0, 841.0),
            Self::AsmeA => V2::new(11.0, 8.5) * MM_PER_INCH,
            Self::AsmeB => V2::new(17.0, 11.0) * MM_PER_INCH,
            Self::AsmeC => V2::new(22.0, 17.0) * MM_PER_INCH,
            Self::AsmeD => V2::new(34.0, 22.0) * MM_PER_INCH,
            Self::AsmeE => V2::new(44.0, 34.0) * MM_PER_INCH,
        }
    }

    /// Lower left and upper right corner of the drawing space, mm: within borders of 10 mm, and 20 mm on the left for
    /// filing (ISO 5457). The sheets of ASME get the same borders.
    pub fn space(self) -> (P2, P2) {
        let size = self.size();
        (P2::new(20.0, 10.0), P2::new(size.x - 10.0, size.y - 10.0))
    }
}

/// A scale of ISO 5455: length on paper to length of the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetScale {
    /// Length on paper.
    pub paper: u32,
    /// Length of the part.
    pub part: u32,
}

impl SheetScale {
    /// The scales of ISO 5455 that a housing may need, the largest first.
    pub const ALL: [Self; 9] = [
        Self { paper: 10, part: 1 },
        Self { paper: 5, part: 1 },
        Self { paper: 2, part: 1 },
        Self { paper: 1, part: 1 },
        Self { paper: 1, part: 2 },
        Self { paper: 1, part: 5 },
        Self { paper: 1, part: 10 },
        Self { paper: 1, part: 20 },
        Self { paper: 1, part: 50 },
    ];

    /// So many steps larger, where there is such a scale.
    pub fn larger(self, steps: usize) -> Option<Self> {
        let own = Self::ALL.iter().position(|s| *s == self)?;
        Self::ALL.get(own.checked_sub(steps)?).copied()
    }

    /// So many steps smaller, where there is such a scale.
    pub fn smaller(self, steps: usize) -> Option<Self> {
        let own = Self::ALL.iter().position(|s| *s == self)?;
        Self::ALL.get(own + steps).copied()
    }

    /// As sheets write it.
    pub fn text(self) -> String {
        format!("{}:{}", self.paper, self.part)
    }

    /// The factor from the part to paper.
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.part)
    }
}

/// A sheet with the scale of its main views.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Its size.
    pub format: Format,
    /// The scale of the main views.
    pub scale: SheetScale,
}

impl Sheet {
    /// The smallest sheet on which views fit at no less than a scale, with the largest scale that fits on it.
    /// `views` is width and height that the views take together on the part, mm; `beside` what dimensions, tables and the
    /// title block take on paper besides, mm, whatever the scale. None where not even the largest sheet will do.
    pub fn choose(standard: Standard, views: V2, beside: V2, least: SheetScale) -> Option<Self> {
        let fits = |format: Format, scale: SheetScale| {
            let (low, high) = format.space();
            let need = views * scale.factor() + beside;
            need.x <= high.x - low.x && need.y <= high.y - low.y
        };
        standard.formats().into_iter().find_map(|format| {
            let scale = SheetScale::ALL.into_iter().find(|scale| fits(format, *scale))?;
            (scale.factor() >= least.factor()).then_some(Self { format, scale })
        })
    }

    /// The frame around the drawing space.
    pub fn frame(self) -> Vec<Entity> {
        let (low, high) = self.format.space();
        let corners = [low, P2::new(high.x, low.y), high, P2::new(low.x, high.y)];
        let side =
            |k: usize| Entity { layer: Layer::Frame, shape: Shape::Line(corners[k], corners[(k + 1) % 4]) };
        (0..4).map(side).collect()
    }
}
