//! Distances of plane triangles and straight pieces.

use crate::geometry::{P3, V3};
use crate::tolerance::{NOT_ZERO, SEGMENTS_PARALLEL};

/// The point of a segment nearest to `p`, as a share of its length.
#[inline]
pub(super) fn on_segment(p: P3, a: P3, b: P3) -> f64 {
    let d = b - a;
    let size = d.norm_squared();
    if size > 0.0 { ((p - a).dot(&d) / size).clamp(0.0, 1.0) } else { 0.0 }
}

/// The foot of `p` on a triangle, if it lies inside.
#[inline]
fn foot(p: P3, [a, b, c]: [P3; 3]) -> Option<P3> {
    let (u, v) = (b - a, c - a);
    let w = p - a;
    let (uu, uv, vv, wu, wv) = (u.dot(&u), u.dot(&v), v.dot(&v), w.dot(&u), w.dot(&v));
    let det = uu * vv - uv * uv;
    let (s, t) = (vv * wu - uv * wv, uu * wv - uv * wu);
    (det > 0.0 && s >= 0.0 && t >= 0.0 && s + t <= det).then(|| a + u * (s / det) + v * (t / det))
}

/// The point of a triangle nearest to `p`.
pub fn on_triangle(p: P3, [a, b, c]: [P3; 3]) -> P3 {
    if let Some(foot) = foot(p, [a, b, c]) {
        return foot;
    }
    let on = |x: P3, y: P3| x + (y - x) * on_segment(p, x, y);
    least([on(a, b), on(b, c), on(c, a)], |q| (q - p).norm_squared())
}

/// The two halves of a triangle whose longest side is longer than a length.
pub fn halves(t: [P3; 3], side: f64) -> Option<[[P3; 3]; 2]> {
    let length = |i: usize| (t[(i + 1) % 3] - t[i]).norm();
    let i = (0..3).max_by(|i, j| length(*i).total_cmp(&length(*j)).then(j.cmp(i)))?;
    let [a, b, c] = [t[i], t[(i + 1) % 3], t[(i + 2) % 3]];
    let middle = a + (b - a) * 0.5;
    (length(i) > side).then_some([[a, middle, c], [middle, b, c]])
}

#[inline]
fn least<T: Copy, const N: usize>(of: [T; N], size: impl Fn(&T) -> f64) -> T {
    let (mut best, mut known) = (of[0], size(&of[0]));
    for x in &of[1..] {
        let size = size(x);
        if size < known {
            (best, known) = (*x, size);
        }
    }
    best
}

/// The nearest points of two segments.
#[inline]
fn segments(a: [P3; 2], b: [P3; 2]) -> [P3; 2] {
    let (u, v, w) = (a[1] - a[0], b[1] - b[0], a[0] - b[0]);
    let (uu, uv, vv, uw, vw) = (u.dot(&u), u.dot(&v), v.dot(&v), u.dot(&w), v.dot(&w));
    let det = uu * vv - uv * uv;
    let s = if det > SEGMENTS_PARALLEL * uu * vv { ((uv * vw - vv * uw) / det).clamp(0.0, 1.0) } else { 0.0 };
    let t = if vv > 0.0 { ((uv * s + vw) / vv).clamp(0.0, 1.0) } else { 0.0 };
    let q = b[0] + v * t;
    let p = a[0] + u * on_segment(q, a[0], a[1]);
    [p, q]
}

/// The nearest points of a triangle and a segment that does not meet it.
pub(super) fn to_segment(a: [P3; 3], b: [P3; 2]) -> [P3; 2] {
    let [p, q] = b;
    let [x, y, z] = a;
    let ends = [[on_triangle(p, a), p], [on_triangle(q, a), q]];
    let sides = [segments([x, y], b), segments([y, z], b), segments([z, x], b)];
    least([ends[0], ends[1], sides[0], sides[1], sides[2]], |x| (x[1] - x[0]).norm_squared())
}

/// The nearest points of two triangles that do not meet.
pub(super) fn triangles(a: [P3; 3], b: [P3; 3]) -> [P3; 2] {
    let size = |x: &[P3; 2]| (x[1] - x[0]).norm_squared();
    let mut best = [a[0], b[0]];
    let mut least = size(&best);
    let mut offer = |pair: [P3; 2]| {
        let size = size(&pair);
        if size < least {
            (best, least) = (pair, size);
        }
    };
    // A corner that has no foot inside the other triangle is nearest to one of its sides, as a side's end.
    for i in 0..3 {
        if let Some(foot) = foot(a[i], b) {
            offer([a[i], foot]);
        }
        if let Some(foot) = foot(b[i], a) {
            offer([foot, b[i]]);
        }
        for j in 0..3 {
            offer(segments([a[i], a[(i + 1) % 3]], [b[j], b[(j + 1) % 3]]));
        }
    }
    best
}

/// How far a triangle lies to one side of the plane through `on` with the normal `n`: no place of it is nearer. Zero where
/// it crosses the plane.
#[inline]
pub(super) fn off_plane([a, b, c]: &[P3; 3], on: &P3, n: &V3) -> f64 {
    let (a, b, c) = ((a - on).dot(n), (b - on).dot(n), (c - on).dot(n));
    a.min(b).min(c).max(-a.max(b).max(c)).max(0.0)
}

/// Where the sides of one triangle go through another.
pub(super) fn pierced(sides: [P3; 3], [a, b, c]: [P3; 3]) -> Vec<P3> {
    let (u, v) = (b - a, c - a);
    let n = u.cross(&v);
    let through = |p: P3, q: P3| {
        let (from, to) = (n.dot(&(p - a)), n.dot(&(q - a)));
        if from * to > 0.0 || (from - to).abs() < NOT_ZERO {
            return None;
        }
        let at = p + (q - p) * (from / (from - to));
        let w = at - a;
        let s = w.cross(&v).dot(&n);
        let t = u.cross(&w).dot(&n);
        let all = n.norm_squared();
        (s >= 0.0 && t >= 0.0 && s + t <= all).then_some(at)
    };
    (0..3).filter_map(|i| through(sides[i], sides[(i + 1) % 3])).collect()
}
