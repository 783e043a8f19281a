//! The two primitives: turned profiles and prisms.

use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::Arc;

use crate::geometry::{
    Bounds, Circle, Cone, Curve, Cylinder, Frame, Line, P2, P3, Plane, Rail, Sphere, Surface, Torus, V3,
};
use crate::tolerance::{ON_SURFACE, SNAP};

use super::blend::Blend;
use super::primitive_error::PrimitiveError;
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
    /// Left by a rolling ball, which no primitive added before enters: it meets them only where it touches them.
    Rolled,
    /// Stands for a face of another primitive, so that own edges can name its surface. Not a face.
    StandIn,
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
}

/// A corner that a primitive brings along.
#[derive(Clone, Debug)]
pub(crate) struct OwnVertex {
    pub(crate) point: P3,
    pub(crate) patches: Vec<usize>,
}

#[derive(Clone, Debug)]
enum Shape {
    Revolve { profile: Profile },
    Prism { profile: Profile, height: f64, slope: f64 },
    Blend { blend: Arc<Blend>, group: usize },
}

/// A turned profile or a prism, placed in space.
#[derive(Clone, Debug)]
pub struct Primitive {
    frame: Frame,
    shape: Shape,
    bounds: Bounds,
    patches: Vec<Patch>,
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
        let profile = Profile::new(segments)
            .map_err(|source| PrimitiveError::Profile { feature: feature.to_owned(), source })?;
        let over_axis = || PrimitiveError::OverAxis { feature: feature.to_owned() };
        if profile.extent().0.x < -ON_SURFACE {
            return Err(over_axis());
        }
        let segments = profile.segments();
        let n = segments.len();
        let on_axis = |s: &Segment| s.arc.is_none() && s.from.x < SNAP && s.to.x < SNAP;
        let mut patch_of = vec![None; n];
        let mut out = Self::empty(frame, Shape::Revolve { profile: profile.clone() });
        for (i, s) in segments.iter().enumerate() {
            if !on_axis(s) {
                patch_of[i] = Some(out.patches.len());
                out.patches.push(Patch { segment: Some(i), ..turned_patch(feature, &frame, s)? });
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

    /// Extrudes a closed profile in the frame's xy plane along +z from z = 0 to `height`. With a positive
    /// `draft` (radians) the section at height z is the profile offset inwards by `z·tan(draft)`.
    /// `bottom` and `top` name the end faces.
    ///
    /// # Errors
    /// A faulty profile, no height, or a draft that eats up an edge or a corner radius.
    pub fn prism(
        feature: &str,
        frame: Frame,
        segments: Vec<Segment>,
        height: f64,
        draft: f64,
        ends: [Tag; 2],
    ) -> Result<Self, PrimitiveError> {
        let profile = Profile::new(segments)
            .map_err(|source| PrimitiveError::Profile { feature: feature.to_owned(), source })?;
        if !(height > SNAP && height.is_finite()) {
            return Err(PrimitiveError::Height { feature: feature.to_owned(), height });
        }
        let slope = if draft == 0.0 { 0.0 } else { draft.tan() };
        let top = profile.offset_checked(slope * height).ok_or_else(|| PrimitiveError::Draft {
            feature: feature.to_owned(),
            draft_deg: draft.to_degrees(),
            height,
            greatest_deg: greatest_draft(&profile, height, draft.signum()).to_degrees(),
        })?;
        let mut out = Self::empty(frame, Shape::Prism { profile: profile.clone(), height, slope });
        let [bottom_tag, top_tag] = ends;
        out.push_caps(&profile, &top, height, bottom_tag, top_tag);
        for (i, (s, t)) in profile.segments().iter().zip(top.segments()).enumerate() {
            out.patches.push(Patch { segment: Some(i), ..side_patch(&frame, s, t, height, slope) });
        }
        out.push_prism_edges(&profile, &top, height);
        out.close();
        Ok(out)
    }

    /// The metal of fillets.
    pub(crate) fn blended(
        blend: Blend,
        patches: Vec<Patch>,
        own_edges: Vec<OwnEdge>,
        own_vertices: Vec<OwnVertex>,
    ) -> Self {
        let mut out = Self::empty(Frame::world(), Shape::Blend { blend: Arc::new(blend), group: 0 });
        (out.patches, out.own_edges, out.own_vertices) = (patches, own_edges, own_vertices);
        out.close();
        out
    }

    /// Tells which rolling of a ball it comes from.
    pub(crate) fn set_roll(&mut self, roll: usize) {
        if let Shape::Blend { group, .. } = &mut self.shape {
            *group = roll;
        }
    }

    /// Which rolling of a ball it comes from, for the metal of fillets.
    pub(crate) fn roll(&self) -> Option<usize> {
        match &self.shape {
            Shape::Blend { group, .. } => Some(*group),
            _ => None,
        }
    }

    fn empty(frame: Frame, shape: Shape) -> Self {
        Self {
            frame,
            shape,
            bounds: Bounds::empty(),
            patches: vec![],
            own_edges: vec![],
            own_vertices: vec![],
        }
    }

    fn close(&mut self) {
        self.bounds = self.patches.iter().fold(Bounds::empty(), |b, p| b.union(&p.bounds));
    }

    fn push_caps(&mut self, bottom: &Profile, top: &Profile, height: f64, bottom_tag: Tag, top_tag: Tag) {
        for (profile, z, tag) in [(bottom, 0.0, bottom_tag), (top, height, top_tag)] {
            let surface = Surface::Plane(Plane { frame: self.frame.moved_to(self.frame.point(0.0, 0.0, z)) });
            let bounds = profile_bounds(&self.frame, profile, z);
            self.patches.push(Patch {
                surface,
                tag,
                bounds,
                u: (0.0, 0.0),
                v: (0.0, 0.0),
                segment: None,
                part: Part::Plain,
            });
        }
    }

    fn push_prism_edges(&mut self, bottom: &Profile, top: &Profile, height: f64) {
        let n = bottom.segments().len();
        for (cap, profile, z) in [(0, bottom, 0.0), (1, top, height)] {
            for (i, s) in profile.segments().iter().enumerate() {
                let (curve, range) = placed_segment(&self.frame, s, z);
                let curve = OwnCurve::Plain(curve);
                self.own_edges.push(OwnEdge { curve, range: Some(range), patches: [cap, 2 + i] });
                let before = 2 + (i + n - 1) % n;
                let point = self.frame.point(s.from.x, s.from.y, z);
                self.own_vertices.push(OwnVertex { point, patches: vec![cap, before, 2 + i] });
            }
        }
        for i in 0..n {
            let (a, b) = (bottom.segments()[i].from, top.segments()[i].from);
            let (p, q) = (self.frame.point(a.x, a.y, 0.0), self.frame.point(b.x, b.y, height));
            let line = Line { origin: p, dir: (q - p).normalize() };
            let range = Some((0.0, (q - p).norm()));
            self.own_edges.push(OwnEdge {
                curve: OwnCurve::Plain(Curve::Line(line)),
                range,
                patches: [2 + (i + n - 1) % n, 2 + i],
            });
        }
    }

    /// Whether `p` is inside: exact to rounding; on the boundary itself the answer may be either.
    pub fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let q = self.frame.local(p);
        match &self.shape {
            Shape::Blend { blend, .. } => blend.contains(p),
            Shape::Revolve { profile } => profile.contains(P2::new((q.x * q.x + q.y * q.y).sqrt(), q.z)),
            Shape::Prism { profile, height, slope } => {
                if q.z < 0.0 || q.z > *height {
                    return false;
                }
                let flat = P2::new(q.x, q.y);
                if *slope == 0.0 {
                    profile.contains(flat)
                } else {
                    profile.offset(q.z * slope).is_some_and(|section| section.contains(flat))
                }
            }
        }
    }

    /// Which of its own patches, all on one surface, a point of that surface belongs to: the one whose profile
    /// segment is nearest.
    pub(crate) fn patch_at(&self, candidates: &[usize], p: P3) -> Option<usize> {
        let Some((profile, _)) = self.shape() else {
            let off = |i: &usize| {
                let patch = &self.patches[*i];
                patch.surface.f(p).abs()
                    + if patch.part == Part::StandIn { 0.0 } else { patch.bounds.distance(p) }
            };
            return candidates.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)));
        };
        let q = self.frame.local(p);
        let flat = match self.shape {
            Shape::Revolve { .. } => P2::new((q.x * q.x + q.y * q.y).sqrt(), q.z),
            Shape::Prism { .. } | Shape::Blend { .. } => P2::new(q.x, q.y),
        };
        let distance = |i: &usize| {
            let patch = &self.patches[*i];
            patch.segment.map_or(0.0, |s| profile.segments()[s].distance(flat))
        };
        candidates.iter().copied().min_by(|a, b| distance(a).total_cmp(&distance(b)))
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
            Shape::Prism { profile, height, slope } => Some((profile, Some((*height, *slope)))),
            Shape::Blend { .. } => None,
        }
    }
}

impl Profile {
    /// [`Profile::offset`], and the result doesn't cross itself.
    fn offset_checked(&self, by: f64) -> Option<Self> {
        if by == 0.0 {
            return Some(self.clone());
        }
        let out = self.offset(by)?;
        Self::new(out.segments().to_vec()).ok()
    }
}

/// Greatest draft (radians) of the sign for which the top still exists, by bisection.
fn greatest_draft(profile: &Profile, height: f64, sign: f64) -> f64 {
    let (mut lo, mut hi) = (0.0, FRAC_PI_2 * 0.99);
    for _ in 0..40 {
        let mid: f64 = 0.5 * (lo + hi);
        if profile.offset_checked(sign * mid.tan() * height).is_some() {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    lo
}

/// The face that a profile segment sweeps when turned.
fn turned_patch(feature: &str, frame: &Frame, s: &Segment) -> Result<Patch, PrimitiveError> {
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
            if c.x <= minor + SNAP {
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

fn sorted(a: f64, b: f64) -> (f64, f64) {
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

/// The box around a profile placed at height z.
fn profile_bounds(frame: &Frame, profile: &Profile, z: f64) -> Bounds {
    profile.segments().iter().fold(Bounds::empty(), |b, s| b.union(&segment_bounds(frame, s, z)))
}

/// The box around one placed segment; exact for arcs through the extremes of the circle in space.
fn segment_bounds(frame: &Frame, s: &Segment, z: f64) -> Bounds {
    let place = |p: P2| frame.point(p.x, p.y, z);
    let mut b = Bounds::around([place(s.from), place(s.to)]);
    if let Some((c, _)) = s.arc {
        let (a, sweep) = s.sweep();
        for k in 0..3 {
            // Extremes of x_k along the circle: at the angle of (x_k, y_k) and opposite.
            let t0 = frame.y[k].atan2(frame.x[k]);
            for t in [t0, t0 + std::f64::consts::PI] {
                let d = if sweep > 0.0 { (t - a).rem_euclid(TAU) } else { (a - t).rem_euclid(TAU) };
                if d <= sweep.abs() {
                    b.include(place(P2::new(c.x + s.radius() * t.cos(), c.y + s.radius() * t.sin())));
                }
            }
        }
    }
    b
}

/// The curve of a profile segment placed at height z and its parameter range.
fn placed_segment(frame: &Frame, s: &Segment, z: f64) -> (Curve, (f64, f64)) {
    match s.arc {
        None => {
            let (p, q) = (frame.point(s.from.x, s.from.y, z), frame.point(s.to.x, s.to.y, z));
            (Curve::Line(Line { origin: p, dir: (q - p).normalize() }), (0.0, (q - p).norm()))
        }
        Some((c, _)) => {
            let (a, sweep) = s.sweep();
            let circle = Circle { frame: frame.moved_to(frame.point(c.x, c.y, z)), radius: s.radius() };
            (Curve::Circle(circle), sorted(a, a + sweep))
        }
    }
}

/// The side face over profile segment `s` (bottom) and `t` (top).
fn side_patch(frame: &Frame, s: &Segment, t: &Segment, height: f64, slope: f64) -> Patch {
    let bounds = segment_bounds(frame, s, 0.0).union(&segment_bounds(frame, t, height));
    let tag = s.tag.clone();
    let Some((c, ccw)) = s.arc else {
        let d = s.direction(0.0);
        let normal = frame.vector(d.y, -d.x, slope);
        let origin = frame.point(s.from.x, s.from.y, 0.0);
        let plane = Plane { frame: Frame::from_zx(origin, normal, frame.vector(d.x, d.y, 0.0)) };
        return Patch {
            surface: Surface::Plane(plane),
            tag,
            bounds,
            u: (0.0, 0.0),
            v: (0.0, 0.0),
            segment: None,
            part: Part::Plain,
        };
    };
    let (a, sweep) = s.sweep();
    let middle = a + 0.5 * sweep;
    let u = (-0.5 * sweep.abs(), 0.5 * sweep.abs());
    let towards = frame.radial(middle);
    // Radius at height z is r + grow·z.
    let grow = if ccw { -slope } else { slope };
    if grow == 0.0 {
        let axis = Frame::from_zx(frame.point(c.x, c.y, 0.0), frame.z, towards);
        let surface = Surface::Cylinder(Cylinder { frame: axis, radius: s.radius() });
        return Patch { surface, tag, bounds, u, v: (0.0, height), segment: None, part: Part::Plain };
    }
    let half_angle = grow.abs().atan();
    let apex = frame.point(c.x, c.y, -s.radius() / grow);
    let axis = Frame::from_zx(apex, frame.z * grow.signum(), towards);
    let v = sorted(s.radius() / half_angle.sin(), t.radius() / half_angle.sin());
    Patch {
        surface: Surface::Cone(Cone { frame: axis, half_angle }),
        tag,
        bounds,
        u,
        v,
        segment: None,
        part: Part::Plain,
    }
}
