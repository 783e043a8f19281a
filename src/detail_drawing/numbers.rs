//! Values as a drawing has them: in the file's unit, as the sheet's standard writes them.

use solidwright::geometry::P2;

use crate::drafting::{Span, Stop};
use crate::units::{Mm, Units};
use crate::words::fixed;

/// A length: millimetres to a ten-thousandth, as parameter files have them, without needless zeros (ISO 129-1); inches to a ten-thousandth without the zero
/// before the point (ASME Y14.5), at least three places.
pub(super) fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => plain(mm, 4),
        Units::Inch => {
            let text = trimmed(&fixed(Mm::new(mm).to_inches(), 4), 3);
            match text.strip_prefix('-') {
                Some(rest) => format!("-{}", rest.strip_prefix('0').unwrap_or(rest)),
                None => text
                    .strip_prefix('0')
                    .filter(|rest| rest.starts_with('.'))
                    .map_or(text.clone(), str::to_owned),
            }
        }
    }
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

/// Deviations from a nominal size: upper/lower, with their signs.
pub(super) fn deviations(units: Units, nominal: Mm, [least, greatest]: [Mm; 2]) -> String {
    let one = |size: Mm| {
        let off = (size - nominal).get();
        let text = length(units, off);
        if text.starts_with('-') || text.chars().all(|c| c == '0' || c == '.') {
            text
        } else {
            format!("+{text}")
        }
    };
    format!("{}/{}", one(greatest), one(least))
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
    }

    /// H7 at 50 mm: +0.025 and 0 (ISO 286-2, table for H, 30 to 50 mm).
    #[test]
    fn deviations_carry_their_signs() {
        let nominal = Mm::new(50.0);
        let text = deviations(Units::Mm, nominal, [nominal, Mm::new(50.025)]);
        assert_eq!(text, "+0.025/0");
        assert_eq!(deviations(Units::Mm, nominal, [Mm::new(49.975), nominal]), "0/-0.025");
    }
}
