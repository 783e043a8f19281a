//! Curves of a filleted body's edges.

use std::sync::Arc;

use crate::geometry::{Canal, Circle, Curve, Frame, Guide, Line, P3, Rail, Surface};
use crate::solid::blend::{FilletSegment, SpineCurve};
use crate::solid::brep::BrepEdge;
use crate::solid::patch::PrimitiveCurve;
use crate::tolerance::SNAP;

/// A curve with the range of an edge.
pub(super) type Piece = (PrimitiveCurve, (f64, f64));

/// The straight edge between two corners.
pub(super) fn line(from: P3, to: P3) -> Piece {
    let d = to - from;
    (PrimitiveCurve::Plain(Curve::Line(Line { origin: from, dir: d.normalize() })), (0.0, d.norm()))
}

/// The shortest arc about a centre between two points at one distance from it.
pub(super) fn arc(center: P3, from: P3, to: P3) -> Piece {
    let (x, y) = (from - center, to - center);
    let frame = Frame::from_zx(center, x.cross(&y), x);
    (PrimitiveCurve::Plain(Curve::Circle(Circle { frame, radius: x.norm() })), (0.0, x.angle(&y)))
}

/// The edge between two faces that run on smoothly, moved with both; `feet` are its start, middle and end there.
pub(super) fn moved(
    edge: &BrepEdge,
    feet: [P3; 3],
    surfaces: [&Surface; 2],
    rails: &mut Rails,
) -> Option<Piece> {
    let [a, m, b] = feet;
    match &edge.curve {
        Curve::Line(_) => Some(line(a, b)),
        Curve::Circle(c) => {
            let height = c.frame.local(m).z;
            let frame = c.frame.moved_to(c.frame.point(0.0, 0.0, height));
            let circle = Circle { frame, radius: (m - frame.origin).norm() };
            let curve = Curve::Circle(circle);
            let (t0, t1) = edge.range;
            let fits = (curve.point(t0) - a).norm().max((curve.point(t1) - b).norm()) < 2.0 * SNAP;
            fits.then_some((PrimitiveCurve::Plain(curve), edge.range))
        }
        _ => {
            // Of two canals either may be the wall of the other.
            (0..2).find_map(|k| {
                let Surface::Canal(canal) = surfaces[k] else { return None };
                let rail = rails.on(canal, surfaces[1 - k], m)?;
                let at = |p: P3| rail.param(p, 4.0 * SNAP);
                at(m)?;
                let range = (at(a)?, at(b)?);
                Some((PrimitiveCurve::Rail(rail), range))
            })
        }
    }
}

/// Rails found so far, each once.
#[derive(Default)]
pub(super) struct Rails(Vec<Arc<Rail>>);

impl Rails {
    /// The rail of a canal on a guiding surface.
    pub(super) fn of(&mut self, canal: &Arc<Canal>, guide: &Guide) -> Arc<Rail> {
        let same = |r: &&Arc<Rail>| Arc::ptr_eq(r.canal(), canal) && r.guide() == guide;
        if let Some(found) = self.0.iter().find(same) {
            return found.clone();
        }
        let rail = Arc::new(Rail::new(canal.clone(), guide.clone()));
        self.0.push(rail.clone());
        rail
    }

    /// The rail along which a canal touches a wall near `p`.
    fn on(&mut self, canal: &Arc<Canal>, wall: &Surface, p: P3) -> Option<Arc<Rail>> {
        let center = canal.spine.point(canal.spine.nearest(p));
        // The wall lies against the gradient of the surface that the centre runs on where the centre is on its outside.
        let outside = wall.f(center) > 0.0;
        let surface = wall.offset(if outside { canal.radius } else { -canal.radius })?;
        Some(self.of(canal, &Guide { surface, against: outside }))
    }
}

/// The edge along which a strip touches a wall (its first or second), between two parameters of the strip's path and
/// the corners there.
pub(super) fn rail(
    strip: &FilletSegment,
    side: usize,
    range: (f64, f64),
    ends: [P3; 2],
    canal: Option<&Arc<Canal>>,
    rails: &mut Rails,
) -> Piece {
    match (&strip.path, canal) {
        (SpineCurve::Spine(_), Some(canal)) => {
            (PrimitiveCurve::Rail(rails.of(canal, &strip.walls[side].guide)), range)
        }
        (SpineCurve::Circle(c, _), _) => {
            let q = c.frame.local(strip.triangle(0.5 * (range.0 + range.1))[side]);
            let frame = c.frame.moved_to(c.frame.point(0.0, 0.0, q.z));
            (PrimitiveCurve::Plain(Curve::Circle(Circle { frame, radius: q.x.hypot(q.y) })), range)
        }
        _ => line(ends[0], ends[1]),
    }
}
