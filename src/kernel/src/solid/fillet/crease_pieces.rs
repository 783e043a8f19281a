//! Creases as curves between the nodes of their graph.

use std::sync::Arc;

use super::crease_ends::{CreasePoint, opens};
use super::crease_graph::{CreaseGraph, Node, Run};
use super::feet::Locus;
use super::sheets::{ArcId, Planes, Sheet, Sheets};
use crate::geometry::{CreaseCurve, P3, V3};
use crate::tolerance::{
    CREASE_END, CREASE_FIT, CREASE_KNOTS, CREASE_RISE, CREASE_RISE_AT_END, CREASE_STEEP, CREASE_STEEP_FIT,
    SNAP,
};

/// Creases that hang together, with what they do to the arcs between sheets.
pub(super) struct Crease {
    pub(super) nodes: Vec<P3>,
    pub(super) pieces: Vec<CreasePiece>,
    /// Arcs that are cut, and the two nodes between which the arc is gone.
    pub(super) cuts: Vec<(ArcId, [usize; 2])>,
    /// All sheets about them.
    pub(super) sheets: Vec<Sheet>,
    /// Numbers of the segments about them.
    pub(super) segments: Vec<usize>,
}

/// A piece of a crease between two nodes, with the two sheets that meet in it.
pub(super) struct CreasePiece {
    pub(super) curve: Arc<CreaseCurve>,
    pub(super) nodes: [usize; 2],
    pub(super) sheets: [Sheet; 2],
    /// Whether the loops about the first and the second sheet run along it.
    pub(super) forward: [bool; 2],
}

/// Knots of a piece beyond which it is not refined where its points are too noisy to fit.
const MOST_KNOTS: usize = 600;

/// Length of a crease's first and last piece, in those of its chord.
const NEAREST_END: f64 = 2e-4;

/// Stretches of a piece, in lengths of its chord and in radii, in which no point need be found: beside its ends a crease strays a
/// little from where it was found to begin.
const UNRESOLVED_SHARE: f64 = 0.05;
const UNRESOLVED: f64 = 2.0 * CREASE_END;

/// A knot of a crease's curve, with its point where it is none of the crease's ends.
#[derive(Clone, Copy)]
struct Knot {
    t: f64,
    jet: (P3, V3),
    at: Option<CreasePoint>,
}

impl Crease {
    /// The curves of a graph; `None` where one of them bends back across its chord, or an arc is cut at an odd number of nodes.
    pub(super) fn of(sheets: &Sheets<'_>, graph: &CreaseGraph) -> Option<Self> {
        let pieces: Option<Vec<CreasePiece>> =
            graph.runs.iter().map(|run| PieceTracer::new(sheets, graph, run)?.piece()).collect();
        let pieces = pieces?;
        let mut all: Vec<Sheet> = pieces.iter().flat_map(|p| p.sheets).collect();
        all.extend(graph.nodes.iter().flat_map(|n| &n.arcs).flat_map(|arc| sheets.beside(*arc)));
        all.sort_unstable();
        all.dedup();
        let mut segments: Vec<usize> = all.iter().flat_map(|s| sheets.segments_of(*s)).collect();
        segments.sort_unstable();
        segments.dedup();
        let nodes: Vec<P3> = graph.nodes.iter().map(|n| n.point).collect();
        Some(Self { cuts: cuts(sheets, &graph.nodes)?, nodes, pieces, sheets: all, segments })
    }
}

/// What the nodes cut out of arcs: from both ends of an arc on, where it is there, each node on it takes it away or brings it back.
fn cuts(sheets: &Sheets<'_>, nodes: &[Node]) -> Option<Vec<(ArcId, [usize; 2])>> {
    let mut arcs: Vec<ArcId> = nodes.iter().flat_map(|n| n.arcs.iter().copied()).collect();
    arcs.sort_unstable();
    arcs.dedup();
    let mut out = Vec::new();
    for arc in arcs {
        let mut on: Vec<(f64, usize)> = Vec::new();
        for (k, n) in nodes.iter().enumerate().filter(|(_, n)| n.arcs.contains(&arc)) {
            on.push((sheets.angle_on(arc, n.point)?, k));
        }
        on.sort_by(|a, b| a.0.total_cmp(&b.0));
        if !on.len().is_multiple_of(2) {
            return None;
        }
        out.extend(on.chunks_exact(2).map(|pair| (arc, [pair[0].1, pair[1].1])));
    }
    Some(out)
}

/// Finds the curve of one piece, by planes across its chord.
struct PieceTracer<'a> {
    sheets: &'a Sheets<'a>,
    run: &'a Run,
    planes: Planes,
    /// Whether the crease ends at the piece's begin and end, with the place of both feet there on the sheets that reach the end.
    ends: [Option<[Option<f64>; 2]>; 2],
    knots: Vec<Knot>,
}

impl<'a> PieceTracer<'a> {
    fn new(sheets: &'a Sheets<'a>, graph: &'a CreaseGraph, run: &'a Run) -> Option<Self> {
        let nodes = run.nodes.map(|n| &graph.nodes[n]);
        let chord = nodes[1].point - nodes[0].point;
        let length = chord.norm();
        if length < SNAP {
            return None;
        }
        let planes = Planes { from: nodes[0].point, normal: chord / length, length };
        let place = |node: &Node, sheet: Sheet| {
            let arc = node.arcs.iter().find(|a| sheets.beside(**a).contains(&sheet))?;
            sheets.start(sheet, *arc)
        };
        let ends = nodes.map(|n| n.end.map(|_| run.sheets.map(|s| place(n, s))));
        let mut out = Self { sheets, run, planes, ends, knots: vec![] };
        let at_end = |k: usize| -> Option<Knot> {
            let aside = nodes[k].end?;
            let rise = aside.dot(&planes.normal);
            let t = if k == 0 { 0.0 } else { length };
            (rise.abs() > CREASE_RISE_AT_END).then(|| Knot {
                t,
                jet: (nodes[k].point, aside / rise),
                at: None,
            })
        };
        if nodes[0].end.is_some() {
            out.knots.push(at_end(0)?);
        }
        for p in &run.points {
            let knot = out.knot(*p)?;
            let last = out.knots.last().map_or(-SNAP, |k| k.t);
            if knot.t > last && knot.t < length + SNAP {
                out.knots.push(knot);
            }
        }
        if nodes[1].end.is_some() {
            while out.knots.last().is_some_and(|k| k.t > length - 1e-3 * length && k.at.is_some()) {
                out.knots.pop();
            }
            out.knots.push(at_end(1)?);
        }
        (out.knots.len() > 1).then_some(out)
    }

    fn height(&self, p: P3) -> f64 {
        (p - self.planes.from).dot(&self.planes.normal)
    }

    fn knot(&self, point: CreasePoint) -> Option<Knot> {
        let along = point.along(self.planes.normal)?;
        let rise = along.dot(&self.planes.normal);
        (rise > CREASE_RISE).then(|| Knot {
            t: self.height(point.p),
            jet: (point.p, along / rise),
            at: Some(point),
        })
    }

    /// Distance of a plane from an end of the crease.
    fn left(&self, k: usize, t: f64) -> f64 {
        match (self.ends[k], k) {
            (None, _) => f64::INFINITY,
            (_, 0) => t,
            _ => self.planes.length - t,
        }
    }

    /// A guess of where the feet are between two knots: a crease opens with the square root of the distance from its end.
    fn between(&self, a: &Knot, b: &Knot, t: f64) -> Option<[f64; 2]> {
        let share = (t - a.t) / (b.t - a.t);
        let nearer = |p: &CreasePoint, k: usize, from: f64| {
            let share = (self.left(k, t) / self.left(k, from)).max(0.0).sqrt();
            let places = self.ends[k].unwrap_or_default();
            [0, 1].map(|i| {
                let own = p.feet[i].at;
                places[i].map_or(own, |end| end + (own - end) * share)
            })
        };
        match (&a.at, &b.at) {
            (Some(p), Some(q)) => Some([0, 1].map(|i| p.feet[i].at + share * (q.feet[i].at - p.feet[i].at))),
            (None, Some(q)) => Some(nearer(q, 0, b.t)),
            (Some(p), None) => Some(nearer(p, 1, a.t)),
            (None, None) => None,
        }
    }

    /// The crease's point in a plane across the chord.
    fn exact(&self, t: f64, near: P3, at: [f64; 2]) -> Option<CreasePoint> {
        let plane = Locus::Plane(self.planes.from + self.planes.normal * t, self.planes.normal);
        let on = [0, 1].map(|k| (self.run.sheets[k], at[k]));
        CreasePoint::near(self.sheets, near, on, plane).filter(|c| opens(self.sheets, c))
    }

    /// The piece through as many points as its cubics need to fit.
    fn piece(mut self) -> Option<CreasePiece> {
        let mut at = 0;
        while at + 1 < self.knots.len() {
            let (a, b) = (self.knots[at], self.knots[at + 1]);
            let width = b.t - a.t;
            let t = 0.5 * (a.t + b.t);
            let cubic = CreaseCurve::through(vec![a.t, b.t], vec![a.jet, b.jet]).point(t);
            let exact = self.between(&a, &b, t).and_then(|at| self.exact(t, cubic, at));
            let exact = exact.and_then(|p| self.knot(p));
            // At the ends of the crease, where it opens as a square root does, the pieces get short.
            let nearest = self.left(0, a.t).min(self.left(1, b.t));
            let opens = width > nearest.max(NEAREST_END * self.planes.length);
            let fit = if nearest < CREASE_STEEP * self.sheets.radius { CREASE_STEEP_FIT } else { CREASE_FIT };
            match exact {
                Some(knot)
                    if opens
                        || ((knot.jet.0 - cubic).norm() > fit
                            && width > CREASE_KNOTS
                            && self.knots.len() < MOST_KNOTS) =>
                {
                    self.knots.insert(at + 1, knot);
                }
                None if width > UNRESOLVED_SHARE * self.planes.length
                    && width > UNRESOLVED * self.sheets.radius =>
                {
                    return None;
                }
                _ => at += 1,
            }
        }
        let [a, b] = self.knots.iter().find_map(|k| k.at)?.feet.map(|f| f.towards);
        // The loops run with the metal's face on their left, seen from outside.
        let along = a.cross(&b).dot(&self.planes.normal) > 0.0;
        let (at, jets) = self.knots.iter().map(|k| (k.t, k.jet)).unzip();
        Some(CreasePiece {
            curve: Arc::new(CreaseCurve::through(at, jets)),
            nodes: self.run.nodes,
            sheets: self.run.sheets,
            forward: [along, !along],
        })
    }
}
