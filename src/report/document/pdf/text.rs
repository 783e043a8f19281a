//! Texts broken into lines.

use super::font::{Fonts, Weight};

/// Signs after which a word that is too long for its line may be broken: those of names of faces and keys.
const BREAKS: [char; 4] = ['/', '_', '-', '.'];

/// Words of so many signs are broken only in need.
const SHORT: usize = 8;

/// The lines of a text that are no wider than `width`, which counts in the text's size.
pub(super) fn lines(fonts: &Fonts, weight: Weight, text: &str, width: f64) -> Vec<String> {
    let fits = |line: &str| fonts.width(weight, line) <= width + 1e-9;
    let mut out = vec![String::new()];
    for word in &words(text) {
        let line = out.last_mut().map(std::mem::take).unwrap_or_default();
        out.pop();
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            out.push(longer);
            continue;
        }
        if !line.is_empty() {
            out.push(line);
        }
        out.extend(broken(word, &fits));
    }
    out
}

/// The words of a text; a number and the unit behind it are one, and so is what a no-break space joins.
fn words(text: &str) -> Vec<String> {
    const LONGEST_UNIT: usize = 5;
    let mut out: Vec<String> = Vec::new();
    for word in text.split_ascii_whitespace() {
        let short = word.chars().count() <= LONGEST_UNIT
            && !word.starts_with(|c: char| c.is_ascii_digit() || c == '(');
        match out.last_mut() {
            Some(last) if short && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// A word in parts that fit: broken where it may be, else anywhere.
fn broken(word: &str, fits: &impl Fn(&str) -> bool) -> Vec<String> {
    let mut out = vec![String::new()];
    for part in word.split_inclusive(|c| BREAKS.contains(&c) || c == ' ') {
        let last = out.last_mut().map(std::mem::take).unwrap_or_default();
        out.pop();
        if fits(format!("{last}{part}").trim_end()) {
            out.push(format!("{last}{part}"));
            continue;
        }
        if !last.is_empty() {
            out.push(last.trim_end().to_owned());
        }
        let mut rest = String::new();
        for sign in part.chars() {
            if !rest.is_empty() && !fits(&format!("{rest}{sign}")) {
                out.push(std::mem::take(&mut rest));
            }
            rest.push(sign);
        }
        out.push(rest);
    }
    out
}

/// The widest piece of a text that [`lines`] breaks only in need.
pub(super) fn widest_word(fonts: &Fonts, weight: Weight, text: &str) -> f64 {
    let words = words(text);
    // A point within a number is no place to break it.
    let number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit() || "±-Ø(".contains(c));
    let parts = words.iter().flat_map(|word| {
        let whole = number(word) || word.chars().count() <= SHORT;
        if whole { vec![word.as_str()] } else { word.split_inclusive(BREAKS).collect() }
    });
    parts.map(|part| fonts.width(weight, part)).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_no_wider_than_asked_and_lose_nothing() {
        let fonts = Fonts::get().expect("the fonts");
        let text = "sender_boss/retaining screw hole point near (272.8, -87.0, 6.5) mm";
        for width in [1.5, 4.0, 9.0, 100.0] {
            let lines = lines(fonts, Weight::Regular, text, width);
            let bare = |s: &str| s.split_whitespace().collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text), "{width}");
            assert!(lines.iter().all(|l| fonts.width(Weight::Regular, l) <= width + 1e-6), "{lines:?}");
        }
    }

    #[test]
    fn a_long_name_is_broken_at_its_stroke() {
        let fonts = Fonts::get().expect("the fonts");
        let width = fonts.width(Weight::Regular, "shift_box_pad/opening") - 0.1;
        let lines = lines(fonts, Weight::Regular, "shift_box_pad/opening", width);
        assert_eq!(lines, ["shift_box_pad/", "opening"], "not within a word");
    }
}
