//! Turned surfaces on one axis meet in circles, found in the meridian half plane.

use crate::geometry::{Circle, Curve, Frame, P2, P3, Surface, V2};
use crate::tolerance::{PARALLEL, SAME, SNAP};

/// A surface's meridian in the half plane of (distance from the axis, height).
enum Meridian {
    Line { at: P2, dir: V2, ray: bool },
    Circle { center: P2, radius: f64 },
}

/// The circles in which two turned surfaces on a common axis meet (also those in which they touch), or
/// `None` when they have no common axis. A torus and a sphere of its tube's radius on its ring, which touch
/// along a circle of the tube, are found here as well.
pub(super) fn circles(a: &Surface, b: &Surface) -> Option<Vec<Curve>> {
    if let Some(curve) = ball_in_tube(a, b).or_else(|| ball_in_tube(b, a)) {
        return Some(vec![curve]);
    }
    let frame = common_axis(a, b)?;
    let (m, n) = (meridian(a, &frame)?, meridian(b, &frame)?);
    let on_ray = |line: &Meridian, p: P2| match line {
        Meridian::Line { at, dir, ray: true } => (p - at).dot(dir) > 0.0,
        _ => true,
    };
    let mut out = Vec::new();
    for p in meet(&m, &n) {
        if p.x > SNAP && on_ray(&m, p) && on_ray(&n, p) {
            let frame = frame.moved_to(frame.point(0.0, 0.0, p.y));
            out.push(Curve::Circle(Circle { frame, radius: p.x }));
        }
    }
    Some(out)
}

fn ball_in_tube(ball: &Surface, tube: &Surface) -> Option<Curve> {
    let (Surface::Sphere(s), Surface::Torus(t)) = (ball, tube) else { return None };
    let q = t.frame.local(s.frame.origin);
    let on_ring = q.z.abs() < SAME && (q.x.hypot(q.y) - t.major).abs() < SAME;
    if !on_ring || (s.radius - t.minor).abs() > SAME {
        return None;
    }
    let radial = t.frame.vector(q.x, q.y, 0.0);
    let frame = Frame::from_zx(s.frame.origin, t.frame.z.cross(&radial), radial);
    Some(Curve::Circle(Circle { frame, radius: t.minor }))
}

/// A frame on the common axis, if the two have one.
fn common_axis(a: &Surface, b: &Surface) -> Option<Frame> {
    let on_axis = |frame: &Frame, p: P3| (p - frame.origin).cross(&frame.z).norm() < SAME;
    match (a, b) {
        (Surface::Plane(_) | Surface::Canal(_), _) | (_, Surface::Plane(_) | Surface::Canal(_)) => None,
        (Surface::Sphere(s), Surface::Sphere(t)) => {
            let d = t.frame.origin - s.frame.origin;
            (d.norm() > SAME).then(|| Frame::from_z(s.frame.origin, d))
        }
        (Surface::Sphere(s), t) | (t, Surface::Sphere(s)) => {
            on_axis(t.frame(), s.frame.origin).then(|| *t.frame())
        }
        _ => {
            let (f, g) = (a.frame(), b.frame());
            (f.z.cross(&g.z).norm() < PARALLEL && on_axis(f, g.origin)).then_some(*f)
        }
    }
}

fn meridian(s: &Surface, frame: &Frame) -> Option<Meridian> {
    let height = |p: P3| (p - frame.origin).dot(&frame.z);
    Some(match s {
        Surface::Canal(_) => return None,
        Surface::Plane(p) => {
            Meridian::Line { at: P2::new(0.0, height(p.frame.origin)), dir: V2::x(), ray: false }
        }
        Surface::Cylinder(c) => Meridian::Line { at: P2::new(c.radius, 0.0), dir: V2::y(), ray: false },
        Surface::Cone(c) => {
            let up = c.frame.z.dot(&frame.z).signum();
            let dir = V2::new(c.half_angle.sin(), up * c.half_angle.cos());
            Meridian::Line { at: P2::new(0.0, height(c.frame.origin)), dir, ray: true }
        }
        Surface::Sphere(c) => {
            Meridian::Circle { center: P2::new(0.0, height(c.frame.origin)), radius: c.radius }
        }
        Surface::Torus(c) => {
            Meridian::Circle { center: P2::new(c.major, height(c.frame.origin)), radius: c.minor }
        }
    })
}

fn meet(m: &Meridian, n: &Meridian) -> Vec<P2> {
    match (m, n) {
        (Meridian::Line { at: p, dir: d, .. }, Meridian::Line { at: q, dir: e, .. }) => {
            let cross = d.x * e.y - d.y * e.x;
            if cross.abs() < PARALLEL {
                return vec![];
            }
            let w = q - p;
            vec![p + d * ((w.x * e.y - w.y * e.x) / cross)]
        }
        (Meridian::Line { at, dir, .. }, Meridian::Circle { center, radius })
        | (Meridian::Circle { center, radius }, Meridian::Line { at, dir, .. }) => {
            let foot = at + dir * (center - at).dot(dir);
            chord(foot, *dir, (foot - center).norm(), *radius)
        }
        (Meridian::Circle { center: c, radius: r }, Meridian::Circle { center: e, radius: s }) => {
            let w = e - c;
            let dist = w.norm();
            if dist < SAME {
                return vec![];
            }
            let unit = w / dist;
            if dist > r + s + SAME || dist < (r - s).abs() - SAME {
                return vec![];
            }
            // Touching from outside or inside: one point on the line of centres.
            if dist > r + s - SAME {
                return vec![c + unit * *r];
            }
            if dist < (r - s).abs() + SAME {
                return vec![c + unit * if r > s { *r } else { -*r }];
            }
            let a = (dist * dist + r * r - s * s) / (2.0 * dist);
            let h = ((r - a) * (r + a)).max(0.0).sqrt();
            let left = V2::new(-unit.y, unit.x);
            vec![c + unit * a + left * h, c + unit * a - left * h]
        }
    }
}

/// Points of a line at half a chord from its foot on a circle of the radius, `dist` from the centre.
fn chord(foot: P2, dir: V2, dist: f64, radius: f64) -> Vec<P2> {
    if dist > radius + SAME {
        vec![]
    } else if dist > radius - SAME {
        vec![foot]
    } else {
        let half = ((radius - dist) * (radius + dist)).sqrt();
        vec![foot + dir * half, foot - dir * half]
    }
}
