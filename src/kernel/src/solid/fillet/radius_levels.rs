//! Balls of several radii, the largest first; where one fails, the plan gives way.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::tolerance::LEAST_LEVEL_STEP;

use super::convexity::RollingSide;
use super::courses::Ball;
use super::failure::{FilletFailure, LocatedFailure};
use super::filled_places::FilledPlace;
use super::folds::Folds;
use super::hollows;
use super::joint::{Joint, JointState};
use super::kept_creases::KeptCrease;
use super::level_store::{LevelStore, OffsetLevel, RolledLevel, ShrunkStore, Task, folds_behind};
use super::offset_body;
use super::plan::{FilletPlan, FilletRequest, same, tags};
use super::rolling_ball::{RolledBody, RollingBase, roll};
use crate::geometry::P3;
use crate::solid::brep::Brep;
use crate::solid::evaluate::evaluate_or_faults;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;
use crate::solid::tree::SolidTree;

/// Bodies joined with their fillets.
#[derive(Clone, Debug)]
pub struct FilletResult {
    /// The filleted body; none where no body takes a ball.
    pub body: Option<Primitive>,
    /// How each joint came out, but for those with the rods of filled places.
    pub joints: Vec<Joint>,
    /// The faces about each hollow that was filled, because the fillets around it close it off.
    pub filled: Vec<BTreeSet<Tag>>,
}

/// Why a plan has no result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unrolled {
    /// No ball was found with which fillets can meet in creases as the plan has it.
    #[error("no ball was found")]
    NoBall,
    /// A body would have to take a smaller ball, and may not.
    #[error("a body would have to take a smaller ball")]
    WouldGiveWay,
}

/// One radius.
struct RadiusLevel {
    /// The radius asked for, mm. That of the ball differs by a nudge at most.
    asked: f64,
    /// What the ball left.
    rolled: Arc<RolledLevel>,
    /// Its joints, with what was asked for.
    joints: Vec<Joint>,
}

/// Balls that may fail before bodies at fault are left sharp at once.
const ATTEMPTS: usize = 8;

/// Balls that may fail at all, also where edges only had to be rounder: each costs a boundary of all bodies.
const MOST_TRIES: usize = 24;

/// Balls that may fail where fillets meet in creases, before it is tried without.
const MOST_CREASED: usize = 12;

/// Changes of a level's radius, in shares of it, that move the ball off places where it only just touches. Round numbers
/// bring such places about; where surfaces touch, a small change moves them apart by its square only. On the drawn housings of odd seeds up
/// to 1199 the first one cured 15 of 85 failures; four others, one after the other, cured four and led on in six: one of them is left.
const NUDGES: [f64; 3] = [0.0, -7e-4, 0.016];

/// Joins the bodies of a plan with fillets; `name` gives the name of a fillet by the names of its two supports. What bodies have
/// to give up for it stands in the plan afterwards.
///
/// # Errors
/// Too many balls fail with creases, or a later ball can't take those of an earlier one over: then a new plan without creases
/// ([`FilletPlan::without_creases`]) has a result. Or a body would have to take a smaller ball, and the plan does not allow it
/// ([`FilletPlan::keep_balls`]).
pub fn filleted(plan: &mut FilletPlan, name: &dyn Fn(&Tag, &Tag) -> Tag) -> Result<FilletResult, Unrolled> {
    filleted_from(plan, &mut LevelStore::default(), name)
}

/// The same with what balls have left for plans of the same bodies before: no ball rolls twice over the same.
///
/// # Errors
/// As [`filleted`].
pub fn filleted_from(
    plan: &mut FilletPlan,
    store: &mut LevelStore,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<FilletResult, Unrolled> {
    plan.begin();
    let mut levels: Vec<RadiusLevel> = Vec::new();
    let (mut left, mut tries) = (ATTEMPTS, 0);
    let mut nudge = (0.0, 0);
    while let Some(radius) = plan.next_radius(levels.last().map(|l| l.asked)) {
        // What a first ball only just touched, the next one of the radius would touch as well.
        if !same(nudge.0, radius) {
            nudge = (radius, 0);
        }
        match level(plan, &levels, (radius, &mut nudge.1), store, name) {
            Ok(level) => {
                if !level.rolled.creases.is_empty() {
                    plan.note_fold();
                }
                levels.push(level);
            }
            Err(failures) => {
                tries += 1;
                store.note_failure();
                if plan.fails_elsewhere(&failures) {
                    return Err(Unrolled::NoBall);
                }
                if plan.allows_creases() && failures.iter().any(|f| f.failure == FilletFailure::Tight) {
                    plan.note_fold();
                }
                if plan.allows_creases() && plan.folded() {
                    let lost = failures.iter().find(|f| f.creases);
                    if tries > MOST_CREASED {
                        return Err(Unrolled::NoBall);
                    }
                    if let Some(lost) = lost {
                        // An earlier ball's crease stands in the way of this one.
                        plan.note_creases(nodes(&levels));
                        if !lost.at.is_some_and(|at| plan.refuse_crease(at)) {
                            return Err(Unrolled::NoBall);
                        }
                        levels.clear();
                        nudge = (0.0, 0);
                        continue;
                    }
                }
                let uncured = mend(plan, radius, &failures, tries <= MOST_TRIES);
                // What failed at no place is cured at none.
                if uncured.is_empty() && !failures.is_empty() {
                    try_nearby(plan, radius, &failures, store, name);
                } else if plan.keeps_balls() {
                    return Err(Unrolled::WouldGiveWay);
                } else {
                    left = left.saturating_sub(1);
                    plan.reduce_radii(radius, &uncured, left == 0 || tries > MOST_TRIES);
                }
            }
        }
    }
    plan.note_creases(nodes(&levels));
    let of_filled = |j: &Joint| j.faces.iter().any(|t| plan.is_filled(t));
    Ok(FilletResult {
        joints: levels.iter().flat_map(|l| &l.joints).filter(|j| !of_filled(j)).cloned().collect(),
        filled: levels.iter().flat_map(|l| &l.rolled.over.filled).cloned().collect(),
        body: levels.pop().map(|l| l.rolled.joined.clone()),
    })
}

/// Makes edges rounder or fills places where a ball failed, if it may. Gives the failures that this does not cure.
fn mend(plan: &mut FilletPlan, radius: f64, failures: &[LocatedFailure], may: bool) -> Vec<LocatedFailure> {
    if !may {
        return failures.to_vec();
    }
    let left = plan.enlarge_edges(radius, failures);
    plan.fill_places(radius, &left)
}

/// Bodies within so many radii of a place where a ball failed are tried alone.
const NEARBY: f64 = 2.5;

/// Smaller balls than this share of the one that failed do not roll over a part.
const DOWN_TO: f64 = 0.95;

/// A ball for which the plan was changed is tried over the bodies near the places alone, and the plan takes over what that comes to: the whole
/// is tried again only when nothing fails there any more.
fn try_nearby(
    plan: &mut FilletPlan,
    radius: f64,
    failures: &[LocatedFailure],
    store: &mut LevelStore,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) {
    let places: Vec<P3> = failures.iter().filter_map(|f| f.at).collect();
    if !store.may_try_parts() {
        return;
    }
    let Some(mut part) = plan.part_about(&places, NEARBY * radius, DOWN_TO * radius) else { return };
    let rolled = filleted_from(&mut part.plan, &mut LevelStore::default(), name);
    let taken = rolled.is_ok() && plan.take_over(part);
    store.note_part(taken);
}

/// The nodes of all creases.
fn nodes(levels: &[RadiusLevel]) -> Vec<P3> {
    levels.iter().flat_map(|l| &l.rolled.creases).flat_map(|c| c.nodes.iter().copied()).collect()
}

/// The level of a radius, with the first change of it from number `nudge` on that the ball takes.
fn level(
    plan: &FilletPlan,
    levels: &[RadiusLevel],
    (radius, nudge): (f64, &mut usize),
    store: &mut LevelStore,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RadiusLevel, Vec<LocatedFailure>> {
    let own: Vec<&FilletRequest> = plan.bodies().iter().filter(|b| same(b.radius, radius)).collect();
    let folding = if plan.allows_creases() { Folds::Crease { but: plan.uncreased() } } else { Folds::Refuse };
    let smaller: Vec<f64> =
        std::iter::successors(plan.next_radius(Some(radius)), |r| plan.next_radius(Some(*r))).collect();
    let before: Vec<Arc<RolledLevel>> = levels.iter().map(|l| Arc::clone(&l.rolled)).collect();
    let bodies: Vec<&Arc<Primitive>> = own.iter().map(|b| &b.primitive).collect();
    let places: Vec<&FilledPlace> = plan.filled_for(radius).collect();
    // Where a place had to be filled, no nudge has helped; and a ball that was made smaller is of no round number.
    let given = own.iter().all(|b| b.failure.is_some());
    let most = if places.is_empty() && !given { NUDGES.len() } else { 1 };
    let mut first = None;
    // The ball before may be hardly larger; a nudge may have made it smaller than this one.
    let largest = before.last().map_or(f64::INFINITY, |l| l.radius - LEAST_LEVEL_STEP);
    for (number, change) in NUDGES.iter().enumerate().skip(*nudge).take(most) {
        let ball = (radius * (1.0 + change)).min(largest);
        let task = Task {
            levels: &before,
            bodies: &bodies,
            places: &places,
            radius: ball,
            smaller: &smaller,
            folding,
        };
        match rolled(&task, store, name) {
            Ok(rolled) => {
                let mut joints = rolled.joints.clone();
                for j in &mut joints {
                    (j.made, j.asked) = (ball, plan.asked(&j.faces, radius));
                    j.failure = failure(&own, j);
                }
                return Ok(RadiusLevel { asked: radius, rolled, joints });
            }
            Err(failures) => {
                // Only a touch in a point goes away with a nudge, and not where a larger ball's crease lies.
                if !failures.iter().all(|f| matches!(f.failure, FilletFailure::NoWay | FilletFailure::Flat)) {
                    *nudge = number;
                    return Err(failures);
                }
                let in_vain =
                    failures.iter().all(|f| f.creases || f.failure == FilletFailure::Flat && number > 0);
                let first = first.get_or_insert(failures);
                if in_vain {
                    return Err(std::mem::take(first));
                }
            }
        }
    }
    Err(first.unwrap_or_default())
}

/// Why a joint of a smaller radius than asked has it.
fn failure(own: &[&FilletRequest], joint: &Joint) -> Option<FilletFailure> {
    if joint.state() == JointState::Whole {
        return None;
    }
    let of = |r: &&&FilletRequest| r.primitive.patches().iter().any(|p| joint.faces.contains(&p.tag));
    own.iter().filter(of).find_map(|r| r.failure)
}

/// What one ball leaves.
fn rolled(
    task: &Task<'_>,
    store: &mut LevelStore,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<Arc<RolledLevel>, Vec<LocatedFailure>> {
    if let Some(known) = store.level(task) {
        return Ok(known);
    }
    let over = store.offset(task, |before| offset(task, before, name).map(Arc::new))?;
    let (levels, radius) = (task.levels, task.radius);
    let before = levels.last().map(|l| l.joined.clone());
    let parts = before.into_iter().chain(over.bodies.iter().cloned()).collect();
    let all = RollingBase { parts, offset: over.large.clone() };
    let folds_at: Vec<f64> = std::iter::once(radius).chain(folds_behind(task)).collect();
    let ball = Ball { radius, side: RollingSide::Outside, folding: task.folding, folds_at: &folds_at };
    let kept: Vec<KeptCrease> = levels.iter().flat_map(|l| l.creases.iter().cloned()).collect();
    let RolledBody { body, joints, creases } = roll(&over.offset, ball, all, &kept, name)?;
    let made = Arc::new(RolledLevel { radius, over, folds_at, creases, joined: body, joints });
    store.keep_level(task, &made);
    Ok(made)
}

/// The solid offset by a ball's radius, in which the hollows are filled that the ball can't come to.
fn offset(
    task: &Task<'_>,
    before: &mut ShrunkStore,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<OffsetLevel, Vec<LocatedFailure>> {
    let radius = task.radius;
    let mut bodies: Vec<Primitive> = task.bodies.iter().map(|b| offset_body::closed(b, radius)).collect();
    bodies.extend(task.places.iter().filter_map(|p| p.body()));
    let before = before.of(task, || shrunk(task.levels, radius, task.folding, name))?;
    let mut large: Vec<Primitive> = before.into_iter().collect();
    for b in &bodies {
        large.push(larger(b, radius)?);
    }
    let mut offset = joined(&large, radius)?;
    let fillings = hollows::fillings(&offset, radius);
    if !fillings.is_empty() {
        for rod in fillings.iter().flat_map(|f| &f.rods) {
            large.push(larger(rod, radius)?);
            bodies.push(rod.clone());
        }
        offset = joined(&large, radius)?;
    }
    let filled = fillings.into_iter().map(|f| f.tags).collect();
    Ok(OffsetLevel { offset, large, bodies, filled })
}

/// The boundary of bodies, grown by a radius, as one solid.
fn joined(bodies: &[Primitive], radius: f64) -> Result<Brep, Vec<LocatedFailure>> {
    let mut tree = SolidTree::new();
    for p in bodies {
        tree.add(p.clone());
    }
    evaluate_or_faults(&tree).map_err(|faults| LocatedFailure::of(&faults, radius))
}

fn larger(b: &Primitive, by: f64) -> Result<Primitive, Vec<LocatedFailure>> {
    let none = || vec![LocatedFailure::about(FilletFailure::SharpEdge, None, tags(b).into_iter().collect())];
    offset_body::offset_body(b, by, false).and_then(Result::ok).ok_or_else(none)
}

/// What the levels so far have made, offset by a smaller radius.
fn shrunk(
    levels: &[Arc<RolledLevel>],
    radius: f64,
    folding: Folds<'_>,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<Option<Primitive>, Vec<LocatedFailure>> {
    let mut out: Option<Primitive> = None;
    let mut kept: Vec<KeptCrease> = Vec::new();
    for level in levels {
        let mut parts: Vec<Primitive> = out.take().into_iter().collect();
        for b in &level.over.bodies {
            parts.push(larger(b, radius)?);
        }
        let all = RollingBase { parts, offset: level.over.large.clone() };
        let less = level.radius - radius;
        let ball = Ball { radius: less, side: RollingSide::Outside, folding, folds_at: &level.folds_at };
        let RolledBody { body, creases, .. } = roll(&level.over.offset, ball, all, &kept, name)?;
        out = Some(body);
        kept.extend(creases);
    }
    Ok(out)
}
