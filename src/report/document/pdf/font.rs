//! The font: widths of texts, and the part of it that a file uses.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId};

use super::{PdfError, deflated};

/// Which of the two fonts a text is set in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    /// Running text.
    Regular,
    /// Headings, and what needs attention.
    Bold,
}

impl Weight {
    /// Both, in the order of their numbers.
    pub(crate) const ALL: [Self; 2] = [Self::Regular, Self::Bold];

    /// Its name in the resources of a page.
    pub(crate) const fn resource(self) -> Name<'static> {
        match self {
            Self::Regular => Name(b"R"),
            Self::Bold => Name(b"B"),
        }
    }

    /// Its name with a prefix that says that it is a part of a font (ISO 32000-1, 9.6.4).
    const fn subset_name(self) -> &'static [u8] {
        match self {
            Self::Regular => b"TAILPA+DejaVuSansCondensed",
            Self::Bold => b"TAILPB+DejaVuSansCondensed-Bold",
        }
    }

    fn data(self) -> &'static [u8] {
        match self {
            Self::Regular => dejavu::sans_condensed::regular(),
            Self::Bold => dejavu::sans_condensed::bold(),
        }
    }
}

/// Both fonts, for measuring.
pub(crate) struct Fonts(Vec<Font>);

/// A font, with glyph and width of its Latin signs at hand; widths count in the size of the font.
struct Font {
    face: Face<'static>,
    latin: [(GlyphId, f64); LATIN],
}

/// How many signs are at hand: those of the first two blocks of Unicode.
const LATIN: usize = 256;

impl Fonts {
    /// The fonts of this program, read once.
    pub(crate) fn get() -> Result<&'static Self, PdfError> {
        static FONTS: OnceLock<Result<Fonts, String>> = OnceLock::new();
        let read = |w: Weight| Face::parse(w.data(), 0).map(Font::new).map_err(|e| e.to_string());
        let fonts =
            FONTS.get_or_init(|| Weight::ALL.into_iter().map(read).collect::<Result<_, _>>().map(Fonts));
        fonts.as_ref().map_err(|why| PdfError::Font(why.clone()))
    }

    fn font(&self, weight: Weight) -> &Font {
        &self.0[weight as usize]
    }

    /// A text of which both fonts have all signs: of others the number in Unicode stands in brackets, so that whoever reads
    /// or copies it still knows them.
    pub(crate) fn printable(&self, text: &str) -> String {
        let has =
            |sign: char| sign.is_whitespace() || self.0.iter().all(|font| font.sign(sign).0 != GlyphId(0));
        let mut out = String::with_capacity(text.len());
        for sign in text.chars() {
            if has(sign) {
                out.push(sign);
            } else {
                out.push_str(&format!("[U+{:04X}]", u32::from(sign)));
            }
        }
        out
    }

    /// The width of a text, in its size.
    pub(crate) fn width(&self, weight: Weight, text: &str) -> f64 {
        text.chars().map(|sign| self.font(weight).sign(sign).1).sum()
    }
}

impl Font {
    fn new(face: Face<'static>) -> Self {
        let latin = std::array::from_fn(|k| looked_up(&face, char::from(k as u8)));
        Self { face, latin }
    }

    /// Glyph and width of a sign.
    fn sign(&self, sign: char) -> (GlyphId, f64) {
        self.latin.get(sign as usize).copied().unwrap_or_else(|| looked_up(&self.face, sign))
    }
}

/// Glyph and width of a sign; those of the empty box where the font has none.
fn looked_up(face: &Face, sign: char) -> (GlyphId, f64) {
    let glyph = face.glyph_index(sign).unwrap_or(GlyphId(0));
    let width = face.glyph_hor_advance(glyph).unwrap_or(0);
    (glyph, f64::from(width) / f64::from(face.units_per_em()))
}

/// The signs of one font that a file uses.
pub(crate) struct Used<'a> {
    weight: Weight,
    font: &'a Font,
    glyphs: GlyphRemapper,
    signs: BTreeMap<u16, char>,
}

impl<'a> Used<'a> {
    /// None of them yet.
    pub(crate) fn new(fonts: &'a Fonts, weight: Weight) -> Self {
        let font = fonts.font(weight);
        Self { weight, font, glyphs: GlyphRemapper::new(), signs: BTreeMap::new() }
    }

    /// A text as two bytes a sign, the numbers of its glyphs in the part of the font.
    pub(crate) fn encoded(&mut self, text: &str) -> Vec<u8> {
        let mut number = |sign: char| {
            let number = self.glyphs.remap(self.font.sign(sign).0.0);
            self.signs.entry(number).or_insert(sign);
            number.to_be_bytes()
        };
        text.chars().flat_map(&mut number).collect()
    }

    /// Writes the part of the font that was used as the objects `ids`, the font itself first.
    pub(crate) fn embed(&self, pdf: &mut Pdf, ids: [Ref; 5]) -> Result<(), PdfError> {
        let [font, cid, descriptor, file, cmap] = ids;
        let name = Name(self.weight.subset_name());
        let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        pdf.type0_font(font)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(cmap);
        let mut written = pdf.cid_font(cid);
        written.subtype(CidFontType::Type2).base_font(name).system_info(system).font_descriptor(descriptor);
        written.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        written.widths().consecutive(0, self.widths());
        written.finish();
        self.describe(pdf, descriptor, file);
        let part = subsetter::subset(self.weight.data(), 0, &self.glyphs);
        let part = part.map_err(|e| PdfError::Font(e.to_string()))?;
        pdf.stream(file, &deflated(&part)).filter(Filter::FlateDecode);
        let mut signs = UnicodeCmap::new(name, system);
        self.signs.iter().for_each(|(number, sign)| signs.pair(*number, *sign));
        pdf.stream(cmap, &deflated(&signs.finish())).filter(Filter::FlateDecode);
        Ok(())
    }

    /// A length of the font in thousandths of its size.
    fn thousandths(&self, length: impl Into<f32>) -> f32 {
        length.into() * 1000.0 / f32::from(self.font.face.units_per_em())
    }

    fn widths(&self) -> Vec<f32> {
        let width = |old| self.thousandths(self.font.face.glyph_hor_advance(GlyphId(old)).unwrap_or(0));
        self.glyphs.remapped_gids().map(width).collect()
    }

    fn describe(&self, pdf: &mut Pdf, descriptor: Ref, file: Ref) {
        let face = &self.font.face;
        let bounds = face.global_bounding_box();
        let [left, low, right, high] =
            [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(|x| self.thousandths(x));
        let capital = self.thousandths(face.capital_height().unwrap_or(face.ascender()));
        // ISO 32000-1, table 123: a font of signs beyond the standard Latin ones counts as symbolic.
        pdf.font_descriptor(descriptor)
            .name(Name(self.weight.subset_name()))
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(left, low, right, high))
            .italic_angle(0.0)
            .ascent(self.thousandths(face.ascender()))
            .descent(self.thousandths(face.descender()))
            .cap_height(capital)
            .stem_v(if self.weight == Weight::Bold { 140.0 } else { 80.0 })
            .font_file2(file);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The font has Latin, Greek and Cyrillic (its own list of blocks), but no Chinese: each sign without a glyph is told by its
    /// number, so that two of them are never one.
    #[test]
    fn signs_without_a_glyph_are_told_by_their_numbers() {
        let fonts = Fonts::get().expect("the fonts");
        let told = fonts.printable("Ø 12 ± 0.1 µm, Ж 部 変");
        assert_eq!(told, "Ø 12 ± 0.1 µm, Ж [U+90E8] [U+5909]", "as it is printed");
        assert_eq!(fonts.printable(&told), told, "nothing is left without a glyph");
    }
}
