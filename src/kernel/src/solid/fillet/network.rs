//! The ways a ball's centre can take along the joints of a solid: edges of the grown solid that point inwards.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::failure::{FilletFailure, TightEdge};
use crate::geometry::{Circle, Curve, Frame, Guide, P3, Spine, Surface, V3};
use crate::solid::blend::{FilletSegment, SpineCurve, Support};
use crate::solid::brep::{Brep, HalfEdge};
use crate::tolerance::{PARALLEL, SAME};

/// On which side of the walls the ball rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// In the open: its paths are the edges that point inwards, and it leaves fillets.
    Outside,
    /// In the metal: its paths are the edges that point outwards, and it leaves rounded edges.
    Inside,
}

impl Side {
    /// The edges that are paths.
    pub(super) fn paths(self) -> Kind {
        match self {
            Self::Outside => Kind::Inward,
            Self::Inside => Kind::Outward,
        }
    }
}

/// Sine of the angle between faces below which they run on smoothly.
const SMOOTH: f64 = 1e-5;

/// How an edge of the grown solid looks from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Smooth,
    Outward,
    Inward,
}

/// An edge of the grown solid with the two faces about it.
#[derive(Clone, Debug)]
pub(super) struct Link {
    pub(super) faces: [usize; 2],
    pub(super) kind: Kind,
}

/// Sine of the angle between two faces up to which a joint counts as filled.
const FILLED: f64 = 0.02;

/// Edges of a solid at which two faces meet in an inward corner, with the faces.
pub fn inward_edges(brep: &Brep) -> Vec<(usize, [usize; 2])> {
    let sharp = |e: usize, l: &Link| {
        let p = brep.edge_point(e, 0.5);
        let [n, m] = l.faces.map(|f| outward(brep, f, p));
        l.kind == Kind::Inward && n.cross(&m).norm() > FILLED
    };
    let all = links(brep);
    all.iter().enumerate().filter(|(e, l)| sharp(*e, l)).map(|(e, l)| (e, l.faces)).collect()
}

/// Edges of the grown solid, by index.
pub(super) fn links(brep: &Brep) -> Vec<Link> {
    let mut uses: Vec<Vec<(usize, HalfEdge)>> = vec![vec![]; brep.edges.len()];
    for (f, face) in brep.faces.iter().enumerate() {
        for h in face.loops.iter().flatten() {
            uses[h.edge].push((f, *h));
        }
    }
    let link = |u: &Vec<(usize, HalfEdge)>| {
        let (f, h) = u[0];
        let g = u[1].0;
        let e = &brep.edges[h.edge];
        let t = f64::midpoint(e.range.0, e.range.1);
        let p = e.curve.point(t);
        let d = e.curve.derivative(t).normalize() * if h.forward { 1.0 } else { -1.0 };
        let (n, m) = (outward(brep, f, p), outward(brep, g, p));
        let inner = n.cross(&d);
        let kind = if n.cross(&m).norm() < SMOOTH && n.dot(&m) > 0.0 {
            Kind::Smooth
        } else if inner.dot(&m) > 0.0 {
            Kind::Inward
        } else {
            Kind::Outward
        };
        Link { faces: [f, g], kind }
    };
    uses.iter().map(link).collect()
}

fn outward(brep: &Brep, face: usize, p: P3) -> V3 {
    let f = &brep.faces[face];
    f.surface.grad(p) * if f.same_sense { 1.0 } else { -1.0 }
}

/// The wall beside a face, a radius from it on the ball's side; `None` where that is a sharp edge or a point.
fn wall(brep: &Brep, face: usize, radius: f64, side: Side) -> Option<Support> {
    let f = &brep.faces[face];
    let against = f.same_sense == (side == Side::Outside);
    let surface = f.surface.offset(if against { -radius } else { radius })?;
    let guide = Guide { surface: f.surface.clone(), against };
    Some(Support { guide, surface })
}

/// Edges that continue one another: same two surfaces, tangent. Each chain with its vertices in order.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// Edges with their sense.
    pub(super) edges: Vec<HalfEdge>,
    /// Faces on the two sides of the first edge.
    pub(super) faces: [usize; 2],
}

impl Chain {
    pub(super) fn ends(&self, brep: &Brep) -> [usize; 2] {
        [brep.tail(self.edges[0]), brep.head(self.edges[self.edges.len() - 1])]
    }
}

/// Joins the wanted edges to chains. Closed chains are cut in two.
pub(super) fn chains(brep: &Brep, links: &[Link], wanted: &[usize]) -> Vec<Chain> {
    let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for e in wanted {
        at.entry(brep.edges[*e].start).or_default().push(*e);
        at.entry(brep.edges[*e].end).or_default().push(*e);
    }
    let surfaces = |e: usize| links[e].faces.map(|f| &brep.faces[f].surface);
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
                out.push(Chain { edges: run[w[0]..w[1]].to_vec(), faces: links[run[w[0]].edge].faces });
            }
        }
    }
    out
}

/// Least distance between neighbouring sections anywhere on a strip, in that of their centres.
const LEAST_STRETCH: f64 = 0.05;

/// The same for a ball that rolls inside a body, along walls that were made wide enough for it.
const LEAST_WITHIN: f64 = 0.01;

/// The strip along a chain; where the path turns too tightly, the edge about which it does.
pub(super) fn strip(
    brep: &Brep,
    chain: &Chain,
    radius: f64,
    side: Side,
) -> Result<FilletSegment, (FilletFailure, Option<TightEdge>)> {
    let wall = |k: usize| wall(brep, chain.faces[k], radius, side).ok_or((FilletFailure::SharpEdge, None));
    let walls = [wall(0)?, wall(1)?];
    let path = path(brep, chain, &walls, radius).map_err(|t| (t, None))?;
    let strip = FilletSegment::new(path, radius, walls);
    let stretch = strip.least_stretch();
    let least = if side == Side::Outside { LEAST_STRETCH } else { LEAST_WITHIN };
    if stretch < least {
        return Err((FilletFailure::Tight, tight_edge(brep, chain, radius, stretch)));
    }
    Ok(strip)
}

/// Of the two faces beside a chain the one that bends more about the metal; a path that turns about it does so in
/// proportion to its radius.
fn tight_edge(brep: &Brep, chain: &Chain, radius: f64, stretch: f64) -> Option<TightEdge> {
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
    let (face, grown) = chain.faces.iter().filter_map(|f| bend(*f)).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let needed = (1.0 - stretch) * grown / (1.0 - 2.0 * LEAST_STRETCH) - radius;
    Some(TightEdge { tag: brep.faces[face].tag.clone(), radius: grown - radius, needed })
}

fn path(brep: &Brep, chain: &Chain, walls: &[Support; 2], radius: f64) -> Result<SpineCurve, FilletFailure> {
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
            if c.radius > 1.01 * radius && walls.iter().all(|w| turned_about(&w.guide.surface, c)) =>
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
    let spine =
        Spine::along(&walls[0].guide.surface, &walls[1].guide.surface, &marks).ok_or(FilletFailure::Flat)?;
    Ok(SpineCurve::Spine(Arc::new(spine)))
}

/// Whether a surface is turned about a circle's axis, so that a canal along the circle is a torus.
fn turned_about(s: &Surface, c: &Circle) -> bool {
    let axis = |f: &Frame| {
        f.z.cross(&c.frame.z).norm() < PARALLEL.max(1e-9)
            && (c.frame.origin - f.origin).cross(&c.frame.z).norm() < SAME
    };
    match s {
        Surface::Plane(p) => p.frame.z.cross(&c.frame.z).norm() < 1e-9,
        Surface::Sphere(s) => (c.frame.origin - s.frame.origin).cross(&c.frame.z).norm() < SAME,
        Surface::Canal(_) => false,
        _ => axis(s.frame()),
    }
}
