//! Turned profiles.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::geometry::{Bounds, Circle, Cone, Curve, Cylinder, Frame, P2, Plane, Sphere, Surface, Torus, V3};
use crate::tolerance::{ON_SURFACE, SNAP, UPRIGHT};

use super::patch::{Part, Patch, PrimitiveCurve, PrimitiveEdge, PrimitiveVertex, sorted};
use super::primitive::{Primitive, Shape};
use super::primitive_error::PrimitiveError;
use super::profile::Profile;
use super::segment::Segment;

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
                    out.edges.push(PrimitiveEdge {
                        curve: PrimitiveCurve::Plain(Curve::Circle(circle)),
                        range: None,
                        patches: [a, b],
                        forward: None,
                    });
                }
                (Some(_), Some(_)) => return Err(over_axis()),
                (Some(a), None) | (None, Some(a)) => {
                    let point = frame.point(0.0, 0.0, p.y);
                    if matches!(out.patches[a].surface, Surface::Cone(_)) {
                        out.vertices.push(PrimitiveVertex { point, patches: vec![a] });
                    }
                }
                (None, None) => {}
            }
        }
        out.close();
        Ok(out)
    }
}

/// The face that a profile segment sweeps when turned.
fn turned_patch(feature: &str, frame: &Frame, s: &Segment, spindles: bool) -> Result<Patch, PrimitiveError> {
    let at = |z: f64| frame.moved_to(frame.point(0.0, 0.0, z));
    let d = s.to - s.from;
    let full = (-std::f64::consts::PI, std::f64::consts::PI);
    let (surface, v) = match s.arc {
        None if d.x.abs() < UPRIGHT => {
            let radius = 0.5 * (s.from.x + s.to.x);
            (Surface::Cylinder(Cylinder { frame: *frame, radius }), sorted(s.from.y, s.to.y))
        }
        None if d.y.abs() < UPRIGHT => (Surface::Plane(Plane { frame: at(s.from.y) }), (0.0, 0.0)),
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
