//! Spines: the ways a ball's centre can take along the joints of a solid, which are concave edges of the offset solid.

use std::collections::{BTreeMap, BTreeSet};
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

/// Joins the wanted edges to chains, which end at the stops. Closed chains are cut in two.
pub(super) fn chains(
    brep: &Brep,
    classified: &[ClassifiedEdge],
    wanted: &[usize],
    stops: &BTreeSet<usize>,
) -> Vec<EdgeChain> {
    let links = Links::new(brep, classified, wanted, stops);
    let mut used = BTreeSet::new();
    let mut out = Vec::new();
    for &first in wanted {
        if used.contains(&first) {
            continue;
        }
        let (start, closed) = links.start(first);
        let run = links.run(start, &mut used);
        let cuts = if closed { vec![0, run.len() / 2, run.len()] } else { vec![0, run.len()] };
        let parts = cuts.windows(2).filter(|w| w[0] < w[1]).map(|w| &run[w[0]..w[1]]);
        out.extend(parts.map(|p| EdgeChain { edges: p.to_vec(), faces: classified[p[0].edge].faces }));
    }
    out
}

/// How the wanted edges continue one another.
struct Links<'a> {
    brep: &'a Brep,
    classified: &'a [ClassifiedEdge],
    /// Vertices at which chains end.
    stops: &'a BTreeSet<usize>,
    /// The wanted edges at each vertex.
    at: BTreeMap<usize, Vec<usize>>,
}

impl<'a> Links<'a> {
    fn new(
        brep: &'a Brep,
        classified: &'a [ClassifiedEdge],
        wanted: &[usize],
        stops: &'a BTreeSet<usize>,
    ) -> Self {
        let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for e in wanted {
            at.entry(brep.edges[*e].start).or_default().push(*e);
            at.entry(brep.edges[*e].end).or_default().push(*e);
        }
        Self { brep, classified, stops, at }
    }

    /// The edge that continues one at its head, between the same two surfaces.
    fn next(&self, h: HalfEdge) -> Option<HalfEdge> {
        let v = self.brep.head(h);
        if self.stops.contains(&v) {
            return None;
        }
        let [e, f] = self.at[&v][..] else { return None };
        let other = if e == h.edge { f } else { e };
        if other == h.edge {
            return None;
        }
        let p = self.brep.vertices[v];
        let same = |a: &Surface, b: &Surface| a == b || a.same_as(b, p, 100.0).is_some();
        let surfaces = |e: usize| self.classified[e].faces.map(|f| &self.brep.faces[f].surface);
        let ([a, b], [c, d]) = (surfaces(h.edge), surfaces(other));
        let alike = (same(a, c) && same(b, d)) || (same(a, d) && same(b, c));
        alike.then(|| HalfEdge { edge: other, forward: self.brep.edges[other].start == v })
    }

    /// Walks back to where the run of an edge starts; whether it closes on itself.
    fn start(&self, first: usize) -> (HalfEdge, bool) {
        let mut start = HalfEdge { edge: first, forward: true };
        while let Some(before) = self.next(HalfEdge { forward: !start.forward, ..start }) {
            if before.edge == first {
                return (start, true);
            }
            start = HalfEdge { forward: !before.forward, ..before };
        }
        (start, false)
    }

    /// Runs forwards from a start as far as edges are unused.
    fn run(&self, start: HalfEdge, used: &mut BTreeSet<usize>) -> Vec<HalfEdge> {
        let mut run = vec![start];
        used.insert(start.edge);
        while let Some(n) = self.next(run[run.len() - 1]) {
            if !used.insert(n.edge) {
                break;
            }
            run.push(n);
        }
        run
    }
}

/// The fillet segment along a chain.
pub(super) fn segment(
    brep: &Brep,
    chain: &EdgeChain,
    radius: f64,
    side: RollingSide,
) -> Result<FilletSegment, FilletFailure> {
    let support = |k: usize| support(brep, chain.faces[k], radius, side).ok_or(FilletFailure::SharpEdge);
    let supports = [support(0)?, support(1)?];
    let spine = spine_curve(brep, chain, &supports, radius)?;
    Ok(FilletSegment::new(spine, radius, supports))
}

/// For a segment whose path turns too tightly, the edge about which it does, if that is known; else `None`.
#[allow(clippy::option_option, reason = "tight or not, and then about a known edge or not")]
pub(super) fn tight_edge(
    brep: &Brep,
    chain: &EdgeChain,
    segment: &FilletSegment,
    radius: f64,
    side: RollingSide,
) -> Option<Option<TightEdge>> {
    let stretch = segment.least_stretch();
    let least = if side == RollingSide::Outside { SECTION_STRETCH } else { SECTION_STRETCH_WITHIN };
    (stretch < least).then(|| edge_turned_about(brep, chain, radius, stretch))
}

/// Of the two faces beside a chain the one that bends more about the material; a path that turns about it does so in
/// proportion to its radius.
fn edge_turned_about(brep: &Brep, chain: &EdgeChain, radius: f64, stretch: f64) -> Option<TightEdge> {
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

/// Edges shorter than this, mm, tell nothing of a path. Where a rounding runs on from a flat face, the curve on the flat one may be found to
/// run on along the rounding for some tenths of a micrometre: the path of a ball about a pad's corner was taken for that straight line.
const SHORT: f64 = 1e-3;

/// The way of the ball's centre along a chain: a line or circle where its longest edge is one, else found between the two offset surfaces.
fn spine_curve(
    brep: &Brep,
    chain: &EdgeChain,
    supports: &[Support; 2],
    radius: f64,
) -> Result<SpineCurve, FilletFailure> {
    let length = |h: &HalfEdge| brep.edge_length(h.edge);
    let longest =
        chain.edges.iter().max_by(|g, h| length(g).total_cmp(&length(h))).unwrap_or(&chain.edges[0]);
    match &brep.edges[longest.edge].curve {
        Curve::Line(_) => Ok(line_spine(brep, chain)),
        // A tube that would meet itself about the axis is written as a general canal.
        Curve::Circle(c)
            if c.radius > 1.01 * radius
                && chain.edges.iter().all(|h| matches!(brep.edges[h.edge].curve, Curve::Circle(_)))
                && supports.iter().all(|w| turned_about(&w.offset.surface, c)) =>
        {
            Ok(circle_spine(brep, chain, c))
        }
        _ => {
            let [a, b] = [0, 1].map(|k| &supports[k].offset.surface);
            let spine = Spine::along(a, b, &marks(brep, chain)).ok_or(FilletFailure::Flat)?;
            Ok(SpineCurve::Spine(Arc::new(spine)))
        }
    }
}

fn line_spine(brep: &Brep, chain: &EdgeChain) -> SpineCurve {
    let [a, b] = chain.ends(brep).map(|v| brep.vertices[v]);
    let d = b - a;
    SpineCurve::Line(a, d.normalize(), d.norm())
}

/// The circle run forwards along the chain.
fn circle_spine(brep: &Brep, chain: &EdgeChain, c: &Circle) -> SpineCurve {
    let forward = chain.edges[0].forward;
    let frame = if forward { c.frame } else { Frame::from_zx(c.frame.origin, -c.frame.z, c.frame.x) };
    let turn = |h: &HalfEdge| brep.edges[h.edge].range.1 - brep.edges[h.edge].range.0;
    let sweep: f64 = chain.edges.iter().map(turn).sum();
    let q = frame.local(brep.vertices[chain.ends(brep)[0]]);
    let start = q.y.atan2(q.x);
    SpineCurve::Circle(Circle { frame, radius: c.radius }, (start, start + sweep))
}

/// Places along a chain from which a spine is found, with the chain's ends.
fn marks(brep: &Brep, chain: &EdgeChain) -> Vec<P3> {
    let [a, b] = chain.ends(brep).map(|v| brep.vertices[v]);
    let n = 6;
    let of_edge = |h: &HalfEdge| {
        let HalfEdge { edge, forward } = *h;
        (1..=n).map(move |k| {
            let f = f64::from(k) / f64::from(n);
            brep.edge_point(edge, if forward { f } else { 1.0 - f })
        })
    };
    let mut out = vec![a];
    out.extend(
        chain
            .edges
            .iter()
            .filter(|h| chain.edges.len() == 1 || brep.edge_length(h.edge) > SHORT)
            .flat_map(of_edge),
    );
    // The last one is the end itself, exactly.
    out.pop();
    out.push(b);
    out
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
