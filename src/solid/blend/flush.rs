//! Ends of strips where both walls stop at one flat face.

use super::strip::{Path, Strip};
use crate::geometry::{P3, Plane, Surface};
use crate::solid::Tag;
use crate::solid::primitive::Primitive;

/// A flat face of the solid in which both walls of a strip end. Its normal points out of the solid.
#[derive(Clone, Debug)]
pub(super) struct Flush {
    pub(super) plane: Plane,
    pub(super) tag: Tag,
}

/// Step to both sides of the face, mm, and behind the walls.
const STEP: f64 = 1e-3;

/// Least cosine between the strip's way and the face's normal.
const STEEP: f64 = 0.5;

/// Looks for a flat face at the strip's end (0: start, 1: end). Straight and round strips are lengthened beyond it.
pub(super) fn find(s: &mut Strip, end: usize, bodies: &[Primitive]) -> Option<Flush> {
    let (a, b) = s.range;
    let (c, t) = s.path.at(if end == 0 { a } else { b });
    let out = if end == 0 { -t } else { t };
    let feet = s.triangle(if end == 0 { a } else { b });
    let mut found = None;
    for patch in bodies.iter().flat_map(super::super::primitive::Primitive::patches) {
        let Surface::Plane(plane) = &patch.surface else { continue };
        let facing = plane.frame.z.dot(&out);
        let inwards = bodies_side(bodies, plane, patch.bounds.center());
        let height = |p: P3| (p - plane.frame.origin).dot(&plane.frame.z) * inwards;
        if facing * inwards < STEEP || !patch.bounds.grown(2.0 * s.radius).contains(c) {
            continue;
        }
        let over = height(feet[0]).max(height(feet[1]));
        if over < -1e-6 || over > 1.1 * s.radius / STEEP {
            continue;
        }
        if (0..2).all(|k| stops(s, end, k, &height, bodies)) {
            let mut plane = *plane;
            if inwards < 0.0 {
                plane.frame =
                    crate::geometry::Frame::from_zx(plane.frame.origin, -plane.frame.z, plane.frame.x);
            }
            found = Some(Flush { plane, tag: patch.tag.clone() });
            break;
        }
    }
    let flush = found?;
    let over = feet[..2]
        .iter()
        .map(|p| (p - flush.plane.frame.origin).dot(&flush.plane.frame.z))
        .fold(f64::INFINITY, f64::min);
    if over < 0.1 * s.radius {
        lengthen(s, end)?;
    }
    s.flush.push(flush.plane);
    s.inner[end] = crossing(s, end, &|p| (p - flush.plane.frame.origin).dot(&flush.plane.frame.z));
    Some(flush)
}

/// One where the solid lies against the plane's normal at `p`, else minus one.
fn bodies_side(bodies: &[Primitive], plane: &Plane, p: P3) -> f64 {
    let foot = p - plane.frame.z * (p - plane.frame.origin).dot(&plane.frame.z);
    let inside = |p: P3| bodies.iter().any(|b| b.contains(p));
    if inside(foot + plane.frame.z * STEP) && !inside(foot - plane.frame.z * STEP) { -1.0 } else { 1.0 }
}

/// Whether wall `k` has metal behind it just before the face and none just beyond.
fn stops(s: &Strip, end: usize, k: usize, height: &dyn Fn(P3) -> f64, bodies: &[Primitive]) -> bool {
    let inside = |p: P3| bodies.iter().any(|b| b.contains(p));
    let t = crossing(s, end, &|p| height(p));
    let (c, tangent) = s.path.at(t);
    let out = if end == 0 { -tangent } else { tangent };
    let behind = c + s.walls[k].towards(c) * (s.radius + STEP);
    inside(behind - out * (3.0 * STEP)) && !inside(behind + out * (3.0 * STEP))
}

/// The parameter near an end at which the first foot crosses the face; the end's own where it does so beyond.
fn crossing(s: &Strip, end: usize, height: &dyn Fn(P3) -> f64) -> f64 {
    let (a, b) = s.range;
    let (mut outer, mut inner) = if end == 0 { (a, 0.5 * (a + b)) } else { (b, 0.5 * (a + b)) };
    if height(s.triangle(outer)[0]) <= 0.0 {
        return outer;
    }
    for _ in 0..60 {
        let middle = 0.5 * (outer + inner);
        if height(s.triangle(middle)[0]) > 0.0 { outer = middle } else { inner = middle }
    }
    inner
}

/// Lets a straight or round strip run on beyond an end.
fn lengthen(s: &mut Strip, end: usize) -> Option<()> {
    let speed = match &s.path {
        Path::Line(..) => 1.0,
        Path::Circle(c, _) => c.radius,
        Path::Spine(_) => return None,
    };
    let by = 0.5 * s.radius / speed;
    if end == 0 {
        s.range.0 -= by;
    } else {
        s.range.1 += by;
    }
    s.rebound();
    Some(())
}
