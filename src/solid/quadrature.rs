//! Gauss-Legendre rules, and integrals over faces turned into integrals along their edges.

use std::f64::consts::{FRAC_PI_4, PI};
use std::sync::LazyLock;

use crate::geometry::{Chart, Curve};

use super::brep::{Brep, BrepFace, HalfEdge};

/// Greatest number of nodes of a rule.
const MOST_NODES: usize = 16;

static RULES: LazyLock<Vec<Vec<(f64, f64)>>> = LazyLock::new(|| (0..=MOST_NODES).map(legendre).collect());

/// Nodes in `(−1, 1)` and weights of the rule with `n` nodes, exact for polynomials of degree `2n − 1`.
pub(super) fn gauss(n: usize) -> &'static [(f64, f64)] {
    &RULES[n.min(MOST_NODES)]
}

/// The rule of `n` nodes: roots of the Legendre polynomial by Newton.
fn legendre(n: usize) -> Vec<(f64, f64)> {
    let count = n as f64;
    (0..n)
        .map(|i| {
            let mut x = (PI * (i as f64 + 0.75) / (count + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..20 {
                let (mut before, mut value) = (1.0, x);
                for k in 2..=n {
                    let k = k as f64;
                    (before, value) = (value, ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k);
                }
                slope = count * (x * value - before) / (x * x - 1.0);
                x -= value / slope;
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// A node of the integral along an edge: integral parameters on the face's chart, and the first parameter's
/// increment (rate × weight) in the sense of the loop.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    /// First integral parameter.
    pub(super) a: f64,
    /// Second integral parameter.
    pub(super) b: f64,
    /// Increment of the first.
    pub(super) da: f64,
}

/// Calls `visit` at the nodes of `half` seen on the chart.
///
/// Lines give polynomials of degree four at most on planes; circles and ellipses are cut into pieces of an
/// eighth of a turn, splines at their knots.
pub(super) fn along(brep: &Brep, chart: &Chart, half: HalfEdge, visit: &mut impl FnMut(Node)) {
    let edge = &brep.edges[half.edge];
    let (from, to) = edge.range;
    let sense = if half.forward { 1.0 } else { -1.0 };
    let mut panel = |lo: f64, hi: f64, nodes: usize| {
        let (mid, width) = (0.5 * (lo + hi), 0.5 * (hi - lo));
        for &(x, weight) in gauss(nodes) {
            let t = mid + width * x;
            let p = edge.curve.point(t);
            let rate = chart.integral_rate(p, edge.curve.derivative(t)).x;
            let q = chart.integral_params(p);
            visit(Node { a: q.x, b: q.y, da: rate * width * weight * sense });
        }
    };
    match &edge.curve {
        Curve::Line(_) => panel(from, to, 4),
        Curve::Circle(_) | Curve::Ellipse(_) => {
            let n = ((to - from) / FRAC_PI_4).ceil().max(1.0);
            for k in 0..n as usize {
                let at = |k: f64| from + (to - from) * k / n;
                panel(at(k as f64), at(k as f64 + 1.0), 10);
            }
        }
        Curve::Spline(s) => {
            let mut lo = from;
            for &knot in s.knots.iter().filter(|k| **k > from && **k < to).chain(std::iter::once(&to)) {
                panel(lo, knot, 5);
                lo = knot;
            }
        }
    }
}

/// The second integral parameter from which inner integrals over a face start.
///
/// Any one will do for closed loops; one near the face keeps digits. On a cone it must be the apex when an
/// edge ends there, because the angle jumps at the apex and only a zero hides the jump.
pub(super) fn floor(brep: &Brep, face: &BrepFace) -> f64 {
    let apex = face.chart.integral_floor();
    let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
    for &half in face.loops.iter().flatten() {
        let b = face.chart.integral_params(brep.vertices[brep.tail(half)]).y;
        (lo, hi) = (lo.min(b), hi.max(b));
    }
    if lo > apex + 0.1 * (hi - apex) { lo } else { apex }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_exact_for_polynomials() {
        for n in 1..=MOST_NODES {
            let degree = 2 * n - 2;
            let sum: f64 = gauss(n).iter().map(|(x, w)| w * x.powi(degree as i32)).sum();
            let exact = 2.0 / (degree as f64 + 1.0);
            assert!((sum - exact).abs() < 1e-14, "{n} nodes, degree {degree}: {sum} for {exact}");
        }
    }
}
