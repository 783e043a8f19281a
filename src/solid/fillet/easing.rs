//! Rounded edges made rounder, where a ball that rolls over them would turn too tightly.

use crate::solid::primitive::Primitive;
use crate::solid::profile::{Profile, Segment};
use crate::solid::rounding::{round_corners, without};

/// Shares of the wanted change that are tried in turn where there is no room for the whole.
const SHARES: [f64; 3] = [1.0, 0.6, 0.3];

/// Radius of an outline's corner, in radii of the edge around the end.
const OUTLINE: f64 = 2.2;

/// Within what a radius is taken for another, mm.
const SAME: f64 = 1e-6;

/// The body with its rounded edges of the first radius given the second, or a radius between where that has no room. `None`
/// where it has no such edge, or no room.
pub(super) fn eased(p: &Primitive, [from, to]: [f64; 2]) -> Option<Primitive> {
    SHARES.into_iter().map(|s| from + (to - from) * s).find_map(|to| rounder(p, from, to))
}

fn rounder(p: &Primitive, from: f64, to: f64) -> Option<Primitive> {
    let (profile, prism) = p.shape().filter(|_| p.caps().is_empty())?;
    let Some((height, slope)) = prism else {
        let outline = outline(profile, |r| (r - from).abs() < SAME, to);
        return Primitive::revolve(p.feature(), *p.frame(), outline?).ok();
    };
    let at_ends = p.rounds().iter().any(|r| (r - from).abs() < SAME);
    let rounds = p.rounds().map(|r| if (r - from).abs() < SAME { to } else { r });
    let least = OUTLINE * rounds[0].max(rounds[1]);
    let around = |r: f64| (r - from).abs() < SAME || r < least - SAME;
    let wanted = if at_ends { least } else { to };
    let section = outline(profile, around, wanted.max(least));
    if section.is_none() && !at_ends {
        return None;
    }
    let section = section.unwrap_or_else(|| profile.segments().to_vec());
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    Primitive::rounded_prism(p.feature(), *p.frame(), section, height, slope.atan(), ends, rounds).ok()
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
    let full = |s: &Segment| (s.radius() - to).abs() < SAME;
    let made = rounded.iter().filter(|s| s.arc.is_some_and(|(_, ccw)| ccw) && full(s)).count();
    (made >= corners.len()).then_some(rounded)
}
