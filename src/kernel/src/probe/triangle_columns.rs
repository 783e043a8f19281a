//! Loose triangles seen along one direction: which of them stand over a place.
//!
//! Where all rays run one way, the plane across it is divided into square cells, each with the triangles over it. A ray asks one cell only,
//! instead of all boxes of a tree along its way.

use crate::geometry::{Bounds, P2, P3, V3};

use super::triangle_tree::is_edge_on;
use crate::tolerance::TRIANGLE_SIDE;

/// Cells for each triangle, about.
const CELLS: f64 = 2.0;

/// Least side of a cell, mm, and most cells along a side.
const LEAST_CELL: f64 = 0.05;
const MOST_CELLS: f64 = 4096.0;

/// How far triangles reach over their sides, mm: beyond what rays along a side are granted.
const BESIDE: f64 = 1e-6;

/// A triangle over a cell.
#[derive(Clone, Copy, Debug, Default)]
struct Entry {
    /// Its number.
    triangle: u32,
    /// The rectangle about it, a little larger, and its greatest height: steep walls are many triangles over few cells, and few of them are
    /// over one place.
    low: P2,
    high: P2,
    top: f64,
}

impl Entry {
    fn of(triangle: u32, corners: &[P3; 3]) -> Self {
        let about = Bounds::around(*corners).grown(BESIDE);
        Self { triangle, low: about.min.xy(), high: about.max.xy(), top: about.max.z }
    }

    /// Whether it may be over a place, but for its height.
    fn is_about(&self, p: &P3) -> bool {
        self.low.x <= p.x && p.x <= self.high.x && self.low.y <= p.y && p.y <= self.high.y
    }
}

/// Triangles in columns along z.
#[derive(Clone, Debug, Default)]
pub struct TriangleColumns {
    triangles: Vec<[P3; 3]>,
    corner: P2,
    cell: f64,
    /// Cells along x and y.
    along_x: usize,
    along_y: usize,
    /// Where the triangles of each cell begin, and the end of the last one.
    first: Vec<u32>,
    over: Vec<Entry>,
    /// The greatest height of each cell; then of squares of two by two cells, of four by four, and so on up to one for all, each level with
    /// its number of columns.
    tops: Vec<(usize, Vec<f64>)>,
}

impl TriangleColumns {
    /// Sorts triangles into columns; they keep their numbers. Those that rays along z see edge on are in none.
    pub fn new(triangles: Vec<[P3; 3]>) -> Self {
        let bounds = Bounds::around(triangles.iter().flatten().copied());
        if triangles.is_empty() {
            return Self::default();
        }
        let (width, height) = (bounds.max.x - bounds.min.x, bounds.max.y - bounds.min.y);
        let even = (width * height / (CELLS * triangles.len() as f64)).sqrt();
        let cell = even.max(LEAST_CELL).max(width.max(height) / MOST_CELLS);
        let mut out = Self {
            corner: bounds.min.xy(),
            cell,
            along_x: (width / cell) as usize + 1,
            along_y: (height / cell) as usize + 1,
            triangles,
            ..Self::default()
        };
        out.sort();
        out.level();
        out
    }

    /// Whether something that `counts` stands over a place.
    pub fn is_met(&self, from: P3, counts: impl Fn(usize) -> bool) -> bool {
        self.about(from).any(|k| self.met(k, from).is_some() && counts(k))
    }

    /// The number of the first triangle that `counts` over a place.
    pub fn first(&self, from: P3, counts: impl Fn(usize) -> bool) -> Option<usize> {
        let far = |k: usize| self.met(k, from).filter(|_| counts(k)).map(|t| (t, k));
        let all = self.about(from).filter_map(far);
        all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, k)| k)
    }

    /// How far a triangle is over a place. As [`super::triangle_tree::met`] along z: what a ray along it sees edge on is over no cell.
    fn met(&self, k: usize, from: P3) -> Option<f64> {
        let [a, b, c] = &self.triangles[k];
        let (e, f, s) = (b - a, c - a, from - a);
        let det = e.y * f.x - e.x * f.y;
        let u = (s.y * f.x - s.x * f.y) / det;
        if !(-TRIANGLE_SIDE..=1.0 + TRIANGLE_SIDE).contains(&u) {
            return None;
        }
        let q = s.cross(&e);
        let (v, t) = (q.z / det, f.dot(&q) / det);
        (v >= -TRIANGLE_SIDE && u + v <= 1.0 + TRIANGLE_SIDE && t > 0.0).then_some(t)
    }

    /// The numbers of the triangles that may be over a place.
    fn about(&self, from: P3) -> impl Iterator<Item = usize> {
        let higher = self.at(from).iter().take_while(move |entry| entry.top >= from.z);
        higher.filter(move |entry| entry.is_about(&from)).map(|entry| entry.triangle as usize)
    }

    /// Whether something may stand over what a box holds; never no where something does.
    pub fn is_over(&self, bounds: &Bounds) -> bool {
        let Some(last) = self.tops.len().checked_sub(1) else { return false };
        let clamped = |x: f64, most: usize| (x / self.cell).clamp(0.0, (most - 1) as f64) as usize;
        let (lo, hi) = (bounds.min.xy() - self.corner, bounds.max.xy() - self.corner);
        let reach = [self.along_x, self.along_y].map(|n| n as f64 * self.cell + BESIDE);
        if hi.x < -BESIDE || hi.y < -BESIDE || lo.x > reach[0] || lo.y > reach[1] {
            return false;
        }
        let from = [clamped(lo.x - BESIDE, self.along_x), clamped(lo.y - BESIDE, self.along_y)];
        let to = [clamped(hi.x + BESIDE, self.along_x), clamped(hi.y + BESIDE, self.along_y)];
        self.is_higher(last, [0, 0], from, to, bounds.min.z)
    }

    /// Whether one of the cells from one to another, as far as a square of a level holds them, has something above a height.
    fn is_higher(&self, level: usize, at: [usize; 2], from: [usize; 2], to: [usize; 2], z: f64) -> bool {
        let (columns, tops) = &self.tops[level];
        let Some(top) = (at[0] < *columns).then(|| tops.get(at[1] * columns + at[0])).flatten() else {
            return false;
        };
        let apart = (0..2).any(|i| (at[i] << level) > to[i] || ((at[i] + 1) << level) <= from[i]);
        if apart || *top < z {
            return false;
        }
        let half = |i: usize, j: usize| [2 * at[0] + i, 2 * at[1] + j];
        level == 0
            || [(0, 0), (1, 0), (0, 1), (1, 1)]
                .into_iter()
                .any(|(i, j)| self.is_higher(level - 1, half(i, j), from, to, z))
    }

    /// The triangles over the cell of a place, the highest first.
    fn at(&self, p: P3) -> &[Entry] {
        let (x, y) = ((p.x - self.corner.x) / self.cell, (p.y - self.corner.y) / self.cell);
        let beside = BESIDE / self.cell.max(LEAST_CELL);
        let within = |x: f64, n: usize| x >= -beside && x <= n as f64 + beside;
        if !within(x, self.along_x) || !within(y, self.along_y) || self.along_x == 0 {
            return &[];
        }
        let i = (x.max(0.0) as usize).min(self.along_x - 1);
        let j = (y.max(0.0) as usize).min(self.along_y - 1);
        let cell = j * self.along_x + i;
        &self.over[self.first[cell] as usize..self.first[cell + 1] as usize]
    }

    fn sort(&mut self) {
        let wanted = |t: &[P3; 3]| !is_edge_on(t, V3::z());
        let mut first = vec![0_u32; self.along_x * self.along_y + 1];
        for triangle in self.triangles.iter().filter(|t| wanted(t)) {
            self.cells(triangle, |cell| first[cell + 1] += 1);
        }
        for k in 1..first.len() {
            first[k] += first[k - 1];
        }
        let (mut next, mut over) = (first.clone(), vec![Entry::default(); first[first.len() - 1] as usize]);
        for (k, triangle) in self.triangles.iter().enumerate().filter(|(_, t)| wanted(t)) {
            let entry = Entry::of(k as u32, triangle);
            self.cells(triangle, |cell| {
                over[next[cell] as usize] = entry;
                next[cell] += 1;
            });
        }
        for cell in first.windows(2) {
            let own = &mut over[cell[0] as usize..cell[1] as usize];
            own.sort_unstable_by(|a, b| b.top.total_cmp(&a.top).then(a.triangle.cmp(&b.triangle)));
        }
        (self.first, self.over) = (first, over);
    }

    /// Shows all cells that a triangle lies over, row by row.
    fn cells(&self, triangle: &[P3; 3], mut show: impl FnMut(usize)) {
        let own = triangle.map(|p| (p.xy() - self.corner) / self.cell);
        let beside = BESIDE / self.cell;
        let number = |x: f64, most: usize| (x.max(0.0) as usize).min(most - 1);
        let (low, high) =
            own.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.y), b.max(p.y)));
        for row in number(low - beside, self.along_y)..=number(high + beside, self.along_y) {
            let (bottom, top) = (row as f64 - beside, row as f64 + 1.0 + beside);
            let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
            let mut take = |x: f64| (left, right) = (left.min(x), right.max(x));
            for k in 0..3 {
                let (a, b) = (own[k], own[(k + 1) % 3]);
                if (bottom..=top).contains(&a.y) {
                    take(a.x);
                }
                for y in [bottom, top] {
                    if (a.y < y) != (b.y < y) {
                        take(a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)));
                    }
                }
            }
            if left <= right {
                let [from, to] = [left - beside, right + beside].map(|x| number(x, self.along_x));
                (from..=to).for_each(|column| show(row * self.along_x + column));
            }
        }
    }

    fn level(&mut self) {
        let cells = self.first.windows(2).map(|w| &self.over[w[0] as usize..w[1] as usize]);
        let tops: Vec<f64> = cells.map(|own| own.first().map_or(f64::NEG_INFINITY, |e| e.top)).collect();
        let mut levels = vec![(self.along_x, tops)];
        while let Some((columns, below)) = levels.last().filter(|(_, tops)| tops.len() > 1) {
            let (columns, rows) = (*columns, below.len() / columns);
            let (wide, high) = (columns.div_ceil(2), rows.div_ceil(2));
            let mut tops = vec![f64::NEG_INFINITY; wide * high];
            for (k, z) in below.iter().enumerate() {
                let at = (k / columns / 2) * wide + (k % columns) / 2;
                tops[at] = tops[at].max(*z);
            }
            levels.push((wide, tops));
        }
        self.tops = levels;
    }
}

#[cfg(test)]
mod tests {
    use super::super::TriangleTree;
    use super::*;

    /// Numbers between -1 and 1 that look random (Lehmer's generator).
    struct Numbers(u64);

    impl Numbers {
        fn next(&mut self) -> f64 {
            self.0 = self.0 * 48271 % 2_147_483_647;
            self.0 as f64 / 1_073_741_823.5 - 1.0
        }

        fn place(&mut self, reach: f64) -> P3 {
            P3::new(self.next(), self.next(), self.next()) * reach
        }
    }

    /// Triangles of all sizes and slivers among them: what stands over a place is what a tree of boxes tells.
    #[test]
    fn columns_tell_what_a_tree_tells() {
        let mut numbers = Numbers(7);
        let mut triangles = Vec::new();
        for k in 0..400 {
            let (at, size) = (numbers.place(50.0), [0.3, 3.0, 40.0][k % 3]);
            let thin = if k % 5 == 0 { 1e-4 } else { size };
            triangles.push([at, at + numbers.place(size).coords, at + numbers.place(thin).coords]);
        }
        let (columns, tree) = (TriangleColumns::new(triangles.clone()), TriangleTree::new(triangles));
        let mut met = 0;
        for k in 0..4000 {
            let from = numbers.place(60.0);
            let counts = |i: usize| i % 3 != k % 3;
            let expected = tree.first(from, V3::z(), 0.0, counts).map(|(i, _)| i);
            assert_eq!(columns.first(from, counts), expected, "over {from}");
            assert_eq!(columns.is_met(from, counts), expected.is_some(), "over {from}");
            let about = Bounds::around([from, from + V3::new(numbers.next(), numbers.next(), 0.0) * 9.0]);
            assert!(expected.is_none() || columns.is_over(&about), "over what is about {from}");
            met += usize::from(expected.is_some());
        }
        assert!((400..3900).contains(&met), "{met} of the places have something over them");
    }

    #[test]
    fn what_lies_lower_or_beside_is_not_over() {
        let at = |x: f64, y: f64| P3::new(x, y, 5.0);
        let columns = TriangleColumns::new(vec![[at(0.0, 0.0), at(4.0, 0.0), at(0.0, 4.0)]]);
        let about = |x: f64, z: f64| Bounds::around([P3::new(x, 1.0, z), P3::new(x + 0.5, 2.0, z)]);
        assert!(columns.is_over(&about(1.0, 0.0)), "below it");
        assert!(!columns.is_over(&about(1.0, 6.0)), "above it");
        assert!(!columns.is_over(&about(9.0, 0.0)), "beside it");
        assert!(!TriangleColumns::new(vec![]).is_over(&about(1.0, 0.0)), "nothing there");
        assert_eq!(TriangleColumns::default().first(at(1.0, 1.0), |_| true), None, "nothing there");
    }
}
