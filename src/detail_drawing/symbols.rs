//! Symbols of geometric tolerances and datums (ISO 1101, ISO 5459; ASME Y14.5 draws the same ones), drawn by lines.

use solidwright::geometry::{P2, V2};

use super::numbers::{diameter, length};
use crate::drafting::{
    Anchor, Arc, Entity, LETTERS, Layer, Lettering, Rect, Shape, SheetContent, arrow, width,
};
use crate::inspection::{GeometricTolerance, Material, ToleranceKind};
use crate::units::Units;

/// Height of a box of a tolerance, mm: about 1.6 times the capitals.
const BOX: f64 = 4.2;

/// Room beside writing in a box, mm.
const PAD: f64 = 0.8;

/// Boxes of a tolerance: kind, zone, datums. The lower left corner is the origin.
pub(super) fn tolerance(units: Units, t: &GeometricTolerance) -> SheetContent {
    let mut out = SheetContent::default();
    let x = boxed(&mut out, 0.0, BOX);
    symbol(&mut out, t.kind);
    let zone = if t.round { diameter(units, t.zone) } else { length(units, t.zone) };
    let mut x = match t.material {
        Material::Regardless => cell(&mut out, x, &zone),
        Material::Maximum => cell_at_maximum(&mut out, x, &zone),
    };
    for datum in t.datums {
        let letter = datum.datum.to_string();
        x = match datum.boundary {
            Material::Regardless => cell(&mut out, x, &letter),
            Material::Maximum => cell_at_maximum(&mut out, x, &letter),
        };
    }
    out
}

/// A characteristic's number in a circle, as the measuring sheet has it; the lower left corner is the origin.
pub(super) fn balloon(number: usize) -> SheetContent {
    let mut out = SheetContent::default();
    let centre = P2::new(0.5 * BOX, 0.5 * BOX);
    circle(&mut out, centre, 0.5 * BOX);
    let text = number.to_string();
    // Three digits are set smaller, so that none touches the circle.
    let height = if text.len() > 2 { 1.5 } else { 1.9 };
    out.texts.push(Lettering::level(centre - V2::new(0.0, 0.5 * height), height, Anchor::Middle, text));
    out
}

/// The box of a datum's letter, as it hangs on a dimension.
pub(super) fn datum(letter: &str) -> SheetContent {
    let mut out = SheetContent::default();
    let foot = P2::new(0.0, 0.5 * BOX);
    out.arrows.push([foot + V2::new(2.2, 0.0), foot + V2::new(0.0, 1.3), foot + V2::new(0.0, -1.3)]);
    out.line(Layer::Dimension, foot + V2::new(2.2, 0.0), foot + V2::new(4.0, 0.0));
    cell(&mut out, 4.0, letter);
    out
}

/// The symbol of a surface's texture where metal is taken off: a tick closed by a bar, the parameter under its line. Sizes for
/// letters of 2.5 mm by ISO 21920-1 (ASME Y14.36 draws the same one; proportions from memory): short leg 3.5 mm, long leg 7.5 mm.
pub(super) fn texture(parameter: &str) -> SheetContent {
    let (short, long) = (1.4 * LETTERS, 3.0 * LETTERS);
    let out = |height: f64| height / 60.0_f64.to_radians().tan();
    let foot = P2::new(out(short), 0.0);
    let mut symbol = SheetContent::default();
    let mut line = |a: [f64; 2], b: [f64; 2]| {
        symbol.line(Layer::Dimension, foot + V2::from(a), foot + V2::from(b));
    };
    line([0.0, 0.0], [-out(short), short]);
    line([0.0, 0.0], [out(long), long]);
    line([-out(short), short], [out(short), short]);
    line([out(long), long], [out(long) + width(parameter, LETTERS) + 2.0 * PAD, long]);
    let at = foot + V2::new(out(long) + PAD, long - LETTERS - PAD);
    symbol.texts.push(Lettering::level(at, LETTERS, Anchor::Start, parameter));
    symbol
}

/// Puts one beside the other.
pub(super) fn beside(mut left: SheetContent, right: SheetContent) -> SheetContent {
    let x = left.bounds().map_or(0.0, |b| b.high.x);
    left.put(right, V2::new(x, 0.0));
    left
}

/// A datum's triangle on a vertical line at a point, its box to the left of it.
pub(super) fn datum_left(at: P2, letter: &str) -> SheetContent {
    let mut out = SheetContent::default();
    out.arrows.push([at - V2::new(2.2, 0.0), at + V2::new(0.0, 1.3), at - V2::new(0.0, 1.3)]);
    let reach = width(letter, LETTERS) + 2.0 * PAD;
    out.line(Layer::Dimension, at - V2::new(2.2, 0.0), at - V2::new(6.0, 0.0));
    let mut inner = SheetContent::default();
    cell(&mut inner, 0.0, letter);
    out.put(inner, at.coords - V2::new(6.0 + reach.max(BOX), 0.5 * BOX));
    out
}

fn boxed(out: &mut SheetContent, x: f64, reach: f64) -> f64 {
    out.rectangle(Layer::Dimension, Rect::new(P2::new(x, 0.0), P2::new(x + reach, BOX)));
    x + reach
}

fn cell(out: &mut SheetContent, x: f64, text: &str) -> f64 {
    let reach = (width(text, LETTERS) + 2.0 * PAD).max(BOX);
    let end = boxed(out, x, reach);
    let at = P2::new(x + 0.5 * reach, 0.5 * (BOX - LETTERS));
    out.texts.push(Lettering::level(at, LETTERS, Anchor::Middle, text));
    end
}

/// A box with a zone or a datum, and the letter of the maximum material requirement in its circle.
fn cell_at_maximum(out: &mut SheetContent, x: f64, zone: &str) -> f64 {
    const CIRCLE: f64 = 1.7;
    let reach = width(zone, LETTERS);
    let end = boxed(out, x, reach + 2.0 * CIRCLE + 3.0 * PAD);
    let base = 0.5 * (BOX - LETTERS);
    out.texts.push(Lettering::level(P2::new(x + PAD, base), LETTERS, Anchor::Start, zone));
    let centre = P2::new(end - PAD - CIRCLE, 0.5 * BOX);
    circle(out, centre, CIRCLE);
    let height = 1.7;
    out.texts.push(Lettering::level(centre - V2::new(0.0, 0.5 * height), height, Anchor::Middle, "M"));
    end
}

fn symbol(out: &mut SheetContent, kind: ToleranceKind) {
    let c = P2::new(0.5 * BOX, 0.5 * BOX);
    let mut line = |a: [f64; 2], b: [f64; 2]| out.line(Layer::Dimension, c + V2::from(a), c + V2::from(b));
    match kind {
        ToleranceKind::Position => {
            line([-1.7, 0.0], [1.7, 0.0]);
            line([0.0, -1.7], [0.0, 1.7]);
            circle(out, c, 1.1);
        }
        ToleranceKind::Perpendicularity => {
            line([-1.4, -1.2], [1.4, -1.2]);
            line([0.0, -1.2], [0.0, 1.4]);
        }
        ToleranceKind::Coaxiality => {
            circle(out, c, 0.8);
            circle(out, c, 1.6);
        }
        ToleranceKind::Flatness => {
            let corners = [[-1.7, -0.8], [0.9, -0.8], [1.7, 0.8], [-0.9, 0.8]];
            (0..4).for_each(|k| line(corners[k], corners[(k + 1) % 4]));
        }
        ToleranceKind::Runout => {
            line([-1.4, -1.4], [1.3, 1.3]);
            out.arrows.push(arrow(c + V2::new(1.5, 1.5), V2::new(1.0, 1.0)));
        }
        ToleranceKind::Parallelism => {
            line([-1.4, -1.2], [0.2, 1.2]);
            line([-0.2, -1.2], [1.4, 1.2]);
        }
    }
}

fn circle(out: &mut SheetContent, centre: P2, radius: f64) {
    let shape = Shape::Arc(Arc { centre, radius, start: 0.0, end: std::f64::consts::TAU });
    out.entities.push(Entity { layer: Layer::Dimension, shape });
}

/// The symbol of the projection, as ISO 5456-2 draws it: a cone's stump from the side and from its end.
pub(super) fn projection(third_angle: bool) -> SheetContent {
    let mut out = SheetContent::default();
    let (round, side) = if third_angle { (3.5, 8.0) } else { (15.5, 1.0) };
    circle(&mut out, P2::new(round, 4.0), 1.5);
    circle(&mut out, P2::new(round, 4.0), 3.0);
    // The narrow end lies towards the view from that end in third angle, away from it in first angle.
    let corners = [[0.0, 2.5], [0.0, 5.5], [9.0, 7.0], [9.0, 1.0]].map(|[x, y]| P2::new(side + x, y));
    (0..4).for_each(|k| out.line(Layer::Visible, corners[k], corners[(k + 1) % 4]));
    out.line(Layer::Centre, P2::new(-0.5, 4.0), P2::new(20.0, 4.0));
    out
}
