//! Faults of a filleted solid that are mended with the bodies near them alone: the whole solid is evaluated again only when nothing is wrong
//! there any more.

use super::{Attempt, HousingError, Parts};
use crate::design::Design;
use crate::housing::{fillets::Prepared, one_body_or_places};
use solidwright::geometry::P3;
use solidwright::solid::fillet::LevelStore;
use solidwright::solid::{Primitive, SolidError};

/// How often a plan of the bodies near a place is changed.
const MOST_CHANGES: usize = 10;

/// Bodies within so many of the largest radii of a fault are tried alone.
const NEARBY: f64 = 2.5;

/// Only faults within so many of the largest radii of the place are looked at then: farther away bodies may end in the air.
const THERE: f64 = 1.0;

/// Faults within so many of the largest radii of one that is mended are left to it.
const BESIDE: f64 = 2.0;

impl Attempt {
    /// Mends the places of a fault with the bodies near each of them alone. Whether all are mended, so that the whole may be tried again.
    pub(super) fn mend_nearby(
        &mut self,
        of: (&Parts, &Design),
        error: &HousingError,
        places: &[P3],
        store: &mut LevelStore,
    ) -> bool {
        // A hollow, or a piece that stands apart, is not about one place; and where a boundary was found but is not accurate, a ball changed
        // slightly does for the whole what would take rods here.
        let HousingError::Solid(SolidError::Boundary(_)) = error else { return false };
        let most = self.plan.most();
        let mut done: Vec<P3> = Vec::new();
        for at in places {
            if done.iter().any(|p| (p - at).norm() < BESIDE * most) {
                continue;
            }
            if !store.may_try_parts() {
                return false;
            }
            let Some((part, numbers)) = self.plan.part_about(*at, NEARBY * most) else { return false };
            let mended = self.mended(of, part, *at);
            let served = mended.is_some_and(|part| self.plan.take_over(part, numbers));
            store.note_part(served);
            if !served {
                return false;
            }
            done.push(*at);
        }
        !done.is_empty()
    }

    /// The plan of the bodies about a place, changed until nothing is wrong there; `None` where that is not found, or the fault is not
    /// there with these bodies alone.
    fn mended(&mut self, (parts, design): (&Parts, &Design), plan: Prepared, at: P3) -> Option<Prepared> {
        let most = plan.most();
        let mut part = Self { plan, ..*self };
        let mut store = LevelStore::default();
        let near = |p: &Primitive| p.bounds().distance(at) < NEARBY * most;
        for changes in 0..MOST_CHANGES {
            let rolled = part.plan.rolled(design, &mut store).ok()?;
            let made = one_body_or_places(parts.filleted_tree(&part.plan, &rolled, &near));
            let there = |p: &&P3| (*p - at).norm() < THERE * most;
            let fault = made.err().and_then(|found| {
                let (error, places) = *found;
                Some((error, *places.iter().find(there)?))
            });
            match fault {
                None if changes == 0 => return None,
                None => {
                    (self.lessened, self.fills, self.nudged) = (part.lessened, part.fills, part.nudged);
                    return Some(part.plan);
                }
                Some((error, place)) if part.mend_at(place, &error) => {}
                Some(_) => return None,
            }
        }
        None
    }
}
