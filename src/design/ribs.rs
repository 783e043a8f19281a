//! Ribs of the shell, with crest and root computed from the shell under them.

use super::record::record;
use super::shell::Shell;
use crate::params::schema;
use crate::units::{Deg, Mm};

record! {
    /// Ribs along the shaft and around the shell.
    pub struct Ribs {
    } lent {
        /// Ribs along the shaft, one by one.
        longitudinal: Vec<LongitudinalRib> => [LongitudinalRib],
        /// Ribs around the shell.
        rings: Vec<RingRib> => [RingRib],
    }
}

/// A rib along the shaft, in the plane of the shaft axis and its clock angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongitudinalRib {
    /// Direction from the shaft axis.
    pub clock: Deg,
    /// Station and distance from the axis of the crest's front end.
    pub front: (Mm, Mm),
    /// Station and distance from the axis of the crest's rear end.
    pub rear: (Mm, Mm),
    /// How far the crest's ends stand off the shell's outside, square to the shaft: front, rear.
    pub heights: [Mm; 2],
    /// Thickness at the crest.
    pub thickness: Mm,
    /// From crest to base, square to the crest: the base lies inside the shell's outside all along.
    pub depth: Mm,
    /// Draft of the sides.
    pub draft: Deg,
}

/// A rib around the shell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingRib {
    /// Station of its middle.
    pub station: Mm,
    /// Thickness at the crest.
    pub thickness: Mm,
    /// Distance of the crest from the axis.
    pub outer_radius: Mm,
    /// How far the crest stands off the shell's outside where that is widest under the rib.
    pub height: Mm,
    /// Distance of the base from the axis: inside the shell's outside.
    pub inner_radius: Mm,
    /// Draft of the sides.
    pub draft: Deg,
}

/// How deep a rib is rooted in the shell, in walls.
const ROOTED: f64 = 0.5;

impl Ribs {
    pub(super) fn from_file(raw: &schema::RawRibs, wall: Mm, shell: &Shell) -> Option<Self> {
        let mut longitudinal = Vec::new();
        for set in &raw.longitudinal.items {
            longitudinal.extend(ribs_of(set, wall, shell)?);
        }
        let rings = raw.rings.items.iter().map(|ring| ring_of(ring, wall, shell)).collect::<Option<_>>()?;
        Some(Self { longitudinal, rings })
    }
}

/// All ribs of a set.
pub(super) fn ribs_of(
    set: &schema::LongitudinalRibs,
    wall: Mm,
    shell: &Shell,
) -> Option<Vec<LongitudinalRib>> {
    let (from, to, thickness) = (set.from.get()?, set.to.get()?, set.thickness.get()?);
    let (count, first, draft) = (set.count.get()?, set.first_clock.get()?, set.draft.get()?);
    let crest = |x: Mm| -> Option<Mm> {
        match set.outer_radius.get() {
            Some(radius) => Some(radius),
            None => Some(shell.outside_radius(x)? + set.height.get()?),
        }
    };
    let (front, rear) = ((from, crest(from)?), (to, crest(to)?));
    let heights = [front.1 - shell.outside_radius(from)?, rear.1 - shell.outside_radius(to)?];
    // Greatest distance of the shell below the crest, at the ends and at the shell's own corners between them.
    let corners = shell.outside().iter().map(|p| p.x).filter(|x| *x > from && *x < to);
    let below = |x: Mm| {
        let share = (x - from) / (to - from);
        let lowest = shell.outside().iter().filter(|p| (p.x - x).abs().get() <= solidwright::tolerance::SAME);
        let lowest = lowest.map(|p| p.radius).chain(shell.outside_radius(x)).reduce(Mm::min)?;
        Some(front.1 + (rear.1 - front.1) * share - lowest)
    };
    let furthest = [from, to].into_iter().chain(corners).filter_map(below).reduce(Mm::max)?;
    let slope = ((rear.1 - front.1).get()).atan2((to - from).get());
    // The base is flat, the shell round: at its edges it is less deep by the sagitta over the thickness.
    let half = thickness.get() / 2.0 + furthest.get() * draft.tan();
    let sagitta = half * half / (2.0 * front.1.min(rear.1).get());
    let depth = Mm::new(furthest.get() * slope.cos() + sagitta) + wall * ROOTED;
    let rib = |i: u32| {
        let clock = first + Deg::new(360.0) * (f64::from(i) / f64::from(count));
        LongitudinalRib { clock, front, rear, heights, thickness, depth, draft }
    };
    Some((0..count).map(rib).collect())
}

fn ring_of(ring: &schema::RawRingRib, wall: Mm, shell: &Shell) -> Option<RingRib> {
    let (station, thickness, draft) = (ring.station.get()?, ring.thickness.get()?, ring.draft.get()?);
    let (front, rear) = (station - thickness, station + thickness);
    let corners = shell.outside().iter().filter(|p| p.x > front && p.x < rear).map(|p| p.radius);
    let ends = [front, station, rear].into_iter().filter_map(|x| shell.outside_radius(x));
    let under: Vec<Mm> = ends.chain(corners).collect();
    let widest = under.iter().copied().reduce(Mm::max)?;
    let narrowest = under.iter().copied().reduce(Mm::min)?;
    let outer_radius = match ring.outer_radius.get() {
        Some(radius) => radius,
        None => widest + ring.height.get()?,
    };
    let (inner_radius, height) = (narrowest - wall * ROOTED, outer_radius - widest);
    Some(RingRib { station, thickness, outer_radius, height, inner_radius, draft })
}
