//! Words and numbers of messages: counted nouns that agree with their counts, and numbers without a minus before zero.

/// A number with its noun, such as `1 row` or `2 rows`. The noun is given in the singular; its last word is the one that
/// changes.
pub fn counted(count: impl TryInto<u128>, noun: &str) -> String {
    // No count that is printed is too large for this; an unsigned number always fits.
    let count = count.try_into().unwrap_or(u128::MAX);
    if count == 1 { format!("1 {noun}") } else { format!("{count} {}", plural(noun)) }
}

/// The plural of a noun of this program's messages.
fn plural(noun: &str) -> String {
    if let Some(stem) = noun.strip_suffix("tooth") {
        return format!("{stem}teeth");
    }
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
        _ if noun.ends_with(['s', 'x']) => format!("{noun}es"),
        _ => format!("{noun}s"),
    }
}

/// Names in a row: `a`, `a and b`, `a, b and c`.
pub fn in_a_row(names: &[&str]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => names.concat(),
    }
}

/// A remark as a sentence: with a capital letter, and with a full stop unless it has one.
pub fn sentence(remark: &str) -> String {
    let mut letters = remark.chars();
    let first = letters.next().map_or_else(String::new, |letter| letter.to_uppercase().to_string());
    let stop = if remark.ends_with('.') { "" } else { "." };
    format!("{first}{}{stop}", letters.as_str())
}

/// A number with so many decimals, rounded half away from zero, never as minus zero.
///
/// Halves are those of the decimal value: 2.84375 in is kept as 72.23125 mm, and comes back as 2.8437499999999996. What lies
/// within a millionth of the last place below a half counts as the half, which is far above what sums in binary leave and far
/// below what anyone measures. So a value that came from a key with up to four decimals prints as written, and one with five
/// rounds as by hand.
pub fn fixed(value: f64, decimals: usize) -> String {
    let step = i32::try_from(decimals).map_or(f64::INFINITY, |places| 10_f64.powi(places));
    let steps = value.abs() * step;
    // Beyond this a number has no more places that could be halves; infinities come here too.
    let rounded = if steps < 1e9 { ((steps + 0.5 + 1e-6).floor() / step).copysign(value) } else { value };
    let text = format!("{rounded:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if !rest.contains(|c: char| ('1'..='9').contains(&c)) => rest.to_owned(),
        _ => text,
    }
}

/// A place in mm with so many decimals, such as `(12.5, 0.0, -3.0) mm`.
pub fn place([x, y, z]: [f64; 3], decimals: usize) -> String {
    let [x, y, z] = [x, y, z].map(|value| fixed(value, decimals));
    format!("({x}, {y}, {z}) mm")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Inches, kept in millimetres as `units` keeps them, and taken back.
    fn there_and_back(inches: f64) -> f64 {
        inches * 254.0 / 10.0 / 25.4
    }

    /// ISO 80000-1:2009, annex B, rule B (from memory): of two multiples that are as near, the one of greater size is taken. All
    /// thirty-seconds of an inch up to 12 in, kept in millimetres, against whole numbers: 10,000 k / 32, half up.
    #[test]
    fn halves_go_away_from_zero_by_the_decimal_value() {
        for k in 1..=12 * 32_u32 {
            let inches = there_and_back(f64::from(k) / 32.0);
            let steps = (10_000 * k + 16) / 32;
            let text = format!("{}.{:04}", steps / 10_000, steps % 10_000);
            assert_eq!(fixed(inches, 4), text, "{k}/32 in");
            assert_eq!(fixed(-inches, 4), format!("-{text}"), "-{k}/32 in");
        }
        // 0.125 is a half of the second place to the last bit, 1.005 lies below one in binary, and 0.124999 is none.
        assert_eq!([0.125, 1.005, 0.124_999].map(|x| fixed(x, 2)), ["0.13", "1.01", "0.12"]);
        assert_eq!([0.5, -0.5, 2.5].map(|x| fixed(x, 0)), ["1", "-1", "3"]);
        assert_eq!([1e300, f64::INFINITY].map(|x| fixed(x, 1).len()), [303, 3]);
    }

    /// Every value of four decimals that a key may hold, in inches, prints as written.
    #[test]
    fn four_decimals_print_as_written() {
        for k in 0..=40_000_u32 {
            let written = format!("{}.{:04}", k / 10_000, k % 10_000);
            let value: f64 = written.parse().expect("a number");
            assert_eq!(fixed(there_and_back(value), 4), written);
        }
    }

    #[test]
    fn names_stand_in_a_row() {
        let rows = [&[][..], &["a"], &["a", "b"], &["a", "b", "c"]].map(in_a_row);
        assert_eq!(rows, ["", "a", "a and b", "a, b and c"]);
    }

    #[test]
    fn remarks_become_sentences() {
        assert_eq!(sentence("mark both halves"), "Mark both halves.");
        assert_eq!(sentence("It is marked."), "It is marked.");
    }

    #[test]
    fn nothing_is_minus_zero() {
        let told = [-0.004, 0.004, -0.006, -12.0].map(|x| fixed(x, 2));
        assert_eq!(told, ["0.00", "0.00", "-0.01", "-12.00"], "only what rounds to zero loses its sign");
        assert_eq!(place([-0.01, 2.0, -0.06], 1), "(0.0, 2.0, -0.1) mm", "a place");
    }

    #[test]
    fn one_is_singular_and_all_other_counts_plural() {
        let all = [(0_usize, "row"), (1, "row"), (2, "row"), (1, "further form"), (3, "tooth"), (2, "entry")];
        let told: Vec<String> = all.into_iter().map(|(count, noun)| counted(count, noun)).collect();
        assert_eq!(told, ["0 rows", "1 row", "2 rows", "1 further form", "3 teeth", "2 entries"], "counted");
        assert_eq!(counted(2_u64, "core box"), "2 core boxes", "a noun that ends in x");
    }
}
