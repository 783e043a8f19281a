//! Primitives in order: add, cut, keep.

use crate::geometry::{Bounds, P3};

use super::primitive::Primitive;

/// What a step does with its primitive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Op {
    /// Adds it to what is there.
    Add,
    /// Takes it away.
    Cut,
    /// Takes away what a body was made longer by, so that fillets run up to its end: a cut that belongs to the body.
    Trim,
    /// Adds again a body that a filleted one before it holds, after a trim took something off it.
    Restore,
    /// Keeps only what lies inside it.
    Keep,
}

/// One step of a tree.
#[derive(Clone, Debug)]
pub struct Step {
    /// What is done.
    pub op: Op,
    /// With what.
    pub primitive: Primitive,
}

/// A solid as a list of steps, starting from nothing.
#[derive(Clone, Debug, Default)]
pub struct SolidTree {
    steps: Vec<Step>,
}

impl SolidTree {
    /// The empty tree.
    pub fn new() -> Self {
        Self::default()
    }

    /// Appends a step.
    pub fn push(&mut self, op: Op, primitive: Primitive) {
        self.steps.push(Step { op, primitive });
    }

    /// Appends "add".
    pub fn add(&mut self, primitive: Primitive) {
        self.push(Op::Add, primitive);
    }

    /// Appends "cut".
    pub fn cut(&mut self, primitive: Primitive) {
        self.push(Op::Cut, primitive);
    }

    /// Appends "trim".
    pub fn trim(&mut self, primitive: Primitive) {
        self.push(Op::Trim, primitive);
    }

    /// Appends "restore": adds again a body that a filleted one among the steps before holds wholly, but for what was
    /// trimmed since.
    pub fn restore(&mut self, primitive: Primitive) {
        self.push(Op::Restore, primitive);
    }

    /// Appends "keep".
    pub fn keep(&mut self, primitive: Primitive) {
        self.push(Op::Keep, primitive);
    }

    /// What its steps add, with nothing taken away but what trims it.
    #[must_use]
    pub fn added(&self) -> Self {
        Self {
            steps: self
                .steps
                .iter()
                .filter(|s| matches!(s.op, Op::Add | Op::Trim | Op::Restore))
                .cloned()
                .collect(),
        }
    }

    /// The steps.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Whether `p` is in the solid: exact to rounding away from the boundary.
    pub fn contains(&self, p: P3) -> bool {
        self.decide(p).0
    }

    /// Whether `p` is in the solid, and which step decides it (`None`: no step does, so it is outside).
    pub(crate) fn decide(&self, p: P3) -> (bool, Option<usize>) {
        // From the last step back: the first step that decides wins.
        for (i, step) in self.steps.iter().enumerate().rev() {
            let inside = step.primitive.contains(p);
            match (step.op, inside) {
                (Op::Add | Op::Restore, true) => return (true, Some(i)),
                (Op::Cut | Op::Trim, true) | (Op::Keep, false) => return (false, Some(i)),
                _ => {}
            }
        }
        (false, None)
    }

    /// A box around the solid.
    pub fn bounds(&self) -> Bounds {
        self.steps.iter().fold(Bounds::empty(), |b, s| match s.op {
            Op::Add | Op::Restore => b.union(s.primitive.bounds()),
            Op::Cut | Op::Trim => b,
            Op::Keep => b.intersection(s.primitive.bounds()),
        })
    }
}
