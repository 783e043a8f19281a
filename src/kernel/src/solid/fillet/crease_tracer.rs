//! Creases followed from their ends over arcs, and over points in which three sheets meet.
//!
//! A point of a crease lies a radius from the ball's way at two places and nearer to it nowhere. Where a third place comes as near,
//! the crease ends, and two others go on from there: between either of its sheets and the third. So each crease is followed from
//! an end until it comes to another end, or to such a point, from which the others are followed.

use super::crease_ends::{CreasePoint, End, opens};
use super::crease_graph::{CreaseGraph, Node, Run};
use super::feet::{Foot, Locus};
use super::sheets::{ArcId, Sheet, Sheets};
use crate::geometry::{P3, V3};
use crate::tolerance::SNAP;

/// Steps along a crease, in radii: the first, the longest and the shortest.
const STEP: f64 = 0.03;
const LONGEST_STEP: f64 = 0.12;
const SHORTEST_STEP: f64 = 1e-4;

/// The first step from an end's first point, in distances of that from the end.
const FIRST_STEP: f64 = 0.5;

/// Cosine of the angle by which a crease may turn in one step.
const MOST_TURN: f64 = 0.96;

/// Share of a step by which its end may lie beside the tangent.
const MOST_ASIDE: f64 = 0.3;

/// Cosine of the angle by which a piece of a crease may turn altogether.
const MOST_BEND: f64 = 0.7;

/// Distance from an end, in radii, within which a crease on its sheets leads there.
const AHEAD: f64 = 0.2;

/// Share of the way there by which a step goes nearer.
const APPROACH: f64 = 0.4;

/// Share of the way so far that is left when it has arrived: a crease closes as it opened.
const ARRIVED: f64 = 0.1;

/// The same where the sheets differ by an arc that the crease crosses in the end itself.
const AT_END: f64 = 0.01;

/// The shortest step, in radii, within which a foot may leave its sheet and come back unseen.
const DIP_STEP: f64 = 2e-3;

/// Points in which the same three sheets meet are one within this, in radii: where sheets all but fold they are found no better.
const SAME_TRIPLE: f64 = 2e-5;

/// Steps of one crease between two nodes.
const MOST_STEPS: usize = 4000;

/// Nodes of one graph.
const MOST_NODES: usize = 400;

/// Follows the creases that hang together with one end.
pub(super) struct CreaseTracer<'a> {
    sheets: &'a Sheets<'a>,
    /// Ends that no other ball's place reaches.
    ends: &'a [End],
    graph: CreaseGraph,
    /// Branches that are still to be followed: the node, with the two sheets.
    branches: Vec<(usize, [Sheet; 2])>,
}

/// What a step along a crease comes upon first.
enum Event {
    Nothing,
    /// One of its sheets ends at an arc.
    Crossing {
        foot: usize,
        arc: ArcId,
        behind: Sheet,
        at: CreasePoint,
    },
    /// A third sheet is as near.
    Third {
        p: P3,
        feet: [Foot; 3],
    },
}

/// An arc that a crease crosses, with its point there on the sheets beyond and before it.
struct Crossed {
    arc: ArcId,
    beyond: CreasePoint,
    before: CreasePoint,
}

/// A place on the way along a crease.
struct Walk {
    /// The node where the present piece begins.
    node: usize,
    here: CreasePoint,
    along: V3,
    step: f64,
    points: Vec<CreasePoint>,
    /// Direction in which the present piece sets out.
    from: V3,
    /// Length of the way so far.
    gone: f64,
}

impl<'a> CreaseTracer<'a> {
    /// The creases that hang together with the end of a number; `None` where they are not found as a whole.
    pub(super) fn graph(sheets: &'a Sheets<'a>, ends: &'a [End], first: usize) -> Option<CreaseGraph> {
        let mut out = Self { sheets, ends, graph: CreaseGraph::default(), branches: vec![] };
        out.follow_end(first)?;
        while let Some((node, pair)) = out.branches.pop() {
            out.follow_branch(node, pair)?;
            if out.graph.nodes.len() > MOST_NODES {
                return None;
            }
        }
        out.graph.lead_to_ends();
        Some(out.graph)
    }

    fn end_node(&mut self, end: usize) -> usize {
        let e = &self.ends[end];
        self.graph.ends.push(end);
        self.graph.push(Node { end: Some(e.aside), ..Node::plain(e.point, vec![e.arc]) })
    }

    /// Numbers of the ends that have not been reached.
    fn open_ends(&self) -> impl Iterator<Item = usize> {
        (0..self.ends.len()).filter(|k| !self.graph.ends.contains(k))
    }

    /// Follows the crease that begins at an end.
    fn follow_end(&mut self, end: usize) -> Option<()> {
        let e = self.ends[end];
        let first = e.first(self.sheets)?;
        let node = self.end_node(end);
        let mut w = self.walk(node, first, first.along(e.aside)?);
        w.gone = (first.p - e.point).norm();
        // Beside its end a crease changes over lengths like the distance from it.
        w.step = w.step.min(FIRST_STEP * w.gone);
        for Crossed { arc, beyond, before } in self.crossed_before(&e, first)?.into_iter().rev() {
            if (before.p - self.graph.nodes[w.node].point).norm() < SNAP {
                self.graph.nodes[w.node].arcs.push(arc);
                continue;
            }
            let (from, sheets) = (w.node, before.sheets());
            w.node = self.graph.push(Node::plain(before.p, vec![arc]));
            self.graph.runs.push(Run { nodes: [from, w.node], sheets, points: vec![before] });
            w.points = vec![beyond, first];
        }
        self.follow(w)
    }

    /// The arcs that a crease crosses between its end and its first point, the last one first.
    fn crossed_before(&self, e: &End, first: CreasePoint) -> Option<Vec<Crossed>> {
        let mut out = Vec::new();
        let mut at = first;
        while at.sheets() != e.sheets {
            let differs = (0..2).filter(|k| at.sheets()[*k] != e.sheets[*k]);
            let back = |k: usize| {
                let arc = self.sheets.arc_between(at.feet[k].sheet, e.sheets[k])?;
                Some((k, arc, self.on_arc(&at, arc)?))
            };
            let all: Option<Vec<_>> = differs.map(back).collect();
            let off = |c: &(usize, ArcId, CreasePoint)| (c.2.p - e.point).norm();
            let (k, arc, beyond) = all?.into_iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
            at = beyond;
            at.feet[k] = self.sheets.foot(e.sheets[k], self.sheets.start(e.sheets[k], arc)?, at.p)?;
            out.push(Crossed { arc, beyond, before: at });
        }
        Some(out)
    }

    /// The start of the way from a node.
    fn walk(&self, node: usize, here: CreasePoint, along: V3) -> Walk {
        let step = STEP * self.sheets.radius;
        Walk { node, here, along, step, points: vec![here], from: along, gone: 0.0 }
    }

    /// Notes the arcs between two pairs of sheets as crossed in a node.
    fn cross_at(&mut self, node: usize, from: [Sheet; 2], to: [Sheet; 2]) -> Option<()> {
        for k in (0..2).filter(|k| from[*k] != to[*k]) {
            let arc = self.sheets.arc_between(from[k], to[k])?;
            self.graph.nodes[node].arcs.push(arc);
        }
        Some(())
    }

    /// Follows one of the creases that begin where three sheets meet.
    fn follow_branch(&mut self, node: usize, pair: [Sheet; 2]) -> Option<()> {
        let feet = self.graph.nodes[node].triple?;
        let [a, b] = pair.map(|s| feet.iter().find(|f| f.sheet == s).copied());
        let here = CreasePoint { p: self.graph.nodes[node].point, feet: [a?, b?] };
        let third = feet.iter().find(|f| !pair.contains(&f.sheet))?;
        // Away from the third sheet.
        let along = here.along(third.towards)?;
        let walk = self.walk(node, here, along);
        self.follow(walk)
    }

    /// Follows a crease to the next end or point of three sheets.
    fn follow(&mut self, mut w: Walk) -> Option<()> {
        for _ in 0..MOST_STEPS {
            if let Some((end, left)) = self.ahead(&w) {
                if left < (ARRIVED * w.gone).max(AT_END * self.sheets.radius) {
                    return self.arrive(w, end);
                }
                w.step = w.step.min(APPROACH * left);
            }
            let Some(next) = self.step(&mut w) else {
                let end = self.beside(&w)?;
                return self.arrive(w, end);
            };
            let Some(event) = self.event(&w, &next) else {
                // Past the end of the crease there is nothing to be told.
                w.step *= 0.5;
                continue;
            };
            match event {
                Event::Nothing => self.go_on(&mut w, next)?,
                Event::Crossing { foot, arc, behind, at } => self.cross(&mut w, foot, arc, behind, at)?,
                Event::Third { p, feet } => return self.meet_third(w, p, &feet),
            }
        }
        None
    }

    /// Goes on to a point, and ends the piece there if it has turned far from where it set out.
    fn go_on(&mut self, w: &mut Walk, next: CreasePoint) -> Option<()> {
        w.gone += (next.p - w.here.p).norm();
        w.along = next.along(w.along)?;
        w.points.push(next);
        w.here = next;
        w.step = (1.5 * w.step).min(LONGEST_STEP * self.sheets.radius);
        if w.along.dot(&w.from) < MOST_BEND {
            let number = self.graph.push(Node::plain(next.p, vec![]));
            let points = std::mem::replace(&mut w.points, vec![next]);
            self.graph.runs.push(Run { nodes: [w.node, number], sheets: next.sheets(), points });
            (w.node, w.from) = (number, w.along);
        }
        Some(())
    }

    /// A step on, shorter where the crease turns.
    fn step(&self, w: &mut Walk) -> Option<CreasePoint> {
        while w.step > SHORTEST_STEP * self.sheets.radius {
            let p = w.here.p + w.along * w.step;
            let plane = Locus::Plane(p, w.along);
            if let Some(next) = CreasePoint::near(self.sheets, p, w.here.places(), plane) {
                let near = (next.p - p).norm() < MOST_ASIDE * w.step;
                let turned = next.along(w.along).is_none_or(|d| d.dot(&w.along) < MOST_TURN);
                let dips = w.step > DIP_STEP * self.sheets.radius && self.dips(w, &next);
                if near && !turned && !dips && opens(self.sheets, &next) {
                    return Some(next);
                }
            }
            w.step *= 0.5;
        }
        None
    }

    /// Whether a foot seems to leave its sheet on the way to a point, and to come back.
    fn dips(&self, w: &Walk, next: &CreasePoint) -> bool {
        let Some(ahead) = next.along(w.along) else { return false };
        let length = (next.p - w.here.p).norm();
        (0..2).any(|k| {
            let margins = |f: &Foot, along: V3| self.sheets.margins(f, along);
            let (a, b) = (margins(&w.here.feet[k], w.along), margins(&next.feet[k], ahead));
            a.iter().zip(&b).any(|(a, b)| dips(*a, *b, length))
        })
    }

    /// The end to which a crease on the sheets there leads from here, and how far off it is.
    fn ahead(&self, w: &Walk) -> Option<(usize, f64)> {
        let fits = |k: usize| {
            let e = &self.ends[k];
            let to = e.point - w.here.p;
            let ahead = to.dot(&w.along);
            let own = w.here.sheets();
            let fits = ahead > 0.0
                && to.norm() < AHEAD * self.sheets.radius
                && (to - w.along * ahead).norm() < MOST_ASIDE * ahead
                && (own == e.sheets || own == [e.sheets[1], e.sheets[0]]);
            fits.then_some((k, to.norm()))
        };
        self.open_ends().filter_map(fits).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The end beside which a crease can't be followed any further, whatever arcs are crossed in the end itself.
    fn beside(&self, w: &Walk) -> Option<usize> {
        let off = |k: usize| (self.ends[k].point - w.here.p).norm();
        let nearest = self.open_ends().min_by(|a, b| off(*a).total_cmp(&off(*b)));
        nearest.filter(|k| off(*k) < AT_END * self.sheets.radius)
    }

    fn arrive(&mut self, w: Walk, end: usize) -> Option<()> {
        let node = self.end_node(end);
        let own = w.here.sheets();
        let [a, b] = self.ends[end].sheets;
        let crossed = |to: &[Sheet; 2]| (0..2).filter(|k| own[*k] != to[*k]).count();
        let known = |to: &[Sheet; 2]| {
            (0..2).all(|k| own[k] == to[k] || self.sheets.arc_between(own[k], to[k]).is_some())
        };
        let to = [[a, b], [b, a]].into_iter().filter(known).min_by_key(crossed)?;
        self.cross_at(node, own, to)?;
        self.finish(w, node);
        Some(())
    }

    fn finish(&mut self, w: Walk, node: usize) {
        let sheets = w.here.sheets();
        self.graph.runs.push(Run { nodes: [w.node, node], sheets, points: w.points });
    }

    /// What a step comes upon first. `None` where that is not found.
    fn event(&self, w: &Walk, next: &CreasePoint) -> Option<Event> {
        let along = |p: P3| (p - w.here.p).dot(&w.along);
        // On its own sheets it goes no further than the first arc.
        let mut first = Event::Nothing;
        let mut last = *next;
        for foot in 0..2 {
            let f = &next.feet[foot];
            let Some((arc, behind)) = self.sheets.left(f.sheet, f.at, f.towards, 0.0) else { continue };
            let at = self.on_arc(next, arc)?;
            if along(at.p) > along(next.p) + SNAP {
                // That is where it comes back to its sheet.
                return None;
            }
            if along(at.p) < along(last.p) {
                first = Event::Crossing { foot, arc, behind, at };
                last = at;
            }
        }
        if let Some(third) = self.sheets.nearer(last.p) {
            let (p, feet) = self.triple(&last, third)?;
            last.p = p;
            first = Event::Third { p, feet };
        }
        (along(last.p) > -SNAP).then_some(first)
    }

    /// The crease's point on an arc near another one.
    fn on_arc(&self, near: &CreasePoint, arc: ArcId) -> Option<CreasePoint> {
        CreasePoint::near(self.sheets, near.p, near.places(), self.sheets.arc_plane(arc)?)
    }

    /// The point near one of a crease in which a third sheet meets it, and none is nearer.
    fn triple(&self, near: &CreasePoint, mut third: Foot) -> Option<(P3, [Foot; 3])> {
        let mut p = near.p;
        for _ in 0..12 {
            third = self.behind_end(p, third);
            let [a, b, c] = [near.feet[0], near.feet[1], third].map(|f| Locus::Sheet(f.sheet, f.at));
            let (q, [Some(a), Some(b), Some(c)]) = self.sheets.meet(p, [a, b, c])? else { return None };
            if let Some((arc, behind)) = self.sheets.left(c.sheet, c.at, c.towards, SNAP) {
                third = Foot { sheet: behind, at: self.sheets.start(behind, arc)?, ..c };
                continue;
            }
            match self.sheets.nearer(q) {
                Some(fourth) => (p, third) = (q, fourth),
                None => return Some((q, [a, b, c])),
            }
        }
        None
    }

    /// A foot on the sheet behind the end of its canal, where that is what comes near.
    fn behind_end(&self, p: P3, foot: Foot) -> Foot {
        let Sheet::Canal(i) = foot.sheet else { return foot };
        let ahead = (p - foot.center).dot(&foot.tangent);
        let beyond = |k: &usize| {
            let (end, sign) = (self.sheets.end(i, *k), if *k == 0 { -1.0 } else { 1.0 });
            (foot.at - end).abs() < SNAP && ahead * sign > SNAP
        };
        let Some(end) = (0..2).find(beyond) else { return foot };
        let (arc, behind) = self.sheets.behind(i, end);
        let there = self.sheets.start(behind, arc).and_then(|at| self.sheets.foot(behind, at, p));
        there.unwrap_or(foot)
    }

    /// Passes over an arc.
    fn cross(&mut self, w: &mut Walk, foot: usize, arc: ArcId, behind: Sheet, at: CreasePoint) -> Option<()> {
        let node = &mut self.graph.nodes[w.node];
        if (node.point - at.p).norm() < SNAP {
            // Both feet cross at once.
            node.arcs.push(arc);
            w.points.clear();
        } else {
            let mut points = std::mem::take(&mut w.points);
            points.push(at);
            let sheets = w.here.sheets();
            let number = self.graph.push(Node::plain(at.p, vec![arc]));
            self.graph.runs.push(Run { nodes: [w.node, number], sheets, points });
            w.node = number;
        }
        w.gone += (at.p - w.here.p).norm();
        let mut here = at;
        here.feet[foot] = self.sheets.foot(behind, self.sheets.start(behind, arc)?, at.p)?;
        w.along = here.along(w.along)?;
        w.from = w.along;
        w.points.push(here);
        w.here = here;
        Some(())
    }

    fn meet_third(&mut self, mut w: Walk, p: P3, feet: &[Foot; 3]) -> Option<()> {
        let mut sheets = feet.map(|f| f.sheet);
        sheets.sort_unstable();
        let same = |n: &Node| {
            n.triple.is_some_and(|t| {
                let mut own = t.map(|f| f.sheet);
                own.sort_unstable();
                own == sheets && (n.point - p).norm() < SAME_TRIPLE * self.sheets.radius
            })
        };
        let known = self.graph.nodes.iter().position(same);
        let node = known.unwrap_or_else(|| {
            let number = self.graph.push(Node { triple: Some(*feet), ..Node::plain(p, vec![]) });
            for pair in [[feet[0].sheet, feet[2].sheet], [feet[1].sheet, feet[2].sheet]] {
                self.branches.push((number, pair));
            }
            number
        });
        if known.is_some() {
            // One of its branches is this crease.
            let own =
                |b: &(usize, [Sheet; 2])| b.0 == node && w.here.sheets().iter().all(|s| b.1.contains(s));
            let at = self.branches.iter().position(own)?;
            self.branches.swap_remove(at);
        }
        w.points.push(CreasePoint { p, feet: [feet[0], feet[1]] });
        self.finish(w, node);
        Some(())
    }
}

/// Whether the cubic with given values and slopes at both ends of a length, the values above zero, falls below it.
fn dips((a, da): (f64, f64), (b, db): (f64, f64), length: f64) -> bool {
    if a <= 0.0 || b <= 0.0 || da >= 0.0 || db <= 0.0 {
        return false;
    }
    let at = |s: f64| {
        let t = 1.0 - s;
        a * t * t * (1.0 + 2.0 * s) + b * s * s * (3.0 - 2.0 * s) + length * s * t * (da * t - db * s)
    };
    (1..16).any(|k| at(f64::from(k) / 16.0) <= 0.0)
}
