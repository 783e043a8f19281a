//! Places that are filled so that a ball does not come there.
//!
//! Where the paths of a ball can't be told at one place (they turn too tightly, cross too flatly, or the boundary does not close),
//! a smaller ball for the whole body would cost all its joints their radius. A little more metal at that place costs
//! only the place: a rod with round ends is laid into the corner, so deep that the ball's centre is kept off the place by a
//! given distance, and the ball rolls over it as over any other body. A founder does the same with wax.

use nalgebra::Rotation3;

use crate::geometry::{Frame, P2, P3, V3};
use crate::solid::primitive::Primitive;
use crate::solid::segment::Segment;
use crate::solid::tag::Tag;
use crate::tolerance::NO_DIRECTION;

/// How far the ball's centre is kept off the place along its path, tried in turn, in radii of the ball. At last the rod lies in the place itself:
/// in a gap, no other one keeps balls on both sides of it off each other.
const EXTENTS: [f64; 5] = [0.45, 0.8, 1.2, 1.45, 1.0 + ROD];

/// Radius of the rod, in those of the ball.
const ROD: f64 = 0.6;

/// What fails within this of where it failed before, mm, was not changed by what was filled: each boundary finds its places to a few nanometres.
const UNTOUCHED: f64 = 1e-5;

/// Places that are filled for one plan.
pub(super) const MOST: usize = 20;

/// How often a place may be made longer.
const MOST_LONGER: usize = 3;

/// By how much at least all of a place is covered, in radii of the ball.
const COVER: f64 = 0.03;

/// Farthest that a failure at the rod itself may lie from its place to be cured by a longer one, in radii of the ball.
pub(super) const BESIDE: f64 = 2.5;

/// Distance from the centre at which metal is looked for, in radii of the ball.
const LOOK: f64 = 1.25;

/// Directions in which metal is looked for.
const DIRECTIONS: u32 = 2000;

/// Least share of the directions' sum: less where metal lies on opposite sides.
const LEAST_SIDE: f64 = 0.03;

/// Odd angles by which a rod's axis leans off the path: what lies nearly along a wall, but not just so, takes the evaluator long.
const LEAN: [f64; 3] = [0.053, -0.037, 0.041];

/// A stretch of a ball's path, or one place, that the ball is to be kept off.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Corner {
    /// Places of the ball's centre, in order.
    pub(super) path: Vec<P3>,
    /// The direction from there into the corner.
    pub(super) towards: V3,
    /// Whether the rod is to lie in the path itself: in a gap, where it keeps balls on both sides off each other.
    pub(super) within: bool,
}

impl Corner {
    /// The corner in which a ball lies; `None` where metal lies on opposite sides, or nowhere near.
    pub(super) fn about(centre: P3, radius: f64, metal: &dyn Fn(P3) -> bool) -> Option<Self> {
        let golden = std::f64::consts::PI * (3.0 - 5f64.sqrt());
        let direction = |k: u32| {
            let z = 1.0 - (2.0 * f64::from(k) + 1.0) / f64::from(DIRECTIONS);
            let (angle, r) = (golden * f64::from(k), (1.0 - z * z).sqrt());
            V3::new(r * angle.cos(), r * angle.sin(), z)
        };
        let met = (0..DIRECTIONS).map(direction).filter(|d| metal(centre + d * (LOOK * radius)));
        let (sum, count) = met.fold((V3::zeros(), 0.0), |(s, n), d| (s + d, n + 1.0));
        let sided = sum.norm() > LEAST_SIDE * count && count > 0.0;
        sided.then(|| Self { path: vec![centre], towards: sum.normalize(), within: false })
    }

    /// Distance of a place from it, mm.
    pub(super) fn distance(&self, p: P3) -> f64 {
        self.path.iter().map(|q| (p - q).norm()).fold(f64::INFINITY, f64::min)
    }
}

/// A place that is filled.
#[derive(Clone, Debug)]
pub struct FilledPlace {
    corner: Corner,
    /// The radius of the ball, mm.
    pub(super) radius: f64,
    /// Which of [`EXTENTS`] it has.
    extent: usize,
    /// How often it was made longer.
    longer: usize,
    /// Where the ball failed last.
    failed: P3,
    /// The name of the rod's face.
    pub(super) tag: Tag,
}

impl FilledPlace {
    /// The corner of a ball that failed at a place.
    pub(super) fn new(corner: Corner, failed: P3, radius: f64, tag: Tag) -> Self {
        let extent = if corner.within { EXTENTS.len() - 1 } else { 0 };
        Self { corner, radius, extent, longer: 0, failed, tag }
    }

    /// Whether another place has the same rod.
    pub(super) fn has_rod_of(&self, other: &Self) -> bool {
        self.corner == other.corner
            && (self.extent, self.longer) == (other.extent, other.longer)
            && self.radius.to_bits() == other.radius.to_bits()
            && self.tag == other.tag
    }

    /// Whether a failure at a place is about this one.
    pub(super) fn holds(&self, p: P3) -> bool {
        self.corner.distance(p) < 1.3 * EXTENTS[self.extent] * self.radius
    }

    /// Fills more, because the ball fails at a place; whether it can. Where it fails just where it did before, the rod does not touch what
    /// fails there: then only the last extent is tried, with the rod in the place itself.
    pub(super) fn fill_more(&mut self, failed: P3) -> bool {
        let more = self.extent + 1 < EXTENTS.len();
        let untouched = (failed - self.failed).norm() < UNTOUCHED;
        if more {
            self.extent = if untouched { EXTENTS.len() - 1 } else { self.extent + 1 };
        }
        self.failed = failed;
        more
    }

    /// Makes it reach another place, too; whether it can.
    pub(super) fn lengthen(&mut self, other: &Corner) -> bool {
        let more = self.longer < MOST_LONGER;
        if more {
            self.longer += 1;
            self.corner.path.extend(&other.path);
            let both = self.corner.towards + other.towards;
            self.corner.towards = both.try_normalize(NO_DIRECTION).unwrap_or(self.corner.towards);
        }
        more
    }

    /// Distance of a place from it, mm.
    pub(super) fn distance(&self, p: P3) -> f64 {
        self.corner.distance(p)
    }

    /// The name of its face, which is of the feature whose fillet is fuller there.
    pub fn tag(&self) -> &Tag {
        &self.tag
    }

    /// The middle of the rod, a place inside the metal.
    pub fn at(&self) -> Option<P3> {
        self.body().map(|b| b.frame().origin)
    }

    /// The rod, and the radius of the ball that rolls over it, mm.
    pub fn rod(&self) -> Option<(Primitive, f64)> {
        Some((self.body()?, self.radius))
    }

    /// The rod.
    pub(super) fn body(&self) -> Option<Primitive> {
        let Corner { path, towards, .. } = &self.corner;
        let first = *path.first()?;
        let reach = (1.0 + ROD) * self.radius;
        let extent = EXTENTS[self.extent] * self.radius;
        let flat = |v: V3| v - towards * v.dot(towards);
        let farthest = |from: P3| {
            let far = |p: &&P3| flat(*p - from).norm();
            path.iter().max_by(|a, b| far(a).total_cmp(&far(b))).copied()
        };
        // Of a closed path the places farthest apart.
        let a = farthest(first)?;
        let chord = flat(farthest(a)? - a);
        let z = chord.try_normalize(NO_DIRECTION).unwrap_or_else(|| any_square_to(*towards));
        let along = path.iter().map(|p| (p - first).dot(&z));
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        let half = 0.5 * (high - low);
        let mean = path.iter().map(|p| p - first).sum::<V3>() / path.len() as f64;
        let middle = first + mean + z * (0.5 * (low + high) - mean.dot(&z));
        let lean = Rotation3::from_euler_angles(LEAN[0], LEAN[1], LEAN[2]);
        let axes = [z, *towards, z.cross(towards)].map(|a| lean * a);
        // So deep that the ball is kept off by the extent, and off every place by the cover.
        let held = |depth: f64| {
            let m = middle + towards * depth;
            path.iter().all(|p| {
                let d = p - m;
                (d - axes[0] * d.dot(&axes[0]).clamp(-half, half)).norm() < reach - COVER * self.radius
            })
        };
        let deepest = (reach * reach - extent * extent).max(0.0).sqrt();
        let depth = (0..40).map(|k| deepest - f64::from(k) * 0.05 * self.radius).find(|d| held(*d))?;
        rod(middle + towards * depth, axes, half, ROD * self.radius, &self.tag)
    }
}

fn any_square_to(v: V3) -> V3 {
    let least = if v.x.abs() < 0.7 { V3::x() } else { V3::y() };
    v.cross(&least).normalize()
}

/// A rod with round ends along the first axis: half its length between the middles of those, and its radius.
pub(super) fn rod(middle: P3, axes: [V3; 3], half: f64, radius: f64, tag: &Tag) -> Option<Primitive> {
    let frame = Frame { origin: middle, x: axes[1], y: axes[2], z: axes[0] };
    let p = P2::new;
    let arc = |from: P2, to: P2, y: f64| Segment { from, to, arc: Some((p(0.0, y), true)), tag: tag.clone() };
    let line = |from: P2, to: P2| Segment { from, to, arc: None, tag: tag.clone() };
    let (bottom, top) = (p(0.0, -half - radius), p(0.0, half + radius));
    let mut outline = vec![arc(bottom, p(radius, -half), -half)];
    if half > 0.0 {
        outline.push(line(p(radius, -half), p(radius, half)));
    }
    outline.push(arc(p(radius, half), top, half));
    outline.push(line(top, bottom));
    Primitive::revolve(&tag.feature, frame, outline).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(path: Vec<P3>, towards: V3) -> FilledPlace {
        FilledPlace::new(
            Corner { path, towards, within: false },
            P3::origin(),
            5.0,
            Tag::formed("rib", "filled place 1"),
        )
    }

    /// In a right-angled corner the way into it halves the angle; on a flat wall it is square to the wall; between two
    /// parallel walls there is none.
    #[test]
    fn the_way_into_a_corner() {
        let at = P3::new(5.0, 5.0, 0.0);
        let corner = Corner::about(at, 5.0, &|p| p.x < 0.0 || p.y < 0.0).expect("a corner");
        let want = V3::new(-1.0, -1.0, 0.0).normalize();
        assert!((corner.towards - want).norm() < 0.02, "{}", corner.towards);
        let wall = Corner::about(at, 5.0, &|p| p.x < 0.0).expect("a wall");
        assert!((wall.towards + V3::x()).norm() < 0.02, "{}", wall.towards);
        assert!(Corner::about(at, 5.0, &|p| p.x < 0.0 || p.x > 10.0).is_none(), "between walls");
        assert!(Corner::about(at, 5.0, &|_| false).is_none(), "nothing near");
    }

    /// The ball's centre can't come to any place of the path: the rod is nearer than the ball's radius; and along the path it is
    /// kept off by the extent, more each time.
    #[test]
    fn the_ball_is_kept_off() {
        let towards = V3::new(-1.0, -1.0, 0.0).normalize();
        // A bent path, 10 mm long.
        let path: Vec<P3> =
            (-5..=5).map(|k| P3::new(5.0, 5.0 + 0.02 * f64::from(k * k), f64::from(k))).collect();
        let mut filled = place(path.clone(), towards);
        loop {
            let (rod, radius) = filled.rod().expect("a rod");
            let extent = EXTENTS[filled.extent] * radius;
            let ends = [path[0] - V3::z() * (0.7 * extent), path[10] + V3::z() * (0.7 * extent)];
            for p in path.iter().chain(&ends) {
                // Of a ball about a place of the path some point lies in the rod.
                let inside = (0..=200).any(|k| {
                    let d = rod.frame().origin - p;
                    let along = d.dot(&rod.frame().z).clamp(-5.0, 5.0);
                    let foot = rod.frame().origin - rod.frame().z * along;
                    let way = (foot - p).normalize();
                    rod.contains(p + way * (radius * f64::from(k) / 200.0))
                });
                assert!(inside, "{p} with extent {extent}");
            }
            if !filled.fill_more(P3::new(f64::from(filled.extent as u32) + 1.0, 0.0, 0.0)) {
                break;
            }
        }
    }

    /// Where the ball fails at one place again, the rod goes into the place itself at once; then there is nothing left to fill.
    #[test]
    fn what_a_rod_does_not_touch_is_filled_once_more() {
        let at = P3::new(1.0, 2.0, 3.0);
        let mut filled = place(vec![P3::origin()], -V3::z());
        filled.failed = at;
        assert!(filled.fill_more(at) && filled.extent == EXTENTS.len() - 1);
        assert!(!filled.fill_more(at));
        let mut moved = place(vec![P3::origin()], -V3::z());
        moved.failed = at;
        assert!(moved.fill_more(at + V3::x()) && moved.extent == 1);
    }

    /// A single place is filled with a ball, and one of a closed path by a rod across it.
    #[test]
    fn rods_of_single_places_and_closed_paths() {
        let down = -V3::z();
        let (ball, _) = place(vec![P3::origin()], down).rod().expect("a ball");
        let size = ball.bounds().max - ball.bounds().min;
        assert!(size.iter().all(|s| (6.0..6.5).contains(s)), "{size}");
        let round = (0..24).map(|k| f64::from(k) * std::f64::consts::TAU / 24.0);
        let circle: Vec<P3> = round.map(|a| P3::new(2.0 * a.cos(), 2.0 * a.sin(), 0.0)).collect();
        assert!(place(circle, down).rod().is_some(), "a rod");
        let wide = vec![P3::origin(), P3::new(0.0, 40.0, 0.0), P3::new(40.0, 0.0, 0.0)];
        assert!(place(wide, down).rod().is_none(), "no rod covers them all");
    }
}
