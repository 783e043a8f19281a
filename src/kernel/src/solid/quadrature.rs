//! Gauss-Legendre rules, and integrals over faces turned into integrals along their edges.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
use std::sync::LazyLock;

use rayon::prelude::*;

use crate::geometry::{Curve, P3, Surface, V3};

use super::brep::{Brep, BrepEdge, BrepFace};

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

/// The nodes of all edges: points, and displacements (derivative × weight) along the edge's own sense.
///
/// Lines give polynomials of degree four at most on planes. Circles give trigonometric integrands there and on
/// cylinders and cones, and are cut into quarter turns; on spheres and tori, and for ellipses, integrands are
/// rational and pieces half as long. Splines are cut at their knots, where they lose smoothness.
pub(super) struct Nodes(Vec<EdgeNodes>);

/// Those of one edge.
#[derive(Default)]
struct EdgeNodes {
    places: Vec<(P3, V3)>,
    /// Of a spline.
    spans: Vec<Span>,
}

/// A span of a spline between two knots, with the nodes in it.
pub(super) struct Span {
    /// Numbers of its first node among the edge's and the one behind its last.
    range: (usize, usize),
    /// Its beginning, and what it runs on by with the first, second and third power of the share of the span.
    cubic: (P3, [V3; 3]),
    /// How far a place lies along it that is half of the way in the sense of its rule.
    pub(super) middle: f64,
}

impl Span {
    /// The place at a share of the span.
    pub(super) fn at(&self, s: f64) -> P3 {
        let (p, [first, second, third]) = &self.cubic;
        p + (first + (second + third * s) * s) * s
    }

    /// How fast that moves.
    pub(super) fn slope(&self, s: f64) -> V3 {
        let [first, second, third] = &self.cubic.1;
        first + (second * 2.0 + third * (3.0 * s)) * s
    }
}

impl Nodes {
    /// The nodes of every edge, made once for both its faces.
    pub(super) fn new(brep: &Brep) -> Self {
        Self::finer(brep, 1)
    }

    /// The same with every panel cut into `parts`: what a proof of the rules' error is made with.
    pub(super) fn finer(brep: &Brep, parts: u32) -> Self {
        let mut rational: Vec<bool> =
            brep.edges.iter().map(|e| matches!(e.curve, Curve::Ellipse(_))).collect();
        for face in brep
            .faces
            .iter()
            .filter(|f| matches!(f.surface, Surface::Sphere(_) | Surface::Torus(_) | Surface::Canal(_)))
        {
            for half in face.loops.iter().flatten() {
                rational[half.edge] = true;
            }
        }
        let of = |(edge, rational): (&BrepEdge, bool)| {
            EdgeNodes::of(edge, if rational { FRAC_PI_4 } else { FRAC_PI_2 }, parts)
        };
        Self(brep.edges.par_iter().zip(rational).map(of).collect())
    }

    /// The spans of an edge that is a spline, with their nodes.
    pub(super) fn spans(&self, edge: usize) -> impl Iterator<Item = (&Span, &[(P3, V3)])> {
        let own = &self.0[edge];
        own.spans.iter().map(|s| (s, &own.places[s.range.0..s.range.1]))
    }

    /// The nodes of an edge.
    pub(super) fn of(&self, edge: usize) -> &[(P3, V3)] {
        &self.0[edge].places
    }
}

impl EdgeNodes {
    fn of(edge: &BrepEdge, piece: f64, parts: u32) -> Self {
        let mut out = Self::default();
        out.push(edge, piece, parts);
        out
    }

    fn push(&mut self, edge: &BrepEdge, piece: f64, parts: u32) {
        let (from, to) = edge.range;
        match &edge.curve {
            Curve::Line(_) => self.panels(edge, 1.0, 4, parts),
            Curve::Circle(_) | Curve::Ellipse(_) => {
                self.panels(edge, ((to - from) / piece).ceil().max(1.0), 10, parts);
            }
            Curve::Spline(s) => {
                let inner = s.knots.iter().copied().filter(|k| *k > from && *k < to);
                let at: Vec<f64> = std::iter::once(from).chain(inner).chain([to]).collect();
                let widths = || at.windows(2).map(|w| w[1] - w[0]);
                let graded = widths().fold(0.0, f64::max) > GRADED * widths().fold(f64::INFINITY, f64::min);
                let last = at.len() - 2;
                let mut before = (from, s.point(from), s.derivative(from));
                for (i, knot) in at.into_iter().enumerate().skip(1) {
                    let here = (knot, s.point(knot), s.derivative(knot));
                    let rule = match (graded, i - 1) {
                        (true, 0) => SpanRule::RootAtStart,
                        (true, i) if i == last => SpanRule::RootAtEnd,
                        (true, _) => SpanRule::Smooth(8),
                        (false, _) => SpanRule::Smooth(3),
                    };
                    self.span(before, here, parts, rule);
                    before = here;
                }
            }
        }
    }

    fn panels(&mut self, edge: &BrepEdge, count: f64, nodes: usize, parts: u32) {
        let (from, to) = edge.range;
        let n = count * f64::from(parts);
        let at = |k: f64| from + (to - from) * k / n;
        for k in 0..n as usize {
            self.panel(&edge.curve, at(k as f64), at(k as f64 + 1.0), nodes);
        }
    }

    fn panel(&mut self, curve: &Curve, lo: f64, hi: f64, nodes: usize) {
        let (mid, width) = (0.5 * (lo + hi), 0.5 * (hi - lo));
        self.places.extend(gauss(nodes).iter().map(|&(x, weight)| {
            let t = mid + width * x;
            (curve.point(t), curve.derivative(t) * (width * weight))
        }));
    }

    /// A span of a spline: the cubic with the given values and slopes at its ends.
    fn span(&mut self, (lo, p, dp): (f64, P3, V3), (hi, q, dq): (f64, P3, V3), parts: u32, rule: SpanRule) {
        let width = hi - lo;
        let (dp, dq, chord) = (dp * width, dq * width, q - p);
        let (c2, c3) = (chord * 3.0 - dp * 2.0 - dq, dp + dq - chord * 2.0);
        let first = self.places.len();
        let middle = match rule {
            SpanRule::Smooth(_) => 0.5,
            SpanRule::RootAtStart => 0.25,
            SpanRule::RootAtEnd => 0.75,
        };
        let mut span = Span { range: (first, first), cubic: (p, [dp, c2, c3]), middle };
        let share = 1.0 / f64::from(parts);
        let count = if let SpanRule::Smooth(n) = rule { n } else { MOST_NODES };
        for part in 0..parts {
            self.places.extend(gauss(count).iter().map(|&(x, weight)| {
                let (k, rate) = ((f64::from(part) + 0.5 * (1.0 + x)) * share, 0.5 * weight * share);
                let (s, rate) = match rule {
                    SpanRule::Smooth(_) => (k, rate),
                    SpanRule::RootAtStart => (k * k, 2.0 * k * rate),
                    SpanRule::RootAtEnd => (1.0 - (1.0 - k) * (1.0 - k), 2.0 * (1.0 - k) * rate),
                };
                (span.at(s), span.slope(s) * rate)
            }));
        }
        span.range.1 = self.places.len();
        self.spans.push(span);
    }
}

/// Spans of a spline differ by more than this factor where it is the crease of a fillet: at the crease's ends parameters of the
/// faces change with the square root of the length along it.
const GRADED: f64 = 20.0;

/// How a span of a spline is integrated.
#[derive(Clone, Copy)]
enum SpanRule {
    /// By so many nodes. Fitted splines have so many spans that three nodes in each are ample.
    Smooth(usize),
    /// In the square root of the distance from an end.
    RootAtStart,
    RootAtEnd,
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
    // Beside a fold places are known less well, and what lies between the face and the floor weighs more than a sliver of a face.
    let near = matches!(&face.surface, Surface::Canal(c) if c.is_folded()) && lo.is_finite();
    if near || lo > apex + 0.1 * (hi - apex) { lo } else { apex }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_exact_for_polynomials() {
        for n in 1..=MOST_NODES {
            let degree = 2.0 * n as f64 - 2.0;
            let sum: f64 = gauss(n).iter().map(|(x, w)| w * x.abs().powf(degree)).sum();
            let exact = 2.0 / (degree + 1.0);
            assert!((sum - exact).abs() < 1e-14, "{n} nodes, degree {degree}: {sum} for {exact}");
        }
    }
}
