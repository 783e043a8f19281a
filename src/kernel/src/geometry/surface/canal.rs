//! The surface swept by a ball.

use crate::tolerance::{
    CANAL_OVERRUN, FOLDED, NO_DIRECTION, NOT_ZERO, SECTIONS_APART, SPLINE_EDGE_FIT, STRAIGHT, STRAIGHT_SPINE,
};
use std::sync::Arc;

use crate::geometry::{Frame, OffsetSurface, P3, Spine, V2, V3};

/// A tube of constant radius about a spine, running on a little beyond the spine's ends. First parameter: length along
/// the spine; second: the angle about it, measured from the foot on a guiding surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Canal {
    /// The path of the ball's centre.
    pub spine: Arc<Spine>,
    /// The ball's radius, mm.
    pub radius: f64,
    /// The wall from whose foot the angle counts.
    pub offset: OffsetSurface,
    frame: Frame,
    /// Greatest turn of the section per length.
    stretch: f64,
    /// Whether sections cross, as the spine turns more tightly than the ball.
    folded: bool,
}

/// The plane across the spine at a place.
pub struct NormalPlane {
    center: P3,
    /// Derivative of the centre.
    along: V3,
    /// Unit vectors at angle zero and a quarter turn.
    x: V3,
    y: V3,
    /// Their derivatives.
    dx: V3,
    dy: V3,
}

impl NormalPlane {
    /// From the spine to a point of the section.
    pub(in crate::geometry) fn outward(&self, p: P3) -> V3 {
        p - self.center
    }

    /// The angle of a point about the spine.
    fn angle(&self, p: P3) -> f64 {
        let w = self.outward(p);
        w.dot(&self.y).atan2(w.dot(&self.x))
    }
}

impl Canal {
    /// A canal along a spine that lies on the offset.
    pub fn new(spine: Arc<Spine>, radius: f64, offset: OffsetSurface) -> Self {
        let mut out = Self { spine, radius, offset, frame: Frame::world(), stretch: 0.0, folded: false };
        let s = out.section(0.0);
        out.frame = Frame::from_zx(s.center, s.along, s.x);
        out.stretch = out.greatest_turn();
        out
    }

    pub(in crate::geometry) fn frame(&self) -> &Frame {
        &self.frame
    }

    pub(in crate::geometry) fn section(&self, t: f64) -> NormalPlane {
        let j = self.spine.jet(t);
        let (x, dx) = (self.offset.towards(j.point), self.offset.turning(j.point, j.first));
        let speed = j.first.norm();
        let unit = j.first / speed;
        let turn = (j.second - unit * j.second.dot(&unit)) / speed;
        NormalPlane {
            center: j.point,
            along: j.first,
            x,
            y: x.cross(&unit),
            dx,
            dy: dx.cross(&unit) + x.cross(&turn),
        }
    }

    /// The same canal, of which sections are known to cross: of several places of the spine that are near to a point, it takes
    /// the one at the ball's radius.
    #[must_use]
    pub fn folded(self) -> Self {
        Self { folded: true, ..self }
    }

    /// Whether sections of it cross at a point of it, or are about to: it is folded there, or ends its fold.
    pub(in crate::geometry) fn folds_at(&self, p: P3) -> bool {
        self.folded && {
            let j = self.spine.jet(self.nearest(p));
            j.first.norm_squared() - (p - j.point).dot(&j.second) < FOLDED
        }
    }

    /// Whether sections of it are known to cross.
    pub fn is_folded(&self) -> bool {
        self.folded
    }

    /// The spine's parameter of the nearest point.
    fn nearest(&self, p: P3) -> f64 {
        if self.folded { self.spine.nearest_at(p, self.radius) } else { self.spine.nearest(p) }
    }

    /// The same of a point on the tube or next to it; `last` is the place of a point beside it, if one is known, and becomes that of
    /// this one.
    fn nearest_after(&self, p: P3, last: &mut Option<f64>) -> f64 {
        let beside = last.and_then(|t| self.spine.nearest_beside(p, t, self.radius, SPLINE_EDGE_FIT));
        *last.insert(beside.unwrap_or_else(|| self.nearest(p)))
    }

    /// Parameters of a point on the tube, how fast they change when it moves with velocity `d`, and how far it misses the canal;
    /// `last` as for the distance.
    pub(in crate::geometry) fn step_after(
        &self,
        p: P3,
        d: V3,
        last: &mut Option<f64>,
    ) -> ((f64, f64), V2, f64) {
        let u = self.nearest_after(p, last);
        let section = self.section(u);
        let missed = self.missed((p - section.center).norm() - self.radius, u);
        let v = section.angle(p);
        let (_, along, across) = self.jet_in(&section, v);
        // The angle does not change the place along the spine: project across first.
        let unit = along - across * (across.dot(&along) / across.norm_squared());
        let du = d.dot(&unit) / along.dot(&unit);
        ((u, v), V2::new(du, (d - along * du).dot(&across) / across.norm_squared()), missed)
    }

    /// How far a point lies off the surface, or beyond the ends of the canal, where its surface runs on as it may, mm.
    fn missed(&self, distance: f64, along: f64) -> f64 {
        let beyond = (-along).max(along - self.spine.length());
        if beyond > CANAL_OVERRUN { beyond.max(distance.abs()) } else { distance.abs() }
    }

    /// The spine's parameter of the nearest point, and that point.
    fn foot(&self, p: P3) -> (f64, P3) {
        let t = self.nearest(p);
        (t, self.spine.point(t))
    }

    /// Signed distance of a point from the surface, and its place along the spine, both mm: below zero or beyond the spine's
    /// length where the surface runs on past its ends.
    pub fn distance_and_place(&self, p: P3) -> (f64, f64) {
        let (t, c) = self.foot(p);
        ((p - c).norm() - self.radius, t)
    }

    pub(in crate::geometry) fn f(&self, p: P3) -> f64 {
        self.distance_and_place(p).0
    }

    pub(in crate::geometry) fn grad(&self, p: P3) -> V3 {
        self.value_and_grad(p).1
    }

    pub(in crate::geometry) fn value_and_grad(&self, p: P3) -> (f64, V3) {
        let (t, c) = self.foot(p);
        let w = p - c;
        (w.norm() - self.radius, w.try_normalize(NO_DIRECTION).unwrap_or_else(|| self.section(t).x))
    }

    /// The nearest point.
    pub(in crate::geometry) fn closest(&self, p: P3) -> P3 {
        let (f, grad) = self.value_and_grad(p);
        p - grad * f
    }

    pub(in crate::geometry) fn point(&self, u: f64, v: f64) -> P3 {
        self.point_and_normal(u, v).0
    }

    /// The point, and the outward normal there, without a search for the point's place along the spine.
    pub(in crate::geometry) fn point_and_normal(&self, u: f64, v: f64) -> (P3, V3) {
        let j = self.spine.jet(u);
        let x = self.offset.towards(j.point);
        let y = x.cross(&(j.first / j.first.norm()));
        let normal = x * v.cos() + y * v.sin();
        (j.point + normal * self.radius, normal)
    }

    /// The point of a section at an angle.
    fn point_in(&self, s: &NormalPlane, v: f64) -> P3 {
        s.center + (s.x * v.cos() + s.y * v.sin()) * self.radius
    }

    /// The points of one section at some angles.
    pub(crate) fn ring(&self, u: f64, angles: impl Iterator<Item = f64>) -> Vec<P3> {
        let s = self.section(u);
        angles.map(|v| self.point_in(&s, v)).collect()
    }

    pub(in crate::geometry) fn params(&self, p: P3) -> (f64, f64) {
        let t = self.nearest(p);
        (t, self.section(t).angle(p))
    }

    /// The angle of a point about the spine.
    pub fn angle(&self, p: P3) -> f64 {
        self.params(p).1
    }

    /// The angle of a point about one place of the spine, whether or not that place is the nearest one.
    pub(crate) fn angle_at(&self, t: f64, p: P3) -> f64 {
        self.section(t).angle(p)
    }

    /// The point at an angle at distance radius over `weight` from the spine, and its derivative along the spine:
    /// where a section's arc, written as a rational quadratic, has a pole of that weight.
    pub fn pole(&self, t: f64, angle: f64, weight: f64) -> (P3, V3) {
        let s = self.section(t);
        let (sn, cs) = angle.sin_cos();
        let r = self.radius / weight;
        (s.center + (s.x * cs + s.y * sn) * r, s.along + (s.dx * cs + s.dy * sn) * r)
    }

    /// Point and both derivatives.
    pub(in crate::geometry) fn jet(&self, u: f64, v: f64) -> (P3, V3, V3) {
        self.jet_in(&self.section(u), v)
    }

    /// The same in a section.
    pub(in crate::geometry) fn jet_in(&self, s: &NormalPlane, v: f64) -> (P3, V3, V3) {
        let (sn, cs) = v.sin_cos();
        let r = self.radius;
        (
            s.center + (s.x * cs + s.y * sn) * r,
            s.along + (s.dx * cs + s.dy * sn) * r,
            (s.y * cs - s.x * sn) * r,
        )
    }

    /// Greatest turn of the section per length: the spine's own and the offset's.
    pub(in crate::geometry) fn stretch(&self) -> f64 {
        self.stretch
    }

    fn greatest_turn(&self) -> f64 {
        let turn = |t: &f64| {
            let s = self.section(*t);
            s.dx.norm().max(s.dy.norm())
        };
        1.2 * self.spine.knots().iter().map(turn).fold(self.spine.bend(), f64::max)
    }

    /// A bound of the normal curvature about a place on the tube with an outward normal, 1/mm: for places up to `along` mm off along the spine
    /// and `turned` radians about it. Where the spine turns away from the normal the tube bends less than the ball, however tightly the
    /// spine turns; infinite where sections may cross.
    pub(in crate::geometry) fn bend_about(&self, (u, normal): (f64, V3), along: f64, turned: f64) -> f64 {
        let bend = self.spine.bend_towards(u, along, (normal, turned + self.stretch * along));
        let room = 1.0 - bend * self.radius;
        if room > 0.0 { (1.0 / self.radius).max(bend / room) } else { f64::INFINITY }
    }

    /// The curvature across which flat triangles along the tube stray from it, between two places of the spine, 1/mm: sections turn about
    /// the centre of the spine's bend, at the tube's inner side where the radius is least. Asked at both places and between them.
    pub fn path_bend(&self, from: f64, to: f64) -> f64 {
        let at = |t: f64| {
            let j = self.spine.jet(t);
            j.first.cross(&j.second).norm() / j.first.norm().powi(3)
        };
        let bend = at(from).max(at(0.5 * (from + to))).max(at(to));
        (bend / (1.0 - bend * self.radius).max(0.2)).max(STRAIGHT)
    }

    /// What the distance about a place is told by.
    pub(in crate::geometry) fn foot_jet(&self, p: P3) -> FootJet {
        let t = self.nearest(p);
        let j = self.spine.jet(t);
        let w = p - j.point;
        let size = w.norm();
        // Sections are one and one apart where the spine does not bend towards the point.
        let apart = (1.0 - w.dot(&j.second)).max(0.0);
        FootJet {
            value: size - self.radius,
            gradient: w.try_normalize(NO_DIRECTION).unwrap_or_else(|| self.section(t).x),
            kink: size.min(apart / self.spine.bend().max(STRAIGHT_SPINE)),
            along: j.first,
            apart: (j.first.norm_squared() - w.dot(&j.second)).max(SECTIONS_APART),
            size: size.max(NOT_ZERO),
        }
    }
}

/// The distance from a canal about a place, by the foot of the place on the spine.
pub(in crate::geometry) struct FootJet {
    /// Signed distance.
    pub(in crate::geometry) value: f64,
    /// Its gradient.
    pub(in crate::geometry) gradient: V3,
    /// Distance to the nearest kink of the distance: the spine, or where its points' planes meet.
    pub(in crate::geometry) kink: f64,
    /// Derivative of the spine at the foot.
    pub(in crate::geometry) along: V3,
    /// How far sections are apart at the place, in shares of their distance on the spine.
    pub(in crate::geometry) apart: f64,
    /// Distance from the spine.
    pub(in crate::geometry) size: f64,
}
