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
            sides.push(side(set, candidate, &near, s, p, t, left, step)?);
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
            let tags = candidate.surfaces.iter().map(|s| set.nearest_tag(*s, p)).collect();
            Err(EvaluateError::Open { tags, at: p })
        }
    }
}

/// Surfaces with patches near the piece, other than its own.
fn nearby(set: &SurfaceSet, carriers: &Carriers, candidate: &CandidateEdge) -> Vec<usize> {
    let bounds = carriers.list[candidate.carrier].bounds.grown(2.0 * SIDE_STEP);
    (0..set.entries.len())
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
            .map(|k| set.entries[*k].surface.f(p).abs())
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

/// Steps off the edge along surface `s` to one side and asks on both sides of the surface.
#[allow(clippy::too_many_arguments, reason = "one step of `uses`, split off for length")]
fn side(
    set: &SurfaceSet,
    candidate: &CandidateEdge,
    near: &[usize],
    s: usize,
    p: P3,
    t: V3,
    left: bool,
    step: f64,
) -> Result<Option<EdgeUse>, EvaluateError> {
    let surface = &set.entries[s].surface;
    let n = surface.grad(p);
    let out = if left { n.cross(&t) } else { t.cross(&n) };
    // Cuts of other surfaces don't matter; the own ones tell the halves apart.
    let matters = |k: &usize| *k != s && set.entries[*k].seam_of.is_none_or(|host| host == s);
    let others: Vec<usize> = candidate.surfaces.iter().copied().filter(matters).collect();
    let mut eps = step;
    let mut found = None;
    for _ in 0..24 {
        let q = surface.closest(p + out * eps);
        if others.iter().all(|k| crossed_once(set, *k, p, out, q, eps)) {
            found = Some(q);
            break;
        }
        eps *= 0.5;
    }
    let too_near = |gap: f64| {
        let all = candidate.surfaces.iter().chain(near);
        let close = all.filter(|k| {
            set.entries[**k].surface.f(p).abs() < SIDE_STEP && set.entries[**k].within(p, SIDE_STEP)
        });
        let tags = close.map(|k| set.nearest_tag(*k, p)).collect();
        EvaluateError::TooNear { tags, at: p, gap }
    };
    let Some(q) = found else { return Err(too_near(eps)) };
    let gap_of = |k: usize| {
        let e = &set.entries[k];
        if e.seam_of.is_none() && e.within(q, 2.0 * eps) { e.surface.f(q).abs() } else { f64::INFINITY }
    };
    let clear = near.iter().map(|k| gap_of(*k)).fold(eps, f64::min);
    let all = others.iter().map(|k| gap_of(*k)).fold(clear, f64::min);
    // Surfaces that leave the edge tangentially may be nearer than a safe step. Then step over them, and
    // take the side only if the boundary crossed is that of this very surface.
    let stepping_over = 0.3 * all < STEP_OFF;
    let gap = if stepping_over {
        let steep = others.iter().filter(|k| set.entries[**k].surface.grad(p).dot(&out).abs() > TANGENT);
        steep.map(|k| gap_of(*k)).fold(clear, f64::min)
    } else {
        all
    };
    let off = 0.3 * gap;
    if off < STEP_OFF {
        return Err(too_near(gap));
    }
    let normal = surface.grad(q);
    let (above, i) = set.tree.decide(q + normal * off);
    let (below, j) = set.tree.decide(q - normal * off);
    if above == below {
        return Ok(None);
    }
    if stepping_over && i.max(j).is_some_and(|step| !bounds_on(set, s, step, q)) {
        return Ok(None);
    }
    let tag = deciding_tag(set, s, i.max(j), q);
    let half = set.half(s, &candidate.surfaces, p, q);
    Ok(Some(EdgeUse { surface: s, half, same_sense: below, tag, forward: left == below }))
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
