//! The part of a plan about some places: the bodies near them, to be tried in place of all.
//!
//! Where a ball fails at one place, or the solid does not close there, bodies elsewhere have nothing to do with it; yet each try would
//! cost a boundary of all of them. So the bodies near the place are tried alone until nothing fails there, and the plan takes over what
//! they have come to. What fails elsewhere tells nothing: bodies of the part may end in the air there.

use super::failure::LocatedFailure;
use super::part_scope::PartScope;
use super::plan::{FilletPlan, same};
use crate::geometry::P3;

/// The greatest share of the bodies that is worth trying alone.
const MOST_SHARE: f64 = 0.5;

/// A part of a plan.
#[derive(Clone, Debug)]
pub struct PlanPart {
    /// The plan of its bodies alone.
    pub plan: FilletPlan,
    /// Their numbers in the whole plan.
    pub numbers: Vec<usize>,
}

impl FilletPlan {
    /// The part of a plan about some places: the bodies that come within `reach` (mm) of one of them, with the balls down to a radius.
    /// `None` where it is hardly less than the whole, or this is a part itself.
    pub fn part_about(&self, places: &[P3], reach: f64, down_to: f64) -> Option<PlanPart> {
        let near = |i: &usize| {
            let bounds = self.bodies[*i].primitive.bounds();
            places.iter().any(|p| bounds.distance(*p) < reach)
        };
        let numbers: Vec<usize> = (0..self.bodies.len()).filter(near).collect();
        if self.scope.is_some() || numbers.len() as f64 > MOST_SHARE * self.bodies.len() as f64 {
            return None;
        }
        let scope = PartScope { places: places.to_vec(), reach, down_to };
        let bodies = numbers.iter().map(|i| self.bodies[*i].clone()).collect();
        let mut plan = self.clone();
        (plan.bodies, plan.demotions, plan.scope) = (bodies, vec![], Some(scope));
        Some(PlanPart { plan, numbers })
    }

    /// Whether a ball of a part fails elsewhere than at its places, so that the part tells nothing.
    pub(super) fn fails_elsewhere(&self, failures: &[LocatedFailure]) -> bool {
        let of = |scope: &PartScope| failures.iter().any(|f| f.at.is_none_or(|at| !scope.holds(at)));
        self.scope.as_ref().is_some_and(of)
    }

    /// Takes over what a part of this plan has come to. Whether it does: not where the part gave something up elsewhere.
    pub fn take_over(&mut self, part: PlanPart) -> bool {
        let PlanPart { plan, numbers } = part;
        let Some(scope) = &plan.scope else { return false };
        let new = &plan.filled[self.filled.len().min(plan.filled.len())..];
        let filled_there = new.iter().all(|f| scope.places.iter().any(|p| f.distance(*p) < scope.reach));
        let given_there = plan.demotions.iter().all(|d| d.at.is_some_and(|at| scope.holds(at)));
        if !filled_there || !given_there {
            return false;
        }
        for (own, i) in plan.bodies.iter().zip(&numbers) {
            let before = &self.bodies[*i];
            let (radius, nudged) = (before.radius, before.nudged);
            // A ball that is changed slightly is changed for all bodies that take it.
            if own.nudged != nudged {
                let others = self.bodies.iter_mut().enumerate().filter(|(n, _)| !numbers.contains(n));
                for (_, b) in others.filter(|(_, b)| same(b.radius, radius) && b.nudged == nudged) {
                    (b.radius, b.nudged) = (own.radius, own.nudged);
                }
            }
        }
        for (own, i) in plan.bodies.into_iter().zip(numbers) {
            self.bodies[i] = own;
        }
        self.demotions.extend(plan.demotions);
        (self.filled, self.uncreased) = (plan.filled, plan.uncreased);
        self.folded |= plan.folded;
        true
    }
}
