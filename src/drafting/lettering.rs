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

/// Signs whose widths are looked up once: Latin letters with their marks, digits, common signs. Laying out a sheet asks for widths of
/// some hundred thousand signs, and each answer of the font is a search of its tables.
const COMMON: usize = 0x250;

/// Width of a sign in units of the font.
fn advance(sign: char) -> f64 {
    static KNOWN: OnceLock<Vec<f64>> = OnceLock::new();
    let ask = |sign: char| {
        let known = face().and_then(|face| face.glyph_hor_advance(face.glyph_index(sign)?));
        f64::from(known.unwrap_or(600))
    };
    let common = || (0..COMMON as u32).filter_map(char::from_u32).map(ask).collect();
    KNOWN.get_or_init(common).get(sign as usize).copied().unwrap_or_else(|| ask(sign))
}

/// The width of a text whose capitals are this high, mm.
pub fn width(text: &str, height: f64) -> f64 {
    let Some(face) = face() else { return 0.6 * height * text.chars().count() as f64 };
    let units: f64 = text.chars().map(advance).sum();
    units / f64::from(face.units_per_em()) * font_size(height)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may")]

    use super::*;

    /// The font itself is asked, sign by sign, beyond those that are looked up once too.
    #[test]
    fn widths_are_those_of_the_font() {
        let face = face().unwrap();
        let text = "Ø 12,5 ±0.05 × 45° – Maß µm ⌀ Ω ≤ ∥";
        let known =
            |sign: char| face.glyph_index(sign).and_then(|g| face.glyph_hor_advance(g)).unwrap_or(600);
        let units: f64 = text.chars().map(|sign| f64::from(known(sign))).sum();
        let wanted = units / f64::from(face.units_per_em()) * font_size(3.5);
        assert!((width(text, 3.5) - wanted).abs() < 1e-9, "{text}: {wanted} mm");
    }
}
