//! Balls that no face of a solid passes through.
//!
//! Where bodies overlap, about half of their curves and piercings lie deep within another body, or in what a cut takes away. A ball
//! that lies wholly inside the solid or wholly in what was cut away holds no edge and no vertex.

use crate::geometry::{Bounds, P3};
use crate::solid::patch::Patch;
use crate::solid::primitive::Primitive;
use crate::solid::tree::{Op, SolidTree};
use crate::tolerance::TANGENT_SNAP;

/// The turned bodies and prisms of a tree, those that filleted bodies join too.
pub(super) struct PlainBodies<'a> {
    tree: &'a SolidTree,
    /// In the order of the steps.
    all: Vec<PlainBody<'a>>,
}

/// A turned body or a prism with its box and its step.
#[derive(Clone, Copy)]
pub(super) struct PlainBody<'a> {
    bounds: Bounds,
    primitive: &'a Primitive,
    step: usize,
}

impl<'a> PlainBodies<'a> {
    pub(super) fn of(tree: &'a SolidTree) -> Self {
        let mut all = Vec::new();
        for (number, step) in tree.steps().iter().enumerate().filter(|(_, step)| step.op != Op::Keep) {
            collect(&step.primitive, number, &mut all);
        }
        Self { tree, all }
    }

    /// Those that a box meets.
    pub(super) fn near(&self, bounds: &Bounds) -> Vec<PlainBody<'a>> {
        self.all.iter().filter(|b| b.bounds.meets(bounds)).copied().collect()
    }

    /// Whether one of some bodies settles that the ball of a radius about `p` lies wholly inside the solid or wholly outside it.
    /// `false` tells nothing.
    pub(super) fn settle(&self, near: &[PlainBody<'_>], p: P3, radius: f64) -> bool {
        let reach = radius + TANGENT_SNAP;
        let steps = self.tree.steps();
        // The last body that takes the whole ball settles it, unless a step behind it may take a part the other way.
        let Some(body) = near.iter().rev().find(|b| b.holds(p, reach)) else { return false };
        let adds = |op: Op| matches!(op, Op::Add | Op::Restore);
        let own = adds(steps[body.step].op);
        steps[body.step + 1..].iter().all(|step| match step.op {
            Op::Keep => !own,
            op => adds(op) == own || step.primitive.bounds().distance(p) > reach,
        })
    }

    /// The same of all bodies.
    pub(super) fn settle_at(&self, p: P3, radius: f64) -> bool {
        self.settle(&self.near(&Bounds { min: p, max: p }), p, radius)
    }
}

impl PlainBody<'_> {
    /// Whether the ball about `p` lies wholly within.
    fn holds(&self, p: P3, reach: f64) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let ball = Bounds { min: p, max: p }.grown(reach);
        let passes = |f: &Patch| f.bounds.meets(&ball) && f.surface.f(p).abs() <= reach;
        self.bounds.union(&ball) == self.bounds
            && !self.primitive.patches().iter().any(passes)
            && self.primitive.contains(p)
    }
}

/// Adds a plain body, or those that a filleted one holds wholly.
fn collect<'a>(primitive: &'a Primitive, step: usize, out: &mut Vec<PlainBody<'a>>) {
    match primitive.filleted_body() {
        None => out.push(PlainBody { bounds: *primitive.bounds(), primitive, step }),
        // Rounded edges and caps take material off its parts.
        Some(body) if body.sharp.is_some() || !primitive.caps().is_empty() => {}
        Some(body) => body.parts().iter().for_each(|part| collect(part, step, out)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, V3};
    use crate::solid::{Tag, cylinder};

    /// A cylinder of radius 10 from z = 0 to 20 about the place `(x, 0, 0)`.
    fn pin(x: f64) -> Primitive {
        let frame = Frame::from_z(P3::new(x, 0.0, 0.0), V3::z());
        let tag = Tag::formed("pin", "side");
        cylinder("pin", frame, 10.0, 20.0, &[tag.clone(), tag.clone(), tag]).expect("a cylinder")
    }

    fn settles(tree: &SolidTree, p: P3, radius: f64) -> bool {
        PlainBodies::of(tree).settle_at(p, radius)
    }

    #[test]
    fn a_ball_is_settled_only_where_no_face_can_pass_through_it() {
        let (middle, overlap) = (P3::new(0.0, 0.0, 10.0), P3::new(7.0, 0.0, 10.0));
        let mut tree = SolidTree::new();
        tree.add(pin(0.0));
        assert!(settles(&tree, middle, 9.0), "all of the ball lies within");
        assert!(!settles(&tree, middle, 10.5), "the ball reaches out of the side");
        assert!(!settles(&tree, P3::new(0.0, 0.0, 25.0), 1.0), "nothing is told outside of all bodies");
        tree.add(pin(10.0));
        assert!(settles(&tree, overlap, 4.0), "deep in the second, though near the first one's side");
        tree.cut(pin(18.0));
        assert!(!settles(&tree, overlap, 4.0), "the cut may take a part");
        assert!(settles(&tree, P3::new(18.0, 0.0, 10.0), 9.0), "all of the ball is cut away");
        tree.keep(pin(0.0));
        assert!(!settles(&tree, middle, 5.0), "what is kept may end there");
    }
}
