//! Rational B-spline surfaces: a net of poles over the knots of two directions.

use crate::geometry::P3;
use crate::solid::{Brep, BrepFace};

use super::geometry::Geometry;
use super::part21::{Id, List, Part21, Real};

/// Greatest angle of one arc.
const ARC: f64 = 0.55 * std::f64::consts::PI;

/// Points of each edge that are asked for the range of a face's parameters; between them these stray by far less than
/// the margins of the nets.
const PLACES: u32 = 64;

/// One direction of a net.
pub(super) struct Direction {
    /// Degree of the polynomials.
    degree: usize,
    /// Distinct knots, rising; the ends count degree + 1 times.
    knots: Vec<f64>,
    /// How often an inner knot counts.
    inner: usize,
}

impl Direction {
    /// Cubic over the knots of a spline.
    pub(super) fn cubic(knots: &[f64]) -> Self {
        Self { degree: 3, knots: knots.to_vec(), inner: 1 }
    }

    /// Straight from one parameter to another: two poles.
    pub(super) fn straight(from: f64, to: f64) -> Self {
        Self { degree: 1, knots: vec![from, to], inner: 1 }
    }

    /// Arcs of a circle between two angles as rational quadratics, and angle and weight of each pole. A pole of weight w
    /// lies at distance radius over w from the centre: on the circle at the ends of arcs, off it between them, where w
    /// is the cosine of half the arc (Piegl, Tiller, "The NURBS Book", 2nd ed., section 7.3).
    pub(super) fn arcs(from: f64, to: f64) -> (Self, Vec<(f64, f64)>) {
        let count = ((to - from) / ARC).ceil().max(1.0);
        let half = 0.5 * (to - from) / count;
        let pole = |k: usize| (from + half * k as f64, if k.is_multiple_of(2) { 1.0 } else { half.cos() });
        let poles = (0..=2 * count as usize).map(pole).collect();
        let knots = (0..=count as usize).map(|k| from + 2.0 * half * k as f64).collect();
        (Self { degree: 2, knots, inner: 2 }, poles)
    }

    /// Quadratic between two parameters in spans of at most 1, and the two knots that each pole stands between: their
    /// mean is the pole of the parameter itself, their product that of its square (Ramshaw, "Blossoms are polar
    /// forms", CAGD 6 (1989) 323-358).
    pub(super) fn quadratic(from: f64, to: f64) -> (Self, Vec<[f64; 2]>) {
        let count = (to - from).ceil().max(1.0) as usize;
        let knots: Vec<f64> = (0..=count).map(|k| from + (to - from) * k as f64 / count as f64).collect();
        let at = |i: usize| knots[i.saturating_sub(1).min(count)];
        let pairs = (0..count + 2).map(|i| [at(i), at(i + 1)]).collect();
        (Self { degree: 2, knots, inner: 1 }, pairs)
    }

    /// How many poles there are.
    pub(super) fn poles(&self) -> usize {
        self.multiplicities().iter().sum::<usize>() - self.degree - 1
    }

    fn multiplicities(&self) -> Vec<usize> {
        let mut out = vec![self.inner; self.knots.len()];
        for end in [0, self.knots.len() - 1] {
            out[end] = self.degree + 1;
        }
        out
    }
}

/// A surface over two directions. Its normal is that of the first derivative along u and the second along v.
pub(super) struct Net {
    /// First direction.
    pub(super) u: Direction,
    /// Second direction.
    pub(super) v: Direction,
    /// One row for each pole along u, with a pole for each along v, mm, before the stretch of the file, and its weight.
    pub(super) poles: Vec<Vec<(P3, f64)>>,
}

impl Net {
    /// Writes the image of the surface under the file's stretch: the surface of the poles' images, exactly, since the
    /// points of a rational B-spline are weighted means of its poles.
    pub(super) fn write(&self, geometry: &mut Geometry, file: &mut Part21) -> Id {
        let (mut rows, mut weights) = (Vec::new(), Vec::new());
        for row in &self.poles {
            let ids: Vec<Id> = row.iter().map(|(p, _)| geometry.image(file, *p)).collect();
            rows.push(List(&ids).to_string());
            weights.push(List(&reals(row.iter().map(|(_, w)| *w))).to_string());
        }
        file.add(format_args!(
            "(BOUNDED_SURFACE()B_SPLINE_SURFACE({},{},({}),.UNSPECIFIED.,.F.,.F.,.F.)B_SPLINE_SURFACE_WITH_KNOTS({},{},{},{},.UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(({}))REPRESENTATION_ITEM('')SURFACE())",
            self.u.degree,
            self.v.degree,
            rows.join(","),
            List(&self.u.multiplicities()),
            List(&self.v.multiplicities()),
            List(&reals(self.u.knots.iter().copied())),
            List(&reals(self.v.knots.iter().copied())),
            weights.join(",")
        ))
    }
}

fn reals(numbers: impl Iterator<Item = f64>) -> Vec<Real> {
    numbers.map(Real).collect()
}

/// Points close together along the edges of a face, mm, before the stretch of the file.
pub(super) fn edge_points<'a>(brep: &'a Brep, face: &'a BrepFace) -> impl Iterator<Item = P3> + 'a {
    let fractions = || (0..=PLACES).map(|k| f64::from(k) / f64::from(PLACES));
    face.loops.iter().flatten().flat_map(move |h| fractions().map(move |k| brep.edge_point(h.edge, k)))
}

#[cfg(test)]
impl Direction {
    /// First and last parameter.
    pub(super) fn range(&self) -> (f64, f64) {
        (self.knots[0], self.knots[self.knots.len() - 1])
    }

    /// The first pole that counts at a parameter, and the basis functions of the poles from there (Cox, de Boor).
    fn basis(&self, t: f64) -> (usize, Vec<f64>) {
        let times = self.knots.iter().zip(self.multiplicities());
        let full: Vec<f64> = times.flat_map(|(k, n)| std::iter::repeat_n(*k, n)).collect();
        let span = full.partition_point(|k| *k <= t).clamp(self.degree + 1, self.poles()) - 1;
        let mut basis = vec![1.0];
        for d in 1..=self.degree {
            let share = |i: usize| {
                let (from, to) = (full[span + 1 + i - d], full[span + 1 + i]);
                (t - from) / (to - from)
            };
            let left = |i: usize| if i < d { basis[i] * (1.0 - share(i)) } else { 0.0 };
            let right = |i: usize| if i > 0 { basis[i - 1] * share(i - 1) } else { 0.0 };
            basis = (0..=d).map(|i| left(i) + right(i)).collect();
        }
        (span - self.degree, basis)
    }
}

#[cfg(test)]
impl Net {
    /// The point at (u, v), before the stretch of the file.
    pub(super) fn point(&self, u: f64, v: f64) -> P3 {
        let ((i, a), (j, b)) = (self.u.basis(u), self.v.basis(v));
        let (mut sum, mut total) = (crate::geometry::V3::zeros(), 0.0);
        for (row, x) in self.poles[i..].iter().zip(&a) {
            for ((p, weight), y) in row[j..].iter().zip(&b) {
                sum += p.coords * (weight * x * y);
                total += weight * x * y;
            }
        }
        P3::from(sum / total)
    }
}
