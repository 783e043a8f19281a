//! A polygon with rounded corners.

use crate::geometry::{P2, V2};
use crate::solid::{Segment, Tag};
use crate::tolerance::SNAP;

/// Outline through corners, each with a radius; 0 leaves it sharp. None where two roundings need more than the side
/// between them.
pub(super) fn rounded_polygon(corners: &[(P2, f64)], tag: &Tag) -> Option<Vec<Segment>> {
    let n = corners.len();
    let rounded: Option<Vec<Corner>> =
        (0..n).map(|i| Corner::new(corners[(i + n - 1) % n].0, corners[i], corners[(i + 1) % n].0)).collect();
    let rounded = rounded?;
    let mut out = Vec::with_capacity(2 * n);
    for (i, corner) in rounded.iter().enumerate() {
        if let Some(arc) = corner.arc {
            out.push(Segment { from: corner.start, to: corner.end, arc: Some(arc), tag: tag.clone() });
        }
        let (from, to) = (corner.end, rounded[(i + 1) % n].start);
        let side = corners[(i + 1) % n].0 - corners[i].0;
        if (to - from).dot(&side) < -SNAP * side.norm() {
            return None;
        }
        if (to - from).norm() > SNAP {
            out.push(Segment { from, to, arc: None, tag: tag.clone() });
        } else if let Some(last) = out.last_mut() {
            last.to = to; // two roundings meet
        }
    }
    Some(out)
}

/// Where the rounding of a corner starts and ends, and its arc.
struct Corner {
    start: P2,
    end: P2,
    arc: Option<(P2, bool)>,
}

impl Corner {
    fn new(before: P2, (at, radius): (P2, f64), after: P2) -> Option<Self> {
        let (a, b) = (before - at, after - at);
        if a.norm() <= SNAP || b.norm() <= SNAP {
            return None;
        }
        let (a, b) = (a.normalize(), b.normalize());
        let (cross, half) = (a.x * b.y - a.y * b.x, 0.5 * a.dot(&b).clamp(-1.0, 1.0).acos());
        // A straight joint has nothing to round.
        if radius <= 0.0 || half.cos() < crate::tolerance::PARALLEL {
            return Some(Self { start: at, end: at, arc: None });
        }
        let tangent = radius / half.tan();
        let middle: V2 = (a + b).normalize();
        let center = at + middle * (radius / half.sin());
        // Seen along the way, a left turn has the side behind to the right of the side ahead.
        Some(Self { start: at + a * tangent, end: at + b * tangent, arc: Some((center, cross < 0.0)) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::Profile;

    fn outline(points: &[(f64, f64, f64)]) -> Option<Vec<Segment>> {
        let corners: Vec<_> = points.iter().map(|&(x, y, r)| (P2::new(x, y), r)).collect();
        rounded_polygon(&corners, &Tag::cast("pad", "side"))
    }

    #[test]
    fn a_rounded_square_lacks_its_corners() {
        let square = outline(&[(0.0, 0.0, 2.0), (10.0, 0.0, 2.0), (10.0, 10.0, 2.0), (0.0, 10.0, 2.0)]);
        let profile = Profile::new(square.expect("an outline")).expect("a profile");
        let expected = 100.0 - (4.0 - std::f64::consts::PI) * 4.0;
        assert!((profile.area() - expected).abs() < 1e-9, "{}", profile.area());
    }

    #[test]
    fn an_inner_corner_is_filled() {
        let ell = [
            (0.0, 0.0, 0.0),
            (20.0, 0.0, 0.0),
            (20.0, 8.0, 0.0),
            (8.0, 8.0, 3.0),
            (8.0, 20.0, 0.0),
            (0.0, 20.0, 0.0),
        ];
        for points in [ell.to_vec(), ell.iter().rev().copied().collect()] {
            let profile = Profile::new(outline(&points).expect("an outline")).expect("a profile");
            let expected = 256.0 + (4.0 - std::f64::consts::PI) / 4.0 * 9.0;
            assert!((profile.area() - expected).abs() < 1e-9, "{}", profile.area());
        }
    }

    #[test]
    fn corners_larger_than_their_side_are_refused() {
        let wide = [(0.0, 0.0, 6.0), (10.0, 0.0, 6.0), (10.0, 40.0, 0.0), (0.0, 40.0, 0.0)];
        assert!(outline(&wide).is_none(), "two radii of 6 on a side of 10");
    }
}
