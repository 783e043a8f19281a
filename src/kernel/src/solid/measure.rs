//! Volume, area, centroid and inertia, by quadrature on the exact faces.
//!
//! The divergence theorem turns each volume integral into one over the faces, Green's theorem on the face's
//! chart turns that into one along its edges. Nothing is approximated but the integrands along an edge,
//! which are smooth; ten digits are usual.

use std::f64::consts::FRAC_PI_2;

use rayon::prelude::*;

use crate::geometry::{Chart, ChartStep, P3, Ruling, Stretch, Surface, V3};

use super::brep::{Brep, BrepFace};
use super::folded::{self, Farthest};
use super::quadrature::{Nodes, floor, gauss};

/// Mass properties at unit density.
#[derive(Clone, Copy, Debug)]
pub struct MassProperties {
    /// Volume, mm³.
    pub volume: f64,
    /// Area, mm².
    pub area: f64,
    /// Centroid, mm.
    pub centroid: P3,
    /// Ixx, Iyy, Izz about the centroid, mm⁵ at unit density.
    pub inertia: V3,
    /// Ixy, Iyz, Izx about the centroid: the off-diagonal entries of the inertia tensor (−∫xy dV …), mm⁵.
    pub products: V3,
    /// The volume as ∮x dAx, ∮y dAy and ∮z dAz, mm³. Equal when the boundary is closed.
    pub volume_by_axis: V3,
    /// The sum of all outward area vectors, mm². Zero when the boundary is closed.
    pub boundary_area_vector: V3,
}

/// Integrals over a piece of boundary with outward area vector dA, p taken from some centre:
/// area; dA (3); x dAx … (3); x²/2 dAx … (3); x³/3 dAx … (3); x²y/2 dAx, y²z/2 dAy, z²x/2 dAz.
const PARTS: usize = 16;

/// The integrals of some faces.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sums([f64; PARTS]);

/// The integrals of one face and the areas of its loops on the chart.
#[derive(Clone, Debug)]
pub(super) struct FaceSums {
    /// Integrals over the face.
    pub(super) sums: Sums,
    /// Signed area of each loop in integral parameters, positive for a loop that holds the face.
    pub(super) loop_areas: Vec<f64>,
    /// For each edge, how far it misses the surface, if that is a canal.
    missed: Vec<(usize, Farthest)>,
}

impl FaceSums {
    /// Of a canal: the node of an edge that misses it most, and by how much, mm.
    pub(super) fn missed_by(&self, edge: usize) -> Option<(f64, P3)> {
        let own = self.missed.iter().filter(|m| m.0 == edge);
        own.filter_map(|m| m.1.0).max_by(|a, b| a.0.total_cmp(&b.0))
    }
}

impl Sums {
    pub(super) fn zero() -> Self {
        Self([0.0; PARTS])
    }

    pub(super) fn add(&mut self, other: &Self) {
        for (a, b) in self.0.iter_mut().zip(&other.0) {
            *a += b;
        }
    }

    fn triple(&self, at: usize) -> V3 {
        V3::new(self.0[at], self.0[at + 1], self.0[at + 2])
    }

    /// Volume, mm³.
    pub(super) fn volume(&self) -> f64 {
        self.triple(4).sum() / 3.0
    }

    /// The mass properties that the sums taken about `center` mean.
    pub(super) fn properties(&self, center: P3) -> MassProperties {
        let volume = self.volume();
        let offset = if volume == 0.0 { V3::zeros() } else { self.triple(7) / volume };
        let square = self.triple(10) - offset.component_mul(&offset) * volume;
        let mixed =
            self.triple(13) - V3::new(offset.x * offset.y, offset.y * offset.z, offset.z * offset.x) * volume;
        MassProperties {
            volume,
            area: self.0[0],
            centroid: center + offset,
            inertia: V3::repeat(square.sum()) - square,
            products: -mixed,
            volume_by_axis: self.triple(4),
            boundary_area_vector: self.triple(1),
        }
    }
}

/// Sums as they grow, of the image under a stretch.
struct Gathered {
    parts: [f64; PARTS],
    stretch: Stretch,
}

impl Gathered {
    /// Adds the integrands at a point `p` from the centre with area vector `n`, both before the stretch, times
    /// `weight`. The stretch is linear and keeps straight lines and their degrees: whatever rule is exact without it is
    /// exact with it, but for the area, whose integrand becomes the root of a smooth function. Where the surface is `turned` over,
    /// the area counts against the weight's sign.
    fn gather(&mut self, p: V3, n: V3, weight: f64, turned: bool) {
        let sense = if turned { -weight } else { weight };
        if self.stretch.is_none() {
            // The usual case, and the evaluator's innermost loop.
            return gather(p, n * weight, sense, &mut self.parts);
        }
        gather(self.stretch.vector(p), self.stretch.area_vector(n) * weight, sense, &mut self.parts);
    }
}

/// The integrands at a point `p` from the centre with area vector `n`, in which its weight is already; the area counts with the sign
/// of `sense`.
fn gather(p: V3, n: V3, sense: f64, out: &mut [f64; PARTS]) {
    out[0] += n.norm().copysign(sense);
    for k in 0..3 {
        let (x, y) = (p[k], p[(k + 1) % 3]);
        let first = x * n[k];
        let second = 0.5 * x * first;
        out[1 + k] += n[k];
        out[4 + k] += first;
        out[7 + k] += second;
        out[10 + k] += second * x * (2.0 / 3.0);
        out[13 + k] += second * y;
    }
}

/// Adds the inner integral along a ruling, `width` long and ending in `p`. The integrands are polynomials of degree
/// three, four where the ruling's neighbours spread: two and three nodes are exact.
fn straight(p: V3, ruling: &Ruling, width: f64, weight: f64, sums: &mut Gathered) {
    let nodes = if ruling.spread == 0.0 { 2 } else { 3 };
    let half = 0.5 * width;
    for &(x, share) in gauss(nodes) {
        let back = half * (x - 1.0);
        let area = ruling.normal * (ruling.width + ruling.spread * back);
        sums.gather(p + ruling.direction * back, area, weight * half * share, false);
    }
}

/// Adds the inner integral over the second parameter, `width` from `floor`, at the first parameter `a`, on
/// a torus or canal (trigonometric integrands of degree five: ten nodes tell a quarter turn to 4e-13, five an eighth of that) or a
/// sphere (rational ones, with poles ±2i radii away: a panel of two radii gains 1.2 digits a node).
fn curved(chart: &Chart, a: f64, floor: f64, width: f64, weight: f64, center: P3, sums: &mut Gathered) {
    let (natural, least, more) =
        if let Surface::Sphere(s) = chart.surface() { (2.0 * s.radius, 6, 9.0) } else { (FRAC_PI_2, 6, 4.5) };
    let size = width.abs() / natural;
    let panels = size.ceil().max(1.0);
    let nodes = least + (more * size / panels) as usize;
    let half = 0.5 * width / panels;
    let across = chart.across(a);
    for panel in 0..panels as usize {
        let mid = floor + half * (2 * panel + 1) as f64;
        for &(x, share) in gauss(nodes) {
            let (p, n) = across.point(mid + half * x);
            // Beyond a fold the area counts as lost, so that it changes smoothly there and cancels.
            sums.gather(p - center, n, weight * half * share, across.is_turned_over((p, n)));
        }
    }
}

/// The integrals of a face's image under a stretch, about the image of `center`; loop areas as without it.
pub(super) fn face_sums(
    brep: &Brep,
    nodes: &Nodes,
    face: &BrepFace,
    center: P3,
    stretch: Stretch,
) -> FaceSums {
    let floor = floor(brep, face);
    let chart = &face.chart;
    let sense = if face.same_sense { 1.0 } else { -1.0 };
    let mut sums = Gathered { parts: [0.0; PARTS], stretch };
    let mut loop_areas = Vec::with_capacity(face.loops.len());
    let mut missed = Vec::new();
    for ring in &face.loops {
        let mut area = 0.0;
        for &half in ring {
            let along = if half.forward { 1.0 } else { -1.0 };
            let mut farthest = Farthest::default();
            if matches!(&face.surface, Surface::Canal(c) if c.is_folded()) {
                let ends = [brep.tail(half), brep.head(half)].map(|v| brep.vertices[v]);
                let ends = if half.forward { ends } else { [ends[1], ends[0]] };
                for (q, da) in folded::steps(chart, nodes, half.edge, ends, &mut farthest) {
                    let (da, width) = (along * da, q.y - floor);
                    area -= sense * width * da;
                    if width * da != 0.0 {
                        curved(chart, q.x, floor, width, -da, center, &mut sums);
                    }
                }
                missed.push((half.edge, farthest));
                continue;
            }
            let mut last = None;
            for &(p, step) in nodes.of(half.edge) {
                if let Some(ruling) = face.surface.ruling(p) {
                    let turn = along * ruling.tangent.dot(&step);
                    // An apex adds nothing: no width is left there.
                    let da = if ruling.width > 0.0 { turn / ruling.width } else { 0.0 };
                    let width = ruling.v - floor;
                    area -= sense * width * da;
                    if width * da != 0.0 {
                        straight(p - center, &ruling, width, -da, &mut sums);
                    }
                    continue;
                }
                let ChartStep { at: q, rate, missed } = chart.integral_step(p, step, &mut last);
                farthest.see(missed, p);
                let da = along * rate.x;
                let width = q.y - floor;
                area -= sense * width * da;
                if width * da != 0.0 {
                    curved(chart, q.x, floor, width, -da, center, &mut sums);
                }
            }
            missed.push((half.edge, farthest));
        }
        loop_areas.push(area);
    }
    // The area vectors above are the surface's own and the loops run with the face's sense: the two signs
    // cancel in all integrals but the area.
    sums.parts[0] *= sense;
    FaceSums { sums: Sums(sums.parts), loop_areas, missed }
}

/// The integrals of all faces, in order.
pub(super) fn all_face_sums(brep: &Brep, nodes: &Nodes, center: P3, stretch: Stretch) -> Vec<FaceSums> {
    brep.faces.par_iter().map(|f| face_sums(brep, nodes, f, center, stretch)).collect()
}

/// The point about which sums are taken: near the solid, so that no digits are lost.
pub(super) fn center_of(brep: &Brep) -> P3 {
    let b = brep.bounds();
    if b.is_empty() { P3::origin() } else { b.center() }
}

/// Mass properties of a boundary. An empty one has none: all zero.
pub fn measure(brep: &Brep) -> MassProperties {
    measure_stretched(brep, &Stretch::NONE)
}

/// Mass properties of the image of a boundary under a stretch: what a file of the stretched part must have.
///
/// Volume, moments and centroid follow the unstretched ones in closed form (volume by
/// [`Stretch::volume_factor`]), and the tests hold them to that; areas have none, so all are integrated over the
/// image of each face. The area's integrand is smooth but of no low degree: ten digits where the factors differ by a
/// tenth, seven where one is twice the other.
pub fn measure_stretched(brep: &Brep, stretch: &Stretch) -> MassProperties {
    let center = center_of(brep);
    let nodes = Nodes::new(brep);
    let mut total = Sums::zero();
    for sums in all_face_sums(brep, &nodes, center, *stretch) {
        total.add(&sums.sums);
    }
    total.properties(stretch.point(center))
}

/// The share of some faces in the volume, mm³: positive for an outer shell, negative for a void.
pub(in crate::solid) fn shell_volume(brep: &Brep, nodes: &Nodes, faces: &[usize]) -> f64 {
    let center = center_of(brep);
    let share = |f: &usize| face_sums(brep, nodes, &brep.faces[*f], center, Stretch::NONE).sums.volume();
    // Added up in the order of the faces, so that the sum does not depend on who computed what.
    faces.par_iter().map(share).collect::<Vec<f64>>().into_iter().sum()
}

#[cfg(test)]
#[path = "measure_tests.rs"]
mod tests;
