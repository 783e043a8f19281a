//! Sentences that were written for millimetres, in the unit of the file.
//!
//! Reasons of defaults and of limits are fixed texts, and the kernel knows no unit but the millimetre: `at least 3 mm`. A reader of
//! a file in inches gets the same sentence with `at least 0.118 in`. What stands between backticks was written by the user or is to be
//! written as it stands, and what stands in brackets behind inches, as in `0.5 in (12.7 mm)`, is the same length once more.

use super::{MM_PER_INCH, Units, short};

/// What stands between two numbers with one unit.
const BETWEEN: [&str; 4] = [" up to ", " to ", " and ", " or "];

impl Units {
    /// The sentence with its lengths, areas, volumes and places in this unit.
    pub fn sentence(self, text: &str) -> String {
        if self == Self::Mm || !(text.contains(" mm") || text.contains("near (")) {
            return text.to_owned();
        }
        // Every other piece stands between backticks.
        let piece = |(k, piece): (usize, &str)| {
            if k % 2 == 0 { lengths(&places(piece)) } else { piece.to_owned() }
        };
        text.split('`').enumerate().map(piece).collect::<Vec<_>>().join("`")
    }
}

/// Places such as `near (1.000, 2.000, 3.000)` or `(1.0, 2.0, 3.0) mm` in inches.
fn places(text: &str) -> String {
    let (mut out, mut rest) = (String::new(), text);
    while let Some(at) = rest.find('(') {
        let (before, inside) = (&rest[..=at], &rest[at + 1..]);
        let Some(end) = inside.find(')') else { break };
        let (numbers, behind) = (&inside[..end], &inside[end + 1..]);
        let all: Vec<f64> = numbers.split(", ").filter_map(|n| n.parse().ok()).collect();
        let unit = behind.strip_prefix(" mm");
        let is_place = unit.is_some() || before.ends_with("near (") && !behind.starts_with(" in");
        match all[..] {
            [x, y, z] if is_place => {
                out.push_str(&before[..at]);
                out.push_str(&Units::Inch.place([x, y, z]));
                rest = unit.unwrap_or(behind);
            }
            _ => {
                out.push_str(before);
                rest = inside;
            }
        }
    }
    out + rest
}

/// Numbers in front of `mm`, `mm²` and `mm³` in inches.
fn lengths(text: &str) -> String {
    let (mut out, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(" mm") {
        let (before, behind) = (&rest[..at], &rest[at + 3..]);
        let power = match behind.chars().next() {
            Some('²') => 2,
            Some('³') => 3,
            Some(letter) if letter.is_alphanumeric() => 0,
            _ => 1,
        };
        let repeated = before.rfind('(').is_some_and(|open| {
            before[open + 1..].trim_start_matches('±').parse::<f64>().is_ok() && behind.starts_with(')')
        });
        match with_inches(before, power) {
            Some(told) if power > 0 && !repeated => {
                out.push_str(&told);
                out.push_str(" in");
            }
            _ => out.push_str(&rest[..at + 3]),
        }
        rest = behind;
    }
    out + rest
}

/// A text that ends in a number, or in two with one unit, with the number in inches; none where it ends otherwise.
fn with_inches(text: &str, power: i32) -> Option<String> {
    let (before, number) = last_number(text)?;
    let first = BETWEEN.into_iter().find_map(|word| Some((word, last_number(before.strip_suffix(word)?)?)));
    let number = inches(number, power)?;
    Some(match first {
        Some((word, (before, first))) => format!("{before}{}{word}{number}", inches(first, power)?),
        None => format!("{before}{number}"),
    })
}

/// The number at the end of a text, and what stands before it.
fn last_number(text: &str) -> Option<(&str, &str)> {
    let start = text
        .rfind(|c: char| !(c.is_ascii_digit() || ".e-+".contains(c)))
        .map_or(0, |at| at + text[at..].chars().next().map_or(0, char::len_utf8));
    // A number that ends a word, as in `M10`, is none of its own.
    let glued = text[..start].chars().next_back().is_some_and(char::is_alphanumeric);
    let number = &text[start..];
    (!glued && number.parse::<f64>().is_ok()).then_some((&text[..start], number))
}

/// A number of mm, mm² or mm³ with two digits more, at most four, in inches; very small ones with a power of ten.
fn inches(number: &str, power: i32) -> Option<String> {
    let value = number.parse::<f64>().ok()? / MM_PER_INCH.powi(power);
    if value != 0.0 && value.abs() < 1e-4 {
        return Some(format!("{value:.1e}"));
    }
    let given = number.find('.').map_or(0, |point| number.len() - point - 1);
    let digits = if power == 1 { given + 2 } else { 4 };
    // A tenth of a millimetre is told by thousandths of an inch at least.
    Some(short(value, digits.clamp(3, 4)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, with 1 in = 25.4 mm: 3 / 25.4 = 0.118, 25 / 25.4 = 0.984, 5.5 / 25.4 = 0.217, 6.5 / 25.4 = 0.256, 500 / 645.16 = 0.775.
    #[test]
    fn lengths_of_a_sentence_come_in_inches() {
        for (mm, inch) in [
            (
                "0.6 of the wall, and at least 3 mm: between",
                "0.6 of the wall, and at least 0.118 in: between",
            ),
            ("diameter there, at least 25 mm", "diameter there, at least 0.984 in"),
            ("sand casting, 5.5 to 6.5 mm; still", "sand casting, 0.217 to 0.256 in; still"),
            ("sizes over 0 up to 500 mm", "sizes over 0 up to 19.685 in"),
            ("allows 500 mm² there", "allows 0.775 in² there"),
            ("lie within 2.0e-5 mm of each other", "lie within 7.9e-7 in of each other"),
            ("touch near (25.400, 0.000, -50.800): move", "touch near (1.00, 0.00, -2.00) in: move"),
            ("shell near (25.4, 0.0, 2.5) mm", "shell near (1.00, 0.00, 0.10) in"),
        ] {
            assert_eq!(Units::Inch.sentence(mm), inch);
            assert_eq!(Units::Mm.sentence(mm), mm);
        }
    }

    #[test]
    fn what_is_not_a_bare_length_stays() {
        for text in [
            "50 in (1270 mm) is out of range, allowed ±0.0472 in (±1.2 mm)",
            "write `width: 10 mm` there",
            "near (1.00, 2.00, 3.00) in",
            "sizes in mm, and M10 mm",
            "4 mmol, and no number mm",
            "(unclosed 3",
        ] {
            assert_eq!(Units::Inch.sentence(text), text);
        }
    }
}
