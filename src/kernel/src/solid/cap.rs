//! What cuts a primitive short: a plane, or two planes that meet in a rounded ridge, as draft gives them.

use super::patch::{Part, Patch, PrimitiveCurve, PrimitiveEdge};
use super::tag::Tag;
use crate::geometry::{Bounds, Curve, Cylinder, Frame, Line, P3, Plane, Surface, V3};
use crate::tolerance::{SAME_ANGLE, SNAP};

/// Where a primitive ends. Normals point to what is taken away.
#[derive(Clone, Debug)]
pub struct Cap {
    planes: Vec<Plane>,
    /// Touches both planes.
    ridge: Option<Ridge>,
    tag: Tag,
}

#[derive(Clone, Copy, Debug)]
struct Ridge {
    /// x in the middle between the planes' normals, z along the ridge.
    frame: Frame,
    radius: f64,
    /// Half the angle between the planes' normals.
    half: f64,
}

impl Cap {
    /// Two planes and a cylinder of the radius that touches both: where draft leans a face away from the parting plane
    /// on either side of it. Parallel planes give the first alone.
    pub fn roof(a: Plane, b: Plane, radius: f64, tag: Tag) -> Self {
        let (n, m) = (a.frame.z, b.frame.z);
        let (across, middle) = (n.cross(&m), n + m);
        let half = 0.5 * n.angle(&m);
        if across.norm() < SAME_ANGLE || radius <= 0.0 {
            let planes = if across.norm() < SAME_ANGLE { vec![a] } else { vec![a, b] };
            return Self { planes, ridge: None, tag };
        }
        // The point of both planes nearest to the first one's origin, then down to the axis.
        let along = n.cross(&across).normalize();
        let apex = a.frame.origin - along * (b.f(a.frame.origin) / m.dot(&along));
        let axis = apex - middle.normalize() * (radius / half.cos());
        let frame = Frame::from_zx(axis, across.normalize(), middle.normalize());
        Self { planes: vec![a, b], ridge: Some(Ridge { frame, radius, half }), tag }
    }

    /// Whether a point lies in what is taken away.
    pub(super) fn takes(&self, p: P3) -> bool {
        let over_ridge = |r: &Ridge| {
            let q = r.frame.local(p);
            q.y.atan2(q.x).abs() < r.half && q.x.hypot(q.y) > r.radius
        };
        self.planes.iter().any(|c| c.f(p) > 0.0) || self.ridge.as_ref().is_some_and(over_ridge)
    }

    /// The cap moved outwards by a distance.
    #[must_use]
    pub(super) fn offset(&self, by: f64) -> Self {
        let moved = |c: &Plane| Plane { frame: c.frame.moved_to(c.frame.origin + c.frame.z * by) };
        let ridge = self.ridge.map(|r| Ridge { radius: r.radius + by, ..r });
        Self { planes: self.planes.iter().map(moved).collect(), ridge, tag: self.tag.clone() }
    }

    /// The planes.
    pub fn planes(&self) -> &[Plane] {
        &self.planes
    }

    /// Faces for a primitive in a box, and the edges between them; `first` is the number of the first face.
    pub(super) fn faces(&self, bounds: &Bounds, first: usize) -> (Vec<Patch>, Vec<PrimitiveEdge>) {
        let zero = (0.0, 0.0);
        let patch = |surface, u, v| {
            let tag = self.tag.clone();
            Patch { surface, tag, bounds: *bounds, u, v, part: Part::Cap, segment: None }
        };
        let mut patches: Vec<Patch> =
            self.planes.iter().map(|c| patch(Surface::Plane(*c), zero, zero)).collect();
        let mut edges = Vec::new();
        if let Some(r) = &self.ridge {
            let reach = bounds.diagonal() + (bounds.center() - r.frame.origin).norm();
            let range = (-reach, reach);
            let surface = Surface::Cylinder(Cylinder { frame: r.frame, radius: r.radius });
            let middle = r.frame.origin + r.frame.x * r.radius;
            let ends = [middle - r.frame.z * reach, middle + r.frame.z * reach];
            let wide = Bounds::around(ends).grown(r.radius * r.half.sin() + SNAP);
            let mut ridge = patch(surface, (-r.half, r.half), range);
            ridge.bounds = wide.intersection(bounds);
            let number = first + patches.len();
            for (k, plane) in self.planes.iter().enumerate() {
                let origin = r.frame.origin + plane.frame.z * r.radius;
                let curve = PrimitiveCurve::Plain(Curve::Line(Line { origin, dir: r.frame.z }));
                edges.push(PrimitiveEdge {
                    curve,
                    range: Some(range),
                    patches: [first + k, number],
                    forward: None,
                });
            }
            patches.push(ridge);
        }
        (patches, edges)
    }
}

/// Direction of the unit vector that leans from `outwards` by an angle towards `up`.
pub fn leaning(outwards: V3, up: V3, angle: f64) -> V3 {
    let (sin, cos) = angle.sin_cos();
    outwards * cos + up * sin
}
