//! The modulus of a casting in a window about a place: metal over cooling surface.
//!
//! The metal is known along lines on a grid, the surface in small pieces; both are summed so that any box is read off at
//! once. Where the box cuts the metal nothing cools, as in any hand sum by parts.

use crate::geometry::P3;
use crate::mesh::Mesh;

/// Side of a cell, mm.
const CELL: f64 = 2.5;

/// Metal and cooling surface of a casting on a grid.
pub(super) struct Modulus {
    low: P3,
    size: [usize; 3],
    /// Sums of volume and of surface from the low corner, mm³ and mm².
    sums: [Vec<f64>; 2],
}

impl Modulus {
    /// Of a closed mesh.
    pub(super) fn new(mesh: &Mesh) -> Self {
        let (mut lo, mut hi) = (P3::from([f64::INFINITY; 3]), P3::from([f64::NEG_INFINITY; 3]));
        for v in &mesh.vertices {
            lo = lo.inf(v);
            hi = hi.sup(v);
        }
        let size = [0, 1, 2].map(|k| (((hi[k] - lo[k]) / CELL).ceil().max(0.0) as usize) + 2);
        let cells = size.iter().product();
        let mut out = Self { low: lo, size, sums: [vec![0.0; cells], vec![0.0; cells]] };
        out.fill(mesh);
        out.surface(mesh);
        out.sum_up();
        out
    }

    fn cell(&self, p: P3) -> [usize; 3] {
        [0, 1, 2].map(|k| ((((p[k] - self.low[k]) / CELL).max(0.0) as usize) + 1).min(self.size[k] - 1))
    }

    fn index(&self, [i, j, k]: [usize; 3]) -> usize {
        (i * self.size[1] + j) * self.size[2] + k
    }

    /// The metal along lines up, one through the middle of each cell, a little off so that no line meets an edge.
    fn fill(&mut self, mesh: &Mesh) {
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); self.size[0] * self.size[1]];
        let line = |low: f64, i: usize, off: f64| low + (i as f64 - 0.5 + off) * CELL;
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t);
            let (lo, hi) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
            let (from, to) = (self.cell(lo), self.cell(hi));
            for i in from[0].saturating_sub(1)..=(to[0] + 1).min(self.size[0] - 1) {
                for j in from[1].saturating_sub(1)..=(to[1] + 1).min(self.size[1] - 1) {
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
                    self.sums[0][index] += inside * CELL * CELL;
                }
            }
        }
    }

    /// The surface, in pieces no larger than a cell.
    fn surface(&mut self, mesh: &Mesh) {
        for t in 0..mesh.triangles.len() {
            let mut left = vec![mesh.corners(t)];
            while let Some([a, b, c]) = left.pop() {
                let sides = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
                let longest = (0..3).max_by(|i, j| sides[*i].total_cmp(&sides[*j])).unwrap_or(0);
                if sides[longest] > CELL {
                    let [a, b, c] = [[a, b, c], [b, c, a], [c, a, b]][longest];
                    let middle = a + (b - a) * 0.5;
                    left.extend([[a, middle, c], [middle, b, c]]);
                    continue;
                }
                let middle = P3::from((a.coords + b.coords + c.coords) / 3.0);
                let index = self.index(self.cell(middle));
                self.sums[1][index] += 0.5 * (b - a).cross(&(c - a)).norm();
            }
        }
    }

    fn sum_up(&mut self) {
        let [nx, ny, nz] = self.size;
        for sums in &mut self.sums {
            let at = |i: usize, j: usize, k: usize| (i * ny + j) * nz + k;
            for i in 0..nx {
                for j in 0..ny {
                    for k in 1..nz {
                        sums[at(i, j, k)] += sums[at(i, j, k - 1)];
                    }
                }
            }
            for i in 0..nx {
                for j in 1..ny {
                    for k in 0..nz {
                        sums[at(i, j, k)] += sums[at(i, j - 1, k)];
                    }
                }
            }
            for i in 1..nx {
                for j in 0..ny {
                    for k in 0..nz {
                        sums[at(i, j, k)] += sums[at(i - 1, j, k)];
                    }
                }
            }
        }
    }

    /// Metal over surface in a box of the given half side about a place, mm; none where the box holds no surface.
    pub(super) fn about(&self, p: P3, half: f64) -> Option<f64> {
        let h = crate::geometry::V3::repeat(half);
        let (lo, hi) = (self.cell(p - h).map(|i| i.saturating_sub(1)), self.cell(p + h));
        let [volume, surface] = [0, 1].map(|s| {
            let sums = &self.sums[s];
            let mut total = 0.0;
            for corner in 0..8 {
                let pick = [0, 1, 2].map(|k| if corner >> k & 1 == 1 { hi[k] } else { lo[k] });
                let low = (0..3).filter(|k| corner >> k & 1 == 0).count();
                let sign = if low % 2 == 0 { 1.0 } else { -1.0 };
                total += sign * sums[self.index(pick)];
            }
            total
        });
        (surface > 1e-6).then(|| volume / surface)
    }
}

/// Height at which a line up at (x, y) goes through a triangle.
fn crossing([a, b, c]: [P3; 3], x: f64, y: f64) -> Option<f64> {
    let side = |p: P3, q: P3| (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x);
    let (u, v, w) = (side(b, c), side(c, a), side(a, b));
    let within = (u > 0.0 && v > 0.0 && w > 0.0) || (u < 0.0 && v < 0.0 && w < 0.0);
    within.then(|| (a.z * u + b.z * v + c.z * w) / (u + v + w))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, P2, V2};
    use crate::mesh::triangulate;
    use crate::solid::evaluate::evaluate;
    use crate::solid::{Primitive, SolidTree, Tag, cylinder, rounded_rectangle};

    fn of(p: Primitive) -> Modulus {
        let mut tree = SolidTree::new();
        tree.add(p);
        Modulus::new(&triangulate(&evaluate(&tree).expect("a boundary"), 0.05).expect("a mesh"))
    }

    /// A plate's modulus is half its thickness, a long bar's a quarter of its diameter (foundry handbooks; derived).
    #[test]
    fn plates_and_bars() {
        let tag = Tag::cast("plate", "side");
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
        let tag = Tag::cast("bar", "side");
        let bar = cylinder("bar", Frame::world(), 15.0, 40.0, &[tag.clone(), tag.clone(), tag]);
        let got = of(bar.expect("a bar")).about(P3::new(0.0, 0.0, 20.0), 60.0).expect("surface");
        assert!((got - 5.4545).abs() < 0.05, "{got}");
    }

    #[test]
    fn far_away_there_is_nothing() {
        let tag = Tag::cast("bar", "side");
        let bar = cylinder("bar", Frame::world(), 15.0, 40.0, &[tag.clone(), tag.clone(), tag]);
        assert_eq!(of(bar.expect("a bar")).about(P3::new(0.0, 0.0, 20.0), 1.0), None);
    }
}
