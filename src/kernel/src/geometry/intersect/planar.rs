//! Plane sections in closed form.

use super::{Branch, Intersection};
use crate::geometry::{
    Circle, Cone, Curve, Cylinder, Ellipse, Frame, Line, Plane, Sphere, Surface, Torus, V3,
};
use crate::tolerance::{APEX_TOUCH, LONGEST_ELLIPSE, NOT_ZERO, PARALLEL, SAME, SAME_ANGLE};

/// The section of `other` by the plane, or `None` where it is not made of lines, circles and ellipses.
pub(super) fn section(plane: &Plane, other: &Surface) -> Option<Intersection> {
    match other {
        Surface::Plane(q) => Some(Intersection::of_curves(planes(plane, q))),
        Surface::Cylinder(c) => Some(Intersection::of_curves(cylinder(plane, c))),
        Surface::Sphere(s) => Some(sphere(plane, s)),
        Surface::Cone(c) => cone(plane, c),
        Surface::Torus(t) => torus(plane, t).map(Intersection::of_curves),
        Surface::Canal(_) => None,
    }
}

fn planes(p: &Plane, q: &Plane) -> Vec<Curve> {
    let (n, m) = (p.frame.z, q.frame.z);
    let dir = n.cross(&m);
    if dir.norm() < PARALLEL {
        return vec![];
    }
    let dir = dir.normalize();
    // From p's origin within p towards q.
    let across = dir.cross(&n);
    let origin = p.frame.origin - across * (q.f(p.frame.origin) / across.dot(&m));
    vec![Curve::Line(Line { origin, dir })]
}

/// One or two lines parallel to `axis` where the plane, parallel to the axis, meets the cylinder.
fn cylinder(plane: &Plane, c: &Cylinder) -> Vec<Curve> {
    let (n, axis) = (plane.frame.z, c.frame.z);
    let slant = n.dot(&axis);
    if n.cross(&axis).norm() < PARALLEL {
        let origin = c.frame.origin - axis * (plane.f(c.frame.origin) / slant);
        return vec![Curve::Circle(Circle { frame: c.frame.moved_to(origin), radius: c.radius })];
    }
    let d = plane.f(c.frame.origin);
    if slant.abs() < PARALLEL {
        let across = axis.cross(&n).normalize();
        if d.abs() > c.radius + SAME {
            return vec![];
        }
        let line = |side: f64, depth: f64| {
            let origin = c.frame.origin - n * depth + across * side;
            Curve::Line(Line { origin, dir: axis })
        };
        if d.abs() > c.radius - SAME {
            return vec![line(0.0, d.signum() * c.radius)];
        }
        let half = ((c.radius - d) * (c.radius + d)).sqrt();
        return vec![line(half, d), line(-half, d)];
    }
    let center = c.frame.origin - axis * (d / slant);
    let frame = Frame::from_zx(center, n, axis);
    vec![Curve::Ellipse(Ellipse { frame, major: c.radius / slant.abs(), minor: c.radius })]
}

fn sphere(plane: &Plane, s: &Sphere) -> Intersection {
    let d = plane.f(s.frame.origin);
    let center = s.frame.origin - plane.frame.z * d;
    if d.abs() > s.radius - SAME {
        let touches = if d.abs() < s.radius + SAME { vec![center] } else { vec![] };
        return Intersection { touches, ..Intersection::default() };
    }
    let radius = ((s.radius - d) * (s.radius + d)).sqrt();
    Intersection::of_curves(vec![Curve::Circle(Circle { frame: plane.frame.moved_to(center), radius })])
}

fn cone(plane: &Plane, c: &Cone) -> Option<Intersection> {
    let (n, axis) = (plane.frame.z, c.frame.z);
    let d = plane.f(c.frame.origin);
    if d.abs() < SAME {
        return Some(through_apex(plane, c));
    }
    let slant = n.dot(&axis);
    if n.cross(&axis).norm() < PARALLEL {
        let height = -d / slant;
        if height <= 0.0 {
            return Some(Intersection::default());
        }
        let radius = height * c.half_angle.tan();
        let frame = c.frame.moved_to(c.frame.origin + axis * height);
        return Some(Intersection::of_curves(vec![Curve::Circle(Circle { frame, radius })]));
    }
    // The two rulings in the plane of axis and normal carry the ends of the major axis.
    let radial = (n - axis * slant).normalize();
    let (sn, cs) = c.half_angle.sin_cos();
    let reach = |side: f64| {
        let ruling = axis * cs + radial * (side * sn);
        (-d / n.dot(&ruling), ruling)
    };
    let ((s1, r1), (s2, r2)) = (reach(1.0), reach(-1.0));
    let closed = slant.abs() > sn * (1.0 + SAME_ANGLE);
    if closed && s1.max(s2) < 0.0 {
        return Some(Intersection::default());
    }
    if !closed || s1.max(s2) > LONGEST_ELLIPSE {
        return None;
    }
    let (p, q) = (c.frame.origin + r1 * s1, c.frame.origin + r2 * s2);
    let center = nalgebra::center(&p, &q);
    let (major, minor) = (0.5 * (p - q).norm(), c.radius_at(s1).abs().sqrt() * c.radius_at(s2).abs().sqrt());
    let frame = Frame::from_zx(center, n, p - q);
    Some(Intersection::of_curves(vec![Curve::Ellipse(Ellipse { frame, major, minor })]))
}

/// Rulings that lie in a plane through the apex: none, one where it touches, or two.
fn through_apex(plane: &Plane, c: &Cone) -> Intersection {
    let n = plane.frame.z;
    let (sn, cs) = c.half_angle.sin_cos();
    let (a, b) = (n.dot(&c.frame.x) * sn, n.dot(&c.frame.y) * sn);
    let size = a.hypot(b);
    let cosine = -n.dot(&c.frame.z) * cs / size.max(NOT_ZERO);
    let middle = b.atan2(a);
    let ruling = |u: f64| {
        let dir = c.frame.radial(u) * sn + c.frame.z * cs;
        Branch::Closed(Curve::Line(Line { origin: c.frame.origin, dir }), Some((0.0, f64::INFINITY)))
    };
    let branches = if cosine.abs() > 1.0 + APEX_TOUCH {
        vec![]
    } else if cosine.abs() > 1.0 - APEX_TOUCH {
        vec![ruling(if cosine > 0.0 { middle } else { middle + std::f64::consts::PI })]
    } else {
        vec![ruling(middle + cosine.acos()), ruling(middle - cosine.acos())]
    };
    let apex = vec![c.frame.origin];
    if branches.is_empty() {
        return Intersection { touches: apex, ..Intersection::default() };
    }
    Intersection { branches, nodes: apex, ..Intersection::default() }
}

fn torus(plane: &Plane, t: &Torus) -> Option<Vec<Curve>> {
    let (n, axis) = (plane.frame.z, t.frame.z);
    let d = plane.f(t.frame.origin);
    if n.cross(&axis).norm() < PARALLEL {
        let height = -d / n.dot(&axis);
        let frame = t.frame.moved_to(t.frame.origin + axis * height);
        let ring = |radius: f64| Curve::Circle(Circle { frame, radius });
        if height.abs() > t.minor + SAME {
            return Some(vec![]);
        }
        if height.abs() > t.minor - SAME {
            let frame = t.frame.moved_to(t.frame.origin + axis * (height.signum() * t.minor));
            return Some(vec![Curve::Circle(Circle { frame, radius: t.major })]);
        }
        let half = ((t.minor - height) * (t.minor + height)).sqrt();
        return Some(vec![ring(t.major + half), ring(t.major - half)]);
    }
    if d.abs() < SAME && n.dot(&axis).abs() < PARALLEL {
        let out: V3 = axis.cross(&n).normalize();
        let tube = |side: f64| {
            let center = t.frame.origin + out * (side * t.major);
            Curve::Circle(Circle { frame: Frame::from_zx(center, n, out), radius: t.minor })
        };
        return Some(vec![tube(1.0), tube(-1.0)]);
    }
    None
}
