//! Bodies laid on a housing: with them it must be one body still.

use super::{Housing, one_body_or_places};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Bounds, Frame, P3, V3};
use solidwright::solid::{Op, Primitive, PrimitiveError, Solid, SolidTree, rounded_rectangle};

/// How far the metal about bodies is looked at, mm: numbers that no drawing has, so that the sides of that room lie in no face. The second is
/// for where one of these touches something nevertheless.
const LOOKED_AT: [f64; 2] = [3.1371, 4.7133];

impl Housing {
    /// The same with bodies laid on it.
    ///
    /// # Errors
    /// The places of what is wrong, as far as they are known, where that is not one body.
    pub(crate) fn with_added(&self, bodies: &[Primitive]) -> Result<Self, Vec<P3>> {
        let solid = one_body_or_places(with(self.solid.tree(), bodies)).map_err(|found| found.1)?;
        Ok(Self { solid, ..self.clone() })
    }

    /// Whether the solid may close with bodies laid on it: it does within a room about them. That takes a small share of the time of
    /// [`Housing::with_added`] where they lie together, and is no proof.
    pub(crate) fn may_take(&self, bodies: &[Primitive]) -> bool {
        let all = bodies.iter().fold(Bounds::empty(), |all, body| all.union(body.bounds()));
        LOOKED_AT.iter().any(|about| self.closes_within(bodies, &all.grown(*about)))
    }

    fn closes_within(&self, bodies: &[Primitive], bounds: &Bounds) -> bool {
        let mut tree = SolidTree::new();
        for step in self.solid.tree().steps().iter().filter(|step| step.primitive.bounds().meets(bounds)) {
            tree.push(step.op, step.primitive.clone());
        }
        room(bounds).is_ok_and(|room| {
            let mut tree = with(&tree, bodies);
            tree.keep(room);
            Solid::of(tree).is_ok()
        })
    }
}

/// A tree with bodies added before anything is cut: what of them reaches into the cavity is cut with it.
fn with(tree: &SolidTree, bodies: &[Primitive]) -> SolidTree {
    let steps = tree.steps();
    let first = steps.iter().position(|step| step.op == Op::Cut).unwrap_or(steps.len());
    let mut out = SolidTree::new();
    steps[..first].iter().for_each(|step| out.push(step.op, step.primitive.clone()));
    bodies.iter().cloned().for_each(|body| out.add(body));
    steps[first..].iter().for_each(|step| out.push(step.op, step.primitive.clone()));
    out
}

/// The room within some bounds.
fn room(bounds: &Bounds) -> Result<Primitive, PrimitiveError> {
    let tag = Feature::Parting.formed(Role::PartingPlane);
    let size = bounds.max - bounds.min;
    let outline = rounded_rectangle(bounds.center().xy(), size.xy(), 0.0, &tag);
    let frame = Frame::from_zx(P3::new(0.0, 0.0, bounds.min.z), V3::z(), V3::x());
    Primitive::prism(&tag.feature, frame, outline, size.z, 0.0, [tag.clone(), tag.clone()])
}
