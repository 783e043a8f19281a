//! The triangles of one face.

use std::collections::HashSet;

use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::geometry::{P2, P3, Surface};
use crate::solid::{Brep, BrepFace};
use crate::tolerance::ZERO_ON_MAP;

use super::edge_points::{EdgePoints, Piece};
use super::face_map::{FaceMap, PointLayout};
use super::lattice::lattice;
use super::{FillFailure, Obstacle};

/// How often points are put into triangles that miss the chord error before the edges are cut finer.
const ROUNDS: usize = 24;

/// How often points are put beside triangles that stand askew.
const UPRIGHT_ROUNDS: usize = 3;

/// Cosine of the angle between a triangle and the surface at one of its corners, below which it stands askew: 60 degrees.
const ASKEW: f64 = 0.5;

/// Heights of such triangles over their longest side, in chord errors: flatter ones are too small to matter, higher ones cannot stand askew.
const ASKEW_HEIGHTS: std::ops::Range<f64> = 0.2..1.5;

/// The triangles of a face, counter-clockwise on its chart.
pub(super) struct Filled {
    /// Corners: numbers of edge points, and after them the face's own inner points.
    pub(super) triangles: Vec<[u32; 3]>,
    /// Inner points, mm.
    pub(super) inner: Vec<P3>,
    /// Number of the first of them: how many edge points there were.
    pub(super) first: u32,
}

/// A point of the triangulation and its number in [`Job::map`].
#[derive(Clone, Copy)]
pub(super) struct Spot {
    at: Point2<f64>,
    pub(super) number: u32,
}

impl HasPosition for Spot {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

pub(super) type Cdt = ConstrainedDelaunayTriangulation<Spot>;

/// A face being filled. Points are numbered within the face: those of its edges first.
pub(super) struct Job {
    pub(super) face_map: FaceMap,
    /// Rim numbers of the edge points, sorted.
    shared: Vec<u32>,
    /// All points on the map.
    pub(super) map: Vec<P2>,
    /// All points in space, mm.
    space: Vec<P3>,
    /// Pieces of edges, the face to the left on the map.
    pub(super) pieces: Vec<[u32; 2]>,
    /// Which pieces these are.
    pub(super) names: Vec<Piece>,
}

/// Fills a face with triangles, none with a side between two points of `banned` (sorted pairs of edge point numbers,
/// the lower first) but for pieces of edges. Where triangles are to stand `upright`, those that stand askew are mended, and no new
/// point may lie beyond the rim.
pub(super) fn fill(
    brep: &Brep,
    edge_points: &EdgePoints,
    face: &BrepFace,
    chord: f64,
    banned: &[[u32; 2]],
    upright: bool,
) -> Result<Filled, FillFailure> {
    let mut job = Job::new(brep, edge_points, face, chord);
    let mut cdt = job.triangulate()?;
    let mut good = HashSet::new();
    let mut upright_rounds = if upright { UPRIGHT_ROUNDS } else { 0 };
    for _ in 0..ROUNDS {
        let inside = job.inside(&cdt)?;
        let mut bad = job.bad(&cdt, &inside, chord, banned, &mut good);
        if bad.is_empty() && upright_rounds > 0 {
            upright_rounds -= 1;
            bad = job.askew(&cdt, &inside, chord)?;
        }
        let beyond = if upright { job.beyond_rim(&cdt, &bad, brep, edge_points) } else { vec![] };
        if !beyond.is_empty() {
            return Err(job.failure(Obstacle::Chord, beyond));
        }
        if bad.is_empty() {
            return Ok(job.finish(&cdt, &inside, edge_points.points.len() as u32));
        }
        for q in bad {
            if !job.insert(&mut cdt, q)? {
                return Err(job.stuck(&cdt, &inside, chord));
            }
        }
        if cdt.num_constraints() != job.pieces.len() {
            return Err(job.covered(&cdt)); // a point fell onto an edge
        }
    }
    let inside = job.inside(&cdt)?;
    Err(job.stuck(&cdt, &inside, chord))
}

impl Job {
    pub(super) fn new(brep: &Brep, edge_points: &EdgePoints, face: &BrepFace, chord: f64) -> Self {
        let face_map = FaceMap::new(brep, face, chord);
        let along = |ring: &Vec<_>| ring.iter().flat_map(|h| edge_points.along(brep, *h)).collect();
        let rings: Vec<Vec<(u32, Piece)>> = face.loops.iter().map(along).collect();
        let mut shared: Vec<u32> = rings.iter().flatten().map(|(id, _)| *id).collect();
        shared.sort_unstable();
        shared.dedup();
        let local = |id: u32| shared.partition_point(|s| *s < id) as u32;
        let (mut pieces, mut names) = (Vec::new(), Vec::new());
        for ring in &rings {
            for (k, (id, name)) in ring.iter().enumerate() {
                let ends = [local(*id), local(ring[(k + 1) % ring.len()].0)];
                pieces.push(if face.same_sense { ends } else { [ends[1], ends[0]] });
                names.push(*name);
            }
        }
        let mut space: Vec<P3> = shared.iter().map(|id| edge_points.points[*id as usize]).collect();
        let mut map: Vec<P2> = space.iter().map(|p| face_map.place(*p)).collect();
        let inner = if map.is_empty() { vec![] } else { lattice(face_map.layout, &map, &pieces) };
        space.extend(inner.iter().map(|q| face_map.point(*q)));
        map.extend(inner);
        Self { face_map, shared, map, space, pieces, names }
    }

    /// Trouble at some pieces of edges, at all of them if none is given.
    fn failure(&self, reason: Obstacle, pieces: impl IntoIterator<Item = usize>) -> FillFailure {
        let mut at: Vec<usize> = pieces.into_iter().collect();
        let place = at.first().and_then(|k| self.space.get(self.pieces[*k][0] as usize));
        let place = place.or(self.space.first()).copied().unwrap_or_else(P3::origin);
        if at.is_empty() {
            at.extend(0..self.pieces.len());
        }
        FillFailure { reason, place, pieces: at.into_iter().map(|k| self.names[k]).collect() }
    }

    /// The pieces between two points, or with a point at one end.
    pub(super) fn pieces_at(&self, which: impl Fn(u32, u32) -> bool) -> Vec<usize> {
        (0..self.pieces.len()).filter(|k| which(self.pieces[*k][0], self.pieces[*k][1])).collect()
    }

    /// What to tell when no more points can be put in: edges of triangles that still miss the chord error.
    fn stuck(&self, cdt: &Cdt, inside: &[bool], chord: f64) -> FillFailure {
        let mut sides: Vec<[u32; 2]> = Vec::new();
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let ids = face.vertices().map(|v| v.data().number);
            let (map, space) = (ids.map(|n| self.map[n as usize]), ids.map(|n| self.space[n as usize]));
            if self.face_map.error(map, space) > chord {
                let edges = face.adjacent_edges().into_iter().filter(|e| e.is_constraint_edge());
                sides.extend(edges.map(|e| [e.from().data().number, e.to().data().number]));
            }
        }
        let at = self.pieces_at(|a, b| sides.contains(&[a, b]) || sides.contains(&[b, a]));
        self.failure(Obstacle::Chord, at)
    }

    /// What to tell when a new point has split a piece of an edge.
    fn covered(&self, cdt: &Cdt) -> FillFailure {
        let handles = self.handles(cdt);
        let kept = |a: u32, b: u32| cdt.exists_constraint(handles[a as usize], handles[b as usize]);
        self.failure(Obstacle::Chord, self.pieces_at(|a, b| !kept(a, b)))
    }

    fn spot(&self, number: u32) -> Spot {
        let q = self.map[number as usize];
        let clean = |x: f64| if x.abs() < ZERO_ON_MAP { 0.0 } else { x };
        Spot { at: Point2::new(clean(q.x), clean(q.y)), number }
    }

    /// The triangulation of all points with the edges as constraints.
    fn triangulate(&self) -> Result<Cdt, FillFailure> {
        let spots: Vec<Spot> = (0..self.map.len() as u32).map(|n| self.spot(n)).collect();
        let mut cdt = Cdt::bulk_load(spots).map_err(|_| self.failure(Obstacle::NotFinite, []))?;
        if cdt.num_vertices() != self.map.len() {
            let mut there = vec![false; self.map.len()];
            cdt.vertices().for_each(|v| there[v.data().number as usize] = true);
            let gone = self.pieces_at(|a, b| !there[a as usize] || !there[b as usize]);
            return Err(self.failure(Obstacle::Coincident, gone));
        }
        let handles = self.handles(&cdt);
        let mut crossing: Vec<usize> = Vec::new();
        for (k, &[a, b]) in self.pieces.iter().enumerate() {
            let (from, to) = (handles[a as usize], handles[b as usize]);
            if from == to {
                return Err(self.failure(Obstacle::Coincident, [k]));
            }
            let before = cdt.num_constraints();
            if cdt.try_add_constraint(from, to).len() == 1 && cdt.num_constraints() == before + 1 {
                continue;
            }
            // It crosses others, or runs through a point, or another one is there already.
            let crossed = cdt.get_conflicting_edges_between_vertices(from, to);
            let crossed: Vec<[u32; 2]> =
                crossed.map(|e| [e.from().data().number, e.to().data().number]).collect();
            let also = |p: u32, q: u32| crossed.contains(&[p, q]) || crossed.contains(&[q, p]);
            crossing.push(k);
            crossing.extend(self.pieces_at(|p, q| also(p, q) || [p, q] == [b, a] || [p, q] == [a, b]));
        }
        if crossing.is_empty() { Ok(cdt) } else { Err(self.failure(Obstacle::Crossing, crossing)) }
    }

    fn handles(&self, cdt: &Cdt) -> Vec<FixedVertexHandle> {
        let mut out = vec![FixedVertexHandle::from_index(0); self.map.len()];
        for v in cdt.vertices() {
            out[v.data().number as usize] = v.fix();
        }
        out
    }

    /// Which triangles lie in the face, by face number of the triangulation: flooded from both sides of the
    /// edges over all sides that are no edges.
    fn inside(&self, cdt: &Cdt) -> Result<Vec<bool>, FillFailure> {
        let handles = self.handles(cdt);
        let mut side: Vec<Option<bool>> = vec![None; cdt.num_all_faces()];
        let mut stack = Vec::new();
        for (k, &[a, b]) in self.pieces.iter().enumerate() {
            let edge = cdt
                .get_edge_from_neighbors(handles[a as usize], handles[b as usize])
                .filter(|e| e.is_constraint_edge())
                .ok_or_else(|| self.failure(Obstacle::Crossing, [k]))?;
            for (face, inside) in [(edge.face(), true), (edge.rev().face(), false)] {
                let index = face.index();
                if side[index].is_some_and(|s| s != inside) || (face.is_outer() && inside) {
                    return Err(self.failure(Obstacle::Sides, [k]));
                }
                if side[index].is_none() {
                    side[index] = Some(inside);
                    stack.extend(face.as_inner().map(|f| f.fix()));
                }
            }
        }
        while let Some(handle) = stack.pop() {
            let face = cdt.face(handle);
            let here = side[face.fix().index()];
            for edge in face.adjacent_edges() {
                let next = edge.rev().face();
                if edge.is_constraint_edge() || side[next.index()] == here {
                    continue;
                }
                if side[next.index()].is_some() || next.is_outer() && here == Some(true) {
                    return Err(self.failure(Obstacle::Sides, []));
                }
                side[next.index()] = here;
                stack.extend(next.as_inner().map(|f| f.fix()));
            }
        }
        Ok(side.into_iter().map(|s| s == Some(true)).collect())
    }

    /// Places for new points: one in each triangle that misses the chord error. `good` holds triangles, by their points, that
    /// are known to keep it, where that takes long to find out: most of them are there again in the next round.
    fn bad(
        &self,
        cdt: &Cdt,
        inside: &[bool],
        chord: f64,
        banned: &[[u32; 2]],
        good: &mut HashSet<[u32; 3]>,
    ) -> Vec<P2> {
        let long = self.face_map.layout == (PointLayout::Grid { loose: false });
        let mut out: Vec<(u32, u32, P2)> = Vec::new();
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let ids = face.vertices().map(|v| v.data().number);
            let map = ids.map(|n| self.map[n as usize]);
            if !banned.is_empty() {
                out.extend(self.banned_sides(ids, banned));
            }
            if long && good.contains(&ids) {
                continue;
            }
            if self.face_map.error(map, ids.map(|n| self.space[n as usize])) <= chord {
                if long {
                    good.insert(ids);
                }
                continue;
            }
            // Halve the side that makes the error; edges stay as they are.
            let split = face
                .adjacent_edges()
                .into_iter()
                .filter(|e| !e.is_constraint_edge())
                .map(|e| [e.from().data().number, e.to().data().number])
                .max_by(|a, b| {
                    let weigh =
                        |e: &[u32; 2]| self.face_map.weight(self.map[e[0] as usize], self.map[e[1] as usize]);
                    weigh(a).total_cmp(&weigh(b))
                });
            out.push(match split {
                Some([a, b]) => {
                    let q = nalgebra::center(&self.map[a as usize], &self.map[b as usize]);
                    (a.min(b), a.max(b), q)
                }
                None => (ids[0], ids[0], P2::from((map[0].coords + map[1].coords + map[2].coords) / 3.0)),
            });
        }
        out.sort_by_key(|(a, b, _)| (*a, *b));
        out.dedup_by_key(|(a, b, _)| (*a, *b));
        out.into_iter().map(|(_, _, q)| q).collect()
    }

    /// Places for new points beside triangles that stand askew, though they keep the chord error: three corners nearly in a line along a bent
    /// surface lie in any plane. A point on the longest side takes its corner's place.
    ///
    /// # Errors
    /// Where that side is a piece of an edge, which must be halved.
    fn askew(&self, cdt: &Cdt, inside: &[bool], chord: f64) -> Result<Vec<P2>, FillFailure> {
        let surface = self.face_map.surface();
        if matches!(surface, Surface::Plane(_)) {
            return Ok(vec![]);
        }
        let mut places: Vec<(u32, u32)> = Vec::new();
        let mut sides: Vec<(u32, u32)> = Vec::new();
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let corners = face.vertices().map(|v| self.space[v.data().number as usize]);
            let flat = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
            let of_edges = face.adjacent_edges();
            let ends =
                of_edges.map(|e| ([e.from().data().number, e.to().data().number], e.is_constraint_edge()));
            let long = |[a, b]: [u32; 2]| (self.space[a as usize] - self.space[b as usize]).norm();
            let [first, second, third] = ends;
            let longer = |p: ([u32; 2], bool), q: ([u32; 2], bool)| if long(q.0) > long(p.0) { q } else { p };
            let ([a, b], is_edge) = longer(longer(first, second), third);
            let size = flat.norm();
            if !ASKEW_HEIGHTS.contains(&(size / (long([a, b]) * chord)))
                || corners.iter().all(|p| surface.grad(*p).dot(&flat) > ASKEW * size)
            {
                continue;
            }
            let own = if is_edge { &mut sides } else { &mut places };
            own.push((a.min(b), a.max(b)));
        }
        if !sides.is_empty() {
            let pieces = self.pieces_at(|a, b| sides.contains(&(a.min(b), a.max(b))));
            return Err(self.failure(Obstacle::Chord, pieces));
        }
        places.sort_unstable();
        places.dedup();
        let middle = |(a, b): (u32, u32)| nalgebra::center(&self.map[a as usize], &self.map[b as usize]);
        Ok(places.into_iter().map(middle).collect())
    }

    /// The sides of a triangle that are banned, with their middles.
    fn banned_sides(&self, ids: [u32; 3], banned: &[[u32; 2]]) -> impl Iterator<Item = (u32, u32, P2)> {
        (0..3).filter_map(move |k| {
            let (a, b) = (ids[k].min(ids[(k + 1) % 3]), ids[k].max(ids[(k + 1) % 3]));
            let ends = [*self.shared.get(a as usize)?, *self.shared.get(b as usize)?];
            banned.binary_search(&ends).ok()?;
            Some((a, b, nalgebra::center(&self.map[a as usize], &self.map[b as usize])))
        })
    }

    /// Puts in a point; false where one is already.
    fn insert(&mut self, cdt: &mut Cdt, q: P2) -> Result<bool, FillFailure> {
        let number = self.map.len() as u32;
        self.map.push(q);
        self.space.push(self.face_map.point(q));
        let before = cdt.num_vertices();
        cdt.insert(self.spot(number)).map_err(|_| self.failure(Obstacle::NotFinite, []))?;
        Ok(cdt.num_vertices() > before)
    }

    /// The triangles in numbers of the whole mesh; `edge_points` is the number of edge points.
    fn finish(&self, cdt: &Cdt, inside: &[bool], edge_points: u32) -> Filled {
        let mut number: Vec<u32> = vec![u32::MAX; self.map.len()];
        number[..self.shared.len()].copy_from_slice(&self.shared);
        let mut filled = Filled { triangles: Vec::new(), inner: Vec::new(), first: edge_points };
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let ids = face.vertices().map(|v| v.data().number);
            for n in ids.map(|n| n as usize) {
                if number[n] == u32::MAX {
                    number[n] = edge_points + filled.inner.len() as u32;
                    filled.inner.push(self.space[n]);
                }
            }
            filled.triangles.push(ids.map(|n| number[n as usize]));
        }
        filled
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Curve, Frame, V3};
    use crate::solid::samples;

    /// Chord error, mm.
    const CHORD: f64 = 0.05;

    /// Two corners on a level of a cylinder of radius 10 mm, a third between them that is `aside` mm off that level, and a fourth far above.
    /// The third stands 0.04 mm off the chord of the two (sagitta r (1 - cos(a)), any textbook), less than the chord error.
    fn bent(aside: f64, pieces: Vec<[u32; 2]>) -> Job {
        let frame = Frame::from_zx(P3::origin(), V3::z(), V3::x());
        let brep = samples::cylinder(&frame, 10.0, 20.0);
        let face = brep.faces.iter().find(|face| matches!(face.surface, Surface::Cylinder(_)));
        let face = face.expect("a wall");
        let face_map = FaceMap::new(&brep, face, CHORD);
        // The middle of its rim: the wall is two half faces.
        let mut rim = face.loops[0].iter().map(|half| &brep.edges[half.edge]);
        let rim = rim.find(|edge| matches!(edge.curve, Curve::Circle(_))).expect("a rim");
        let middle = rim.curve.point(0.5 * (rim.range.0 + rim.range.1));
        let (at, half) = (middle.y.atan2(middle.x), (1.0f64 - 0.04 / 10.0).acos());
        let point = |angle: f64, z: f64| P3::new(10.0 * angle.cos(), 10.0 * angle.sin(), z);
        let space =
            vec![point(at - half, 8.0), point(at + half, 8.0), point(at, 8.0 + aside), point(at, 8.0 + 3.0)];
        let map = space.iter().map(|p| face_map.place(*p)).collect();
        let names = pieces.iter().map(|[a, b]| (*a, *b)).collect();
        Job { face_map, shared: vec![0, 1, 2, 3], map, space, pieces, names }
    }

    fn asked(job: &Job) -> Result<Vec<P2>, FillFailure> {
        let cdt = job.triangulate()?;
        job.askew(&cdt, &vec![true; cdt.num_all_faces()], CHORD)
    }

    /// A triangle of three corners nearly in a line round the cylinder looks along its axis, though it keeps the chord error: it gets a point in
    /// the middle of its longest side.
    #[test]
    fn a_triangle_that_stands_askew_gets_a_point_on_its_longest_side() {
        let job = bent(0.004, vec![]);
        let places = asked(&job).unwrap_or_else(|_| panic!("no edge is in the way"));
        let middle = nalgebra::center(&job.map[0], &job.map[1]);
        assert_eq!(places.len(), 1, "{places:?}");
        assert!((places[0] - middle).norm() < 1e-12, "{places:?}, expected {middle}");
    }

    /// Where that side is a piece of an edge, no point may stand on it: the piece is told, and is halved for both of its faces.
    #[test]
    fn a_piece_of_an_edge_under_a_triangle_that_stands_askew_is_told() {
        let job = bent(0.004, vec![[0, 1]]);
        let failure = asked(&job).expect_err("a piece to halve");
        assert_eq!(failure.pieces, vec![(0, 1)], "the piece under the triangle");
    }

    /// A third corner a millimetre off the level turns the triangle into the surface, and one that stands nowhere off it by a fifth of the chord
    /// error is too flat to matter: both are left.
    #[test]
    fn triangles_that_lie_in_the_surface_or_are_too_flat_are_left() {
        assert!(asked(&bent(1.0, vec![])).is_ok_and(|places| places.is_empty()), "it lies in the surface");
        let mut job = bent(0.004, vec![]);
        let on_chord = nalgebra::center(&job.space[0], &job.space[1]);
        job.space[2] = on_chord + (job.space[2] - on_chord) * 0.1;
        assert!(asked(&job).is_ok_and(|places| places.is_empty()), "it is too flat to matter");
    }
}
