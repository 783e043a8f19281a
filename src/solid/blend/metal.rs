//! The fillets of one joint network as a primitive: faces, edges and corners known without intersecting.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::Arc;

use super::flush::Flush;
use super::strip::{Corner, Path, Strip};
use crate::geometry::{
    Bounds, Canal, Circle, Curve, Cylinder, Frame, Line, P3, Plane, Rail, Sphere, Surface, Torus, V3,
};
use crate::solid::Tag;
use crate::solid::evaluate::SEAM_ANGLE;
use crate::solid::primitive::{OwnCurve, OwnEdge, OwnVertex, Part, Patch, Primitive, sorted};

/// What a strip runs into at an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum End {
    /// Another strip, smoothly.
    Strip(usize),
    /// A ball corner.
    Corner(usize),
    /// A flat face of the solid in which both walls end: index among the flush ends.
    Flush(usize),
    /// Nothing: it is closed by a flat face.
    Open,
}

/// The metal of fillets that hang together.
#[derive(Clone, Debug)]
pub(crate) struct Blend {
    strips: Vec<Strip>,
    corners: Vec<Corner>,
}

impl Blend {
    /// Whether `p` is in the metal (or the walls behind it: then either answer may come).
    pub(crate) fn contains(&self, p: P3) -> bool {
        self.strips.iter().any(|s| s.contains(p)) || self.corners.iter().any(|c| c.contains(p))
    }
}

/// Collects the parts of the primitive.
#[derive(Default)]
struct Parts {
    patches: Vec<Patch>,
    edges: Vec<OwnEdge>,
    vertices: Vec<OwnVertex>,
}

impl Parts {
    /// The index of the stand-in for a wall.
    fn ghost(&mut self, surface: &Surface, tag: &Tag) -> usize {
        let found = self.patches.iter().position(|p| p.part == Part::StandIn && p.surface == *surface);
        found.unwrap_or_else(|| {
            self.push(surface.clone(), tag, Bounds::empty(), [(0.0, 0.0); 2], Part::StandIn)
        })
    }

    fn push(
        &mut self,
        surface: Surface,
        tag: &Tag,
        bounds: Bounds,
        [u, v]: [(f64, f64); 2],
        part: Part,
    ) -> usize {
        self.patches.push(Patch { surface, tag: tag.clone(), bounds, u, v, segment: None, part });
        self.patches.len() - 1
    }
}

/// Makes the primitive. `ends[i]` tells what strip `i` runs into at its start and end, `tags[i]` its name.
/// `None` where a strip's surface is impossible (its torus would meet itself).
pub(super) fn primitive(
    strips: Vec<Strip>,
    ends: &[[End; 2]],
    tags: &[Tag],
    corners: Vec<Corner>,
    flush: &[Flush],
) -> Option<Primitive> {
    let mut parts = Parts::default();
    let mut canals = Vec::with_capacity(strips.len());
    for (s, tag) in strips.iter().zip(tags) {
        canals.push(strip_patch(&mut parts, s, tag)?);
    }
    for (i, c) in corners.iter().enumerate() {
        let tag = ends.iter().zip(tags).find(|(e, _)| e.contains(&End::Corner(i))).map(|(_, t)| t)?;
        let tag = Tag::cast(&tag.feature, "fillet corner");
        parts.push(ball(c), &tag, c.bounds, [(-PI, PI), (-FRAC_PI_2, FRAC_PI_2)], Part::Rolled);
    }
    for (i, s) in strips.iter().enumerate() {
        let walls = [0, 1].map(|k| parts.ghost(&s.walls[k].surface, &s.walls[k].tag));
        rails(&mut parts, s, i, walls, canals[i].as_ref());
        for (k, end) in ends[i].iter().enumerate() {
            if let End::Flush(f) = end {
                let Flush { plane, tag } = &flush[*f];
                parts.push(Surface::Plane(*plane), tag, s.bounds, [(0.0, 0.0); 2], Part::Flush);
                continue;
            }
            close(&mut parts, &strips, i, k, *end, walls, &tags[i]);
        }
    }
    let blend = Blend { strips, corners };
    Some(Primitive::blended(blend, parts.patches, parts.edges, parts.vertices))
}

/// The rolled face of a strip: a cylinder or torus where it is one exactly.
#[allow(clippy::option_option, reason = "no face at all, or a face that is no general canal")]
fn strip_patch(parts: &mut Parts, s: &Strip, tag: &Tag) -> Option<Option<Arc<Canal>>> {
    let (a, b) = s.range;
    let r = s.radius;
    let (surface, u, v, canal) = match &s.path {
        Path::Line(p, d, _) => {
            let frame = Frame::from_zx(*p, *d, s.walls[0].towards(*p));
            let surface = Surface::Cylinder(Cylinder { frame, radius: r });
            let u = sorted(0.0, surface.params(s.triangle(a)[1]).0);
            (surface, u, (a, b), None)
        }
        Path::Circle(c, _) => {
            if c.radius <= r + 1e-6 {
                return None;
            }
            let surface = Surface::Torus(Torus { frame: c.frame, major: c.radius, minor: r });
            let [p, q, _] = s.triangle(a);
            let (v0, v1) = (surface.params(p).1, surface.params(q).1);
            let turn = (v1 - v0 + PI).rem_euclid(TAU) - PI;
            (surface, (a, b), sorted(v0, v0 + turn), None)
        }
        Path::Spine(spine) => {
            let canal = Arc::new(Canal::new(spine.clone(), r, s.walls[0].guide.clone()));
            let widest = (0..=16).map(|k| s.opening(a + (b - a) * f64::from(k) / 16.0)).fold(0.0, f64::max);
            (Surface::Canal(canal.clone()), (a, b), (0.0, widest), Some(canal))
        }
    };
    parts.push(surface, tag, s.bounds, [u, v], Part::Rolled);
    Some(canal)
}

/// The ball of a corner, turned so that the cut between its halves keeps off the corner's face.
fn ball(c: &Corner) -> Surface {
    let middle: V3 = c.feet.iter().sum();
    let n = middle.normalize();
    let helper = Frame::from_z(c.center, n);
    // The cut holds the z axis and the direction at SEAM_ANGLE from x: its normal is to be the face's middle.
    let (z, turn) = (helper.x, SEAM_ANGLE + FRAC_PI_2);
    let across = z.cross(&n);
    let x = n * turn.cos() - across * turn.sin();
    Surface::Sphere(Sphere { frame: Frame::from_zx(c.center, z, x), radius: c.radius })
}

/// The two lines along which the ball touches the walls.
fn rails(parts: &mut Parts, s: &Strip, patch: usize, walls: [usize; 2], canal: Option<&Arc<Canal>>) {
    for (k, wall) in walls.into_iter().enumerate() {
        let (a, b) = s.range;
        let (from, to) = (s.triangle(a)[k], s.triangle(b)[k]);
        let (curve, range) = match (&s.path, canal) {
            (Path::Spine(_), Some(canal)) => {
                (OwnCurve::Rail(Arc::new(Rail::new(canal.clone(), s.walls[k].guide.clone()))), None)
            }
            (Path::Circle(c, _), _) => {
                let q = c.frame.local(from);
                let frame = c.frame.moved_to(c.frame.point(0.0, 0.0, q.z));
                (OwnCurve::Plain(Curve::Circle(Circle { frame, radius: q.x.hypot(q.y) })), None)
            }
            _ => {
                let line = Line { origin: from, dir: (to - from).normalize() };
                (OwnCurve::Plain(Curve::Line(line)), Some((0.0, (to - from).norm())))
            }
        };
        parts.edges.push(OwnEdge { curve, range, patches: [patch, wall], forward: None });
    }
}

/// The arc across the end of a strip and its corners.
fn close(parts: &mut Parts, strips: &[Strip], i: usize, k: usize, end: End, walls: [usize; 2], tag: &Tag) {
    let s = &strips[i];
    let t = s.range_end(k);
    let (c, tangent) = s.path.at(t);
    let triangle = s.triangle(t);
    let other = match end {
        End::Strip(j) => j,
        End::Corner(j) => strips.len() + j,
        End::Flush(_) | End::Open => {
            let surface = Surface::Plane(Plane { frame: Frame::from_z(c, tangent) });
            let meeting = s.junction(t).unwrap_or(triangle[2]);
            let bounds = Bounds::around(triangle).union(&Bounds::around([c, meeting])).grown(0.3 * s.radius);
            let tag = Tag::cast(&tag.feature, &format!("{} end", tag.role));
            parts.push(surface, &tag, bounds, [(0.0, 0.0); 2], Part::Plain)
        }
    };
    let one_surface = match end {
        End::Strip(j) => {
            let (p, q) = (&parts.patches[i].surface, &parts.patches[j].surface);
            p.same_as(q, c, 100.0).is_some()
        }
        _ => false,
    };
    if !one_surface {
        let frame = Frame::from_zx(c, tangent, s.walls[0].towards(c));
        let circle = Curve::Circle(Circle { frame, radius: s.radius });
        parts.edges.push(OwnEdge {
            curve: OwnCurve::Plain(circle),
            range: None,
            patches: [i, other],
            forward: None,
        });
    }
    for (k, wall) in walls.into_iter().enumerate() {
        parts.vertices.push(OwnVertex { point: triangle[k], patches: vec![i, other, wall] });
    }
}
