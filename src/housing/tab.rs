//! A tab: straight from its root, round at its end. Lugs and humps have this outline.

use solidwright::geometry::P2;
use solidwright::solid::{Segment, Tag, polygon};

/// Outline of a tab along x, counter-clockwise: a root across x at `root` of half width `half_width`, an end of
/// `radius` about (`center`, 0), and sides that touch the end. None when the root's corners lie within the end.
pub(super) fn tab(root: f64, half_width: f64, center: f64, radius: f64, tag: &Tag) -> Option<Vec<Segment>> {
    let (dx, dy) = (root - center, half_width);
    let distance = dx.hypot(dy);
    if distance <= radius {
        return None;
    }
    // Seen from the end's centre, the touching point lies acos(radius / distance) before the root's corner.
    let angle = dy.atan2(dx) - (radius / distance).acos();
    let (x, y) = (center + radius * angle.cos(), radius * angle.sin());
    let corners = [P2::new(root, half_width), P2::new(root, -half_width), P2::new(x, -y), P2::new(x, y)];
    let mut outline = polygon(&corners, std::slice::from_ref(tag));
    outline[2].arc = Some((P2::new(center, 0.0), true));
    Some(outline)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_root_as_wide_as_the_end_gives_parallel_sides() {
        let outline = tab(0.0, 5.0, 20.0, 5.0, &Tag::formed("lug", "side")).expect("a tab");
        assert!((outline[2].to - P2::new(20.0, 5.0)).norm() < 1e-12, "{:?}", outline[2].to);
    }

    #[test]
    fn the_sides_touch_the_end() {
        let outline = tab(10.0, 12.0, 40.0, 6.0, &Tag::formed("lug", "side")).expect("a tab");
        let (side, spoke) = (outline[3].to - outline[3].from, outline[3].from - P2::new(40.0, 0.0));
        assert!(side.dot(&spoke).abs() < 1e-9, "square to the radius");
        assert!((spoke.norm() - 6.0).abs() < 1e-12, "on the end");
        assert!(outline[3].from.x > 40.0 - 6.0 && outline[3].from.y > 0.0, "outer touching point");
    }
}
