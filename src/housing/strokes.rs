//! Letters of straight strokes, for marks on a casting: no arcs and few pieces, so that each draws from the sand.
//!
//! Figures have the shape of seven bars, letters have cut corners, so that a nought is no O and a five no S.

/// A stroke between two points of a grid of 4 by 6, the origin at the letter's lower left.
pub(super) type Stroke = ([f64; 2], [f64; 2]);

/// Width and height of the grid.
pub(super) const GRID: [f64; 2] = [4.0, 6.0];

/// The sign that stands for an arrow against the direction of writing.
pub(super) const ARROW: char = '\u{2190}';

const LEFT: Stroke = ([0.0, 0.0], [0.0, 6.0]);
const RIGHT: Stroke = ([4.0, 0.0], [4.0, 6.0]);
const TOP: Stroke = ([0.0, 6.0], [4.0, 6.0]);
const FOOT: Stroke = ([0.0, 0.0], [4.0, 0.0]);
const BAR: Stroke = ([0.0, 3.0], [4.0, 3.0]);
const UPPER_LEFT: Stroke = ([0.0, 3.0], [0.0, 6.0]);
const UPPER_RIGHT: Stroke = ([4.0, 3.0], [4.0, 6.0]);
const LOWER_LEFT: Stroke = ([0.0, 0.0], [0.0, 3.0]);
const LOWER_RIGHT: Stroke = ([4.0, 0.0], [4.0, 3.0]);
const STEM: Stroke = ([2.0, 0.0], [2.0, 6.0]);

/// The strokes of a figure, a letter or a sign; none for a space. `None` where there is no such sign.
pub(super) fn strokes(sign: char) -> Option<&'static [Stroke]> {
    Some(match sign {
        ' ' => &[],
        '-' => &[BAR],
        '.' => &[([1.7, 0.0], [2.3, 0.0])],
        '/' => &[([0.0, 0.0], [4.0, 6.0])],
        ARROW => &[([0.0, 3.0], [4.0, 3.0]), ([0.0, 3.0], [2.0, 4.6]), ([0.0, 3.0], [2.0, 1.4])],
        '0'..='9' => figure(sign),
        'A'..='M' => first_letters(sign),
        'N'..='Z' => last_letters(sign),
        _ => return None,
    })
}

fn figure(sign: char) -> &'static [Stroke] {
    match sign {
        '0' => &[LEFT, RIGHT, TOP, FOOT],
        '1' => &[STEM, ([1.0, 5.0], [2.0, 6.0])],
        '2' => &[TOP, UPPER_RIGHT, BAR, LOWER_LEFT, FOOT],
        '3' => &[TOP, RIGHT, BAR, FOOT],
        '4' => &[UPPER_LEFT, BAR, RIGHT],
        '5' => &[TOP, UPPER_LEFT, BAR, LOWER_RIGHT, FOOT],
        '6' => &[TOP, LEFT, BAR, LOWER_RIGHT, FOOT],
        '7' => &[TOP, ([4.0, 6.0], [1.0, 0.0])],
        '8' => &[LEFT, RIGHT, TOP, BAR, FOOT],
        _ => &[TOP, UPPER_LEFT, BAR, RIGHT, FOOT],
    }
}

fn first_letters(sign: char) -> &'static [Stroke] {
    match sign {
        'A' => &[([0.0, 0.0], [2.0, 6.0]), ([4.0, 0.0], [2.0, 6.0]), ([0.9, 2.0], [3.1, 2.0])],
        'B' => &[
            LEFT,
            ([0.0, 6.0], [3.0, 6.0]),
            ([0.0, 3.0], [3.0, 3.0]),
            ([0.0, 0.0], [3.0, 0.0]),
            ([3.0, 6.0], [4.0, 4.5]),
            ([4.0, 4.5], [3.0, 3.0]),
            ([3.0, 3.0], [4.0, 1.5]),
            ([4.0, 1.5], [3.0, 0.0]),
        ],
        'C' => &[
            ([0.0, 1.0], [0.0, 5.0]),
            ([0.0, 5.0], [1.0, 6.0]),
            ([1.0, 6.0], [4.0, 6.0]),
            ([0.0, 1.0], [1.0, 0.0]),
            ([1.0, 0.0], [4.0, 0.0]),
        ],
        'D' => &[
            LEFT,
            ([0.0, 6.0], [3.0, 6.0]),
            ([0.0, 0.0], [3.0, 0.0]),
            ([3.0, 6.0], [4.0, 5.0]),
            ([4.0, 5.0], [4.0, 1.0]),
            ([4.0, 1.0], [3.0, 0.0]),
        ],
        'E' => &[LEFT, TOP, ([0.0, 3.0], [3.0, 3.0]), FOOT],
        'F' => &[LEFT, TOP, ([0.0, 3.0], [3.0, 3.0])],
        'G' => &[
            ([0.0, 1.0], [0.0, 5.0]),
            ([0.0, 5.0], [1.0, 6.0]),
            ([1.0, 6.0], [4.0, 6.0]),
            ([0.0, 1.0], [1.0, 0.0]),
            ([1.0, 0.0], [4.0, 0.0]),
            LOWER_RIGHT,
            ([2.5, 3.0], [4.0, 3.0]),
        ],
        'H' => &[LEFT, RIGHT, BAR],
        'I' => &[STEM, ([1.0, 6.0], [3.0, 6.0]), ([1.0, 0.0], [3.0, 0.0])],
        'J' => &[([4.0, 1.0], [4.0, 6.0]), ([4.0, 1.0], [3.0, 0.0]), ([0.0, 0.0], [3.0, 0.0])],
        'K' => &[LEFT, ([0.0, 2.5], [4.0, 6.0]), ([1.0, 3.4], [4.0, 0.0])],
        'L' => &[LEFT, FOOT],
        _ => &[LEFT, RIGHT, ([0.0, 6.0], [2.0, 3.0]), ([4.0, 6.0], [2.0, 3.0])],
    }
}

fn last_letters(sign: char) -> &'static [Stroke] {
    match sign {
        'N' => &[LEFT, RIGHT, ([0.0, 6.0], [4.0, 0.0])],
        'O' | 'Q' => {
            const ROUND: [Stroke; 9] = [
                ([0.0, 1.0], [0.0, 5.0]),
                ([4.0, 1.0], [4.0, 5.0]),
                ([1.0, 6.0], [3.0, 6.0]),
                ([1.0, 0.0], [3.0, 0.0]),
                ([0.0, 5.0], [1.0, 6.0]),
                ([3.0, 6.0], [4.0, 5.0]),
                ([0.0, 1.0], [1.0, 0.0]),
                ([3.0, 0.0], [4.0, 1.0]),
                ([2.4, 1.8], [4.0, 0.0]),
            ];
            if sign == 'O' { &ROUND[..8] } else { &ROUND }
        }
        'P' => &[
            LEFT,
            ([0.0, 6.0], [3.0, 6.0]),
            ([0.0, 3.0], [3.0, 3.0]),
            ([3.0, 6.0], [4.0, 4.5]),
            ([4.0, 4.5], [3.0, 3.0]),
        ],
        'R' => &[
            LEFT,
            ([0.0, 6.0], [3.0, 6.0]),
            ([0.0, 3.0], [3.0, 3.0]),
            ([3.0, 6.0], [4.0, 4.5]),
            ([4.0, 4.5], [3.0, 3.0]),
            ([2.0, 3.0], [4.0, 0.0]),
        ],
        'S' => &[
            ([1.0, 6.0], [4.0, 6.0]),
            ([0.0, 5.0], [1.0, 6.0]),
            ([0.0, 4.0], [0.0, 5.0]),
            ([0.0, 4.0], [4.0, 2.0]),
            ([4.0, 1.0], [4.0, 2.0]),
            ([3.0, 0.0], [4.0, 1.0]),
            ([0.0, 0.0], [3.0, 0.0]),
        ],
        'T' => &[STEM, TOP],
        'U' => &[
            ([0.0, 1.0], [0.0, 6.0]),
            ([4.0, 1.0], [4.0, 6.0]),
            ([0.0, 1.0], [1.0, 0.0]),
            ([1.0, 0.0], [3.0, 0.0]),
            ([3.0, 0.0], [4.0, 1.0]),
        ],
        'V' => &[([0.0, 6.0], [2.0, 0.0]), ([4.0, 6.0], [2.0, 0.0])],
        'W' => &[
            ([0.0, 6.0], [0.8, 0.0]),
            ([0.8, 0.0], [2.0, 4.0]),
            ([2.0, 4.0], [3.2, 0.0]),
            ([3.2, 0.0], [4.0, 6.0]),
        ],
        'X' => &[([0.0, 0.0], [4.0, 6.0]), ([0.0, 6.0], [4.0, 0.0])],
        'Y' => &[([2.0, 0.0], [2.0, 3.0]), ([0.0, 6.0], [2.0, 3.0]), ([4.0, 6.0], [2.0, 3.0])],
        _ => &[TOP, FOOT, ([0.0, 0.0], [4.0, 6.0])],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No two signs look alike, and all stay on their grid: a property of the table itself.
    #[test]
    fn signs_differ_and_stay_on_their_grid() {
        let signs: Vec<char> = ('0'..='9').chain('A'..='Z').chain(['-', '.', '/', ARROW]).collect();
        for (k, sign) in signs.iter().enumerate() {
            let own = strokes(*sign).expect("a sign");
            assert!(!own.is_empty(), "{sign}");
            let long = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) > 0.5;
            let inside = |p: &[f64; 2]| (0.0..=GRID[0]).contains(&p[0]) && (0.0..=GRID[1]).contains(&p[1]);
            assert!(own.iter().all(|(a, b)| inside(a) && inside(b) && long(a, b)), "{sign}");
            let shape = |sign: char| format!("{:?}", strokes(sign));
            assert!(signs[..k].iter().all(|other| shape(*other) != shape(*sign)), "{sign}");
        }
        assert_eq!(strokes('a'), None);
    }
}
