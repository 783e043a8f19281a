//! Inner points of a face, laid out evenly on its map and clear of its edges.

use std::f64::consts::TAU;

use crate::geometry::P2;
use crate::tolerance::WHOLE_ROWS;

use super::face_map::PointLayout;

/// Inner points closer than this to an edge are left out, in units of the map.
const CLEAR: f64 = 0.5;

/// Distance between the samples of an edge that stand for it here, in units.
const SAMPLE: f64 = 0.25;

/// Inner points for a face with the given edge points and pieces.
pub(super) fn lattice(layout: PointLayout, points: &[P2], pieces: &[[u32; 2]]) -> Vec<P2> {
    let (lo, hi) = points.iter().fold((points[0], points[0]), |(a, b), p| (a.inf(p), b.sup(p)));
    let size = hi - lo;
    let mut out = match layout {
        PointLayout::Bare => return vec![],
        PointLayout::Grid { loose } => {
            let columns = (size.x - WHOLE_ROWS).ceil().max(1.0) as u32;
            let rows = if loose { size.y.round() } else { (size.y - WHOLE_ROWS).ceil() }.max(1.0) as u32;
            grid(lo, size.x, size.y, columns, rows)
        }
        PointLayout::Rings { step, radius } => rings(lo, hi, step, radius),
    };
    if out.is_empty() {
        return out;
    }
    let crowd = Crowd::new(lo, hi, points, pieces);
    let clear = |p: &P2| match layout {
        // The map of a ball grows outwards: a unit there is more than a unit here.
        PointLayout::Rings { radius, .. } => {
            CLEAR * (1.0 + p.coords.norm_squared() / (4.0 * radius * radius)).min(2.0)
        }
        _ => CLEAR,
    };
    out.retain(|p| !crowd.within(*p, clear(p)));
    out
}

fn grid(lo: P2, width: f64, height: f64, columns: u32, rows: u32) -> Vec<P2> {
    let mut out = Vec::with_capacity(columns as usize * rows as usize);
    for j in 1..rows {
        let y = lo.y + height * f64::from(j) / f64::from(rows);
        for i in 1..columns {
            out.push(P2::new(lo.x + width * f64::from(i) / f64::from(columns), y));
        }
    }
    out
}

/// Points of a ball evenly apart, on the stereographic map about its pole.
fn rings(lo: P2, hi: P2, step: f64, radius: f64) -> Vec<P2> {
    let far = lo.coords.abs().sup(&hi.coords.abs()).norm();
    let last = 2.0 * (far / (2.0 * radius)).atan();
    let mut out = vec![P2::origin()];
    let count = (last / step).floor() as u32;
    for k in 1..=count {
        let angle = f64::from(k) * step;
        let reach = 2.0 * radius * (0.5 * angle).tan();
        let n = (TAU * angle.sin() / step).ceil().max(3.0) as u32;
        for i in 0..n {
            // Every other ring is turned by half a step.
            let turn = TAU * (f64::from(i) + 0.5 * f64::from(k % 2)) / f64::from(n);
            out.push(P2::new(reach * turn.cos(), reach * turn.sin()));
        }
    }
    out.retain(|p| lo.x <= p.x && p.x <= hi.x && lo.y <= p.y && p.y <= hi.y);
    out
}

/// Samples of all edges, sorted into square cells of one unit.
struct Crowd {
    lo: P2,
    columns: usize,
    rows: usize,
    first: Vec<u32>,
    samples: Vec<P2>,
}

impl Crowd {
    fn new(lo: P2, hi: P2, points: &[P2], pieces: &[[u32; 2]]) -> Self {
        let columns = (hi.x - lo.x) as usize + 1;
        let rows = (hi.y - lo.y) as usize + 1;
        let mut crowd = Self { lo, columns, rows, first: vec![0; columns * rows + 1], samples: vec![] };
        let mut loose = Vec::new();
        for &[a, b] in pieces {
            let (p, q) = (points[a as usize], points[b as usize]);
            let n = ((q - p).norm() / SAMPLE).ceil().max(1.0) as u32;
            loose.extend((0..n).map(|k| p + (q - p) * (f64::from(k) / f64::from(n))));
        }
        for p in &loose {
            let cell = crowd.cell(*p);
            crowd.first[cell + 1] += 1;
        }
        for k in 0..columns * rows {
            crowd.first[k + 1] += crowd.first[k];
        }
        let mut next = crowd.first.clone();
        crowd.samples = vec![P2::origin(); loose.len()];
        for p in loose {
            let cell = crowd.cell(p);
            crowd.samples[next[cell] as usize] = p;
            next[cell] += 1;
        }
        crowd
    }

    fn column_row(&self, p: P2) -> (usize, usize) {
        let d = p - self.lo;
        (d.x.clamp(0.0, (self.columns - 1) as f64) as usize, d.y.clamp(0.0, (self.rows - 1) as f64) as usize)
    }

    fn cell(&self, p: P2) -> usize {
        let (i, j) = self.column_row(p);
        j * self.columns + i
    }

    /// Whether a sample is within the distance, at most one unit, of `p`.
    fn within(&self, p: P2, distance: f64) -> bool {
        let (i, j) = self.column_row(p);
        (j.saturating_sub(1)..=(j + 1).min(self.rows - 1)).any(|row| {
            let from = self.first[row * self.columns + i.saturating_sub(1)] as usize;
            let to = self.first[row * self.columns + (i + 1).min(self.columns - 1) + 1] as usize;
            self.samples[from..to].iter().any(|s| (s - p).norm_squared() < distance * distance)
        })
    }
}
