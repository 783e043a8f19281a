//! What hangs over a half, as heights on a grid: quick where partings are only compared.


use super::facets::{Corner, Facet, Half};

/// Width of the grid, mm: what hangs over by less is missed, most of which rapping frees.
const CELL: f64 = 0.5;

/// Cells to a side of a tile, of which the greatest height is known.
const TILE: usize = 32;

/// Facets are cut to this length, mm.
const PIECE: f64 = 2.0;

/// How far outside of a facet it is asked what hangs over it, mm: in the middle of the next cell, so that a wall does not stand over
/// itself.
const BESIDE: f64 = 0.75 * CELL;

/// The greatest heights of triangles over a grid, with their faces.
struct Heights {
    from: [f64; 2],
    cells: [usize; 2],
    /// Height and face of each cell, row by row; minus infinity where nothing is.
    highest: Vec<(f64, u32)>,
    tiles: [usize; 2],
    /// The greatest height in each tile.
    tops: Vec<f64>,
}

impl Heights {
    fn of(facets: &[Facet]) -> Self {
        let ends = |k: usize| {
            let all = facets.iter().flat_map(|f| f.corners.iter().map(move |c| c.p[k]));
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| (lo.min(x), hi.max(x)))
        };
        let [x, y] = [ends(0), ends(1)];
        let count = |(lo, hi): (f64, f64)| if hi < lo { 0 } else { ((hi - lo) / CELL) as usize + 1 };
        let cells = [count(x), count(y)];
        let tiles = cells.map(|n| n.div_ceil(TILE));
        let mut out = Self {
            from: [x.0, y.0],
            cells,
            highest: vec![(f64::NEG_INFINITY, 0); cells[0] * cells[1]],
            tiles,
            tops: vec![f64::NEG_INFINITY; tiles[0] * tiles[1]],
        };
        facets.iter().for_each(|f| out.add(f));
        out
    }

    /// The cell of a place along one axis; it may lie outside of the grid.
    fn cell(&self, k: usize, x: f64) -> f64 {
        (x - self.from[k]) / CELL
    }

    /// The cells whose middles lie between two places along one axis.
    fn between(&self, k: usize, lo: f64, hi: f64) -> std::ops::Range<usize> {
        let first = (self.cell(k, lo) - 0.5).ceil().max(0.0) as usize;
        let last = (self.cell(k, hi) - 0.5).floor();
        if last < 0.0 { 0..0 } else { first..(last as usize + 1).min(self.cells[k]) }
    }

    /// Takes a triangle in.
    fn add(&mut self, f: &Facet) {
        let [a, b, c] = f.corners.map(|c| c.p);
        let (ab, ac) = (b - a, c - a);
        let twice = ab.x * ac.y - ab.y * ac.x;
        if twice.abs() < 1e-12 {
            return;
        }
        let middle = |k: usize, i: usize| self.from[k] + (i as f64 + 0.5) * CELL;
        let (lo, hi) = (a.y.min(b.y).min(c.y), a.y.max(b.y).max(c.y));
        for j in self.between(1, lo, hi) {
            let y = middle(1, j);
            // Where the row of middles crosses the three sides.
            let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
            for (p, q) in [(a, b), (b, c), (c, a)] {
                if (p.y <= y) != (q.y <= y) {
                    let x = p.x + (q.x - p.x) * (y - p.y) / (q.y - p.y);
                    ends = (ends.0.min(x), ends.1.max(x));
                }
            }
            for i in self.between(0, ends.0, ends.1) {
                let (x, y) = (middle(0, i) - a.x, y - a.y);
                let (s, t) = ((x * ac.y - y * ac.x) / twice, (ab.x * y - ab.y * x) / twice);
                let z = a.z + s * ab.z + t * ac.z;
                let own = &mut self.highest[j * self.cells[0] + i];
                if z > own.0 {
                    *own = (z, f.face);
                    let tile = (j / TILE) * self.tiles[0] + i / TILE;
                    self.tops[tile] = self.tops[tile].max(z);
                }
            }
        }
    }

    /// What is highest over a place.
    fn at(&self, x: f64, y: f64) -> Option<(f64, u32)> {
        let [i, j] = [self.cell(0, x), self.cell(1, y)];
        let within = i >= 0.0 && j >= 0.0 && i < self.cells[0] as f64 && j < self.cells[1] as f64;
        within.then(|| self.highest[j as usize * self.cells[0] + i as usize])
    }

    /// Whether anything may be higher than a facet's lowest corner over it or beside it.
    fn may_cover(&self, f: &Facet) -> bool {
        let b = f.bounds().grown(CELL);
        let tiles = |k: usize| {
            let (lo, hi) = (self.cell(k, b.min[k]).max(0.0), self.cell(k, b.max[k]));
            if hi < 0.0 { 0..0 } else { lo as usize / TILE..(hi as usize / TILE + 1).min(self.tiles[k]) }
        };
        tiles(1).any(|j| tiles(0).any(|i| self.tops[j * self.tiles[0] + i] > b.min.z + CELL))
    }
}

/// What hangs over a half.
pub(super) struct Roof {
    /// What leans more than is forgiven.
    steep: Heights,
    /// What leans less.
    forgiven: Heights,
}

impl Roof {
    pub(super) fn of(half: &Half) -> Self {
        Self { steep: Heights::of(&half.against), forgiven: Heights::of(&half.forgiven) }
    }

    /// Shows the pieces of a half in the shadow of others, though they don't face against the pull.
    pub(super) fn covered(&self, half: &Half, mut show: impl FnMut(Facet)) {
        let all = half.open.iter().map(|f| (f, None)).chain(half.forgiven.iter().map(|f| (f, Some(f.face))));
        for (facet, but) in all {
            let mut left = vec![*facet];
            while let Some(piece) = left.pop() {
                if !self.steep.may_cover(&piece) && !self.forgiven.may_cover(&piece) {
                    continue;
                }
                if let Some(halves) = piece.halves(PIECE) {
                    left.extend(halves);
                } else if self.covers(&piece.middle(), but) {
                    show(piece);
                }
            }
        }
    }

    /// Whether something hangs over a place of the surface, but for what is forgiven of one face.
    fn covers(&self, at: &Corner, but: Option<u32>) -> bool {
        let out = at.n.xy().try_normalize(1e-6).map_or(at.p.xy(), |n| at.p.xy() + n * BESIDE);
        let above = |heights: &Heights| heights.at(out.x, out.y).filter(|(z, _)| *z > at.p.z + CELL);
        above(&self.steep).is_some() || above(&self.forgiven).is_some_and(|(_, face)| but != Some(face))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::{P3, V3};

    fn facet(corners: [[f64; 3]; 3], n: V3, face: u32) -> Facet {
        Facet { corners: corners.map(|c| Corner { p: P3::from(c), n }), face }
    }

    /// A triangle with legs of 20 mm, 10 mm above the plane, hangs over half of a square of 20 mm under it.
    #[test]
    fn a_triangle_hangs_over_what_lies_under_it() {
        let roof = facet([[0.0, 0.0, 10.0], [0.0, 20.0, 10.0], [20.0, 0.0, 10.0]], -V3::z(), 0);
        let heights = Heights::of(&[roof]);
        let mut covered = 0;
        for i in 0..40 {
            for j in 0..40 {
                let (x, y) = (0.5 * f64::from(i) + 0.25, 0.5 * f64::from(j) + 0.25);
                covered += usize::from(heights.at(x, y).is_some_and(|h| (h.0 - 10.0).abs() < 1e-12));
            }
        }
        assert!(
            (f64::from(u32::try_from(covered).unwrap_or(0)) * 0.25 - 200.0).abs() < 6.0,
            "{covered} cells"
        );
        assert!(heights.at(30.0, 5.0).is_none(), "nothing beside it");
        let under = facet([[2.0, 2.0, 0.0], [4.0, 2.0, 0.0], [2.0, 4.0, 0.0]], V3::z(), 1);
        assert!(heights.may_cover(&under));
        let over = facet([[2.0, 2.0, 12.0], [4.0, 2.0, 12.0], [2.0, 4.0, 12.0]], V3::z(), 1);
        assert!(!heights.may_cover(&over));
    }
}
