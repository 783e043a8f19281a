//! Values as a drawing has them: in the file's unit, as the sheet's standard writes them.

use solidwright::geometry::P2;

use crate::drafting::{Span, Stop};
use crate::units::{Deg, Mm, Units};
use crate::words::fixed;

/// A length: millimetres to a ten-thousandth, as parameter files have them, without needless zeros (ISO 129-1); inches to a
/// ten-thousandth without the zero before the point (ASME Y14.5), at least three places.
pub(super) fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => plain(mm, 4),
        Units::Inch => inches(mm, 3),
    }
}

/// A limit of size, or a size with limits: inches with all places, since both limits and the size have the same number of them
/// (ASME Y14.5); millimetres as ever.
pub(super) fn limit(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => plain(mm, 4),
        Units::Inch => inches(mm, 4),
    }
}

/// Inches to a ten-thousandth, at least so many places, without the zero before the point.
fn inches(mm: f64, least: usize) -> String {
    without_nought(&trimmed(&fixed(Mm::new(mm).to_inches(), 4), least))
}

/// A decimal number without the zero before its point.
fn without_nought(text: &str) -> String {
    let (sign, size) = text.strip_prefix('-').map_or(("", text), |size| ("-", size));
    let size = size.strip_prefix('0').filter(|rest| rest.starts_with('.')).unwrap_or(size);
    let sign = if is_zero(size) { "" } else { sign };
    format!("{sign}{size}")
}

/// A length of what is cast, which is not known to more than a hundredth of a millimetre or a thousandth of an inch.
pub(super) fn as_cast(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => plain(mm, 2),
        Units::Inch => without_nought(&fixed(Mm::new(mm).to_inches(), 3)),
    }
}

fn is_zero(text: &str) -> bool {
    text.chars().all(|c| c == '0' || c == '.')
}

/// Roughness, given in micrometres, as it stands in its symbol: micro-inches on sheets in inches, rounded to whole ones. The unit
/// is not written there.
pub(super) fn roughness(units: Units, micrometres: f64) -> String {
    match units {
        Units::Mm => plain(micrometres, 2),
        Units::Inch => plain(1000.0 * Mm::new(micrometres).to_inches(), 0),
    }
}

/// An angle, with the sign of degrees.
pub(super) fn degrees(angle: Deg) -> String {
    format!("{}°", plain(angle.get(), 2))
}

/// A number of at most so many decimals, without needless zeros.
pub(super) fn plain(value: f64, places: usize) -> String {
    trimmed(&fixed(value, places), 0)
}

/// A text of decimals without zeros at its end, but with at least some places.
fn trimmed(text: &str, least: usize) -> String {
    let Some((whole, places)) = text.split_once('.') else { return text.to_owned() };
    let kept = places.trim_end_matches('0').len().max(least);
    let out = if kept == 0 { whole.to_owned() } else { format!("{whole}.{}", &places[..kept]) };
    if out == "-0" { "0".to_owned() } else { out }
}

/// A diameter.
pub(super) fn diameter(units: Units, mm: f64) -> String {
    format!("Ø{}", length(units, mm))
}

/// A diameter that has limits.
pub(super) fn limited_diameter(units: Units, mm: f64) -> String {
    format!("Ø{}", limit(units, mm))
}

/// Deviations from a nominal size: upper/lower, with their signs. Nought has none in millimetres (ISO 129-1); in inches it has
/// the other one's opposite (ASME Y14.5).
pub(super) fn deviations(units: Units, nominal: Mm, [least, greatest]: [Mm; 2]) -> String {
    let one = |size: Mm, of_nought: &str| {
        let text = limit(units, (size - nominal).get());
        match units {
            _ if text.starts_with('-') => text,
            Units::Mm if is_zero(&text) => text,
            Units::Inch if is_zero(&text) => format!("{of_nought}{text}"),
            Units::Mm | Units::Inch => format!("+{text}"),
        }
    };
    format!("{}/{}", one(greatest, "+"), one(least, "-"))
}

/// A distance between two points of a view.
pub(super) fn span(units: Units, ends: [P2; 2], value: f64) -> Span {
    Span { ends, text: length(units, value), value }
}

/// A diameter between two points of a view.
pub(super) fn round_span(units: Units, ends: [P2; 2], value: f64) -> Span {
    Span { ends, text: diameter(units, value), value }
}

/// A point of a view, counted from its origin.
pub(super) fn stop(units: Units, at: P2, value: f64) -> Stop {
    Stop { at, text: length(units, value), value }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 129-1 writes 12.5 and 0.25; ASME Y14.5 writes .25 for inches (both from memory).
    #[test]
    fn lengths_as_the_standards_write_them() {
        let mm = [12.5, 340.0, 0.25, -4.7625, 0.0].map(|x| length(Units::Mm, x));
        assert_eq!(mm, ["12.5", "340", "0.25", "-4.7625", "0"]);
        let inch = [6.35, 25.4, -12.7].map(|x| length(Units::Inch, x));
        assert_eq!(inch, [".250", "1.000", "-.500"]);
        // 2 27/32 in and 1 1/32 in: halves of the fourth place go up.
        let halves = [2.843_75, 1.031_25, -1.031_25].map(|x| length(Units::Inch, Mm::inches(x).get()));
        assert_eq!(halves, ["2.8438", "1.0313", "-1.0313"]);
        // 1.9375 in, rounded once: by way of 49.21 mm it would be 1.937.
        assert_eq!([Units::Mm, Units::Inch].map(|u| as_cast(u, 49.2125)), ["49.21", "1.938"]);
    }

    /// H7 at 50 mm: +0.025 and 0 (ISO 286-2, table for H, 30 to 50 mm).
    #[test]
    fn deviations_carry_their_signs() {
        let nominal = Mm::new(50.0);
        let text = deviations(Units::Mm, nominal, [nominal, Mm::new(50.025)]);
        assert_eq!(text, "+0.025/0");
        assert_eq!(deviations(Units::Mm, nominal, [Mm::new(49.975), nominal]), "0/-0.025");
    }

    /// ASME Y14.5: size and both limits have the same number of places, and nought carries the sign opposite to the other
    /// limit's (from memory).
    #[test]
    fn limits_in_inches_have_the_same_places() {
        let [nominal, wide] = [1.9375, 1.9385].map(Mm::inches);
        assert_eq!(limited_diameter(Units::Inch, nominal.get()), "Ø1.9375");
        assert_eq!(limited_diameter(Units::Inch, Mm::inches(5.75).get()), "Ø5.7500");
        assert_eq!(deviations(Units::Inch, nominal, [nominal, wide]), "+.0010/-.0000");
        assert_eq!(deviations(Units::Inch, wide, [nominal, wide]), "+.0000/-.0010");
        assert_eq!(deviations(Units::Inch, nominal, [nominal - Mm::new(1e-9), wide]), "+.0010/-.0000");
    }

    /// One micro-inch is 0.0254 µm: 3.2 µm are 126, 6.3 µm are 248.
    #[test]
    fn roughness_is_told_in_the_sheets_unit() {
        assert_eq!(roughness(Units::Mm, 6.3), "6.3");
        assert_eq!([3.2, 6.3].map(|um| roughness(Units::Inch, um)), ["126", "248"]);
    }
}
