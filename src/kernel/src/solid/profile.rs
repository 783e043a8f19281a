//! Closed plane outlines of lines and arcs.

use std::f64::consts::PI;
use std::sync::OnceLock;

use crate::geometry::{P2, V2};
use crate::tolerance::{SAME_ANGLE, SNAP};

use super::segment::{Flank, Segment, reversed};

/// Why a list of segments is no profile.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// A number is not finite.
    #[error("segment {0} has a coordinate that is not a finite number")]
    NotFinite(usize),
    /// The pieces don't join.
    #[error("segment {0} does not start where the one before it ends")]
    Gap(usize),
    /// A piece has no length.
    #[error("segment {0} is shorter than a micrometre thousandth")]
    TooShort(usize),
    /// An arc's ends lie at different distances from its centre.
    #[error("segment {0} is an arc whose ends lie at different distances from its centre")]
    UnevenArc(usize),
    /// Two pieces meet elsewhere than at their common end.
    #[error("segments {0} and {1} cross or touch")]
    Crossing(usize, usize),
    /// Fewer than two pieces, or no area.
    #[error("the outline encloses no area")]
    NoArea,
}

/// A closed outline that does not cross itself, held counter-clockwise.
#[derive(Clone, Debug)]
pub struct Profile {
    segments: Vec<Segment>,
    /// Whether it has sharp corners that stick out, and such that reach in.
    sharp: [bool; 2],
    /// Its flanks, once a place is asked for: whether it is inside then takes no angle.
    flanks: OnceLock<Box<[Flank]>>,
}

impl Profile {
    /// Checks and, where it runs clockwise, reverses the outline.
    ///
    /// # Errors
    /// See [`ProfileError`].
    pub fn new(segments: Vec<Segment>) -> Result<Self, ProfileError> {
        let n = segments.len();
        if n < 2 {
            return Err(ProfileError::NoArea);
        }
        for (i, s) in segments.iter().enumerate() {
            let c = s.arc.map_or(s.from, |(c, _)| c);
            if ![s.from.x, s.from.y, s.to.x, s.to.y, c.x, c.y].iter().all(|x| x.is_finite()) {
                return Err(ProfileError::NotFinite(i));
            }
            if (segments[(i + n - 1) % n].to - s.from).norm() > SNAP {
                return Err(ProfileError::Gap(i));
            }
            if (s.to - s.from).norm() <= SNAP {
                return Err(ProfileError::TooShort(i));
            }
            if s.arc.is_some() && ((s.to - c).norm() - s.radius()).abs() > SNAP {
                return Err(ProfileError::UnevenArc(i));
            }
        }
        let area: f64 = segments.iter().map(Segment::twice_area).sum();
        if area.abs() < SNAP {
            return Err(ProfileError::NoArea);
        }
        let segments = if area > 0.0 { segments } else { reversed(&segments) };
        let profile = Self::with_corners(segments);
        profile.check_simple()?;
        Ok(profile)
    }

    fn check_simple(&self) -> Result<(), ProfileError> {
        let n = self.segments.len();
        for i in 0..n {
            for j in i + 1..n {
                if self.segments[i].meets(&self.segments[j], j == i + 1, (j + 1) % n == i) {
                    return Err(ProfileError::Crossing(i, j));
                }
            }
        }
        Ok(())
    }

    /// The pieces, counter-clockwise.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Whether `p` is inside. On the outline itself the answer may be either.
    pub fn contains(&self, p: P2) -> bool {
        let flanks = self.flanks.get_or_init(|| {
            let mut out = Vec::with_capacity(2 * self.segments.len());
            self.segments.iter().for_each(|s| s.flanks(|f| out.push(f)));
            out.into_boxed_slice()
        });
        flanks.iter().map(|f| f.crossings(p)).sum::<i32>() != 0
    }

    fn with_corners(segments: Vec<Segment>) -> Self {
        let mut sharp = [false; 2];
        for (i, next) in segments.iter().enumerate() {
            let before = &segments[(i + segments.len() - 1) % segments.len()];
            let (d, e) = (before.direction(1.0), next.direction(0.0));
            let turn = d.x * e.y - d.y * e.x;
            if turn.abs() >= SAME_ANGLE || d.dot(&e) <= 0.0 {
                sharp[usize::from(turn < 0.0)] = true;
            }
        }
        Self { segments, sharp, flanks: OnceLock::new() }
    }

    /// Whether `p` is inside the parallel outline that lies `by` farther in ([`Self::offset`]); `false` where there is none.
    ///
    /// The parallel outline is the set of places whose distance from the outline is `by`, but for the mitres at sharp corners
    /// on the side it moves to. So the distance decides, and only about such corners, or on the parallel outline itself, that
    /// is made.
    pub(super) fn contains_inset(&self, by: f64, p: P2) -> bool {
        let inside = self.contains(p);
        // Outwards the corners that stick out are mitred, inwards those that reach in.
        let [mitred, beyond] = if by > 0.0 { [self.sharp[1], !inside] } else { [self.sharp[0], inside] };
        if beyond {
            return by < 0.0;
        }
        let off = self.distance(p) - by.abs();
        if off < -SNAP {
            return by < 0.0;
        }
        if off > SNAP && !mitred {
            return by > 0.0;
        }
        self.offset(by).is_some_and(|section| section.contains(p))
    }

    /// Distance from `p` to the outline.
    pub fn distance(&self, p: P2) -> f64 {
        // An arc is no nearer than its whole circle, and to know that takes no angle.
        self.segments.iter().fold(f64::INFINITY, |best, s| match s.arc {
            Some((c, _)) if ((p - c).norm() - s.radius()).abs() >= best => best,
            _ => best.min(s.distance(p)),
        })
    }

    /// Enclosed area, mm².
    pub fn area(&self) -> f64 {
        0.5 * self.segments.iter().map(Segment::twice_area).sum::<f64>()
    }

    /// Least and greatest coordinates.
    pub fn extent(&self) -> (P2, P2) {
        let mut lo = P2::new(f64::INFINITY, f64::INFINITY);
        let mut hi = P2::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        for s in &self.segments {
            let mut take = |p: P2| {
                lo = lo.inf(&p);
                hi = hi.sup(&p);
            };
            take(s.from);
            take(s.to);
            if let Some((c, _)) = s.arc {
                let r = s.radius();
                for (k, d) in [V2::x(), V2::y(), -V2::x(), -V2::y()].into_iter().enumerate() {
                    if s.covers(PI / 2.0 * k as f64) {
                        take(c + d * r);
                    }
                }
            }
        }
        (lo, hi)
    }

    /// The outline moved to the left (inwards) by `by`; tangent joints stay tangent, corners of two lines
    /// stay corners. `None` when an arc or a line vanishes or when a corner with an arc is not tangent.
    pub fn offset(&self, by: f64) -> Option<Self> {
        let n = self.segments.len();
        let joint = |i: usize| -> Option<P2> {
            let (a, b) = (&self.segments[(i + n - 1) % n], &self.segments[i]);
            let (da, db) = (a.direction(1.0), b.direction(0.0));
            let left = |d: V2| V2::new(-d.y, d.x);
            let cross = da.x * db.y - da.y * db.x;
            if cross.abs() < SAME_ANGLE && da.dot(&db) > 0.0 {
                return Some(b.from + left(db) * by);
            }
            if a.arc.is_some() || b.arc.is_some() {
                return None;
            }
            let (pa, pb) = (a.to + left(da) * by, b.from + left(db) * by);
            let t = ((pb - pa).x * db.y - (pb - pa).y * db.x) / cross;
            Some(pa + da * t)
        };
        let corners: Option<Vec<P2>> = (0..n).map(joint).collect();
        let corners = corners?;
        let mut out = Vec::with_capacity(n);
        for (i, s) in self.segments.iter().enumerate() {
            let (from, to) = (corners[i], corners[(i + 1) % n]);
            match s.arc {
                None => {
                    if (to - from).dot(&(s.to - s.from)) <= SNAP {
                        return None;
                    }
                }
                Some((c, ccw)) => {
                    let r = if ccw { s.radius() - by } else { s.radius() + by };
                    if r <= SNAP || (from - c).dot(&(s.from - c)) <= 0.0 {
                        return None;
                    }
                }
            }
            out.push(Segment { from, to, ..s.clone() });
        }
        Some(Self::with_corners(out))
    }
}

/// The pieces of a turned outline beside an end that lies flat and starts at the axis: the wall that it meets away from the
/// axis, and the piece along the axis, both as indices into the outline.
///
/// # Panics
/// Where the outline has no piece `end`.
pub fn beside_end(outline: &[Segment], end: usize) -> (usize, usize) {
    let n = outline.len();
    let (before, after) = ((end + n - 1) % n, (end + 1) % n);
    if outline[end].from.x > outline[end].to.x { (before, after) } else { (after, before) }
}

/// Puts such an end elsewhere along the axis (see [`beside_end`]), with its outer corner, mm, on the line of its wall. The
/// pieces beside it end there.
///
/// # Panics
/// Where the outline has no piece `end`.
pub fn put_end(outline: &mut [Segment], end: usize, corner: P2) {
    let (wall, axis) = beside_end(outline, end);
    let outwards = outline[end].to.x > outline[end].from.x;
    let foot = P2::new(outline[end].from.x.min(outline[end].to.x), corner.y);
    if outwards {
        (outline[axis].to, outline[end].from, outline[end].to, outline[wall].from) =
            (foot, foot, corner, corner);
    } else {
        (outline[wall].to, outline[end].from, outline[end].to, outline[axis].from) =
            (corner, corner, foot, foot);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::Tag;

    fn line(from: P2, to: P2) -> Segment {
        Segment { from, to, arc: None, tag: Tag::formed("outline", "side") }
    }

    fn arc(from: P2, to: P2, center: P2, ccw: bool) -> Segment {
        Segment { arc: Some((center, ccw)), ..line(from, to) }
    }

    /// A stadium with a bite out of its lower side: arcs that cross their circles' tops and bottoms, one that turns the other
    /// way, and lines that slope, rise and lie level.
    #[test]
    fn places_are_inside_as_the_shapes_say_that_make_the_outline_up() {
        let p = P2::new;
        let bite = p(1.0, -3.0);
        let outline = vec![
            line(p(-6.0, -3.0), p(-1.0, -3.0)),
            arc(p(-1.0, -3.0), p(3.0, -3.0), bite, false),
            line(p(3.0, -3.0), p(6.0, -3.0)),
            arc(p(6.0, -3.0), p(6.0, 3.0), p(6.0, 0.0), true),
            line(p(6.0, 3.0), p(0.0, 5.0)),
            line(p(0.0, 5.0), p(-6.0, 3.0)),
            arc(p(-6.0, 3.0), p(-6.0, -3.0), p(-6.0, 0.0), true),
        ];
        let profile = Profile::new(outline).expect("a profile");
        let inside = |q: P2| {
            let middle = q.x.abs() < 6.0 && q.y > -3.0 && q.y < 5.0 - q.x.abs() / 3.0;
            let ends = (q - p(6.0, 0.0)).norm() < 3.0 || (q - p(-6.0, 0.0)).norm() < 3.0;
            (middle || ends) && (q - bite).norm() > 2.0
        };
        for i in 0..400 {
            for j in 0..200 {
                let q = p(-10.0 + 0.050_3 * f64::from(i), -4.0 + 0.050_7 * f64::from(j));
                assert_eq!(profile.contains(q), inside(q), "{q}");
            }
        }
    }
}
