//! Pieces whose faces need no asking, because they lie on the boundary of one primitive alone, whose edges are known.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::candidates::CandidateEdge;
use super::carrier::Carriers;
use super::edge_uses::EdgeUse;
use super::surface_set::SurfaceSet;
use crate::geometry::{P2, P3, V3};
use crate::solid::patch::{Patch, PrimitiveCurve, PrimitiveEdge};
use crate::solid::primitive::Primitive;
use crate::solid::tree::{Op, SolidTree};
use crate::tolerance::{SIDE_STEP, SNAP, STEP_OFF, TANGENT_SNAP};

/// Places along a piece at which other bodies are asked, best first.
const PLACES: [f64; 5] = [0.5, 0.3, 0.7, 0.15, 0.85];

/// How the faces of a primitive lie about its primitive's edges.
#[derive(Debug)]
pub(super) struct KnownUses {
    /// Per patch: whether the material lies on the negative side of its surface.
    same_sense: Vec<Option<bool>>,
    /// Per primitive's edge and patch: whether a loop with the face on its left runs along the curve.
    forward: Vec<Option<[bool; 2]>>,
    /// Whether the primitive's edges are all edges of the primitive.
    complete: bool,
}

impl KnownUses {
    /// Those of every step of a tree.
    pub(super) fn of(tree: &SolidTree) -> Vec<Self> {
        tree.steps().par_iter().map(|s| Self::of_primitive(&s.primitive)).collect()
    }

    /// Of a primitive's edge: whether the material lies on the negative side of its two surfaces, and whether the loops about their
    /// faces run along it.
    pub(super) fn about(&self, edge: &PrimitiveEdge, number: usize) -> Option<([bool; 2], [bool; 2])> {
        let forward = self.forward[number]?;
        let [a, b] = edge.patches.map(|patch| self.same_sense[patch]);
        Some(([a?, b?], forward))
    }

    fn of_primitive(p: &Primitive) -> Self {
        if let Some(body) = p.filleted_body() {
            let same_sense = (0..p.patches().len()).map(|i| Some(body.same_sense(i))).collect();
            return Self { same_sense, forward: p.edges.iter().map(|e| e.forward).collect(), complete: true };
        }
        let mut out = Self {
            same_sense: vec![None; p.patches().len()],
            forward: vec![None; p.edges.len()],
            complete: p.caps().is_empty(),
        };
        if !out.complete {
            return out;
        }
        for (i, e) in p.edges.iter().enumerate() {
            let Some(found) = asked(p, e) else { continue };
            let both = [0, 1].map(|k| {
                let sense = &mut out.same_sense[e.patches[k]];
                *sense.get_or_insert(found[k].0) == found[k].0
            });
            if both == [true, true] {
                out.forward[i] = Some(found.map(|f| f.1));
            }
        }
        out
    }
}

/// Greatest step off a primitive's edge, mm, and in distances to the primitive's other faces.
const STEP: (f64, f64) = (SIDE_STEP, 0.2);

/// For both patches of a primitive's edge, the sense of the face and whether a loop about it runs along the curve: asked of
/// the primitive alone, so that nothing else can be near.
fn asked(p: &Primitive, e: &PrimitiveEdge) -> Option<[(bool, bool); 2]> {
    let PrimitiveCurve::Plain(curve) = &e.curve else { return None };
    let (a, b) = e.range.unwrap_or((0.0, 0.37 * curve.period()));
    let t = a + 0.37 * (b - a);
    let (at, along) = (curve.point(t), curve.derivative(t).normalize());
    let ends = (curve.point(a) - at).norm().min((curve.point(b) - at).norm());
    let own = e.patches.map(|k| &p.patches()[k].surface);
    let others = distances(p, e, at).into_iter().filter(|d| *d > SNAP);
    let reach = STEP.0.min(STEP.1 * others.fold(ends, f64::min));
    let mut out = [(false, false); 2];
    for k in 0..2 {
        let (surface, other) = (own[k], own[1 - k]);
        let n = surface.grad(at);
        let mut found = None;
        for left in [true, false] {
            let sideways = if left { n.cross(&along) } else { along.cross(&n) };
            let q = surface.closest(at + sideways * reach);
            let off = 0.3 * other.f(q).abs().min(reach);
            if off < STEP_OFF {
                return None;
            }
            let normal = surface.grad(q) * off;
            let [above, below] = [p.contains(q + normal), p.contains(q - normal)];
            if above != below && found.replace((below, left == below)).is_some() {
                return None;
            }
        }
        out[k] = found?;
    }
    Some(out)
}

/// Distances from a point of a primitive's edge to the faces, by what their surfaces and their segments of the outline tell: a
/// wall that bends only a little beside the edge has a surface nearer than the face itself.
fn distances(p: &Primitive, e: &PrimitiveEdge, at: P3) -> Vec<f64> {
    let to_surface = |f: &Patch| f.surface.f(at).abs();
    let Some((profile, prism)) = p.shape() else { return p.patches().iter().map(to_surface).collect() };
    let q = p.frame().local(at);
    let flat = if prism.is_none() { P2::new(q.x.hypot(q.y), q.z) } else { P2::new(q.x, q.y) };
    let to_segment = |f: &Patch| f.segment.map(|s| profile.segments()[s].distance(flat));
    // The section is less wide where an end is rounded, or walls lean.
    let inset = e.patches.iter().filter_map(|k| to_segment(&p.patches()[*k])).fold(0.0, f64::max);
    let own = |k: usize| e.patches.contains(&k);
    let far = |(k, f): (usize, &Patch)| {
        let apart = to_segment(f).filter(|_| !own(k)).map_or(0.0, |d| d - inset);
        to_surface(f).max(apart)
    };
    p.patches().iter().enumerate().map(far).collect()
}

/// The faces about a piece that belongs to the boundary of one primitive alone; `None` where another body has a face
/// through it, or where it is a cut between halves of a surface.
pub(super) fn edge_uses(
    set: &SurfaceSet,
    carriers: &Carriers,
    sides: &[KnownUses],
    candidate: &CandidateEdge,
) -> Option<Vec<EdgeUse>> {
    let p = candidate.point(carriers, 0.5);
    let (step, alone) = only_body(set, sides, candidate, p)?;
    let own: Vec<_> = candidate.known.iter().filter(|k| k.0 == step).collect();
    let Some((_, number, along)) = own.first() else {
        let real = |s: &&usize| set.entries[**s].seam_of.is_none();
        let cut = |s: &usize| set.entries[*s].seams.iter().any(|c| candidate.surfaces.contains(c));
        // A curve of the body's surfaces that is none of its edges; the cuts between halves are found by asking.
        return if !alone || candidate.surfaces.iter().filter(real).any(cut) { None } else { Some(vec![]) };
    };
    let forward = sides[step].forward[*number]?;
    let Some(flipped) = on_boundary(set, carriers, candidate, step) else { return Some(vec![]) };
    let primitive = &set.tree.steps()[step].primitive;
    let edge = &primitive.edges[*number];
    let t = candidate.tangent(carriers, 0.5);
    let mut out = Vec::with_capacity(2);
    for (patch, forward) in edge.patches.into_iter().zip(forward) {
        let surface = set.surface_of[step][patch];
        let face = &primitive.patches[patch];
        let same_sense = sides[step].same_sense[patch]? == agrees(set, surface, face, p);
        let loop_along = forward == *along;
        let left = into_face(face, sides[step].same_sense[patch]?, p, if loop_along { t } else { -t });
        let reach = (0.05 * (p - candidate.point(carriers, 0.0)).norm()).clamp(TANGENT_SNAP, SIDE_STEP);
        let q = set.entries[surface].surface.closest(p + left * reach);
        let half = set.half(surface, &candidate.surfaces, p, q);
        let tag = face.tag.clone();
        out.push(EdgeUse {
            surface,
            half,
            same_sense: same_sense != flipped,
            tag,
            forward: loop_along != flipped,
        });
    }
    let [a, b] = [&out[0], &out[1]];
    let one_face =
        a.surface == b.surface && a.half == b.half && a.same_sense == b.same_sense && a.tag == b.tag;
    Some(if one_face { vec![] } else { out })
}

/// The direction from an edge into a face, square to `along`, in which the loop about the face runs there: seen from outside it
/// lies to the left. `same_sense` tells whether the material lies on the negative side of the face's surface.
pub(super) fn into_face(face: &Patch, same_sense: bool, p: P3, along: V3) -> V3 {
    let n = face.surface.grad(p);
    let outward = if same_sense { n } else { -n };
    outward.cross(&along)
}

/// Whether a patch's own surface and the one it was merged with have the same normal.
fn agrees(set: &SurfaceSet, surface: usize, patch: &Patch, p: P3) -> bool {
    set.entries[surface].surface.grad(p).dot(&patch.surface.grad(p)) > 0.0
}

/// The step that alone has faces on the piece's surfaces near `p`, if all its edges are known, and whether no restored
/// body has faces there as well.
fn only_body(
    set: &SurfaceSet,
    sides: &[KnownUses],
    candidate: &CandidateEdge,
    p: P3,
) -> Option<(usize, bool)> {
    let mut found = BTreeSet::new();
    for s in candidate.surfaces.iter().filter(|s| set.entries[**s].seam_of.is_none()) {
        let e = &set.entries[*s];
        found.extend((0..e.patches.len()).filter(|k| e.boxes[*k].contains(p)).map(|k| e.patches[k].0));
    }
    let steps = set.tree.steps();
    let restored = |s: &usize| steps[*s].op == Op::Restore;
    let all = found.len();
    if all > 1 && found.iter().any(restored) {
        // Where nothing was trimmed, the filleted body before it holds the restored one; what was trimmed of it is gone.
        let trimmed = steps.iter().any(|s| s.op == Op::Trim && s.primitive.contains(p));
        found.retain(|s| if trimmed { steps[*s].primitive.filleted_body().is_none() } else { !restored(s) });
    }
    let alone = found.len() == all;
    let mut found = found.into_iter();
    found.next().filter(|s| found.next().is_none() && sides[*s].complete).map(|s| (s, alone))
}

/// Whether a step's boundary is the tree's at a piece that no other body has a face through; `Some(true)` where the
/// step takes away what its body holds.
fn on_boundary(
    set: &SurfaceSet,
    carriers: &Carriers,
    candidate: &CandidateEdge,
    step: usize,
) -> Option<bool> {
    let steps = set.tree.steps();
    let clear = |f: f64| -> f64 {
        let p = candidate.point(carriers, f);
        let others = set.about(p).filter(|k| {
            let e = &set.entries[*k];
            e.seam_of.is_none() && e.patches.iter().any(|q| q.0 != step) && e.near(p)
        });
        others.map(|k| set.entries[k].surface.f(p).abs()).fold(f64::INFINITY, f64::min)
    };
    let place = PLACES.into_iter().find(|f| clear(*f) > SNAP);
    let place = place
        .unwrap_or_else(|| PLACES.into_iter().max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(0.5));
    let p = candidate.point(carriers, place);
    let filleted = steps[step].primitive.filleted_body().is_some();
    for s in steps[step + 1..].iter().rev().filter(|s| !filleted || s.op != Op::Restore) {
        let inside = s.primitive.contains(p);
        if (s.op == Op::Keep) != inside {
            return None;
        }
    }
    let mut before = false;
    for s in &steps[..step] {
        let inside = s.primitive.contains(p);
        before = match s.op {
            Op::Add | Op::Restore => before || inside,
            Op::Cut | Op::Trim => before && !inside,
            Op::Keep => before && inside,
        };
    }
    match steps[step].op {
        Op::Add | Op::Restore => (!before).then_some(false),
        Op::Keep => before.then_some(false),
        Op::Cut | Op::Trim => before.then_some(true),
    }
}
