//! Corners of outlines made round.

use crate::geometry::{P2, V2};

use super::segment::Segment;
use crate::tolerance::{NO_DIRECTION, SAME_ANGLE, SNAP};

/// The outline without the pieces that are `gone` (asked with the outline as it is by then, and their number): the
/// lines beside such a piece run on until they meet. It stays where they never do.
pub fn without(mut outline: Vec<Segment>, gone: impl Fn(&[Segment], usize) -> bool) -> Vec<Segment> {
    let n = outline.len();
    for i in 0..n {
        let (a, b) = ((i + n - 1) % n, (i + 1) % n);
        if gone(&outline, i)
            && let Some(corner) = outline[a].crossing(&outline[b])
        {
            (outline[a].to, outline[b].from) = (corner, corner);
            (outline[i].from, outline[i].to) = (corner, corner);
        }
    }
    outline.retain(|s| (s.to - s.from).norm() > SNAP);
    outline
}

/// Most of a line's length that the rounding of one end may take.
const SHARE: f64 = 0.45;

/// Radii below this are not worth a face, mm.
const LEAST: f64 = 0.2;

/// A corner between two lines.
#[derive(Clone, Copy, Debug)]
pub struct Corner<'a> {
    /// The line that ends in it.
    pub before: &'a Segment,
    /// The line that starts in it.
    pub after: &'a Segment,
    /// By how much the outline turns there, radians, positive where the corner points outwards.
    pub turn: f64,
}

/// Rounds the corners between lines: `radius_at` gives the radius (zero or less for a sharp corner), cut down to what the
/// lines' lengths allow. The arc bears the name of the line before it.
pub fn round_corners(segments: &[Segment], radius_at: &dyn Fn(&Corner) -> f64) -> Vec<Segment> {
    round_corners_from(segments, LEAST, radius_at)
}

/// The same with radii down to `least`: so that a ball can roll over corners beside short lines, too.
pub(super) fn round_corners_from(
    segments: &[Segment],
    least: f64,
    radius_at: &dyn Fn(&Corner) -> f64,
) -> Vec<Segment> {
    let n = segments.len();
    let area: f64 = segments.iter().map(|s| s.from.x * s.to.y - s.to.x * s.from.y).sum();
    let mut cuts: Vec<Option<(P2, P2, P2, bool)>> = vec![None; n];
    for (i, cut) in cuts.iter_mut().enumerate() {
        let (a, b) = (&segments[i], &segments[(i + 1) % n]);
        if a.arc.is_some() || b.arc.is_some() {
            continue;
        }
        let (d, e) = (a.direction(1.0), b.direction(0.0));
        let turn = (d.x * e.y - d.y * e.x).atan2(d.dot(&e));
        let outward = turn * area.signum();
        let radius = radius_at(&Corner { before: a, after: b, turn: outward });
        let half = (0.5 * turn.abs()).tan();
        let room = SHARE * (a.to - a.from).norm().min((b.to - b.from).norm());
        let radius = radius.min(room / half.max(NO_DIRECTION));
        if turn.abs() < SAME_ANGLE || radius < least {
            continue;
        }
        let tangent = radius * half;
        let (p, q) = (a.to - d * tangent, a.to + e * tangent);
        let left = V2::new(-d.y, d.x) * turn.signum();
        *cut = Some((p, q, p + left * radius, turn > 0.0));
    }
    let mut out = Vec::with_capacity(2 * n);
    for i in 0..n {
        let mut line = segments[i].clone();
        if let Some((_, q, ..)) = cuts[(i + n - 1) % n] {
            line.from = q;
        }
        let arc = cuts[i].map(|(p, q, center, ccw)| {
            line.to = p;
            Segment { from: p, to: q, arc: Some((center, ccw)), tag: line.tag.clone() }
        });
        out.push(line);
        out.extend(arc);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::{Profile, Tag, polygon};

    /// A square of 20 with corners of 5 loses (4 − π)·25.
    #[test]
    fn a_rounded_square_has_its_area() {
        let p = |x: f64, y: f64| P2::new(x, y);
        let square =
            polygon(&[p(0.0, 0.0), p(20.0, 0.0), p(20.0, 20.0), p(0.0, 20.0)], &[Tag::formed("s", "side")]);
        let round = Profile::new(round_corners(&square, &|c| if c.turn > 0.0 { 5.0 } else { 0.0 }))
            .expect("an outline");
        let want = 400.0 - (4.0 - std::f64::consts::PI) * 25.0;
        assert!((round.area() - want).abs() < 1e-10, "{}", round.area());
    }

    #[test]
    fn short_lines_limit_the_radius() {
        let p = |x: f64, y: f64| P2::new(x, y);
        let flat =
            polygon(&[p(0.0, 0.0), p(20.0, 0.0), p(20.0, 2.0), p(0.0, 2.0)], &[Tag::formed("s", "side")]);
        let round = round_corners(&flat, &|_| 5.0);
        assert!(Profile::new(round.clone()).is_ok() && (round[1].radius() - 0.9).abs() < 1e-12);
    }

    /// A step of 0.4 mm in a long wall: for the looks of it its corner stays sharp, for a ball it is rounded as far as there is room.
    #[test]
    fn a_low_step_is_rounded_for_a_ball() {
        let p = |x: f64, y: f64| P2::new(x, y);
        let corners = [p(0.0, 0.0), p(20.0, 0.0), p(20.0, 10.0), p(10.0, 10.0), p(10.0, 10.4), p(0.0, 10.4)];
        let step = polygon(&corners, &[Tag::formed("s", "side")]);
        let radius = |c: &Corner| if c.turn > 0.0 { 1.0 } else { 0.0 };
        let arcs = |outline: &[Segment]| outline.iter().filter(|s| s.arc.is_some()).count();
        assert_eq!(arcs(&round_corners(&step, &radius)), 4);
        let rounded = round_corners_from(&step, 0.02, &radius);
        assert_eq!(arcs(&rounded), 5);
        let least = rounded.iter().map(Segment::radius).filter(|r| *r > 0.0).fold(f64::INFINITY, f64::min);
        assert!((least - SHARE * 0.4).abs() < 1e-12 && Profile::new(rounded).is_ok(), "{least}");
    }
}
