//! Plots of a sweep's summary, each as SVG and PNG, with a font that is part of the program: the same bytes on every
//! machine.

mod front;
mod map;
mod margins;
mod spots;

use std::sync::Once;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::{FontStyle, register_font};

use crate::sweep::answers::Answers;
use crate::sweep::axis::Axis;
use crate::sweep::row::RowVerdict;

pub use spots::Spot;
pub(super) use spots::with_spots;

/// Size of a plot, pixels.
const SIZE: (u32, u32) = (960, 640);

/// The font's name; programs without this font replace it by a similar one.
const FONT: &str = "sans-serif";

/// Colours that people with any kind of colour vision can tell apart (Okabe, Ito, *Color Universal Design*, 2002).
const COLOURS: [RGBColor; 6] = [
    RGBColor(0, 114, 178),
    RGBColor(230, 159, 0),
    RGBColor(0, 158, 115),
    RGBColor(204, 121, 167),
    RGBColor(86, 180, 233),
    RGBColor(90, 90, 90),
];

/// Limits, and what lies beyond them.
const LIMIT: RGBColor = RGBColor(190, 40, 20);
const BEYOND: RGBColor = RGBColor(250, 228, 222);
const INK: RGBColor = RGBColor(40, 40, 40);
const FAINT: RGBColor = RGBColor(225, 225, 225);

/// Why a plot cannot be drawn.
#[derive(Debug, thiserror::Error)]
pub enum PlotError {
    /// The drawing.
    #[error("a plot cannot be drawn: {0}")]
    Draw(String),
    /// The encoder.
    #[error("a plot cannot be encoded: {0}")]
    Encode(#[from] png::EncodingError),
}

/// A plot.
#[derive(Clone, Debug)]
pub struct Plot {
    /// Name of its files, without ending.
    pub stem: String,
    /// What it shows, in a sentence.
    pub caption: String,
    /// As SVG.
    pub svg: String,
    /// As PNG.
    pub png: Vec<u8>,
    /// Places that stand for rows.
    pub spots: Vec<Spot>,
}

/// The error of a drawing on any surface.
type Drawn = Result<(), String>;

/// A drawing on any surface.
trait Figure {
    /// Draws it, and tells which places stand for rows.
    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Result<Vec<Spot>, String>;
}

/// All plots of a sweep: margins along each axis, maps of two axes, the front.
///
/// # Errors
/// If one cannot be drawn.
pub fn plots(answers: &Answers) -> Result<Vec<Plot>, PlotError> {
    static FONT_ONCE: Once = Once::new();
    // If the font is damaged, drawing reports it.
    FONT_ONCE.call_once(|| drop(register_font(FONT, FontStyle::Normal, dejavu::sans::regular())));
    let mut out = Vec::new();
    for bins in &answers.ranges {
        for forms in [false, true] {
            let others = answers.axes.len() > 1;
            let figure = margins::Margins { bins, moving: &answers.moving, others, forms };
            if figure.is_worth_drawing() {
                let of = if forms { "forms-margins" } else { "margins" };
                out.push(plot(format!("{of}-{}", stem(&bins.axis)), figure.caption(), &figure)?);
            }
        }
    }
    for one in &answers.maps {
        let figure =
            map::Feasible { map: one, axes: &answers.axes, sampled: !answers.identity["sample"].is_null() };
        let [a, b] = one.axes.map(|k| stem(&answers.axes[k]));
        out.push(plot(format!("map-{a}-{b}"), figure.caption(), &figure)?);
    }
    if answers.points.len() > 1 {
        let figure = front::Trade { answers };
        out.push(plot("front".to_owned(), figure.caption(), &figure)?);
    }
    Ok(out)
}

fn plot(stem: String, caption: String, figure: &impl Figure) -> Result<Plot, PlotError> {
    let mut svg = String::new();
    let spots = {
        let area = SVGBackend::with_string(&mut svg, SIZE).into_drawing_area();
        finish(&area, figure).map_err(PlotError::Draw)?
    };
    let (width, height) = SIZE;
    let mut pixels = vec![0; width as usize * height as usize * 3];
    {
        let area = BitMapBackend::with_buffer(&mut pixels, SIZE).into_drawing_area();
        finish(&area, figure).map_err(PlotError::Draw)?;
    }
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&pixels)?;
    writer.finish()?;
    Ok(Plot { stem, caption, svg, png: bytes, spots })
}

fn finish<B: DrawingBackend>(
    area: &DrawingArea<B, Shift>,
    figure: &impl Figure,
) -> Result<Vec<Spot>, String> {
    area.fill(&WHITE).map_err(|e| e.to_string())?;
    let spots = figure.draw(area)?;
    area.present().map_err(|e| e.to_string())?;
    Ok(spots)
}

/// A key as part of a file's name.
fn stem(axis: &Axis) -> String {
    axis.key.text().chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect()
}

/// A key with the unit of its values.
fn label(axis: &Axis) -> String {
    if axis.shown.is_empty() {
        axis.key.text().to_owned()
    } else {
        format!("{}, {}", axis.key.text(), axis.shown)
    }
}

/// Text of a size in pixels.
fn text(size: u32) -> TextStyle<'static> {
    (FONT, size).into_font().color(&INK)
}

/// A number for a tick, without meaningless digits.
fn tick(x: f64, span: f64) -> String {
    let decimals = (2.0 - span.abs().max(1e-9).log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{x:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.replace('-', "\u{2212}") }
}

/// A range with some room at both ends.
fn roomy(low: f64, high: f64, share: f64) -> (f64, f64) {
    let span = high - low;
    let room = if span > 0.0 { span * share } else { low.abs().max(1.0) * 0.05 };
    (low - room, high + room)
}

/// The colour of a verdict.
fn colour(verdict: RowVerdict) -> RGBColor {
    match verdict {
        RowVerdict::Pass => RGBColor(0, 158, 115),
        RowVerdict::Warn => RGBColor(150, 205, 150),
        RowVerdict::Unchecked => RGBColor(86, 180, 233),
        RowVerdict::Fail => RGBColor(213, 94, 0),
        RowVerdict::Refused => RGBColor(190, 190, 190),
        RowVerdict::Impossible => RGBColor(110, 110, 110),
        RowVerdict::ProgramFault => RGBColor(204, 121, 167),
    }
}

/// One entry of a legend: its colour and words.
type Entry = (RGBColor, String);

/// A legend in two columns along the lower edge of an area.
fn legend<B: DrawingBackend>(area: &DrawingArea<B, Shift>, entries: &[Entry]) -> Drawn {
    const LINE: i32 = 22;
    let (width, _) = area.dim_in_pixel();
    for (k, (colour, words)) in entries.iter().enumerate() {
        let (column, line) = (k as i32 % 2, k as i32 / 2);
        let (x, y) = (60 + column * (width as i32 - 70) / 2, 4 + line * LINE);
        let swatch = Rectangle::new([(x, y + 4), (x + 20, y + 12)], colour.filled());
        area.draw(&swatch).map_err(|e| e.to_string())?;
        area.draw_text(&shortened(words, 56), &text(15), (x + 28, y)).map_err(|e| e.to_string())?;
    }
    Ok(())
}

/// Height of a legend with this number of entries, pixels.
fn legend_height(entries: usize) -> u32 {
    entries.div_ceil(2) as u32 * 22 + 10
}

fn shortened(words: &str, most: usize) -> String {
    if words.chars().count() <= most {
        return words.to_owned();
    }
    let kept: String = words.chars().take(most - 1).collect();
    format!("{kept}\u{2026}")
}
