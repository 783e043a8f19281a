//! The triangles of one face.

use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::geometry::{P2, P3};
use crate::solid::{Brep, BrepFace};

use super::lattice::lattice;
use super::rim::Rim;
use super::sheet::Sheet;
use super::{Obstacle, Trouble};

/// How often points are put into triangles that miss the chord error before the edges are cut finer.
const ROUNDS: usize = 24;

/// Coordinates smaller than this become zero: the triangulation refuses subnormal-like numbers.
const NOTHING: f64 = 1e-30;

/// The triangles of a face, counter-clockwise on its chart.
pub(super) struct Filled {
    /// Corners: numbers of rim points, and after them the face's own inner points.
    pub(super) triangles: Vec<[u32; 3]>,
    /// Inner points, mm.
    pub(super) inner: Vec<P3>,
}

/// A point of the triangulation and its number in [`Job::map`].
#[derive(Clone, Copy)]
struct Spot {
    at: Point2<f64>,
    number: u32,
}

impl HasPosition for Spot {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

type Cdt = ConstrainedDelaunayTriangulation<Spot>;

/// A face being filled. Points are numbered within the face: those of its edges first.
struct Job {
    sheet: Sheet,
    /// Rim numbers of the edge points, sorted.
    shared: Vec<u32>,
    /// All points on the map.
    map: Vec<P2>,
    /// All points in space, mm.
    space: Vec<P3>,
    /// Pieces of edges, the face to the left on the map.
    pieces: Vec<[u32; 2]>,
}

/// Fills a face with triangles, none with a side between two points of `banned` (sorted pairs of rim numbers,
/// the lower first) but for pieces of edges.
pub(super) fn fill(
    brep: &Brep,
    rim: &Rim,
    face: &BrepFace,
    chord: f64,
    banned: &[[u32; 2]],
) -> Result<Filled, Trouble> {
    let mut job = Job::new(brep, rim, face, chord);
    let mut cdt = job.triangulate()?;
    for _ in 0..ROUNDS {
        let inside = job.inside(&cdt)?;
        let bad = job.bad(&cdt, &inside, chord, banned);
        if bad.is_empty() {
            return Ok(job.finish(&cdt, &inside, rim.points.len() as u32));
        }
        for q in bad {
            job.insert(&mut cdt, q)?;
        }
        if cdt.num_constraints() != job.pieces.len() {
            break; // a point fell onto an edge
        }
    }
    Err(job.trouble(Obstacle::Chord, 0))
}

impl Job {
    fn new(brep: &Brep, rim: &Rim, face: &BrepFace, chord: f64) -> Self {
        let sheet = Sheet::new(brep, face, chord);
        let rings: Vec<Vec<u32>> = face
            .loops
            .iter()
            .map(|ring| {
                let mut ids: Vec<u32> = ring.iter().flat_map(|h| rim.along(brep, *h)).collect();
                if !face.same_sense {
                    ids.reverse();
                }
                ids
            })
            .collect();
        let mut shared: Vec<u32> = rings.iter().flatten().copied().collect();
        shared.sort_unstable();
        shared.dedup();
        let local = |id: u32| shared.partition_point(|s| *s < id) as u32;
        let mut pieces = Vec::new();
        for ring in &rings {
            let ids: Vec<u32> = ring.iter().map(|id| local(*id)).collect();
            pieces.extend((0..ids.len()).map(|k| [ids[k], ids[(k + 1) % ids.len()]]));
        }
        let mut space: Vec<P3> = shared.iter().map(|id| rim.points[*id as usize]).collect();
        let mut map: Vec<P2> = space.iter().map(|p| sheet.place(*p)).collect();
        let inner = if map.is_empty() { vec![] } else { lattice(sheet.pattern, &map, &pieces) };
        space.extend(inner.iter().map(|q| sheet.point(*q)));
        map.extend(inner);
        Self { sheet, shared, map, space, pieces }
    }

    fn trouble(&self, reason: Obstacle, point: u32) -> Trouble {
        Trouble { reason, place: self.space.get(point as usize).copied().unwrap_or_else(P3::origin) }
    }

    fn spot(&self, number: u32) -> Spot {
        let q = self.map[number as usize];
        let clean = |x: f64| if x.abs() < NOTHING { 0.0 } else { x };
        Spot { at: Point2::new(clean(q.x), clean(q.y)), number }
    }

    /// The triangulation of all points with the edges as constraints.
    fn triangulate(&self) -> Result<Cdt, Trouble> {
        let spots: Vec<Spot> = (0..self.map.len() as u32).map(|n| self.spot(n)).collect();
        let mut cdt = Cdt::bulk_load(spots).map_err(|_| self.trouble(Obstacle::NotFinite, 0))?;
        if cdt.num_vertices() != self.map.len() {
            return Err(self.trouble(Obstacle::Coincident, 0));
        }
        let handles = self.handles(&cdt);
        for &[a, b] in &self.pieces {
            let (from, to) = (handles[a as usize], handles[b as usize]);
            if from == to {
                return Err(self.trouble(Obstacle::Coincident, a));
            }
            cdt.try_add_constraint(from, to);
        }
        if cdt.num_constraints() != self.pieces.len() {
            return Err(self.trouble(Obstacle::Crossing, 0));
        }
        Ok(cdt)
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
    fn inside(&self, cdt: &Cdt) -> Result<Vec<bool>, Trouble> {
        let handles = self.handles(cdt);
        let mut side: Vec<Option<bool>> = vec![None; cdt.num_all_faces()];
        let mut stack = Vec::new();
        for &[a, b] in &self.pieces {
            let edge = cdt
                .get_edge_from_neighbors(handles[a as usize], handles[b as usize])
                .filter(|e| e.is_constraint_edge())
                .ok_or_else(|| self.trouble(Obstacle::Crossing, a))?;
            for (face, inside) in [(edge.face(), true), (edge.rev().face(), false)] {
                let index = face.index();
                if side[index].is_some_and(|s| s != inside) || (face.is_outer() && inside) {
                    return Err(self.trouble(Obstacle::Sides, a));
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
                    return Err(self.trouble(Obstacle::Sides, edge.from().data().number));
                }
                side[next.index()] = here;
                stack.extend(next.as_inner().map(|f| f.fix()));
            }
        }
        Ok(side.into_iter().map(|s| s == Some(true)).collect())
    }

    /// Places for new points: one in each triangle that misses the chord error.
    fn bad(&self, cdt: &Cdt, inside: &[bool], chord: f64, banned: &[[u32; 2]]) -> Vec<P2> {
        let mut out: Vec<(u32, u32, P2)> = Vec::new();
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let ids = face.vertices().map(|v| v.data().number);
            let map = ids.map(|n| self.map[n as usize]);
            if !banned.is_empty() {
                out.extend(self.banned_sides(ids, banned));
            }
            if self.sheet.error(map, ids.map(|n| self.space[n as usize])) <= chord {
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
                        |e: &[u32; 2]| self.sheet.weight(self.map[e[0] as usize], self.map[e[1] as usize]);
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

    /// The sides of a triangle that are banned, with their middles.
    fn banned_sides(&self, ids: [u32; 3], banned: &[[u32; 2]]) -> impl Iterator<Item = (u32, u32, P2)> {
        (0..3).filter_map(move |k| {
            let (a, b) = (ids[k].min(ids[(k + 1) % 3]), ids[k].max(ids[(k + 1) % 3]));
            let ends = [*self.shared.get(a as usize)?, *self.shared.get(b as usize)?];
            banned.binary_search(&ends).ok()?;
            Some((a, b, nalgebra::center(&self.map[a as usize], &self.map[b as usize])))
        })
    }

    fn insert(&mut self, cdt: &mut Cdt, q: P2) -> Result<(), Trouble> {
        let number = self.map.len() as u32;
        self.map.push(q);
        self.space.push(self.sheet.point(q));
        let before = cdt.num_vertices();
        let done = cdt.insert(self.spot(number));
        if done.is_err() || cdt.num_vertices() == before {
            return Err(self.trouble(Obstacle::Chord, number));
        }
        Ok(())
    }

    /// The triangles in numbers of the whole mesh; `rim` is the number of rim points.
    fn finish(&self, cdt: &Cdt, inside: &[bool], rim: u32) -> Filled {
        let mut number: Vec<u32> = vec![u32::MAX; self.map.len()];
        number[..self.shared.len()].copy_from_slice(&self.shared);
        let mut filled = Filled { triangles: Vec::new(), inner: Vec::new() };
        for face in cdt.inner_faces().filter(|f| inside[f.fix().index()]) {
            let ids = face.vertices().map(|v| v.data().number);
            for n in ids.map(|n| n as usize) {
                if number[n] == u32::MAX {
                    number[n] = rim + filled.inner.len() as u32;
                    filled.inner.push(self.space[n]);
                }
            }
            filled.triangles.push(ids.map(|n| number[n as usize]));
        }
        filled
    }
}
