//! Curves of a filleted body's edges.

use std::sync::Arc;

use crate::geometry::{Canal, Circle, ContactCurve, Curve, Frame, Line, OffsetSurface, P3, Surface};
use crate::solid::blend::{FilletSegment, SpineCurve};
use crate::solid::brep::BrepEdge;
use crate::solid::patch::PrimitiveCurve;
use crate::tolerance::{ON_CONTACT_CURVE, VERTEX_FIT};

/// A curve with the range of an edge.
pub(super) type EdgeCurve = (PrimitiveCurve, (f64, f64));

/// The straight edge between two corners.
pub(super) fn line(from: P3, to: P3) -> EdgeCurve {
    let d = to - from;
    (PrimitiveCurve::Plain(Curve::Line(Line { origin: from, dir: d.normalize() })), (0.0, d.norm()))
}

/// The shortest arc about a centre between two points at one distance from it.
pub(super) fn arc(center: P3, from: P3, to: P3) -> EdgeCurve {
    let (x, y) = (from - center, to - center);
    let frame = Frame::from_zx(center, x.cross(&y), x);
    (PrimitiveCurve::Plain(Curve::Circle(Circle { frame, radius: x.norm() })), (0.0, x.angle(&y)))
}

/// The edge between two faces that run on smoothly, moved with both; `feet` are its start, middle and end there.
pub(super) fn moved(
    edge: &BrepEdge,
    feet: [P3; 3],
    surfaces: [&Surface; 2],
    contacts: &mut ContactCurves,
) -> Option<EdgeCurve> {
    let [a, m, b] = feet;
    match &edge.curve {
        Curve::Line(_) => Some(line(a, b)),
        Curve::Circle(c) => {
            let circle = moved_circle(c, m);
            let curve = Curve::Circle(circle);
            let (t0, t1) = edge.range;
            let fits = (curve.point(t0) - a).norm().max((curve.point(t1) - b).norm()) < VERTEX_FIT;
            fits.then_some((PrimitiveCurve::Plain(curve), edge.range))
        }
        _ => {
            // Of two canals either may be the support of the other.
            (0..2).find_map(|k| {
                let Surface::Canal(canal) = surfaces[k] else { return None };
                let contact = contacts.on(canal, surfaces[1 - k], m)?;
                let at = |p: P3| contact.param(p, ON_CONTACT_CURVE);
                at(m)?;
                let range = (at(a)?, at(b)?);
                Some((PrimitiveCurve::Contact(contact), range))
            })
        }
    }
}

/// The circle about the axis of another through a point.
pub(super) fn moved_circle(c: &Circle, through: P3) -> Circle {
    let frame = c.frame.moved_to(c.frame.point(0.0, 0.0, c.frame.local(through).z));
    Circle { frame, radius: (through - frame.origin).norm() }
}

/// Contact curves found so far, each once.
#[derive(Default)]
pub(super) struct ContactCurves(Vec<Arc<ContactCurve>>);

impl ContactCurves {
    /// The contact curve of a canal on a guiding surface.
    pub(super) fn of(&mut self, canal: &Arc<Canal>, offset: &OffsetSurface) -> Arc<ContactCurve> {
        let same = |r: &&Arc<ContactCurve>| Arc::ptr_eq(r.canal(), canal) && r.offset() == offset;
        if let Some(found) = self.0.iter().find(same) {
            return found.clone();
        }
        let contact = Arc::new(ContactCurve::new(canal.clone(), offset.clone()));
        self.0.push(contact.clone());
        contact
    }

    /// The contact curve along which a canal touches a support near `p`.
    fn on(&mut self, canal: &Arc<Canal>, support: &Surface, p: P3) -> Option<Arc<ContactCurve>> {
        let center = canal.spine.point(canal.spine.nearest(p));
        // The support lies against the gradient of the surface that the centre runs on where the centre is on its outside.
        let outside = support.f(center) > 0.0;
        let surface = support.offset(if outside { canal.radius } else { -canal.radius })?;
        Some(self.of(canal, &OffsetSurface { surface, against: outside }))
    }
}

/// The edge along which a fillet segment touches a support (its first or second), between two parameters of the fillet segment's spine and
/// the corners there.
pub(super) fn contact_edge(
    segment: &FilletSegment,
    side: usize,
    range: (f64, f64),
    ends: [P3; 2],
    canal: Option<&Arc<Canal>>,
    contacts: &mut ContactCurves,
) -> EdgeCurve {
    match (&segment.spine, canal) {
        (SpineCurve::Spine(_), Some(canal)) => {
            (PrimitiveCurve::Contact(contacts.of(canal, &segment.supports[side].offset)), range)
        }
        (SpineCurve::Circle(c, _), _) => {
            let q = c.frame.local(segment.triangle(0.5 * (range.0 + range.1))[side]);
            let frame = c.frame.moved_to(c.frame.point(0.0, 0.0, q.z));
            (PrimitiveCurve::Plain(Curve::Circle(Circle { frame, radius: q.x.hypot(q.y) })), range)
        }
        _ => line(ends[0], ends[1]),
    }
}
