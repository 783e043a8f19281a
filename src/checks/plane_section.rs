//! Plane sections of a meshed solid: area, centroid and second moments.
//!
//! The mesh lies within its chord error e of the exact faces. A section square to the faces that it cuts has its outlines,
//! of length L, within e of the exact ones: its area is off by at most e L, its second moment about its centroid by at most
//! the integral of (|y| + e)² e along the outlines, and by what the centroid's own error takes off ([`PlaneSection::errors`]). A
//! cut that leans to a face by an angle makes that e over the angle's sine.

use std::collections::BTreeMap;

use solidwright::geometry::{P3, V3};

/// A cutting plane with two directions in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cut {
    /// A point of the plane.
    pub(super) origin: P3,
    /// Both directions in the plane; the plane's normal is their cross product.
    pub(super) axes: [V3; 2],
}

/// A plane section. Second moments are about its centroid, mm⁴.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlaneSection {
    /// mm².
    pub(super) area: f64,
    /// Integral of the squared distance along each axis.
    pub(super) second: [f64; 2],
    /// Greatest distance from the centroid along each axis, mm.
    pub(super) reach: [f64; 2],
    /// Length of its outlines, mm.
    pub(super) length: f64,
    /// Integral along its outlines of the squared distance from the centroid along each axis, mm³.
    along_outline: [f64; 2],
}

/// What a triangle leaves in the plane, in the plane's coordinates: its ends, with metal on the left.
pub(super) type Piece = [[f64; 2]; 2];

/// The pieces of triangles that face outwards, in their order.
pub(super) fn pieces(triangles: impl Iterator<Item = [P3; 3]>, cut: &Cut) -> Vec<Piece> {
    triangles.filter_map(|corners| crossing(&corners, cut)).collect()
}

/// The pieces of one outline, head to tail, with metal on the left.
pub(super) type Outline = Vec<Piece>;

/// The closed outlines of a section; `None` where one of them is open.
pub(super) fn outlines(pieces: &[Piece]) -> Option<Vec<Outline>> {
    let mut from: BTreeMap<[u64; 2], Piece> = BTreeMap::new();
    for piece in pieces.iter().copied() {
        let [start, end] = piece.map(|p| p.map(f64::to_bits));
        if start != end {
            from.insert(start, piece);
        }
    }
    let mut out = Vec::new();
    while let Some((start, first)) = from.pop_first() {
        let mut outline = vec![first];
        let mut end = first[1].map(f64::to_bits);
        while let Some(next) = from.remove(&end) {
            outline.push(next);
            end = next[1].map(f64::to_bits);
        }
        if end != start {
            return None;
        }
        out.push(outline);
    }
    Some(out)
}

/// Gap of an outline that counts as closed, as a share of its length.
const CLOSED: f64 = 1e-6;

impl PlaneSection {
    /// Bounds of the errors of the area and of both second moments, for a mesh within this distance of faces square to the cut,
    /// as shares.
    pub(super) fn errors(&self, chord: f64) -> [f64; 3] {
        let band = chord * self.length;
        let moment = |k: usize| {
            let along = self.along_outline[k];
            // Cauchy and Schwarz: the integral of |y| along the outlines is at most the root of L times that of y².
            let mean = (self.length * along).sqrt();
            let strip = chord * (along + 2.0 * chord * mean + chord * band);
            let shift = (chord * mean).powi(2) / (self.area - band).max(f64::MIN_POSITIVE);
            (strip + shift) / self.second[k]
        };
        [band / self.area, moment(0), moment(1)]
    }

    /// The least section that the exact solid may have there; no metal where the mesh is too coarse to tell.
    #[must_use]
    pub(super) fn least(&self, chord: f64) -> Self {
        let [area, first, second] = self.errors(chord).map(|e| (1.0 - e).max(0.0));
        Self {
            area: self.area * area,
            second: [self.second[0] * first, self.second[1] * second],
            reach: self.reach.map(|r| r + chord),
            ..*self
        }
    }

    /// The section with these pieces; `None` where there is no metal, or where they leave its outline open.
    pub(super) fn of(pieces: &[Piece]) -> Option<Self> {
        let mut sums = Sums::default();
        for [a, b] in pieces {
            sums.add(*a, *b);
        }
        sums.section()
    }
}

/// The piece of a triangle in the plane, with metal on its left.
fn crossing(corners: &[P3; 3], cut: &Cut) -> Option<Piece> {
    let normal = cut.axes[0].cross(&cut.axes[1]);
    let height = corners.map(|p| (p - cut.origin).dot(&normal));
    let above = height.map(|h| h >= 0.0);
    let mut found = [P3::origin(); 2];
    let mut count = 0;
    for i in 0..3 {
        let j = (i + 1) % 3;
        if above[i] != above[j] && count < 2 {
            // From the lower corner in either triangle, so that neighbours meet exactly.
            let (low, high) = if above[i] { (j, i) } else { (i, j) };
            let share = height[low] / (height[low] - height[high]);
            found[count] = corners[low] + (corners[high] - corners[low]) * share;
            count += 1;
        }
    }
    if count < 2 {
        return None;
    }
    let outward = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
    if (found[1] - found[0]).dot(&normal.cross(&outward)) < 0.0 {
        found.swap(0, 1);
    }
    Some(found.map(|p| cut.axes.map(|axis| (p - cut.origin).dot(&axis))))
}

/// Integrals over the outline, by Green's theorem.
#[derive(Default)]
struct Sums {
    area: f64,
    first: [f64; 2],
    second: [f64; 2],
    gap: [f64; 2],
    length: f64,
    along: [f64; 2],
    along_square: [f64; 2],
    ends: Option<[[f64; 2]; 2]>,
}

impl Sums {
    fn add(&mut self, a: [f64; 2], b: [f64; 2]) {
        let cross = a[0] * b[1] - b[0] * a[1];
        self.area += 0.5 * cross;
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        self.length += length;
        let [low, high] = self.ends.get_or_insert([a, a]);
        for k in 0..2 {
            self.first[k] += cross * (a[k] + b[k]) / 6.0;
            self.second[k] += cross * (a[k] * a[k] + a[k] * b[k] + b[k] * b[k]) / 12.0;
            self.gap[k] += b[k] - a[k];
            self.along[k] += length * (a[k] + b[k]) / 2.0;
            self.along_square[k] += length * (a[k] * a[k] + a[k] * b[k] + b[k] * b[k]) / 3.0;
            low[k] = low[k].min(a[k]).min(b[k]);
            high[k] = high[k].max(a[k]).max(b[k]);
        }
    }

    fn section(&self) -> Option<PlaneSection> {
        let [low, high] = self.ends?;
        let open = self.gap[0].hypot(self.gap[1]) > CLOSED * self.length;
        if self.area <= 0.0 || open {
            return None;
        }
        let middle = self.first.map(|s| s / self.area);
        let second = [0, 1].map(|k| self.second[k] - self.area * middle[k] * middle[k]);
        let reach = [0, 1].map(|k| (high[k] - middle[k]).max(middle[k] - low[k]));
        let about =
            |k: usize| self.along_square[k] + middle[k] * (middle[k] * self.length - 2.0 * self.along[k]);
        let along_outline = [about(0), about(1)];
        Some(PlaneSection { area: self.area, second, reach, length: self.length, along_outline })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::Frame;
    use solidwright::mesh::triangulate;
    use solidwright::solid::{Solid, SolidTree, Tag, cylinder};

    /// Textbook: a ring has π (D² − d²) / 4 and π (D⁴ − d⁴) / 64; cut askew by 60 degrees it is twice as long one way.
    #[test]
    fn a_tube_has_the_section_of_a_ring() {
        let tag = Tag::formed("tube", "side");
        let frame = |x: f64| Frame::from_zx(P3::new(x, 3.0, -2.0), V3::x(), V3::z());
        let rod = |x, r, l| {
            cylinder("tube", frame(x), r, l, &[tag.clone(), tag.clone(), tag.clone()]).expect("a rod")
        };
        let mut tree = SolidTree::new();
        tree.add(rod(0.0, 30.0, 200.0));
        tree.cut(rod(-1.0, 24.0, 202.0));
        let solid = Solid::of(tree).expect("a tube");
        let mesh = triangulate(&solid, 0.01).expect("a mesh");
        let all = || (0..mesh.triangles.len()).map(|t| mesh.corners(t));
        let (area, second) = (
            std::f64::consts::PI * (30.0_f64.powi(2) - 24.0_f64.powi(2)),
            std::f64::consts::PI / 4.0 * (30.0_f64.powi(4) - 24.0_f64.powi(4)),
        );
        let cut = Cut { origin: P3::new(100.0, 0.0, 0.0), axes: [V3::y(), V3::z()] };
        let found = PlaneSection::of(&pieces(all(), &cut)).expect("a section");
        let near =
            |value: f64, wanted: f64| assert!((value / wanted - 1.0).abs() < 2e-3, "{value} for {wanted}");
        near(found.area, area);
        near(found.second[0], second);
        near(found.second[1], second);
        near(found.reach[0], 30.0);
        let lean = V3::new(3.0_f64.sqrt() / 2.0, 0.5, 0.0);
        let cut = Cut { origin: P3::new(100.0, 0.0, 0.0), axes: [lean, V3::z()] };
        let found = PlaneSection::of(&pieces(all(), &cut)).expect("a section");
        near(found.area, 2.0 * area);
        near(found.second[0], 8.0 * second);
        near(found.second[1], 2.0 * second);
        let beside = Cut { origin: P3::new(300.0, 0.0, 0.0), axes: [V3::y(), V3::z()] };
        assert!(PlaneSection::of(&pieces(all(), &beside)).is_none(), "no metal there");
    }

    /// Closed forms (textbook): a tube's section is off by no more than the stated bound at any chord, and a bar's, whose faces
    /// are flat, not at all.
    #[test]
    fn errors_stay_within_their_bound() {
        let tag = Tag::formed("tube", "side");
        let frame = |x: f64| Frame::from_zx(P3::new(x, 0.0, 0.0), V3::x(), V3::z());
        let rod = |x, r, l| {
            cylinder("tube", frame(x), r, l, &[tag.clone(), tag.clone(), tag.clone()]).expect("a rod")
        };
        let mut tree = SolidTree::new();
        tree.add(rod(0.0, 45.0, 90.0));
        tree.cut(rod(-1.0, 39.0, 92.0));
        let solid = Solid::of(tree).expect("a tube");
        let pi = std::f64::consts::PI;
        let exact =
            [pi * (45.0_f64.powi(2) - 39.0_f64.powi(2)), pi / 4.0 * (45.0_f64.powi(4) - 39.0_f64.powi(4))];
        for chord in [0.3, 0.15, 0.05, 0.01] {
            let mesh = triangulate(&solid, chord).expect("a mesh");
            let cut = Cut { origin: P3::new(41.0, 0.0, 0.0), axes: [V3::y(), V3::z()] };
            let all = (0..mesh.triangles.len()).map(|t| mesh.corners(t));
            let found = PlaneSection::of(&pieces(all, &cut)).expect("a section");
            let [area, moment, _] = found.errors(chord);
            let off = [found.area / exact[0] - 1.0, found.second[0] / exact[1] - 1.0];
            assert!(off[0].abs() <= area && off[1].abs() <= moment, "{chord}: {off:?}, {area}, {moment}");
            assert!(chord > 0.2 || area < 0.1, "the bound says something: {area} at {chord}");
            // Both outlines of a tube have the integral π r³ of y²: the bound is e π (R³ + r³) over the tube's second moment,
            // and what is of the second order in e.
            let first = chord * pi * (45.0_f64.powi(3) + 39.0_f64.powi(3)) / exact[1];
            assert!(moment > 0.97 * first && moment < first * (1.0 + 0.5 * chord), "{moment} for {first}");
            let least = found.least(chord);
            assert!(
                least.area <= exact[0] && least.second[0] <= exact[1] && least.reach[0] >= 45.0,
                "{least:?}"
            );
        }
    }
}
