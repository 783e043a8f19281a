//! Cylinder and cone pairs that meet in plane curves.

use super::{Branch, Intersection, SurfacePart, SurveyBudget, TraceError, planar, trace_pair};
use crate::geometry::{Curve, Cylinder, Line, P3, Plane, Surface, V3};
use crate::tolerance::{ALONG_RULING, PARALLEL, PLANE_CURVE_FIT, SAME, SAME_ANGLE, SAME_DIRECTION};

/// The lines in which two cylinders with parallel axes meet or touch; `None` if the axes aren't parallel.
pub(super) fn parallel(p: &Cylinder, q: &Cylinder) -> Option<Vec<Curve>> {
    let axis = p.frame.z;
    if axis.cross(&q.frame.z).norm() > PARALLEL {
        return None;
    }
    let w = q.frame.origin - p.frame.origin;
    let w = w - axis * w.dot(&axis);
    let dist = w.norm();
    if dist < SAME || dist > p.radius + q.radius + SAME || dist < (p.radius - q.radius).abs() - SAME {
        return Some(vec![]);
    }
    let unit = w / dist;
    let line = |along: f64, side: f64| {
        let origin = p.frame.origin + unit * along + axis.cross(&unit) * side;
        Curve::Line(Line { origin, dir: axis })
    };
    if dist > p.radius + q.radius - SAME {
        return Some(vec![line(p.radius, 0.0)]);
    }
    if dist < (p.radius - q.radius).abs() + SAME {
        return Some(vec![line(if p.radius > q.radius { p.radius } else { -p.radius }, 0.0)]);
    }
    let a = (dist * dist + p.radius * p.radius - q.radius * q.radius) / (2.0 * dist);
    let h = ((p.radius - a) * (p.radius + a)).max(0.0).sqrt();
    Some(vec![line(a, h), line(a, -h)])
}

/// A cylinder or cone about a sphere that it touches all round: points with
/// `|x − o|² − r² = (g·(x − o) − c)²`.
struct Tangent {
    g: V3,
    c: f64,
}

fn tangent_to_sphere(s: &Surface, o: P3) -> Option<(f64, Tangent)> {
    match s {
        Surface::Cylinder(c) => Some((c.radius, Tangent { g: c.frame.z, c: 0.0 })),
        Surface::Cone(c) => {
            let a = c.frame.origin - o;
            let along = -a.dot(&c.frame.z);
            if along <= SAME {
                return None;
            }
            let r = along * c.half_angle.sin();
            let k = (a.norm_squared() - r * r).sqrt();
            Some((r, Tangent { g: a / k, c: r * r / k }))
        }
        _ => None,
    }
}

/// Two cylinders or cones whose axes cross and that touch one common sphere meet in two plane curves
/// (Monge's theorem). Gives the two planes.
pub(super) fn common_sphere_planes(a: &Surface, b: &Surface) -> Option<[Plane; 2]> {
    let (fa, fb) = (a.frame(), b.frame());
    let cross = fa.z.cross(&fb.z);
    let quadric = |s: &Surface| matches!(s, Surface::Cylinder(_) | Surface::Cone(_));
    if !quadric(a) || !quadric(b) || cross.norm() < SAME_DIRECTION {
        return None;
    }
    let w = fb.origin - fa.origin;
    if (w.dot(&cross) / cross.norm()).abs() > SAME {
        return None;
    }
    let along = w.cross(&fb.z).dot(&cross) / cross.norm_squared();
    let o = fa.origin + fa.z * along;
    let (r, t) = tangent_to_sphere(a, o)?;
    let (q, s) = tangent_to_sphere(b, o)?;
    if (r - q).abs() > SAME {
        return None;
    }
    let plane = |sign: f64| {
        let n = t.g - s.g * sign;
        let c = t.c - s.c * sign;
        (n.norm() > SAME_ANGLE).then(|| Plane::new(o + n * (c / n.norm_squared()), n))
    };
    Some([plane(1.0)?, plane(-1.0)?])
}

/// The two plane curves: each plane's section of `a`, kept where it lies on `b` too; their crossings are nodes.
pub(super) fn plane_pair(
    a: &SurfacePart,
    b: &SurfacePart,
    planes: [Plane; 2],
) -> Result<Intersection, TraceError> {
    let mut out = Intersection::default();
    for plane in planes {
        let surface = Surface::Plane(plane);
        let part = SurfacePart { surface: &surface, domain: ((0.0, 0.0), (0.0, 0.0)), boxes: b.boxes };
        let found = match planar::section(&plane, a.surface) {
            Some(found) => found,
            None => trace_pair(&part, a, SurveyBudget::FULL)?,
        };
        let on_other = |branch: &Branch| {
            let p = match branch {
                Branch::Closed(c, range) => c.point(range.map_or(0.3, |r| r.0 + 1.0)),
                Branch::Traced(t) => t.point(0.5 * t.length()),
            };
            b.surface.f(p).abs() < PLANE_CURVE_FIT
        };
        let kept = found.branches.into_iter().filter(on_other).collect();
        out.join(Intersection { branches: kept, nodes: found.nodes, ..Intersection::default() });
    }
    // The planes cross in a line; where it pierces the surface both curves pass.
    let (p, q) = (&planes[0].frame, &planes[1].frame);
    let dir = p.z.cross(&q.z);
    if dir.norm() > PARALLEL {
        let across = dir.normalize().cross(&p.z);
        let d = (p.origin - q.origin).dot(&q.z);
        let at = p.origin - across * (d / across.dot(&q.z));
        out.nodes.extend(pierce(a.surface, at, dir.normalize()));
    }
    Ok(out)
}

/// Points of a line on a cylinder or cone: the quadratic in closed form.
fn pierce(s: &Surface, at: P3, dir: V3) -> Vec<P3> {
    let frame = s.frame();
    let (o, d) = (frame.local(at).coords, frame.local_vector(dir));
    // x² + y² − k²z² − r² = 0 in the surface's frame.
    let (k2, r2) = match s {
        Surface::Cylinder(c) => (0.0, c.radius * c.radius),
        Surface::Cone(c) => (c.half_angle.tan().powi(2), 0.0),
        _ => return vec![],
    };
    let form = |p: &V3, q: &V3| p.x * q.x + p.y * q.y - k2 * p.z * q.z;
    let (a, b, c) = (form(&d, &d), form(&o, &d), form(&o, &o) - r2);
    let disc = b * b - a * c;
    if disc <= 0.0 || a.abs() < ALONG_RULING {
        return vec![];
    }
    [1.0, -1.0]
        .iter()
        .map(|sign| at + dir * ((-b + sign * disc.sqrt()) / a))
        .filter(|p| s.f(*p).abs() < PLANE_CURVE_FIT)
        .collect()
}
