//! Edges that leave a vertex almost in one direction.
//!
//! However finely two such edges are cut, their first pieces cross unless the points on both stand equally far
//! from the vertex. So near it both are cut at the same distances.

use crate::geometry::{Curve, P3, V3};
use crate::solid::{Brep, BrepEdge};

/// Edges of one face that leave a vertex within this angle, radians, are matched: half the greatest turn along
/// one piece, and a little.
const CUSP: f64 = 0.3;

/// Edges are matched as far as the cosine of the angle between them and the way from the corner is above
/// this. Beyond, even distances from the corner would mean uneven pieces.
const AHEAD: f64 = 0.8;

/// Share of that part that is matched, so that the two ends of an edge leave room for each other.
const REACH: f64 = 0.9;

/// Beyond the matched part, points nearer to it than this share of its step are left out.
const CROWDED: f64 = 0.3;

/// Greatest number of points that are matched at one corner.
const MOST_MATCHED: usize = 10_000;

/// Halvings with which a parameter is found: beyond the digits of a double.
const HALVINGS: u32 = 60;

/// Recuts all edges that meet another almost tangentially. `cuts` holds the inner parameters of each edge.
pub(super) fn match_cusps(brep: &Brep, cuts: &mut [Vec<f64>]) {
    let mut cusps = cusp_ends(brep);
    cusps.sort_unstable();
    cusps.dedup();
    for group in cusps.chunk_by(|a, b| a.0 == b.0) {
        let (vertex, corner) = (group[0].0, brep.vertices[group[0].0]);
        let ways: Vec<Way> =
            group.iter().map(|(_, e)| Way::outwards(&brep.edges[*e], &cuts[*e], vertex, corner)).collect();
        let matched = matched(&ways);
        for ((_, e), way) in group.iter().zip(&ways) {
            way.recut(&brep.edges[*e], &mut cuts[*e], corner, &matched);
        }
    }
}

/// The distances from a corner at which all edges that leave it beside each other are cut: as far apart as the finest of them asks for there.
/// Where one edge alone turns within a thousandth of a millimetre, its step must not be that of them all for a hand's breadth: on a tube
/// nearly flush with a shell that made 15,000 triangles of 10 mm².
fn matched(ways: &[Way]) -> Vec<f64> {
    let reach = ways.iter().map(|w| REACH * w.distances[w.distances.len() - 1]).fold(f64::INFINITY, f64::min);
    let mut out: Vec<f64> = Vec::new();
    let mut here = 0.0;
    while here < reach && out.len() < MOST_MATCHED {
        let next = ways.iter().map(|way| way.next(here)).fold(f64::INFINITY, f64::min);
        let (step, left) = (next - here, reach - here);
        here += if left <= step { left } else { step.min(0.5 * left) };
        out.push(here);
    }
    out
}

/// All (vertex, edge) where the edge leaves the vertex beside another one of the same face.
fn cusp_ends(brep: &Brep) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut ends: Vec<(usize, usize, V3)> = Vec::new();
    for face in &brep.faces {
        ends.clear();
        for half in face.loops.iter().flatten() {
            let edge = &brep.edges[half.edge];
            ends.push((edge.start, half.edge, edge.curve.derivative(edge.range.0)));
            ends.push((edge.end, half.edge, -edge.curve.derivative(edge.range.1)));
        }
        ends.sort_by_key(|(vertex, edge, _)| (*vertex, *edge));
        for around in ends.chunk_by(|a, b| a.0 == b.0) {
            for (i, a) in around.iter().enumerate() {
                for b in &around[i + 1..] {
                    let straight = [a.1, b.1].iter().all(|e| matches!(brep.edges[*e].curve, Curve::Line(_)));
                    let near = a.2.dot(&b.2) > CUSP.cos() * a.2.norm() * b.2.norm();
                    if a.1 != b.1 && near && !straight {
                        out.extend([(a.0, a.1), (b.0, b.1)]);
                    }
                }
            }
        }
    }
    out
}

fn middle(edge: &BrepEdge) -> f64 {
    0.5 * (edge.range.0 + edge.range.1)
}

/// Whether the parameter is on the vertex's half of the edge.
fn on_half(edge: &BrepEdge, vertex: usize, t: f64) -> bool {
    if edge.start == vertex { t <= middle(edge) } else { t >= middle(edge) }
}

/// The part of an edge that leads away from one of its corners, at most to its middle. Farther on an edge may turn back
/// and pass the corner again at any distance.
struct Way {
    /// Distances of the edge's points on it from the corner, from zero outwards; at least two.
    distances: Vec<f64>,
    /// Parameter of the corner.
    from: f64,
    /// Parameter of the last of the points.
    to: f64,
}

impl Way {
    fn outwards(edge: &BrepEdge, cuts: &[f64], vertex: usize, corner: P3) -> Self {
        let mut half: Vec<f64> = cuts.iter().copied().filter(|t| on_half(edge, vertex, *t)).collect();
        if edge.start != vertex {
            half.reverse();
        }
        let away = |t: f64| edge.curve.point(t) - corner;
        let ahead = |t: f64| {
            let along = edge.curve.derivative(t);
            away(t).dot(&along).abs() > AHEAD * away(t).norm() * along.norm()
        };
        let first = half.first().copied().unwrap_or_else(|| middle(edge));
        let mut distances = vec![0.0, away(first).norm()];
        let mut to = first;
        for t in half.into_iter().skip(1).take_while(|t| ahead(*t)) {
            distances.push(away(t).norm());
            to = t;
        }
        Self { distances, from: if edge.start == vertex { edge.range.0 } else { edge.range.1 }, to }
    }

    /// How far from the corner the next point stands at most, behind one at a distance from it, so that no step exceeds the edge's own.
    fn next(&self, here: f64) -> f64 {
        let behind = self.distances.windows(2).filter(|ends| ends[1] > here && ends[1] > ends[0]);
        behind.map(|ends| ends[0].max(here) + AHEAD * (ends[1] - ends[0])).fold(f64::INFINITY, f64::min)
    }

    /// Replaces the edge's points reach of the corner by ones at the distances of `matched` from it, which rise and end where the way
    /// goes beyond.
    fn recut(&self, edge: &BrepEdge, cuts: &mut Vec<f64>, corner: P3, matched: &[f64]) {
        let Some(&reach) = matched.last() else { return };
        let step = reach - matched.iter().rev().nth(1).copied().unwrap_or(0.0);
        let distance = |t: f64| (edge.curve.point(t) - corner).norm();
        let rising = self.from <= self.to;
        cuts.retain(|t| {
            let beyond = if rising { *t > self.to } else { *t < self.to };
            let behind = if rising { *t < self.from } else { *t > self.from };
            beyond || behind || distance(*t) > reach + CROWDED * step
        });
        for &wanted in matched {
            let (mut near, mut far) = (self.from, self.to);
            for _ in 0..HALVINGS {
                let t = 0.5 * (near + far);
                if distance(t) < wanted { near = t } else { far = t }
            }
            cuts.push(far);
        }
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One edge turns within a tenth of a micrometre of the corner, the other one hardly: steps grow with the distance from the corner
    /// instead of being the least one all the way.
    #[test]
    fn one_fine_step_is_not_taken_all_the_way() {
        let fine = Way { distances: vec![0.0, 1e-4, 2e-4, 10.0, 20.0, 30.0], from: 0.0, to: 1.0 };
        let even = Way { distances: (0..=12).map(|k| 2.5 * f64::from(k)).collect(), from: 0.0, to: 1.0 };
        let found = matched(&[fine, even]);
        assert!(found.len() < 25, "{found:?}");
        assert!((found[found.len() - 1] - REACH * 30.0).abs() < 1e-12, "{found:?}");
        assert!(found[0] <= 1e-4 && found[1] <= 2e-4, "{found:?}");
        let mut before = 0.0;
        for at in found {
            assert!(before < at && at - before <= 2.5, "from {before} to {at}");
            before = at;
        }
    }
}
