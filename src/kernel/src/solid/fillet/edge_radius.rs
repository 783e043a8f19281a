//! Rounded edges made rounder, where a ball that rolls over them would turn too tightly.

use super::failure::TightEdge;
use crate::solid::primitive::Primitive;
use crate::solid::prism::OUTLINE_CORNER;
use crate::solid::profile::Profile;
use crate::solid::rounding::{round_corners, without};
use crate::solid::segment::Segment;
use crate::tolerance::SAME_EDGE_RADIUS;

/// Shares of the wanted change that are tried in turn where there is no room for the whole.
const SHARES: [f64; 3] = [1.0, 0.6, 0.3];

/// The body with its rounded edges of the tight one's radius given the radius needed, or one between where that has no
/// room, by at most `most` mm more; and by how much more. `None` where it has no such edge, or no room.
pub(super) fn with_larger_edges(p: &Primitive, tight: &TightEdge, most: f64) -> Option<(Primitive, f64)> {
    let more = tight.needed - tight.radius;
    let shares = SHARES.into_iter().map(|share| more * share).filter(|more| *more <= most);
    shares.into_iter().find_map(|more| Some((rounder(p, tight.radius, tight.radius + more)?, more)))
}

fn rounder(p: &Primitive, from: f64, to: f64) -> Option<Primitive> {
    let (profile, prism) = p.shape().filter(|_| p.caps().is_empty())?;
    let is_from = |r: f64| (r - from).abs() < SAME_EDGE_RADIUS;
    if prism.is_none() {
        let outline = outline(profile, is_from, to)?;
        return Primitive::revolve(p.feature(), *p.frame(), outline).ok();
    }
    let at_ends = p.rounds().into_iter().any(is_from);
    let rounds = p.rounds().map(|r| if is_from(r) { to } else { r });
    let least = OUTLINE_CORNER * rounds[0].max(rounds[1]);
    let section = outline(
        profile,
        |r| is_from(r) || r < least - SAME_EDGE_RADIUS,
        if at_ends { least } else { to.max(least) },
    );
    // The edges around the ends may be all that is rounded.
    let section = section.or_else(|| at_ends.then(|| profile.segments().to_vec()))?;
    p.reshaped(section, rounds)
}

/// The outline with its outward arcs of the `chosen` radii replaced by arcs of the radius `to`. `None` where it has none, or
/// no room.
fn outline(profile: &Profile, chosen: impl Fn(f64) -> bool, to: f64) -> Option<Vec<Segment>> {
    let of = |s: &Segment| s.arc.is_some_and(|(_, ccw)| ccw) && chosen(s.radius());
    let before = profile.segments();
    let corners: Vec<_> = before.iter().filter(|s| of(s)).cloned().collect();
    if corners.is_empty() {
        return None;
    }
    let sharp = without(before.to_vec(), |all, i| of(&all[i]));
    if sharp.len() + corners.len() != before.len() {
        return None;
    }
    let were = |at: &Segment| corners.iter().any(|c| c.tag == at.tag);
    let rounded = round_corners(&sharp, &|c| if c.turn > 0.0 && were(c.before) { to } else { 0.0 });
    let full = |s: &Segment| (s.radius() - to).abs() < SAME_EDGE_RADIUS;
    let made = rounded.iter().filter(|s| s.arc.is_some_and(|(_, ccw)| ccw) && full(s)).count();
    (made >= corners.len()).then_some(rounded)
}
