//! New values in the text of a parameter file; everything else stays as it is.

/// The text with each range of bytes replaced. Ranges do not overlap; one that is not in the text is left out.
pub fn rewrite(text: &str, mut spots: Vec<(usize, usize, String)>) -> String {
    // From the end, so that earlier places stay valid.
    spots.sort_by_key(|s| std::cmp::Reverse(s.0));
    let mut out = text.to_owned();
    for (start, end, new) in spots {
        if out.is_char_boundary(start) && out.is_char_boundary(end) && start <= end {
            out.replace_range(start..end, &new);
        }
    }
    out
}
