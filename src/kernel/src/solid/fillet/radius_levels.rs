//! Balls of several radii, the largest first; where one fails, the plan gives way.

use std::collections::BTreeSet;

use crate::tolerance::LEAST_LEVEL_STEP;

use super::convexity::RollingSide;
use super::courses::Ball;
use super::failure::{FilletFailure, LocatedFailure};
use super::folds::Folds;
use super::hollows;
use super::joint::{Joint, JointState};
use super::kept_creases::KeptCrease;
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

/// One radius: the solid offset by it.
struct RadiusLevel {
    /// The radius asked for, mm.
    asked: f64,
    /// That of the ball, which differs by a nudge at most, mm.
    radius: f64,
    offset: Brep,
    /// The radii of all balls that come along its paths, mm: its own, and those by which it is less than it.
    folds_at: Vec<f64>,
    creases: Vec<KeptCrease>,
    /// The bodies offset by the ball's radius, those of the levels before as one.
    large: Vec<Primitive>,
    bodies: Vec<Primitive>,
    /// The faces about each hollow that was filled because the ball can't come there.
    filled: Vec<BTreeSet<Tag>>,
    joined: Primitive,
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
    plan.begin();
    let mut levels: Vec<RadiusLevel> = Vec::new();
    let (mut left, mut tries) = (ATTEMPTS, 0);
    let mut nudge = (0.0, 0);
    while let Some(radius) = plan.next_radius(levels.last().map(|l| l.asked)) {
        // What a first ball only just touched, the next one of the radius would touch as well.
        if !same(nudge.0, radius) {
            nudge = (radius, 0);
        }
        match level(plan, &levels, radius, &mut nudge.1, name) {
            Ok(level) => {
                if !level.creases.is_empty() {
                    plan.note_fold();
                }
                levels.push(level);
            }
            Err(failures) => {
                tries += 1;
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
                let failures = if tries > MOST_TRIES {
                    failures
                } else {
                    let left = plan.enlarge_edges(radius, &failures);
                    plan.fill_places(radius, &left)
                };
                if !failures.is_empty() {
                    if plan.keeps_balls() {
                        return Err(Unrolled::WouldGiveWay);
                    }
                    left = left.saturating_sub(1);
                    plan.reduce_radii(radius, &failures, left == 0 || tries > MOST_TRIES);
                }
            }
        }
    }
    plan.note_creases(nodes(&levels));
    let of_filled = |j: &Joint| j.faces.iter().any(|t| plan.is_filled(t));
    Ok(FilletResult {
        joints: levels.iter().flat_map(|l| &l.joints).filter(|j| !of_filled(j)).cloned().collect(),
        filled: levels.iter().flat_map(|l| &l.filled).cloned().collect(),
        body: levels.pop().map(|l| l.joined),
    })
}

/// The nodes of all creases.
fn nodes(levels: &[RadiusLevel]) -> Vec<P3> {
    levels.iter().flat_map(|l| &l.creases).flat_map(|c| c.nodes.iter().copied()).collect()
}

/// The level of a radius, with the first change of it from number `nudge` on that the ball takes.
fn level(
    plan: &FilletPlan,
    levels: &[RadiusLevel],
    radius: f64,
    nudge: &mut usize,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RadiusLevel, Vec<LocatedFailure>> {
    let own: Vec<&FilletRequest> = plan.bodies().iter().filter(|b| same(b.radius, radius)).collect();
    let folding = if plan.allows_creases() { Folds::Crease { but: plan.uncreased() } } else { Folds::Refuse };
    let smaller: Vec<f64> =
        std::iter::successors(plan.next_radius(Some(radius)), |r| plan.next_radius(Some(*r))).collect();
    let fillings = plan.fillings(radius);
    // Where a place had to be filled, no nudge has helped; and a ball that was made smaller is of no round number.
    let given = own.iter().all(|b| b.failure.is_some());
    let most = if fillings.is_empty() && !given { NUDGES.len() } else { 1 };
    let mut first = None;
    for (number, change) in NUDGES.iter().enumerate().skip(*nudge).take(most) {
        let ball = radius * (1.0 + change);
        if levels.last().is_some_and(|l| ball > l.radius - LEAST_LEVEL_STEP) {
            continue;
        }
        match rolled((&own, &fillings), levels, (ball, &smaller), folding, name) {
            Ok(mut level) => {
                level.asked = radius;
                for j in &mut level.joints {
                    (j.made, j.asked) = (ball, plan.asked(&j.faces, radius));
                    j.failure = failure(&own, j);
                }
                return Ok(level);
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

/// The level of one ball.
fn rolled(
    (own, filled): (&[&FilletRequest], &[Primitive]),
    levels: &[RadiusLevel],
    (radius, smaller): (f64, &[f64]),
    folding: Folds<'_>,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RadiusLevel, Vec<LocatedFailure>> {
    let mut bodies: Vec<Primitive> = own.iter().map(|r| offset_body::closed(&r.primitive, radius)).collect();
    bodies.extend(filled.iter().cloned());
    let mut large: Vec<Primitive> = shrunk(levels, radius, folding, name)?.into_iter().collect();
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
    let parts = levels.last().map(|l| l.joined.clone()).into_iter().chain(bodies.iter().cloned()).collect();
    let all = RollingBase { parts, offset: large.clone() };
    let folds_at: Vec<f64> = std::iter::once(radius).chain(smaller.iter().map(|s| radius - s)).collect();
    let ball = Ball { radius, side: RollingSide::Outside, folding, folds_at: &folds_at };
    let kept: Vec<KeptCrease> = levels.iter().flat_map(|l| l.creases.iter().cloned()).collect();
    let RolledBody { body, joints, creases } = roll(&offset, ball, all, &kept, name)?;
    Ok(RadiusLevel {
        asked: radius,
        radius,
        offset,
        folds_at,
        creases,
        large,
        bodies,
        filled,
        joined: body,
        joints,
    })
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
    levels: &[RadiusLevel],
    radius: f64,
    folding: Folds<'_>,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<Option<Primitive>, Vec<LocatedFailure>> {
    let mut out: Option<Primitive> = None;
    let mut kept: Vec<KeptCrease> = Vec::new();
    for level in levels {
        let mut parts: Vec<Primitive> = out.take().into_iter().collect();
        for b in &level.bodies {
            parts.push(larger(b, radius)?);
        }
        let all = RollingBase { parts, offset: level.large.clone() };
        let less = level.radius - radius;
        let ball = Ball { radius: less, side: RollingSide::Outside, folding, folds_at: &level.folds_at };
        let RolledBody { body, creases, .. } = roll(&level.offset, ball, all, &kept, name)?;
        out = Some(body);
        kept.extend(creases);
    }
    Ok(out)
}
