//! The modulus of a casting in a window around a place: volume over cooling surface.
//!
//! The metal is known along lines on a grid, the surface in small pieces; both are summed over the cells of a box on
//! request. Where the box cuts the metal nothing cools, as in a hand calculation by parts.

use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;

/// Half the window in which a lump's modulus is taken, in diameters of its ball.
const WINDOW: f64 = 0.75;

/// Side of a cell, mm.
pub(super) const CELL: f64 = 2.5;

/// Metal and cooling surface of a casting on a grid.
pub(super) struct Modulus {
    low: P3,
    size: [usize; 3],
    /// Volume and surface in each cell, mm³ and mm².
    cells: [Vec<f64>; 2],
}

/// Steps from the number of a cell to those of the cells that share a corner with it, with the distances of their middles, in
/// cells.
pub(super) struct Neighbors([(isize, f64); 26]);

impl Neighbors {
    /// The neighbours of a cell with metal, and how far off they are. All are cells, since the outermost layer has no metal.
    pub(super) fn of(&self, cell: usize) -> impl Iterator<Item = (usize, f64)> {
        self.0.iter().filter_map(move |(step, apart)| Some((cell.checked_add_signed(*step)?, *apart)))
    }
}

impl Modulus {
    /// The grid of a closed mesh.
    pub(super) fn new(mesh: &Mesh) -> Self {
        let (mut lo, mut hi) = (P3::from([f64::INFINITY; 3]), P3::from([f64::NEG_INFINITY; 3]));
        for v in &mesh.vertices {
            lo = lo.inf(v);
            hi = hi.sup(v);
        }
        // Planes through the shaft axis lie between cells, so that both sides of a symmetric part get the same cells.
        let lo = lo.map(|x| (x / CELL).floor() * CELL);
        let size = [0, 1, 2].map(|k| (((hi[k] - lo[k]) / CELL).ceil().max(0.0) as usize) + 2);
        let cells = size.iter().product();
        let mut out = Self { low: lo, size, cells: [vec![0.0; cells], vec![0.0; cells]] };
        out.fill(mesh);
        out.surface(mesh);
        out
    }

    /// Numbers of cells along the three axes; cells are numbered along the last one first.
    pub(super) fn size(&self) -> [usize; 3] {
        self.size
    }

    /// The number of all cells.
    pub(super) fn cells(&self) -> usize {
        self.cells[0].len()
    }

    /// Volume of metal in a cell, mm³.
    pub(super) fn volume(&self, cell: usize) -> f64 {
        self.cells[0][cell]
    }

    /// Whether metal fills at least half of a cell.
    pub(super) fn is_metal(&self, cell: usize) -> bool {
        self.volume(cell) >= 0.5 * CELL.powi(3)
    }

    /// The middle of a cell.
    pub(super) fn middle(&self, cell: usize) -> P3 {
        let [i, j, k] = self.place(cell).map(|at| (at as f64 - 0.5) * CELL);
        self.low + V3::new(i, j, k)
    }

    /// What leads from a cell to those that share a corner with it.
    pub(super) fn neighbors(&self) -> Neighbors {
        let [_, y, z] = self.size.map(usize::cast_signed);
        let mut out = [(0, 0.0); 26];
        let ways = (0..27).filter(|k| *k != 13).map(|k| [k / 9 - 1, k / 3 % 3 - 1, k % 3 - 1]);
        for (step, [i, j, k]) in out.iter_mut().zip(ways) {
            *step = ((i * y + j) * z + k, f64::from((i * i + j * j + k * k) as i8).sqrt());
        }
        Neighbors(out)
    }

    fn place(&self, cell: usize) -> [usize; 3] {
        let [_, y, z] = self.size;
        [cell / (y * z), cell / z % y, cell % z]
    }

    fn cell(&self, p: P3) -> [usize; 3] {
        let one = |k: usize| ((((p[k] - self.low[k]) / CELL).max(0.0) as usize) + 1).min(self.size[k] - 1);
        [one(0), one(1), one(2)]
    }

    fn index(&self, [i, j, k]: [usize; 3]) -> usize {
        (i * self.size[1] + j) * self.size[2] + k
    }

    /// Adds the metal along vertical lines, one through the middle of each cell, slightly offset so that no line
    /// meets an edge.
    fn fill(&mut self, mesh: &Mesh) {
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); self.size[0] * self.size[1]];
        let line = |low: f64, i: usize, off: f64| low + (i as f64 - 0.5 + off) * CELL;
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t);
            let (lo, hi) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
            // The lines that a triangle's box holds.
            let lines = |k: usize, off: f64| {
                let at = |x: f64| (x - self.low[k]) / CELL + 0.5 - off;
                let to = (at(hi[k]) + 1e-9).floor().max(-1.0) + 1.0;
                (at(lo[k]) - 1e-9).ceil().max(0.0) as usize..(to as usize).min(self.size[k])
            };
            for i in lines(0, 0.001_37) {
                for j in lines(1, 0.002_11) {
                    let (x, y) = (line(self.low.x, i, 0.001_37), line(self.low.y, j, 0.002_11));
                    if let Some(z) = crossing([a, b, c], x, y) {
                        crossings[i * self.size[1] + j].push(z);
                    }
                }
            }
        }
        for (column, mut heights) in crossings.into_iter().enumerate() {
            heights.sort_by(f64::total_cmp);
            let (i, j) = (column / self.size[1], column % self.size[1]);
            for pair in heights.chunks_exact(2) {
                let (from, to) =
                    (self.cell(P3::new(0.0, 0.0, pair[0]))[2], self.cell(P3::new(0.0, 0.0, pair[1]))[2]);
                for k in from..=to {
                    let base = self.low.z + (k as f64 - 1.0) * CELL;
                    let inside = (pair[1].min(base + CELL) - pair[0].max(base)).max(0.0);
                    let index = self.index([i, j, k]);
                    self.cells[0][index] += inside * CELL * CELL;
                }
            }
        }
    }

    /// The surface, in pieces no larger than a cell.
    fn surface(&mut self, mesh: &Mesh) {
        let mut left = Vec::new();
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t);
            // Halves of a triangle have half its area.
            left.push(Piece::of(a, b, c));
            while let Some(Piece { corners: [a, b, c], sides: [ab, bc, ca], area }) = left.pop() {
                // The longest side comes first.
                let ([a, b, c], [ab, bc, ca]) = if ca >= ab.max(bc) {
                    ([c, a, b], [ca, ab, bc])
                } else if bc >= ab {
                    ([b, c, a], [bc, ca, ab])
                } else {
                    ([a, b, c], [ab, bc, ca])
                };
                if ab > CELL {
                    let (middle, area) = (a + (b - a) * 0.5, 0.5 * area);
                    let across = (c - middle).norm();
                    let first = [(middle - a).norm(), across, ca];
                    let second = [(b - middle).norm(), bc, across];
                    left.push(Piece { corners: [a, middle, c], sides: first, area });
                    left.push(Piece { corners: [middle, b, c], sides: second, area });
                    continue;
                }
                let middle = P3::from((a.coords + b.coords + c.coords) / 3.0);
                let index = self.index(self.cell(middle));
                self.cells[1][index] += area;
            }
        }
    }

    /// Volume over surface in a box of the given half side around a place, mm; `None` if the box holds no surface. Cells that
    /// the box cuts count by their share in it, so that a small move changes little.
    pub(super) fn about(&self, p: P3, half: f64) -> Option<f64> {
        let h = V3::repeat(half);
        // Few places are requested, each with a small box, so its cells are summed directly.
        let (lo, hi) = (self.cell(p - h), self.cell(p + h));
        let shares = [0, 1, 2].map(|k| {
            let share = |cell: usize| {
                let base = self.low[k] + (cell as f64 - 1.0) * CELL;
                ((p[k] + half).min(base + CELL) - (p[k] - half).max(base)).max(0.0) / CELL
            };
            (lo[k]..=hi[k]).map(|cell| (cell, share(cell))).collect::<Vec<_>>()
        });
        let mut sums = [0.0; 2];
        for (i, x) in &shares[0] {
            for (j, y) in &shares[1] {
                for (k, z) in &shares[2] {
                    let (cell, share) = (self.index([*i, *j, *k]), x * y * z);
                    sums[0] += share * self.cells[0][cell];
                    sums[1] += share * self.cells[1][cell];
                }
            }
        }
        (sums[1] > 1e-6).then(|| sums[0] / sums[1])
    }

    /// The modulus of a lump about its largest ball, mm. Metal that reaches out of the window cools there too: no more than
    /// a plate's of that thickness.
    pub(super) fn of_lump(&self, center: P3, radius: f64) -> f64 {
        self.about(center, 2.0 * radius * WINDOW).map_or(radius, |about| about.min(radius))
    }
}

/// A piece of the surface: a triangle with the lengths of its sides, the one from the first corner first.
struct Piece {
    corners: [P3; 3],
    sides: [f64; 3],
    area: f64,
}

impl Piece {
    fn of(a: P3, b: P3, c: P3) -> Self {
        let sides = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
        Self { corners: [a, b, c], sides, area: 0.5 * (b - a).cross(&(c - a)).norm() }
    }
}

/// Height at which a vertical line at (x, y) passes through a triangle.
fn crossing([a, b, c]: [P3; 3], x: f64, y: f64) -> Option<f64> {
    let side = |p: P3, q: P3| (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x);
    let (u, v, w) = (side(b, c), side(c, a), side(a, b));
    let within = (u > 0.0 && v > 0.0 && w > 0.0) || (u < 0.0 && v < 0.0 && w < 0.0);
    within.then(|| (a.z * u + b.z * v + c.z * w) / (u + v + w))
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::{Frame, P2, V2};
    use solidwright::mesh::triangulate;
    use solidwright::solid::{Primitive, Solid, SolidTree, Tag, cylinder, rounded_rectangle};

    fn of(p: Primitive) -> Modulus {
        let mut tree = SolidTree::new();
        tree.add(p);
        Modulus::new(&triangulate(&Solid::of(tree).expect("a solid"), 0.05).expect("a mesh"))
    }

    /// A plate's modulus is half its thickness, a long bar's a quarter of its diameter (foundry handbooks; derived).
    #[test]
    fn plates_and_bars() {
        let tag = Tag::formed("plate", "side");
        let outline = rounded_rectangle(P2::origin(), V2::new(120.0, 120.0), 0.0, &tag);
        let plate = Primitive::prism("plate", Frame::world(), outline, 6.0, 0.0, [tag.clone(), tag.clone()]);
        let got = of(plate.expect("a plate")).about(P3::new(0.0, 0.0, 3.0), 20.0).expect("surface");
        assert!((got - 3.0).abs() < 0.05, "{got}");
        let bar = cylinder("bar", Frame::world(), 15.0, 200.0, &[tag.clone(), tag.clone(), tag]);
        let got = of(bar.expect("a bar")).about(P3::new(0.0, 0.0, 100.0), 25.0).expect("surface");
        assert!((got - 7.5).abs() < 0.15, "{got}");
    }

    /// In a box around all of it, a cylinder of 30 by 40 mm has the modulus of its table row (T1.8, derived).
    #[test]
    fn t1_8_the_whole_cylinder() {
        let tag = Tag::formed("bar", "side");
        let bar = cylinder("bar", Frame::world(), 15.0, 40.0, &[tag.clone(), tag.clone(), tag]);
        let got = of(bar.expect("a bar")).about(P3::new(0.0, 0.0, 20.0), 60.0).expect("surface");
        assert!((got - 5.4545).abs() < 0.05, "{got}");
    }

    #[test]
    fn far_away_there_is_nothing() {
        let tag = Tag::formed("bar", "side");
        let bar = cylinder("bar", Frame::world(), 15.0, 40.0, &[tag.clone(), tag.clone(), tag]);
        assert_eq!(of(bar.expect("a bar")).about(P3::new(0.0, 0.0, 20.0), 1.0), None);
    }
}
