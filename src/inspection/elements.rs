//! Elements: the machined surfaces of the exact solid that are measured.

use super::cone::FittedCone;
use super::extremes::range;
use crate::faces::{Role, plain_names};
use solidwright::geometry::{Frame, P3, Surface, V3};
use solidwright::solid::{Brep, Finish, Tag};

/// Surfaces nearer to each other than this, mm, are one.
const SAME: f64 = 1e-6;

/// From where to where along a direction, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxialSpan {
    /// The lower end.
    pub from: f64,
    /// The upper end.
    pub to: f64,
}

impl AxialSpan {
    /// Its length, mm.
    pub fn length(self) -> f64 {
        self.to - self.from
    }
}

/// The exact shape of an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ElementShape {
    /// A plane.
    Plane {
        /// A point of it, mm.
        point: P3,
        /// The normal out of the metal.
        outward: V3,
    },
    /// A cylinder.
    Cylinder {
        /// A point of its axis, mm.
        point: P3,
        /// The direction of its axis.
        axis: V3,
        /// Its radius, mm.
        radius: f64,
        /// Whether it is a hole.
        hole: bool,
        /// From where to where it runs along the axis, from the point.
        span: AxialSpan,
    },
    /// A cone.
    Cone {
        /// A point of its axis, mm.
        point: P3,
        /// The direction of its axis, in which it widens.
        axis: V3,
        /// Its radius at the point, mm.
        radius: f64,
        /// Angle between axis and wall, radians.
        half_angle: f64,
        /// Whether the metal lies outside it.
        hole: bool,
    },
    /// Any other surface: on a casting faces to be machined have draft.
    Drafted {
        /// A point of it, mm.
        point: P3,
        /// The normal out of the metal there.
        outward: V3,
    },
}

/// A cylinder shorter than this share of its radius does not tell the direction of its axis, which is taken from the datum
/// frame: a register is square to the gearbox face.
const SHORT: f64 = 0.4;

impl ElementShape {
    /// Whether it is a cylinder long enough to tell the direction of its own axis.
    pub fn tells_direction(&self) -> bool {
        matches!(*self, Self::Cylinder { radius, span, .. } if span.length() >= SHORT * radius)
    }

    /// The nominal cone of a conical element.
    pub(super) fn cone(&self) -> Option<FittedCone> {
        match *self {
            Self::Cone { point, axis, radius, half_angle, .. } => {
                Some(FittedCone { frame: Frame::from_z(point, axis), radius, half_angle })
            }
            _ => None,
        }
    }
}

/// A machined surface that is measured.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredElement {
    /// Its name in files: that of its face, with a number where several surfaces share it.
    pub name: String,
    /// Its name for people, with the same number.
    pub shown: String,
    /// The tag of its faces.
    pub tag: Tag,
    /// Its faces in the boundary.
    pub faces: Vec<usize>,
    /// Its shape.
    pub shape: ElementShape,
    /// The middle of the box about its faces, mm.
    pub middle: P3,
}

impl MeasuredElement {
    /// A place on its surface, mm.
    pub fn on_surface(&self) -> P3 {
        match self.shape {
            ElementShape::Plane { point, .. } | ElementShape::Drafted { point, .. } => point,
            ElementShape::Cylinder { point, axis, radius, span, .. } => {
                let frame = Frame::from_z(point, axis);
                frame.point(radius, 0.0, 0.5 * (span.from + span.to))
            }
            ElementShape::Cone { point, axis, radius, .. } => {
                Frame::from_z(point, axis).point(radius, 0.0, 0.0)
            }
        }
    }

    /// Its role in its feature.
    pub fn face_role(&self) -> Role {
        Role::of(&self.tag)
    }
}

/// Every plane and cylinder that is cut, in the order of the boundary's faces, and conical lead-ins; on a casting (`drafted`) every
/// other surface that will be cut, one for each tag. Ends of drills are not measured.
pub(super) fn elements(brep: &Brep, drafted: bool) -> Vec<MeasuredElement> {
    let mut out: Vec<MeasuredElement> = Vec::new();
    for (number, face) in brep.faces.iter().enumerate() {
        if face.tag.finish != Finish::Cut {
            continue;
        }
        let other = || drafted.then(|| any_shape(brep, number)).flatten();
        let lead_in =
            matches!(Role::of(&face.tag), Role::RegisterLeadIn | Role::BushingLeadIn | Role::SealLeadIn);
        let conical = || (drafted || lead_in).then(|| cone(brep, number)).flatten();
        let Some(shape) = shape(brep, number).or_else(conical).or_else(other) else { continue };
        let same = |e: &&mut MeasuredElement| e.tag == face.tag && is_same(e.shape, shape);
        if let Some(known) = out.iter_mut().find(same) {
            known.faces.push(number);
            known.shape = joined(known.shape, shape);
        } else {
            let (tag, faces) = (face.tag.clone(), vec![number]);
            let (name, shown) = (tag.to_string(), plain_names::face(&tag));
            let middle = P3::origin();
            out.push(MeasuredElement { name, shown, tag, faces, shape, middle });
        }
    }
    for k in 0..out.len() {
        let bounds = brep.bounds_of(out[k].faces.iter().copied());
        out[k].middle = nalgebra::center(&bounds.min, &bounds.max);
        let before = out[..k].iter().filter(|e| e.tag == out[k].tag).count();
        if before > 0 {
            let number = format!(" ({})", before + 1);
            out[k].name += &number;
            out[k].shown += &number;
        }
    }
    out
}

fn shape(brep: &Brep, number: usize) -> Option<ElementShape> {
    let face = &brep.faces[number];
    match &face.surface {
        Surface::Plane(plane) => {
            let point = plane.frame.origin;
            Some(ElementShape::Plane { point, outward: face.outward(point) })
        }
        Surface::Cylinder(cylinder) => {
            let (point, axis) = (cylinder.frame.origin, cylinder.frame.z);
            let edges = face.loops.iter().flatten();
            let along = edges.flat_map(|h| {
                (0..=8).map(|k| (brep.edge_point(h.edge, f64::from(k) / 8.0) - point).dot(&axis))
            });
            let [from, to] = range(along);
            let (radius, hole) = (cylinder.radius, !face.same_sense);
            Some(ElementShape::Cylinder { point, axis, radius, hole, span: AxialSpan { from, to } })
        }
        _ => None,
    }
}

/// From where to where faces run along an axis, from a point of it.
pub(super) fn axial_span(brep: &Brep, faces: &[usize], point: P3, axis: V3) -> AxialSpan {
    let edges = faces.iter().flat_map(|f| brep.faces[*f].loops.iter().flatten());
    let [from, to] = range(
        edges.flat_map(|h| (0..=8).map(|k| (brep.edge_point(h.edge, f64::from(k) / 8.0) - point).dot(&axis))),
    );
    AxialSpan { from, to }
}

/// A conical face, by the middle of its edges along the axis.
fn cone(brep: &Brep, number: usize) -> Option<ElementShape> {
    let face = &brep.faces[number];
    let Surface::Cone(cone) = &face.surface else { return None };
    let (apex, axis) = (cone.frame.origin, cone.frame.z);
    let edges = face.loops.iter().flatten();
    let [from, to] = range(
        edges.flat_map(|h| (0..=8).map(|k| (brep.edge_point(h.edge, f64::from(k) / 8.0) - apex).dot(&axis))),
    );
    let height = 0.5 * (from + to);
    let (radius, hole) = (height * cone.half_angle.tan(), !face.same_sense);
    Some(ElementShape::Cone { point: apex + axis * height, axis, radius, half_angle: cone.half_angle, hole })
}

/// A face of any shape, by a place on it.
fn any_shape(brep: &Brep, number: usize) -> Option<ElementShape> {
    let face = &brep.faces[number];
    let edges = face.loops.iter().flatten();
    let places: Vec<P3> = edges.map(|h| brep.edge_point(h.edge, 0.5)).collect();
    let middle = places.iter().map(|p| p.coords).sum::<V3>() / places.len().max(1) as f64;
    let point = face.surface.closest(P3::from(middle));
    point.iter().all(|x| x.is_finite()).then(|| ElementShape::Drafted { point, outward: face.outward(point) })
}

fn is_same(a: ElementShape, b: ElementShape) -> bool {
    match (a, b) {
        (ElementShape::Drafted { .. }, ElementShape::Drafted { .. }) => true,
        (ElementShape::Plane { point: p, outward: n }, ElementShape::Plane { point: q, outward: m }) => {
            (n - m).norm() < SAME && (p - q).dot(&n).abs() < SAME
        }
        (
            ElementShape::Cylinder { point: p, axis: n, radius: r, .. },
            ElementShape::Cylinder { point: q, axis: m, radius: s, .. },
        ) => n.cross(&m).norm() < SAME && (p - q).cross(&n).norm() < SAME && (r - s).abs() < SAME,
        (
            ElementShape::Cone { point: p, axis: n, radius: r, half_angle: a, .. },
            ElementShape::Cone { point: q, axis: m, radius: s, half_angle: b, .. },
        ) => {
            let higher = (q - p).dot(&n);
            (n - m).norm() < SAME
                && (p - q).cross(&n).norm() < SAME
                && (a - b).abs() < SAME
                && (r + higher * a.tan() - s).abs() < SAME
        }
        _ => false,
    }
}

/// Two pieces of one surface.
fn joined(a: ElementShape, b: ElementShape) -> ElementShape {
    let (
        ElementShape::Cylinder { point, axis, radius, hole, span },
        ElementShape::Cylinder { point: q, axis: m, span: other, .. },
    ) = (a, b)
    else {
        return a;
    };
    let (shift, sense) = ((q - point).dot(&axis), m.dot(&axis).signum());
    let ends = [other.from, other.to].map(|t| shift + sense * t);
    let span = AxialSpan { from: span.from.min(ends[0]).min(ends[1]), to: span.to.max(ends[0]).max(ends[1]) };
    ElementShape::Cylinder { point, axis, radius, hole, span }
}
