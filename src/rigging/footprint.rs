//! What is taken on the parting plane: the casting seen along the pull, its prints, and all that is placed already.

use super::Parting;
use solidwright::geometry::{Bounds, P2, P3, V2};
use solidwright::mesh::Mesh;

/// Side of a cell, mm.
pub(super) const CELL: f64 = 3.0;

/// Room about the casting that the grid covers, mm: things farther off stand free.
const AROUND: f64 = 30.0;

/// The plane in cells.
#[derive(Clone, Debug)]
pub(super) struct Footprint {
    corner: P2,
    size: [usize; 2],
    taken: Vec<bool>,
    /// What is placed outside the grid or on it, as boxes along the shaft: middle and half extents.
    placed: Vec<(P2, V2)>,
}

impl Footprint {
    /// The metal of a mesh that lies higher than `deep` below the plane, with all that it encloses, and some boxes.
    pub(super) fn of(mesh: &Mesh, prints: &[Bounds], parting: Parting, deep: f64) -> Self {
        let flat = mesh.vertices.iter().map(|p| parting.flat(*p));
        let boxes: Vec<(P2, P2)> = prints.iter().filter_map(|b| lying(b, parting, deep)).collect();
        let (mut low, mut high) =
            (P2::new(f64::INFINITY, f64::INFINITY), P2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
        for p in flat.chain(boxes.iter().flat_map(|b| [b.0, b.1])) {
            (low, high) = (low.inf(&p), high.sup(&p));
        }
        let corner = low - V2::repeat(AROUND);
        let size = [0, 1].map(|k| ((high[k] - low[k] + 2.0 * AROUND) / CELL).ceil().max(1.0) as usize);
        let mut out = Self { corner, size, taken: vec![false; size[0] * size[1]], placed: vec![] };
        for t in 0..mesh.triangles.len() {
            out.take_triangle(mesh.corners(t), parting, deep);
        }
        for (low, high) in boxes {
            let (middle, half) = (P2::from((low.coords + high.coords) * 0.5), (high - low) * 0.5);
            for p in within(middle, half, 0.5 * CELL) {
                out.take(p);
            }
        }
        out.fill();
        out
    }

    fn cell(&self, p: P2) -> Option<usize> {
        let at = (p - self.corner) / CELL;
        let inside =
            at.x >= 0.0 && at.y >= 0.0 && (at.x as usize) < self.size[0] && (at.y as usize) < self.size[1];
        inside.then(|| at.x as usize + at.y as usize * self.size[0])
    }

    fn take(&mut self, p: P2) {
        if let Some(cell) = self.cell(p) {
            self.taken[cell] = true;
        }
    }

    fn take_triangle(&mut self, corners: [P3; 3], parting: Parting, deep: f64) {
        if corners.iter().all(|p| parting.height(*p) < -deep) {
            return;
        }
        let flat = corners.map(|p| parting.flat(p));
        let longest = [0, 1, 2].map(|k| (flat[k] - flat[(k + 1) % 3]).norm()).into_iter().fold(0.0, f64::max);
        let steps = (longest / (0.5 * CELL)).ceil().max(1.0) as usize;
        for i in 0..=steps {
            for j in 0..=steps - i {
                let [a, b] = [i, j].map(|n| n as f64 / steps as f64);
                let p = corners[0] + (corners[1] - corners[0]) * a + (corners[2] - corners[0]) * b;
                if parting.height(p) >= -deep {
                    self.take(parting.flat(p));
                }
            }
        }
    }

    /// Takes every cell that cannot be reached from outside.
    fn fill(&mut self) {
        let [n, m] = self.size;
        let mut outside = vec![false; self.taken.len()];
        let rim =
            (0..n).flat_map(|i| [i, i + (m - 1) * n]).chain((0..m).flat_map(|j| [j * n, n - 1 + j * n]));
        let mut open: Vec<usize> = rim.filter(|c| !self.taken[*c]).collect();
        while let Some(cell) = open.pop() {
            if std::mem::replace(&mut outside[cell], true) {
                continue;
            }
            let (i, j) = (cell % n, cell / n);
            let next = [
                (i > 0).then(|| cell - 1),
                (i + 1 < n).then(|| cell + 1),
                (j > 0).then(|| cell - n),
                (j + 1 < m).then(|| cell + n),
            ];
            open.extend(next.into_iter().flatten().filter(|c| !self.taken[*c] && !outside[*c]));
        }
        self.taken.iter_mut().zip(outside).for_each(|(taken, outside)| *taken = !outside);
    }

    /// Whether a place is free.
    pub(super) fn is_free(&self, p: P2) -> bool {
        let held = self.placed.iter().any(|(middle, half)| {
            let d = (p - middle).abs();
            d.x < half.x && d.y < half.y
        });
        !held && self.cell(p).is_none_or(|c| !self.taken[c])
    }

    /// Whether a disc is free.
    pub(super) fn disc_is_free(&self, middle: P2, radius: f64) -> bool {
        within(middle, V2::repeat(radius), CELL).all(|p| (p - middle).norm() > radius || self.is_free(p))
    }

    /// Whether a strip is free: from one place to another, and half its width to either side.
    pub(super) fn strip_is_free(&self, from: P2, to: P2, half: f64) -> bool {
        let length = (to - from).norm();
        let Some(along) = (to - from).try_normalize(1e-9) else { return self.is_free(from) };
        let across = V2::new(-along.y, along.x);
        let half = V2::new(0.5 * length, half);
        within(P2::new(half.x, 0.0), half, CELL).all(|p| self.is_free(from + along * p.x + across * p.y))
    }

    /// Takes a square about a disc.
    pub(super) fn take_disc(&mut self, middle: P2, radius: f64) {
        self.placed.push((middle, V2::repeat(radius)));
    }

    /// How far what is taken reaches in a direction of the plane, from the middle of the gearbox face.
    /// Only what lies at places of some kind counts.
    pub(super) fn reach(&self, towards: V2, at: impl Fn(P2) -> bool) -> f64 {
        let middle = |c: usize| {
            self.corner + V2::new((c % self.size[0]) as f64 + 0.5, (c / self.size[0]) as f64 + 0.5) * CELL
        };
        let cells = (0..self.taken.len()).filter(|c| self.taken[*c]).map(middle);
        let cells = cells.filter(|p| at(*p)).map(|p| p.coords.dot(&towards) + 0.5 * CELL);
        let within = |p: P2, half: V2| [-1.0, 0.0, 1.0].iter().any(|s| at(p + V2::new(s * half.x, 0.0)));
        let placed = self.placed.iter().filter(|(p, half)| within(*p, *half));
        let placed = placed.map(|(p, half)| p.coords.dot(&towards) + half.dot(&towards.abs()));
        cells.chain(placed).fold(0.0, f64::max)
    }
}

/// The box of bounds on the plane, if it comes high enough.
fn lying(bounds: &Bounds, parting: Parting, deep: f64) -> Option<(P2, P2)> {
    let along = |way| bounds.along(P3::origin(), way);
    let ((u, w), (v, z)) = (along(solidwright::geometry::V3::x()), along(parting.across));
    (along(parting.up).1 > -deep).then_some((P2::new(u, v), P2::new(w, z)))
}

/// Places in even rows over a box, its rim with them.
fn within(middle: P2, half: V2, step: f64) -> impl Iterator<Item = P2> {
    let [n, m] = [half.x, half.y].map(|h| (2.0 * h / step).ceil().max(1.0) as usize);
    (0..=n).flat_map(move |i| {
        (0..=m).map(move |j| {
            let [a, b] = [(i, n), (j, m)].map(|(k, of)| 2.0 * k as f64 / of as f64 - 1.0);
            middle + V2::new(half.x * a, half.y * b)
        })
    })
}
