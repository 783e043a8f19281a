//! How two bodies lie relative to each other: apart by the least distance, or overlapping by a depth.

use std::collections::HashMap;
use std::ops::Range;

use rayon::prelude::*;

use crate::checks::CHORD;
use solidwright::geometry::{Bounds, P3, V3};
use solidwright::probe::{Probe, Stand as StandOf, halves, on_triangle};
use solidwright::solid::evaluate::EvaluateError;
use solidwright::solid::{Op, Solid, SolidError, SolidTree};

/// How a body lies relative to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stand {
    /// Apart: the least distance, mm, the place on the first and that on the other, and the first one's face.
    Apart(f64, [P3; 2], usize),
    /// One reaches into the other: the deepest place of either in the other, its distance from the other's surface,
    /// mm, and the first one's nearest face.
    Into(f64, P3, usize),
    /// Closed triangles hold all of the first: the deepest place in them, its distance from them, its face.
    Around(f64, P3, usize),
}

impl Stand {
    /// The same with face numbers shifted.
    pub(super) fn shifted(self, by: usize) -> Self {
        match self {
            Self::Apart(distance, points, face) => Self::Apart(distance, points, face + by),
            Self::Into(depth, at, face) => Self::Into(depth, at, face + by),
            Self::Around(distance, at, face) => Self::Around(distance, at, face + by),
        }
    }
}

/// A body with its face numbers in a probe of several bodies.
pub(super) struct Rigid<'a> {
    pub(super) solid: &'a Solid,
    pub(super) faces: Range<usize>,
}

/// Distances below this may be a crossing, mm.
const TOUCH: f64 = 1e-6;

/// Depths are searched for on triangles whose sides are up to a share of the overlap's size, within these bounds, mm.
const SHARE: f64 = 1.0 / 50.0;
const SIDES: (f64, f64) = (0.2, 4.0);

/// How two solids lie relative to each other.
pub(super) fn solids(a: &Rigid<'_>, b: &Rigid<'_>, together: &Probe<'_>) -> Result<Stand, String> {
    let [all, other] = [a, b].map(|r| r.faces.clone().collect::<Vec<_>>());
    let least = together.least_distance(&all, &other).ok_or("no distance was found")?;
    let corner_in =
        |of: &Rigid<'_>, tree: &SolidTree| of.solid.brep().vertices.iter().any(|p| tree.contains(*p));
    let apart = |distance: f64| Stand::Apart(distance, least.points, least.faces[0]);
    if least.distance > TOUCH && !corner_in(b, a.solid.tree()) && !corner_in(a, b.solid.tree()) {
        return Ok(apart(least.distance));
    }
    let mut common = a.solid.tree().clone();
    for step in b.solid.tree().steps() {
        common.push(Op::Keep, step.primitive.clone());
    }
    match Solid::of(common) {
        Ok(common) => deepest(a, b, &common),
        Err(SolidError::Boundary(EvaluateError::Empty)) => Ok(apart(0.0)),
        // The common volume has no proper boundary, for example where edges lie on faces, so places of each solid in
        // the other are used.
        Err(_) => deepest_of_places(a, b).map(|found| found.unwrap_or_else(|| apart(0.0))),
    }
}

/// The deepest of places spread over either solid, in the other.
fn deepest_of_places(a: &Rigid<'_>, b: &Rigid<'_>) -> Result<Option<Stand>, String> {
    let probe = |solid| Probe::new(solid, CHORD).map_err(|e| e.to_string());
    let [first, other] = [probe(a.solid)?, probe(b.solid)?];
    let shared = a.solid.brep().bounds().intersection(&b.solid.brep().bounds()).grown(SIDES.0);
    let side = (shared.diagonal() * SHARE).clamp(SIDES.0, SIDES.1);
    let of = |own: &Probe<'_>, off: &Probe<'_>, tree: &SolidTree| -> Vec<(f64, P3)> {
        let places: Vec<P3> = own.small_triangles(side).into_iter().map(|(_, middle)| middle.point).collect();
        let within = |p: &&P3| shared.contains(**p) && tree.contains(**p);
        let depth = |p: &P3| Some((off.nearest(*p, |_| true, f64::INFINITY)?.distance, *p));
        places.par_iter().filter(within).filter_map(depth).collect()
    };
    let all = of(&first, &other, b.solid.tree()).into_iter().chain(of(&other, &first, a.solid.tree()));
    Ok(into(a, &first, all))
}

/// The deepest of some places by their depths, with the first body's nearest face.
fn into(a: &Rigid<'_>, first: &Probe<'_>, places: impl Iterator<Item = (f64, P3)>) -> Option<Stand> {
    let (depth, at) = places.max_by(|x, y| x.0.total_cmp(&y.0))?;
    let face = first.nearest(at, |_| true, f64::INFINITY).map_or(0, |n| n.face);
    Some(Stand::Into(depth, at, a.faces.start + face))
}

/// The deepest place of the common volume of two solids: each point of its surface lies on the surface of one, and in
/// the other.
fn deepest(a: &Rigid<'_>, b: &Rigid<'_>, common: &Solid) -> Result<Stand, String> {
    let probe = |solid| Probe::new(solid, CHORD).map_err(|e| e.to_string());
    let (probe, [first, other]) = (probe(common)?, [probe(a.solid)?, probe(b.solid)?]);
    let common = common.brep();
    let side = (common.bounds().diagonal() * SHARE).clamp(SIDES.0, SIDES.1);
    let own = |face: usize| a.solid.brep().faces.iter().any(|f| f.tag == common.faces[face].tag);
    let of_first: Vec<bool> = (0..common.faces.len()).map(own).collect();
    let depth = |(p, of_first): (P3, bool)| {
        let near = if of_first { &other } else { &first }.nearest(p, |_| true, f64::INFINITY)?;
        Some((near.distance, p))
    };
    let found: Vec<Option<(f64, P3)>> = probe
        .small_triangles(side)
        .par_iter()
        .flat_map_iter(|(corners, middle)| {
            corners.iter().copied().chain([middle.point]).map(|p| depth((p, of_first[middle.face])))
        })
        .collect();
    into(a, &first, found.into_iter().flatten()).ok_or_else(|| "what both share has no surface".to_owned())
}

/// How triangles lie relative to a solid with its own probe; `closed` triangles bound a body.
pub(super) fn triangles(
    tree: &SolidTree,
    probe: &Probe<'_>,
    heap: &[[P3; 3]],
    closed: bool,
) -> Result<Stand, String> {
    let stand = probe.stand_of(heap).ok_or("it holds no triangle")?;
    let apart = match stand {
        StandOf::Apart(distance, points, face) => Some((distance, points, face)),
        StandOf::Across(_) => None,
    };
    // Edges of the mesh lie a chord inside.
    let bounds = probe.brep().bounds().grown(1.0);
    let inside = small(heap, &bounds).into_iter().filter(|p| tree.contains(*p));
    let depth = |p: P3| probe.nearest(p, |_| true, f64::INFINITY).map(|n| (n.distance, p, n.face));
    let deepest = |of: Vec<(f64, P3, usize)>| of.into_iter().max_by(|x, y| x.0.total_cmp(&y.0));
    let of_heap = deepest(inside.filter_map(depth).collect());
    if let (None, Some((distance, points, face))) = (of_heap, apart) {
        let around = closed && probe.brep().vertices.first().is_some_and(|p| turns(heap, *p) > 0.5);
        let most = if around { deepest(swallowed(probe, heap)) } else { None };
        return Ok(match most {
            Some((depth, at, face)) => Stand::Around(depth, at, face),
            None => Stand::Apart(distance, points, face),
        });
    }
    let swallowed = if closed { swallowed(probe, heap) } else { vec![] };
    let all = of_heap.into_iter().chain(deepest(swallowed));
    let (depth, at, face) = deepest(all.collect()).unwrap_or_else(|| {
        // They only graze each other.
        let StandOf::Across(crossing) = stand else { return (0.0, bounds.center(), 0) };
        let at = crossing.center();
        (0.0, at, probe.nearest(at, |_| true, f64::INFINITY).map_or(0, |n| n.face))
    });
    Ok(Stand::Into(depth, at, face))
}

/// Corners of the solid's mesh inside closed triangles, each with its distance from them and its face.
fn swallowed(probe: &Probe<'_>, heap: &[[P3; 3]]) -> Vec<(f64, P3, usize)> {
    /// Greatest number of corners times triangles; beyond it some corners are skipped.
    const MOST: usize = 200_000_000;
    let around = Bounds::around(heap.iter().flatten().copied());
    let mesh = probe.mesh();
    let mut near: Vec<(u32, u32)> =
        mesh.triangles.iter().zip(&mesh.face_of).flat_map(|(t, f)| t.map(|v| (v, *f))).collect();
    near.sort_unstable();
    near.dedup_by_key(|v| v.0);
    near.retain(|(v, _)| around.contains(mesh.vertices[*v as usize]));
    let stride = (near.len() * heap.len()).div_ceil(MOST).max(1);
    let depth = |(v, face): &(u32, u32)| {
        let p = mesh.vertices[*v as usize];
        let off = |t: &[P3; 3]| (on_triangle(p, *t) - p).norm();
        (turns(heap, p) > 0.5)
            .then(|| (heap.iter().map(off).fold(f64::INFINITY, f64::min), p, *face as usize))
    };
    near.par_iter().step_by(stride).filter_map(depth).collect()
}

/// Places spread over the triangles near a box: corners and middles of pieces of at most a few millimetres.
pub(super) fn small(heap: &[[P3; 3]], bounds: &Bounds) -> Vec<P3> {
    /// Approximate greatest number of places; beyond it pieces get larger.
    const MOST: f64 = 40_000.0;
    let near: Vec<[P3; 3]> = heap.iter().filter(|t| Bounds::around(**t).meets(bounds)).copied().collect();
    let area: f64 = near.iter().map(|[a, b, c]| 0.5 * (b - a).cross(&(c - a)).norm()).sum();
    let side = (4.0 * area / MOST).sqrt().max(1.0);
    let mut out = Vec::new();
    let mut left = near;
    while let Some(whole) = left.pop() {
        if !Bounds::around(whole).meets(bounds) {
            continue;
        }
        if let Some(halves) = halves(whole, side) {
            left.extend(halves);
        } else {
            let [a, b, c] = whole;
            out.extend([a, b, c, P3::from((a.coords + b.coords + c.coords) / 3.0)]);
        }
    }
    out
}

/// Whether triangles are closed and consistently oriented: along each edge as many run in one direction as in the
/// other.
pub(super) fn closes(heap: &[[P3; 3]]) -> bool {
    let mut edges: HashMap<[[u64; 3]; 2], i64> = HashMap::new();
    // Zero has two signs.
    let bits = |p: P3| [p.x, p.y, p.z].map(|x| (x + 0.0).to_bits());
    for t in heap {
        for i in 0..3 {
            let [a, b] = [bits(t[i]), bits(t[(i + 1) % 3])];
            let (edge, way) = if a < b { ([a, b], 1) } else { ([b, a], -1) };
            if a != b {
                *edges.entry(edge).or_default() += way;
            }
        }
    }
    edges.values().all(|n| *n == 0)
}

/// Winding number of triangles around a place: 1 inside a closed surface that faces outwards, 0 outside or far from
/// an open one; the sum of solid angles over the full solid angle.
fn turns(heap: &[[P3; 3]], p: P3) -> f64 {
    let angle = |t: &[P3; 3]| {
        let [a, b, c]: [V3; 3] = t.map(|q| q - p);
        let (la, lb, lc) = (a.norm(), b.norm(), c.norm());
        let solid = a.dot(&b.cross(&c));
        let flat = la * lb * lc + a.dot(&b) * lc + b.dot(&c) * la + c.dot(&a) * lb;
        2.0 * solid.atan2(flat)
    };
    heap.iter().map(angle).sum::<f64>() / (4.0 * std::f64::consts::PI)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box of twelve triangles, facing outwards.
    fn cube(half: f64) -> Vec<[P3; 3]> {
        let sign = |bit: usize| if bit == 1 { half } else { -half };
        let corner = |k: usize| P3::new(sign(k & 1), sign(k >> 1 & 1), sign(k >> 2 & 1));
        let sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        sides.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).map(|t| t.map(corner)).collect()
    }

    #[test]
    fn closed_triangles_agree_on_outside() {
        let mut heap = cube(10.0);
        assert!(closes(&heap));
        heap[3].swap(0, 1);
        assert!(!closes(&heap), "one faces inwards");
        heap.remove(3);
        assert!(!closes(&heap), "one is missing");
    }

    #[test]
    fn turns_tell_inside_from_outside() {
        let heap = cube(10.0);
        assert!((turns(&heap, P3::new(3.0, -9.0, 1.0)) - 1.0).abs() < 1e-12);
        assert!(turns(&heap, P3::new(3.0, -11.0, 1.0)).abs() < 1e-12);
        let inwards: Vec<_> = heap.iter().map(|[a, b, c]| [*a, *c, *b]).collect();
        assert!((turns(&inwards, P3::origin()) + 1.0).abs() < 1e-12);
    }
}
