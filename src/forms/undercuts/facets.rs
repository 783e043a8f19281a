//! The boundary as triangles with exact normals, cut at the parting plane and by their slope against the pull.

use rayon::prelude::*;

use solidwright::geometry::{Bounds, P3, V3};
use solidwright::mesh::Mesh;
use solidwright::solid::{Brep, Tag};

/// A corner of a facet.
#[derive(Clone, Copy, Debug)]
pub(in crate::forms) struct Corner {
    /// Its place, mm.
    pub(in crate::forms) p: P3,
    /// The exact normal out of the metal there; between exact corners the mean of theirs, not of length 1.
    pub(in crate::forms) n: V3,
}

impl Corner {
    /// A share of the way to another corner.
    fn towards(&self, to: &Self, share: f64) -> Self {
        Self { p: self.p + (to.p - self.p) * share, n: self.n + (to.n - self.n) * share }
    }

    /// A share of the way to another corner along the arc that the normals of both tell: it stands off the chord by
    /// s (1 - s) d·(n' - n) / 2, exact to the third power of the angle between the normals.
    fn along_arc(&self, to: &Self, share: f64) -> Self {
        let (straight, chord) = (self.towards(to, share), to.p - self.p);
        let most = MOST_BEND * chord.norm();
        let bend = chord.dot(&(to.n - self.n)).clamp(-most, most);
        Self { p: straight.p + straight.n * (0.5 * share * (1.0 - share) * bend), ..straight }
    }
}

/// A triangle of the boundary, or a part of one.
#[derive(Clone, Copy, Debug)]
pub(in crate::forms) struct Facet {
    /// Its corners, counter-clockwise seen from outside.
    pub(in crate::forms) corners: [Corner; 3],
    /// Its face of the boundary.
    pub(in crate::forms) face: u32,
}

/// A small part of a face, told by its middle.
#[derive(Clone, Copy, Debug)]
pub(in crate::forms) struct Spot {
    pub(in crate::forms) p: P3,
    /// Out of the metal; not of length 1, as a [`Corner`]'s.
    pub(in crate::forms) n: V3,
    pub(in crate::forms) area: f64,
    pub(in crate::forms) face: u32,
}

/// Greatest angle between the normals of two corners that is taken for the bend of a smooth surface, rad.
const MOST_BEND: f64 = 0.6;

/// A corner's normal that leans more than this from its triangle's, as a cosine, is taken from the other corners: the tip
/// of a cone has no normal of its own.
const TIP: f64 = 0.2;

/// The triangles of a mesh with the exact normals of its boundary at their corners, but for those of faces that are left out.
/// Their faces' numbers count from `first`.
pub(super) fn facets(
    brep: &Brep,
    mesh: &Mesh,
    first: u32,
    left_out: impl Fn(&Tag) -> bool + Sync,
) -> Vec<Facet> {
    let facet = |t: usize| {
        let face = mesh.face_of[t];
        let own = &brep.faces[face as usize];
        let corners = mesh.corners(t).map(|p| Corner { p, n: own.outward(p) });
        (!left_out(&own.tag)).then(|| Facet { corners, face: first + face }.without_tips())
    };
    (0..mesh.triangles.len()).into_par_iter().filter_map(facet).collect()
}

impl Facet {
    /// The normal of its plane, as long as its flat area.
    fn flat(&self) -> V3 {
        let [a, b, c] = self.corners.map(|c| c.p);
        (b - a).cross(&(c - a)) * 0.5
    }

    /// Whether the surface, in a half's own coordinates, is hollow along the pull on one of its sides: the upper one of the normals at the ends
    /// leans down from the lower one.
    pub(super) fn is_hollow(&self) -> bool {
        let [a, b, c] = &self.corners;
        let leans = |a: &Corner, b: &Corner| {
            (b.p.z - a.p.z) * (b.n.z - a.n.z) < -LEAST_HOLLOW * (b.p.z - a.p.z).abs()
        };
        leans(a, b) || leans(b, c) || leans(c, a)
    }

    fn without_tips(mut self) -> Self {
        let Some(flat) = self.flat().try_normalize(1e-12) else { return self };
        let sound = self.corners.map(|c| c.n.dot(&flat) > TIP);
        let mean: V3 = self.corners.iter().zip(sound).filter(|(_, sound)| *sound).map(|(c, _)| c.n).sum();
        if let Some(mean) = mean.try_normalize(1e-12) {
            for (corner, sound) in self.corners.iter_mut().zip(sound) {
                corner.n = if sound { corner.n } else { mean };
            }
        }
        self
    }

    /// Its area on the curved surface, mm²: exact for planes, within the fourth power of the angle between its corners'
    /// normals for cylinders. A place of the flat triangle stands for m·n/n² of the surface, m being the triangle's
    /// normal and n the mean of the corners' there; that is taken at the middles of the three sides.
    pub(in crate::forms) fn area(&self) -> f64 {
        let flat = self.flat();
        let size = flat.norm();
        if size < 1e-12 {
            return 0.0;
        }
        let share = |i: usize| {
            let n = (self.corners[i].n + self.corners[(i + 1) % 3].n) * 0.5;
            (flat.dot(&n) / (size * n.norm_squared().max(1e-12))).clamp(0.5, 2.0)
        };
        size * (share(0) + share(1) + share(2)) / 3.0
    }

    /// The length of one of its sides, mm.
    fn side(&self, i: usize) -> f64 {
        (self.corners[(i + 1) % 3].p - self.corners[i].p).norm()
    }

    /// Its width across its longest side, mm.
    pub(super) fn width(&self) -> f64 {
        let longest = self.side(0).max(self.side(1)).max(self.side(2));
        if longest > 0.0 { 2.0 * self.flat().norm() / longest } else { 0.0 }
    }

    /// Its middle.
    pub(in crate::forms) fn middle(&self) -> Corner {
        let [a, b, c] = self.corners;
        Corner { p: P3::from((a.p.coords + b.p.coords + c.p.coords) / 3.0), n: (a.n + b.n + c.n) / 3.0 }
    }

    /// Its corners, moved a little towards its middle: off the sides, where neighbours meet.
    pub(super) fn inner_corners(&self) -> [Corner; 3] {
        let middle = self.middle();
        self.corners.map(|c| c.towards(&middle, 0.01))
    }

    /// The box around it.
    pub(super) fn bounds(&self) -> Bounds {
        Bounds::around(self.corners.map(|c| c.p))
    }

    /// Its halves across its longest side, where that is longer than a length.
    pub(super) fn halves(&self, length: f64) -> Option<[Self; 2]> {
        let i = (0..3).max_by(|i, j| self.side(*i).total_cmp(&self.side(*j)).then(j.cmp(i)))?;
        let [a, b, c] = [self.corners[i], self.corners[(i + 1) % 3], self.corners[(i + 2) % 3]];
        let middle = a.towards(&b, 0.5);
        let with = |corners| Self { corners, face: self.face };
        (self.side(i) > length).then(|| [with([a, middle, c]), with([middle, b, c])])
    }

    /// It in pieces with no side longer than a length.
    pub(in crate::forms) fn pieces(&self, length: f64) -> Vec<Self> {
        let (mut left, mut out) = (vec![*self], Vec::new());
        while let Some(facet) = left.pop() {
            match facet.halves(length) {
                Some(halves) => left.extend(halves),
                None => out.push(facet),
            }
        }
        out
    }

    /// The same as spots.
    pub(in crate::forms) fn spots(&self, length: f64) -> impl Iterator<Item = Spot> + use<> {
        self.pieces(length).into_iter().map(|piece| {
            let Corner { p, n } = piece.middle();
            Spot { p, n, area: piece.area(), face: piece.face }
        })
    }

    /// Cuts it where a value that is linear between its corners is zero, and shows the parts, each with whether the value
    /// is positive there.
    pub(super) fn split(&self, value: impl Fn(&Corner) -> f64, show: impl FnMut(bool, Self)) {
        self.split_by(value, Corner::towards, show);
    }

    /// The same with the cuts on the curved surface.
    fn split_curved(&self, value: impl Fn(&Corner) -> f64, show: impl FnMut(bool, Self)) {
        self.split_by(value, Corner::along_arc, show);
    }

    fn split_by(
        &self,
        value: impl Fn(&Corner) -> f64,
        towards: impl Fn(&Corner, &Corner, f64) -> Corner,
        mut show: impl FnMut(bool, Self),
    ) {
        let values = self.corners.each_ref().map(value);
        let positive = values.map(|v| v >= 0.0);
        let Some(lone) = (0..3).find(|i| (0..3).all(|j| j == *i || positive[j] != positive[*i])) else {
            show(positive[0], *self);
            return;
        };
        let [i, j, k] = [lone, (lone + 1) % 3, (lone + 2) % 3];
        let [a, b, c] = [i, j, k].map(|m| self.corners[m]);
        let cut = |to: usize, corner: &Corner| towards(&a, corner, values[i] / (values[i] - values[to]));
        let (p, q) = (cut(j, &b), cut(k, &c));
        let with = |corners| Self { corners, face: self.face };
        show(positive[i], with([a, p, q]));
        show(positive[j], with([p, b, c]));
        show(positive[j], with([p, c, q]));
    }
}

/// One half of the boundary, or all of it, in coordinates square to each other: two across the pull, the third along it. Those of
/// a half are along the shaft, across it in the parting plane, and from the parting plane along the half's pull.
#[derive(Debug)]
pub(in crate::forms) struct Half {
    /// Its pull, in the part's frame.
    pub(in crate::forms) pull: V3,
    along: V3,
    across: V3,
    /// Parts that face against the pull.
    pub(super) against: Vec<Facet>,
    /// Parts that lean against it by no more than a rapped pattern forgives.
    pub(super) forgiven: Vec<Facet>,
    /// All others.
    pub(super) open: Vec<Facet>,
}

/// A lean below this, as a sine, is none: a wall a metre tall hangs over by a tenth of a millimetre.
pub(super) const LEAST_LEAN: f64 = 1e-4;

/// Least angle between the normals at the ends of a side by which a surface is taken to be hollow along the pull, rad.
const LEAST_HOLLOW: f64 = 1e-6;

/// Leans along the pull and against it, as sines, at which curved facets are cut. In a hollow fillet the strip below the line at which it
/// stands along the pull lies in the shadow of the strip above it, by micrometres; a facet of the mesh stands across that line, is
/// flat, and covers nothing of itself.
const BENDS: [f64; 7] = [-0.1, -0.05, -0.02, 0.0, 0.02, 0.05, 0.1];

impl Half {
    /// The half that is drawn along `pull`, a direction square to the shaft; faces count from a slope against it, as a sine.
    pub(in crate::forms) fn of(facets: &[Facet], pull: V3, slope: f64) -> Self {
        Self::empty(pull, V3::x()).filled(facets, 0.0, slope, &BENDS)
    }

    /// The same roughly: what a hollow covers of itself is passed over.
    pub(super) fn rough(facets: &[Facet], pull: V3, slope: f64) -> Self {
        Self::empty(pull, V3::x()).filled(facets, 0.0, slope, &[])
    }

    /// All of a boundary, drawn along any direction.
    pub(super) fn whole(facets: &[Facet], pull: V3, slope: f64) -> Self {
        let aside = if pull.x.abs() < 0.9 { V3::x() } else { V3::y() };
        let along = (aside - pull * pull.dot(&aside)).normalize();
        Self::empty(pull, along).filled(facets, f64::NEG_INFINITY, slope, &BENDS)
    }

    fn empty(pull: V3, along: V3) -> Self {
        Self { pull, along, across: pull.cross(&along), against: vec![], forgiven: vec![], open: vec![] }
    }

    /// Takes what lies farther along the pull than `from`, with hollow facets cut at the leans `bends`.
    fn filled(mut self, facets: &[Facet], from: f64, slope: f64, bends: &[f64]) -> Self {
        for facet in facets {
            if facet.corners.iter().all(|c| c.p.coords.dot(&self.pull) <= from) {
                continue;
            }
            let own = facet.corners.map(|c| Corner { p: P3::from(self.own(c.p.coords)), n: self.own(c.n) });
            let own = Facet { corners: own, ..*facet };
            if from.is_infinite() {
                self.sort(&own, slope, bends);
                continue;
            }
            own.split(
                |c| c.p.z - from,
                |within, part| {
                    if within {
                        self.sort(&part, slope, bends);
                    }
                },
            );
        }
        self
    }

    /// Sorts a part by its slope, cut finely where it comes to stand along the pull.
    fn sort(&mut self, part: &Facet, slope: f64, bends: &[f64]) {
        // What bulges covers nothing of itself.
        self.sort_beside(part, slope, if part.is_hollow() { bends } else { &[] });
    }

    fn sort_beside(&mut self, part: &Facet, slope: f64, bends: &[f64]) {
        if let [bend, bends @ ..] = bends {
            part.split_curved(|c| c.n.z - bend, |_, part| self.sort_beside(&part, slope, bends));
            return;
        }
        let (against, forgiven, open) = (&mut self.against, &mut self.forgiven, &mut self.open);
        part.split_curved(
            |c| -c.n.z - slope,
            |steep, part| {
                if steep {
                    against.push(part);
                } else {
                    part.split_curved(
                        |c| -c.n.z - LEAST_LEAN,
                        |leans, part| if leans { forgiven.push(part) } else { open.push(part) },
                    );
                }
            },
        );
    }

    /// A vector in its own coordinates.
    pub(in crate::forms) fn own(&self, v: V3) -> V3 {
        V3::new(self.along.dot(&v), self.across.dot(&v), self.pull.dot(&v))
    }

    /// A place of its coordinates in the part's frame.
    pub(in crate::forms) fn place(&self, p: P3) -> V3 {
        self.vector(p.coords)
    }

    /// A vector of its coordinates in the part's frame.
    pub(in crate::forms) fn vector(&self, v: V3) -> V3 {
        self.along * v.x + self.across * v.y + self.pull * v.z
    }

    /// All its parts.
    pub(in crate::forms) fn parts(&self) -> impl Iterator<Item = &Facet> {
        self.against.iter().chain(&self.forgiven).chain(&self.open)
    }
}
