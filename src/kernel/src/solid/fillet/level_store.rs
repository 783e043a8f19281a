//! What balls have left so far, kept for plans that differ elsewhere only.
//!
//! A plan is changed at the place where a ball failed, and tried again; three plans may be tried for one part. Most levels are the same
//! again then, or at least the offset solid over which the ball rolls, and that takes most of the time. Bodies count as the same when
//! they are the very same ones, not copies.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::failure::LocatedFailure;
use super::filled_places::FilledPlace;
use super::folds::Folds;
use super::joint::Joint;
use super::kept_creases::KeptCrease;
use crate::geometry::P3;
use crate::solid::brep::Brep;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;

/// Most offset solids, and most levels, that are kept: the last ones.
const MOST_KEPT: usize = 32;

/// The solid offset by a ball's radius.
#[derive(Debug)]
pub(super) struct OffsetLevel {
    /// Its boundary.
    pub(super) offset: Brep,
    /// The bodies offset by the ball's radius, those of the levels before as one.
    pub(super) large: Vec<Primitive>,
    /// The bodies that this ball comes to first, with the rods of filled places.
    pub(super) bodies: Vec<Primitive>,
    /// The faces about each hollow that was filled because the ball can't come there.
    pub(super) filled: Vec<BTreeSet<Tag>>,
}

/// What one ball left.
#[derive(Debug)]
pub(super) struct RolledLevel {
    /// That of the ball, mm.
    pub(super) radius: f64,
    /// What it rolled over.
    pub(super) over: Arc<OffsetLevel>,
    /// The radii of all balls that come along its paths, mm: its own, and those by which it is less than it.
    pub(super) folds_at: Vec<f64>,
    /// Where its fillets meet in creases.
    pub(super) creases: Vec<KeptCrease>,
    /// The bodies with the fillets of all balls so far.
    pub(super) joined: Primitive,
    /// Its joints.
    pub(super) joints: Vec<Joint>,
}

/// What one ball comes to.
#[derive(Clone, Copy)]
pub(super) struct Task<'a> {
    /// What the balls before it left, the largest first.
    pub(super) levels: &'a [Arc<RolledLevel>],
    /// Bodies that this ball comes to first.
    pub(super) bodies: &'a [&'a Arc<Primitive>],
    /// Places of this ball that are filled.
    pub(super) places: &'a [&'a FilledPlace],
    /// Its radius, mm.
    pub(super) radius: f64,
    /// Those of the balls after it, mm.
    pub(super) smaller: &'a [f64],
    /// What it does where its path turns too tightly.
    pub(super) folding: Folds<'a>,
}

/// What of a task decides its offset solid, and what the ball leaves but for the balls after it.
#[derive(Debug)]
struct TaskKey {
    levels: Vec<Arc<RolledLevel>>,
    bodies: Vec<Arc<Primitive>>,
    places: Vec<FilledPlace>,
    radius: f64,
    /// Places of refused creases; none where all are refused.
    creases_but: Option<Vec<P3>>,
}

impl TaskKey {
    fn of(task: &Task<'_>) -> Self {
        Self {
            levels: task.levels.to_vec(),
            bodies: task.bodies.iter().map(|b| Arc::clone(b)).collect(),
            places: task.places.iter().map(|p| (*p).clone()).collect(),
            radius: task.radius,
            creases_but: creases_but(task.folding).map(<[P3]>::to_vec),
        }
    }

    /// Whether the bodies and what came before are those of a task. What is done at folds decides nothing of a first ball's offset solid.
    fn is_of(&self, task: &Task<'_>) -> bool {
        self.radius.to_bits() == task.radius.to_bits()
            && self.levels.len() == task.levels.len()
            && self.levels.iter().zip(task.levels).all(|(a, b)| Arc::ptr_eq(a, b))
            && self.bodies.len() == task.bodies.len()
            && self.bodies.iter().zip(task.bodies).all(|(a, b)| Arc::ptr_eq(a, b))
            && self.places.len() == task.places.len()
            && self.places.iter().zip(task.places).all(|(a, b)| a.has_rod_of(b))
            && (self.levels.is_empty() || self.folds_as(task))
    }

    /// Whether folds are dealt with as in a task.
    fn folds_as(&self, task: &Task<'_>) -> bool {
        self.creases_but.as_deref() == creases_but(task.folding)
    }
}

fn creases_but(folding: Folds<'_>) -> Option<&[P3]> {
    match folding {
        Folds::Crease { but } => Some(but),
        Folds::Refuse => None,
    }
}

/// An offset solid, or why there is none.
type Offset = Result<Arc<OffsetLevel>, Vec<LocatedFailure>>;

/// What the levels of some tasks have made, offset by a smaller radius, or why there is none.
type Shrunk = Result<Option<Primitive>, Vec<LocatedFailure>>;

/// What levels have made, offset by smaller radii: only the larger balls decide it, and a ball that fails is tried again with other bodies.
#[derive(Debug, Default)]
pub(super) struct ShrunkStore(Vec<(TaskKey, Shrunk)>);

impl ShrunkStore {
    /// That of a task, made if it is not there.
    pub(super) fn of(&mut self, task: &Task<'_>, make: impl FnOnce() -> Shrunk) -> Shrunk {
        let before = Task { bodies: &[], places: &[], ..*task };
        if let Some((_, known)) = self.0.iter().find(|(key, _)| key.is_of(&before)) {
            return known.clone();
        }
        let made = make();
        if !task.levels.is_empty() {
            keep(&mut self.0, (TaskKey::of(&before), made.clone()));
        }
        made
    }
}

/// What balls have left so far. One store serves plans for one part, with one way of giving names to fillets.
#[derive(Debug, Default)]
pub struct LevelStore {
    offsets: Vec<(TaskKey, Offset)>,
    levels: Vec<(TaskKey, Arc<RolledLevel>)>,
    shrunk: ShrunkStore,
    /// How many balls have failed, and how many solids with what they left.
    failures: usize,
    /// How many parts of plans were tried alone in vain.
    missed: usize,
}

/// Parts of plans that may be tried in vain: what fails there is then not about the bodies near it alone.
const MOST_MISSED: usize = 2;

impl LevelStore {
    /// Notes that a ball failed, or the solid with what the balls left.
    pub fn note_failure(&mut self) {
        self.failures += 1;
    }

    /// How many have been noted.
    pub fn failures(&self) -> usize {
        self.failures
    }

    /// Whether parts of plans may still be tried alone.
    pub fn may_try_parts(&self) -> bool {
        self.missed < MOST_MISSED
    }

    /// Notes whether a part that was tried alone served.
    pub fn note_part(&mut self, served: bool) {
        self.missed += usize::from(!served);
    }

    /// The offset solid of a task, made if it is not there.
    pub(super) fn offset(
        &mut self,
        task: &Task<'_>,
        make: impl FnOnce(&mut ShrunkStore) -> Offset,
    ) -> Offset {
        if let Some((_, known)) = self.offsets.iter().find(|(key, _)| key.is_of(task)) {
            return known.clone();
        }
        let made = make(&mut self.shrunk);
        keep(&mut self.offsets, (TaskKey::of(task), made.clone()));
        made
    }

    /// What the ball of a task left, if it is there.
    pub(super) fn level(&self, task: &Task<'_>) -> Option<Arc<RolledLevel>> {
        let is_it = |(key, level): &&(TaskKey, Arc<RolledLevel>)| {
            // A first ball that has found no fold had nothing to do at one.
            let unfolded = task.levels.is_empty() && level.creases.is_empty();
            key.is_of(task)
                && level.folds_at[1..].iter().eq(&folds_behind(task))
                && (unfolded || key.folds_as(task))
        };
        self.levels.iter().find(is_it).map(|(_, level)| Arc::clone(level))
    }

    /// Keeps what the ball of a task left.
    pub(super) fn keep_level(&mut self, task: &Task<'_>, level: &Arc<RolledLevel>) {
        keep(&mut self.levels, (TaskKey::of(task), Arc::clone(level)));
    }
}

/// By how much the balls after it are less than that of a task, mm.
pub(super) fn folds_behind(task: &Task<'_>) -> Vec<f64> {
    task.smaller.iter().map(|s| task.radius - s).collect()
}

fn keep<T>(all: &mut Vec<T>, new: T) {
    if all.len() == MOST_KEPT {
        all.remove(0);
    }
    all.push(new);
}
