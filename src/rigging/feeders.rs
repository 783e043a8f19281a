//! Which lumps get a feeder on the parting plane, which a chill, and where they stand.

use super::chills::chill;
use super::contacts::Contact;
use super::footprint::Footprint;
use super::{OVER, PlacedChill, SAND, Site, StandingFeeder};
use crate::checks::{FedLump, Feeding};
use crate::faces::Feature;
use crate::standards::feeding::Feeder;
use solidwright::geometry::{P2, V2};
use std::f64::consts::PI;

/// How far a feeder reaches below the parting plane, in diameters of its neck: the neck lies on the plane with its middle.
const BELOW: f64 = 0.7;

/// Lengths of necks that are tried, in diameters of the feeder (practice: short, so that feeder and casting keep it hot).
const NECKS: [f64; 4] = [0.25, 0.4, 0.55, 0.7];

/// Angles by which a neck may lean from square to the rim, degrees.
const LEANS: [f64; 5] = [0.0, 20.0, -20.0, 40.0, -40.0];

/// By how much farther a place may be whose neck leans less, mm a degree.
const LEANING: f64 = 0.3;

/// A lump that is farther than this many reaches from every feeder gets a further one beside the wall next to it (practice, no source).
const FAR: f64 = 3.5;

/// That one must be nearer than this share of the way to the nearest other.
const MUCH_NEARER: f64 = 0.75;

/// A lump shares a feeder whose other lumps have at least this share of its modulus.
const SHARED: f64 = 0.8;

/// What is placed.
pub(super) struct Placed {
    pub(super) feeders: Vec<StandingFeeder>,
    pub(super) chills: Vec<PlacedChill>,
    pub(super) left: Vec<usize>,
}

/// Lumps of one feeder.
struct Group {
    feeds: Vec<usize>,
    counted: Vec<usize>,
    modulus: f64,
    /// The side of the shaft on which it stands.
    side: f64,
    spot: Spot,
}

/// For which lump a feeder is placed: in its reach or anywhere, and on which side of the shaft, 1 or -1.
#[derive(Clone, Copy)]
struct Whom {
    number: usize,
    anywhere: bool,
    side: Option<f64>,
}

/// Where a feeder stands.
#[derive(Clone, Copy)]
struct Spot {
    contact: P2,
    out: V2,
    neck: f64,
    radius: f64,
}

impl Spot {
    fn middle(&self) -> P2 {
        self.contact + self.out * (self.neck + self.radius)
    }
}

/// Feeders and chills for the lumps of a recommendation; what they take is marked in `taken`.
pub(super) fn place(site: &Site, advised: &Feeding, empty: &Footprint, taken: &mut Footprint) -> Placed {
    let mut groups = grouped(site, advised, empty.clone());
    let mut out = Placed { feeders: vec![], chills: vec![], left: vec![] };
    for k in 0..advised.lumps.len() {
        if groups.iter().any(|g| g.feeds.contains(&k)) {
            continue;
        }
        match chill(site, k, &advised.lumps[k], &out.chills) {
            Some(placed) => out.chills.push(placed),
            None => out.left.push(k),
        }
        // Its shrinkage is made good through the wall, from the nearest feeder.
        let lump = &advised.lumps[k];
        if let Some(nearest) =
            groups.iter_mut().min_by(|a, b| away(site, a, lump).total_cmp(&away(site, b, lump)))
        {
            nearest.counted.push(k);
        }
    }
    for group in groups {
        let Some(first) = group.feeds.first().or(group.counted.first()).copied() else { continue };
        let whom = Whom { number: first, anywhere: group.feeds.is_empty(), side: Some(group.side) };
        let volume = |of: &[usize]| of.iter().map(|k| advised.lumps[*k].volume).sum::<f64>();
        let own = volume(&group.feeds);
        let full = sized(site, group.modulus, own + volume(&group.counted));
        let least = sized(site, group.modulus, own);
        let at = |feeder: Feeder| spot(site, taken, advised, whom, feeder);
        let found = at(full).map(|spot| (spot, full, true));
        let found = found.or_else(|| at(least).filter(|_| !whom.anywhere).map(|spot| (spot, least, false)));
        let Some((spot, feeder, whole)) = found else {
            out.left.extend(group.feeds);
            continue;
        };
        taken.take_disc(spot.middle(), spot.radius + 0.5 * SAND);
        out.feeders.push(StandingFeeder {
            feeds: group.feeds,
            counted: group.counted,
            feeder,
            whole,
            at: site.parting.place(spot.middle(), 0.0),
            contact: site.parting.place(spot.contact, 0.0),
            neck: spot.neck,
            below: BELOW * feeder.neck,
        });
    }
    out.left.sort_unstable();
    out
}

/// The feeders that have room, each with the lumps in its reach.
fn grouped(site: &Site, advised: &Feeding, mut taken: Footprint) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (k, lump) in advised.lumps.iter().enumerate() {
        let wanted = sized(site, lump.modulus, lump.volume);
        let near = |g: &Group| {
            away(site, g, lump) <= reach(advised, lump, &wanted) && g.modulus >= SHARED * lump.modulus
        };
        if let Some(group) = groups.iter_mut().find(|g| near(g)) {
            group.feeds.push(k);
            group.modulus = group.modulus.max(lump.modulus);
        } else if let Some(spot) =
            spot(site, &taken, advised, Whom { number: k, anywhere: false, side: None }, wanted)
        {
            taken.take_disc(spot.middle(), spot.radius + 0.5 * SAND);
            let side = spot.contact.y.signum();
            groups.push(Group { feeds: vec![k], counted: vec![], modulus: lump.modulus, side, spot });
        }
    }
    // A chilled lump is fed through the wall beside it, on the side that gates leave free.
    let side = |g: &Group| g.spot.contact.y.signum();
    let kept = if groups.iter().map(side).sum::<f64>() < 0.0 { -1.0 } else { 1.0 };
    let modulus = 0.5 * advised.gating.wall;
    for (k, lump) in advised.lumps.iter().enumerate() {
        let nearest = groups.iter().map(|g| away(site, g, lump)).fold(f64::INFINITY, f64::min);
        if groups.iter().any(|g| g.feeds.contains(&k)) || nearest <= FAR * advised.reach {
            continue;
        }
        let whom = Whom { number: k, anywhere: true, side: Some(kept) };
        let found = spot(site, &taken, advised, whom, sized(site, modulus, lump.volume));
        let group = |spot| Group { feeds: vec![], counted: vec![], modulus, side: kept, spot };
        if let Some(group) = found.map(group).filter(|g| away(site, g, lump) < MUCH_NEARER * nearest) {
            taken.take_disc(group.spot.middle(), group.spot.radius + 0.5 * SAND);
            groups.push(group);
        }
    }
    groups
}

/// How far a lump's middle is from where a feeder's neck meets the casting.
fn away(site: &Site, group: &Group, lump: &FedLump) -> f64 {
    (site.parting.place(group.spot.contact, 0.0) - lump.at).norm()
}

/// The least feeder that also stands over the casting's highest place.
fn sized(site: &Site, modulus: f64, volume: f64) -> Feeder {
    let below = BELOW * Feeder::neck_for(modulus);
    Feeder::standing(modulus, volume, site.high + OVER + below, site.family)
}

/// How far from a lump's middle the middle of a neck may meet the casting: a feeder's reach is counted from its edge.
fn reach(advised: &Feeding, lump: &FedLump, feeder: &Feeder) -> f64 {
    0.5 * lump.ball + advised.reach + 0.5 * feeder.neck
}

/// The nearest place to a lump where a feeder has room: within its reach, or anywhere.
fn spot(site: &Site, taken: &Footprint, advised: &Feeding, whom: Whom, feeder: Feeder) -> Option<Spot> {
    let lump = &advised.lumps[whom.number];
    let within = if whom.anywhere { f64::INFINITY } else { reach(advised, lump, &feeder) };
    let radius = site.radius_at_plane(&feeder);
    let mut near: Vec<(f64, &Contact)> = site
        .contacts
        .iter()
        .map(|c| ((site.parting.place(c.at, 0.0) - lump.at).norm(), c))
        .filter(|(away, c)| {
            // Where it is no lump that is fed, but the wall beside one, the neck stands at that wall.
            let on = !whom.anywhere || [Feature::Shell, lump.feature].contains(&c.feature);
            on && *away <= within && whom.side.is_none_or(|side| side * c.at.y > 0.0)
        })
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The nearest, but for a shorter neck a little farther.
    let mut best: Option<(f64, Spot)> = None;
    for (away, contact) in near {
        if best.is_some_and(|(cost, _)| cost <= away) {
            break;
        }
        for (lean, neck) in LEANS.iter().flat_map(|lean| NECKS.iter().map(move |neck| (lean, neck))) {
            let neck = (neck * feeder.diameter).max(SAND + 2.0);
            let cost = away + neck + LEANING * lean.abs();
            if best.is_some_and(|(known, _)| known <= cost) {
                continue;
            }
            let (s, c) = (lean * PI / 180.0).sin_cos();
            let out = V2::new(c * contact.out.x - s * contact.out.y, s * contact.out.x + c * contact.out.y);
            let spot = Spot { contact: contact.at, out, neck, radius };
            if has_room(taken, &spot, &feeder) && on_metal(site, &spot, &feeder) {
                best = Some((cost, spot));
            }
        }
    }
    best.map(|(_, spot)| spot)
}

fn has_room(taken: &Footprint, spot: &Spot, feeder: &Feeder) -> bool {
    taken.disc_is_free(spot.middle(), spot.radius + SAND)
        && taken.strip_is_free(spot.contact + spot.out * 0.7 * spot.neck, spot.middle(), 0.5 * feeder.neck)
}

/// Whether most of the neck's end lies on metal of the casting.
fn on_metal(site: &Site, spot: &Spot, feeder: &Feeder) -> bool {
    let (side, half) = (V2::new(-spot.out.y, spot.out.x), 0.35 * feeder.neck);
    let inner = spot.contact - spot.out * 3.0;
    let places: [(P2, f64); 5] =
        [(inner, 0.0), (inner, half), (inner, -half), (inner + side * half, 0.0), (inner - side * half, 0.0)];
    let within = |(p, height): &(P2, f64)| site.casting.contains(site.parting.place(*p, *height));
    within(&places[0]) && places.iter().filter(|p| within(p)).count() >= 3
}

impl Site<'_> {
    /// Radius of a feeder in the parting plane: draft widens it from its top down.
    pub(super) fn radius_at_plane(&self, feeder: &Feeder) -> f64 {
        0.5 * feeder.diameter + self.draft.tan() * (feeder.height - BELOW * feeder.neck)
    }
}
