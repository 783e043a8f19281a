//! A sheet as an SVG file of its true size: arcs of circles and ellipses stay such.

use std::f64::consts::PI;
use std::fmt::Write as _;

use solidwright::geometry::P2;

use super::dashes::fitted_dashes;
use super::entity::{Entity, Layer, Shape};
use super::lettering::{FAMILY, font_size};
use super::page::{Anchor, Lettering, Page};
use super::paper::Format;
use crate::words::fixed;

/// Decimals of coordinates: a tenth of a micrometre on paper.
const DECIMALS: usize = 4;

/// A whole sheet. Equal input gives equal text.
pub fn page_svg(page: &Page) -> String {
    let shapes = page.content.shapes().map(|(layer, shape)| Entity { layer, shape: shape.clone() });
    let mut out = svg(page.format, &shapes.collect::<Vec<_>>());
    let height = page.format.size().y;
    out.truncate(out.len() - END.len());
    out.push_str("<g id=\"arrows\" fill=\"black\">\n");
    for [a, b, c] in page.content.all_arrows() {
        let [a, b, c] = [a, b, c].map(|p| at(*p, height));
        let _done = writeln!(out, "<path d=\"M{a}L{b}L{c}Z\"/>");
    }
    let _done = writeln!(
        out,
        "</g>\n<g id=\"writing\" font-family=\"{FAMILY}, DejaVu Sans, sans-serif\" fill=\"black\">"
    );
    page.content.writing().for_each(|text| put_text(&mut out, text, height));
    out.push_str("</g>\n");
    out.push_str(END);
    out
}

/// The last line of a file.
const END: &str = "</svg>\n";

fn put_text(out: &mut String, text: &Lettering, height: f64) {
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let (x, y) = (number(text.at.x), number(height - text.at.y));
    let turn = if text.upright { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let said = text.text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    let _done = writeln!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" text-anchor=\"{anchor}\"{turn}>{said}</text>",
        number(font_size(text.height))
    );
}

/// The lines alone. Shapes are in millimetres of paper. Equal input gives equal text.
pub fn svg(format: Format, entities: &[Entity]) -> String {
    let size = format.size();
    let (width, height) = (number(size.x), number(size.y));
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"white\"/>\n"
    );
    for layer in Layer::ALL {
        let on_layer: Vec<&Entity> = entities.iter().filter(|e| e.layer == layer).collect();
        if !on_layer.is_empty() {
            put_layer(&mut out, layer, &on_layer, size.y);
        }
    }
    out.push_str(END);
    out
}

/// The name under which a layer stands in a file.
pub(super) const fn name(layer: Layer) -> &'static str {
    match layer {
        Layer::Visible => "visible",
        Layer::Smooth => "smooth",
        Layer::Hidden => "hidden",
        Layer::Centre => "centre",
        Layer::Phantom => "phantom",
        Layer::Hatch => "hatch",
        Layer::Dimension => "dimension",
        Layer::Text => "text",
        Layer::Frame => "frame",
    }
}

fn put_layer(out: &mut String, layer: Layer, entities: &[&Entity], height: f64) {
    let stroke = layer.stroke();
    let width = stroke.weight.width();
    let dashes: Vec<String> = stroke.dashes.lengths().iter().map(|share| number(share * width)).collect();
    let pattern =
        if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
    // Writing to a string cannot fail.
    let _done = writeln!(
        out,
        "<g id=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"{}\" stroke-linecap=\"round\"{pattern}>",
        name(layer),
        number(width)
    );
    for entity in entities {
        if let Some(path) = path(&entity.shape, height) {
            let own = fitted_dashes(layer, &entity.shape).map_or_else(String::new, |[dash, gap]| {
                format!(" stroke-dasharray=\"{} {}\"", number(dash), number(gap))
            });
            let _done = writeln!(out, "<path d=\"{path}\"{own}/>");
        }
    }
    out.push_str("</g>\n");
}

fn number(value: f64) -> String {
    let text = fixed(value, DECIMALS);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A point with y downwards, as the file counts it.
fn at(p: P2, height: f64) -> String {
    format!("{} {}", number(p.x), number(height - p.y))
}

/// The path of a shape; none for an empty chain.
fn path(shape: &Shape, height: f64) -> Option<String> {
    match shape {
        Shape::Line(a, b) => Some(format!("M{}L{}", at(*a, height), at(*b, height))),
        Shape::Arc(arc) => turned(shape, [arc.radius; 2], 0.0, arc.end - arc.start, height),
        Shape::Ellipse(e) => {
            let major = e.major.norm();
            // The file's y points down: angles change their sign.
            let lean = -e.major.y.atan2(e.major.x).to_degrees();
            turned(shape, [major, major * e.ratio], lean, e.end - e.start, height)
        }
        Shape::Chain(points) => {
            let mut points = points.iter();
            let first = at(*points.next()?, height);
            let rest = points.map(|p| format!("L{}", at(*p, height)));
            Some(rest.fold(format!("M{first}"), |path, to| path + &to))
        }
    }
}

/// An arc in one piece or, where it is not well below half a turn, in three: the file tells an arc by its ends, which fall
/// together in a full turn. Anticlockwise on the sheet is sweep 0 in the file.
fn turned(shape: &Shape, [rx, ry]: [f64; 2], lean: f64, sweep: f64, height: f64) -> Option<String> {
    let pieces: &[f64] = if sweep < 0.9 * PI { &[1.0] } else { &[1.0 / 3.0, 2.0 / 3.0, 1.0] };
    let mut out = format!("M{}", at(shape.point(0.0)?, height));
    for fraction in pieces {
        let to = at(shape.point(*fraction)?, height);
        let _done = write!(out, "A{} {} {} 0 0 {to}", number(rx), number(ry), number(lean));
    }
    Some(out)
}
