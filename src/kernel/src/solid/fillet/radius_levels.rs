//! Balls of several radii, the largest first; a body that can't take its ball takes the largest one that it can.

use crate::tolerance::{LEAST_LEVEL_STEP, SAME_EDGE_RADIUS, SAME_LEVEL};
use std::collections::{BTreeMap, BTreeSet};

use super::convexity::RollingSide;
use super::failure::{FilletFailure, LocatedFailure, TightEdge};
use super::joint::{Joint, JointState};
use super::rolling_ball::{RolledBody, RollingBase, roll};
use super::{edge_radius, offset_body};
use crate::solid::brep::Brep;
use crate::solid::evaluate::evaluate;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;
use crate::solid::tree::SolidTree;

/// A body with the radius of the fillets at its foot.
#[derive(Clone, Debug)]
pub struct FilletRequest {
    /// The body.
    pub primitive: Primitive,
    /// The part of it that is to be there in the end.
    pub inner: Primitive,
    /// Radius where it joins bodies of this or a greater radius, mm.
    pub radius: f64,
    /// Radius that was asked for, mm; greater where `radius` is less from the start.
    pub asked: f64,
    /// Why the radius is less.
    pub failure: Option<FilletFailure>,
    /// By how much its edges may still be rounded more than asked, mm.
    pub slack: f64,
    /// By how much they are, mm.
    pub rounder: f64,
}

impl FilletRequest {
    /// A body that asks for a radius at its foot.
    pub fn new(primitive: Primitive, inner: Primitive, radius: f64) -> Self {
        Self {
            primitive,
            inner,
            radius,
            asked: radius,
            failure: None,
            slack: MOST_EDGE_INCREASE * radius,
            rounder: 0.0,
        }
    }
}

/// By how much a body's edges may be rounded more than the design has them, in radii of its ball: what a foundry would round
/// by hand, too. Without a bound, edges of 1.5 mm were found at 16.
const MOST_EDGE_INCREASE: f64 = 0.8;

/// Bodies joined with their fillets.
#[derive(Clone, Debug)]
pub struct FilletResult {
    /// The filleted body; none where no body takes a ball.
    pub body: Option<Primitive>,
    /// The bodies as they were taken in the end: their edges rounded as the ball needs them, with the radius that they take.
    pub taken: Vec<FilletRequest>,
    /// How each joint came out.
    pub joints: Vec<Joint>,
}

impl FilletResult {
    /// Bodies that take no ball, to be added as they are, with the reason.
    pub fn sharp(&self) -> impl Iterator<Item = (&Primitive, FilletFailure)> {
        let sharp = self.taken.iter().filter(|b| b.radius <= 0.0);
        sharp.map(|b| (&b.primitive, b.failure.unwrap_or(FilletFailure::NoWay)))
    }
}

/// A body on the way.
struct BodyState {
    body: FilletRequest,
    /// How often its rounded edges were made larger.
    enlarged: usize,
}

/// How often a body's edges may be rounded more.
const MOST_ENLARGED: usize = 6;

/// One radius: the solid offset by it.
struct RadiusLevel {
    /// The radius asked for, mm.
    asked: f64,
    /// That of the ball, which differs by a nudge at most, mm.
    radius: f64,
    offset: Brep,
    /// The bodies offset by the ball's radius, those of the levels before as one.
    large: Vec<Primitive>,
    bodies: Vec<Primitive>,
    joined: Primitive,
    joints: Vec<Joint>,
}

/// Shares of its radius that a body is given in turn where it can't take the whole.
const SHARES: [f64; 6] = [0.85, 0.7, 0.55, 0.4, 0.25, 0.12];

/// Least share of its radius that a body is left with by one failure: what a smaller ball finds is another place.
const LEAST_SHARE: f64 = 0.55;

/// Balls that may fail before bodies at fault are left sharp at once.
const ATTEMPTS: usize = 8;

/// Balls that may fail at all, also where edges only had to be rounder: each costs a boundary of all bodies.
const MOST_TRIES: usize = 24;

/// Changes of a level's radius, in shares of it, that move the ball off places where it only just touches. Round numbers
/// bring such places about; where surfaces touch, a small change moves them apart by its square only.
const NUDGES: [f64; 5] = [0.0, -7e-4, 1.1e-3, -0.011, 0.016];

/// The bodies joined with fillets; `name` gives the name of a fillet by the names of its two supports.
pub fn filleted(bodies: &[FilletRequest], name: &dyn Fn(&Tag, &Tag) -> Tag) -> FilletResult {
    let mut rolling: Vec<BodyState> =
        bodies.iter().map(|b| BodyState { body: b.clone(), enlarged: 0 }).collect();
    let mut levels: Vec<RadiusLevel> = Vec::new();
    let (mut left, mut tries) = (ATTEMPTS, 0);
    let mut nudge = (0.0, 0);
    while let Some(radius) = next_radius(&rolling, levels.last().map(|l| l.asked)) {
        // What a first ball only just touched, the next one of the radius would touch as well.
        if !same(nudge.0, radius) {
            nudge = (radius, 0);
        }
        match level(&rolling, &levels, radius, &mut nudge.1, name) {
            Ok(level) => levels.push(level),
            Err(failures) => {
                tries += 1;
                let failures = if tries > MOST_TRIES {
                    failures
                } else {
                    enlarge_edges(&mut rolling, radius, &failures)
                };
                if !failures.is_empty() {
                    left = left.saturating_sub(1);
                    reduce_radii(&mut rolling, radius, &failures, left == 0 || tries > MOST_TRIES);
                }
            }
        }
    }
    FilletResult {
        joints: levels.iter().flat_map(|l| &l.joints).cloned().collect(),
        body: levels.pop().map(|l| l.joined),
        taken: rolling.into_iter().map(|r| r.body).collect(),
    }
}

/// The greatest radius below that of the last level.
fn next_radius(rolling: &[BodyState], last: Option<f64>) -> Option<f64> {
    let below = |r: &f64| *r > 0.0 && last.is_none_or(|l| *r < l - SAME_LEVEL);
    rolling.iter().map(|r| r.body.radius).filter(below).max_by(f64::total_cmp)
}

/// Whether two radii are one.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < SAME_LEVEL
}

/// The level of a radius, with the first change of it from number `nudge` on that the ball takes.
fn level(
    rolling: &[BodyState],
    levels: &[RadiusLevel],
    radius: f64,
    nudge: &mut usize,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RadiusLevel, Vec<LocatedFailure>> {
    let own: Vec<&BodyState> = rolling.iter().filter(|r| same(r.body.radius, radius)).collect();
    let mut first = None;
    for (number, change) in NUDGES.iter().enumerate().skip(*nudge) {
        let ball = radius * (1.0 + change);
        if levels.last().is_some_and(|l| ball > l.radius - LEAST_LEVEL_STEP) {
            continue;
        }
        match rolled(&own, levels, ball, name) {
            Ok(mut level) => {
                level.asked = radius;
                for j in &mut level.joints {
                    (j.made, j.asked) = (ball, asked(rolling, &j.faces, radius));
                    j.failure = failure(&own, j);
                }
                return Ok(level);
            }
            Err(failures) => {
                // Only a touch in a point goes away with a nudge.
                if !failures.iter().all(|f| matches!(f.failure, FilletFailure::NoWay | FilletFailure::Flat)) {
                    *nudge = number;
                    return Err(failures);
                }
                first.get_or_insert(failures);
            }
        }
    }
    Err(first.unwrap_or_default())
}

/// The radius asked for at a joint: the least of those of the two bodies.
fn asked(rolling: &[BodyState], faces: &[Tag; 2], radius: f64) -> f64 {
    let of = |t: &Tag| {
        let own = rolling.iter().filter(|r| r.body.primitive.patches().iter().any(|p| p.tag == *t));
        own.map(|r| r.body.asked).max_by(f64::total_cmp)
    };
    faces.iter().filter_map(of).fold(f64::INFINITY, f64::min).clamp(radius, 1e6)
}

/// Why a joint of a smaller radius than asked has it.
fn failure(own: &[&BodyState], joint: &Joint) -> Option<FilletFailure> {
    if joint.state() == JointState::Whole {
        return None;
    }
    let of = |r: &&&BodyState| r.body.primitive.patches().iter().any(|p| joint.faces.contains(&p.tag));
    own.iter().filter(of).find_map(|r| r.body.failure)
}

/// The level of one ball.
fn rolled(
    own: &[&BodyState],
    levels: &[RadiusLevel],
    radius: f64,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RadiusLevel, Vec<LocatedFailure>> {
    let bodies: Vec<Primitive> = own.iter().map(|r| offset_body::closed(&r.body.primitive, radius)).collect();
    let mut large: Vec<Primitive> = shrunk(levels, radius, name)?.into_iter().collect();
    for b in &bodies {
        large.push(larger(b, radius)?);
    }
    let mut tree = SolidTree::new();
    for p in &large {
        tree.add(p.clone());
    }
    let offset = evaluate(&tree).map_err(|e| LocatedFailure::of(&e))?;
    let parts = levels.last().map(|l| l.joined.clone()).into_iter().chain(bodies.iter().cloned()).collect();
    let all = RollingBase { parts, offset: large.clone() };
    let RolledBody { body, joints } = roll(&offset, radius, RollingSide::Outside, all, name)?;
    Ok(RadiusLevel { asked: radius, radius, offset, large, bodies, joined: body, joints })
}

fn larger(b: &Primitive, by: f64) -> Result<Primitive, Vec<LocatedFailure>> {
    let none = || vec![LocatedFailure::about(FilletFailure::SharpEdge, None, tags(b).into_iter().collect())];
    offset_body::offset_body(b, by, false).and_then(Result::ok).ok_or_else(none)
}

fn tags(b: &Primitive) -> BTreeSet<Tag> {
    b.patches().iter().map(|p| p.tag.clone()).collect()
}

/// What the levels so far have made, offset by a smaller radius.
fn shrunk(
    levels: &[RadiusLevel],
    radius: f64,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<Option<Primitive>, Vec<LocatedFailure>> {
    let mut out: Option<Primitive> = None;
    for level in levels {
        let mut parts: Vec<Primitive> = out.take().into_iter().collect();
        for b in &level.bodies {
            parts.push(larger(b, radius)?);
        }
        let all = RollingBase { parts, offset: level.large.clone() };
        out = Some(roll(&level.offset, level.radius - radius, RollingSide::Outside, all, name)?.body);
    }
    Ok(out)
}

/// Rounds edges about which the ball turns too tightly by what it needs. Gives the failures that this does not cure.
fn enlarge_edges(rolling: &mut [BodyState], radius: f64, failures: &[LocatedFailure]) -> Vec<LocatedFailure> {
    let mut requests: BTreeMap<usize, Vec<&TightEdge>> = BTreeMap::new();
    let mut left = Vec::new();
    for f in failures {
        let with = f.tight.as_ref().and_then(|tight| {
            let own = |r: &BodyState| {
                same(r.body.radius, radius)
                    && r.enlarged < MOST_ENLARGED
                    && f.concerns(&r.body.primitive, radius, &|t| *t == tight.tag)
            };
            Some((rolling.iter().position(own)?, tight))
        });
        match with {
            Some((i, tight)) => requests.entry(i).or_default().push(tight),
            None => left.push(f.clone()),
        }
    }
    for (i, mut requests) in requests {
        let BodyState { body, enlarged } = &mut rolling[i];
        requests.sort_by(|a, b| b.needed.total_cmp(&a.needed));
        if let Some((rounder, more)) =
            edge_radius::with_larger_edges(&body.primitive, requests[0], body.slack)
        {
            body.primitive = rounder;
            body.slack -= more;
            body.rounder += more;
            if let Some((inner, _)) = edge_radius::with_larger_edges(&body.inner, requests[0], more) {
                body.inner = inner;
            }
            *enlarged += 1;
        } else {
            let own = tags(&body.primitive);
            let of = |f: &&LocatedFailure| f.tight.as_ref().is_some_and(|e| own.contains(&e.tag));
            left.extend(failures.iter().filter(of).cloned());
        }
    }
    left
}

/// Gives the bodies at fault a smaller radius. Of two bodies that meet at such a place the smaller one gives way;
/// where no body is named, all of the level do. Where the ball turns too tightly about a rounded edge, the radius that just
/// fits is known: (e + r) cos a ≥ r, and the radius e′ that the edge needs for the present ball tells cos a = r / (r + e′).
fn reduce_radii(rolling: &mut [BodyState], radius: f64, failures: &[LocatedFailure], last: bool) {
    let mut at_fault: BTreeMap<usize, (FilletFailure, f64)> = BTreeMap::new();
    for f in failures {
        let named = |i: &usize| {
            let r = &rolling[*i];
            same(r.body.radius, radius) && f.concerns(&r.body.primitive, radius, &|t| f.tags.contains(t))
        };
        let size = |i: &usize| rolling[*i].body.primitive.bounds().diagonal();
        if let Some(i) = (0..rolling.len()).filter(named).min_by(|a, b| size(a).total_cmp(&size(b))) {
            let fits = f.tight.as_ref().map_or(radius, |t| radius * (t.radius / t.needed).max(LEAST_SHARE));
            let known = at_fault.entry(i).or_insert((f.failure, fits));
            known.1 = known.1.min(fits);
        }
    }
    if at_fault.is_empty() {
        let why = failures.first().map_or(FilletFailure::NoWay, |f| f.failure);
        let level = (0..rolling.len()).filter(|i| same(rolling[*i].body.radius, radius));
        at_fault.extend(level.map(|i| (i, (why, radius))));
    }
    for (i, (why, fits)) in at_fault {
        let r = &mut rolling[i].body;
        let less = |s: &f64| *s < radius - SAME_EDGE_RADIUS;
        let shares = || SHARES.into_iter().map(|s| s * r.asked).filter(less);
        let share = shares().find(|s| *s <= fits).or_else(|| shares().next_back());
        // A sharp edge is as sharp to a smaller ball.
        let hopeless = last || why == FilletFailure::SharpEdge;
        r.radius = share.filter(|_| !hopeless).unwrap_or(0.0);
        r.failure.get_or_insert(why);
    }
}
