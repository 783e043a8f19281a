//! Counted nouns for messages, so that every printed count agrees with its noun.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_singular_and_all_other_counts_plural() {
        let all = [(0_usize, "row"), (1, "row"), (2, "row"), (1, "further form"), (3, "tooth"), (2, "entry")];
        let told: Vec<String> = all.into_iter().map(|(count, noun)| counted(count, noun)).collect();
        assert_eq!(told, ["0 rows", "1 row", "2 rows", "1 further form", "3 teeth", "2 entries"], "counted");
        assert_eq!(counted(2_u64, "core box"), "2 core boxes", "a noun that ends in x");
    }
}
