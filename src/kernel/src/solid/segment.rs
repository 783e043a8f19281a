//! One piece of an outline: a line or an arc, with its name.

use std::f64::consts::{PI, TAU};

use crate::geometry::{P2, V2};
use crate::tolerance::{FULL_TURN, LINES_PARALLEL, PIECES_PARALLEL, SNAP, TANGENT_SNAP};

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

/// The pieces of an outline in the opposite sense.
pub(crate) fn reversed(outline: &[Segment]) -> Vec<Segment> {
    let turn = |s: &Segment| Segment {
        from: s.to,
        to: s.from,
        arc: s.arc.map(|(c, ccw)| (c, !ccw)),
        tag: s.tag.clone(),
    };
    outline.iter().rev().map(turn).collect()
}

/// An outline seen from its other side: its second coordinate turned round.
pub fn mirrored(outline: &[Segment]) -> Vec<Segment> {
    let flip = |p: P2| P2::new(p.x, -p.y);
    let turned = |s: &Segment| Segment {
        from: flip(s.to),
        to: flip(s.from),
        arc: s.arc.map(|(c, ccw)| (flip(c), ccw)),
        tag: s.tag.clone(),
    };
    outline.iter().rev().map(turned).collect()
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
    pub(super) fn covers(&self, angle: f64) -> bool {
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

    /// Shows its flanks: the pieces over which y only grows or only falls.
    pub(super) fn flanks(&self, mut show: impl FnMut(Flank)) {
        let Some((c, _)) = self.arc else {
            return show(Flank::new(self.from.y, self.to.y, Course::Line(self.from, self.to)));
        };
        let r = self.radius();
        // Split at the top and bottom of the circle.
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
        let height = |f: f64| {
            if f <= 0.0 {
                self.from.y
            } else if f >= 1.0 {
                self.to.y
            } else {
                // The cut is at a pole of the circle: say so exactly.
                let t = a + s * f;
                if t.sin() > 0.0 { c.y + r } else { c.y - r }
            }
        };
        for w in cuts.windows(2) {
            let right = (a + s * 0.5 * (w[0] + w[1])).cos() > 0.0;
            show(Flank::new(height(w[0]), height(w[1]), Course::Arc { c, r, right }));
        }
    }
}

/// A piece of an outline over which y only grows or only falls: a ray to +x crosses it once or not at all.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flank {
    low: f64,
    high: f64,
    up: bool,
    course: Course,
}

/// How a flank runs.
#[derive(Clone, Copy, Debug)]
enum Course {
    Line(P2, P2),
    /// On the right half of a circle, or on its left.
    Arc {
        c: P2,
        r: f64,
        right: bool,
    },
}

impl Flank {
    fn new(from: f64, to: f64, course: Course) -> Self {
        Self { low: from.min(to), high: from.max(to), up: from < to, course }
    }

    /// Upward minus downward crossings of the ray from `p` to +x.
    #[inline]
    pub(super) fn crossings(&self, p: P2) -> i32 {
        let beside = self.low <= p.y && p.y < self.high;
        if !beside || !self.course.is_right_of(p, self.up) {
            0
        } else if self.up {
            1
        } else {
            -1
        }
    }
}

impl Course {
    /// Whether a course that goes past the height of `p`, upwards or not, does so on its right.
    #[inline]
    fn is_right_of(&self, p: P2, up: bool) -> bool {
        match *self {
            Self::Line(a, b) => {
                let side = (b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y);
                (side > 0.0) == up
            }
            Self::Arc { c, r, right } => {
                let half_width = (r * r - (p.y - c.y).powi(2)).max(0.0).sqrt();
                p.x < if right { c.x + half_width } else { c.x - half_width }
            }
        }
    }
}

impl Segment {
    /// Whether the two meet other than at the joints said to be common (`self.to == other.from`,
    /// `other.to == self.from`).
    pub(super) fn meets(&self, other: &Self, next: bool, before: bool) -> bool {
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
            (None, None) => line_line(self, other, PIECES_PARALLEL),
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
        (None, None) => line_line(a, b, LINES_PARALLEL),
        (None, Some((c, _))) => line_circle(a, c, b.radius()),
        (Some((c, _)), None) => line_circle(b, c, a.radius()),
        (Some((c, _)), Some((e, _))) => circle_circle(c, a.radius(), e, b.radius()),
    }
}

/// Where two unbounded lines meet: nowhere when the sine between them is below `parallel`.
fn line_line(a: &Segment, b: &Segment, parallel: f64) -> Vec<P2> {
    let (d, e) = (a.to - a.from, b.to - b.from);
    let cross = d.x * e.y - d.y * e.x;
    if cross.abs() < parallel * d.norm() * e.norm() {
        return vec![];
    }
    let w = b.from - a.from;
    vec![a.from + d * ((w.x * e.y - w.y * e.x) / cross)]
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
