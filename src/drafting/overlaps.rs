//! Lines and circles that lie on each other are drawn once, and nothing hidden under what is visible.

use std::f64::consts::TAU;

use solidwright::geometry::{P2, V2};

use super::entity::{Arc, Shape};

/// Lines and circles nearer to each other than this, mm, are one.
const SAME: f64 = 1e-4;

/// What is shorter than this, mm, is not worth a line.
const LEAST: f64 = 2e-3;

/// Where several lines or arcs lie.
enum Carrier {
    /// A point and a direction of length 1.
    Line(P2, V2),
    /// Centre and radius.
    Circle(P2, f64),
}

impl Carrier {
    fn of(shape: &Shape) -> Option<Self> {
        match shape {
            Shape::Line(a, b) => Some(Self::Line(*a, (b - a).try_normalize(SAME)?)),
            Shape::Arc(arc) => Some(Self::Circle(arc.centre, arc.radius)),
            Shape::Ellipse(_) | Shape::Chain(_) => None,
        }
    }

    /// The stretches that a shape covers of it, if it lies on it.
    fn stretches(&self, shape: &Shape) -> Option<Vec<(f64, f64)>> {
        match (self, shape) {
            (Self::Line(at, along), Shape::Line(a, b)) => {
                let on = |p: &P2| along.perp(&(p - at)).abs() < SAME;
                let place = |p: &P2| along.dot(&(p - at));
                let (s, t) = (place(a), place(b));
                (on(a) && on(b)).then(|| vec![(s.min(t), s.max(t))])
            }
            (Self::Circle(centre, radius), Shape::Arc(arc)) => {
                let one = (centre - arc.centre).norm() < SAME && (radius - arc.radius).abs() < SAME;
                let start = arc.start.rem_euclid(TAU);
                let end = start + arc.end - arc.start;
                one.then(|| if end > TAU { vec![(start, TAU), (0.0, end - TAU)] } else { vec![(start, end)] })
            }
            _ => None,
        }
    }

    /// Lengths are angles times this.
    fn size(&self) -> f64 {
        if let Self::Circle(_, radius) = self { *radius } else { 1.0 }
    }

    fn shape(&self, (start, end): (f64, f64)) -> Shape {
        match self {
            Self::Line(at, along) => Shape::Line(at + along * start, at + along * end),
            Self::Circle(centre, radius) => Shape::Arc(Arc { centre: *centre, radius: *radius, start, end }),
        }
    }

    /// Stretches as shapes; on a circle those that meet at its zero are joined.
    fn shapes(&self, mut stretches: Vec<(f64, f64)>) -> Vec<Shape> {
        let near = SAME / self.size();
        if let (Self::Circle(..), [first, .., last]) = (self, &mut stretches[..])
            && first.0 < near
            && TAU - last.1 < near
        {
            last.1 = TAU + first.1;
            stretches.remove(0);
        }
        let long = |s: &(f64, f64)| (s.1 - s.0) * self.size() > LEAST;
        stretches.into_iter().filter(long).map(|s| self.shape(s)).collect()
    }
}

/// Stretches of a carrier, from and to.
type Stretches = Vec<(f64, f64)>;

/// Makes one line of lines that lie on each other, and drops of the hidden ones what lies under visible ones.
pub(super) fn without_overlaps(visible: &mut Vec<Shape>, hidden: &mut Vec<Shape>) {
    let mut groups: Vec<(Carrier, [Stretches; 2])> = Vec::new();
    let mut rest = [Vec::new(), Vec::new()];
    for (kind, shapes) in [&mut *visible, &mut *hidden].into_iter().enumerate() {
        for shape in shapes.drain(..) {
            let known = groups.iter_mut().find_map(|(c, spans)| Some((c.stretches(&shape)?, spans)));
            if let Some((stretches, spans)) = known {
                spans[kind].extend(stretches);
                continue;
            }
            let Some(carrier) = Carrier::of(&shape) else {
                rest[kind].push(shape);
                continue;
            };
            let mut spans = [Vec::new(), Vec::new()];
            spans[kind] = carrier.stretches(&shape).unwrap_or_default();
            groups.push((carrier, spans));
        }
    }
    for (carrier, [seen, unseen]) in groups {
        let near = SAME / carrier.size();
        let seen = union(seen, near);
        let unseen = less(union(unseen, near), &seen);
        visible.extend(carrier.shapes(seen));
        hidden.extend(carrier.shapes(unseen));
    }
    let [seen, unseen] = rest;
    visible.extend(seen);
    hidden.extend(unseen);
}

/// Stretches as separate ones, rising.
fn union(mut stretches: Stretches, near: f64) -> Stretches {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out = Stretches::new();
    for (start, end) in stretches {
        match out.last_mut() {
            Some(last) if start <= last.1 + near => last.1 = last.1.max(end),
            _ => out.push((start, end)),
        }
    }
    out
}

/// What is left of separate stretches beside others.
fn less(stretches: Stretches, taken: &[(f64, f64)]) -> Stretches {
    let mut out = Stretches::new();
    for (start, end) in stretches {
        let mut at = start;
        for (from, to) in taken.iter().filter(|(from, to)| *to > start && *from < end) {
            if *from > at {
                out.push((at, *from));
            }
            at = at.max(*to);
        }
        if at < end {
            out.push((at, end));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_lines_under_visible_ones_are_dropped() {
        let line = |a: f64, b: f64| Shape::Line(P2::new(a, 1.0), P2::new(b, 1.0));
        let mut visible = vec![line(0.0, 2.0), line(1.0, 3.0)];
        let mut hidden = vec![line(5.0, -1.0)];
        without_overlaps(&mut visible, &mut hidden);
        assert_eq!(visible, [line(0.0, 3.0)], "one line");
        let mut ends: Vec<f64> =
            hidden.iter().flat_map(|s| [0.0, 1.0].map(|t| s.point(t).map_or(f64::NAN, |p| p.x))).collect();
        ends.sort_by(f64::total_cmp);
        assert_eq!(ends, [-1.0, 0.0, 3.0, 5.0], "what lies beside it");
    }

    #[test]
    fn halves_of_a_circle_become_one() {
        let half =
            |start: f64| Shape::Arc(Arc { centre: P2::origin(), radius: 2.0, start, end: start + 0.5 * TAU });
        let (mut visible, mut hidden) = (vec![half(0.6), half(0.6 + 0.5 * TAU)], vec![half(2.0)]);
        without_overlaps(&mut visible, &mut hidden);
        let [Shape::Arc(arc)] = visible[..] else { panic!("one arc: {visible:?}") };
        assert!((arc.end - arc.start - TAU).abs() < 1e-9, "a full turn: {arc:?}");
        assert!(hidden.is_empty(), "nothing hidden: {hidden:?}");
    }
}
