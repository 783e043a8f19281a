//! Root fillets of the cast outside.

mod part;

use std::collections::{BTreeMap, BTreeSet};

use super::as_cast::CastFillets;
use super::hollow::Hollow;
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::units::Mm;
use solidwright::geometry::{Bounds, P3, Surface};
use solidwright::solid::fillet::{
    Demotion, End, FilledPlace, FilletFailure, FilletPlan, FilletRequest, Joint, Lengthened, LevelStore,
    Unrolled, all_cut, concave_edges, cuts, eased, filleted_from, lengthened, trimmed, uncut,
};
use solidwright::solid::{Brep, Corner, Finish, Primitive, Segment, Tag, round_corners};

/// Radius asked for between two faces, mm; zero where one of them is machined.
fn radius_between(design: &Design, a: &Tag, b: &Tag) -> f64 {
    if a.finish != Finish::Formed || b.finish != Finish::Formed {
        return 0.0;
    }
    let radii = design.casting().fillets();
    // The shell leaves it to what stands on it; of two features the smaller radius counts.
    let radius = match [a, b].map(|t| radii.of(Feature::of(t))) {
        [Some(r), Some(s)] => r.min(s),
        [Some(r), None] | [None, Some(r)] => r,
        [None, None] => radii.outside(),
    };
    radius.get()
}

/// Joints of cast faces that stay sharp in a solid, where a fillet was asked for: `lost` are the features left sharp, and
/// why.
pub(super) fn sharp_joints(
    design: &Design,
    brep: &Brep,
    hollows: &[Primitive],
    lost: &[(Feature, FilletFailure)],
) -> Vec<Joint> {
    // The walls of hollows have radii of their own.
    let inside: BTreeSet<&Tag> = hollows.iter().flat_map(Primitive::patches).map(|p| &p.tag).collect();
    let mut found: BTreeMap<[Tag; 2], Joint> = BTreeMap::new();
    for (edge, faces) in concave_edges(brep) {
        let [a, b] = faces.map(|f| &brep.faces[f].tag);
        let asked = radius_between(design, a, b);
        if asked <= 0.0 || inside.contains(a) || inside.contains(b) {
            continue;
        }
        let faces = if a <= b { [a, b] } else { [b, a] }.map(Tag::clone);
        let why = || lost.iter().find(|l| faces.iter().any(|t| Feature::of(t) == l.0)).map(|l| l.1);
        let length = brep.edge_length(edge);
        let at = brep.edge_point(edge, 0.5);
        let failure = why().or(Some(FilletFailure::NoWay));
        let joint = found.entry(faces.clone()).or_insert_with(|| Joint {
            faces,
            asked,
            made: 0.0,
            length: 0.0,
            at,
            failure,
        });
        joint.length += length;
    }
    found.into_values().filter(|j| j.length > LEAST_JOINT).collect()
}

/// Shorter sharp joints are not told, mm.
const LEAST_JOINT: f64 = 0.1;

/// Bodies made ready for a ball: whatever radii they are given in the end.
#[derive(Clone)]
pub(super) struct Prepared {
    plan: FilletPlan,
    /// Cut ends of bodies that stand out, with the number of the body.
    ends: Vec<(usize, End)>,
    /// Bodies that stand out no more, by number.
    short: BTreeSet<usize>,
    /// The features about each hollow for whose sake they don't: it is metal now.
    closed: Vec<BTreeSet<Feature>>,
    /// The bodies as drawn, in the order of the plan's.
    drawn: Vec<Primitive>,
    /// What trims them to their machined ends.
    pub(super) trims: Vec<Primitive>,
    /// Bodies that a trim takes something off though they don't end there, by number.
    met: BTreeSet<usize>,
    /// Bodies that are machined all over: they have no fillets.
    pub(super) machined: Vec<Primitive>,
    /// The largest radius asked for, mm.
    most: f64,
    /// Whether it is a part as moulded.
    moulded: bool,
}

/// Bodies with the fillets that a ball leaves between them.
pub(super) struct Rolled {
    /// The filleted body, and bodies that take no ball.
    pub(super) bodies: Vec<Primitive>,
    /// Bodies that a trim would take something off though they don't end there: added again.
    pub(super) spared: Vec<Primitive>,
    /// The same of bodies that take no ball: the filleted body does not hold them.
    pub(super) behind: Vec<Primitive>,
    /// How each joint came out.
    pub(super) joints: Vec<Joint>,
    /// Features with a body that takes no ball, and why.
    pub(super) lost: Vec<(Feature, FilletFailure)>,
    /// Features whose edges are rounded more than asked, and by how much at most, mm.
    pub(super) rounder: BTreeMap<String, f64>,
    /// The features about each hollow that is filled, because the fillets close it off.
    pub(super) filled: Vec<BTreeSet<Feature>>,
}

/// A cut end of a body that stands out.
struct StandingEnd {
    end: End,
    /// The number of the body.
    body: usize,
    /// By how many steps it stands out more than others.
    rank: usize,
    /// The box within which other ends are kept from its length.
    near: Bounds,
}

/// Radius of edges that are sharp in the design, where a ball must roll over them, mm.
const LEAST_EDGE: f64 = 0.3;

/// Makes bodies ready for a ball. A part that is machined ends its fillets in its machined faces; one as moulded has no such
/// faces, and its fillets are laid as `moulded` says, which also holds the bodies of the finished part.
/// `filled` are the places that were filled in the finished part, for its casting.
pub(super) fn prepared(
    design: &Design,
    added: &[Primitive],
    filled: &[FilledPlace],
    moulded: Option<(CastFillets, &[Primitive])>,
) -> Prepared {
    let longer = moulded.is_none_or(|(how, _)| how.long_ends());
    let radii = design.casting().fillets();
    let asked = |p: &Primitive| radii.of(Feature::of_body(p)).map(Mm::get);
    let most = added.iter().filter_map(asked).fold(radii.outside().get(), f64::max);
    let edges = radii.edges().get();
    let edge = if edges > 0.0 { edges.min(1.0) } else { LEAST_EDGE };
    let (by, step) = (1.3 * most + 3.0, most + edge + 1.0);
    let mut machined = Vec::new();
    let mut bodies: Vec<FilletRequest> = Vec::new();
    let mut ends: Vec<StandingEnd> = Vec::new();
    let mut drawn: Vec<Primitive> = Vec::new();
    for p in added {
        if moulded.is_none() && all_cut(p) {
            machined.push(p.clone());
            continue;
        }
        // Flush ends stand out by different lengths, since no ball rolls between flush faces.
        let near = p.bounds().grown(most);
        let edge = moulded.map_or(edge, |(_, finished)| edge_as_finished(p, finished, edge, most));
        let first = lengthened(p, by, edge);
        let rank = first.ends.iter().map(|e| rank(&ends, e, &near)).max().unwrap_or(0);
        // As moulded, only flush ends need it as a rule.
        let alone = |e: &End| !added.iter().any(|q| !std::ptr::eq(p, q) && flush_with(q, e, &near, by, edge));
        let inner = uncut(p, edge, most);
        let made = if !longer && first.ends.iter().all(alone) {
            Lengthened { body: inner.clone(), ends: vec![] }
        } else if rank == 0 {
            first
        } else {
            lengthened(p, by + step * rank as f64, edge)
        };
        let body = bodies.len();
        ends.extend(made.ends.into_iter().map(|end| StandingEnd { end, body, rank, near }));
        let radius = asked(p).unwrap_or(most);
        drawn.push(p.clone());
        bodies.push(FilletRequest::new(made.body, inner, radius));
    }
    let ends = ends.into_iter().map(|e| (e.body, e.end)).collect();
    let plan = FilletPlan::new(bodies).with_filled(filled.to_vec());
    let mut out = Prepared {
        plan,
        ends,
        short: BTreeSet::new(),
        closed: vec![],
        drawn,
        trims: vec![],
        met: BTreeSet::new(),
        most,
        machined,
        moulded: moulded.is_some(),
    };
    out.trim();
    out
}

/// Radius with which the sharp edges of a casting's body are rounded for a ball, mm: no larger than those of the finished part's own body, which
/// may have had no room for more. Rounder ones would leave that body's edges outside.
fn edge_as_finished(p: &Primitive, finished: &[Primitive], edge: f64, most: f64) -> f64 {
    let shared = |q: &&Primitive| {
        let mut formed = q.patches().iter().filter(|f| f.tag.finish == Finish::Formed);
        formed.any(|f| p.patches().iter().any(|g| g.tag == f.tag))
    };
    finished.iter().filter(shared).filter_map(|q| eased(q, edge, most)).fold(edge, f64::min)
}

impl Prepared {
    /// The largest radius asked for, mm.
    pub(super) fn most(&self) -> f64 {
        self.most
    }

    /// How far from a body its fillets may reach at most, mm.
    fn room(&self) -> f64 {
        self.most + 1.0
    }

    /// Lays the cuts at the ends that stand out.
    fn trim(&mut self) {
        (self.trims, self.met) = (Vec::new(), BTreeSet::new());
        let ends: Vec<End> = self.ends.iter().map(|e| e.1.clone()).collect();
        for trim in cuts(&ends, self.room(), self.plan.bodies()) {
            self.met.extend(trim.meets);
            self.trims.push(trim.cut);
        }
    }

    /// The cuts at the ends of some features take off all that fillets leave beyond them, where a piece of it would stand apart.
    /// Whether they have not done so before.
    pub(super) fn widen_trims(&mut self, features: &[String]) -> bool {
        self.widen_where(|e| features.iter().any(|f| **f == *e.tag.feature))
    }

    /// The same of cuts at ends beside a place where the solid did not close.
    pub(super) fn widen_trims_at(&mut self, at: P3) -> bool {
        let room = self.room();
        self.widen_where(|e| e.is_beside(at, room))
    }

    /// The same of cuts at ends of one's choice.
    fn widen_where(&mut self, chosen: impl Fn(&End) -> bool) -> bool {
        let room = self.room();
        let mut any = false;
        for (_, e) in self.ends.iter_mut().filter(|(_, e)| e.over < room && chosen(e)) {
            (e.over, any) = (room, true);
        }
        if any {
            self.trim();
        }
        any
    }

    /// Whether a body has an end that stands out.
    fn stands_out(&self, body: usize) -> bool {
        self.ends.iter().any(|(of, _)| *of == body)
    }

    /// Bodies whose machined ends stand out beside a hollow do so no more, and nothing is cut there: where all about such an end is so near that no
    /// ball gets in, there is metal, and a cut would leave a hollow in it. Whether there is such a body.
    pub(super) fn shorten(&mut self, hollow: &Hollow) -> bool {
        let room = self.room();
        let beside: BTreeSet<usize> =
            self.ends.iter().filter(|(_, e)| e.is_beside(hollow.at, room)).map(|(body, _)| *body).collect();
        if beside.is_empty() {
            return false;
        }
        for body in &beside {
            self.plan.shorten(*body);
        }
        self.ends.retain(|(body, _)| !beside.contains(body));
        self.short.extend(beside);
        self.closed.push(hollow.features.clone());
        self.trim();
        true
    }

    /// No body takes a larger ball than it has in the finished part: what that could not have, its casting need not try.
    pub(super) fn follow(&mut self, finished: &[Joint]) {
        self.plan.limit(|b| {
            let own = |j: &&Joint| b.primitive.patches().iter().any(|f| j.faces.contains(&f.tag));
            finished.iter().filter(own).map(|j| j.made).max_by(f64::total_cmp)
        });
    }

    /// The fillets of a casting are laid so that it loses no metal for their sake.
    pub(super) fn lay(&mut self, how: CastFillets) {
        if how != CastFillets::RounderEdges {
            self.plan.keep_edges(how.share());
        }
    }

    /// Whether a place had to be filled, even in vain.
    pub(super) fn has_filled(&self) -> bool {
        self.plan.has_filled()
    }

    /// Places that are filled with a little metal.
    pub(super) fn filled(&self) -> Vec<FilledPlace> {
        self.plan.filled()
    }

    /// What the bodies gave up for their fillets, in order.
    pub(super) fn demotions(&self) -> &[Demotion] {
        self.plan.demotions()
    }

    /// Without creases in the fillets: edges are rounded more, or the ball is smaller, where they would be.
    pub(super) fn without_creases(&mut self) {
        self.plan.without_creases();
    }

    /// Whether all bodies keep their balls: where one would have to take a smaller one, no solid is made.
    pub(super) fn keep_balls(&mut self, keep: bool) {
        self.plan.keep_balls(keep);
    }

    /// Whether all bodies keep their balls.
    pub(super) fn keeps_balls(&self) -> bool {
        self.plan.keeps_balls()
    }

    /// Without filling places: the ball is smaller where it fails.
    pub(super) fn without_filling(&mut self) {
        self.plan.without_filling();
    }

    /// Whether fillets meet in creases, or would if the solid closed with them.
    pub(super) fn folded(&self) -> bool {
        self.plan.folded()
    }

    /// Rolls a ball over the bodies. What they had to give for it (rounder edges, smaller balls) is kept for the next time, and in
    /// the store what balls have left.
    ///
    /// # Errors
    /// There are no bodies, fillets can't meet in creases as the plan has it, or a body may not take a smaller ball yet.
    pub(super) fn rolled(&mut self, design: &Design, store: &mut LevelStore) -> Result<Rolled, Unrolled> {
        let made = filleted_from(&mut self.plan, store, &name)?;
        let radii = design.casting().fillets();
        let asked = |feature| radii.of(feature).is_some_and(|r| r.get() > 0.0);
        let lost = self.plan.sharp().map(|(body, why)| (Feature::of_body(body), why));
        let lost = lost.filter(|l| asked(l.0)).collect();
        let mut rounder: BTreeMap<String, f64> = BTreeMap::new();
        for b in self.plan.bodies().iter().filter(|b| b.rounder > TOLD_ROUNDER) {
            let known = rounder.entry(b.primitive.feature().to_owned()).or_default();
            *known = known.max(b.rounder);
        }
        // A cut along one feature's end leaves the metal of others.
        let (mut spared, mut behind, mut sharp) = (vec![], vec![], vec![]);
        for (n, b) in self.plan.bodies().iter().enumerate() {
            match (b.radius > 0.0, self.met.contains(&n)) {
                (true, _) if self.short.contains(&n) => behind.push(trimmed(&b.inner)),
                // What is moulded stands out at flush ends only: the others are rounded in the filleted body, which holds no sharp edge.
                (true, true) if self.moulded && !self.stands_out(n) => spared.push(b.inner.clone()),
                (true, true) => spared.push(trimmed(&b.inner)),
                (false, true) => behind.push(trimmed(&b.inner)),
                // As in the solid without fillets, not with edges that were rounded for a ball.
                (false, false) => sharp.push(self.drawn.get(n).unwrap_or(&b.primitive).clone()),
                (true, false) => {}
            }
        }
        let out = Rolled {
            rounder,
            filled: made
                .filled
                .iter()
                .map(|tags| tags.iter().map(Feature::of).collect())
                .chain(self.closed.iter().cloned())
                .collect(),
            spared,
            behind,
            lost,
            joints: made.joints,
            bodies: made.body.into_iter().chain(sharp).collect(),
        };
        if out.bodies.is_empty() { Err(Unrolled::NoBall) } else { Ok(out) }
    }

    /// The ball at a place where the solid did not close is changed slightly: what only just touches there moves apart. Whether
    /// that has not been tried yet.
    pub(super) fn nudge(&mut self, at: P3) -> bool {
        // A casting must hold the finished part's fillets.
        let shares = if self.moulded { NUDGES.map(|n| 1.0 + n) } else { NUDGES.map(|n| 1.0 - n) };
        self.plan.nudge(at, &shares)
    }

    /// Fillets may not meet in a crease near a place where the solid did not close. Whether that has not been tried yet.
    pub(super) fn refuse_crease(&mut self, at: P3) -> bool {
        self.plan.refuse_crease(at)
    }

    /// A place where the solid did not close is filled with a little metal, or with more. Whether that has not been tried yet.
    pub(super) fn fill(&mut self, at: P3) -> bool {
        self.plan.fill(at)
    }

    /// The smallest body at a place where the solid did not close takes a smaller ball, or none as the `last` resort. Whether
    /// there is one.
    pub(super) fn give_way(&mut self, at: P3, last: bool) -> bool {
        let moulded = self.moulded;
        self.plan.give_way(at, |b| {
            if last {
                return 0.0;
            }
            if moulded && b.failure.is_none() {
                return b.radius * LARGER;
            }
            let less = |radius: &f64| *radius < b.radius - 1e-6;
            GIVEN.into_iter().map(|s| s * b.asked).find(less).unwrap_or(0.0)
        })
    }
}

/// Edges rounded more than asked by less than this are not told, mm.
const TOLD_ROUNDER: f64 = 0.5;

/// Shares of the radius that are tried in turn at a place where the solid does not close.
const GIVEN: [f64; 2] = [0.6, 0.3];

/// Changes of a ball, in shares of its radius, that move it off places where its fillets only just touch a cut.
const NUDGES: [f64; 2] = [0.009, 0.016];

/// A casting must hold the finished part's fillets: there a ball larger by this comes first.
const LARGER: f64 = 1.15;

/// Whether another body that comes near ends in the same plane.
fn flush_with(other: &Primitive, e: &End, near: &Bounds, by: f64, edge: f64) -> bool {
    let plane = Surface::Plane(e.plane);
    let same = |o: &End| plane.same_as(&Surface::Plane(o.plane), e.plane.frame.origin, 1000.0) == Some(true);
    other.bounds().meets(near) && lengthened(other, by, edge).ends.iter().any(same)
}

/// The least number that no end in the same plane has whose body comes near.
fn rank(ends: &[StandingEnd], e: &End, near: &Bounds) -> usize {
    let plane = Surface::Plane(e.plane);
    let flush = |o: &&StandingEnd| {
        plane.same_as(&Surface::Plane(o.end.plane), e.plane.frame.origin, 1000.0) == Some(true)
            && o.near.meets(near)
    };
    let taken: Vec<usize> = ends.iter().filter(flush).map(|o| o.rank).collect();
    (0..=taken.len()).find(|r| !taken.contains(r)).unwrap_or(0)
}

/// The outline with its outward corners between cast faces rounded as casting asks.
pub(super) fn rounded(design: &Design, outline: &[Segment]) -> Vec<Segment> {
    let radius = design.casting().fillets().edges().get();
    let off_axis = |c: &Corner| c.before.to.x > radius * 2.2;
    let cast = |s: &Segment| s.tag.finish == Finish::Formed;
    round_corners(outline, &|c| {
        if c.turn > 0.0 && off_axis(c) && cast(c.before) && cast(c.after) { radius } else { 0.0 }
    })
}

/// Shares of the edges' radius that are tried where there is no room for the whole.
const SHARES: [f64; 4] = [1.0, 0.7, 0.5, 0.35];

/// Rounds the edges around cast ends of prisms, where they have room, but for `plain` features. Lugs are left alone: flush
/// with the flange's ring, they share its sharp edge. Gives the features that stay sharp.
pub(super) fn round_ends(
    design: &Design,
    added: &mut [Primitive],
    plain: &dyn Fn(Feature) -> bool,
) -> BTreeSet<Feature> {
    let mut sharp = BTreeSet::new();
    let radius = design.casting().fillets().edges().get();
    for p in added {
        let side = |is: fn(Role) -> bool| p.patches().iter().any(|f| is(Role::of(&f.tag)));
        let lug = side(|role| matches!(role, Role::Lug(_))) && !side(|role| role == Role::Rim);
        let end = p.formed_end().filter(|_| radius > 0.0 && !lug);
        let Some(feature) = end.map(Feature::of) else { continue };
        // A plate keeps a flat crest between its two edges.
        let radius = p.thickness().map_or(radius, |t| radius.min(0.3 * t));
        let rounded = || SHARES.iter().find_map(|share| p.with_rounded_ends(radius * share));
        match (!plain(feature)).then(rounded).flatten() {
            Some(rounded) => *p = rounded,
            None => {
                sharp.insert(feature);
            }
        }
    }
    sharp
}

/// The feature that stands on the other gives the name; the shell stands on nothing.
fn name(a: &Tag, b: &Tag) -> Tag {
    let [first, second] = [a, b].map(Feature::of);
    let turned = first == Feature::Shell || (second != Feature::Shell && b < a);
    let (own, other) = if turned { (second, first) } else { (first, second) };
    own.formed(if own == other { Role::Fillet } else { Role::FilletTo(other) })
}
