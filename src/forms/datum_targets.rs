//! Datum targets for the first set-up of the casting on a machine: three on the flange's back, two on the tail, one against turning.
//!
//! All lie on faces that stay as cast and are free before them, so that the casting stands on them before anything is machined, and
//! each cut is laid out from the same places. Three places not in a line hold the casting along the shaft and against tilting, two
//! across the shaft, and one with a lever about the shaft against turning: with normals so, no motion is left (six places for six
//! freedoms, as in any textbook of fixtures).

use super::undercuts::{Boundary, Facet};
use super::{Casting, FormError, unmeshed};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P3, V3};
use solidwright::mesh::triangulate;
use solidwright::solid::{Finish, SolidTree, Tag};

/// Diameter of the place about a target that must be plain, mm: a pin or pad of that size rests there (practice).
pub const TARGET_SIZE: f64 = 10.0;

/// Free room before a target, mm.
const ROOM: f64 = 60.0;

/// Sides of the parts of faces that are tried, and chord error of their mesh, mm.
const GRAIN: f64 = 6.0;
const CHORD: f64 = 0.1;

/// Clock angles into which places are gathered, degrees.
const BIN: f64 = 10.0;

/// The targets in their order.
const NAMES: [(&str, TargetHolds); 6] = [
    ("A1", TargetHolds::Along),
    ("A2", TargetHolds::Along),
    ("A3", TargetHolds::Along),
    ("B1", TargetHolds::Across),
    ("B2", TargetHolds::Across),
    ("C1", TargetHolds::Turning),
];

/// Least lever of the target against turning, mm.
const LEVER: f64 = 12.0;

/// What a datum target holds, by the letter of its datum.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TargetHolds {
    /// A: along the shaft, and against tilting.
    Along,
    /// B: across the shaft.
    Across,
    /// C: against turning.
    Turning,
}

/// A datum target.
#[derive(Clone, Debug, PartialEq)]
pub struct DatumTarget {
    /// Its name: A1 to A3, B1 and B2, C1.
    pub name: &'static str,
    /// What it holds.
    pub holds: TargetHolds,
    /// Its place on the casting, mm.
    pub at: P3,
    /// Out of the metal there, of length 1.
    pub normal: V3,
    /// Its face.
    pub tag: Tag,
}

/// Which targets could not be found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoTargets {
    /// The three on the flange.
    #[error(
        "the back of the flange has no three plain places as cast, apart from each other and free, for A1 to A3"
    )]
    Flange,
    /// The two on the tail.
    #[error(
        "the tail has no two plain places as cast, square to each other about the shaft and free, for B1 and B2"
    )]
    Tail,
    /// The one against turning.
    #[error("no plain, free face as cast has a lever about the shaft for C1, against turning")]
    Turning,
}

/// The targets in their order, or which could not be found.
pub type TargetsFound = Result<Vec<DatumTarget>, NoTargets>;

/// A plain and free place on a face that stays as cast.
#[derive(Clone, Copy, Debug)]
struct Seat {
    p: P3,
    n: V3,
    face: u32,
}

impl Seat {
    /// Its clock angle, degrees from 0 to 360.
    fn clock(&self) -> f64 {
        self.p.y.atan2(self.p.z).to_degrees().rem_euclid(360.0)
    }

    fn radius(&self) -> f64 {
        self.p.y.hypot(self.p.z)
    }

    /// Lever of its force about the shaft, mm.
    fn lever(&self) -> f64 {
        self.p.coords.cross(&self.n).x
    }

    /// Whether it looks straight away from the shaft.
    fn is_radial(&self) -> bool {
        self.n.x.abs() < 0.2 && self.lever().abs() < 0.05 * self.radius()
    }
}

/// The targets of a casting, or which could not be found.
///
/// # Errors
/// Where the casting can't be meshed.
pub fn datum_targets(casting: &Casting) -> Result<TargetsFound, FormError> {
    let solid = &casting.moulded.casting.solid;
    let mesh = triangulate(solid, CHORD).map_err(unmeshed("casting"))?;
    let boundary = Boundary::without([(solid.brep(), &mesh)], |_| false);
    let seats = Seats { boundary: &boundary, tree: solid.tree(), length: solid.brep().bounds().max.x };
    Ok(seats.chosen())
}

struct Seats<'a> {
    boundary: &'a Boundary,
    tree: &'a SolidTree,
    /// Station of the casting's rear end, mm.
    length: f64,
}

impl Seats<'_> {
    fn chosen(&self) -> Result<Vec<DatumTarget>, NoTargets> {
        let flange = self.flange().ok_or(NoTargets::Flange)?;
        let tail = self.tail().ok_or(NoTargets::Tail)?;
        let turning = self.turning(&tail).ok_or(NoTargets::Turning)?;
        let all = flange.into_iter().chain(tail).chain([turning]);
        let named = NAMES.into_iter().zip(all);
        let target = |((name, holds), seat): ((&'static str, TargetHolds), Seat)| DatumTarget {
            name,
            holds,
            at: seat.p,
            normal: seat.n,
            tag: self.boundary.tag(seat.face).clone(),
        };
        Ok(named.map(target).collect())
    }

    /// Parts of the faces as cast that are wanted, as they are; not asked yet whether they are plain and free.
    fn parts(&self, wanted: impl Fn(&Tag, &Seat) -> bool) -> Vec<Seat> {
        let cast = |facet: &&Facet| self.boundary.tag(facet.face).finish == Finish::Formed;
        let facets = self.boundary.facets.iter().filter(cast);
        let seats = facets.flat_map(|facet| facet.pieces(GRAIN)).filter_map(|part| {
            let middle = part.middle();
            Some(Seat { p: middle.p, n: middle.n.try_normalize(1e-9)?, face: part.face })
        });
        seats.filter(|seat| wanted(self.boundary.tag(seat.face), seat)).collect()
    }

    /// Whether a seat is plain under a pin's end, and free before it.
    fn holds(&self, seat: &Seat) -> bool {
        let frame = Frame::from_z(seat.p, seat.n);
        let plain = (0..8).all(|k| {
            let rim = seat.p + frame.radial(std::f64::consts::FRAC_PI_4 * f64::from(k)) * (0.5 * TARGET_SIZE);
            !self.tree.contains(rim + seat.n * 0.5) && self.tree.contains(rim - seat.n * 1.5)
        });
        plain && self.boundary.met(seat.p + seat.n * 0.5, seat.n).is_none_or(|far| far > ROOM)
    }

    /// Three on the back of the flange, the largest triangle.
    fn flange(&self) -> Option<Vec<Seat>> {
        let back = |tag: &Tag, seat: &Seat| {
            Feature::of(tag) == Feature::GearboxFace && Role::of(tag) == Role::FlangeBack && seat.n.x > 0.97
        };
        let outermost = self.by_clock(self.parts(back), Seat::radius);
        let twice = |t: [Seat; 3]| (t[1].p - t[0].p).cross(&(t[2].p - t[0].p)).norm();
        let mut best: Option<(f64, [Seat; 3])> = None;
        for (i, a) in outermost.iter().enumerate() {
            for (j, b) in outermost.iter().enumerate().skip(i + 1) {
                for c in &outermost[j + 1..] {
                    let three = [*a, *b, *c];
                    if best.is_none_or(|(size, _)| twice(three) > size + 1e-6) {
                        best = Some((twice(three), three));
                    }
                }
            }
        }
        // A triangle about the shaft, not a sliver beside it.
        let (size, three) = best?;
        let reach = three.iter().map(Seat::radius).fold(0.0, f64::max);
        (size > reach * reach).then(|| three.to_vec())
    }

    /// For each clock angle the seat that holds and is the largest by some value.
    fn by_clock(&self, mut seats: Vec<Seat>, value: impl Fn(&Seat) -> f64) -> Vec<Seat> {
        seats.sort_by(|a, b| value(b).total_cmp(&value(a)));
        let mut bins: Vec<Option<Seat>> = vec![None; (360.0 / BIN) as usize];
        for seat in seats {
            let bin = ((seat.clock() / BIN) as usize).min(bins.len() - 1);
            if bins[bin].is_none() && self.holds(&seat) {
                bins[bin] = Some(seat);
            }
        }
        bins.into_iter().flatten().collect()
    }

    /// Two as far aft as there are two about square to each other, below rather than above.
    fn tail(&self) -> Option<Vec<Seat>> {
        let round = |_: &Tag, seat: &Seat| seat.is_radial() && seat.p.x > 0.5 * self.length;
        let rearmost = self.by_clock(self.parts(round), |seat| seat.p.x);
        let mut best: Option<(f64, [Seat; 2])> = None;
        for (i, a) in rearmost.iter().enumerate() {
            for b in &rearmost[i + 1..] {
                let square = a.n.dot(&b.n).abs();
                if square > 0.3 || (a.p.x - b.p.x).abs() > 2.0 * GRAIN {
                    continue;
                }
                let below = -(a.n.z + b.n.z);
                let worth = a.p.x.min(b.p.x) + 10.0 * below - 10.0 * square;
                if best.is_none_or(|(known, _)| worth > known + 1e-6) {
                    best = Some((worth, [*a, *b]));
                }
            }
        }
        best.map(|(_, two)| two.to_vec())
    }

    /// The one with the longest lever about the shaft, away from the others.
    fn turning(&self, tail: &[Seat]) -> Option<Seat> {
        let beside = |_: &Tag, seat: &Seat| {
            seat.n.x.abs() < 0.2
                && seat.lever().abs() > LEVER
                && tail.iter().all(|other| (other.p - seat.p).norm() > 2.0 * TARGET_SIZE)
        };
        let mut all = self.parts(beside);
        // A gusset or a lug gives way to a pad: the flange holds the casting already.
        let flange = |seat: &Seat| Feature::of(self.boundary.tag(seat.face)) == Feature::GearboxFace;
        all.sort_by(|a, b| flange(a).cmp(&flange(b)).then(b.lever().abs().total_cmp(&a.lever().abs())));
        all.into_iter().find(|seat| self.holds(seat))
    }
}
