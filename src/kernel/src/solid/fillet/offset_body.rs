//! Primitives offset by a distance: where a ball's centre may not go.

use std::sync::Arc;

use super::convexity::RollingSide;
use super::courses::Ball;
use super::folds::Folds;
use super::parallel;
use super::rolling_ball::{RollingBase, roll};
use crate::solid::evaluate::evaluate;
use crate::solid::patch::Part;
use crate::solid::primitive::SharpCore;
use crate::solid::profile::Profile;
use crate::solid::{Finish, Primitive, PrimitiveError, Segment, SolidTree, Tag, without};

/// The primitive offset by `by` mm on all sides. The edges around a prism's ends become round, as the true distance
/// has it, where the end is formed and the outline allows it; `sharp_ends` leaves them sharp. `None` where the outline can't be offset.
pub(super) fn offset_body(
    p: &Primitive,
    by: f64,
    sharp_ends: bool,
) -> Option<Result<Primitive, PrimitiveError>> {
    if let Some(core) = p.filleted_body().and_then(|b| b.sharp.clone()) {
        return rounded(&core, core.edge + by).map(Ok);
    }
    // Where a cap meets a wall the ball would roll round the edge; there is nothing for it to rest on beyond.
    let caps: Vec<_> = p.caps().iter().map(|c| c.offset(by)).collect();
    whole(p, by, sharp_ends).map(|offset| offset.map(|g| g.capped(caps)))
}

/// Radius of filled corners of an outline, in radii of the ball.
const MORE: f64 = 1.05;

/// The prism with inward corners of its outline filled by a ball of the radius; the body itself where it has none.
pub(super) fn closed(p: &Primitive, radius: f64) -> Primitive {
    let closed = || {
        let (profile, Some(_)) = p.shape()? else { return None };
        // A little more than the ball, which must pass.
        let outline = parallel::closing(profile, MORE * radius)?;
        Some(p.reshaped(outline, p.rounds())?.capped(p.caps().iter().cloned()))
    };
    closed().unwrap_or_else(|| p.clone())
}

/// A prism cut short by caps, with its edges rounded by a ball of the radius that rolls inside it. `None` where it has no
/// caps, or an edge takes no such ball.
pub(super) fn capped(p: &Primitive, edge: f64) -> Option<Primitive> {
    let (profile, Some((height, slope))) = p.shape()? else { return None };
    if p.caps().is_empty() || slope != 0.0 {
        return None;
    }
    let inset = profile.offset(edge)?;
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let sharp =
        Primitive::prism(p.feature(), *p.frame(), inset.segments().to_vec(), height, 0.0, ends).ok()?;
    let body = sharp.capped(p.caps().iter().map(|c| c.offset(-edge)));
    let mut tree = SolidTree::new();
    tree.add(body.clone());
    let brep = evaluate(&tree).ok()?;
    rounded(&Arc::new(SharpCore { body, brep, edge }), edge)
}

/// The body that stands out of a sharp one by `by` mm everywhere.
fn rounded(core: &Arc<SharpCore>, by: f64) -> Option<Primitive> {
    let caps = core.body.caps().iter().map(|c| c.offset(by));
    // Walls run on to their edges here; what is too much there is taken off by the ball.
    let mitred = whole(&core.body, by, true)?.ok()?.capped(caps);
    let cap_names: Vec<&Tag> =
        core.body.patches().iter().filter(|f| f.part == Part::Cap).map(|f| &f.tag).collect();
    let name = |a: &Tag, b: &Tag| if cap_names.contains(&a) { b.clone() } else { a.clone() };
    let bodies = RollingBase { parts: vec![mitred], offset: vec![] };
    let ball = Ball { radius: by, side: RollingSide::Inside, folding: Folds::Refuse, folds_at: &[] };
    let made = roll(&core.brep, ball, bodies, &[], &name).ok()?.body;
    made.with_sharp(core.clone())
}

/// The same but for the planes that cut it short.
fn whole(p: &Primitive, by: f64, sharp_ends: bool) -> Option<Result<Primitive, PrimitiveError>> {
    let (profile, prism) = p.shape()?;
    let frame = *p.frame();
    let Some((height, slope)) = prism else {
        let outline = parallel::outline(profile, by, true)?;
        return Some(Primitive::turned(p.feature(), frame, outline, true));
    };
    // A leaning wall moves sideways by more; and the section is taken at the moved base.
    let sideways = by * (1.0 + slope * slope).sqrt() + slope * by;
    // Where walls lean, an arc about a corner would be no cone: there lines run on until they meet.
    let section = if slope == 0.0 {
        parallel::outline(profile, sideways, false)?
    } else {
        // An inner arc that vanishes on the way out is left out: a ball that would rest on it finds nothing there.
        let lost = sideways - (slope * (height + 2.0 * by)).min(0.0);
        Profile::new(without_inner_arcs(profile, lost)).ok()?.offset(-sideways)?.segments().to_vec()
    };
    let base = frame.moved_to(frame.point(0.0, 0.0, -by));
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    // Formed ends get the true distance; the ball never rests on a cut one's edge.
    let formed = [0, 1].map(|k| ends[k].finish == Finish::Formed);
    let rounds = p.rounds();
    let radii = [0, 1].map(|k| if formed[k] || rounds[k] > 0.0 { rounds[k] + by } else { 0.0 });
    let (tall, draft) = (height + 2.0 * by, slope.atan());
    let sharp = || Primitive::prism(p.feature(), base, section.clone(), tall, draft, ends.clone());
    if sharp_ends {
        return Some(sharp());
    }
    let round =
        Primitive::rounded_prism(p.feature(), base, section.clone(), tall, draft, ends.clone(), radii);
    Some(round.or_else(|_| sharp()))
}

/// The outline with sharp corners instead of inner arcs up to a radius.
fn without_inner_arcs(profile: &Profile, up_to: f64) -> Vec<Segment> {
    without(profile.segments().to_vec(), |outline, i| {
        outline[i].arc.is_some_and(|(_, ccw)| !ccw) && outline[i].radius() < up_to + 0.01
    })
}
