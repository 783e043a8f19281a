//! Points where two surfaces touch.

use super::march::Pair;
use crate::geometry::{Frame, P3, Surface, V3};
use crate::tolerance::{
    CURVATURE_STEP, DEGENERATE_FORM, NEAR_SURFACE, NOT_ZERO, SAME_ANGLE, SNAP, TANGENT_SNAP, TRACE_FIT,
    UNSOLVED_RADIUS,
};

/// A point where the surfaces touch.
pub(super) enum Contact {
    /// They touch without crossing.
    Touch(P3),
    /// Curvatures agree as well along some direction: what happens there is not known.
    Unsolved(P3),
    /// Branches cross there, leaving in the given directions.
    Node { at: P3, directions: Vec<V3> },
}

/// Solves for the touching point near each undecided cell; each point is given once.
pub(super) fn solve(pair: &Pair, undecided: &[(P3, f64)]) -> Vec<Contact> {
    let mut seen: Vec<P3> = Vec::new();
    let mut out = Vec::new();
    for (start, radius) in undecided {
        // Cells beside a contact that is known need no solving of their own.
        if seen.iter().any(|p| (p - start).norm() < 40.0 * radius) {
            continue;
        }
        if let Some((apex, contact)) = apex_contact(pair, *start, *radius) {
            seen.push(apex);
            out.push(contact);
            continue;
        }
        let far =
            |at: &P3| (at - start).norm() > 1e3 * radius.max(SNAP) || pair.b.f(*at).abs() > NEAR_SURFACE;
        let Some(at) = touching_point(pair, *start).filter(|at| !far(at)) else {
            // One report serves the whole patch of undecided cells.
            if !seen.iter().any(|p| (p - start).norm() < UNSOLVED_RADIUS) {
                seen.push(*start);
                out.push(Contact::Unsolved(*start));
            }
            continue;
        };
        if seen.iter().any(|p| (p - at).norm() < TANGENT_SNAP) {
            continue;
        }
        seen.push(at);
        out.push(classify(pair, at));
    }
    out
}

/// A cone's apex near `start` that lies on the other surface: branches leave it along the rulings that lie in
/// the other surface's tangent plane; without such rulings the surfaces only touch there.
fn apex_contact(pair: &Pair, start: P3, radius: f64) -> Option<(P3, Contact)> {
    for (cone, other) in [(pair.a, pair.b), (pair.b, pair.a)] {
        let Surface::Cone(c) = cone else { continue };
        let apex = c.frame.origin;
        if (apex - start).norm() > 40.0 * radius.max(SNAP) || other.f(apex).abs() > NEAR_SURFACE {
            continue;
        }
        let n = other.grad(apex);
        let (sn, cs) = c.half_angle.sin_cos();
        let (a, b) = (n.dot(&c.frame.x) * sn, n.dot(&c.frame.y) * sn);
        let cosine = -n.dot(&c.frame.z) * cs / a.hypot(b).max(NOT_ZERO);
        if (cosine.abs() - 1.0).abs() < SAME_ANGLE {
            return Some((apex, Contact::Unsolved(apex)));
        }
        if cosine.abs() > 1.0 {
            return Some((apex, Contact::Touch(apex)));
        }
        let (middle, half) = (b.atan2(a), cosine.acos());
        let ruling = |u: f64| c.frame.radial(u) * sn + c.frame.z * cs;
        let directions = vec![ruling(middle + half), ruling(middle - half)];
        return Some((apex, Contact::Node { at: apex, directions }));
    }
    None
}

/// Slope of the second surface's distance along the first at (the foot of) `p`, in the given tangent axes.
fn slope(pair: &Pair, p: P3, frame: &Frame) -> [f64; 2] {
    let (n, g) = (pair.a.grad(p), pair.b.grad(p));
    let t = g - n * g.dot(&n);
    [t.dot(&frame.x), t.dot(&frame.y)]
}

/// The matrix of second derivatives of that distance, by central differences of its slope.
fn second_form(pair: &Pair, p: P3, frame: &Frame) -> [[f64; 2]; 2] {
    let h = CURVATURE_STEP;
    let column = |d: V3| {
        let (f, b) =
            (slope(pair, pair.a.closest(p + d * h), frame), slope(pair, pair.a.closest(p - d * h), frame));
        [(f[0] - b[0]) / (2.0 * h), (f[1] - b[1]) / (2.0 * h)]
    };
    let (c, d) = (column(frame.x), column(frame.y));
    let off = 0.5 * (c[1] + d[0]);
    [[c[0], off], [off, d[1]]]
}

/// Newton for a point of the first surface where the normals are parallel.
fn touching_point(pair: &Pair, start: P3) -> Option<P3> {
    let mut p = pair.a.closest(start);
    for _ in 0..30 {
        let frame = Frame::from_z(p, pair.a.grad(p));
        let s = slope(pair, p, &frame);
        let m = second_form(pair, p, &frame);
        let det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
        let size = m[0][0].abs().max(m[1][1].abs()).max(m[0][1].abs());
        if det.abs() < DEGENERATE_FORM * size * size {
            return None;
        }
        let (x, y) = ((s[0] * m[1][1] - s[1] * m[0][1]) / det, (s[1] * m[0][0] - s[0] * m[1][0]) / det);
        let step = x.hypot(y);
        p = pair.a.closest(p - frame.x * x - frame.y * y);
        if step < TRACE_FIT {
            return Some(p);
        }
    }
    None
}

fn classify(pair: &Pair, at: P3) -> Contact {
    let frame = Frame::from_z(at, pair.a.grad(at));
    let [[a, b], [_, c]] = second_form(pair, at, &frame);
    let disc = b * b - a * c;
    let size = a.abs().max(b.abs()).max(c.abs());
    if disc.abs() < DEGENERATE_FORM * size * size {
        return Contact::Unsolved(at);
    }
    if disc < 0.0 {
        return Contact::Touch(at);
    }
    // a x² + 2 b x y + c y² = 0: two straight lines.
    let root = disc.sqrt();
    let q = -(b + if b < 0.0 { -root } else { root });
    let lines = [(q, a), (c, q)];
    let mut directions = Vec::with_capacity(4);
    for (x, y) in lines {
        let Some(d) = (frame.x * x + frame.y * y).try_normalize(NOT_ZERO) else {
            return Contact::Unsolved(at);
        };
        directions.extend([d, -d]);
    }
    Contact::Node { at, directions }
}
