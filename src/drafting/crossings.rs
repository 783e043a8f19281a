//! Where lines of a view cross each other, found on chords in a grid.

use solidwright::geometry::{P2, V2};

/// A line as chords: parameters and points.
pub(super) type Flat = Vec<(f64, P2)>;

/// Cells of the grid along the longer side of a view.
const CELLS: f64 = 160.0;

/// Chords that pass within this distance, mm, meet: the chords themselves are no better.
const MEET: f64 = 1e-3;

/// A chord: its line, and which one of it.
type Chord = (usize, usize);

/// For each line the parameters at which another one meets it.
pub(super) fn crossings(lines: &[Flat]) -> Vec<Vec<f64>> {
    let mut out = vec![Vec::new(); lines.len()];
    let Some(grid) = Grid::of(lines) else { return out };
    for cell in &grid.cells {
        for (k, a) in cell.iter().enumerate() {
            for b in &cell[k + 1..] {
                if a.0 != b.0 {
                    meet(lines, *a, *b, &mut out);
                }
            }
        }
    }
    out
}

/// Notes on both lines where two chords meet.
fn meet(lines: &[Flat], a: Chord, b: Chord, out: &mut [Vec<f64>]) {
    let ends = |(line, k): Chord| (lines[line][k], lines[line][k + 1]);
    let ((ta, pa), (ua, qa)) = ends(a);
    let ((tb, pb), (ub, qb)) = ends(b);
    let (da, db) = (qa - pa, qb - pb);
    let (la, lb) = (da.norm(), db.norm());
    if la < MEET || lb < MEET {
        return;
    }
    let det = da.perp(&db);
    if det.abs() > 1e-6 * la * lb {
        let (s, r) = ((pb - pa).perp(&db) / det, (pb - pa).perp(&da) / det);
        let within = |share: f64, length: f64| (-MEET..=length + MEET).contains(&(share * length));
        if within(s, la) && within(r, lb) {
            out[a.0].push(ta + (ua - ta) * s);
            out[b.0].push(tb + (ub - tb) * r);
        }
        return;
    }
    // Along each other: the ends of one cut the other.
    for p in [pb, qb] {
        out[a.0].extend(on(p, pa, da).map(|s| ta + (ua - ta) * s));
    }
    for p in [pa, qa] {
        out[b.0].extend(on(p, pb, db).map(|s| tb + (ub - tb) * s));
    }
}

/// The share of a chord at which a point lies on it.
fn on(p: P2, from: P2, along: V2) -> Option<f64> {
    let s = (p - from).dot(&along) / along.norm_squared();
    ((0.0..=1.0).contains(&s) && (from + along * s - p).norm() < MEET).then_some(s)
}

/// Chords by the cells that their boxes meet.
struct Grid {
    cells: Vec<Vec<Chord>>,
}

impl Grid {
    fn of(lines: &[Flat]) -> Option<Self> {
        let points = || lines.iter().flatten().map(|(_, p)| *p);
        let low = points().reduce(|a, b| P2::new(a.x.min(b.x), a.y.min(b.y)))?;
        let high = points().reduce(|a, b| P2::new(a.x.max(b.x), a.y.max(b.y)))?;
        let size = ((high - low).max() / CELLS).max(MEET);
        let cell = |x: f64| (x / size).floor().max(0.0) as usize;
        let (columns, rows) = (cell(high.x - low.x + MEET) + 1, cell(high.y - low.y + MEET) + 1);
        let mut cells = vec![Vec::new(); columns * rows];
        for (line, flat) in lines.iter().enumerate() {
            for (k, pair) in flat.windows(2).enumerate() {
                let [a, b] = [pair[0].1 - low, pair[1].1 - low];
                let span = |a: f64, b: f64, most: usize| {
                    cell(a.min(b) - MEET).min(most)..=cell(a.max(b) + MEET).min(most)
                };
                for row in span(a.y, b.y, rows - 1) {
                    for column in span(a.x, b.x, columns - 1) {
                        cells[row * columns + column].push((line, k));
                    }
                }
            }
        }
        Some(Self { cells })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two diagonals of a square of side 2 cross in its middle; a line along another is cut by its ends.
    #[test]
    fn lines_cross_and_cover_each_other() {
        let line = |a: [f64; 2], b: [f64; 2]| vec![(0.0, P2::from(a)), (1.0, P2::from(b))];
        let found = crossings(&[line([0.0, 0.0], [2.0, 2.0]), line([0.0, 2.0], [2.0, 0.0])]);
        assert!(found.iter().all(|cuts| cuts.iter().all(|t| (t - 0.5).abs() < 1e-12) && !cuts.is_empty()));
        let found = crossings(&[line([0.0, 0.0], [4.0, 0.0]), line([1.0, 0.0], [3.0, 0.0])]);
        assert!(found[0].iter().any(|t| (t - 0.25).abs() < 1e-12), "{found:?}");
        assert!(found[0].iter().any(|t| (t - 0.75).abs() < 1e-12), "{found:?}");
        let apart = crossings(&[line([0.0, 0.0], [1.0, 0.0]), line([0.0, 1.0], [1.0, 1.0])]);
        assert!(apart.iter().all(Vec::is_empty), "parallel lines: {apart:?}");
    }
}
