//! Steps along the edges of a canal that folds.
//!
//! Beside the end of a crease places along the spine change too fast for any rule of quadrature, and they are known less well than
//! elsewhere: by a hundredth of a millimetre. Loops close all the same when each step goes from one known place to the next.

use crate::geometry::{Chart, ChartStep, P2, P3, V3};

use super::quadrature::{Nodes, Span, gauss};

/// A rule that misses what lies between the two ends of a span by more than this, mm along the spine, is not used there.
const MISSED: f64 = 1e-6;

/// Nodes of a part of a span.
const NODES: usize = 5;

/// How often a half of such a span is halved again.
const HALVINGS: u32 = 5;

/// The node of an edge that misses a canal most, and by how much, mm; nothing on other surfaces.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Farthest(pub(super) Option<(f64, P3)>);

impl Farthest {
    /// Takes down how much one node misses it.
    pub(super) fn see(&mut self, missed: Option<f64>, at: P3) {
        if let Some(by) = missed
            && self.0.is_none_or(|f| by.total_cmp(&f.0).is_ge())
        {
            self.0 = Some((by, at));
        }
    }
}

/// Places on the chart of a face with the steps along the spine there, for an edge in its own sense between two ends. What its nodes miss the
/// canal by is taken down.
pub(super) fn steps(
    chart: &Chart,
    nodes: &Nodes,
    edge: usize,
    ends: [P3; 2],
    farthest: &mut Farthest,
) -> Vec<(P2, f64)> {
    let [start, end] = ends.map(|p| chart.integral_params(p));
    let mut out = Vec::new();
    let mut spans = nodes.spans(edge).peekable();
    if spans.peek().is_none() {
        // An arc across the canal: all along it the place is the same, but for its ends.
        out.extend(ruled(chart, nodes.of(edge), farthest));
        let run: f64 = out.iter().map(|o| o.1).sum();
        let off = |o: &(P2, f64), e: P2| (o.0.x - e.x).abs();
        let nearest =
            |e: P2| out.iter().min_by(|a, b| off(a, e).total_cmp(&off(b, e))).map_or(e.x, |o| o.0.x);
        let across = run.abs() < MISSED;
        let first = if across { nearest(start) - start.x } else { 0.0 };
        let last = end.x - start.x - run - first;
        jump(start, first, &mut out);
        jump(P2::new(end.x - last, end.y), last, &mut out);
        return out;
    }
    let mut last = start;
    while let Some((span, own)) = spans.next() {
        let next = if spans.peek().is_none() { end } else { chart.integral_params(span.at(1.0)) };
        step(chart, span, own, [last, next], &mut out, farthest);
        last = next;
    }
    out
}

/// A step along the spine in one place of space: the surface all but stands still there, but what lies between it and the floor of the inner
/// integrals changes along it.
fn jump(from: P2, by: f64, out: &mut Vec<(P2, f64)>) {
    if by == 0.0 {
        return;
    }
    out.extend(gauss(NODES).iter().map(|&(x, weight)| {
        let half = 0.5 * by;
        (P2::new(from.x + half * (1.0 + x), from.y), half * weight)
    }));
}

/// The steps that the rule takes from node to node.
fn ruled(chart: &Chart, nodes: &[(P3, V3)], farthest: &mut Farthest) -> impl Iterator<Item = (P2, f64)> {
    let mut last = None;
    nodes.iter().map(move |&(p, step)| {
        let ChartStep { at, rate, missed } = chart.integral_step(p, step, &mut last);
        farthest.see(missed, p);
        (at, rate.x)
    })
}

/// Whether the steps from one number on add up to the way between two places; then the little that they miss is added, else they are taken back.
fn agree(first: usize, [from, to]: [P2; 2], out: &mut Vec<(P2, f64)>) -> bool {
    let run: f64 = out[first..].iter().map(|o| o.1).sum();
    let missed = to.x - from.x - run;
    let agrees = missed.abs() < MISSED;
    if agrees {
        out.push((to, missed));
    } else {
        out.truncate(first);
    }
    agrees
}

/// The steps along one span.
fn step(
    chart: &Chart,
    span: &Span,
    nodes: &[(P3, V3)],
    [from, to]: [P2; 2],
    out: &mut Vec<(P2, f64)>,
    farthest: &mut Farthest,
) {
    let first = out.len();
    out.extend(ruled(chart, nodes, farthest));
    if agree(first, [from, to], out) {
        return;
    }
    let middle = (span.middle, chart.integral_params(span.at(span.middle)));
    let mut last = None;
    part(chart, span, [(0.0, from), middle], HALVINGS, &mut last, out);
    part(chart, span, [middle, (1.0, to)], HALVINGS, &mut last, out);
}

/// The steps along a part of a span between two places at shares of it: by the rule where that agrees, else in halves, and at last by the
/// parabola through three places.
fn part(
    chart: &Chart,
    span: &Span,
    [(lo, from), (hi, to)]: [(f64, P2); 2],
    halvings: u32,
    last: &mut Option<f64>,
    out: &mut Vec<(P2, f64)>,
) {
    let first = out.len();
    let half = 0.5 * (hi - lo);
    for &(x, weight) in gauss(NODES) {
        let s = lo + half * (1.0 + x);
        let ChartStep { at, rate, .. } =
            chart.integral_step(span.at(s), span.slope(s) * (half * weight), last);
        out.push((at, rate.x));
    }
    if agree(first, [from, to], out) {
        return;
    }
    let s = lo + half;
    let middle = chart.integral_params(span.at(s));
    if halvings > 0 {
        part(chart, span, [(lo, from), (s, middle)], halvings - 1, last, out);
        part(chart, span, [(s, middle), (hi, to)], halvings - 1, last, out);
        return;
    }
    let slope = middle.coords * 4.0 - from.coords * 3.0 - to.coords;
    let bend = (from.coords + to.coords - middle.coords * 2.0) * 2.0;
    for &(x, weight) in gauss(NODES) {
        let u = 0.5 * (1.0 + x);
        out.push((from + (slope + bend * u) * u, 0.5 * weight * (slope.x + 2.0 * bend.x * u)));
    }
}
