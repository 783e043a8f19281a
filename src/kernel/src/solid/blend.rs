//! The material between two supports and the ball that rolls along them.

use crate::tolerance::{SAME_ANGLE, SEGMENT_SLACK, SNAP};
use std::sync::Arc;

use crate::geometry::{Bounds, Circle, OffsetSurface, P3, Spine, Surface, V3, intersect};

/// How deep the material reaches into the supports, in radii. Where a support ends smoothly in the next one, which curves away
/// from it, the material must fill what lies between the support's continuation and the solid.
const ROOT: f64 = 0.35;

/// Farthest from the ball's centre that supports are taken to meet, in radii.
const REACH: f64 = 4.0;

/// A support that the ball touches.
#[derive(Clone, Debug)]
pub(in crate::solid) struct Support {
    pub(in crate::solid) offset: OffsetSurface,
    /// The support itself.
    pub(in crate::solid) surface: Surface,
}

impl Support {
    /// Unit vector from the ball's centre to its foot on the support.
    pub(in crate::solid) fn towards(&self, center: P3) -> V3 {
        self.offset.towards(center)
    }
}

/// The way of the ball's centre.
#[derive(Clone, Debug)]
pub(in crate::solid) enum SpineCurve {
    /// Straight: start, unit direction, length.
    Line(P3, V3, f64),
    /// Round: the circle, first and last angle.
    Circle(Circle, (f64, f64)),
    /// Any other.
    Spine(Arc<Spine>),
}

impl SpineCurve {
    /// Parameter range.
    pub(in crate::solid) fn range(&self) -> (f64, f64) {
        match self {
            Self::Line(_, _, length) => (0.0, *length),
            Self::Circle(_, range) => *range,
            Self::Spine(s) => (0.0, s.length()),
        }
    }

    /// Length for each unit of the parameter.
    pub(in crate::solid) fn length_per_parameter(&self) -> f64 {
        match self {
            Self::Circle(c, _) => c.radius,
            Self::Line(..) | Self::Spine(_) => 1.0,
        }
    }

    /// Point and unit tangent.
    pub(in crate::solid) fn at(&self, t: f64) -> (P3, V3) {
        match self {
            Self::Line(p, d, _) => (p + d * t, *d),
            Self::Circle(c, _) => {
                (c.frame.origin + c.frame.radial(t) * c.radius, c.frame.y * t.cos() - c.frame.x * t.sin())
            }
            Self::Spine(s) => {
                let j = s.jet(t);
                (j.point, j.first.normalize())
            }
        }
    }

    /// Curvature vector.
    pub(in crate::solid) fn bend(&self, t: f64) -> V3 {
        match self {
            Self::Line(..) => V3::zeros(),
            Self::Circle(c, _) => -c.frame.radial(t) / c.radius,
            Self::Spine(s) => s.jet(t).second,
        }
    }

    /// Parameter of the nearest point; beyond the range where it lies there.
    pub(in crate::solid) fn nearest(&self, p: P3) -> f64 {
        match self {
            Self::Line(o, d, _) => (p - o).dot(d),
            Self::Circle(c, (a, b)) => {
                let q = c.frame.local(p);
                let middle = 0.5 * (a + b);
                let turn = q.y.atan2(q.x) - middle;
                let turn =
                    (turn + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
                middle + turn
            }
            Self::Spine(s) => s.nearest(p),
        }
    }
}

/// The fillet along one spine, between two supports.
#[derive(Clone, Debug)]
pub(in crate::solid) struct FilletSegment {
    pub(in crate::solid) spine: SpineCurve,
    /// The piece of the spine that counts.
    pub(in crate::solid) range: (f64, f64),
    pub(in crate::solid) radius: f64,
    /// Seen along the spine the second support's foot lies a positive angle (first foot × tangent) from the first's.
    pub(in crate::solid) supports: [Support; 2],
    pub(in crate::solid) bounds: Bounds,
    /// Whether what the ball leaves folds.
    pub(in crate::solid) folded: bool,
}

impl FilletSegment {
    pub(in crate::solid) fn new(spine: SpineCurve, radius: f64, mut supports: [Support; 2]) -> Self {
        let range = spine.range();
        let (c, t) = spine.at(0.5 * (range.0 + range.1));
        let (x, y) = (supports[0].towards(c), supports[1].towards(c));
        if y.dot(&x.cross(&t)) < 0.0 {
            supports.swap(0, 1);
        }
        let mut out = Self { spine, range, radius, supports, bounds: Bounds::empty(), folded: false };
        out.bounds = out.hull();
        out
    }

    /// A box around the material: feet, and where the tangent planes at the feet meet, grown for what lies between the
    /// places looked at.
    fn hull(&self) -> Bounds {
        const PLACES: usize = 24;
        let (a, b) = self.range;
        let mut bounds = Bounds::empty();
        let mut before: Option<[P3; 4]> = None;
        let mut gap: f64 = 0.0;
        for k in 0..=PLACES {
            let t = a + (b - a) * k as f64 / PLACES as f64;
            let [x, y, apex] = self.triangle(t);
            let here = [x, y, apex, self.junction(t).unwrap_or(apex)];
            for p in here {
                bounds.include(p);
            }
            if let Some(before) = before {
                gap = here.iter().zip(&before).map(|(p, q)| (p - q).norm()).fold(gap, f64::max);
            }
            before = Some(here);
        }
        bounds.grown(0.25 * gap + (ROOT + 0.1) * self.radius)
    }

    /// Both feet and the point where the tangent planes there meet.
    pub(in crate::solid) fn triangle(&self, t: f64) -> [P3; 3] {
        let (c, _) = self.spine.at(t);
        let (x, y) = (self.supports[0].towards(c), self.supports[1].towards(c));
        let middle = (x + y) / (1.0 + x.dot(&y)).max(0.05);
        [c + x * self.radius, c + y * self.radius, c + middle * self.radius]
    }

    /// Least distance between neighbouring sections of the rolled face, in that of their centres: at nought the face
    /// would fold.
    pub(in crate::solid) fn least_stretch(&self) -> f64 {
        const PLACES: usize = 24;
        let (a, b) = self.spine.range();
        (0..=PLACES)
            .map(|k| self.stretch_at(a + (b - a) * k as f64 / PLACES as f64))
            .fold(f64::INFINITY, f64::min)
    }

    /// The same at one place.
    pub(in crate::solid) fn stretch_at(&self, t: f64) -> f64 {
        let (c, _) = self.spine.at(t);
        let bend = self.spine.bend(t);
        let (x, y) = (self.supports[0].towards(c), self.supports[1].towards(c));
        let shares = [0.0, 0.25, 0.5, 0.75, 1.0];
        let along = |share: f64| (x * (1.0 - share) + y * share).try_normalize(SAME_ANGLE).unwrap_or(x);
        shares.into_iter().map(|s| 1.0 - self.radius * along(s).dot(&bend)).fold(f64::INFINITY, f64::min)
    }

    /// Where the supports themselves meet, straight behind the ball: beyond the apex where a support bulges.
    pub(in crate::solid) fn junction(&self, t: f64) -> Option<P3> {
        let (c, tangent) = self.spine.at(t);
        let apex = self.triangle(t)[2];
        let p = intersect::on_plane(&self.supports[0].surface, &self.supports[1].surface, apex, tangent)?;
        ((p - c).norm() < REACH * self.radius).then_some(p)
    }

    /// Angle from the first foot to the second.
    pub(in crate::solid) fn opening(&self, t: f64) -> f64 {
        let (c, _) = self.spine.at(t);
        self.supports[0].towards(c).angle(&self.supports[1].towards(c))
    }

    /// Parameter of the ball's place that is nearest to `p`; where the canal folds, of that at the ball's radius.
    pub(in crate::solid) fn nearest(&self, p: P3) -> f64 {
        match &self.spine {
            SpineCurve::Spine(s) if self.folded => s.nearest_at(p, self.radius),
            spine => spine.nearest(p),
        }
    }

    /// The ball's place on the fillet segment that is nearest to `p`.
    pub(in crate::solid) fn center_near(&self, p: P3) -> P3 {
        self.spine.at(self.nearest(p).clamp(self.range.0, self.range.1)).0
    }

    /// A box that the ball keeps to on its way along the segment.
    pub(in crate::solid) fn swept(&self) -> Bounds {
        let path = match &self.spine {
            SpineCurve::Line(..) => Bounds::around([self.range.0, self.range.1].map(|t| self.spine.at(t).0)),
            SpineCurve::Circle(c, _) => {
                let half = V3::from_fn(|k, _| c.radius * c.frame.x[k].hypot(c.frame.y[k]));
                Bounds { min: c.frame.origin - half, max: c.frame.origin + half }
            }
            SpineCurve::Spine(s) => *s.bounds(),
        };
        path.grown(self.radius + SNAP)
    }

    /// Whether the ball holds `p` somewhere on its way along the segment.
    pub(in crate::solid) fn ball_holds(&self, p: P3) -> bool {
        let near = match &self.spine {
            SpineCurve::Spine(s) => s.bounds().distance(p) < self.radius,
            _ => true,
        };
        near && self.distance(p) < self.radius
    }

    /// Distance of `p` from the ball's path along the segment.
    pub(in crate::solid) fn distance(&self, p: P3) -> f64 {
        match &self.spine {
            SpineCurve::Spine(s) if self.folded => s.distance(p),
            _ => (self.center_near(p) - p).norm(),
        }
    }

    /// Whether a place that the fillet claims lies so close behind the ball, and behind neither of the planes at its feet by more than needs no
    /// proof, that no other ball comes to it.
    pub(in crate::solid) fn is_close_behind(&self, p: P3) -> bool {
        let c = self.center_near(p);
        let most = (1.0 + BEHIND_A_FOOT) * self.radius;
        let w = p - c;
        w.norm() < CLOSE_BEHIND * self.radius
            && self.supports.iter().all(|support| w.dot(&support.towards(c)) <= most)
    }

    pub(in crate::solid) fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let t = self.nearest(p);
        let (c, tangent) = self.spine.at(t);
        let w = p - c;
        let within = t >= self.range.0 - SEGMENT_SLACK && t <= self.range.1 + SEGMENT_SLACK;
        if !within || w.norm() < self.radius {
            return false;
        }
        let x = self.supports[0].towards(c);
        let y = x.cross(&tangent);
        let angle = w.dot(&y).atan2(w.dot(&x));
        let to = self.supports[1].towards(c);
        let opening = to.dot(&y).atan2(to.dot(&x));
        let within = behind_no_foot(&w, &[x, to], self.radius)
            || self.junction(t).is_some_and(|j| w.norm() < (j - c).norm() + ROOT * self.radius);
        angle >= 0.0
            && angle <= opening
            && within
            && self.supports.iter().all(|support| support.offset.height(p, self.radius) > -ROOT * self.radius)
    }
}

/// How far behind the plane at a foot a fillet's claim needs no proof, in radii of the ball. Farther in it is the body's own metal, or the
/// body ends there.
const BEHIND_A_FOOT: f64 = 0.02;

/// Whether a place, seen from the ball's centre, lies behind the tangent planes at its feet by no more than the root. Supports that end,
/// or bend away, bound nothing farther in: what no ball reaches there is a gap, and is told by where the ball can be.
fn behind_no_foot(w: &V3, feet: &[V3], radius: f64) -> bool {
    feet.iter().all(|foot| w.dot(foot) <= (1.0 + ROOT) * radius)
}

/// How far behind a ball a claim needs no proof, in radii of the ball: three walls at right angles meet at 1.73. Two walls that are nearly parallel
/// meet many radii behind the ball, beyond places that balls come to from the other side of the gap between them.
const CLOSE_BEHIND: f64 = 2.0;

/// Cosine between two feet below which their walls stand at an acute angle, less than 60°. There the walls may meet many radii behind the
/// ball, or end before they do, and a support that bends away leaves room between itself and the plane at its foot that other balls
/// come to: everything there needs a proof.
const ACUTE: f64 = -0.5;

/// The fillet where three or more supports meet: outside the ball at rest there.
#[derive(Clone, Debug)]
pub(in crate::solid) struct VertexBlend {
    pub(in crate::solid) center: P3,
    pub(in crate::solid) radius: f64,
    /// Directions to the feet, counter-clockwise seen from the centre.
    pub(in crate::solid) feet: Vec<V3>,
    pub(in crate::solid) supports: Vec<Support>,
    pub(in crate::solid) bounds: Bounds,
    /// How far from the centre its claim needs no proof, mm.
    close: f64,
}

impl VertexBlend {
    /// `feet` in order around.
    pub(in crate::solid) fn new(center: P3, radius: f64, mut feet: Vec<V3>, supports: Vec<Support>) -> Self {
        let middle: V3 = feet.iter().sum();
        if feet[0].cross(&feet[1]).dot(&middle) < 0.0 {
            feet.reverse();
        }
        let mut bounds = Bounds::around(feet.iter().map(|d| center + d * radius));
        // The planes at the feet meet no farther out than this.
        let unit = middle.normalize();
        let least = feet.iter().map(|d| d.dot(&unit)).fold(1.0, f64::min).max(0.2);
        bounds.include(center + unit * (radius / least * 1.3));
        let bounds = bounds.grown(0.8 * radius);
        let is_acute = feet.iter().enumerate().any(|(k, a)| feet[k + 1..].iter().any(|b| a.dot(b) < ACUTE));
        let close = if is_acute { 0.0 } else { CLOSE_BEHIND * radius };
        Self { center, radius, feet, supports, bounds, close }
    }

    /// Whether a place lies so close behind the ball that no other ball comes to it.
    pub(in crate::solid) fn is_close_behind(&self, p: P3) -> bool {
        (p - self.center).norm() < self.close
    }

    pub(in crate::solid) fn contains(&self, p: P3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let w = p - self.center;
        let n = self.feet.len();
        w.norm() >= self.radius
            && behind_no_foot(&w, &self.feet, self.radius)
            && (0..n).all(|i| self.feet[i].cross(&self.feet[(i + 1) % n]).dot(&w) >= -SEGMENT_SLACK)
            && self.supports.iter().all(|support| support.offset.height(p, self.radius) > -ROOT * self.radius)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ball that rests on a shell in the narrow angle between two walls: beside its foot the shell bends away from the plane there, and
    /// what lies between is asked of other balls. Beside a corner of three walls at right angles it is not.
    #[test]
    fn a_corner_in_an_acute_angle_is_asked_of_everywhere() {
        let feet = [
            [0.825_216, -0.564_817, 0.0],
            [-0.639_659, 0.768_507, -0.015_266],
            [-0.078_352, 0.146_198, 0.986_148],
        ];
        let acute = VertexBlend::new(P3::origin(), 8.0, feet.map(V3::from).to_vec(), vec![]);
        let square = VertexBlend::new(P3::origin(), 8.0, vec![V3::x(), V3::y(), V3::z()], vec![]);
        let beside = P3::from(V3::new(3.94, 8.07, 7.64));
        assert!(acute.contains(beside) && !acute.is_close_behind(beside));
        let behind = P3::new(7.9, 7.9, 7.9);
        assert!(square.contains(behind) && square.is_close_behind(behind), "the corner itself");
    }

    /// Feet that lie nearly in one plane, as where a ball rests between two bodies and on a third from the side.
    #[test]
    fn a_corner_claims_no_place_far_behind_the_ball() {
        let feet = [
            V3::new(-0.863_557, -0.467_533, -0.188_896),
            V3::new(0.896_865, -0.205_707, 0.391_558),
            V3::new(0.0, -0.465_080, 0.885_269),
        ];
        let feet: Vec<V3> = feet.iter().map(V3::normalize).collect();
        let corner = VertexBlend::new(P3::origin(), 9.0, feet, vec![]);
        let along = V3::new(-9.62, -48.87, 15.76).normalize();
        assert!(corner.contains(P3::from(along * 9.001)), "just behind the ball");
        for far in [25.0, 40.0, 52.24] {
            assert!(!corner.contains(P3::from(along * far)), "{far} mm from its centre");
        }
    }
}
