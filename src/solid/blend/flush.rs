//! Ends of strips where both walls stop at one flat face.

use super::inside;
use super::strip::Strip;
use crate::geometry::{Frame, P3, Plane, Surface};
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
    let (c, t) = s.path.at(s.range_end(end));
    let out = if end == 0 { -t } else { t };
    let feet = s.triangle(s.range_end(end));
    let mut found = None;
    for patch in bodies.iter().flat_map(Primitive::patches) {
        let Surface::Plane(plane) = &patch.surface else { continue };
        let facing = plane.frame.z.dot(&out);
        if facing.abs() < STEEP || !patch.bounds.grown(2.0 * s.radius).contains(c) {
            continue;
        }
        // Asked last of all: it looks through every body.
        let inwards = bodies_side(bodies, plane, patch.bounds.center());
        let height = |p: P3| plane.f(p) * inwards;
        if facing * inwards < STEEP {
            continue;
        }
        let over = height(feet[0]).max(height(feet[1]));
        if over < -1e-6 || over > 1.1 * s.radius / STEEP {
            continue;
        }
        if (0..2).all(|k| stops(s, end, k, &height, bodies)) {
            let mut plane = *plane;
            if inwards < 0.0 {
                plane.frame = Frame::from_zx(plane.frame.origin, -plane.frame.z, plane.frame.x);
            }
            found = Some(Flush { plane, tag: patch.tag.clone() });
            break;
        }
    }
    let flush = found?;
    let over = flush.plane.f(feet[0]).min(flush.plane.f(feet[1]));
    if over < 0.1 * s.radius {
        s.lengthen(end, 0.5 * s.radius)?;
    }
    s.flush.push(flush.plane);
    s.inner[end] = crossing(s, end, &|p| flush.plane.f(p));
    Some(flush)
}

/// One where the solid lies against the plane's normal at `p`, else minus one.
fn bodies_side(bodies: &[Primitive], plane: &Plane, p: P3) -> f64 {
    let foot = p - plane.frame.z * plane.f(p);
    if inside(bodies, foot + plane.frame.z * STEP) && !inside(bodies, foot - plane.frame.z * STEP) {
        -1.0
    } else {
        1.0
    }
}

/// Whether wall `k` has metal behind it just before the face and none just beyond.
fn stops(s: &Strip, end: usize, k: usize, height: &dyn Fn(P3) -> f64, bodies: &[Primitive]) -> bool {
    let t = crossing(s, end, height);
    let (c, tangent) = s.path.at(t);
    let out = if end == 0 { -tangent } else { tangent };
    let behind = c + s.walls[k].towards(c) * (s.radius + STEP);
    inside(bodies, behind - out * (3.0 * STEP)) && !inside(bodies, behind + out * (3.0 * STEP))
}

/// The parameter near an end at which the first foot crosses the face; the end's own where it does so beyond.
fn crossing(s: &Strip, end: usize, height: &dyn Fn(P3) -> f64) -> f64 {
    let (a, b) = s.range;
    let (mut outer, mut inner) = (s.range_end(end), 0.5 * (a + b));
    if height(s.triangle(outer)[0]) <= 0.0 {
        return outer;
    }
    for _ in 0..60 {
        let middle = 0.5 * (outer + inner);
        if height(s.triangle(middle)[0]) > 0.0 { outer = middle } else { inner = middle }
    }
    inner
}
