//! Primitives: turned profiles, prisms, and bodies joined with their fillets. What they contain and what bounds them.
//!
//! [`Primitive::revolve`](super::Primitive::revolve) and [`Primitive::prism`](super::Primitive::prism) stand in modules above
//! this one. A filleted body comes as finished data: [`super::fillet`], far above, finds it.

use std::sync::{Arc, OnceLock};

use crate::geometry::{Bounds, Frame, P2, P3};
use crate::tolerance::{FACE_STEP, ON_SURFACE};

use super::blend::{FilletSegment, VertexBlend};
use super::box_groups::BoxGroups;
use super::brep::Brep;
use super::cap::Cap;
use super::end_rounding::{self, EndRounding};
use super::patch::{Patch, PrimitiveEdge, PrimitiveVertex};
use super::profile::Profile;

/// What kind of primitive it is, with what membership needs.
#[derive(Clone, Debug)]
pub(in crate::solid) enum Shape {
    /// A profile turned about the z axis.
    Revolve { profile: Profile },
    /// A profile drawn along the z axis.
    Prism { profile: Profile, height: f64, slope: f64, rounds: [EndRounding; 2] },
    /// Bodies joined, with their fillets.
    Filleted(Arc<FilletBody>),
}

/// A turned profile, a prism or a filleted body, placed in space.
#[derive(Clone, Debug)]
pub struct Primitive {
    frame: Frame,
    shape: Shape,
    bounds: Bounds,
    /// What cuts it short.
    caps: Vec<Cap>,
    pub(in crate::solid) patches: Vec<Patch>,
    pub(crate) edges: Vec<PrimitiveEdge>,
    pub(crate) vertices: Vec<PrimitiveVertex>,
}

impl Primitive {
    /// A body with its fillets: its whole boundary comes with it.
    pub(in crate::solid) fn filleted(
        body: FilletBody,
        patches: Vec<Patch>,
        edges: Vec<PrimitiveEdge>,
        vertices: Vec<PrimitiveVertex>,
    ) -> Self {
        let mut out = Self::empty(Frame::world(), Shape::Filleted(Arc::new(body)));
        (out.patches, out.edges, out.vertices) = (patches, edges, vertices);
        out.close();
        out
    }

    /// A round-edged body with the sharp one that it was made from.
    pub(in crate::solid) fn with_sharp(mut self, core: Arc<SharpCore>) -> Option<Self> {
        let Shape::Filleted(body) = &mut self.shape else { return None };
        let body = Arc::make_mut(body);
        body.sharp = Some(core);
        Some(self)
    }

    /// The bodies and fillets that it is made of, for a filleted body.
    pub(in crate::solid) fn filleted_body(&self) -> Option<&FilletBody> {
        match &self.shape {
            Shape::Filleted(body) => Some(body),
            _ => None,
        }
    }

    /// The bodies that a filleted body joins, and itself for its fillets; any other primitive alone.
    pub fn parts(&self) -> Vec<&Self> {
        match self.filleted_body() {
            None => vec![self],
            Some(body) => body.parts().iter().flat_map(Self::parts).chain([self]).collect(),
        }
    }

    pub(in crate::solid) fn empty(frame: Frame, shape: Shape) -> Self {
        Self {
            frame,
            shape,
            bounds: Bounds::empty(),
            caps: vec![],
            patches: vec![],
            edges: vec![],
            vertices: vec![],
        }
    }

    pub(in crate::solid) fn close(&mut self) {
        self.bounds = self.patches.iter().fold(Bounds::empty(), |b, p| b.union(&p.bounds));
    }

    /// The primitive cut short. Its edges that lie beyond the caps are edges of nothing.
    #[must_use]
    pub fn capped(mut self, caps: impl IntoIterator<Item = Cap>) -> Self {
        for cap in caps {
            let (patches, edges) = cap.faces(&self.bounds, self.patches.len());
            self.patches.extend(patches);
            self.edges.extend(edges);
            self.caps.push(cap);
        }
        self
    }

    /// What cuts it short.
    pub fn caps(&self) -> &[Cap] {
        &self.caps
    }

    /// Distance from a place inside to the outline as drawn, before its ends are rounded or it leans: across the axis. `None`
    /// for the material of fillets.
    pub fn outline_distance(&self, p: P3) -> Option<f64> {
        let q = self.frame.local(p);
        match &self.shape {
            Shape::Filleted(_) => None,
            Shape::Revolve { profile } => Some(profile.extent().1.x - q.x.hypot(q.y)),
            Shape::Prism { profile, .. } => Some(profile.distance(P2::new(q.x, q.y))),
        }
    }

    /// Whether `p` is inside: exact to rounding; on the boundary itself the answer may be either.
    pub fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) || self.caps.iter().any(|c| c.takes(p)) {
            return false;
        }
        let q = self.frame.local(p);
        match &self.shape {
            Shape::Filleted(body) => body.contains(p),
            // The axis is no boundary: a point on it is asked for just beside it.
            Shape::Revolve { profile } => profile.contains(P2::new(q.x.hypot(q.y).max(ON_SURFACE), q.z)),
            Shape::Prism { profile, height, slope, rounds } => {
                if q.z < 0.0 || q.z > *height {
                    return false;
                }
                let flat = P2::new(q.x, q.y);
                let inset = end_rounding::inset(*height, *slope, rounds, q.z);
                if inset == 0.0 { profile.contains(flat) } else { profile.contains_inset(inset, flat) }
            }
        }
    }

    /// Which of its own patches, all on one surface, a point of that surface belongs to: the one whose profile
    /// segment is nearest.
    pub(crate) fn patch_at(&self, candidates: &[usize], p: P3) -> Option<usize> {
        if let Some(body) = self.filleted_body() {
            return body.patch_at(&self.patches, candidates, p);
        }
        let Some((profile, _)) = self.shape() else {
            let off = |i: &usize| self.patches[*i].surface.f(p).abs() + self.patches[*i].bounds.distance(p);
            return candidates.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)));
        };
        let q = self.frame.local(p);
        let flat = match self.shape {
            Shape::Revolve { .. } => P2::new((q.x * q.x + q.y * q.y).sqrt(), q.z),
            Shape::Prism { .. } | Shape::Filleted(_) => P2::new(q.x, q.y),
        };
        let distance = |i: &usize| {
            let patch = &self.patches[*i];
            patch.segment.map_or(0.0, |s| profile.segments()[s].distance(flat))
        };
        candidates.iter().copied().min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }

    /// Radii of the rounded edges around the ends of a prism, bottom and top.
    pub fn rounds(&self) -> [f64; 2] {
        match &self.shape {
            Shape::Prism { rounds, .. } => rounds.map(|r| r.radius),
            _ => [0.0; 2],
        }
    }

    /// The feature it is of: that of most of its faces, of equals the first. A face may belong to another one, as the end of a tube that
    /// lies in a flange's face does.
    pub fn feature(&self) -> &str {
        let mut counts: Vec<(&str, usize)> = Vec::new();
        for f in &self.patches {
            match counts.iter_mut().find(|c| c.0 == &*f.tag.feature) {
                Some(known) => known.1 += 1,
                None => counts.push((&f.tag.feature, 1)),
            }
        }
        let most = counts.iter().map(|c| c.1).max();
        counts.iter().find(|c| Some(c.1) == most).map_or("solid", |c| c.0)
    }

    /// A box around the primitive.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Its faces.
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// The frame it is placed by.
    pub fn frame(&self) -> &Frame {
        &self.frame
    }

    /// The profile, with height and slope (tangent of the draft) for a prism; `None` for the material of fillets.
    pub fn shape(&self) -> Option<(&Profile, Option<(f64, f64)>)> {
        match &self.shape {
            Shape::Revolve { profile } => Some((profile, None)),
            Shape::Prism { profile, height, slope, .. } => Some((profile, Some((*height, *slope)))),
            Shape::Filleted(_) => None,
        }
    }
}

/// Bodies joined, with the material of their fillets.
#[derive(Clone, Debug)]
pub(in crate::solid) struct FilletBody {
    pub(in crate::solid) parts: Vec<Primitive>,
    /// The same offset outwards by the ball's radius: where its centre may not go. None where edges are rounded, not joints filled.
    pub(in crate::solid) offset_parts: Vec<Primitive>,
    /// Radius of the ball, mm.
    pub(in crate::solid) radius: f64,
    pub(in crate::solid) segments: Vec<FilletSegment>,
    /// Of each segment those that it meets in a crease: what their ball takes is no material.
    pub(in crate::solid) rivals: Vec<Vec<usize>>,
    /// The same of each ball at rest.
    pub(in crate::solid) blend_rivals: Vec<Vec<usize>>,
    pub(in crate::solid) vertex_blends: Vec<VertexBlend>,
    /// Per patch: whether the material lies on the negative side of its surface.
    pub(in crate::solid) same_sense: Vec<bool>,
    pub(in crate::solid) bounds: Bounds,
    /// For a body whose edges are rounded, not its joints filled: the sharp body within.
    pub(in crate::solid) sharp: Option<Arc<SharpCore>>,
    /// Number of patches that lie on the bodies; those behind them were left by the ball.
    pub(in crate::solid) base_patches: usize,
    /// What of it is near a place; made on first use.
    pub(in crate::solid) near: OnceLock<NearParts>,
}

/// Boxes by which what is near a place is told.
#[derive(Clone, Debug)]
pub(in crate::solid) struct NearParts {
    /// Of each segment what it may claim, and where its ball may be; of each ball at rest what it may claim.
    claims: BoxGroups,
    swept: BoxGroups,
    blend_claims: BoxGroups,
    /// The walls of the bodies, with the number of the body and that of its patch.
    walls: BoxGroups,
    wall_of: Vec<(usize, usize)>,
}

impl NearParts {
    fn of(body: &FilletBody) -> Self {
        let walls =
            || body.parts.iter().enumerate().flat_map(|(i, b)| (0..b.patches.len()).map(move |k| (i, k)));
        Self {
            claims: BoxGroups::of(body.segments.iter().map(|s| s.bounds)),
            swept: BoxGroups::of(body.segments.iter().map(FilletSegment::swept)),
            blend_claims: BoxGroups::of(body.vertex_blends.iter().map(|c| c.bounds)),
            walls: BoxGroups::of(walls().map(|(i, k)| body.parts[i].patches[k].bounds)),
            wall_of: walls().collect(),
        }
    }
}

/// A sharp-edged body within a round-edged one.
#[derive(Clone, Debug)]
pub(in crate::solid) struct SharpCore {
    /// The body.
    pub(in crate::solid) body: Primitive,
    /// Its boundary.
    pub(in crate::solid) brep: Brep,
    /// How far the round-edged one stands out of it, mm.
    pub(in crate::solid) edge: f64,
}

impl FilletBody {
    /// Whether `p` is inside.
    pub(in crate::solid) fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let rolled = || {
            let clear = |k: &usize| !self.segments[*k].ball_holds(p);
            // Behind a wall's end a place may lie far behind the plane at the foot on it, and between walls that are nearly parallel far
            // behind the ball, where a ball comes from elsewhere.
            let proved =
                |s: &FilletSegment| self.sharp.is_some() || s.is_close_behind(p) || self.is_unreachable(p);
            let segment = |k: usize| {
                let s = &self.segments[k];
                s.contains(p) && self.rivals[k].iter().all(clear) && proved(s)
            };
            // Where a ball rounds edges, it has no bodies to be kept off, and an acute corner lies as far behind it.
            let near =
                |c: &VertexBlend| self.sharp.is_some() || c.is_close_behind(p) || self.is_unreachable(p);
            let blend = |k: usize| {
                let c = &self.vertex_blends[k];
                c.contains(p) && self.blend_rivals[k].iter().all(clear) && near(c)
            };
            let parts = self.near_parts();
            parts.claims.near(p, 0.0).any(segment) || parts.blend_claims.near(p, 0.0).any(blend)
        };
        if self.sharp.is_some() {
            return self.parts.iter().any(|b| b.contains(p)) && !rolled();
        }
        self.parts.iter().any(|b| b.contains(p)) || rolled() || self.in_gap(p)
    }

    /// Whether `p`, outside the bodies and off the walls of fillets, lies where no ball comes: between bodies that leave too
    /// narrow a gap.
    fn in_gap(&self, p: P3) -> bool {
        // A place within the radius of one body alone may lie in a gap narrower than the ball all the same: then another body is
        // less than the ball's width away.
        let grown = &self.offset_parts;
        let Some(first) = grown.iter().position(|g| g.contains(p)) else { return false };
        let across = |i: usize| i != first && grown[i].bounds().distance(p) < self.radius;
        (0..grown.len()).any(across) && self.no_ball_holds(p)
    }

    /// Whether no ball comes to `p`, which lies outside the bodies: none rests at `p` itself, and none holds it from elsewhere.
    fn is_unreachable(&self, p: P3) -> bool {
        self.offset_parts.iter().any(|g| g.contains(p)) && self.no_ball_holds(p)
    }

    /// Whether no ball holds `p`, at which none can rest. One that does has its centre nearest to it straight above a wall, on a path, or
    /// at a corner.
    fn no_ball_holds(&self, p: P3) -> bool {
        // Without any slack: sides of edges are asked of places a hair off the walls.
        let reaches = |c: P3| (c - p).norm() < self.radius;
        let free = |c: P3| !self.offset_parts.iter().any(|g| g.contains(c));
        let from_wall = |w: &Patch| {
            let high = w.surface.f(p);
            // The centre a little above the place where it touches the wall: farther than what lies on a wall, since a centre may
            // itself be asked whether a ball of a larger level reaches it.
            let up = self.radius + 2.0 * FACE_STEP - high.abs();
            high != 0.0 && high.abs() < self.radius && free(p + w.surface.grad(p) * (high.signum() * up))
        };
        let parts = self.near_parts();
        let walls = parts.walls.near(p, self.radius).map(|w| parts.wall_of[w]);
        let mut walls = walls.map(|(i, k)| &self.parts[i].patches[k]);
        !walls.any(|w| w.bounds.distance(p) < self.radius && from_wall(w))
            && !parts.swept.near(p, 0.0).any(|k| self.segments[k].ball_holds(p))
            && !self.vertex_blends.iter().any(|c| reaches(c.center))
    }

    fn near_parts(&self) -> &NearParts {
        self.near.get_or_init(|| NearParts::of(self))
    }

    /// The bodies that are joined.
    pub(in crate::solid) fn parts(&self) -> &[Primitive] {
        &self.parts
    }

    /// Whether the material lies on the negative side of a patch's surface.
    pub(in crate::solid) fn same_sense(&self, patch: usize) -> bool {
        self.same_sense[patch]
    }

    /// Whether the ball left a patch.
    pub(in crate::solid) fn is_rolled(&self, patch: usize) -> bool {
        patch >= self.base_patches
    }

    /// Which of some patches on one surface a point of that surface belongs to.
    pub(in crate::solid) fn patch_at(&self, patches: &[Patch], candidates: &[usize], p: P3) -> Option<usize> {
        let off = |i: &usize| patches[*i].surface.f(p).abs() + patches[*i].bounds.distance(p);
        let nearest = candidates.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let first = &patches[*candidates.first()?].tag;
        if candidates.iter().all(|i| patches[*i].tag == *first) {
            return Some(nearest);
        }
        let n = patches[nearest].surface.grad(p) * FACE_STEP;
        let of_part = |b: &Primitive| -> Option<usize> {
            let wanted = |q: &Patch| candidates.iter().any(|i| patches[*i].tag == q.tag);
            let own: Vec<usize> = (0..b.patches().len()).filter(|k| wanted(&b.patches()[*k])).collect();
            let tag = &b.patches()[b.patch_at(&own, p)?].tag;
            candidates.iter().copied().find(|i| patches[*i].tag == *tag)
        };
        let bounds = |b: &&Primitive| b.contains(p + n) != b.contains(p - n);
        self.parts.iter().filter(bounds).find_map(of_part).or(Some(nearest))
    }
}
