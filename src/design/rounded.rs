//! A polygon with rounded corners as an outline.

use super::polygon::{PolygonCorner, roundings};
use solidwright::geometry::P2;
use solidwright::solid::{Segment, Tag};
use solidwright::tolerance::SNAP;

/// Outline through corners, each with a radius; 0 leaves it sharp. None where two roundings need more than the side
/// between them.
pub fn rounded_polygon(corners: &[PolygonCorner], tag: &Tag) -> Option<Vec<Segment>> {
    let rounded = roundings(corners)?;
    let (n, point) = (rounded.len(), |[x, y]: [f64; 2]| P2::new(x, y));
    let mut out: Vec<Segment> = Vec::with_capacity(2 * n);
    for (i, corner) in rounded.iter().enumerate() {
        if let Some((center, left)) = corner.arc {
            let (from, to) = (point(corner.start), point(corner.end));
            out.push(Segment { from, to, arc: Some((point(center), left)), tag: tag.clone() });
        }
        let (from, to) = (point(corner.end), point(rounded[(i + 1) % n].start));
        if (to - from).norm() > SNAP {
            out.push(Segment { from, to, arc: None, tag: tag.clone() });
        } else if let Some(last) = out.last_mut() {
            last.to = to; // two roundings meet
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::solid::Profile;

    fn outline(points: &[(f64, f64, f64)]) -> Option<Vec<Segment>> {
        let corners: Vec<_> = points.iter().map(|&(x, y, r)| ([x, y], r)).collect();
        rounded_polygon(&corners, &Tag::formed("pad", "side"))
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
