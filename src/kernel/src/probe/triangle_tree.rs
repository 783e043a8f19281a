//! Loose triangles in a tree of boxes: which of them a ray meets first.

use crate::geometry::{Bounds, P3, V3};
use crate::tolerance::{EDGE_ON, TRIANGLE_SIDE};

use super::tree::Tree;
use super::triangle::on_triangle;

/// Triangles that need not belong together, in a tree of boxes.
#[derive(Clone, Debug, Default)]
pub struct TriangleTree {
    triangles: Vec<[P3; 3]>,
    tree: Tree,
}

impl TriangleTree {
    /// Puts triangles into a tree; they keep their numbers.
    pub fn new(triangles: Vec<[P3; 3]>) -> Self {
        let boxes =
            triangles.iter().enumerate().map(|(k, t)| (Bounds::around(*t).grown(TRIANGLE_SIDE), k as u32));
        let tree = Tree::new(boxes.collect());
        Self { triangles, tree }
    }

    /// The number of the first triangle that `counts` of those a ray meets farther than `start` from its origin, and how
    /// far, in lengths of `direction`. Triangles seen edge on are passed over.
    pub fn first(
        &self,
        origin: P3,
        direction: V3,
        start: f64,
        counts: impl Fn(usize) -> bool,
    ) -> Option<(usize, f64)> {
        let mut best = None;
        self.tree.along(origin, direction, f64::INFINITY, |k, reach| {
            match met(&self.triangles[k as usize], origin, direction) {
                Some(t) if t > start && t < reach && counts(k as usize) => {
                    best = Some((k as usize, t));
                    t
                }
                _ => reach,
            }
        });
        best
    }

    /// Whether a triangle comes nearer to a place than a distance.
    pub fn is_within(&self, distance: f64, of: P3) -> bool {
        let mut found = false;
        self.tree.near(
            distance,
            |bounds| bounds.distance(of),
            |k, reach| {
                found |= (on_triangle(of, self.triangles[k as usize]) - of).norm() < distance;
                if found { 0.0 } else { reach }
            },
        );
        found
    }
}

/// Whether a ray along a direction sees a triangle edge on.
pub(super) fn is_edge_on([a, b, c]: &[P3; 3], direction: V3) -> bool {
    let (e, f) = (b - a, c - a);
    let det = e.dot(&direction.cross(&f));
    let least = EDGE_ON * EDGE_ON * e.norm_squared() * f.norm_squared() * direction.norm_squared();
    det * det < least
}

/// Where a ray meets a triangle, in lengths of its direction (Möller and Trumbore, 1997).
pub(super) fn met(triangle: &[P3; 3], origin: P3, direction: V3) -> Option<f64> {
    let [a, b, c] = triangle;
    let (e, f, s) = (b - a, c - a, origin - a);
    let p = direction.cross(&f);
    let det = e.dot(&p);
    let u = s.dot(&p) / det;
    if !(-TRIANGLE_SIDE..=1.0 + TRIANGLE_SIDE).contains(&u) || is_edge_on(triangle, direction) {
        return None;
    }
    let q = s.cross(&e);
    let (v, t) = (direction.dot(&q) / det, f.dot(&q) / det);
    (v >= -TRIANGLE_SIDE && u + v <= 1.0 + TRIANGLE_SIDE).then_some(t)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two storeys of a square of two triangles each.
    fn storeys() -> TriangleTree {
        let corner = |x: f64, y: f64, z: f64| P3::new(x, y, z);
        let floor = |z: f64| {
            [
                [corner(0.0, 0.0, z), corner(2.0, 0.0, z), corner(2.0, 2.0, z)],
                [corner(0.0, 0.0, z), corner(2.0, 2.0, z), corner(0.0, 2.0, z)],
            ]
        };
        TriangleTree::new([floor(5.0), floor(1.0)].concat())
    }

    #[test]
    fn a_ray_meets_the_nearest_triangle_first() {
        let tree = storeys();
        let first = |from: P3, way: V3, start: f64| tree.first(from, way, start, |_| true);
        assert_eq!(first(P3::new(1.5, 0.5, 0.0), V3::z(), 0.0), Some((2, 1.0)), "the lower storey");
        assert_eq!(first(P3::new(0.5, 1.5, 0.0), V3::z(), 2.0), Some((1, 5.0)), "beyond the start");
        let upper = tree.first(P3::new(1.5, 0.5, 0.0), V3::z(), 0.0, |k| k < 2);
        assert_eq!(upper, Some((0, 5.0)), "the lower storey does not count");
        assert!(first(P3::new(1.0, 1.0, 0.0), V3::z(), 0.0).is_some(), "on the common side");
        for (x, y) in [(0.0, 1.0), (2.0, 1.0), (1.0, 0.0), (1.0, 2.0)] {
            assert!(first(P3::new(x, y, 0.0), V3::z(), 0.0).is_some(), "on the outer sides: {x} {y}");
        }
        assert_eq!(first(P3::new(2.5, 0.5, 0.0), V3::z(), 0.0), None, "beside both");
        assert_eq!(first(P3::new(-1.0, 0.5, 1.0), V3::x(), 0.0), None, "edge on");
    }

    #[test]
    fn a_triangle_is_near_on_all_sides() {
        let tree = storeys();
        for p in [
            P3::new(1.5, 0.5, 0.4),
            P3::new(1.5, 0.5, 1.6),
            P3::new(2.6, 1.0, 1.0),
            P3::new(2.36, 2.36, 5.36),
        ] {
            assert!(tree.is_within(0.63, p) && !tree.is_within(0.59, p), "{p} is 0.60 to 0.62 mm off");
        }
        assert!(!TriangleTree::default().is_within(9.0, P3::origin()), "none there");
    }
}
