//! Smooth curves that a ball's centre runs along.

use super::{Bounds, Frame, P3, Surface, V3};
use crate::geometry::intersect::Pair;
use crate::tolerance::{CURVE_CONVERGED, ON_SURFACE, SAME, SAME_DIRECTION, SAME_PARAMETER, SNAP, SPINE_FIT};

/// Halvings of a stretch before the fit is given up.
const HALVINGS: usize = 14;

/// A curve of quintic pieces, twice continuously differentiable, in arc length.
#[derive(Clone, Debug, PartialEq)]
pub struct Spine {
    at: Vec<f64>,
    nodes: Vec<Node>,
    /// The nodes' points, close together: they are gone through for every place asked for.
    points: Vec<P3>,
    pieces: Vec<Quintic>,
    /// Places in even stretches of the pieces, between which nearest points are looked for, with point and derivatives there.
    places: Vec<(f64, Jet)>,
    /// Balls around every few of those stretches: centre and radius.
    groups: Vec<(P3, f64)>,
    bounds: Bounds,
    bend: f64,
    /// How fast the curvature vector changes at most, 1/mm².
    bend_change: f64,
}

/// Point, unit tangent and curvature vector of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Node {
    point: P3,
    tangent: V3,
    bend: V3,
}

/// Point, first and second derivative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jet {
    /// The point.
    pub point: P3,
    /// First derivative.
    pub first: V3,
    /// Second derivative.
    pub second: V3,
}

impl Jet {
    /// How fast the distance of `p` falls along the curve (times the distance), and how that changes.
    fn fall(&self, p: P3) -> (f64, f64) {
        let w = p - self.point;
        (w.dot(&self.first), w.dot(&self.second) - self.first.norm_squared())
    }
}

impl Spine {
    /// The intersection of two surfaces through the given points, which lie near it in order. The ends are kept as they are where they
    /// lie on both; one that was found where a third surface runs on smoothly from one of them may be off by as much as vertices that
    /// are made one, and is put on both. `None` where the surfaces nearly touch.
    pub fn along(a: &Surface, b: &Surface, marks: &[P3]) -> Option<Self> {
        let pair = Pair { a, b };
        let mut nodes = Vec::with_capacity(marks.len());
        for (i, p) in marks.iter().enumerate() {
            let ahead = marks[(i + 1).min(marks.len() - 1)] - marks[i.saturating_sub(1)];
            let end = i == 0 || i + 1 == marks.len();
            let kept = end && pair.a.f(*p).abs().max(pair.b.f(*p).abs()) < 0.5 * SPINE_FIT;
            let at = if kept { *p } else { pair.on_plane(*p, ahead.normalize())? };
            if end && (at - p).norm() > SNAP {
                return None;
            }
            nodes.push(node(&pair, at, ahead)?);
        }
        let mut refined = vec![nodes[0]];
        for w in nodes.windows(2) {
            refine(&pair, w[0], w[1], HALVINGS, &mut refined)?;
        }
        Some(Self::of(refined))
    }

    fn of(nodes: Vec<Node>) -> Self {
        let mut at = vec![0.0];
        for w in nodes.windows(2) {
            at.push(at[at.len() - 1] + length(&w[0], &w[1]));
        }
        let bend = nodes.iter().map(|n| n.bend.norm()).fold(0.0, f64::max);
        let mut bounds = Bounds::around(nodes.iter().map(|n| n.point));
        let longest = at.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
        bounds = bounds.grown(0.25 * bend * longest * longest + ON_SURFACE);
        let piece = |i: usize| Quintic::between(&nodes[i], &nodes[i + 1], at[i + 1] - at[i]);
        let pieces = (0..nodes.len() - 1).map(piece).collect();
        let points = nodes.iter().map(|n| n.point).collect();
        let bend = (1.05 * bend).max(1.0 / BOW);
        let mut out = Self {
            at,
            pieces,
            nodes,
            points,
            places: vec![],
            groups: vec![],
            bounds,
            bend,
            bend_change: 0.0,
        };
        out.places = out.stretches();
        out.groups = out.grouped();
        let thirds = out.pieces.iter().map(Quintic::greatest_third);
        out.bend_change = thirds.fold(0.0, f64::max);
        out
    }

    /// Places in even stretches of its pieces, and its end.
    fn stretches(&self) -> Vec<(f64, Jet)> {
        let share = 1.0 / STRETCHES as f64;
        let of_piece = |(piece, from): (&Quintic, &f64)| {
            let (length, from) = (piece.length, *from);
            (0..STRETCHES).map(move |k| from + length * share * k as f64)
        };
        let places = self.pieces.iter().zip(&self.at).flat_map(of_piece);
        places.chain([self.length()]).map(|t| (t, self.jet(t))).collect()
    }

    /// Balls around every [`IN_GROUP`] stretches. Between two places the curve, which is in arc length, is never farther from the nearer one than half
    /// the stretch.
    fn grouped(&self) -> Vec<(P3, f64)> {
        let group = |k: usize| {
            let places = &self.places[k..(k + IN_GROUP + 1).min(self.places.len())];
            let box_of = Bounds::around(places.iter().map(|(_, jet)| jet.point));
            let center = nalgebra::center(&box_of.min, &box_of.max);
            let reach = places.iter().map(|(_, jet)| (jet.point - center).norm()).fold(0.0, f64::max);
            let stretch = places.windows(2).map(|w| w[1].0 - w[0].0).fold(0.0, f64::max);
            (center, reach + stretch)
        };
        (0..self.places.len() - 1).step_by(IN_GROUP).map(group).collect()
    }

    /// Length of the parameter range, which starts at zero.
    pub fn length(&self) -> f64 {
        self.at[self.at.len() - 1]
    }

    /// Parameters at the joints of its pieces, rising.
    pub fn knots(&self) -> &[f64] {
        &self.at
    }

    /// A box around it.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Greatest curvature, 1/mm.
    pub fn bend(&self) -> f64 {
        self.bend
    }

    /// A bound of the curvature in a direction, 1/mm: above zero where the curve turns that way. It holds for all places within `reach` mm
    /// of `t`, and for directions that differ from it by at most `turned`.
    pub(in crate::geometry) fn bend_towards(
        &self,
        t: f64,
        reach: f64,
        (direction, turned): (V3, f64),
    ) -> f64 {
        let within = self.jet(t.clamp(0.0, self.length())).second.dot(&direction);
        (within + self.bend * turned + self.bend_change * reach).max(1.0 / BOW)
    }

    /// Point and derivatives at `t`; beyond the ends the curve runs on along a wide circle, which is neither straight
    /// nor a ball: what follows on a spine often is, and must not be met again by its continuation.
    pub fn jet(&self, t: f64) -> Jet {
        let n = self.nodes.len();
        if t < 0.0 {
            let j = bow(&self.nodes[0]).jet(-t, -1.0);
            return Jet { first: -j.first, ..j };
        }
        if t > self.at[n - 1] {
            return bow(&self.nodes[n - 1]).jet(t - self.at[n - 1], 1.0);
        }
        let i = self.at.partition_point(|a| *a <= t).clamp(1, n - 1) - 1;
        self.pieces[i].jet(t - self.at[i])
    }

    /// The point at `t`.
    pub fn point(&self, t: f64) -> P3 {
        self.jet(t).point
    }

    /// The parameter of the point nearest to `p`; beyond the range where that lies on the continuation.
    pub fn nearest(&self, p: P3) -> f64 {
        let mut best = (f64::INFINITY, 0);
        for (i, point) in self.points.iter().enumerate() {
            let d = (point - p).norm_squared();
            if d < best.0 {
                best = (d, i);
            }
        }
        self.near_node(p, best.1)
    }

    /// The same where the curve turns so tightly that several of its points may be the nearest in their surroundings: of them
    /// all the one whose distance is nearest to `radius`, which finds the place of a point of the tube again. Where the tube
    /// begins to fold at an end of the curve, several distances are hardly told apart: the place farthest inside is meant.
    pub fn nearest_at(&self, p: P3, radius: f64) -> f64 {
        let inside = |t: f64| t.min(self.length() - t);
        let alike = self.near_points(p, |t| t, |distance| (distance - radius).abs());
        alike.into_iter().max_by(|a, b| inside(a.1).total_cmp(&inside(b.1))).map_or(0.0, |a| a.1)
    }

    /// The parameter of the point nearest to `p`, sought from a place beside it; `p` lies at about `radius` from the curve, within `off`.
    /// `None` where that does not lead there without doubt: near the ends, where the curve turns about as tightly as about `p`, or far away.
    pub fn nearest_beside(&self, p: P3, mut t: f64, radius: f64, off: f64) -> Option<f64> {
        for _ in 0..STEPS_BESIDE {
            let j = self.jet(t);
            let (fall, slope) = j.fall(p);
            if slope > -CLEARLY_APART * j.first.norm_squared() {
                return None;
            }
            let next = t - fall / slope;
            if !(next > 0.0 && next < self.length()) {
                return None;
            }
            if (next - t).abs() < SAME_PARAMETER * (1.0 + t) {
                return (((p - j.point).norm() - radius).abs() < off).then_some(next);
            }
            t = next;
        }
        None
    }

    /// Distance of `p` from the curve itself, without what it runs on along beyond its ends.
    pub fn distance(&self, p: P3) -> f64 {
        let on_curve = |t: f64| t.clamp(0.0, self.length());
        let nearest = self.near_points(p, on_curve, |distance| distance);
        nearest.into_iter().map(|found| found.0).fold(f64::INFINITY, f64::min)
    }

    /// The points that are the nearest to `p` in their surroundings, by rising parameters; of them those that are the best by `off`, which grows or
    /// falls no faster than the distance that it is given, of the point `at` the parameter. Each with its `off`, and its parameter.
    fn near_points(&self, p: P3, at: impl Fn(f64) -> f64, off: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
        let mut found: Vec<(f64, f64)> = Vec::new();
        let mut least = f64::INFINITY;
        let mut keep = |t: f64, least: &mut f64| {
            let off = off((self.point(at(t)) - p).norm());
            found.push((off, t));
            *least = least.min(off);
        };
        let (start, end) = (&self.places[0].1, &self.places[self.places.len() - 1].1);
        if start.fall(p).0 <= 0.0 {
            keep(self.near_node(p, 0), &mut least);
        }
        if end.fall(p).0 > 0.0 {
            keep(self.near_node(p, self.nodes.len() - 1), &mut least);
        }
        // None of a group is better than this. The most promising one is gone through first.
        let best: Vec<f64> = self.groups.iter().map(|(c, reach)| off((p - c).norm()) - reach).collect();
        let first = (0..best.len()).min_by(|a, b| best[*a].total_cmp(&best[*b])).unwrap_or(0);
        for group in std::iter::once(first).chain((0..best.len()).filter(|g| *g != first)) {
            if best[group] < least + SAME {
                self.near_points_of(group, p, |t| keep(t, &mut least));
            }
        }
        found.retain(|f| f.0 < least + SAME);
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        found
    }

    /// Parameters of all points of a group of stretches that are the nearest to `p` in their surroundings.
    fn near_points_of(&self, group: usize, p: P3, mut found: impl FnMut(f64)) {
        let first = group * IN_GROUP;
        let mut last: Option<(f64, (f64, f64))> = None;
        for (k, (t, jet)) in self.places.iter().enumerate().skip(first).take(IN_GROUP + 1) {
            let (t, now) = (*t, jet.fall(p));
            // Of the stretch that ends here.
            let piece = k.saturating_sub(1) / STRETCHES;
            let fall = |t: f64| self.pieces[piece].jet(t - self.at[piece]).fall(p);
            if let Some((s, (g, rate))) = last {
                match (g > 0.0, now.0 > 0.0) {
                    (true, false) => found(root(&fall, s, t)),
                    // Between two places from which it falls, or rises, the other way it may turn twice.
                    (true, true) if rate < 0.0 && now.1 > 0.0 => {
                        let turn = turn(&fall, s, t);
                        if fall(turn).0 < 0.0 {
                            found(root(&fall, s, turn));
                        }
                    }
                    (false, false) if rate > 0.0 && now.1 < 0.0 => {
                        let turn = turn(&fall, s, t);
                        if fall(turn).0 > 0.0 {
                            found(root(&fall, turn, t));
                        }
                    }
                    _ => {}
                }
            }
            last = Some((t, now));
        }
    }

    /// The parameter of the point nearest to `p`, near a node.
    fn near_node(&self, p: P3, i: usize) -> f64 {
        let n = self.nodes.len();
        if i == 0 && (p - self.nodes[0].point).dot(&self.nodes[0].tangent) < 0.0 {
            return -bow(&self.nodes[0]).nearest(p, -1.0);
        }
        if i + 1 == n && (p - self.nodes[i].point).dot(&self.nodes[i].tangent) > 0.0 {
            return self.at[i] + bow(&self.nodes[i]).nearest(p, 1.0);
        }
        let ends = [self.at[i.saturating_sub(1)], self.at[(i + 1).min(n - 1)]];
        let ([mut lo, mut hi], mut t) = (ends, self.at[i]);
        for _ in 0..60 {
            // Of the pieces about the node the one that holds the place.
            let piece = if t < self.at[i] { i - 1 } else { (i + usize::from(t >= ends[1])).min(n - 2) };
            let j = self.pieces[piece].jet(t - self.at[piece]);
            let (g, slope) = j.fall(p);
            // Where the curve turns nearly as tightly as about `p`, Newton's steps are wild: there the place is kept between others.
            if g > 0.0 {
                lo = t;
            } else {
                hi = t;
            }
            let newton = if slope < 0.0 { t - g / slope } else { f64::NAN };
            let beyond = newton <= lo && lo > ends[0] || newton >= hi && hi < ends[1];
            let next =
                if newton.is_nan() || beyond { 0.5 * (lo + hi) } else { newton.clamp(ends[0], ends[1]) };
            if (next - t).abs() < SAME_PARAMETER * (1.0 + t) {
                return next;
            }
            t = next;
        }
        t
    }
}

/// Steps of Newton's method from a place beside the one that is sought.
const STEPS_BESIDE: usize = 8;

/// Sections are apart where a step along the curve makes at least this share of it at the point's distance: twice what it makes where a
/// canal ends at a crease ([`FOLDED`](crate::tolerance::FOLDED)).
const CLEARLY_APART: f64 = 0.02;

/// Stretches of each piece between which all nearest points are looked for.
const STRETCHES: usize = 4;

/// Stretches of a group, which is left out where none of its points can be the one that is sought.
const IN_GROUP: usize = 12;

/// The place between two at which a falling function, given with its slope, passes zero.
fn root(f: &dyn Fn(f64) -> (f64, f64), mut lo: f64, mut hi: f64) -> f64 {
    let mut t = 0.5 * (lo + hi);
    for _ in 0..80 {
        let (value, slope) = f(t);
        if value > 0.0 {
            lo = t;
        } else {
            hi = t;
        }
        let newton = t - value / slope;
        let next = if slope < 0.0 && newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - t).abs() < CURVE_CONVERGED * (1.0 + t) {
            return next;
        }
        t = next;
    }
    t
}

/// The place between two at which the slope of a function changes its sign.
fn turn(f: &dyn Fn(f64) -> (f64, f64), mut lo: f64, mut hi: f64) -> f64 {
    let rising = f(lo).1 > 0.0;
    // To a share of 1e-8 of the stretch: the function itself is known there to the square of that.
    for _ in 0..27 {
        let middle = 0.5 * (lo + hi);
        if (f(middle).1 > 0.0) == rising { lo = middle } else { hi = middle }
    }
    0.5 * (lo + hi)
}

/// The circle along which a spine runs on beyond an end.
struct Bow {
    from: P3,
    tangent: V3,
    side: V3,
}

/// Radius of that circle, mm.
const BOW: f64 = 41.7;

fn bow(node: &Node) -> Bow {
    Bow { from: node.point, tangent: node.tangent, side: Frame::from_z(node.point, node.tangent).x }
}

impl Bow {
    /// Point and derivatives at distance `s` beyond the end; `sense` is −1 before the start.
    fn jet(&self, s: f64, sense: f64) -> Jet {
        let (sn, cs) = (s / BOW).sin_cos();
        let ahead = self.tangent * sense;
        Jet {
            point: self.from + ahead * (BOW * sn) + self.side * (BOW * (1.0 - cs)),
            first: ahead * cs + self.side * sn,
            second: (self.side * cs - ahead * sn) / BOW,
        }
    }

    /// Distance beyond the end of the point nearest to `p`.
    fn nearest(&self, p: P3, sense: f64) -> f64 {
        let w = p - self.from;
        BOW * (w.dot(&self.tangent) * sense).atan2(BOW - w.dot(&self.side))
    }
}

/// A node at a point of the curve, its tangent in the sense of `ahead`.
fn node(pair: &Pair, at: P3, ahead: V3) -> Option<Node> {
    let (mut tangent, sine) = pair.tangent(at);
    if sine < SAME_DIRECTION {
        return None;
    }
    if tangent.dot(&ahead) < 0.0 {
        tangent = -tangent;
    }
    // Differentiating n·T = 0 on both surfaces along the curve: n·T' = −T·H·T; and T·T' = 0.
    let (n, m) = (pair.a.grad(at), pair.b.grad(at));
    let (f, g) =
        (-tangent.dot(&pair.a.hessian_times(at, tangent)), -tangent.dot(&pair.b.hessian_times(at, tangent)));
    let det = n.cross(&m).dot(&tangent);
    let bend = (m.cross(&tangent) * f + tangent.cross(&n) * g) / det;
    Some(Node { point: at, tangent, bend })
}

/// Appends `b`, and nodes between it and `a` until the pieces fit.
fn refine(pair: &Pair, a: Node, b: Node, left: usize, out: &mut Vec<Node>) -> Option<()> {
    let h = length(&a, &b);
    let off = |k: f64| {
        let p = quintic(&a, &b, h, k * h).point;
        pair.a.f(p).abs().max(pair.b.f(p).abs())
    };
    let turned = a.tangent.dot(&b.tangent) < 0.9;
    if !turned && off(0.5) < SPINE_FIT && off(0.27) < SPINE_FIT {
        out.push(b);
        return Some(());
    }
    if left == 0 {
        return None;
    }
    let j = quintic(&a, &b, h, 0.5 * h);
    let d = (b.point - a.point).normalize();
    let middle = node(pair, pair.on_plane(j.point, d)?, d)?;
    refine(pair, a, middle, left - 1, out)?;
    refine(pair, middle, b, left - 1, out)
}

/// Length of the quintic between two nodes: the one for which the piece is in arc length, by iteration.
fn length(a: &Node, b: &Node) -> f64 {
    // Gauss–Legendre, five points.
    const X: [(f64, f64); 5] = [
        (-0.906_179_845_938_664, 0.236_926_885_056_189),
        (-0.538_469_310_105_683, 0.478_628_670_499_366),
        (0.0, 0.568_888_888_888_889),
        (0.538_469_310_105_683, 0.478_628_670_499_366),
        (0.906_179_845_938_664, 0.236_926_885_056_189),
    ];
    let mut h = (b.point - a.point).norm();
    for _ in 0..4 {
        h = X
            .iter()
            .map(|(x, w)| 0.5 * w * h * quintic(a, b, h, 0.5 * h * (1.0 + x)).first.norm())
            .sum::<f64>();
    }
    h
}

/// A quintic by its coefficients in the share of its length.
#[derive(Clone, Debug, PartialEq)]
struct Quintic {
    length: f64,
    from: P3,
    c: [V3; 5],
}

impl Quintic {
    /// The one with given point, first and second derivative at both ends of an interval of length `h`.
    fn between(a: &Node, b: &Node, h: f64) -> Self {
        let (d, v, w) = (b.point - a.point, a.tangent * h, b.tangent * h);
        let (p, q) = (a.bend * (h * h), b.bend * (h * h));
        let c3 = d * 10.0 - v * 6.0 - w * 4.0 - p * 1.5 + q * 0.5;
        let c4 = -d * 15.0 + v * 8.0 + w * 7.0 + p * 1.5 - q;
        let c5 = d * 6.0 - (v + w) * 3.0 + (q - p) * 0.5;
        Self { length: h, from: a.point, c: [v, p * 0.5, c3, c4, c5] }
    }

    /// A bound of the third derivative: its norm at a few places, and a fifth more for what lies between them.
    fn greatest_third(&self) -> f64 {
        let [.., c3, c4, c5] = &self.c;
        let third = |s: f64| (c3 * 6.0 + (c4 * 24.0 + c5 * (60.0 * s)) * s).norm();
        1.2 * [0.0, 0.25, 0.5, 0.75, 1.0].map(third).into_iter().fold(0.0, f64::max) / self.length.powi(3)
    }

    #[inline]
    fn jet(&self, t: f64) -> Jet {
        let (s, [c1, c2, c3, c4, c5]) = (t / self.length, &self.c);
        Jet {
            point: self.from + (c1 + (c2 + (c3 + (c4 + c5 * s) * s) * s) * s) * s,
            first: (c1 + (c2 * 2.0 + (c3 * 3.0 + (c4 * 4.0 + c5 * (5.0 * s)) * s) * s) * s) / self.length,
            second: (c2 * 2.0 + (c3 * 6.0 + (c4 * 12.0 + c5 * (20.0 * s)) * s) * s)
                / (self.length * self.length),
        }
    }
}

/// The quintic between two nodes at `t`.
fn quintic(a: &Node, b: &Node, h: f64, t: f64) -> Jet {
    Quintic::between(a, b, h).jet(t)
}

#[cfg(test)]
#[path = "spine_tests.rs"]
mod tests;
