//! A sheet as PDF of one page at its true size, with the program's font embedded.

use pdf_writer::{Content as Stream, Filter, Finish, Pdf, Rect, Ref, Str, TextStr};
use solidwright::geometry::{P2, V2};

use crate::drafting::{Anchor, Arc, EllipseArc, Layer, Page, Shape, fitted_dashes, font_size};
use crate::report::document::pdf::PdfError;
use crate::report::document::pdf::deflated;
use crate::report::document::pdf::font::{Fonts, Used, Weight};

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// The longest piece of an arc drawn as one cubic, radians: off by less than a ten-thousandth of the radius at a
/// quarter turn (the usual approximation).
const PIECE: f64 = 0.8;

/// The file.
///
/// # Errors
/// [`PdfError::Font`].
pub(super) fn pdf(page: &Page) -> Result<Vec<u8>, PdfError> {
    let fonts = Fonts::get()?;
    let mut used = Used::new(fonts, Weight::Regular);
    let stream = drawn(page, fonts, &mut used);
    let [catalog, pages, leaf, content, info] = [1, 2, 3, 4, 5].map(Ref::new);
    let font = [6, 7, 8, 9, 10].map(Ref::new);
    let mut out = Pdf::new();
    out.set_version(1, 7);
    out.catalog(catalog).pages(pages);
    out.pages(pages).kids([leaf]).count(1);
    let size = page.format.size() * POINTS;
    let mut written = out.page(leaf);
    written.parent(pages).media_box(Rect::new(0.0, 0.0, size.x as f32, size.y as f32)).contents(content);
    written.resources().fonts().pair(Weight::Regular.resource(), font[0]);
    written.finish();
    out.stream(content, &deflated(&stream)).filter(Filter::FlateDecode);
    out.document_info(info).title(TextStr(&page.title)).creator(TextStr("tailpattern"));
    used.embed(&mut out, font)?;
    Ok(out.finish())
}

fn points(x: f64) -> f32 {
    // A tenth of a micrometre is enough, and keeps the file short.
    ((x * POINTS * 1e4).round() / 1e4) as f32
}

fn drawn(page: &Page, fonts: &Fonts, used: &mut Used) -> Vec<u8> {
    let mut out = Stream::new();
    out.set_line_cap(pdf_writer::types::LineCapStyle::RoundCap);
    for layer in Layer::ALL {
        let stroke = layer.stroke();
        out.set_line_width(points(stroke.weight.width()));
        let dashes = stroke.dashes.lengths().iter().map(|share| points(share * stroke.weight.width()));
        out.set_dash_pattern(dashes, 0.0);
        for (_, shape) in page.content.shapes().filter(|(on, _)| *on == layer) {
            if let Some(dashes) = fitted_dashes(layer, shape) {
                out.set_dash_pattern(dashes.map(points), 0.0);
            }
            path(&mut out, shape);
            out.stroke();
        }
    }
    for [a, b, c] in page.content.all_arrows() {
        out.move_to(points(a.x), points(a.y));
        out.line_to(points(b.x), points(b.y));
        out.line_to(points(c.x), points(c.y));
        out.close_path();
        out.fill_nonzero();
    }
    for text in page.content.writing() {
        let said = fonts.printable(&text.text);
        let size = font_size(text.height);
        let width = fonts.width(Weight::Regular, &said) * size;
        let back = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5 * width,
            Anchor::End => width,
        };
        let (along, up) = if text.upright { (V2::y(), -V2::x()) } else { (V2::x(), V2::y()) };
        let at = text.at - along * back;
        out.begin_text();
        out.set_font(Weight::Regular.resource(), points(size));
        let turn = [along.x, along.y, up.x, up.y].map(|x| x as f32);
        out.set_text_matrix([turn[0], turn[1], turn[2], turn[3], points(at.x), points(at.y)]);
        out.show(Str(&used.encoded(&said)));
        out.end_text();
    }
    out.finish().to_vec()
}

/// A shape as a path.
fn path(out: &mut Stream, shape: &Shape) {
    match shape {
        Shape::Line(a, b) => {
            out.move_to(points(a.x), points(a.y));
            out.line_to(points(b.x), points(b.y));
        }
        Shape::Chain(chain) => {
            for (k, p) in chain.iter().enumerate() {
                if k == 0 {
                    out.move_to(points(p.x), points(p.y))
                } else {
                    out.line_to(points(p.x), points(p.y))
                };
            }
        }
        Shape::Arc(Arc { centre, radius, start, end }) => {
            turned(out, *centre, [V2::x() * *radius, V2::y() * *radius], (*start, *end));
        }
        Shape::Ellipse(EllipseArc { centre, major, ratio, start, end }) => {
            turned(out, *centre, [*major, V2::new(-major.y, major.x) * *ratio], (*start, *end));
        }
    }
}

/// The curve `centre + a cos t + b sin t` as cubics: control points a third of the tangent of the quarter piece away.
fn turned(out: &mut Stream, centre: P2, [a, b]: [V2; 2], (start, end): (f64, f64)) {
    let count = ((end - start) / PIECE).ceil().max(1.0);
    let step = (end - start) / count;
    let reach = 4.0 / 3.0 * (0.25 * step).tan();
    let jet = |t: f64| {
        let (sin, cos) = t.sin_cos();
        (centre + a * cos + b * sin, b * cos - a * sin)
    };
    let (mut p, mut d) = jet(start);
    out.move_to(points(p.x), points(p.y));
    for k in 1..=count as u32 {
        let (q, e) = jet(start + step * f64::from(k));
        let (c1, c2) = (p + d * reach, q - e * reach);
        out.cubic_to(points(c1.x), points(c1.y), points(c2.x), points(c2.y), points(q.x), points(q.y));
        (p, d) = (q, e);
    }
}
