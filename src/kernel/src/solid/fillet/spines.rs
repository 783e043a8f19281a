//! Spines: the ways a ball's centre can take along the joints of a solid, which are concave edges of the offset solid.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::convexity::{ClassifiedEdge, RollingSide};
use super::failure::{FilletFailure, TightEdge};
use crate::geometry::{Circle, Curve, Frame, OffsetSurface, P3, Spine, Surface};
use crate::solid::blend::{FilletSegment, SpineCurve, Support};
use crate::solid::brep::{Brep, HalfEdge};
use crate::tolerance::{PARALLEL, SAME, SAME_ANGLE, SECTION_STRETCH, SECTION_STRETCH_WITHIN};

/// The support beside a face, a radius from it on the ball's side; `None` where that is a sharp edge or a point.
fn support(brep: &Brep, face: usize, radius: f64, side: RollingSide) -> Option<Support> {
    let f = &brep.faces[face];
    let against = f.same_sense == (side == RollingSide::Outside);
    let surface = f.surface.offset(if against { -radius } else { radius })?;
    let offset = OffsetSurface { surface: f.surface.clone(), against };
    Some(Support { offset, surface })
}

/// Edges that continue one another: same two surfaces, tangent. Each chain with its vertices in order.
#[derive(Clone, Debug)]
pub(super) struct EdgeChain {
    /// Edges with their sense.
    pub(super) edges: Vec<HalfEdge>,
    /// Faces on the two sides of the first edge.
    pub(super) faces: [usize; 2],
}

impl EdgeChain {
    pub(super) fn ends(&self, brep: &Brep) -> [usize; 2] {
        [brep.tail(self.edges[0]), brep.head(self.edges[self.edges.len() - 1])]
    }
}

/// Joins the wanted edges to chains. Closed chains are cut in two.
pub(super) fn chains(brep: &Brep, classified: &[ClassifiedEdge], wanted: &[usize]) -> Vec<EdgeChain> {
    let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for e in wanted {
        at.entry(brep.edges[*e].start).or_default().push(*e);
        at.entry(brep.edges[*e].end).or_default().push(*e);
    }
    let surfaces = |e: usize| classified[e].faces.map(|f| &brep.faces[f].surface);
    let same = |a: &Surface, b: &Surface, p: P3| a == b || a.same_as(b, p, 100.0).is_some();
    let next = |h: HalfEdge| -> Option<HalfEdge> {
        let v = brep.head(h);
        let [e, f] = at[&v][..] else { return None };
        let other = if e == h.edge { f } else { e };
        if other == h.edge {
            return None;
        }
        let p = brep.vertices[v];
        let ([a, b], [c, d]) = (surfaces(h.edge), surfaces(other));
        let alike = (same(a, c, p) && same(b, d, p)) || (same(a, d, p) && same(b, c, p));
        alike.then(|| HalfEdge { edge: other, forward: brep.edges[other].start == v })
    };
    let mut used: BTreeMap<usize, bool> = wanted.iter().map(|e| (*e, false)).collect();
    let mut out = Vec::new();
    for &first in wanted {
        if used[&first] {
            continue;
        }
        // Back to where the run starts, then forwards.
        let mut start = HalfEdge { edge: first, forward: true };
        let mut closed = false;
        while let Some(before) = next(HalfEdge { forward: !start.forward, ..start }) {
            if before.edge == first {
                closed = true;
                break;
            }
            start = HalfEdge { forward: !before.forward, ..before };
        }
        let mut run = vec![start];
        used.insert(start.edge, true);
        while let Some(n) = next(run[run.len() - 1]) {
            if used[&n.edge] {
                break;
            }
            used.insert(n.edge, true);
            run.push(n);
        }
        let cuts = if closed { vec![0, run.len() / 2, run.len()] } else { vec![0, run.len()] };
        for w in cuts.windows(2) {
            if w[0] < w[1] {
                out.push(EdgeChain {
                    edges: run[w[0]..w[1]].to_vec(),
                    faces: classified[run[w[0]].edge].faces,
                });
            }
        }
    }
    out
}

/// The fillet segment along a chain; where the path turns too tightly, the edge about which it does.
pub(super) fn segment(
    brep: &Brep,
    chain: &EdgeChain,
    radius: f64,
    side: RollingSide,
) -> Result<FilletSegment, (FilletFailure, Option<TightEdge>)> {
    let support =
        |k: usize| support(brep, chain.faces[k], radius, side).ok_or((FilletFailure::SharpEdge, None));
    let supports = [support(0)?, support(1)?];
    let spine = spine_curve(brep, chain, &supports, radius).map_err(|t| (t, None))?;
    let segment = FilletSegment::new(spine, radius, supports);
    let stretch = segment.least_stretch();
    let least = if side == RollingSide::Outside { SECTION_STRETCH } else { SECTION_STRETCH_WITHIN };
    if stretch < least {
        return Err((FilletFailure::Tight, tight_edge(brep, chain, radius, stretch)));
    }
    Ok(segment)
}

/// Of the two faces beside a chain the one that bends more about the material; a path that turns about it does so in
/// proportion to its radius.
fn tight_edge(brep: &Brep, chain: &EdgeChain, radius: f64, stretch: f64) -> Option<TightEdge> {
    let bend = |face: usize| {
        let f = &brep.faces[face];
        let bend = match &f.surface {
            Surface::Cylinder(c) => c.radius,
            Surface::Torus(t) => t.minor,
            Surface::Sphere(s) => s.radius,
            _ => return None,
        };
        f.same_sense.then_some((face, bend))
    };
    let (face, bend_radius) =
        chain.faces.iter().filter_map(|f| bend(*f)).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let needed = (1.0 - stretch) * bend_radius / (1.0 - 2.0 * SECTION_STRETCH) - radius;
    Some(TightEdge { tag: brep.faces[face].tag.clone(), radius: bend_radius - radius, needed })
}

/// The way of the ball's centre along a chain: a line or circle where it is one, else found between the two offset surfaces.
fn spine_curve(
    brep: &Brep,
    chain: &EdgeChain,
    supports: &[Support; 2],
    radius: f64,
) -> Result<SpineCurve, FilletFailure> {
    let [a, b] = chain.ends(brep).map(|v| brep.vertices[v]);
    let first = chain.edges[0];
    let curve = &brep.edges[first.edge].curve;
    match curve {
        Curve::Line(_) => {
            let d = b - a;
            return Ok(SpineCurve::Line(a, d.normalize(), d.norm()));
        }
        // A tube that would meet itself about the axis is written as a general canal.
        Curve::Circle(c)
            if c.radius > 1.01 * radius && supports.iter().all(|w| turned_about(&w.offset.surface, c)) =>
        {
            // Run the circle forwards along the chain.
            let frame =
                if first.forward { c.frame } else { Frame::from_zx(c.frame.origin, -c.frame.z, c.frame.x) };
            let sweep: f64 =
                chain.edges.iter().map(|h| brep.edges[h.edge].range.1 - brep.edges[h.edge].range.0).sum();
            let q = frame.local(a);
            let start = q.y.atan2(q.x);
            return Ok(SpineCurve::Circle(Circle { frame, radius: c.radius }, (start, start + sweep)));
        }
        _ => {}
    }
    let mut marks = vec![a];
    for (i, h) in chain.edges.iter().enumerate() {
        let n = 6;
        for k in 1..=n {
            if i + 1 == chain.edges.len() && k == n {
                break;
            }
            let f = f64::from(k) / f64::from(n);
            marks.push(brep.edge_point(h.edge, if h.forward { f } else { 1.0 - f }));
        }
    }
    marks.push(b);
    let spine = Spine::along(&supports[0].offset.surface, &supports[1].offset.surface, &marks)
        .ok_or(FilletFailure::Flat)?;
    Ok(SpineCurve::Spine(Arc::new(spine)))
}

/// Whether a surface is turned about a circle's axis, so that a canal along the circle is a torus.
fn turned_about(s: &Surface, c: &Circle) -> bool {
    let axis = |f: &Frame| {
        f.z.cross(&c.frame.z).norm() < PARALLEL.max(SAME_ANGLE)
            && (c.frame.origin - f.origin).cross(&c.frame.z).norm() < SAME
    };
    match s {
        Surface::Plane(p) => p.frame.z.cross(&c.frame.z).norm() < SAME_ANGLE,
        Surface::Sphere(s) => (c.frame.origin - s.frame.origin).cross(&c.frame.z).norm() < SAME,
        Surface::Canal(_) => false,
        _ => axis(s.frame()),
    }
}
