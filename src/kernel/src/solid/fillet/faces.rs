//! Faces of a filleted body: its supports, canals and corners.

use std::f64::consts::{FRAC_PI_2, PI};
use std::sync::Arc;

use super::extent;
use crate::geometry::{Canal, Cylinder, Frame, P3, Sphere, Surface, Torus, V3};
use crate::solid::blend::{FilletSegment, SpineCurve, VertexBlend};
use crate::solid::evaluate::SEAM_ANGLE;
use crate::solid::patch::{Part, Patch, sorted};
use crate::solid::tag::Tag;

/// Pieces of each edge between whose ends points are taken for boxes and ranges of faces.
const SAMPLES: usize = 8;

/// Points along an edge, which is given by the fraction of its range.
pub(super) fn along(edge: &dyn Fn(f64) -> P3) -> Vec<P3> {
    (0..=SAMPLES).map(|k| edge(k as f64 / SAMPLES as f64)).collect()
}

/// A support with loops of edges, each as the points along it.
pub(super) fn support(surface: Surface, tag: &Tag, loops: &[Vec<Vec<P3>>]) -> Patch {
    // Between the points taken an edge bulges by about a quarter of this.
    let off = |w: &[P3]| (w[1] - P3::from(0.5 * (w[0].coords + w[2].coords))).norm();
    let bulge = loops.iter().flatten().flat_map(|edge| edge.windows(3).map(off)).fold(0.0, f64::max);
    let loops: Vec<Vec<P3>> = loops.iter().map(|l| l.concat()).collect();
    let ranges = extent::ranges(&surface, &loops);
    let bounds = extent::bounds(&surface, &ranges, &loops).grown(bulge);
    let [u, v] = if matches!(surface, Surface::Plane(_)) { [(0.0, 0.0); 2] } else { ranges };
    Patch { surface, tag: tag.clone(), bounds, u, v, segment: None, part: Part::Plain }
}

/// The face that the ball leaves along a fillet segment.
pub(super) fn canal(s: &FilletSegment, canal: Option<&Arc<Canal>>, tag: &Tag) -> Patch {
    let (a, b) = s.range;
    let (surface, u, v) = match (&s.spine, canal) {
        (_, Some(canal)) => {
            let opening = |k: usize| s.opening(a + (b - a) * k as f64 / 16.0);
            let widest = (0..=16).map(opening).fold(0.0, f64::max);
            (Surface::Canal(canal.clone()), (a, b), (0.0, widest))
        }
        (SpineCurve::Circle(c, _), _) => {
            let surface = Surface::Torus(Torus { frame: c.frame, major: c.radius, minor: s.radius });
            let [p, q, _] = s.triangle(a);
            let (v0, v1) = (surface.params(p).1, surface.params(q).1);
            let turn = (v1 - v0 + PI).rem_euclid(2.0 * PI) - PI;
            (surface, (a, b), sorted(v0, v0 + turn))
        }
        (spine, _) => {
            let (p, d) = spine.at(a);
            let frame = Frame::from_zx(p, d, s.supports[0].towards(p));
            let surface = Surface::Cylinder(Cylinder { frame, radius: s.radius });
            let u = sorted(0.0, surface.params(s.triangle(a)[1]).0);
            (surface, u, (0.0, b - a))
        }
    };
    let bounds = extent::bounds(&surface, &[u, v], &[]);
    Patch { surface, tag: tag.clone(), bounds, u, v, segment: None, part: Part::Plain }
}

/// The piece of the ball at a vertex.
pub(super) fn vertex_blend(c: &VertexBlend, tag: Tag) -> Patch {
    let [u, v] = [(-PI, PI), (-FRAC_PI_2, FRAC_PI_2)];
    Patch { surface: ball(c), tag, bounds: c.bounds, u, v, segment: None, part: Part::Plain }
}

/// The ball of a vertex blend, turned so that the cut between its halves keeps off the corner's face.
fn ball(c: &VertexBlend) -> Surface {
    let middle: V3 = c.feet.iter().sum();
    let n = middle.normalize();
    let helper = Frame::from_z(c.center, n);
    // The cut holds the z axis and the direction at SEAM_ANGLE from x: its normal is to be the face's middle.
    let (z, turn) = (helper.x, SEAM_ANGLE + FRAC_PI_2);
    let across = z.cross(&n);
    let x = n * turn.cos() - across * turn.sin();
    Surface::Sphere(Sphere { frame: Frame::from_zx(c.center, z, x), radius: c.radius })
}
