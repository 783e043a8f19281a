//! The ways in which fillets are laid where a ball's path turns too tightly or is not found, and which one is taken.

mod nearby;

use super::{Housing, HousingError, Parts, fillets, one_body_or_places};
use crate::design::Design;
use solidwright::geometry::P3;
use solidwright::solid::fillet::{Joint, JointState, LevelStore, Unrolled};

/// Places at which bodies are given a smaller ball, because the solid does not close there.
const MOST_LESSENED: usize = 6;

/// Further places at which they take none at once.
const MOST_SHARP: usize = 6;

/// Places at which bodies give way where fillets meet in creases, before it is tried without.
const MOST_CREASED: usize = 8;

/// How often a place at which the solid does not close is filled, or filled more: each time costs a solid.
const MOST_FILLS: usize = 5;

/// Share of the joints that may be less than whole in one way without the next one being tried as well.
const FEW_LOST: f64 = 0.03;

/// Balls and solids that may fail for one part before what one way has made is taken without going on with the others: each costs a
/// boundary of all bodies.
const ENOUGH_FAILURES: usize = 20;

/// What is done where a ball's path turns too tightly or is not found.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    /// Fillets end in creases, or the place is filled.
    Creased,
    /// Edges are rounded more, or the place is filled.
    Rounder,
    /// Fillets end in creases, or the ball is smaller.
    Unfilled,
}

/// Why a way gives no filleted solid.
enum Unfilleted {
    /// No ball was found with which the solid closes.
    NoBall,
    /// A body would have to take a smaller ball, and may not yet.
    WouldGiveWay,
    /// No better than what another way has made.
    NoBetter,
    /// The solid fails without any fillet, of the same.
    OwnFault,
}

/// One way, as far as it has come.
struct Attempt {
    way: Way,
    plan: fillets::Prepared,
    /// Places at which bodies gave way because the solid did not close.
    lessened: usize,
    /// Places that were filled because the solid did not close.
    fills: usize,
    /// Where the solid did not close before a ball was changed slightly.
    nudged: Option<P3>,
    /// Whether it has come to its end.
    over: bool,
}

impl Parts {
    /// The housing with the fillets of a ball rolled over its bodies; `None` where the solid does not close with them.
    ///
    /// At first each way goes only as far as no body has to take a smaller ball: where one way keeps all fillets, what the
    /// others would give up need not be found. Then the ways go on in turn, and the one that leaves most joints whole is taken.
    pub(super) fn rolled(&self, design: &Design, moulded: bool, avoid: &[P3]) -> Option<Housing> {
        let how = moulded.then_some((self.laid, &self.bodies[..]));
        let mut prepared = fillets::prepared(design, &self.added, &self.filled, how);
        prepared.follow(&self.finished);
        prepared.lay(self.laid);
        for p in avoid {
            prepared.give_way(*p, false);
        }
        let few = |h: &Housing| less_than_whole(&h.joints) as f64 <= FEW_LOST * h.joints.len() as f64;
        let mut attempts =
            [Way::Creased, Way::Rounder, Way::Unfilled].map(|way| Attempt::new(way, prepared.clone()));
        let mut best: Option<Housing> = None;
        let mut store = LevelStore::default();
        let (mut folded, mut filled) = (false, false);
        for may_give_way in [false, true] {
            for attempt in &mut attempts {
                let is_of_use = match attempt.way {
                    Way::Creased => true,
                    Way::Rounder => folded,
                    // It has smaller balls in place of fillings.
                    Way::Unfilled => filled && may_give_way,
                };
                if best.is_some() && store.failures() > ENOUGH_FAILURES {
                    return best;
                }
                if attempt.over || !is_of_use {
                    continue;
                }
                let most = best.as_ref().map(|h| less_than_whole(&h.joints));
                attempt.plan.keep_balls(!may_give_way);
                match attempt.go_on((self, design), most, &mut store) {
                    Ok(made) if most.is_none_or(|most| less_than_whole(&made.joints) < most) => {
                        best = Some(made);
                    }
                    Ok(_) | Err(Unfilleted::NoBall | Unfilleted::NoBetter | Unfilleted::WouldGiveWay) => {}
                    Err(Unfilleted::OwnFault) => return best,
                }
                folded |= attempt.plan.folded();
                filled |= attempt.plan.has_filled();
                if best.as_ref().is_some_and(few) {
                    return best;
                }
            }
        }
        best
    }

    /// Whether a filleted solid fails of what is wrong without fillets as well, so that no other ball helps: a closed hollow,
    /// or a place that no fillet covers.
    fn fails_by_itself(&self, error: &HousingError) -> bool {
        let one_place = |own: P3| error.place().is_some_and(|at| (at - own).norm() < ONE_PLACE);
        match (self.own_fault(), error) {
            // No fillet opens a hollow, whatever else is wrong with this one, and none fills what is cut.
            (Some(HousingError::Hollow(own)), _) => {
                matches!(error, HousingError::Hollow(_)) || own.is_cut(&self.tree())
            }
            // The solid without fillets has another fault, so that its hollows are not known: this one is its own if it lies in its metal.
            (Some(_), HousingError::Hollow(hollow)) => {
                let sharp = self.tree();
                hollow.behind.iter().all(|p| sharp.contains(*p))
            }
            (Some(own), _) => own.place().is_some_and(one_place),
            (None, _) => false,
        }
    }
}

/// Faults of two solids within this of each other, mm, are one fault: each evaluation finds such a place to a few nanometres.
const ONE_PLACE: f64 = 0.01;

/// A fault within this of where it was before a ball was changed slightly, mm, has stayed.
const STAYED: f64 = 2.0;

/// How many joints have less than the radius asked for.
fn less_than_whole(joints: &[Joint]) -> usize {
    joints.iter().filter(|j| j.state() != JointState::Whole).count()
}

impl Attempt {
    fn new(way: Way, mut plan: fillets::Prepared) -> Self {
        match way {
            Way::Creased => {}
            Way::Rounder => plan.without_creases(),
            Way::Unfilled => plan.without_filling(),
        }
        Self { way, plan, lessened: 0, fills: 0, nudged: None, over: false }
    }

    /// The housing with the balls of this way, made smaller where the solid does not close if they may be. It ends where as many
    /// joints as `most` are less than whole, since balls only grow smaller.
    fn go_on(
        &mut self,
        of: (&Parts, &Design),
        most: Option<usize>,
        store: &mut LevelStore,
    ) -> Result<Housing, Unfilleted> {
        let made = self.made(of, most, store);
        self.over = !matches!(made, Err(Unfilleted::WouldGiveWay));
        made
    }

    fn made(
        &mut self,
        (parts, design): (&Parts, &Design),
        most: Option<usize>,
        store: &mut LevelStore,
    ) -> Result<Housing, Unfilleted> {
        loop {
            let rolled = self.plan.rolled(design, store).map_err(|why| match why {
                Unrolled::NoBall => Unfilleted::NoBall,
                Unrolled::WouldGiveWay => Unfilleted::WouldGiveWay,
            })?;
            if most.is_some_and(|most| less_than_whole(&rolled.joints) >= most) {
                return Err(Unfilleted::NoBetter);
            }
            if !rolled.filled.is_empty() && parts.is_hollow() {
                return Err(Unfilleted::OwnFault);
            }
            let made = one_body_or_places(parts.filleted_tree(&self.plan, &rolled, &|_| true));
            let (error, places) = match made {
                Ok(solid) => return Ok(parts.with_joints(design, solid, rolled, &self.plan)),
                Err(found) => *found,
            };
            store.note_failure();
            if parts.fails_by_itself(&error) {
                return Err(Unfilleted::OwnFault);
            }
            if !self.mend_nearby((parts, design), &error, &places, store) {
                self.mend(&error)?;
            }
        }
    }

    /// Changes the plan where the solid did not close.
    fn mend(&mut self, error: &HousingError) -> Result<(), Unfilleted> {
        if let HousingError::Apart { apart, .. } = error
            && self.plan.widen_trims(apart)
        {
            return Ok(());
        }
        let at = error.place().ok_or(Unfilleted::NoBall)?;
        let hollow = matches!(error, HousingError::Hollow(_));
        let mended = match error {
            // Fillets of what stands out beyond a machined end may close a hollow; others are opened only by smaller balls about them.
            HousingError::Hollow(hollow) => self.plan.widen_trims_at(at) || self.plan.shorten(hollow),
            _ => self.mend_at(at, error),
        };
        if mended {
            return Ok(());
        }
        if self.plan.keeps_balls() && !hollow {
            return Err(Unfilleted::WouldGiveWay);
        }
        let most = if self.plan.folded() { MOST_CREASED } else { MOST_LESSENED + MOST_SHARP };
        if self.lessened >= most || !self.plan.give_way(at, self.lessened >= MOST_LESSENED) {
            return Err(Unfilleted::NoBall);
        }
        self.lessened += 1;
        Ok(())
    }

    /// Changes the plan at a place where the solid did not close, so that no body takes a smaller ball. Whether there is something new to try.
    fn mend_at(&mut self, at: P3, error: &HousingError) -> bool {
        let stayed = self.nudged.is_some_and(|before| (at - before).norm() < STAYED);
        if self.plan.nudge(at) {
            // Where a first change did not move the fault away, and it is no mere touch, a crease in that place may be what does not close.
            if stayed && !error.is_touch() {
                self.plan.refuse_crease(at);
            }
            self.nudged = Some(at);
            return true;
        }
        // Fillets of what stands out beyond a machined end may leave a web beside the cut.
        if self.plan.refuse_crease(at) || self.plan.widen_trims_at(at) {
            return true;
        }
        let filled = self.fills < MOST_FILLS && self.plan.fill(at);
        self.fills += usize::from(filled);
        filled
    }
}
