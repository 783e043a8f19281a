//! The two primitives: turned profiles and prisms.

use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::Arc;

use crate::geometry::{
    Bounds, Circle, Cone, Curve, Cylinder, Frame, P2, P3, Plane, Rail, Sphere, Surface, Torus, V3,
};
use crate::tolerance::{ON_SURFACE, SNAP};

use super::cap::Cap;
use super::fillet::{Filleted, Within};
use super::primitive_error::PrimitiveError;
use super::prism::{self, Round};
use super::profile::{Profile, Segment};
use super::tag::Tag;

/// A face of a primitive: a piece of one surface.
#[derive(Clone, Debug)]
pub struct Patch {
    /// The surface.
    pub surface: Surface,
    /// Feature, role, finish.
    pub tag: Tag,
    /// A box around the piece.
    pub bounds: Bounds,
    /// Range of u; a full turn has width 2π. Unused for planes.
    pub u: (f64, f64),
    /// Range of v. Unused for planes.
    pub v: (f64, f64),
    /// What kind of piece.
    pub(crate) part: Part,
    /// The profile segment that sweeps it; `None` for the ends of a prism.
    pub(crate) segment: Option<usize>,
}

/// What a face of a primitive is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// Any face.
    Plain,
    /// Cuts the primitive short. Its edges with the rest are found by intersecting.
    Cap,
}

/// The curve of an own edge.
#[derive(Clone, Debug)]
pub(crate) enum OwnCurve {
    /// Line, circle.
    Plain(Curve),
    /// Where a ball touches a wall.
    Rail(Arc<Rail>),
}

/// An edge that a primitive brings along: known exactly, no intersecting needed.
#[derive(Clone, Debug)]
pub(crate) struct OwnEdge {
    /// Its curve.
    pub(crate) curve: OwnCurve,
    /// The piece that is an edge; `None` for a closed circle.
    pub(crate) range: Option<(f64, f64)>,
    /// The two patches (equal where a patch meets itself).
    pub(crate) patches: [usize; 2],
    /// For an edge of a filleted body, whose boundary is known as a whole: for each patch, whether a loop with the
    /// face on its left runs along the curve.
    pub(crate) forward: Option<[bool; 2]>,
}

/// A corner that a primitive brings along.
#[derive(Clone, Debug)]
pub(crate) struct OwnVertex {
    pub(crate) point: P3,
    pub(crate) patches: Vec<usize>,
}

#[derive(Clone, Debug)]
pub(in crate::solid) enum Shape {
    Revolve { profile: Profile },
    Prism { profile: Profile, height: f64, slope: f64, rounds: [Round; 2] },
    Filleted(Arc<Filleted>),
}

/// A turned profile or a prism, placed in space.
#[derive(Clone, Debug)]
pub struct Primitive {
    frame: Frame,
    shape: Shape,
    bounds: Bounds,
    /// What cuts it short.
    caps: Vec<Cap>,
    pub(in crate::solid) patches: Vec<Patch>,
    pub(crate) own_edges: Vec<OwnEdge>,
    pub(crate) own_vertices: Vec<OwnVertex>,
}

impl Primitive {
    /// Turns a closed profile about the frame's z axis. The profile lies in the half plane of distance from
    /// the axis (x, never negative) and height (y); pieces on the axis sweep out nothing.
    ///
    /// # Errors
    /// A faulty profile, one that reaches over the axis, or an arc that makes a self-meeting torus.
    pub fn revolve(feature: &str, frame: Frame, segments: Vec<Segment>) -> Result<Self, PrimitiveError> {
        Self::turned(feature, frame, segments, false)
    }

    /// As [`Self::revolve`]; `spindles`: arcs may reach over the axis if they run on this side of it.
    pub(in crate::solid) fn turned(
        feature: &str,
        frame: Frame,
        segments: Vec<Segment>,
        spindles: bool,
    ) -> Result<Self, PrimitiveError> {
        let profile = Profile::new(segments)
            .map_err(|source| PrimitiveError::Profile { feature: feature.to_owned(), source })?;
        let over_axis = || PrimitiveError::OverAxis { feature: feature.to_owned() };
        if profile.extent().0.x < -ON_SURFACE {
            return Err(over_axis());
        }
        let segments = profile.segments();
        let n = segments.len();
        let mut patch_of = vec![None; n];
        let mut out = Self::empty(frame, Shape::Revolve { profile: profile.clone() });
        for (i, s) in segments.iter().enumerate() {
            if !s.on_axis() {
                patch_of[i] = Some(out.patches.len());
                out.patches.push(Patch { segment: Some(i), ..turned_patch(feature, &frame, s, spindles)? });
            }
        }
        for i in 0..n {
            let before = (i + n - 1) % n;
            let p = segments[i].from;
            match (patch_of[before], patch_of[i]) {
                (Some(a), Some(b)) if p.x >= SNAP => {
                    let circle = Circle { frame: frame.moved_to(frame.point(0.0, 0.0, p.y)), radius: p.x };
                    out.own_edges.push(OwnEdge {
                        curve: OwnCurve::Plain(Curve::Circle(circle)),
                        range: None,
                        patches: [a, b],
                        forward: None,
                    });
                }
                (Some(_), Some(_)) => return Err(over_axis()),
                (Some(a), None) | (None, Some(a)) => {
                    let point = frame.point(0.0, 0.0, p.y);
                    if matches!(out.patches[a].surface, Surface::Cone(_)) {
                        out.own_vertices.push(OwnVertex { point, patches: vec![a] });
                    }
                }
                (None, None) => {}
            }
        }
        out.close();
        Ok(out)
    }

    /// A body with its fillets: its whole boundary comes with it.
    pub(in crate::solid) fn filleted(
        body: Filleted,
        patches: Vec<Patch>,
        own_edges: Vec<OwnEdge>,
        own_vertices: Vec<OwnVertex>,
    ) -> Self {
        let mut out = Self::empty(Frame::world(), Shape::Filleted(Arc::new(body)));
        (out.patches, out.own_edges, out.own_vertices) = (patches, own_edges, own_vertices);
        out.close();
        out
    }

    /// A round-edged body with the sharp one that it was made from.
    pub(in crate::solid) fn with_sharp(mut self, within: Arc<Within>) -> Option<Self> {
        let Shape::Filleted(body) = &mut self.shape else { return None };
        let body = Arc::make_mut(body);
        body.sharp = Some(within);
        Some(self)
    }

    /// The bodies and fillets that it is made of, for a filleted body.
    pub(in crate::solid) fn filleted_body(&self) -> Option<&Filleted> {
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
            own_edges: vec![],
            own_vertices: vec![],
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
            self.own_edges.extend(edges);
            self.caps.push(cap);
        }
        self
    }

    /// What cuts it short.
    pub fn caps(&self) -> &[Cap] {
        &self.caps
    }

    /// Distance from a place inside to the outline as drawn, before its ends are rounded or it leans: across the axis. `None`
    /// for the metal of fillets.
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
                let inset = prism::inset(*height, *slope, rounds, q.z);
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

    /// The feature it is of.
    pub fn feature(&self) -> &str {
        self.patches.first().map_or("solid", |f| &f.tag.feature)
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

    /// The profile, with height and slope (tangent of the draft) for a prism; `None` for the metal of fillets.
    pub fn shape(&self) -> Option<(&Profile, Option<(f64, f64)>)> {
        match &self.shape {
            Shape::Revolve { profile } => Some((profile, None)),
            Shape::Prism { profile, height, slope, .. } => Some((profile, Some((*height, *slope)))),
            Shape::Filleted(_) => None,
        }
    }
}

/// The face that a profile segment sweeps when turned.
fn turned_patch(feature: &str, frame: &Frame, s: &Segment, spindles: bool) -> Result<Patch, PrimitiveError> {
    let at = |z: f64| frame.moved_to(frame.point(0.0, 0.0, z));
    let d = s.to - s.from;
    let full = (-std::f64::consts::PI, std::f64::consts::PI);
    let (surface, v) = match s.arc {
        None if d.x.abs() < SNAP * 1e-3 => {
            let radius = 0.5 * (s.from.x + s.to.x);
            (Surface::Cylinder(Cylinder { frame: *frame, radius }), sorted(s.from.y, s.to.y))
        }
        None if d.y.abs() < SNAP * 1e-3 => (Surface::Plane(Plane { frame: at(s.from.y) }), (0.0, 0.0)),
        None => {
            let apex = s.from.y - s.from.x * d.y / d.x;
            let up = d.x * d.y > 0.0;
            let mut cone_frame = at(apex);
            if !up {
                cone_frame = Frame::from_zx(cone_frame.origin, -frame.z, frame.x);
            }
            let half_angle = d.x.abs().atan2(d.y.abs());
            let slant = |p: P2| p.x / half_angle.sin();
            (Surface::Cone(Cone { frame: cone_frame, half_angle }), sorted(slant(s.from), slant(s.to)))
        }
        Some((c, _)) if c.x.abs() < SNAP => {
            let (a, sweep) = s.sweep();
            let v = sorted(a, a + sweep);
            let v = if v.0 > FRAC_PI_2 { (v.0 - TAU, v.1 - TAU) } else { v };
            (Surface::Sphere(Sphere { frame: at(c.y), radius: s.radius() }), v)
        }
        Some((c, _)) => {
            let minor = s.radius();
            if c.x <= minor + SNAP && !spindles {
                return Err(PrimitiveError::Spindle {
                    feature: feature.to_owned(),
                    radius: minor,
                    center: c.x,
                });
            }
            let (a, sweep) = s.sweep();
            (Surface::Torus(Torus { frame: at(c.y), major: c.x, minor }), sorted(a, a + sweep))
        }
    };
    let (lo, hi) = segment_extent(s);
    Ok(Patch {
        surface,
        tag: s.tag.clone(),
        bounds: ring_bounds(frame, hi.x, lo.y, hi.y),
        u: full,
        v,
        segment: None,
        part: Part::Plain,
    })
}

pub(in crate::solid) fn sorted(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}

fn segment_extent(s: &Segment) -> (P2, P2) {
    let mut lo = s.from.inf(&s.to);
    let mut hi = s.from.sup(&s.to);
    if let Some((c, _)) = s.arc {
        let (a, sweep) = s.sweep();
        let r = s.radius();
        for k in -4..=8 {
            let t = FRAC_PI_2 * f64::from(k);
            let f = (t - a) / sweep;
            if (0.0..=1.0).contains(&f) {
                let p = P2::new(c.x + r * t.cos(), c.y + r * t.sin());
                lo = lo.inf(&p);
                hi = hi.sup(&p);
            }
        }
    }
    (lo, hi)
}

/// The box around a disc of the radius swept along the frame's z between two heights.
fn ring_bounds(frame: &Frame, radius: f64, z0: f64, z1: f64) -> Bounds {
    let half = V3::from_fn(|k, _| radius * (1.0 - frame.z[k] * frame.z[k]).max(0.0).sqrt());
    let mut b = Bounds::empty();
    for z in [z0, z1] {
        let c = frame.point(0.0, 0.0, z);
        b.include(c - half);
        b.include(c + half);
    }
    b
}
