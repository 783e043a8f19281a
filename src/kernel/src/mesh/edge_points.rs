//! The points of the edges, made once for both faces.

use std::f64::consts::PI;

use crate::geometry::{Curve, P3, Surface};
use crate::solid::{Brep, BrepEdge, HalfEdge};
use crate::tolerance::{SNAP, WHOLE_PIECES};

use super::cusp::match_cusps;

/// Share of the chord error that an edge may use up. The rest is left for the triangles beside it, whose
/// corners need not stand exactly opposite its points. Where a neighbour bends in two directions the errors
/// of both add up, so each gets less than half.
pub(super) const SINGLE: f64 = 0.85;
/// The same for spheres and tori.
pub(super) const DOUBLE: f64 = 0.45;

/// Greatest turn of the direction along one piece: keeps small holes round.
const MOST_TURN: f64 = PI / 6.0;

/// How much longer than wide a triangle on a cylinder or cone may be, about.
pub(super) const STRETCH: f64 = 10.0;

/// Stations between which the curvature of an ellipse is summed up.
const ELLIPSE_STATIONS: u32 = 24;

/// Greatest number of pieces of an edge; only reached by absurd ratios of size to chord error.
const MOST_PIECES: f64 = 1e6;

/// Steps in which a piece is followed closely: chords of so many stand off it by less than a hundredth of its own sag, 1 / `WITHIN`².
const WITHIN: u32 = 16;

/// A piece of an edge: which edge, and which of its pieces, counted from the edge's start.
pub(super) type Piece = (u32, u32);

/// All points on edges: the vertices of the boundary first, then the inner points of each edge in turn, then those that
/// were put in later.
pub(super) struct EdgePoints {
    /// Points, mm.
    pub(super) points: Vec<P3>,
    /// Per edge: parameters and numbers of its inner points, rising.
    inner: Vec<Vec<(f64, u32)>>,
}

impl EdgePoints {
    /// Cuts all edges.
    pub(super) fn new(brep: &Brep, chord: f64) -> Self {
        let limits = limits(brep, chord);
        let mut cuts: Vec<Vec<f64>> = (0..brep.edges.len()).map(|e| cut(&brep.edges[e], limits[e])).collect();
        match_cusps(brep, &mut cuts);
        let mut points = brep.vertices.clone();
        let mut inner = Vec::with_capacity(brep.edges.len());
        for (edge, cuts) in brep.edges.iter().zip(cuts) {
            let first = points.len() as u32;
            points.extend(cuts.iter().map(|t| edge.curve.point(*t)));
            inner.push(cuts.into_iter().zip(first..).collect());
        }
        Self { points, inner }
    }

    /// The points along a half-edge but for its last, by number, each with the piece that begins there.
    pub(super) fn along(&self, brep: &Brep, half: HalfEdge) -> impl Iterator<Item = (u32, Piece)> + use<'_> {
        let (inner, edge) = (&self.inner[half.edge], half.edge as u32);
        let (count, forward) = (inner.len(), half.forward);
        let tail = brep.tail(half) as u32;
        (0..=count).map(move |k| {
            let number = match k.checked_sub(1) {
                None => tail,
                Some(k) => inner[if forward { k } else { count - 1 - k }].1,
            };
            (number, (edge, if forward { k } else { count - k } as u32))
        })
    }

    /// All pieces of an edge.
    pub(super) fn pieces(&self, edge: usize) -> impl Iterator<Item = Piece> + use<> {
        (0..=self.inner[edge].len() as u32).map(move |k| (edge as u32, k))
    }

    /// The parameters of its edge between which a piece lies.
    fn span(&self, brep: &Brep, (edge, k): Piece) -> (f64, f64) {
        let (range, inner) = (brep.edges[edge as usize].range, &self.inner[edge as usize]);
        let end = |k: usize| match k.checked_sub(1) {
            None => range.0,
            Some(k) => inner.get(k).map_or(range.1, |(t, _)| *t),
        };
        (end(k as usize), end(k as usize + 1))
    }

    /// Points of the edge between the ends of a piece, in the direction of the edge, in even steps.
    pub(super) fn within(&self, brep: &Brep, piece: Piece) -> Vec<P3> {
        let (from, to) = self.span(brep, piece);
        let at = |k: u32| from + (to - from) * f64::from(k) / f64::from(WITHIN);
        (1..WITHIN).map(|k| brep.edges[piece.0 as usize].curve.point(at(k))).collect()
    }

    /// Halves some pieces, sorted and each named once.
    pub(super) fn split(&mut self, brep: &Brep, pieces: &[Piece]) {
        for group in pieces.chunk_by(|a, b| a.0 == b.0) {
            let e = group[0].0 as usize;
            let spans: Vec<(f64, f64)> = group.iter().map(|piece| self.span(brep, *piece)).collect();
            let (edge, inner) = (&brep.edges[e], &mut self.inner[e]);
            for t in spans.into_iter().map(|(from, to)| 0.5 * (from + to)) {
                inner.push((t, self.points.len() as u32));
                self.points.push(edge.curve.point(t));
            }
            inner.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
    }
}

/// What the faces ask of an edge.
#[derive(Clone, Copy)]
struct Limit {
    /// Greatest distance between piece and curve, mm.
    sag: f64,
    /// Greatest length of a piece, mm.
    length: f64,
}

/// The angle between points on a circle of the radius for a given distance between chord and arc.
pub(super) fn step_angle(radius: f64, sag: f64) -> f64 {
    if sag >= radius { MOST_TURN } else { (2.0 * (1.0 - sag / radius).acos()).min(MOST_TURN) }
}

fn limits(brep: &Brep, chord: f64) -> Vec<Limit> {
    let mut out = vec![Limit { sag: SINGLE * chord, length: f64::INFINITY }; brep.edges.len()];
    for face in &brep.faces {
        for half in face.loops.iter().flatten() {
            let edge = &brep.edges[half.edge];
            let limit = &mut out[half.edge];
            match &face.surface {
                Surface::Plane(_) => {}
                Surface::Sphere(_) | Surface::Torus(_) | Surface::Canal(_) => limit.sag = DOUBLE * chord,
                Surface::Cylinder(s) => {
                    if matches!(edge.curve, Curve::Line(_)) {
                        let width = s.radius * step_angle(s.radius, SINGLE * chord);
                        limit.length = limit.length.min(STRETCH * width);
                    }
                }
                Surface::Cone(s) => {
                    let slant = |v: usize| face.surface.params(brep.vertices[v]).1;
                    let (a, b) = (slant(edge.start), slant(edge.end));
                    // From an apex triangles fan out; points on the way would only break the fan.
                    if matches!(edge.curve, Curve::Line(_)) && a.min(b) > SNAP {
                        let radius = s.radius_at(0.5 * (a + b));
                        let width = radius * step_angle(radius, SINGLE * chord);
                        limit.length = limit.length.min(STRETCH * width);
                    }
                }
            }
        }
    }
    out
}

/// Parameters of the inner points of an edge, rising, spread so that each piece sags by as much.
fn cut(edge: &BrepEdge, limit: Limit) -> Vec<f64> {
    let (from, to) = edge.range;
    let even = |n: f64| {
        let n = n.ceil().clamp(1.0, MOST_PIECES) as u32;
        (1..n).map(|k| from + (to - from) * f64::from(k) / f64::from(n)).collect()
    };
    match &edge.curve {
        Curve::Line(_) => even((to - from) / limit.length - WHOLE_PIECES),
        // At least two pieces, so that an arc never falls on its chord.
        Curve::Circle(c) => even(((to - from) / step_angle(c.radius, limit.sag) - WHOLE_PIECES).max(2.0)),
        Curve::Ellipse(_) => {
            let n = ELLIPSE_STATIONS;
            let stations: Vec<f64> =
                (0..=n).map(|k| from + (to - from) * f64::from(k) / f64::from(n)).collect();
            spread(edge, &stations, limit.sag)
        }
        Curve::Spline(s) => {
            let mut stations = vec![from];
            let inner = s.knots.iter().copied().filter(|k| *k > from && *k < to);
            for knot in inner.chain([to]) {
                let last = stations[stations.len() - 1];
                stations.extend([0.5 * (last + knot), knot]);
            }
            spread(edge, &stations, limit.sag)
        }
    }
}

/// Inner points between stations: the pieces asked for by curvature and turn are summed up over the
/// stations, and points are put where the sum passes equal shares.
fn spread(edge: &BrepEdge, stations: &[f64], sag: f64) -> Vec<f64> {
    let mut sum = vec![0.0];
    let at = |t: f64| (edge.curve.point(t), edge.curve.derivative(t));
    let mut before = at(stations[0]);
    for &t in &stations[1..] {
        let here = at(t);
        let length = (here.0 - before.0).norm();
        let turn = before.1.angle(&here.1);
        let pieces = (length * turn / (8.0 * sag)).sqrt().max(turn / MOST_TURN);
        sum.push(sum[sum.len() - 1] + pieces);
        before = here;
    }
    let total = sum[sum.len() - 1];
    if total == 0.0 {
        return vec![0.5 * (edge.range.0 + edge.range.1)];
    }
    let n = total.ceil().clamp(2.0, MOST_PIECES) as u32;
    let mut out: Vec<f64> = Vec::with_capacity(n as usize);
    let (mut last, end) = (edge.curve.point(edge.range.0), edge.curve.point(edge.range.1));
    let mut k = 0;
    for i in 1..n {
        let share = f64::from(i) / f64::from(n);
        let wanted = total * share;
        while k + 2 < sum.len() && sum[k + 1] < wanted {
            k += 1;
        }
        let width = sum[k + 1] - sum[k];
        let part = if width > 0.0 { (wanted - sum[k]) / width } else { share };
        // An edge of a thousandth of a millimetre may turn within a millionth of it; its points must not fall together.
        let t = stations[k] + (stations[k + 1] - stations[k]) * part;
        let here = edge.curve.point(t);
        if (here - last).norm() > SNAP && (here - end).norm() > SNAP {
            out.push(t);
            last = here;
        }
    }
    if out.is_empty() { vec![0.5 * (edge.range.0 + edge.range.1)] } else { out }
}
