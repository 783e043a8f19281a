//! The curves of a crease, from its points: one between each two arcs that it crosses.

use std::sync::Arc;

use super::crease_points::{CreasePoint, CreaseTracer, between};
use super::sheets::{ArcId, Sheet, Spot};
use crate::geometry::{CreaseCurve, P3, V3};
use crate::tolerance::{
    CREASE_CONVERGED, CREASE_FIT, CREASE_GAP, CREASE_KNOTS, CREASE_SLACK, CREASE_STEEP, CREASE_STEEP_FIT,
    NO_SOLUTION, SNAP,
};

/// A crease with what it does to the arcs between sheets.
pub(super) struct Crease {
    /// Its vertices in order.
    pub(super) nodes: Vec<P3>,
    /// Its pieces, one between each two vertices that follow one another.
    pub(super) pieces: Vec<CreasePiece>,
    /// Arcs that it cuts, and the two of its own vertices between which the arc is gone.
    pub(super) cuts: Vec<(ArcId, [usize; 2])>,
    /// The segment and which of its ends at the arc where it begins, and the side of the crease on which that segment lies.
    pub(super) beside: ((usize, usize), usize),
    /// All sheets about it.
    pub(super) sheets: Vec<Sheet>,
    /// Numbers of the segments about it.
    pub(super) segments: Vec<usize>,
}

/// A piece of a crease, with the two sheets that meet in it.
pub(super) struct CreasePiece {
    pub(super) curve: Arc<CreaseCurve>,
    pub(super) sheets: [Sheet; 2],
}

/// Knots of a piece beyond which it is not refined where its points are too noisy to fit.
const MOST_KNOTS: usize = 600;

/// Length of a crease's first and last piece, in those of its chord.
const NEAREST_END: f64 = 2e-4;

/// Halvings of a stretch in which a crease crosses arcs.
const HALVINGS: usize = 60;

/// A knot of a crease's curve, with its point where it is none of the crease's ends.
struct Knot {
    t: f64,
    jet: (P3, V3),
    at: Option<CreasePoint>,
}

/// Between which sheets a crease runs in a plane, with its point there; none at its ends.
#[derive(Clone, Copy)]
struct State {
    t: f64,
    sheets: [Sheet; 2],
    point: Option<CreasePoint>,
}

/// Where a crease crosses arcs.
struct Crossing {
    t: f64,
    arcs: Vec<ArcId>,
    /// The sheets behind it.
    sheets: [Sheet; 2],
    /// The crease's point there, on either of the sheets beside each arc.
    at: CreasePoint,
    point: P3,
}

impl CreaseTracer<'_> {
    fn state(point: CreasePoint) -> State {
        State { t: point.t, sheets: point.spots.map(|s| s.sheet), point: Some(point) }
    }

    /// The crease; `None` where it is not found as a whole.
    pub(super) fn crease(&self) -> Option<Crease> {
        let mut points = self.points()?;
        // The first of the two spots lies on the side of the first sheet.
        let own = |p: &CreasePoint| p.spots.map(|s| s.sheet);
        let [begins, ceases] = [0, 1].map(|k| self.ends[k].sheets);
        if self.turned(begins, own(points.first()?)) {
            for p in &mut points {
                p.spots.swap(0, 1);
            }
        }
        let mut ceases = ceases;
        if self.turned(own(points.last()?), ceases) {
            ceases.swap(0, 1);
        }
        let mut states = vec![State { t: 0.0, sheets: begins, point: None }];
        states.extend(points.iter().copied().map(Self::state));
        states.push(State { t: self.planes.length, sheets: ceases, point: None });
        let mut crossings: Vec<Crossing> = Vec::new();
        for w in states.windows(2) {
            self.crossings(w[0], w[1], HALVINGS, &mut crossings)?;
        }
        self.finish(&points, &merged(crossings))
    }

    /// Whether the second of two pairs of sheets follows the first one the other way round.
    fn turned(&self, a: [Sheet; 2], b: [Sheet; 2]) -> bool {
        self.steps(a, b) > self.steps(a, [b[1], b[0]])
    }

    /// How many arcs lie between two pairs of sheets: 0, 1 each, or more.
    fn steps(&self, a: [Sheet; 2], b: [Sheet; 2]) -> usize {
        (0..2)
            .map(|k| match a[k] == b[k] {
                true => 0,
                false if self.sheets.arc_between(a[k], b[k]).is_some() => 1,
                false => 3,
            })
            .sum()
    }

    /// Where the spots pass from one sheet to the next between two planes.
    fn crossings(&self, from: State, to: State, left: usize, out: &mut Vec<Crossing>) -> Option<()> {
        let changed: Vec<usize> = (0..2).filter(|k| from.sheets[*k] != to.sheets[*k]).collect();
        if changed.is_empty() {
            return Some(());
        }
        let arc = |k: &usize| self.sheets.arc_between(from.sheets[*k], to.sheets[*k]);
        if left == 0 || to.t - from.t < 0.1 * SNAP {
            // Both spots cross at once, as they do where the path is the same on both sides.
            let arcs: Option<Vec<ArcId>> = changed.iter().map(arc).collect();
            let at = from.point.or(to.point)?;
            let point = self.sheets.cut(at.spots[0], &self.planes, at.t)?.point;
            out.push(Crossing { t: 0.5 * (from.t + to.t), arcs: arcs?, sheets: to.sheets, at, point });
            return Some(());
        }
        if let [k] = changed[..]
            && let Some(arc) = arc(&k)
            && let Some(found) = self.crossing(k, arc, from, to)
        {
            out.push(found);
            return Some(());
        }
        let t = 0.5 * (from.t + to.t);
        let guess = match (from.point, to.point) {
            (Some(a), None) => self.nearer(&a, 1, t),
            (None, Some(b)) => self.nearer(&b, 0, t),
            (Some(a), Some(b)) => [0, 1].map(|k| between(a.spots[k], b.spots[k], 0.5)),
            (None, None) => return None,
        };
        let order = |p: CreasePoint| {
            // A search may find the two the other way round.
            let own = p.spots.map(|s| s.sheet);
            let swapped = [own[1], own[0]];
            let off = |s: [Sheet; 2]| self.steps(from.sheets, s) + self.steps(s, to.sheets);
            if off(swapped) < off(own) { CreasePoint { spots: [p.spots[1], p.spots[0]], ..p } } else { p }
        };
        let middle =
            self.solve(t, guess).or_else(|| self.search(t, from.point.or(to.point).as_ref()).map(order))?;
        let here = Self::state(middle);
        self.crossings(from, here, left - 1, out)?;
        self.crossings(here, to, left - 1, out)
    }

    /// The plane in which spot `k` lies just on an arc.
    fn crossing(&self, k: usize, arc: ArcId, from: State, to: State) -> Option<Crossing> {
        let (canal, end) = self.sheets.canal_at(arc)?;
        let fixed = Spot { sheet: Sheet::Canal(canal), at: self.sheets.end(canal, end) };
        let near = from.point.or(to.point)?;
        let mut t = 0.5 * (from.t + to.t);
        let mut other = match (from.point, to.point) {
            (Some(a), Some(b)) => between(a.spots[1 - k], b.spots[1 - k], 0.5),
            _ => near.spots[1 - k],
        };
        for _ in 0..40 {
            let a = self.sheets.cut(fixed, &self.planes, t)?;
            let b = self.sheets.cut(other, &self.planes, t)?;
            // a + a_t x = b + b_t x + b_s y in the plane.
            let (gap, slide) = (b.point - a.point, a.rise - b.rise);
            let det = slide.cross(&b.along).dot(&self.planes.normal);
            if det.abs() < NO_SOLUTION {
                return None;
            }
            let x = gap.cross(&b.along).dot(&self.planes.normal) / det;
            let y = gap.cross(&slide).dot(&self.planes.normal) / det;
            (t, other.at) = (t + x.clamp(-0.3 * self.planes.length, 0.3 * self.planes.length), other.at + y);
            if x.abs().max(y.abs()) < CREASE_CONVERGED * (1.0 + self.sheets.radius) || gap.norm() < CREASE_GAP
            {
                // The other spot must still be on its own sheet there.
                let own = self
                    .sheets
                    .left(other, &self.sheets.cut(other, &self.planes, t)?, CREASE_SLACK)
                    .is_none();
                let inside = own && t >= from.t - SNAP && t <= to.t + SNAP;
                let spots = if k == 0 { [fixed, other] } else { [other, fixed] };
                let at = CreasePoint { t, spots };
                return inside.then(|| Crossing {
                    t,
                    arcs: vec![arc],
                    sheets: to.sheets,
                    at,
                    point: a.point,
                });
            }
        }
        None
    }

    fn finish(&self, points: &[CreasePoint], crossings: &[Crossing]) -> Option<Crease> {
        let length = self.planes.length;
        // What is crossed at the very end is crossed in its vertex.
        let begins = |c: &Crossing| c.t < SNAP;
        let ceases = |c: &Crossing| c.t > length - SNAP;
        let mut arcs = vec![(self.ends[0].arc, 0)];
        let mut sheets = self.ends[0].sheets;
        for c in crossings.iter().filter(|c| begins(c)) {
            arcs.extend(c.arcs.iter().map(|a| (*a, 0)));
            sheets = c.sheets;
        }
        let inner: Vec<&Crossing> = crossings.iter().filter(|c| !begins(c) && !ceases(c)).collect();
        let mut nodes = vec![self.ends[0].point];
        nodes.extend(inner.iter().map(|c| c.point));
        nodes.push(self.ends[1].point);
        let last = nodes.len() - 1;
        arcs.push((self.ends[1].arc, last));
        arcs.extend(crossings.iter().filter(|c| ceases(c)).flat_map(|c| c.arcs.iter().map(|a| (*a, last))));
        arcs.extend(inner.iter().enumerate().flat_map(|(k, c)| c.arcs.iter().map(move |a| (*a, k + 1))));
        let mut pieces = Vec::with_capacity(last);
        for k in 0..last {
            let end = |crossing: Option<&&Crossing>, end: usize| -> Option<Knot> {
                let Some(c) = crossing else {
                    let t = if end == 0 { 0.0 } else { length };
                    return Some(Knot { t, jet: self.end_jet(end)?, at: None });
                };
                let (_, along) = self.jet(&c.at)?;
                let at = self.on_sheets(c, sheets)?;
                Some(Knot { t: c.t, jet: (c.point, along), at: Some(at) })
            };
            let first = end(if k == 0 { None } else { inner.get(k - 1) }, 0)?;
            let curve = self.piece(points, sheets, first, end(inner.get(k), 1)?)?;
            pieces.push(CreasePiece { curve: Arc::new(curve), sheets });
            sheets = inner.get(k).map_or(sheets, |c| c.sheets);
        }
        let mut cuts: Vec<(ArcId, Vec<usize>)> = Vec::new();
        for (arc, node) in arcs {
            match cuts.iter_mut().find(|c| c.0 == arc) {
                Some(known) => known.1.push(node),
                None => cuts.push((arc, vec![node])),
            }
        }
        let both = |(arc, nodes): (ArcId, Vec<usize>)| match nodes[..] {
            [a, b] if a != b => Some((arc, [a.min(b), a.max(b)])),
            _ => None,
        };
        let cuts: Option<Vec<_>> = cuts.into_iter().map(both).collect();
        let mut all: Vec<Sheet> =
            pieces.iter().flat_map(|p| p.sheets).chain(self.ends.iter().flat_map(|e| e.sheets)).collect();
        all.sort_unstable();
        all.dedup();
        let mut segments: Vec<usize> = all.iter().flat_map(|s| self.sheets.segments_of(*s)).collect();
        segments.sort_unstable();
        segments.dedup();
        let of = |k: usize| match self.ends[0].sheets[k] {
            Sheet::Canal(i) => self.sheets.end_at(i, self.ends[0].arc).map(|end| ((i, end), k)),
            Sheet::Ball(_) => None,
        };
        Some(Crease { nodes, pieces, cuts: cuts?, beside: of(0).or_else(|| of(1))?, sheets: all, segments })
    }

    /// The point of a crossing on given sheets beside its arcs.
    fn on_sheets(&self, c: &Crossing, sheets: [Sheet; 2]) -> Option<CreasePoint> {
        let on = |k: usize| -> Option<Spot> {
            let spot = c.at.spots[k];
            if spot.sheet == sheets[k] {
                return Some(spot);
            }
            let arc = self.sheets.arc_between(spot.sheet, sheets[k])?;
            self.sheets.enter(sheets[k], arc, &self.planes, c.point)
        };
        Some(CreasePoint { t: c.at.t, spots: [on(0)?, on(1)?] })
    }

    /// A piece of the crease between two sheets, through as many points as its cubics need to fit.
    fn piece(
        &self,
        points: &[CreasePoint],
        sheets: [Sheet; 2],
        first: Knot,
        last: Knot,
    ) -> Option<CreaseCurve> {
        let (first_t, last_t) = (first.t, last.t);
        let margin = 1e-3 * (last_t - first_t);
        let within = |p: &&CreasePoint| p.t > first.t + margin && p.t < last.t - margin;
        let own = |p: &&CreasePoint| p.spots.map(|s| s.sheet) == sheets;
        let inner: Vec<CreasePoint> = points.iter().filter(within).filter(own).copied().collect();
        let mut known = vec![first];
        for p in inner {
            known.push(Knot { t: p.t, jet: self.jet(&p)?, at: Some(p) });
        }
        known.push(last);
        let mut at = 0;
        while at + 1 < known.len() {
            let (a, b) = (&known[at], &known[at + 1]);
            let width = b.t - a.t;
            let t = 0.5 * (a.t + b.t);
            let guess = match (a.at, b.at) {
                (Some(a), Some(b)) => Some([0, 1].map(|k| between(a.spots[k], b.spots[k], 0.5))),
                (None, Some(b)) => Some(self.nearer(&b, 0, t)),
                (Some(a), None) => Some(self.nearer(&a, 1, t)),
                (None, None) => self.search(t, None).map(|p| p.spots),
            };
            let exact = guess.and_then(|g| self.solve_on(t, g)).filter(|p| self.opens(p));
            let exact = exact.and_then(|p| Some((p, self.jet(&p)?)));
            let cubic = CreaseCurve::through(vec![a.t, b.t], vec![a.jet, b.jet]).point(t);
            // At the ends of the crease, where it opens as a square root does, the pieces get short.
            let nearest = self.left(0, a.t).min(self.left(1, b.t));
            let opens = width > nearest.max(NEAREST_END * (last_t - first_t));
            let fit = if nearest < CREASE_STEEP * self.sheets.radius { CREASE_STEEP_FIT } else { CREASE_FIT };
            match exact {
                Some((point, jet))
                    if opens
                        || ((jet.0 - cubic).norm() > fit
                            && width > CREASE_KNOTS
                            && known.len() < MOST_KNOTS) =>
                {
                    known.insert(at + 1, Knot { t, jet, at: Some(point) });
                }
                None if width > 0.05 * self.planes.length => return None,
                _ => at += 1,
            }
        }
        Some(CreaseCurve::through(known.iter().map(|k| k.t).collect(), known.iter().map(|k| k.jet).collect()))
    }
}

/// Crossings in one point are one.
fn merged(crossings: Vec<Crossing>) -> Vec<Crossing> {
    let mut out: Vec<Crossing> = Vec::new();
    for c in crossings {
        match out.last_mut() {
            Some(last) if (last.point - c.point).norm() < SNAP => {
                last.arcs.extend(c.arcs);
                last.sheets = c.sheets;
            }
            _ => out.push(c),
        }
    }
    out
}
