//! A document as PDF (ISO 32000-1, version 1.7): text that can be selected and searched, fonts embedded, no clock and no
//! random numbers, so that equal documents give equal bytes.
//!
//! Does not promise: tags for readers of screens; the page of HTML is made for them.

pub(crate) mod font;
mod layout;
mod png;
mod strips;
mod table;
mod text;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::Predictor;
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use font::{Fonts, Used, Weight};
use layout::{Layout, NOTE};
use png::Png;
use strips::{Frame, Item, pages};

use super::Document;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// Margins at the sides, at the top, and at the foot, where the page's number stands, points.
const SIDES: f64 = 48.0;
const TOP: f64 = 46.0;
const FOOT: f64 = 58.0;

/// From the lower edge of the paper to the last line, points.
const LAST_LINE: f64 = 30.0;

/// Why a document has no PDF.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// A font of this program cannot be read.
    #[error("the font: {0}")]
    Font(String),
}

/// The file.
///
/// # Errors
/// [`PdfError::Font`].
pub fn bytes(document: &Document) -> Result<Vec<u8>, PdfError> {
    let fonts = Fonts::get()?;
    // On paper keys stand without their backticks.
    let document = &document.with_texts(&|text| fonts.printable(&text.replace('`', "")));
    let size = document.paper.size().map(|length| length.get() * POINTS);
    let frame = Frame { left: SIDES, top: TOP, width: size[0] - 2.0 * SIDES, height: size[1] - TOP - FOOT };
    let layout = Layout::of(document, fonts, frame.width);
    let mut pages = pages(&layout.strips, frame);
    number(&mut pages, document, fonts, size);
    File { size, pages: &pages, pictures: &layout.pictures, title: &document.title }.written(fonts)
}

/// Adds the last line of each page: where the document comes from, and the page's number.
fn number(pages: &mut [Vec<Item>], document: &Document, fonts: &Fonts, size: [f64; 2]) {
    let count = pages.len();
    let y = size[1] - LAST_LINE;
    for (k, page) in pages.iter_mut().enumerate() {
        let text = format!("page {} of {count}", k + 1);
        let right = size[0] - SIDES - fonts.width(NOTE.weight, &text) * NOTE.size;
        let foot = text::lines(fonts, NOTE.weight, &document.foot, (right - SIDES - 12.0) / NOTE.size);
        let above = layout::leading(NOTE.size) * foot.len().saturating_sub(1) as f64;
        page.extend(foot.into_iter().enumerate().map(|(line, text)| Item::Text {
            at: [SIDES, y - above + layout::leading(NOTE.size) * line as f64],
            style: NOTE,
            text,
        }));
        page.push(Item::Text { at: [right, y], style: NOTE, text });
    }
}

/// Bytes compressed for a stream.
pub(crate) fn deflated(bytes: &[u8]) -> Vec<u8> {
    const LEVEL: u8 = 6;
    compress_to_vec_zlib(bytes, LEVEL)
}

/// Pages to be written.
struct File<'a> {
    size: [f64; 2],
    pages: &'a [Vec<Item>],
    pictures: &'a [Png<'a>],
    title: &'a str,
}

/// The numbers of a file's objects.
struct Numbers {
    last: i32,
}

impl Numbers {
    fn next(&mut self) -> Ref {
        self.last += 1;
        Ref::new(self.last)
    }

    fn some<const N: usize>(&mut self) -> [Ref; N] {
        std::array::from_fn(|_| self.next())
    }

    fn many(&mut self, count: usize) -> Vec<Ref> {
        (0..count).map(|_| self.next()).collect()
    }
}

impl File<'_> {
    fn written(&self, fonts: &Fonts) -> Result<Vec<u8>, PdfError> {
        let mut numbers = Numbers { last: 0 };
        let [catalog, tree, info] = numbers.some();
        let own: [[Ref; 5]; 2] = [numbers.some(), numbers.some()];
        let pictures = numbers.many(self.pictures.len());
        let (pages, contents) = (numbers.many(self.pages.len()), numbers.many(self.pages.len()));
        let mut pdf = Pdf::new();
        let mut root = pdf.catalog(catalog);
        root.pages(tree).lang(TextStr("en"));
        root.viewer_preferences().display_doc_title(true);
        root.finish();
        pdf.document_info(info).title(TextStr(self.title)).creator(TextStr("tailpattern"));
        pdf.pages(tree).kids(pages.iter().copied()).count(self.pages.len() as i32);
        let mut used = Weight::ALL.map(|weight| Used::new(fonts, weight));
        for ((items, page), content) in self.pages.iter().zip(&pages).zip(&contents) {
            self.page(&mut pdf, *page, tree, *content, own.map(|ids| ids[0]), &pictures);
            let drawn = self.drawn(items, &mut used);
            pdf.stream(*content, &deflated(&drawn)).filter(Filter::FlateDecode);
        }
        for (used, ids) in used.iter().zip(own) {
            used.embed(&mut pdf, ids)?;
        }
        self.pictures.iter().zip(&pictures).for_each(|(png, id)| image(&mut pdf, *id, png));
        Ok(pdf.finish())
    }

    fn page(&self, pdf: &mut Pdf, page: Ref, tree: Ref, content: Ref, fonts: [Ref; 2], pictures: &[Ref]) {
        let [width, height] = self.size.map(|x| x as f32);
        let mut written = pdf.page(page);
        written.parent(tree).media_box(Rect::new(0.0, 0.0, width, height)).contents(content);
        let mut resources = written.resources();
        let mut named = resources.fonts();
        for (weight, id) in Weight::ALL.into_iter().zip(fonts) {
            named.pair(weight.resource(), id);
        }
        named.finish();
        let mut named = resources.x_objects();
        for (k, id) in pictures.iter().enumerate() {
            named.pair(Name(picture_name(k).as_bytes()), *id);
        }
    }

    /// The operators that draw a page.
    fn drawn(&self, items: &[Item], used: &mut [Used; 2]) -> Vec<u8> {
        let mut content = Content::new();
        // Grounds lie behind everything.
        let is_fill = |item: &&Item| matches!(item, Item::Fill { .. });
        for item in items.iter().filter(is_fill).chain(items.iter().filter(|i| !is_fill(i))) {
            match item {
                Item::Fill { at, size, colour: [r, g, b] } => {
                    let [x, y, width, height] =
                        [at[0], self.size[1] - at[1] - size[1], size[0], size[1]].map(|x| x as f32);
                    content.set_fill_rgb(*r, *g, *b).rect(x, y, width, height).fill_nonzero();
                }
                Item::Text { at, style, text } => {
                    let [r, g, b] = style.colour;
                    let [x, y, size] = [at[0], self.size[1] - at[1], style.size].map(|x| x as f32);
                    let encoded = used[style.weight as usize].encoded(text);
                    content.begin_text().set_fill_rgb(r, g, b).set_font(style.weight.resource(), size);
                    content.next_line(x, y).show(Str(&encoded)).end_text();
                }
                Item::Image { at, size, number } => {
                    let [x, y, width, height] =
                        [at[0], self.size[1] - at[1] - size[1], size[0], size[1]].map(|x| x as f32);
                    content.save_state().transform([width, 0.0, 0.0, height, x, y]);
                    content.x_object(Name(picture_name(*number).as_bytes())).restore_state();
                }
            }
        }
        content.finish().to_vec()
    }
}

fn picture_name(number: usize) -> String {
    format!("P{number}")
}

/// A picture as its PNG has it.
fn image(pdf: &mut Pdf, id: Ref, png: &Png) {
    let mut image = pdf.image_xobject(id, &png.rows);
    image.filter(Filter::FlateDecode);
    image.width(png.width as i32).height(png.height as i32);
    image.color_space().device_rgb();
    image.bits_per_component(8);
    let mut rows = image.decode_parms();
    rows.predictor(Predictor::PngOptimum).colors(3).bits_per_component(8).columns(png.width as i32);
}
