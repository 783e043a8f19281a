//! Samples of a plane grid under a triangle, as pictures and maps of heights take them.

use crate::geometry::V3;

/// Shows each sample whose middle lies under a triangle: its column, its row, and the triangle's height there.
///
/// The grid has cells of side 1 along x and y, from zero on, as many columns and rows as told; what lies beyond them is left out. The crossing
/// of a side with a row is the same number for both triangles at that side, so that together they leave none out and take none twice. The
/// height stays between those of the corners, however steep the triangle.
pub fn each_sample(
    mut corners: [V3; 3],
    [columns, rows]: [usize; 2],
    mut visit: impl FnMut(usize, usize, f64),
) {
    corners.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
    let [low, middle, high] = corners;
    let slope = Slope::through(corners);
    for row in sample(low.y)..sample(high.y).min(rows) {
        let y = row as f64 + 0.5;
        let short = if y < middle.y { crossing(low, middle, y) } else { crossing(middle, high, y) };
        let long = crossing(low, high, y);
        for column in sample(short.min(long))..sample(short.max(long)).min(columns) {
            visit(column, row, slope.at(column as f64 + 0.5, y));
        }
    }
}

/// The first sample whose middle lies at or beyond a coordinate.
fn sample(c: f64) -> usize {
    (c - 0.5).ceil().max(0.0) as usize
}

/// Where a side, its lower end first, crosses a row.
fn crossing(a: V3, b: V3, y: f64) -> f64 {
    let part = if b.y > a.y { ((y - a.y) / (b.y - a.y)).clamp(0.0, 1.0) } else { 0.0 };
    a.x + (b.x - a.x) * part
}

/// The plane of a triangle as height over the grid.
struct Slope {
    base: V3,
    dx: f64,
    dy: f64,
    least: f64,
    most: f64,
}

impl Slope {
    fn through([a, b, c]: [V3; 3]) -> Self {
        let (p, q) = (b - a, c - a);
        let area = p.x * q.y - p.y * q.x;
        let dx = (p.z * q.y - q.z * p.y) / area;
        let dy = (q.z * p.x - p.z * q.x) / area;
        Self { base: a, dx, dy, least: a.z.min(b.z).min(c.z), most: a.z.max(b.z).max(c.z) }
    }

    /// Never beyond the corners, however steep the triangle.
    fn at(&self, x: f64, y: f64) -> f64 {
        let z = self.base.z + self.dx * (x - self.base.x) + self.dy * (y - self.base.y);
        z.min(self.most).max(self.least)
    }
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};
    use rand_xoshiro::Xoshiro256PlusPlus;

    use super::*;

    /// A fan of triangles around a place covers each sample of the rectangle about it once; on a tilted plane the heights are those of
    /// the plane.
    #[test]
    fn a_fan_takes_each_sample_once() {
        const SIZE: [usize; 2] = [40, 30];
        let mut random = Xoshiro256PlusPlus::seed_from_u64(3);
        for _ in 0..50 {
            // Sides through the middles of samples too: whole numbers and halves.
            let mut any = |most: usize| 0.5 * f64::from(random.random_range(1..2 * most as u32));
            let (x, y) = (any(SIZE[0]), any(SIZE[1]));
            let height = |x: f64, y: f64| 0.3 * x - 0.7 * y;
            let at = |x: f64, y: f64| V3::new(x, y, height(x, y));
            let rim = [at(0.0, 0.0), at(40.0, 0.0), at(40.0, 30.0), at(0.0, 30.0)];
            let mut taken = [[0; SIZE[0]]; SIZE[1]];
            for k in 0..4 {
                each_sample([at(x, y), rim[k], rim[(k + 1) % 4]], SIZE, |column, row, z| {
                    taken[row][column] += 1;
                    let wanted = height(column as f64 + 0.5, row as f64 + 0.5);
                    assert!((z - wanted).abs() < 1e-9, "{z} at {column}, {row}: {wanted} on the plane");
                });
            }
            assert!(taken.iter().flatten().all(|times| *times == 1), "about {x}, {y}: {taken:?}");
        }
    }

    /// Only the samples of the grid are shown, and none of a triangle that is seen edge on.
    #[test]
    fn what_lies_beyond_the_grid_is_left_out() {
        let mut count = 0;
        let large = [V3::new(-50.0, -50.0, 1.0), V3::new(200.0, -50.0, 1.0), V3::new(-50.0, 200.0, 1.0)];
        each_sample(large, [8, 5], |_, _, _| count += 1);
        assert_eq!(count, 40, "of 40 samples");
        let upright = [V3::new(1.0, 1.0, 0.0), V3::new(6.0, 4.0, 0.0), V3::new(3.5, 2.5, 9.0)];
        each_sample(upright, [8, 5], |column, row, _| panic!("{column}, {row}"));
    }
}
