//! Rational B-spline surfaces: a net of poles over the knots of two directions.

pub(crate) mod canal;
pub(crate) mod sphere;
pub(crate) mod spline;
pub(crate) mod turned;

use crate::geometry::P3;
use crate::solid::{Brep, BrepFace};

/// Greatest angle of one arc.
const ARC: f64 = 0.55 * std::f64::consts::PI;

/// Points of each edge that are asked for the range of a face's parameters; between them these stray by far less than
/// the margins of the nets.
const PLACES: u32 = 64;

/// One direction of a net.
pub(crate) struct Direction {
    /// Degree of the polynomials.
    pub(crate) degree: usize,
    /// Distinct knots, rising; the ends count degree + 1 times.
    pub(crate) knots: Vec<f64>,
    /// How often an inner knot counts.
    inner: usize,
}

impl Direction {
    /// Cubic over the knots of a spline.
    pub(crate) fn cubic(knots: &[f64]) -> Self {
        Self { degree: 3, knots: knots.to_vec(), inner: 1 }
    }

    /// Straight from one parameter to another: two poles.
    pub(crate) fn straight(from: f64, to: f64) -> Self {
        Self { degree: 1, knots: vec![from, to], inner: 1 }
    }

    /// Arcs of a circle between two angles as rational quadratics, and angle and weight of each pole. A pole of weight w
    /// lies at distance radius over w from the centre: on the circle at the ends of arcs, off it between them, where w
    /// is the cosine of half the arc (Piegl, Tiller, "The NURBS Book", 2nd ed., section 7.3).
    pub(crate) fn arcs(from: f64, to: f64) -> (Self, Vec<(f64, f64)>) {
        let count = ((to - from) / ARC).ceil().max(1.0);
        let half = 0.5 * (to - from) / count;
        let pole = |k: usize| (from + half * k as f64, if k.is_multiple_of(2) { 1.0 } else { half.cos() });
        let poles = (0..=2 * count as usize).map(pole).collect();
        let knots = (0..=count as usize).map(|k| from + 2.0 * half * k as f64).collect();
        (Self { degree: 2, knots, inner: 2 }, poles)
    }

    /// Of arcs: the parameter at an angle. Within an arc it runs as the tangent of half the angle from the arc's middle, since the
    /// rational quadratic is a circle's projection.
    pub(crate) fn at_angle(&self, angle: f64) -> f64 {
        let (middle, half) = self.arc(angle);
        middle + half * (0.5 * (angle - middle)).tan() / (0.5 * half).tan()
    }

    /// Of arcs: the angle at a parameter.
    pub(crate) fn angle_at(&self, t: f64) -> f64 {
        let (middle, half) = self.arc(t);
        middle + 2.0 * ((t - middle) / half * (0.5 * half).tan()).atan()
    }

    /// Middle and half the length of the span about a parameter.
    fn arc(&self, t: f64) -> (f64, f64) {
        let next = self.knots.partition_point(|k| *k <= t).clamp(1, self.knots.len() - 1);
        let (from, to) = (self.knots[next - 1], self.knots[next]);
        (f64::midpoint(from, to), 0.5 * (to - from))
    }

    /// Quadratic between two parameters in spans of at most 1, and the two knots that each pole stands between: their
    /// mean is the pole of the parameter itself, their product that of its square (Ramshaw, "Blossoms are polar
    /// forms", CAGD 6 (1989) 323-358).
    pub(crate) fn quadratic(from: f64, to: f64) -> (Self, Vec<[f64; 2]>) {
        let count = (to - from).ceil().max(1.0) as usize;
        let knots: Vec<f64> = (0..=count).map(|k| from + (to - from) * k as f64 / count as f64).collect();
        let at = |i: usize| knots[i.saturating_sub(1).min(count)];
        let pairs = (0..count + 2).map(|i| [at(i), at(i + 1)]).collect();
        (Self { degree: 2, knots, inner: 1 }, pairs)
    }

    /// How many poles there are.
    pub(crate) fn poles(&self) -> usize {
        self.multiplicities().iter().sum::<usize>() - self.degree - 1
    }

    /// How often each knot counts.
    pub(crate) fn multiplicities(&self) -> Vec<usize> {
        let mut out = vec![self.inner; self.knots.len()];
        for end in [0, self.knots.len() - 1] {
            out[end] = self.degree + 1;
        }
        out
    }

    /// Every knot as often as it counts.
    #[cfg(any(test, feature = "truck"))]
    pub(crate) fn full_knots(&self) -> Vec<f64> {
        let times = self.knots.iter().zip(self.multiplicities());
        times.flat_map(|(k, n)| std::iter::repeat_n(*k, n)).collect()
    }
}

/// A surface over two directions. Its normal is that of the first derivative along u and the second along v.
pub(crate) struct Net {
    /// First direction.
    pub(crate) u: Direction,
    /// Second direction.
    pub(crate) v: Direction,
    /// One row for each pole along u, with a pole for each along v, mm, before the stretch of the file, and its weight.
    pub(crate) poles: Vec<Vec<(P3, f64)>>,
}

/// Points close together along the edges of a face, mm, before the stretch of the file.
pub(crate) fn edge_points<'a>(brep: &'a Brep, face: &'a BrepFace) -> impl Iterator<Item = P3> + 'a {
    let fractions = || (0..=PLACES).map(|k| f64::from(k) / f64::from(PLACES));
    face.loops.iter().flatten().flat_map(move |h| fractions().map(move |k| brep.edge_point(h.edge, k)))
}

#[cfg(test)]
impl Direction {
    /// First and last parameter.
    pub(crate) fn range(&self) -> (f64, f64) {
        (self.knots[0], self.knots[self.knots.len() - 1])
    }

    /// The first pole that counts at a parameter, and the basis functions of the poles from there (Cox, de Boor).
    fn basis(&self, t: f64) -> (usize, Vec<f64>) {
        let full = self.full_knots();
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
    pub(crate) fn point(&self, u: f64, v: f64) -> P3 {
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
