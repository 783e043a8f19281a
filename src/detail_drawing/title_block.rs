//! The title block: fields as ISO 7200 asks for, in an arrangement of our own.

use solidwright::geometry::{P2, V2};

use super::Projection;
use super::symbols::projection;
use crate::design::Design;
use crate::drafting::{Anchor, Format, Layer, Lettering, Rect, SheetContent, SheetScale};

/// Its width, mm: ISO 7200 has 180 mm at most.
pub(super) const WIDTH: f64 = 170.0;

/// Width and height, mm.
pub(super) const SIZE: V2 = V2::new(WIDTH, 44.0);

/// Heights of captions, of values, and of the part's name, mm.
const SMALL: f64 = 1.8;
const VALUE: f64 = 2.5;
const NAME: f64 = 5.0;

/// What the block tells of the sheet.
pub(super) struct Told<'a> {
    pub(super) form: &'a str,
    pub(super) format: Format,
    pub(super) scale: SheetScale,
    pub(super) projection: Projection,
    pub(super) source: &'a str,
    /// Of what the part is made, and its mass, kg; nothing for what its maker chooses the material of.
    pub(super) made_of: Option<(&'a str, f64)>,
}

/// The block; its lower left corner is the origin.
pub(super) fn title_block(design: &Design, told: &Told) -> SheetContent {
    let mut out = SheetContent::default();
    out.rectangle(Layer::Frame, Rect::new(P2::origin(), P2::from(SIZE)));
    let scale = format!("{}:{}", told.scale.paper, told.scale.part);
    let (material, mass) = match told.made_of {
        Some((material, mass)) => (material.to_owned(), design.units().mass(mass)),
        None => ("by agreement with its maker".to_owned(), "–".to_owned()),
    };
    let fields = [
        (0.0, 0.0, 60.0, "material", material),
        (60.0, 0.0, 30.0, "mass", mass),
        (90.0, 0.0, 22.0, "scale", scale),
        (112.0, 0.0, 22.0, "sheet", name(told.format).to_owned()),
        (134.0, 0.0, 36.0, "lengths in", design.units().words().to_owned()),
        (0.0, 11.0, 134.0, "made from", told.source.to_owned()),
        (0.0, 22.0, 112.0, "drawing of", told.form.to_owned()),
        (112.0, 22.0, 58.0, "state", state(design).to_owned()),
    ];
    for (x, y, reach, caption, value) in fields {
        let corner = P2::new(x, y);
        out.rectangle(Layer::Dimension, Rect::new(corner, corner + V2::new(reach, 11.0)));
        let caption_at = corner + V2::new(1.5, 7.8);
        out.texts.push(Lettering::level(caption_at, SMALL, Anchor::Start, caption));
        out.texts.push(fitted(corner + V2::new(1.5, 2.6), VALUE, reach - 3.0, &value));
    }
    out.rectangle(Layer::Dimension, Rect::new(P2::new(134.0, 11.0), P2::new(170.0, 22.0)));
    out.put(projection(told.projection == Projection::Third), V2::new(141.0, 12.5));
    out.texts.push(fitted(P2::new(1.5, 35.5), NAME, SIZE.x - 3.0, design.name()));
    out
}

/// Whether the numbers are somebody's, and that nothing is approved.
fn state(design: &Design) -> &'static str {
    if design.invented() { "INVENTED, not certified" } else { "not certified" }
}

/// A text, smaller where it would be too wide.
fn fitted(at: P2, height: f64, reach: f64, text: &str) -> Lettering {
    let whole = Lettering::level(at, height, Anchor::Start, text);
    let width = whole.width();
    if width <= reach { whole } else { Lettering { height: height * reach / width, ..whole } }
}

/// What a sheet is called.
pub(super) const fn name(format: Format) -> &'static str {
    match format {
        Format::A4 => "ISO A4",
        Format::A3 => "ISO A3",
        Format::A2 => "ISO A2",
        Format::A1 => "ISO A1",
        Format::A0 => "ISO A0",
        Format::AsmeA => "ASME A",
        Format::AsmeB => "ASME B",
        Format::AsmeC => "ASME C",
        Format::AsmeD => "ASME D",
        Format::AsmeE => "ASME E",
    }
}
