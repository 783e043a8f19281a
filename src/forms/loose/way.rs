//! Where a loose piece could be parted off and which way it could leave the sand: tried on a mesh of the half, the best first.

use std::sync::OnceLock;

use rayon::prelude::*;

use super::super::undercuts::{Boundary, Half, RAP, SLOPE, Spot};
use super::region::Region;
use super::site::Site;
use solidwright::geometry::{P3, V2, V3};

/// How far a piece reaches beyond what holds, mm.
const MARGIN: f64 = 2.0;

/// What would be left beside a piece of no more than this comes off with it, mm.
const LEDGE: f64 = 6.0;

/// Heights of a seat below this over the parting plane are none, mm.
const LEAST_SEAT: f64 = 4.0;

/// Directions about the pull that are tried.
const TURNS: u32 = 24;

/// Steps up and down from the parting plane's own directions that are tried, degrees.
const CLIMBS: [f64; 7] = [0.0, 15.0, -15.0, 30.0, -30.0, 45.0, -45.0];

/// Farthest that a piece is moved, and the step by which that is tried, mm.
const FARTHEST: f64 = 200.0;
const STEP: f64 = 1.0;

/// A way to part off a piece and to draw it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub(super) region: Region,
    /// In the half's own coordinates, of length 1.
    pub(super) draw: V3,
    /// Area that holds the piece, as found on the mesh, mm², and the face with the largest share.
    pub(super) held: f64,
    pub(super) by: Option<u32>,
}

impl Way {
    /// The same with a wider room.
    pub(super) fn wider(&self, by: f64) -> Self {
        let grown = |(lo, hi): (f64, f64)| (lo - by, hi + by);
        let Region { along, aside, seat, .. } = self.region;
        let seat = seat.map(|seat| seat - by);
        let region = Region {
            along: grown(along),
            aside: grown(aside),
            seat,
            below: self.region.below + by,
            ..self.region
        };
        Self { region, ..*self }
    }
}

/// What was found about a place on the mesh of its half.
pub(super) struct Ways {
    /// The wall of the sand about it, in the half's own coordinates; the normals are of length 1.
    pub(super) walls: Vec<Spot>,
    /// All ways for a piece, the best first.
    pub(super) all: Vec<Way>,
}

/// All ways for a piece, the best first: least area that holds it, then least of its half taken.
pub(super) fn ways(site: &Site, walls: &[Spot], axes: &[V3]) -> Vec<Way> {
    let turns = (0..TURNS).map(|k| std::f64::consts::TAU * f64::from(k) / f64::from(TURNS));
    let mut tried: Vec<(V2, Vec<V3>)> = Vec::new();
    for axis in axes.iter().flat_map(|axis| [*axis, -*axis]) {
        if let Some(flat) = V2::new(axis.x, axis.y).try_normalize(0.3) {
            tried.push((flat, vec![axis]));
        }
    }
    for turn in turns {
        let flat = V2::new(turn.cos(), turn.sin());
        let climb = |degrees: &f64| {
            let (s, c) = degrees.to_radians().sin_cos();
            V3::new(flat.x * c, flat.y * c, s)
        };
        tried.push((flat, CLIMBS.iter().map(climb).collect()));
    }
    let seen = Seen::of(site, walls);
    let found = |(inwards, draws): &(V2, Vec<V3>)| {
        let region = seen.region(*inwards);
        let mut held: Vec<(f64, Option<&Spot>)> = vec![(0.0, None); draws.len()];
        for spot in walls.iter().filter(|spot| region.contains(spot.p)) {
            for (draw, (area, worst)) in draws.iter().zip(&mut held) {
                if spot.n.dot(draw) > SLOPE {
                    *area += spot.area;
                    if worst.is_none_or(|w| spot.area > w.area) {
                        *worst = Some(spot);
                    }
                }
            }
        }
        let way = |(draw, (held, worst)): (&V3, (f64, Option<&Spot>))| Way {
            region,
            draw: *draw,
            held,
            by: worst.map(|spot| spot.face),
        };
        draws.iter().zip(held).map(way).collect::<Vec<Way>>()
    };
    let mut out: Vec<Way> = tried.par_iter().flat_map_iter(found).collect();
    let cost = |way: &Way| {
        let climb = way.draw.z.abs();
        way.held + 0.01 * way.region.plan_area() * (1.0 + climb)
    };
    out.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
    out
}

/// What the rooms for all directions are measured by: a room is asked for in thirty of them, of tens of thousands of places each.
struct Seen {
    /// Where the parts that hold have corners, each once.
    corners: Vec<P3>,
    /// Height of a seat, if there is to be one.
    seat: Option<f64>,
    /// The places of the walls above it.
    above: Vec<P3>,
}

impl Seen {
    fn of(site: &Site, walls: &[Spot]) -> Self {
        let mut corners: Vec<P3> =
            site.parts.iter().flat_map(|held| held.part.corners).map(|corner| corner.p).collect();
        let order = |a: &P3, b: &P3| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y));
        corners.sort_unstable_by(order);
        corners.dedup_by(|a, b| order(a, b).is_eq());
        let lowest = site.lowest() - MARGIN;
        let seat = (lowest.is_finite() && lowest > LEAST_SEAT).then_some(lowest);
        let high = |p: &P3| seat.is_none_or(|seat| p.z >= seat);
        let above = walls.iter().map(|spot| spot.p).filter(high).collect();
        Self { corners, seat, above }
    }

    /// The least room for a piece that is drawn inwards.
    fn region(&self, inwards: V2) -> Region {
        let mut out = Region { seat: self.seat, ..Region::towards(inwards) };
        let (mut along, mut aside) = ((f64::INFINITY, f64::NEG_INFINITY), (f64::INFINITY, f64::NEG_INFINITY));
        for (u, v) in self.corners.iter().map(|p| out.local(*p)) {
            along = (along.0.min(u), along.1.max(u));
            aside = (aside.0.min(v), aside.1.max(v));
        }
        out.along = (along.0 - MARGIN, along.1 + MARGIN);
        out.aside = (aside.0 - MARGIN, aside.1 + MARGIN);
        let above = || self.above.iter().map(|p| out.local(*p));
        let within = |x: f64, (lo, hi): (f64, f64)| x >= lo && x <= hi;
        // Towards the hollow the metal goes on.
        let first = widened(out.along, above().filter(|(_, v)| within(*v, out.aside)).map(|(u, _)| u)).0;
        let along = (first, out.along.1);
        let beside = widened(out.aside, above().filter(|(u, _)| within(*u, along)).map(|(_, v)| v));
        Region { along, aside: beside, ..out }
    }
}

/// An extent, on each side widened over a narrow ledge.
fn widened((lo, hi): (f64, f64), places: impl Iterator<Item = f64>) -> (f64, f64) {
    let (mut least, mut most) = (lo, hi);
    for place in places {
        (least, most) = (least.min(place), most.max(place));
    }
    let low = if lo - least <= LEDGE { least - 1.0 } else { lo };
    let high = if most - hi <= LEDGE { most + 1.0 } else { hi };
    (low.min(lo), high.max(hi))
}

/// Why a piece can't be taken out through the hollow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stuck {
    /// How far it can be moved, mm.
    pub(super) room: f64,
}

/// How far a piece is moved until it can be lifted out of the mould, through the hollow that its half and it leave in the sand; the
/// hollow's boundary is `hollow`, and `standing` are the pieces still in it. Every point of the piece, half a millimetre within it, for that is what
/// rapping frees, is asked.
pub(super) fn travel(
    inner: &[P3],
    draw: V3,
    pull: V3,
    hollow: &Boundary,
    standing: &[Boundary],
) -> Result<f64, Stuck> {
    let height = |p: &P3| p.coords.dot(&pull);
    let met = |from: P3, way: V3| {
        let all = standing.iter().filter_map(|b| b.met(from, way)).chain(hollow.met(from, way));
        all.fold(f64::INFINITY, f64::min)
    };
    // Below the parting plane the other half of the mould is away.
    let reach = |p: &P3| {
        let far = met(*p, draw);
        let there = height(p) + far * draw.dot(&pull);
        if far.is_finite() && there > 0.0 { far } else { f64::INFINITY }
    };
    let room = inner.iter().map(reach).fold(f64::INFINITY, f64::min);
    let out = |p: &P3, far: f64| {
        let there = p + draw * far;
        height(&there) <= 0.0 || met(there, -pull) >= height(&there)
    };
    let steps = (room.min(FARTHEST) / STEP).floor() as usize;
    // The point that was in the way last is asked first.
    let mut last = 0;
    for far in (1..=steps).map(|k| STEP * k as f64) {
        if inner.get(last).is_some_and(|p| !out(p, far)) {
            continue;
        }
        match inner.iter().position(|p| !out(p, far)) {
            Some(k) => last = k,
            None => return Ok(far),
        }
    }
    Err(Stuck { room })
}

/// The point within a piece as far under a place of its surface as rapping frees, where it is about as far from all of the hollow's walls.
/// `inside` tells whether the metal holds a point: beside a sharp edge that step leads out of it.
fn beneath(p: P3, n: V3, hollow: &Boundary, inside: impl Fn(P3) -> bool) -> Option<P3> {
    let at = p - n * RAP;
    (!hollow.is_within(0.8 * RAP, at) && inside(at)).then_some(at)
}

/// Such points under all places of a piece's surface.
pub(super) fn under(spots: &[(P3, V3)], hollow: &Boundary, inside: impl Fn(P3) -> bool + Sync) -> Vec<P3> {
    spots.par_iter().filter_map(|(p, n)| beneath(*p, *n, hollow, &inside)).collect()
}

/// Such points under the walls about a place: many ways to part off a piece there ask for the same ones.
pub(super) struct Beneath<'a> {
    walls: &'a [Spot],
    known: Vec<OnceLock<Option<P3>>>,
}

impl<'a> Beneath<'a> {
    pub(super) fn of(walls: &'a [Spot]) -> Self {
        Self { walls, known: walls.iter().map(|_| OnceLock::new()).collect() }
    }

    /// Those of a room in a half, whose hollow and whose metal must be the same each time.
    pub(super) fn within(
        &self,
        region: &Region,
        half: &Half,
        hollow: &Boundary,
        inside: impl Fn(P3) -> bool + Sync,
    ) -> Vec<P3> {
        let own = self.walls.par_iter().zip(&self.known).filter(|(spot, _)| region.contains(spot.p));
        let found = |spot: &Spot| beneath(P3::from(half.place(spot.p)), half.vector(spot.n), hollow, &inside);
        own.filter_map(|(spot, known)| *known.get_or_init(|| found(spot))).collect()
    }
}
