//! What lies on either side of an edge, on each of its surfaces.

use super::candidates::CandidateEdge;
use super::carrier::Carriers;
use super::error::EvaluateError;
use super::surface_set::SurfaceSet;
use crate::geometry::{P3, V3};
use crate::solid::Tag;
use crate::tolerance::{SIDE_STEP, SLIVER, STEP_OFF, TANGENT};

/// A side of an edge on a surface where the solid has a face.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EdgeUse {
    /// The surface.
    pub(super) surface: usize,
    /// Which piece of it.
    pub(super) half: u8,
    /// Whether the solid lies on the negative side of the surface.
    pub(super) same_sense: bool,
    /// The face's name.
    pub(super) tag: Tag,
    /// Whether a loop with the face on its left, seen from outside, runs along the piece's parameter.
    pub(super) forward: bool,
}

/// Places along a piece that are tried for the test, best spread first.
const PLACES: [f64; 7] = [0.5, 0.37, 0.63, 0.21, 0.79, 0.1, 0.9];

/// The faces about a piece: none, or two. An inner line of one face gives none.
pub(super) fn edge_uses(
    set: &SurfaceSet,
    carriers: &Carriers,
    candidate: &CandidateEdge,
) -> Result<Vec<EdgeUse>, EvaluateError> {
    let near = nearby(set, carriers, candidate);
    let (place, clearance) = best_place(set, carriers, candidate, &near);
    let p = candidate.point(carriers, place);
    // A curve that lies on the further half of a surface that passes through itself is no part of it.
    let off = |s: &usize| set.entries[*s].surface.f(p).abs() > SLIVER;
    if candidate.surfaces.iter().any(off) {
        return Ok(vec![]);
    }
    let t = candidate.tangent(carriers, place);
    let ends = (p - candidate.point(carriers, 0.0)).norm().min((p - candidate.point(carriers, 1.0)).norm());
    let step = SIDE_STEP.min(0.3 * clearance).min(0.3 * ends);
    let real = candidate.surfaces.iter().copied().filter(|s| set.entries[*s].seam_of.is_none());
    let mut out = Vec::new();
    let mut inner_lines: Vec<Tag> = Vec::new();
    for s in real {
        let cut = set.entries[s].seams.iter().any(|c| candidate.surfaces.contains(c));
        let mut sides = Vec::with_capacity(2);
        for left in [true, false] {
            sides.push(EdgeSide::new(set, candidate, &near, s, (p, t), left).used(step)?);
        }
        match (&sides[0], &sides[1]) {
            (Some(l), Some(r)) if l.same_sense == r.same_sense && l.tag == r.tag && !cut => {
                inner_lines.push(l.tag.clone());
            }
            _ => out.extend(sides.into_iter().flatten()),
        }
    }
    match out.len() + 2 * inner_lines.len() {
        0 | 2 => Ok(out),
        4.. if out.len() % 2 == 0 => {
            let tags = out.into_iter().map(|u| u.tag).chain(inner_lines).collect();
            Err(EvaluateError::TouchingEdge { tags, at: p })
        }
        _ => {
            let tags: Vec<_> = candidate.surfaces.iter().map(|s| set.nearest_tag(*s, p)).collect();
            Err(EvaluateError::Open { tags, at: p })
        }
    }
}

/// Surfaces with patches near the piece, other than its own.
fn nearby(set: &SurfaceSet, carriers: &Carriers, candidate: &CandidateEdge) -> Vec<usize> {
    let bounds = carriers.list[candidate.carrier].bounds.grown(2.0 * SIDE_STEP);
    set.meeting(&bounds)
        .filter(|k| {
            let e = &set.entries[*k];
            e.seam_of.is_none() && !candidate.surfaces.contains(k) && e.meets(&bounds)
        })
        .collect()
}

/// The place along the piece that is farthest from all other surfaces, and how far.
fn best_place(
    set: &SurfaceSet,
    carriers: &Carriers,
    candidate: &CandidateEdge,
    near: &[usize],
) -> (f64, f64) {
    let mut best = (0.5, -1.0);
    for place in PLACES {
        let p = candidate.point(carriers, place);
        let clear = near
            .iter()
            .filter(|k| set.entries[**k].within(p, 2.0 * SIDE_STEP))
            .map(|k| set.clearance(*k, p))
            .fold(2.0 * SIDE_STEP, f64::min);
        if clear > best.1 {
            best = (place, clear);
        }
        if clear >= SIDE_STEP {
            break;
        }
    }
    best
}

/// One side of an edge on one of its surfaces.
struct EdgeSide<'a> {
    set: &'a SurfaceSet<'a>,
    candidate: &'a CandidateEdge,
    /// Surfaces near the edge, other than its own.
    near: &'a [usize],
    surface: usize,
    /// The place on the edge.
    at: P3,
    /// Off the edge along the surface.
    out: V3,
    left: bool,
    /// The edge's other surfaces that matter there.
    others: Vec<usize>,
}

/// How far from the surface membership is asked on both sides.
struct Clearance {
    off: f64,
    /// Whether a surface that leaves the edge tangentially may lie between.
    stepping_over: bool,
}

impl<'a> EdgeSide<'a> {
    fn new(
        set: &'a SurfaceSet<'a>,
        candidate: &'a CandidateEdge,
        near: &'a [usize],
        surface: usize,
        (at, tangent): (P3, V3),
        left: bool,
    ) -> Self {
        let n = set.entries[surface].surface.grad(at);
        let out = if left { n.cross(&tangent) } else { tangent.cross(&n) };
        // Cuts of other surfaces don't matter; the own ones tell the halves apart.
        let matters = |k: &usize| *k != surface && set.entries[*k].seam_of.is_none_or(|host| host == surface);
        let others = candidate.surfaces.iter().copied().filter(matters).collect();
        Self { set, candidate, near, surface, at, out, left, others }
    }

    /// Steps off the edge along the surface and asks on both sides of it whether the solid has a face there.
    fn used(&self, step: f64) -> Result<Option<EdgeUse>, EvaluateError> {
        let (q, eps) = self.step_off(step)?;
        let clearance = self.clearance(q, eps)?;
        Ok(self.face_at(q, &clearance))
    }

    /// A point of the surface at most `step` off the edge, and how far off: the step is halved until no other surface of
    /// the edge is crossed a second time.
    fn step_off(&self, step: f64) -> Result<(P3, f64), EvaluateError> {
        let surface = &self.set.entries[self.surface].surface;
        let mut eps = step;
        for _ in 0..24 {
            let q = surface.closest(self.at + self.out * eps);
            if self.others.iter().all(|k| crossed_once(self.set, *k, self.at, self.out, q, eps)) {
                return Ok((q, eps));
            }
            eps *= 0.5;
        }
        Err(self.too_near(eps))
    }

    /// How far from the surface at `q` nothing else lies.
    fn clearance(&self, q: P3, eps: f64) -> Result<Clearance, EvaluateError> {
        let entries = &self.set.entries;
        let gap_of = |k: usize| {
            let e = &entries[k];
            if e.seam_of.is_none() && e.within(q, 2.0 * eps) { e.surface.f(q).abs() } else { f64::INFINITY }
        };
        let faces_near = self.near.iter().filter(|k| entries[**k].within(q, 2.0 * eps));
        let clear = faces_near.map(|k| self.set.clearance(*k, q)).fold(eps, f64::min);
        let all = self.others.iter().map(|k| gap_of(*k)).fold(clear, f64::min);
        // Surfaces that leave the edge tangentially may be nearer than a safe step. Then step over them, and
        // take the side only if the boundary crossed is that of this very surface.
        let stepping_over = 0.3 * all < STEP_OFF;
        let gap = if stepping_over {
            let is_steep = |k: &&usize| entries[**k].surface.grad(self.at).dot(&self.out).abs() > TANGENT;
            self.others.iter().filter(is_steep).map(|k| gap_of(*k)).fold(clear, f64::min)
        } else {
            all
        };
        let off = 0.3 * gap;
        if off < STEP_OFF { Err(self.too_near(gap)) } else { Ok(Clearance { off, stepping_over }) }
    }

    /// The face at `q`, if the solid lies on one side of the surface only.
    fn face_at(&self, q: P3, clearance: &Clearance) -> Option<EdgeUse> {
        let (set, s) = (self.set, self.surface);
        let normal = set.entries[s].surface.grad(q);
        let (above, i) = set.tree.decide(q + normal * clearance.off);
        let (below, j) = set.tree.decide(q - normal * clearance.off);
        if above == below {
            return None;
        }
        let deciding = i.max(j);
        if clearance.stepping_over && deciding.is_some_and(|step| !bounds_on(set, s, step, q)) {
            return None;
        }
        let tag = deciding_tag(set, s, deciding, q);
        let half = set.half(s, &self.candidate.surfaces, self.at, q);
        Some(EdgeUse { surface: s, half, same_sense: below, tag, forward: self.left == below })
    }

    fn too_near(&self, gap: f64) -> EvaluateError {
        let (set, at) = (self.set, self.at);
        let all = self.candidate.surfaces.iter().chain(self.near);
        let close = all.filter(|k| {
            set.entries[**k].surface.f(at).abs() < SIDE_STEP && set.entries[**k].within(at, SIDE_STEP)
        });
        EvaluateError::TooNear { tags: close.map(|k| set.nearest_tag(*k, at)).collect(), at, gap }
    }
}

/// Whether surface `k`, which passes through the edge, has been left behind by the step to `q`, not crossed a
/// second time.
fn crossed_once(set: &SurfaceSet, k: usize, p: P3, out: V3, q: P3, eps: f64) -> bool {
    let other = &set.entries[k].surface;
    let slope = other.grad(p).dot(&out);
    if slope.abs() < TANGENT {
        return true;
    }
    let ratio = other.f(q) / (slope * eps);
    (0.5..1.5).contains(&ratio)
}

/// Whether the boundary of a step's primitive nearest to `q` lies on surface `s`.
fn bounds_on(set: &SurfaceSet, s: usize, step: usize, q: P3) -> bool {
    let primitive = &set.tree.steps()[step].primitive;
    let all: Vec<usize> = (0..primitive.patches().len()).collect();
    primitive.patch_at(&all, q).is_some_and(|patch| set.surface_of[step][patch] == s)
}

/// The name of the face at `q`: of the patch of the deciding step.
fn deciding_tag(set: &SurfaceSet, s: usize, step: Option<usize>, q: P3) -> Tag {
    let e = &set.entries[s];
    let own = |step: usize| -> Option<Tag> {
        let patches: Vec<usize> = e.patches.iter().filter(|p| p.0 == step).map(|p| p.1).collect();
        let patch = set.tree.steps()[step].primitive.patch_at(&patches, q)?;
        Some(set.tag((step, patch)).clone())
    };
    step.and_then(own).unwrap_or_else(|| set.nearest_tag(s, q))
}
