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
        Curve::Line(l) => Some(parallel(l, feet).unwrap_or_else(|| line(a, b))),
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

/// The line parallel to another through the middle of an edge, between its corners; `None` where these lie beside it. A line through both corners
/// would lean by what they are off: on an edge of a few micrometres that is enough to be taken for another line than the one in which the surfaces
/// meet.
fn parallel(l: &Line, [a, m, b]: [P3; 3]) -> Option<EdgeCurve> {
    let dir = l.dir * (b - a).dot(&l.dir).signum();
    let [start, end] = [a, b].map(|p| m + dir * (p - m).dot(&dir));
    let fits = (start - a).norm().max((end - b).norm()) < VERTEX_FIT;
    fits.then(|| {
        (PrimitiveCurve::Plain(Curve::Line(Line { origin: start, dir })), (0.0, (end - start).dot(&dir)))
    })
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::V3;

    /// A seam of 2.2 µm between corners that are 0.4 nm off keeps the direction of the wall: by its corners it would lean by a
    /// ten-thousandth, and count as another line than the wall's own.
    #[test]
    fn a_short_line_keeps_its_direction() {
        let wall = Line { origin: P3::new(-10.0, 5.0, 3.0), dir: V3::x() };
        let a = P3::new(0.0, 6.0 + 2e-7, 3.0);
        let (m, b) = (P3::new(0.0011, 6.0, 3.0), P3::new(0.0022, 6.0 - 2e-7, 3.0 + 3e-7));
        for (feet, sense) in [([a, m, b], 1.0), ([b, m, a], -1.0)] {
            let (PrimitiveCurve::Plain(Curve::Line(made)), range) = parallel(&wall, feet).expect("a line")
            else {
                panic!("another curve");
            };
            assert_eq!(made.dir, sense * wall.dir);
            assert!(range.0.abs() < 1e-15);
            assert!((range.1 - 0.0022).abs() < 1e-12 && (made.origin - feet[0]).norm() < 1e-6);
        }
        assert!(parallel(&wall, [a, m, b + V3::y() * 1e-3]).is_none(), "not parallel");
    }
}
