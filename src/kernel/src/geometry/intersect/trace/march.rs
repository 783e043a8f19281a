//! Following one branch.

use super::traced::Traced;
use super::{Stops, TraceError, Window};
use crate::geometry::{P3, Surface, V3};
use crate::tolerance::{
    CONVERGED, NODE_RADIUS, OVERRUN, SAME_ANGLE, SHORTEST_STEP, SINGULAR, TRACE_FIT, UNSOLVED_RADIUS,
};

/// Greatest turn of a branch in one step, radians.
const TURN: f64 = 0.12;

/// Longest step, mm.
const LONGEST: f64 = 8.0;

/// Steps before a branch is given up.
const STEP_BUDGET: usize = 20_000;

/// Two surfaces and the curve they share.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pair<'a> {
    pub(crate) a: &'a Surface,
    pub(crate) b: &'a Surface,
}

impl Pair<'_> {
    /// Unit tangent of the curve at `p` and the sine of the angle between the surfaces.
    pub(crate) fn tangent(&self, p: P3) -> (V3, f64) {
        let t = self.a.grad(p).cross(&self.b.grad(p));
        let sine = t.norm();
        (if sine > 0.0 { t / sine } else { t }, sine)
    }

    /// The point on both surfaces and on the plane through `q` with normal `d`, by Newton from `q`.
    pub(crate) fn on_plane(&self, q: P3, d: V3) -> Option<P3> {
        let mut p = q;
        for _ in 0..20 {
            let ((f, n), (g, m)) = (self.a.value_and_grad(p), self.b.value_and_grad(p));
            let det = n.cross(&m).dot(&d);
            if det.abs() < SINGULAR {
                return None;
            }
            let h = (p - q).dot(&d);
            let step = (m.cross(&d) * f + d.cross(&n) * g + n.cross(&m) * h) / det;
            p -= step;
            if step.norm() < CONVERGED {
                if f.abs().max(g.abs()) < 0.5 * TRACE_FIT {
                    return Some(p);
                }
                break;
            }
        }
        (self.a.f(p).abs() < TRACE_FIT && self.b.f(p).abs() < TRACE_FIT).then_some(p)
    }

    /// Radius about a point of the curve within which it is a single arc, by how far about the point that is to hold.
    fn single_arc(&self, p: P3, sine: f64) -> impl Fn(f64) -> f64 {
        let (a, b) = (self.a.distance_jet(p), self.b.distance_jet(p));
        move |reach| {
            let bend = a.second_bound(reach) + b.second_bound(reach);
            if bend == 0.0 { f64::INFINITY } else { sine / bend }
        }
    }
}

/// The first point of a branch off a node.
pub(super) fn off_node(pair: &Pair, node: P3, dir: V3) -> Result<P3, TraceError> {
    pair.on_plane(node + dir * NODE_RADIUS, dir).ok_or(TraceError::Lost { at: node })
}

/// One step along the branch from `p` in the direction of `t`, where the surfaces cross at an angle of a `sine`: the point, and both
/// there. `h` is the step wanted and is set to the one made; `None` where the branch is lost.
fn step(pair: &Pair, p: P3, (t, sine): (V3, f64), h: &mut f64) -> Option<(P3, (V3, f64))> {
    *h = h.min(LONGEST);
    // The safe step shrinks with the reach it is asked for: shorten until it holds.
    let single_arc = pair.single_arc(p, sine);
    for _ in 0..12 {
        let safe = 0.5 * single_arc(*h);
        if safe >= *h {
            break;
        }
        *h = safe.max(0.25 * *h);
    }
    while *h > SHORTEST_STEP {
        if let Some(q) = pair.on_plane(p + t * *h, t) {
            let (mut s, q_sine) = pair.tangent(q);
            if s.dot(&t) < 0.0 {
                s = -s;
            }
            let chord = (q - p) / (q - p).norm();
            let turn = s.cross(&t).norm();
            if q_sine > 0.0 && turn < TURN && chord.dot(&t) > 0.99 && s.dot(&t) > 0.9 {
                return Some((q, (s, q_sine)));
            }
        }
        *h *= 0.5;
    }
    None
}

struct Walk {
    points: Vec<P3>,
    /// The node at its end, or whether it closed on its start.
    end: End,
}

#[derive(PartialEq)]
enum End {
    Left,
    Closed,
    Node(P3),
}

/// Follows the branch from `start` along `t` until it closes, leaves the rectangle or reaches a node.
fn walk(pair: &Pair, window: &Window, start: P3, t: V3, stops: &Stops) -> Result<Walk, TraceError> {
    let mut points = vec![start];
    let (mut p, mut t, mut sine) = (start, t, pair.tangent(start).1);
    let mut h: f64 = 0.5;
    let mut gone = 0.0;
    for _ in 0..STEP_BUDGET {
        // Near a node the branch is straight: don't step over it.
        let ahead = stops.nodes.iter().map(|n| (n - p, *n)).filter(|(w, _)| w.dot(&t) > 0.9 * w.norm());
        let near = ahead.min_by(|x, y| x.0.norm().total_cmp(&y.0.norm()));
        if let Some((w, node)) = near {
            let d = w.norm();
            if d < 1.5 * NODE_RADIUS && d > 0.0 {
                points.push(node);
                return Ok(Walk { points, end: End::Node(node) });
            }
            h = h.min((0.5 * d).max(d - NODE_RADIUS).min(0.7 * d));
        }
        let from = p;
        let Some((q, ahead)) = step(pair, p, (t, sine), &mut h) else {
            let known = stops.unsolved.iter().any(|u| (u - p).norm() < UNSOLVED_RADIUS);
            if window.surveyed(p) && !known {
                return Err(TraceError::Lost { at: p });
            }
            return Ok(Walk { points, end: End::Left });
        };
        (p, (t, sine)) = (q, ahead);
        let moved = (p - from).norm();
        // Closed: the start lies on the chord just gone.
        if gone > 2.0 * SHORTEST_STEP {
            let along = (start - from).dot(&(p - from)) / moved;
            let off = (start - from - (p - from) * (along / moved)).norm();
            if along > 0.0 && along <= moved + CONVERGED && off < 0.25 * moved && points.len() > 2 {
                return Ok(Walk { points, end: End::Closed });
            }
        }
        gone += moved;
        points.push(p);
        if !window.domain.contains(p, OVERRUN) {
            return Ok(Walk { points, end: End::Left });
        }
        h *= 1.6;
    }
    Err(TraceError::Lost { at: p })
}

/// The whole branch through a point.
pub(super) fn from_seed(pair: &Pair, window: &Window, seed: P3, stops: &Stops) -> Result<Traced, TraceError> {
    let (t, sine) = pair.tangent(seed);
    if sine < SAME_ANGLE {
        return Err(TraceError::TouchAlong { at: seed });
    }
    let start = pair.on_plane(seed, t).ok_or(TraceError::Lost { at: seed })?;
    let ahead = walk(pair, window, start, t, stops)?;
    if ahead.end == End::Closed {
        return Ok(Traced::new(pair, ahead.points, true, [false; 2]));
    }
    let back = walk(pair, window, start, -t, stops)?;
    let at_nodes = [matches!(back.end, End::Node(_)), matches!(ahead.end, End::Node(_))];
    let mut points: Vec<P3> = back.points.into_iter().rev().collect();
    points.extend(ahead.points.into_iter().skip(1));
    // No step either way: the surfaces hardly cross in this place.
    if points.len() < 2 {
        return Err(TraceError::Lost { at: start });
    }
    Ok(Traced::new(pair, points, false, at_nodes))
}

/// The branch that leaves a node through `start` in direction `dir`.
pub(super) fn from_node(
    pair: &Pair,
    window: &Window,
    node: P3,
    start: P3,
    dir: V3,
    stops: &Stops,
) -> Result<Traced, TraceError> {
    let (mut t, _) = pair.tangent(start);
    if t.dot(&dir) < 0.0 {
        t = -t;
    }
    let ahead = walk(pair, window, start, t, stops)?;
    let end_node = matches!(ahead.end, End::Node(_));
    let mut points = vec![node];
    points.extend(ahead.points);
    Ok(Traced::new(pair, points, false, [true, end_node]))
}
