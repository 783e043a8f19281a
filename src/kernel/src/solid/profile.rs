//! Closed plane outlines of lines and arcs.

use std::f64::consts::{PI, TAU};

use crate::geometry::P2;
use crate::geometry::V2;
use crate::tolerance::{FULL_TURN, LINES_PARALLEL, PIECES_PARALLEL, SAME_ANGLE, SNAP, TANGENT_SNAP};

use super::Tag;

/// One piece of a profile, from the end of the piece before it.
#[derive(Clone, Debug)]
pub struct Segment {
    /// Where it starts.
    pub from: P2,
    /// Where it ends.
    pub to: P2,
    /// Centre and sense (counter-clockwise?) of an arc; `None` for a line.
    pub arc: Option<(P2, bool)>,
    /// Name of the face it sweeps out.
    pub tag: Tag,
}

impl Segment {
    /// Whether it is a line along the axis of a turned profile, which sweeps out nothing.
    pub fn on_axis(&self) -> bool {
        self.arc.is_none() && self.from.x < SNAP && self.to.x < SNAP
    }

    /// Whether it is a line square to the axis of a turned profile: it sweeps out a flat face.
    pub fn is_flat(&self) -> bool {
        self.arc.is_none() && (self.to.y - self.from.y).abs() < SNAP
    }

    /// Where the lines of two straight pieces cross; `None` for an arc, for parallel lines and pieces of no length.
    pub fn crossing(&self, other: &Self) -> Option<P2> {
        let lines = self.arc.is_none() && other.arc.is_none();
        meeting(self, other).into_iter().next().filter(|p| lines && p.x.is_finite() && p.y.is_finite())
    }

    /// Radius of the arc, zero for a line.
    pub fn radius(&self) -> f64 {
        self.arc.map_or(0.0, |(c, _)| (self.from - c).norm())
    }

    /// Start angle and signed sweep of the arc, radians; zeros for a line.
    pub fn sweep(&self) -> (f64, f64) {
        let Some((c, ccw)) = self.arc else { return (0.0, 0.0) };
        let angle = |p: P2| (p.y - c.y).atan2(p.x - c.x);
        let (a, b) = (angle(self.from), angle(self.to));
        let turn = if ccw { (b - a).rem_euclid(TAU) } else { -(a - b).rem_euclid(TAU) };
        (a, if turn.abs() < FULL_TURN { if ccw { TAU } else { -TAU } } else { turn })
    }

    /// Its length.
    pub fn length(&self) -> f64 {
        if self.arc.is_none() { (self.to - self.from).norm() } else { self.sweep().1.abs() * self.radius() }
    }

    /// The point at a fraction of the segment.
    pub fn point(&self, fraction: f64) -> P2 {
        match self.arc {
            None => self.from + (self.to - self.from) * fraction,
            Some((c, _)) => {
                let (a, s) = self.sweep();
                let t = a + s * fraction;
                c + V2::new(t.cos(), t.sin()) * self.radius()
            }
        }
    }

    /// Unit direction of travel at a fraction of the segment.
    pub fn direction(&self, fraction: f64) -> V2 {
        match self.arc {
            None => (self.to - self.from).normalize(),
            Some((_, ccw)) => {
                let (a, s) = self.sweep();
                let t = a + s * fraction;
                let d = V2::new(-t.sin(), t.cos());
                if ccw { d } else { -d }
            }
        }
    }

    /// Distance from `p` to the segment.
    pub fn distance(&self, p: P2) -> f64 {
        match self.arc {
            None => {
                let d = self.to - self.from;
                let t = ((p - self.from).dot(&d) / d.norm_squared()).clamp(0.0, 1.0);
                (p - self.from - d * t).norm()
            }
            Some((c, _)) => {
                let r = p - c;
                if self.covers(r.y.atan2(r.x)) {
                    (r.norm() - self.radius()).abs()
                } else {
                    (p - self.from).norm().min((p - self.to).norm())
                }
            }
        }
    }

    /// Whether the arc passes the angle.
    fn covers(&self, angle: f64) -> bool {
        let (a, s) = self.sweep();
        let d = if s > 0.0 { (angle - a).rem_euclid(TAU) } else { (a - angle).rem_euclid(TAU) };
        d <= s.abs()
    }

    /// Twice the signed area between the segment and the origin.
    pub(super) fn twice_area(&self) -> f64 {
        let chord = self.from.x * self.to.y - self.to.x * self.from.y;
        let (_, s) = self.sweep();
        if self.arc.is_none() { chord } else { chord + self.radius().powi(2) * (s - s.sin()) }
    }

    /// How often the upward minus downward crossings of the ray from `p` to +x count, in halves.
    fn crossings(&self, p: P2) -> i32 {
        match self.arc {
            None => line_crossing(self.from, self.to, p),
            Some((c, _)) => {
                let r = self.radius();
                // Most points see no arc beside them: no angle is asked for then.
                let low = self.from.y.min(self.to.y).min(c.y - r);
                let high = self.from.y.max(self.to.y).max(c.y + r);
                if p.y < low || p.y >= high || p.x >= c.x + r {
                    return 0;
                }
                // Pieces monotonic in y: split at the top and bottom of the circle.
                let (a, s) = self.sweep();
                let (mut cuts, mut count) = ([1.0; 6], 1);
                cuts[0] = 0.0;
                let first = ((a.min(a + s) + PI / 2.0) / PI).ceil() as i64;
                for k in first..first + 4 {
                    let t = -PI / 2.0 + PI * k as f64;
                    let f = (t - a) / s;
                    if f > 0.0 && f < 1.0 {
                        cuts[count] = f;
                        count += 1;
                    }
                }
                let cuts = &mut cuts[..=count];
                cuts.sort_by(f64::total_cmp);
                let end = |f: f64| {
                    if f <= 0.0 {
                        self.from
                    } else if f >= 1.0 {
                        self.to
                    } else {
                        let t = a + s * f;
                        // The cut is at a pole of the circle: say so exactly.
                        P2::new(c.x, if t.sin() > 0.0 { c.y + r } else { c.y - r })
                    }
                };
                cuts.windows(2)
                    .map(|w| {
                        let (p0, p1) = (end(w[0]), end(w[1]));
                        let up = p0.y <= p.y && p.y < p1.y;
                        let down = p1.y <= p.y && p.y < p0.y;
                        if !up && !down {
                            return 0;
                        }
                        let mid = a + s * 0.5 * (w[0] + w[1]);
                        let half_width = (r * r - (p.y - c.y).powi(2)).max(0.0).sqrt();
                        let x = if mid.cos() > 0.0 { c.x + half_width } else { c.x - half_width };
                        if x <= p.x {
                            0
                        } else if up {
                            1
                        } else {
                            -1
                        }
                    })
                    .sum()
            }
        }
    }
}

fn line_crossing(a: P2, b: P2, p: P2) -> i32 {
    let up = a.y <= p.y && p.y < b.y;
    let down = b.y <= p.y && p.y < a.y;
    if !up && !down {
        return 0;
    }
    let side = (b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y);
    match (up, side > 0.0) {
        (true, true) => 1,
        (false, false) => -1,
        _ => 0,
    }
}

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
        let segments = if area > 0.0 { segments } else { reversed(segments) };
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
        self.segments.iter().map(|s| s.crossings(p)).sum::<i32>() != 0
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
        Self { segments, sharp }
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

fn reversed(mut segments: Vec<Segment>) -> Vec<Segment> {
    segments.reverse();
    for s in &mut segments {
        std::mem::swap(&mut s.from, &mut s.to);
        if let Some((_, ccw)) = &mut s.arc {
            *ccw = !*ccw;
        }
    }
    segments
}

impl Segment {
    /// Whether the two meet other than at the joints said to be common (`self.to == other.from`,
    /// `other.to == self.from`).
    fn meets(&self, other: &Self, next: bool, before: bool) -> bool {
        let joint = |p: P2| {
            (next && (p - self.to).norm() < TANGENT_SNAP) || (before && (p - self.from).norm() < TANGENT_SNAP)
        };
        self.meeting_points(other).into_iter().any(|p| !joint(p))
    }

    fn meeting_points(&self, other: &Self) -> Vec<P2> {
        let mut at: Vec<P2> =
            vec![self.from, self.to].into_iter().filter(|p| other.distance(*p) < SNAP).collect();
        at.extend([other.from, other.to].into_iter().filter(|p| self.distance(*p) < SNAP));
        let on = |p: P2| self.distance(p) < SNAP && other.distance(p) < SNAP;
        let found: Vec<P2> = match (self.arc, other.arc) {
            (None, None) => {
                let (d, e) = (self.to - self.from, other.to - other.from);
                let cross = d.x * e.y - d.y * e.x;
                if cross.abs() < PIECES_PARALLEL * d.norm() * e.norm() {
                    vec![]
                } else {
                    let w = other.from - self.from;
                    vec![self.from + d * ((w.x * e.y - w.y * e.x) / cross)]
                }
            }
            (None, Some((c, _))) => line_circle(self, c, other.radius()),
            (Some((c, _)), None) => line_circle(other, c, self.radius()),
            (Some((c, _)), Some((e, _))) => circle_circle(c, self.radius(), e, other.radius()),
        };
        at.extend(found.into_iter().filter(|p| on(*p)));
        at
    }
}

/// Where the unbounded lines or full circles of two segments meet.
pub(super) fn meeting(a: &Segment, b: &Segment) -> Vec<P2> {
    match (a.arc, b.arc) {
        (None, None) => {
            let (d, e) = (a.to - a.from, b.to - b.from);
            let cross = d.x * e.y - d.y * e.x;
            if cross.abs() < LINES_PARALLEL * d.norm() * e.norm() {
                return vec![];
            }
            let w = b.from - a.from;
            vec![a.from + d * ((w.x * e.y - w.y * e.x) / cross)]
        }
        (None, Some((c, _))) => line_circle(a, c, b.radius()),
        (Some((c, _)), None) => line_circle(b, c, a.radius()),
        (Some((c, _)), Some((e, _))) => circle_circle(c, a.radius(), e, b.radius()),
    }
}

fn line_circle(line: &Segment, c: P2, r: f64) -> Vec<P2> {
    let d = (line.to - line.from).normalize();
    let t = (c - line.from).dot(&d);
    let foot = line.from + d * t;
    let h2 = r * r - (foot - c).norm_squared();
    if h2 < -2.0 * r * SNAP {
        return vec![];
    }
    let h = h2.max(0.0).sqrt();
    vec![foot - d * h, foot + d * h]
}

fn circle_circle(c: P2, r: f64, e: P2, s: f64) -> Vec<P2> {
    let w = e - c;
    let d = w.norm();
    if d < SNAP || d > r + s + SNAP || d < (r - s).abs() - SNAP {
        return vec![];
    }
    let a = (d * d + r * r - s * s) / (2.0 * d);
    let h = (r * r - a * a).max(0.0).sqrt();
    let (u, m) = (w / d, c + w * (a / d));
    let left = V2::new(-u.y, u.x);
    vec![m + left * h, m - left * h]
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
