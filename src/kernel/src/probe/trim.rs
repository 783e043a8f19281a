//! Where a face ends: its loops, exactly.

use crate::geometry::{P2, P3, V3};
use crate::solid::{Brep, HalfEdge};
use crate::tolerance::{
    CONVERGED, EDGE_END, FACE_OVERLAP, NEAR_PIECE, NO_DIRECTION, PARAMETER_STEP, PIECE_SAG,
};

use super::triangle::on_segment;

/// Rows of a map at most.
const MOST_ROWS: usize = 64;

/// How often a piece is halved at most.
const HALVINGS: u32 = 9;

/// A piece of a loop.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    /// The half-edge, and its place among all of the face.
    pub(super) half: HalfEdge,
    /// Its parameters on the edge's curve, in the loop's sense.
    pub(super) range: (f64, f64),
    /// Its ends in space.
    pub(super) ends: [P3; 2],
    flat: [P2; 2],
}

/// The loops of a face.
#[derive(Clone, Debug)]
pub(super) struct Trim {
    face: usize,
    pub(super) pieces: Vec<Piece>,
    flat: (P2, P2),
    /// The pieces that reach into each row of the map, rows of one height, and where each row's begin.
    rows: Vec<u32>,
    row_from: Vec<u32>,
}

impl Trim {
    pub(super) fn new(brep: &Brep, face: usize) -> Self {
        let mut pieces = Vec::new();
        for half in brep.faces[face].loops.iter().flatten() {
            cut(brep, face, *half, &mut pieces);
        }
        let far = f64::INFINITY;
        let (mut lo, mut hi) = (P2::new(far, far), P2::new(-far, -far));
        for p in pieces.iter().flat_map(|p| p.flat) {
            lo = lo.inf(&p);
            hi = hi.sup(&p);
        }
        let margin = nalgebra::Vector2::repeat(NEAR_PIECE);
        let flat = (lo - margin, hi + margin);
        let (rows, row_from) = rows(&pieces, flat);
        Self { face, pieces, flat, rows, row_from }
    }

    /// Whether a point of the face's surface lies on the face, [`FACE_OVERLAP`] included.
    pub(super) fn holds(&self, brep: &Brep, p: P3) -> bool {
        let q = brep.faces[self.face].chart.to_flat(p);
        let (lo, hi) = self.flat;
        if !(q.x >= lo.x && q.y >= lo.y && q.x <= hi.x && q.y <= hi.y) {
            return false;
        }
        let mut inside = false;
        let mut near: Option<(f64, usize)> = None;
        let row = row_of(q.y, self.flat, self.row_from.len() - 1);
        for k in &self.rows[self.row_from[row] as usize..self.row_from[row + 1] as usize] {
            let k = *k as usize;
            let piece = &self.pieces[k];
            let [a, b] = piece.flat;
            if (a.y > q.y) != (b.y > q.y) && q.x < a.x + (q.y - a.y) * (b.x - a.x) / (b.y - a.y) {
                inside = !inside;
            }
            let within = q.y >= a.y.min(b.y) - NEAR_PIECE
                && q.y <= a.y.max(b.y) + NEAR_PIECE
                && q.x >= a.x.min(b.x) - NEAR_PIECE
                && q.x <= a.x.max(b.x) + NEAR_PIECE;
            if within {
                let t = on_segment(p, piece.ends[0], piece.ends[1]);
                let d = (piece.ends[0] + (piece.ends[1] - piece.ends[0]) * t - p).norm();
                if d < 2.0 * NEAR_PIECE && near.is_none_or(|n| d < n.0) {
                    near = Some((d, k));
                }
            }
        }
        match near {
            Some((_, k)) => self.decided(brep, p, k).unwrap_or(inside),
            None => inside,
        }
    }

    /// Which side of the edges about a piece a point lies on: of one edge, or of both at a corner. `None` where they
    /// don't say.
    fn decided(&self, brep: &Brep, p: P3, k: usize) -> Option<bool> {
        let half = self.pieces[k].half;
        let t = nearest_on_edge(brep, half.edge, p, middle(self.pieces[k].range));
        let edge = &brep.edges[half.edge];
        let foot = edge.curve.point(t);
        if (foot - p).norm() < FACE_OVERLAP {
            return Some(true);
        }
        let (lo, hi) = edge.range;
        let sharp = EDGE_END * (hi - lo);
        if t > lo + sharp && t < hi - sharp {
            return Some(self.depth(brep, half, t, p)? > -FACE_OVERLAP);
        }
        let corner = if t <= lo + sharp { edge.start } else { edge.end };
        let halves: Vec<HalfEdge> = brep.faces[self.face].loops.iter().flatten().copied().collect();
        let coming = halves.iter().find(|h| brep.head(**h) == corner)?;
        let going = halves.iter().find(|h| brep.tail(**h) == corner)?;
        let end = |h: &HalfEdge| {
            let range = brep.edges[h.edge].range;
            if brep.edges[h.edge].start == corner { range.0 } else { range.1 }
        };
        let (a, b) = (self.depth(brep, *coming, end(coming), p)?, self.depth(brep, *going, end(going), p)?);
        let turn = along(brep, *coming, end(coming)).cross(&along(brep, *going, end(going)));
        let bulges = turn.dot(&brep.faces[self.face].outward(brep.vertices[corner])) > 0.0;
        let (a, b) = (a > -FACE_OVERLAP, b > -FACE_OVERLAP);
        Some(if bulges { a && b } else { a || b })
    }

    /// How far a point lies to the inner side of the line that touches an edge.
    fn depth(&self, brep: &Brep, half: HalfEdge, t: f64, p: P3) -> Option<f64> {
        let foot = brep.edges[half.edge].curve.point(t);
        let inner =
            brep.faces[self.face].outward(foot).cross(&along(brep, half, t)).try_normalize(NO_DIRECTION)?;
        Some((p - foot).dot(&inner))
    }
}

/// The row of a map, cut into `count` rows, in which a height lies.
fn row_of(y: f64, (lo, hi): (P2, P2), count: usize) -> usize {
    let share = (y - lo.y) / (hi.y - lo.y);
    ((share * count as f64) as usize).min(count - 1)
}

fn rows(pieces: &[Piece], flat: (P2, P2)) -> (Vec<u32>, Vec<u32>) {
    let count = (pieces.len() / 2).clamp(1, MOST_ROWS);
    let reached = |piece: &Piece| {
        let [a, b] = piece.flat.map(|p| p.y);
        // Rounding may put a height into the next row; the margin covers that too.
        let margin = 1.01 * NEAR_PIECE;
        row_of(a.min(b) - margin, flat, count)..=row_of(a.max(b) + margin, flat, count)
    };
    // First how many each row has, then where it begins, then the pieces in order.
    let mut starts = vec![0_u32; count + 1];
    for row in pieces.iter().flat_map(reached) {
        starts[row + 1] += 1;
    }
    for row in 0..count {
        starts[row + 1] += starts[row];
    }
    let mut all = vec![0; starts[count] as usize];
    let mut next = starts.clone();
    for (k, piece) in pieces.iter().enumerate() {
        for row in reached(piece) {
            all[next[row] as usize] = k as u32;
            next[row] += 1;
        }
    }
    (all, starts)
}

fn middle(range: (f64, f64)) -> f64 {
    0.5 * (range.0 + range.1)
}

/// The direction of a half-edge.
pub(super) fn along(brep: &Brep, half: HalfEdge, t: f64) -> V3 {
    let d = brep.edges[half.edge].curve.derivative(t);
    if half.forward { d } else { -d }
}

/// The parameter of a local least distance between an edge and `p`, from a start by Newton, kept in the edge's range.
pub(super) fn nearest_on_edge(brep: &Brep, edge: usize, p: P3, start: f64) -> f64 {
    let edge = &brep.edges[edge];
    let (lo, hi) = edge.range;
    let step = PARAMETER_STEP * (hi - lo);
    let mut t = start.clamp(lo, hi);
    for _ in 0..30 {
        let (c, d) = edge.curve.jet(t);
        let bend = (edge.curve.derivative(t + step) - edge.curve.derivative(t - step)) / (2.0 * step);
        let speed = d.norm_squared();
        let slope = (c - p).dot(&d);
        let turn = speed + (c - p).dot(&bend);
        let by = slope / if turn > 0.1 * speed { turn } else { speed };
        let next = (t - by).clamp(lo, hi);
        let moved = (next - t).abs();
        t = next;
        if moved * speed.sqrt() < CONVERGED {
            break;
        }
    }
    t
}

fn cut(brep: &Brep, face: usize, half: HalfEdge, out: &mut Vec<Piece>) {
    let edge = &brep.edges[half.edge];
    let chart = &brep.faces[face].chart;
    let (from, to) = if half.forward { edge.range } else { (edge.range.1, edge.range.0) };
    // Corners are shared by their pieces, so that loops close.
    let place = |t: f64| {
        let p = if t <= edge.range.0 {
            brep.vertices[edge.start]
        } else if t >= edge.range.1 {
            brep.vertices[edge.end]
        } else {
            edge.curve.point(t)
        };
        (t, p, chart.to_flat(p))
    };
    // The quarter of a whole is the middle of its first half.
    let mut stack = vec![(place(from), place(to), None, 0)];
    while let Some((a, b, middle, depth)) = stack.pop() {
        let m = middle.unwrap_or_else(|| place(0.5 * (a.0 + b.0)));
        let quarter = place(0.75 * a.0 + 0.25 * b.0);
        let flat = |m: P2, s: f64| (m - (a.2 + (b.2 - a.2) * s)).norm();
        let off_flat = flat(m.2, 0.5).max(flat(quarter.2, 0.25));
        // Where only the speed differs the piece is straight all the same.
        let across = |m: P2| {
            let d = b.2 - a.2;
            d.perp(&(m - a.2)).abs() / d.norm().max(NO_DIRECTION)
        };
        let off_flat = if depth > 0 { across(m.2).max(across(quarter.2)) } else { off_flat };
        let sag = |p: P3| {
            let t = on_segment(p, a.1, b.1);
            (a.1 + (b.1 - a.1) * t - p).norm()
        };
        if depth < HALVINGS && off_flat.max(sag(m.1)).max(sag(quarter.1)) > PIECE_SAG {
            stack.push((m, b, None, depth + 1));
            stack.push((a, m, Some(quarter), depth + 1));
        } else {
            out.push(Piece { half, range: (a.0, b.0), ends: [a.1, b.1], flat: [a.2, b.2] });
        }
    }
}
