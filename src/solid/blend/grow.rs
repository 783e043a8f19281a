//! Primitives grown by a distance: where a ball's centre may not go.

use super::parallel;
use crate::solid::profile::Profile;
use crate::solid::{Finish, Primitive, PrimitiveError, Segment, without};

/// The primitive grown by `by` mm on all sides. The edges around a prism's ends become round, as the true distance
/// has it, where the end is cast and the outline allows it; `sharp_ends` leaves them sharp. `None` where the outline can't be grown.
pub(super) fn grown(p: &Primitive, by: f64, sharp_ends: bool) -> Option<Result<Primitive, PrimitiveError>> {
    // Where a cap meets a wall the ball would roll round the edge; there is nothing for it to rest on beyond.
    let caps: Vec<_> = p.caps().iter().map(|c| c.grown(by)).collect();
    whole(p, by, sharp_ends).map(|grown| grown.map(|g| g.capped(caps)))
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
    // Cast ends get the true distance; the ball never rests on a machined one's edge.
    let cast = [0, 1].map(|k| ends[k].finish == Finish::Cast);
    let rounds = p.rounds();
    let radii = [0, 1].map(|k| if cast[k] || rounds[k] > 0.0 { rounds[k] + by } else { 0.0 });
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
