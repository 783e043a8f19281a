//! Widths of texts on a sheet, in the font in which all of the program's files are set.

use std::sync::OnceLock;

use ttf_parser::Face;

/// Height of capitals of the font in its size, where the font itself does not tell.
const CAPITALS: f64 = 0.729;

/// Name of the font in files that do not hold it.
pub(super) const FAMILY: &str = "DejaVu Sans Condensed";

fn face() -> Option<&'static Face<'static>> {
    static FACE: OnceLock<Option<Face<'static>>> = OnceLock::new();
    FACE.get_or_init(|| Face::parse(dejavu::sans_condensed::regular(), 0).ok()).as_ref()
}

/// The size of the font whose capitals are this high.
pub fn font_size(height: f64) -> f64 {
    let share = face().and_then(|f| Some(f64::from(f.capital_height()?) / f64::from(f.units_per_em())));
    height / share.unwrap_or(CAPITALS)
}

/// The width of a text whose capitals are this high, mm.
pub fn width(text: &str, height: f64) -> f64 {
    let Some(face) = face() else { return 0.6 * height * text.chars().count() as f64 };
    let advance = |sign: char| face.glyph_index(sign).and_then(|g| face.glyph_hor_advance(g)).unwrap_or(600);
    let units: f64 = text.chars().map(|sign| f64::from(advance(sign))).sum();
    units / f64::from(face.units_per_em()) * font_size(height)
}
