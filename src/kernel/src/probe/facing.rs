//! Where walls may be: starts on the mesh.

use rayon::prelude::*;

use crate::geometry::{Bounds, P3, V3};
use crate::tolerance::{BESIDE_EDGE, NEARLY_OPPOSED, NO_DIRECTION, NO_TURN, THROUGH_WALL};

use super::least::Start;
use super::tree::{Cone, Tree, apart};
use super::triangle::{off_plane, to_segment, triangles};
use super::{EdgePiece, Probe};

/// Triangles that are asked together at most.
const GROUP: usize = 16;

/// Pieces of an edge that are asked together at most.
const RUN: usize = 8;

/// The triangles of a probe in trees of those that face one way, with the spread of their normals: most of what lies near
/// a triangle faces about the same way as it does, and a whole node of it is passed over at once.
pub(super) struct TrianglesByDirection(Vec<(Tree, Vec<Cone>)>);

/// Triangles that face about one way and lie together.
struct Group<'a> {
    probe: &'a Probe<'a>,
    triangles: &'a [(Bounds, u32)],
    bounds: Bounds,
    middle: P3,
    /// A normal amid theirs, and how far theirs lie from it at most.
    normal: V3,
    turn: f64,
    /// How far the group reaches along that normal from its middle.
    top: f64,
}

impl<'a> Group<'a> {
    fn new(probe: &'a Probe<'a>, triangles: &'a [(Bounds, u32)]) -> Self {
        let corners = || triangles.iter().flat_map(|t| probe.corners(t.1));
        let bounds = Bounds::around(corners());
        let normals = || triangles.iter().map(|t| probe.normals[t.1 as usize]);
        let normal = normals().sum::<V3>().try_normalize(NO_DIRECTION).unwrap_or_else(V3::x);
        let turn = normals().map(|n| (n - normal).norm()).fold(NO_TURN, f64::max);
        let middle = bounds.center();
        Self { probe, triangles, middle, bounds, normal, turn, top: bounds.along(middle, normal).1 }
    }

    /// The distance of a box from the group, or infinity where all of it lies before all triangles of the group: there is
    /// no material from them towards it.
    fn distance(&self, b: &Bounds, most: f64) -> f64 {
        let distance = apart(b, &self.bounds);
        if distance >= most {
            return distance;
        }
        let ahead = b.along(self.middle, self.normal).0 - self.top;
        if ahead < self.probe.slack {
            return distance;
        }
        // What a normal that is turned from the middle one adds grows with the way.
        let far =
            nalgebra::distance(&b.center(), &self.middle) + 0.5 * (b.diagonal() + self.bounds.diagonal());
        if ahead >= self.probe.slack + self.turn * far { f64::INFINITY } else { distance }
    }

    /// Triangles nearer than a reach that may be opposed to some of the group, with material between; only such as belong
    /// to a group of faces.
    fn others(
        &self,
        by_direction: &TrianglesByDirection,
        most: f64,
        of_face: &[Option<u32>],
    ) -> Vec<Candidate> {
        let mut out = Vec::new();
        for (tree, cones) in &by_direction.0 {
            tree.near_where(
                most,
                |at| cones[at].may_turn(&self.normal, NEARLY_OPPOSED + self.turn),
                |b| self.distance(b, most),
                |other, reach| {
                    out.extend(self.probe.candidate(other, of_face));
                    reach
                },
            );
        }
        out
    }
}

/// A triangle that may lie opposite: all that most questions about it need, side by side.
struct Candidate {
    face: usize,
    /// The group of its face.
    group: u32,
    normal: V3,
    bounds: Bounds,
    corners: [P3; 3],
}

impl Probe<'_> {
    /// The triangles by the ways that they face.
    pub(super) fn by_direction(&self) -> TrianglesByDirection {
        let mut by_way: [Vec<(Bounds, u32)>; 6] = Default::default();
        for (t, n) in self.normals.iter().enumerate() {
            // What has no normal faces nothing.
            if *n != V3::zeros() {
                by_way[2 * n.iamax() + usize::from(n[n.iamax()] < 0.0)]
                    .push((self.box_of(t as u32), t as u32));
            }
        }
        let with_cones = |boxes: Vec<(Bounds, u32)>| {
            let tree = Tree::new(boxes);
            let cones = tree.cones(|t| self.normals[t as usize]);
            (tree, cones)
        };
        TrianglesByDirection(by_way.into_iter().map(with_cones).collect())
    }

    /// Two by two, opposed triangles with material between them, nearer than the bound: the nearest of each triangle to
    /// each other face.
    pub(super) fn facing(
        &self,
        by_direction: &TrianglesByDirection,
        bound: f64,
        of_face: &[Option<u32>],
    ) -> Vec<Start> {
        let most = bound + 2.0 * self.slack;
        let leaves: Vec<&[(Bounds, u32)]> =
            by_direction.0.iter().flat_map(|(tree, _)| tree.parts(GROUP)).collect();
        let of_group = |leaf: &[(Bounds, u32)]| -> Vec<(u32, Vec<Start>)> {
            let group = Group::new(self, leaf);
            let others = group.others(by_direction, most, of_face);
            group.triangles.iter().map(|t| (t.1, self.facing_one(t.1, &others, most, of_face))).collect()
        };
        let mut found: Vec<(u32, Vec<Start>)> = leaves.into_par_iter().flat_map_iter(of_group).collect();
        found.sort_unstable_by_key(|f| f.0);
        found.into_iter().flat_map(|f| f.1).collect()
    }

    /// A triangle as a candidate, if its face belongs to a group.
    fn candidate(&self, triangle: u32, of_face: &[Option<u32>]) -> Option<Candidate> {
        let face = self.face_of(triangle);
        let corners = self.corners(triangle);
        let (normal, bounds) = (self.normals[triangle as usize], Bounds::around(corners));
        Some(Candidate { face, group: of_face[face]?, normal, bounds, corners })
    }

    /// The starts of a triangle towards some others.
    fn facing_one(&self, t: u32, others: &[Candidate], most: f64, of_face: &[Option<u32>]) -> Vec<Start> {
        let mut out: Vec<Start> = Vec::new();
        let face = self.face_of(t);
        let Some(own) = of_face[face] else { return out };
        let (corners, n) = (self.corners(t), self.normals[t as usize]);
        let bounds = Bounds::around(corners);
        for other in others {
            let (m, facing, theirs) = (other.normal, other.face, other.corners);
            if m.dot(&n) > NEARLY_OPPOSED || (other.group, facing) < (own, face) {
                continue;
            }
            let known = least(&out, [face, facing]).min(most);
            if apart(&other.bounds, &bounds) >= known {
                continue;
            }
            // Some corner of each must lie behind the other.
            let beyond =
                |from: &[P3; 3], n: &V3, of: &[P3; 3]| of.iter().any(|p| (p - from[0]).dot(n) < self.slack);
            if !beyond(&corners, &n, &theirs)
                || !beyond(&theirs, &m, &corners)
                || off_plane(&theirs, &corners[0], &n) >= known
                || off_plane(&corners, &theirs[0], &m) >= known
            {
                continue;
            }
            if let Some(points) = self.through(&corners, n, &theirs, m) {
                let distance = (points[1] - points[0]).norm();
                if distance < most {
                    keep(&mut out, Start { faces: [face, facing], points, distance });
                }
            }
        }
        for s in &mut out {
            let on = |k: usize| self.brep.faces[s.faces[k]].surface.closest(s.points[k]);
            s.points = [on(0), on(1)];
            s.distance = (s.points[1] - s.points[0]).norm();
        }
        out
    }

    /// The shortest way from one triangle through the material to another.
    fn through(&self, a: &[P3; 3], n: V3, b: &[P3; 3], m: V3) -> Option<[P3; 2]> {
        let points = triangles(*a, *b);
        let d = points[1] - points[0];
        let size = d.norm();
        let through = d.dot(&n) < -THROUGH_WALL * size && d.dot(&m) > THROUGH_WALL * size;
        if through || size < 2.0 * self.slack { Some(points) } else { straight(a, n, b, m) }
    }

    /// Triangles opposed to edges around which material wraps, nearer than the bound, for both faces of the edge: from each
    /// piece of such an edge the nearest triangle of each face.
    pub(super) fn brinks(&self, bound: f64, of_face: &[Option<u32>]) -> Vec<Start> {
        let most = bound + 2.0 * self.slack;
        let brinks: Vec<ConvexEdgePiece> =
            (0..self.edge_pieces.len()).filter_map(|k| self.convex_piece(k)).collect();
        let runs: Vec<&[ConvexEdgePiece]> =
            brinks.chunk_by(|a, b| a.edge == b.edge).flat_map(|edge| edge.chunks(RUN)).collect();
        let found: Vec<Vec<Start>> =
            runs.into_par_iter().map(|run| self.facing_run(run, most, of_face)).collect();
        found.into_iter().flatten().collect()
    }

    /// A piece of an edge, if material wraps around it.
    fn convex_piece(&self, piece: usize) -> Option<ConvexEdgePiece> {
        let EdgePiece { edge, ends: [a, b], .. } = self.edge_pieces[piece];
        let middle = a + (b - a) * 0.5;
        let sides = || self.sides[edge].map(|f| (f, self.brep.faces[f].outward(middle)));
        self.wraps[edge].then(|| ConvexEdgePiece { edge, ends: [a, b], sides: sides() })
    }

    /// Starts of some pieces of an edge that follow each other: what may be opposed to any is sought once.
    fn facing_run(&self, run: &[ConvexEdgePiece], most: f64, of_face: &[Option<u32>]) -> Vec<Start> {
        let bounds = Bounds::around(run.iter().flat_map(|r| r.ends));
        let middle = bounds.center();
        // A way from a box to the edge must come between the normals of its sides, which turn along it.
        let ahead = [0, 1].map(|side| {
            let n = run[run.len() / 2].sides[side].1;
            let turn = run.iter().map(|r| (r.sides[side].1 - n).norm()).fold(0.0, f64::max);
            (n, bounds.along(middle, n).1 + (BESIDE_EDGE + turn) * most)
        });
        let to_box = |b: &Bounds| {
            let before = |(n, reach): &(V3, f64)| b.along(middle, *n).0 > *reach;
            let distance = apart(b, &bounds);
            if distance < most && ahead.iter().any(before) { f64::INFINITY } else { distance }
        };
        let mut others = Vec::new();
        self.tree.near(most, to_box, |other, reach| {
            others.extend(self.candidate(other, of_face));
            reach
        });
        run.iter()
            .flat_map(|convex_piece| facing_convex_piece(convex_piece, &others, most, of_face))
            .collect()
    }
}

/// Starts of one piece of an edge among some triangles.
fn facing_convex_piece(
    convex_piece: &ConvexEdgePiece,
    others: &[Candidate],
    most: f64,
    of_face: &[Option<u32>],
) -> Vec<Start> {
    let (ends, bounds) = (convex_piece.ends, Bounds::around(convex_piece.ends));
    // From each face to the edge, both as faces until the sides of the edge take its place.
    let mut nearest = Vec::new();
    for other in others {
        let (facing, m, corners) = (other.face, &other.normal, other.corners);
        let known = least(&nearest, [facing; 2]).min(most);
        // The edge must lie behind the triangle.
        let off = ends.map(|q| (q - corners[0]).dot(m));
        let behind = off[0].min(off[1]) < 0.0 && off[0].max(off[1]) > -known;
        if !behind || apart(&other.bounds, &bounds) >= known {
            continue;
        }
        let points = to_segment(corners, ends);
        let d = points[1] - points[0];
        let distance = d.norm();
        let through = d.dot(m) < -THROUGH_WALL * distance
            && convex_piece.sides.iter().all(|(_, n)| d.dot(n) > -BESIDE_EDGE * distance);
        if distance < most && through {
            keep(&mut nearest, Start { faces: [facing; 2], points, distance });
        }
    }
    let turned = |s: &Start, side: usize| {
        let (facing, [p, q]) = (s.faces[0], s.points);
        let swap = (of_face[side]?, side) < (of_face[facing]?, facing);
        let (faces, points) = if swap { ([side, facing], [q, p]) } else { ([facing, side], [p, q]) };
        Some(Start { faces, points, ..*s })
    };
    nearest.iter().flat_map(|s| convex_piece.sides.iter().filter_map(|(side, _)| turned(s, *side))).collect()
}

/// A piece of an edge around which material wraps: its edge, its ends, the faces beside it with their normals.
struct ConvexEdgePiece {
    edge: usize,
    ends: [P3; 2],
    sides: [(usize, V3); 2],
}

/// The distance of the nearest start of two faces so far.
#[inline]
fn least(of: &[Start], faces: [usize; 2]) -> f64 {
    of.iter().find(|s| s.faces == faces).map_or(f64::INFINITY, |s| s.distance)
}

/// Keeps the nearest start of each two faces.
fn keep(out: &mut Vec<Start>, start: Start) {
    match out.iter_mut().find(|s| s.faces == start.faces) {
        Some(s) if s.distance <= start.distance => {}
        Some(s) => *s = start,
        None => out.push(start),
    }
}

/// The shortest way square to one of two triangles through the material to the other, from some places of each: the nearest
/// places of large triangles may lie where no material is between.
fn straight(a: &[P3; 3], n: V3, b: &[P3; 3], m: V3) -> Option<[P3; 2]> {
    let forth = places(a).into_iter().filter_map(|p| Some([p, behind(p, n, b, m)?]));
    let back = places(b).into_iter().filter_map(|q| Some([behind(q, m, a, n)?, q]));
    let size = |w: &[P3; 2]| (w[1] - w[0]).norm_squared();
    forth.chain(back).min_by(|x, y| size(x).total_cmp(&size(y)))
}

/// Corners, middles of the sides and the middle.
fn places([a, b, c]: &[P3; 3]) -> [P3; 7] {
    let middle = |p: &P3, q: &P3| nalgebra::center(p, q);
    [*a, *b, *c, middle(a, b), middle(b, c), middle(c, a), P3::from((a.coords + b.coords + c.coords) / 3.0)]
}

/// Where the line from `p` against its normal `n` meets a triangle of normal `m`.
fn behind(p: P3, n: V3, corners: &[P3; 3], m: V3) -> Option<P3> {
    let down = -n.dot(&m);
    let t = (corners[0] - p).dot(&m) / down;
    let q = p - n * t;
    let inside = (0..3).all(|k| (corners[(k + 1) % 3] - corners[k]).cross(&(q - corners[k])).dot(&m) >= 0.0);
    (t > 0.0 && inside).then_some(q)
}
