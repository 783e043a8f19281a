//! The plan of the fillets: which body takes which ball, and what it had to give up, how much and why.
//!
//! Every change of a radius, and every edge that is rounded more than asked, goes through here, whether a ball failed or the
//! solid did not close afterwards.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::edge_radius;
use super::failure::{FilletFailure, LocatedFailure, TightEdge};
use super::filled_places::{self, Corner, FilledPlace};
use super::part_scope::PartScope;
use crate::geometry::P3;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;
use crate::tolerance::{SAME_EDGE_RADIUS, SAME_LEVEL};

/// A body with the radius of the fillets at its foot.
#[derive(Clone, Debug)]
pub struct FilletRequest {
    /// The body, which copies of the plan share.
    pub primitive: Arc<Primitive>,
    /// The part of it that is to be there in the end.
    pub inner: Primitive,
    /// Radius where it joins bodies of this or a greater radius, mm.
    pub radius: f64,
    /// Radius that was asked for, mm; greater where `radius` is less from the start.
    pub asked: f64,
    /// Why the radius is less.
    pub failure: Option<FilletFailure>,
    /// By how much its edges may still be rounded more than asked, mm.
    slack: f64,
    /// By how much its edges are rounded more than asked, mm.
    pub rounder: f64,
    /// How often its edges were rounded more since the ball began to roll.
    enlarged: usize,
    /// How often its ball was changed slightly because the solid did not close.
    pub(super) nudged: usize,
}

impl FilletRequest {
    /// A body that asks for a radius at its foot.
    pub fn new(primitive: Primitive, inner: Primitive, radius: f64) -> Self {
        Self {
            primitive: Arc::new(primitive),
            inner,
            radius,
            asked: radius,
            failure: None,
            slack: MOST_EDGE_INCREASE * radius,
            rounder: 0.0,
            enlarged: 0,
            nudged: 0,
        }
    }
}

/// By how much a body's edges may be rounded more than the design has them, in radii of its ball: what a foundry would round
/// by hand, too. Without a bound, edges of 1.5 mm were found at 16.
const MOST_EDGE_INCREASE: f64 = 0.8;

/// How often a body's edges may be rounded more while the balls of one plan roll.
const MOST_ENLARGED: usize = 6;

/// Places near which creases may be refused, before it is tried without any.
const MOST_UNCREASED: usize = 8;

/// Shares of its radius that a body is given in turn where it can't take the whole.
const SHARES: [f64; 6] = [0.85, 0.7, 0.55, 0.4, 0.25, 0.12];

/// Least share of its radius that a body is left with by one failure: what a smaller ball finds is another place.
const LEAST_SHARE: f64 = 0.55;

/// What a body gave up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// It takes another ball, mm; zero for none.
    Radius {
        /// Before.
        from: f64,
        /// After.
        to: f64,
    },
    /// Its edges are rounded by so much more, mm.
    Edges {
        /// By how much.
        more: f64,
    },
}

/// One thing that a body gave up, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Demotion {
    /// The feature of the body.
    pub body: String,
    /// What it gave up.
    pub change: Change,
    /// Why.
    pub why: FilletFailure,
    /// The place that brought it about, where it is known.
    pub at: Option<P3>,
}

/// Bodies with the balls that they take, and what they have given up so far.
#[derive(Clone, Debug, Default)]
pub struct FilletPlan {
    pub(super) bodies: Vec<FilletRequest>,
    pub(super) demotions: Vec<Demotion>,
    /// Whether fillets may meet in creases where a path turns more tightly than the ball.
    creases: bool,
    /// Places near which they may not.
    pub(super) uncreased: Vec<P3>,
    /// Places of the creases that were made last.
    made: Vec<P3>,
    /// Whether a path turned more tightly than its ball.
    pub(super) folded: bool,
    /// Whether no body may take a smaller ball.
    keeps_balls: bool,
    /// How many places may be filled.
    most_filled: usize,
    /// Places that are filled.
    pub(super) filled: Vec<FilledPlace>,
    /// Places that another plan has filled.
    given: Vec<FilledPlace>,
    /// What it is about, where it is a part of another plan.
    pub(super) scope: Option<PartScope>,
}

impl FilletPlan {
    /// Rounds no edges more than asked: where a ball needs it, the place is filled or the ball is smaller. All balls have so many
    /// of their radii. For bodies that may lose no metal.
    pub fn keep_edges(&mut self, share: f64) {
        for b in &mut self.bodies {
            (b.slack, b.radius) = (0.0, share * b.radius);
        }
    }

    /// A plan in which nothing has been given up.
    pub fn new(bodies: Vec<FilletRequest>) -> Self {
        Self { bodies, creases: true, most_filled: filled_places::MOST, ..Self::default() }
    }

    /// The same with places that another plan has filled. They are filled with a body here, so that its ball rolls over it as over any
    /// other.
    #[must_use]
    pub fn with_filled(mut self, places: Vec<FilledPlace>) -> Self {
        let rods = places.iter().filter_map(FilledPlace::rod);
        self.bodies.extend(rods.map(|(rod, radius)| FilletRequest::new(rod.clone(), rod, radius)));
        self.given = places;
        self
    }

    /// The bodies as they are taken now: their edges rounded as the ball needs them, with the radius that they take.
    pub fn bodies(&self) -> &[FilletRequest] {
        &self.bodies
    }

    /// Makes edges rounder, or balls smaller, where fillets would meet in creases.
    pub fn without_creases(&mut self) {
        self.creases = false;
    }

    /// Fills no places: balls are smaller where they fail.
    pub fn without_filling(&mut self) {
        self.most_filled = 0;
    }

    /// Whether no body may take a smaller ball: what would need one is not made.
    pub fn keep_balls(&mut self, keep: bool) {
        self.keeps_balls = keep;
    }

    /// Whether no body may take a smaller ball.
    pub fn keeps_balls(&self) -> bool {
        self.keeps_balls
    }

    /// Whether a path turned more tightly than its ball, so that a plan without creases gives another result.
    pub fn folded(&self) -> bool {
        self.folded
    }

    /// Notes that a path turned more tightly than its ball.
    pub(super) fn note_fold(&mut self) {
        self.folded = true;
    }

    /// Whether fillets may meet in creases.
    pub(super) fn allows_creases(&self) -> bool {
        self.creases
    }

    /// Makes edges rounder, or balls smaller, where fillets would meet in a crease near a place. Whether that is something new.
    pub fn refuse_crease(&mut self, at: P3) -> bool {
        let off = |p: &&P3| (*p - at).norm();
        let nearest = self.made.iter().min_by(|a, b| off(a).total_cmp(&off(b))).copied();
        let most = self.bodies.iter().map(|b| b.radius).fold(0.0, f64::max);
        let Some(place) = nearest.filter(|p| (p - at).norm() < 3.0 * most) else { return false };
        let new = self.creases && self.uncreased.len() < MOST_UNCREASED && !self.uncreased.contains(&place);
        if new {
            self.uncreased.push(place);
        }
        new
    }

    /// Places near which fillets may not meet in creases.
    pub(super) fn uncreased(&self) -> &[P3] {
        &self.uncreased
    }

    /// Notes where creases are.
    pub(super) fn note_creases(&mut self, nodes: Vec<P3>) {
        self.made = nodes;
    }

    /// What was given up, in order.
    pub fn demotions(&self) -> &[Demotion] {
        &self.demotions
    }

    /// Bodies that take no ball, with the reason.
    pub fn sharp(&self) -> impl Iterator<Item = (&Primitive, FilletFailure)> {
        let sharp = self.bodies.iter().filter(|b| b.radius <= 0.0);
        sharp.map(|b| (&*b.primitive, b.failure.unwrap_or(FilletFailure::NoWay)))
    }

    /// Asks for no larger balls than `most` says of each body.
    pub fn limit(&mut self, most: impl Fn(&FilletRequest) -> Option<f64>) {
        for b in &mut self.bodies {
            b.radius = most(b).map_or(b.radius, |most| most.min(b.radius));
        }
    }

    /// The smallest body at a place where the solid did not close takes the ball that `ball` gives it, zero for none. Whether
    /// there is such a body.
    pub fn give_way(&mut self, at: P3, ball: impl Fn(&FilletRequest) -> f64) -> bool {
        let Some(i) = self.smallest_at(at) else { return false };
        self.demote(i, ball(&self.bodies[i]), FilletFailure::NoWay, Some(at));
        true
    }

    /// Changes the ball of the smallest body at a place where the solid did not close, and of all others that take the same one, by
    /// the next of some shares of it, so slightly that it counts as the ball asked for. Whether there is one left.
    pub fn nudge(&mut self, at: P3, shares: &[f64]) -> bool {
        let Some(i) = self.smallest_at(at) else { return false };
        let (radius, nudged) = (self.bodies[i].radius, self.bodies[i].nudged);
        let Some(share) = shares.get(nudged) else { return false };
        let unnudged = if nudged == 0 { radius } else { radius / shares[nudged - 1] };
        for b in self.bodies.iter_mut().filter(|b| same(b.radius, radius)) {
            (b.radius, b.nudged) = (unnudged * share, nudged + 1);
        }
        true
    }

    /// A body stands out at its cut ends no more than it is to in the end.
    pub fn shorten(&mut self, body: usize) {
        if let Some(b) = self.bodies.get_mut(body) {
            b.primitive = Arc::new(b.inner.clone());
        }
    }

    /// The smallest body that takes a ball at a place.
    fn smallest_at(&self, at: P3) -> Option<usize> {
        self.smallest(at, &|b| b.radius > 0.0)
    }

    /// The same of those that take the ball of a radius.
    fn smallest_of(&self, at: P3, radius: f64) -> Option<usize> {
        self.smallest(at, &|b| same(b.radius, radius))
    }

    fn smallest(&self, at: P3, wanted: &dyn Fn(&FilletRequest) -> bool) -> Option<usize> {
        let there = |i: &usize| {
            let b = &self.bodies[*i];
            wanted(b) && b.primitive.bounds().distance(at) < 2.0 * b.radius
        };
        let size = |i: &usize| self.bodies[*i].primitive.bounds().diagonal();
        (0..self.bodies.len()).filter(there).min_by(|a, b| size(a).total_cmp(&size(b)))
    }

    fn demote(&mut self, i: usize, to: f64, why: FilletFailure, at: Option<P3>) {
        let b = &mut self.bodies[i];
        let change = Change::Radius { from: b.radius, to };
        self.demotions.push(Demotion { body: b.primitive.feature().to_owned(), change, why, at });
        b.radius = to;
        b.failure.get_or_insert(why);
    }

    /// Makes ready for the first ball.
    pub(super) fn begin(&mut self) {
        self.bodies.iter_mut().for_each(|b| b.enlarged = 0);
    }

    /// The greatest radius below that of the last level.
    pub(super) fn next_radius(&self, last: Option<f64>) -> Option<f64> {
        let rolls = |r: f64| r > 0.0 && self.scope.as_ref().is_none_or(|s| s.rolls(r));
        let below = |r: &f64| rolls(*r) && last.is_none_or(|l| *r < l - SAME_LEVEL);
        self.bodies.iter().map(|r| r.radius).filter(below).max_by(f64::total_cmp)
    }

    /// The radius asked for at a joint: the least of those of the two bodies.
    pub(super) fn asked(&self, faces: &[Tag; 2], radius: f64) -> f64 {
        let bears = |r: &&FilletRequest, t: &Tag| r.primitive.patches().iter().any(|p| p.tag == *t);
        let of = |t: &Tag| {
            let most = |own: &dyn Fn(&&FilletRequest) -> bool| {
                self.bodies.iter().filter(|r| bears(r, t) && own(r)).map(|r| r.asked).max_by(f64::total_cmp)
            };
            // A body may end in a face of another feature, whose joints it does not decide.
            most(&|r| r.primitive.feature() == &*t.feature).or_else(|| most(&|_| true))
        };
        faces.iter().filter_map(of).fold(f64::INFINITY, f64::min).clamp(radius, 1e6)
    }

    /// Rounds edges about which the ball turns too tightly by what it needs. Gives the failures that this does not cure.
    pub(super) fn enlarge_edges(&mut self, radius: f64, failures: &[LocatedFailure]) -> Vec<LocatedFailure> {
        let mut requests: BTreeMap<usize, Vec<(&TightEdge, Option<P3>)>> = BTreeMap::new();
        let mut left = Vec::new();
        for f in failures {
            let with = f.tight.as_deref().and_then(|tight| {
                let own = |r: &FilletRequest| {
                    same(r.radius, radius)
                        && r.enlarged < MOST_ENLARGED
                        && f.concerns(&r.primitive, radius, &|t| *t == tight.tag)
                };
                Some((self.bodies.iter().position(own)?, tight))
            });
            match with {
                Some((i, tight)) => requests.entry(i).or_default().push((tight, f.at)),
                None => left.push(f.clone()),
            }
        }
        for (i, mut requests) in requests {
            let body = &mut self.bodies[i];
            requests.sort_by(|a, b| b.0.needed.total_cmp(&a.0.needed));
            if let Some((rounder, more)) =
                edge_radius::with_larger_edges(&body.primitive, requests[0].0, body.slack)
            {
                body.primitive = Arc::new(rounder);
                body.slack -= more;
                body.rounder += more;
                if let Some((inner, _)) = edge_radius::with_larger_edges(&body.inner, requests[0].0, more) {
                    body.inner = inner;
                }
                body.enlarged += 1;
                self.demotions.push(Demotion {
                    body: body.primitive.feature().to_owned(),
                    change: Change::Edges { more },
                    why: FilletFailure::Tight,
                    at: requests[0].1,
                });
            } else {
                let own = tags(&body.primitive);
                let of = |f: &&LocatedFailure| f.tight.as_ref().is_some_and(|e| own.contains(&e.tag));
                left.extend(failures.iter().filter(of).cloned());
            }
        }
        left
    }

    /// Places that are filled with a little metal so that a ball does not come there, those of another plan first.
    pub fn filled(&self) -> Vec<FilledPlace> {
        self.given.iter().chain(&self.filled).cloned().collect()
    }

    /// Whether it has filled places of its own.
    pub fn has_filled(&self) -> bool {
        !self.filled.is_empty()
    }

    /// Fills a place where the solid did not close, or fills it more. Whether that is something new.
    pub fn fill(&mut self, at: P3) -> bool {
        let Some(i) = self.smallest_at(at) else { return false };
        let (radius, tags) = (self.bodies[i].radius, vec![self.bodies[i].primitive.patches()[0].tag.clone()]);
        let Some(foot) = Corner::about(at, 0.5 * radius, &self.metal(radius)) else { return false };
        let failure = LocatedFailure::about(FilletFailure::NoWay, Some(at - foot.towards * radius), tags);
        self.fill_place(radius, &failure, &mut BTreeSet::new())
    }

    /// The places that are filled for a ball of a radius.
    pub(super) fn filled_for(&self, radius: f64) -> impl Iterator<Item = &FilledPlace> {
        self.filled.iter().filter(move |f| same(f.radius, radius))
    }

    /// Fills the places where a ball failed, or fills them more. Gives the failures that this does not cure.
    pub(super) fn fill_places(&mut self, radius: f64, failures: &[LocatedFailure]) -> Vec<LocatedFailure> {
        let mut now = BTreeSet::new();
        let mut left = Vec::new();
        for f in failures {
            if !self.fill_place(radius, f, &mut now) {
                left.push(f.clone());
            }
        }
        left
    }

    /// Whether a face is that of a filled place.
    pub(super) fn is_filled(&self, tag: &Tag) -> bool {
        self.given.iter().chain(&self.filled).any(|f| f.tag == *tag)
    }

    /// Whether there is metal at a place for a ball of a radius: it rolls over the bodies that ask for it or more.
    fn metal(&self, radius: f64) -> impl Fn(P3) -> bool {
        move |p| self.bodies.iter().any(|b| b.radius > radius - SAME_LEVEL && b.primitive.contains(p))
    }

    /// Fills the place of one failure; `now` are the places filled since the ball failed last.
    fn fill_place(&mut self, radius: f64, failure: &LocatedFailure, now: &mut BTreeSet<usize>) -> bool {
        let middle = failure.corner.as_ref().map(|c| c.path[c.path.len() / 2]);
        let Some(at) = middle.or(failure.at) else { return false };
        // Looking for the corner takes long, so only where it is needed.
        let corner = |plan: &Self| {
            failure.corner.as_deref().cloned().or_else(|| Corner::about(at, radius, &plan.metal(radius)))
        };
        if let Some(known) = self.filled_at(at, radius, &failure.tags) {
            if !now.insert(known) {
                return true;
            }
            let further = if self.filled[known].holds(at) { None } else { corner(self) };
            let place = &mut self.filled[known];
            return further.is_some_and(|corner| place.lengthen(&corner)) || place.fill_more(at);
        }
        let number = self.filled.len();
        let Some(first) = failure.tags.first().filter(|_| number < self.most_filled) else { return false };
        let Some(corner) = corner(self) else { return false };
        let name = format!("filled place {}", self.given.len() + number + 1);
        let tag = Tag { class: first.class, ..Tag::formed(&first.feature, &name) };
        now.insert(number);
        self.filled.push(FilledPlace::new(corner, at, radius, tag));
        true
    }

    /// The filled place that a failure at a place between faces is about.
    fn filled_at(&self, at: P3, radius: f64, tags: &[Tag]) -> Option<usize> {
        let about = |i: &usize| {
            let f = &self.filled[*i];
            let beside = f.distance(at) < filled_places::BESIDE * radius && tags.contains(&f.tag);
            same(f.radius, radius) && (f.holds(at) || beside)
        };
        let off = |i: &usize| self.filled[*i].distance(at);
        (0..self.filled.len()).filter(about).min_by(|a, b| off(a).total_cmp(&off(b)))
    }

    /// Gives the bodies at fault a smaller radius. Of two bodies that meet at such a place the smaller one gives way;
    /// where no body is named, all of the level do. Where the ball turns too tightly about a rounded edge, the radius that just
    /// fits is known: (e + r) cos a ≥ r, and the radius e′ that the edge needs for the present ball tells cos a = r / (r + e′).
    pub(super) fn reduce_radii(&mut self, radius: f64, failures: &[LocatedFailure], last: bool) {
        let mut at_fault: BTreeMap<usize, (FilletFailure, f64, Option<P3>)> = BTreeMap::new();
        for f in failures {
            let named = |i: &usize| {
                let r = &self.bodies[*i];
                same(r.radius, radius) && f.concerns(&r.primitive, radius, &|t| f.tags.contains(t))
            };
            let size = |i: &usize| self.bodies[*i].primitive.bounds().diagonal();
            if let Some(i) = (0..self.bodies.len()).filter(named).min_by(|a, b| size(a).total_cmp(&size(b))) {
                let fits =
                    f.tight.as_ref().map_or(radius, |t| radius * (t.radius / t.needed).max(LEAST_SHARE));
                let known = at_fault.entry(i).or_insert((f.failure, fits, f.at));
                known.1 = known.1.min(fits);
            }
        }
        if at_fault.is_empty() {
            // Between filled places it is about the smallest body there.
            for f in failures {
                if let Some((i, at)) = f.at.and_then(|at| Some((self.smallest_of(at, radius)?, at))) {
                    at_fault.entry(i).or_insert((f.failure, radius, Some(at)));
                }
            }
        }
        if at_fault.is_empty() {
            let why = failures.first().map_or(FilletFailure::NoWay, |f| f.failure);
            let level = (0..self.bodies.len()).filter(|i| same(self.bodies[*i].radius, radius));
            at_fault.extend(level.map(|i| (i, (why, radius, None))));
        }
        for (i, (why, fits, at)) in at_fault {
            let asked = self.bodies[i].asked;
            let less = |s: &f64| *s < radius - SAME_EDGE_RADIUS;
            let shares = || SHARES.into_iter().map(|s| s * asked).filter(less);
            let share = shares().find(|s| *s <= fits).or_else(|| shares().next_back());
            // A sharp edge is as sharp to a smaller ball.
            let hopeless = last || why == FilletFailure::SharpEdge;
            self.demote(i, share.filter(|_| !hopeless).unwrap_or(0.0), why, at);
        }
    }
}

/// Whether two radii are one.
pub(super) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < SAME_LEVEL
}

/// The names of a body's faces.
pub(super) fn tags(b: &Primitive) -> BTreeSet<Tag> {
    b.patches().iter().map(|p| p.tag.clone()).collect()
}

#[cfg(test)]
#[path = "plan_tests.rs"]
mod tests;
