//! Raised letters on sand castings.

use crate::units::Mm;

/// Size of a letter, least width of ten of them, and how far they stand out, mm: raised letters of aluminium sand castings (standards for aluminium
/// sand and permanent mould castings, Aluminum Association, E16, a page that quotes it, read). The row of 0.31 in is left out, since its
/// size in millimetres is misprinted there.
pub const LETTERS: [(f64, f64, f64); 5] =
    [(3.0, 36.0, 0.8), (5.0, 50.0, 1.2), (6.0, 60.0, 1.2), (10.0, 85.0, 1.6), (12.0, 110.0, 2.0)];

/// Where [`LETTERS`] comes from.
pub const LETTERS_SOURCE: &str = "Aluminum Association E16, lettering of sand castings, read";

/// How far letters of a height stand out: by the largest size of the table that is no larger.
pub fn raised(height: Mm) -> Mm {
    let row = LETTERS.iter().rev().find(|row| row.0 <= height.get()).unwrap_or(&LETTERS[0]);
    Mm::new(row.2)
}

/// Least width of ten letters of a height, in proportion between the sizes of the table.
pub fn ten_letters(height: Mm) -> Mm {
    let at = |pair: &[(f64, f64, f64)]| {
        let ((a, wide, _), (b, wider, _)) = (pair[0], pair[1]);
        (height.get() <= b).then(|| wide + (wider - wide) * (height.get() - a) / (b - a))
    };
    let last = LETTERS[LETTERS.len() - 1];
    Mm::new(LETTERS.windows(2).find_map(at).unwrap_or(last.1 * height.get() / last.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows of E16 (a page that quotes it, read): 1/4 in letters are 6 mm and stand out by 1.2, 1/2 in ones by 2.
    #[test]
    fn rows_of_the_table() {
        for (size, ten, out) in [(5.0, 50.0, 1.2), (6.0, 60.0, 1.2), (12.0, 110.0, 2.0)] {
            let size = Mm::new(size);
            assert!((raised(size).get() - out).abs() < 1e-9, "{size:?}");
            assert!((ten_letters(size).get() - ten).abs() < 1e-9, "{size:?}");
        }
        assert!((raised(Mm::new(8.0)).get() - 1.2).abs() < 1e-9, "between two rows, the smaller");
    }
}
