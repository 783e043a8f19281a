//! Boxes of primitives along their own axes, which hold tighter than those along the world's where a primitive lies askew.

use crate::geometry::{Bounds, Frame, V3};
use crate::solid::primitive::Primitive;
use crate::tolerance::TANGENT_SNAP;

/// A box along the axes of a primitive's frame.
#[derive(Clone, Debug)]
pub(crate) struct OrientedBox {
    frame: Frame,
    lo: V3,
    hi: V3,
}

impl OrientedBox {
    /// The box around a turned body or a prism; `None` for others.
    pub(crate) fn of(p: &Primitive) -> Option<Self> {
        let (profile, prism) = p.shape()?;
        let (lo, hi) = profile.extent();
        let (lo, hi) = match prism {
            None => {
                let r = hi.x.max(-lo.x);
                (V3::new(-r, -r, lo.y), V3::new(r, r, hi.y))
            }
            Some((height, slope)) => {
                // Leaning walls may stand out beyond the outline.
                let out = (slope * height).abs() * std::f64::consts::SQRT_2;
                (V3::new(lo.x - out, lo.y - out, 0.0), V3::new(hi.x + out, hi.y + out, height))
            }
        };
        let margin = V3::repeat(TANGENT_SNAP);
        Some(Self { frame: *p.frame(), lo: lo - margin, hi: hi + margin })
    }

    /// Whether the two boxes keep apart along one of this one's axes.
    pub(crate) fn clear_of(&self, b: &Bounds) -> bool {
        let Frame { origin, x, y, z } = self.frame;
        [x, y, z].into_iter().enumerate().any(|(k, axis)| {
            let (from, to) = b.along(origin, axis);
            to < self.lo[k] || from > self.hi[k]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::P3;
    use crate::solid::{Tag, cylinder};

    /// A cylinder of radius 5 from z = 20 to 30 along an axis at 45 degrees keeps off a box about the origin that its box
    /// along the world's axes meets.
    #[test]
    fn a_body_askew_keeps_off_a_box_that_its_bounds_meet() {
        let frame = Frame::from_z(P3::origin(), V3::new(1.0, 1.0, 0.0).normalize());
        let lifted = frame.moved_to(frame.point(0.0, 0.0, 20.0));
        let tag = Tag::formed("body", "side");
        let body = cylinder("body", lifted, 5.0, 10.0, &[tag.clone(), tag.clone(), tag]).expect("a cylinder");
        let near = Bounds::around([P3::new(8.0, 8.0, -3.0), P3::new(13.0, 13.0, 3.0)]);
        assert!(body.bounds().meets(&near), "the world's boxes meet");
        let own = OrientedBox::of(&body).expect("a box");
        assert!(own.clear_of(&near), "along its own axis they keep apart");
        assert!(!own.clear_of(&near.grown(2.0)), "nearer ones are not told apart");
    }
}
