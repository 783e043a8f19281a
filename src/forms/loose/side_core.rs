//! Side cores: what neither a half nor a loose piece can form is formed by a core of its own.
//!
//! Where metal lies over sand and no loose piece comes out, the sand from the parting plane up to that metal is made a core. The half gets a
//! print in its place, a block that reaches beyond the metal on the sides where there is sand, so that the half can be drawn and the core
//! has a seat. The core is that block less the casting. It is set in along the pull, as the half is drawn.

use super::super::pattern::beside;
use super::super::split::dowel;
use super::super::undercuts::Traced;
use super::column::{Column, OVER, print_faces};
use super::region::LEAN;
use super::site::Site;
use super::{DRESSED, FormError, LooseHalf, Piece, half_name, holding, meshed, names};
use crate::faces::Feature;
use crate::units::Units;
use solidwright::geometry::{P3, V3};
use solidwright::solid::{Solid, SolidTree};

/// Rooms of which exact solids are made for one place.
const MOST_MADE: usize = 4;

/// Places of one half that get a core at most.
const MOST_CORES: usize = 6;

/// Share of the way of its half by which pictures show a core off its place.
const SHOWN: f64 = 0.4;

/// Least room between two side cores, and between one and a loose piece, mm.
const BETWEEN: f64 = 3.0;

/// A side core, as large as the casting.
#[derive(Clone, Debug, PartialEq)]
pub struct SideCore {
    /// The name of its piece.
    pub name: String,
    /// Whether it belongs to the upper half.
    pub upper: bool,
    /// The features that it forms.
    pub features: Vec<Feature>,
    /// The area by which they would hold the half, mm².
    pub held: f64,
    /// Length and width at the parting plane, and height, mm.
    pub size: [f64; 3],
    /// Cosine and sine of the angle between that length and the shaft.
    pub turn: [f64; 2],
    /// How much its walls lean, radians.
    pub lean: f64,
    /// The area by which it rests on the sand, square to the pull, mm².
    pub seat: f64,
}

impl SideCore {
    /// What is told of it, in a unit.
    pub fn text(&self, units: Units) -> String {
        let [length, width, height] = self.size.map(|side| units.near(side));
        let upper = if self.upper { "; paste or wire it in before the mould is closed" } else { "" };
        format!(
            "{}: forms what {} would hold in the {} half, by {}; {length} by {width} by {height}, of core sand; it rests by {} on the sand{upper}",
            self.name,
            names(&self.features),
            half_name(self.upper),
            units.area(self.held),
            units.area(self.seat)
        )
    }
}

/// A side core of a half while others are looked for.
pub(super) struct PlacedCore {
    column: Column,
    core: Solid,
    told: SideCore,
    /// The places that it frees, by their numbers.
    places: Vec<usize>,
}

/// What side cores of a half are made in.
struct Mould<'a> {
    /// The half as it holds without them.
    traced: &'a Traced,
    /// Places at which it is held.
    sites: &'a [Site],
    /// The whole pattern.
    outside: &'a SolidTree,
    /// Its dowels.
    dowels: &'a [P3],
}

impl<'a> LooseHalf<'a> {
    /// The half with loose pieces and, where these do not free it, side cores; or with side cores alone, where loose pieces would stand in their way
    /// and less holds so. With what is left of it as it is drawn, or `None` where that is the whole half.
    pub(super) fn freed(
        mut self,
        outside: &SolidTree,
        dowels: &[P3],
    ) -> Result<(Self, Option<Traced>), FormError> {
        let whole = Self::of(self.main.clone(), self.upper, self.settings, self.traced);
        self.part_off(dowels)?;
        let drawn = self.look_again()?;
        let left = self.core_off(drawn, outside, dowels)?;
        if self.still_held.is_empty() || self.pieces.is_empty() {
            return Ok((self, left));
        }
        let mut other: LooseHalf<'a> = whole;
        let alone = other.core_off(None, outside, dowels)?;
        let held = |half: &Self| half.still_held.iter().map(|held| held.area).sum::<f64>();
        let is_better = !other.cores.is_empty() && held(&other) < held(&self);
        Ok(if is_better { (other, alone) } else { (self, left) })
    }

    /// Gives the half side cores where it is still held, and takes back what is told of those places. Gives what is left of the half as it is drawn,
    /// or `None` where it needed none. `outside` is the whole pattern.
    fn core_off(
        &mut self,
        left: Option<Traced>,
        outside: &SolidTree,
        dowels: &[P3],
    ) -> Result<Option<Traced>, FormError> {
        let traced = left.as_ref().unwrap_or(self.traced);
        let remaining = holding(traced);
        if remaining.is_empty() {
            return Ok(left);
        }
        let mould = Mould { traced, sites: &remaining, outside, dowels };
        let mut cores = self.cores_for(&mould);
        let (mut now, mut main) = (left, self.main.solid.clone());
        while !cores.is_empty() {
            let Some(printed) = self.with_prints(&cores, dowels) else {
                cores.pop();
                continue;
            };
            let drawn = self.drawn(&printed)?;
            let held = holding(&drawn);
            let before = cores.len();
            cores.retain(|core| !held.iter().any(|site| core.column.is_at(site)));
            if cores.len() == before {
                let told = std::mem::take(&mut self.still_held).into_iter();
                self.still_held = told.filter(|told| held.iter().any(|s| self.is_told_by(s, told))).collect();
                self.tell_held(&held, &drawn.boundary);
                (now, main) = (Some(drawn), printed);
                break;
            }
        }
        self.main.solid = main;
        self.cores = cores;
        Ok(now)
    }

    /// Its side cores as pieces; pictures show them between the halves.
    pub(super) fn core_pieces(&mut self) -> Vec<(Piece, SideCore)> {
        let (apart, scale) = (self.main.apart * SHOWN, self.main.scale);
        let cores = std::mem::take(&mut self.cores).into_iter();
        cores.map(|c| (Piece { apart, ..Piece::from_solid("side core", c.core, scale) }, c.told)).collect()
    }

    /// Cores for the places of a half, apart from each other: places too near for cores of their own share one.
    fn cores_for(&self, mould: &Mould) -> Vec<PlacedCore> {
        let mut cores: Vec<PlacedCore> = Vec::new();
        for (k, site) in mould.sites.iter().enumerate() {
            if cores.iter().any(|core| core.column.covers(site)) {
                continue;
            }
            if cores.len() < MOST_CORES
                && let Some(core) = self.core_for(&[k], mould, &cores)
            {
                cores.push(core);
                continue;
            }
            for near in 0..cores.len() {
                let other = cores.remove(near);
                let places: Vec<usize> = other.places.iter().copied().chain([k]).collect();
                let shared = self.core_for(&places, mould, &cores);
                let is_shared = shared.is_some();
                cores.insert(near, shared.unwrap_or(other));
                if is_shared {
                    break;
                }
            }
        }
        cores
    }

    /// The half with the prints of cores, if that is sound and no print stands apart. Its dowels' holes are bored again: they lie in its metal.
    fn with_prints(&self, cores: &[PlacedCore], dowels: &[P3]) -> Option<Solid> {
        let mut tree = self.main.solid.tree().clone();
        let clearance = self.settings.print_clearance / self.settings.scale.radial();
        for core in cores {
            tree.add(core.column.body(|v| self.traced.half.vector(v), clearance).ok()?);
        }
        for at in dowels {
            tree.cut(dowel(self.settings, *at).ok()?);
        }
        let bodies = self.main.solid.smaller_bodies().len();
        Solid::of(tree).ok().filter(|made| made.smaller_bodies().len() <= bodies)
    }

    /// A core for some places, apart from others; `None` where there is no room, or none of the solids is sound.
    fn core_for(&self, places: &[usize], mould: &Mould, others: &[PlacedCore]) -> Option<PlacedCore> {
        let site = Site::joined(&places.iter().map(|k| &mould.sites[*k]).collect::<Vec<_>>());
        let half = &self.traced.half;
        let (base, _) = self.main.solid.brep().along(half.pull);
        let metal = |p: P3| mould.outside.contains(P3::from(half.place(p)));
        let own = |p: P3| P3::from(half.own(p.coords));
        let free = |column: &Column| {
            let other = others.iter().any(|core| core.column.meets(column, BETWEEN));
            let mut loose = self.standing.iter().flat_map(|piece| &piece.facets).flat_map(|f| f.corners);
            !other && !loose.any(|c| column.holds(own(c.p), BETWEEN))
        };
        let rooms = Column::all_for(&site, base, metal).into_iter().filter(free).take(MOST_MADE);
        rooms.flat_map(|room| OVER.map(|over| room.reaching(over))).find_map(|column| {
            let core = self.core_in(&column, mould.outside)?;
            let seat = seat_area(&core, half.pull)?;
            let told = SideCore {
                name: String::new(),
                upper: self.upper,
                features: site.features(&mould.traced.boundary),
                held: site.area,
                size: column.size(),
                turn: column.turn(),
                lean: LEAN,
                seat,
            };
            let placed = PlacedCore { column, core, told, places: places.to_vec() };
            self.with_prints(std::slice::from_ref(&placed), mould.dowels).map(|_| placed)
        })
    }

    /// The core in a room: what the pattern leaves of it, if that is of one body.
    fn core_in(&self, column: &Column, outside: &SolidTree) -> Option<Solid> {
        let mut block = SolidTree::new();
        block.add(column.body(|v| self.traced.half.vector(v), 0.0).ok()?);
        let tree = beside(block, outside);
        Solid::of(tree).ok().filter(|core| core.smaller_bodies().is_empty())
    }
}

/// The area by which a core rests on sand at its end, square to the pull; `None` where that is nothing.
fn seat_area(core: &Solid, pull: V3) -> Option<f64> {
    let [_, seat] = print_faces();
    let mesh = meshed(core).ok()?;
    let of_seat = |t: &usize| core.brep().faces[mesh.face_of[*t] as usize].tag == seat;
    let flat = |t: usize| {
        let [a, b, c] = mesh.corners(t);
        (0.5 * (b - a).cross(&(c - a))).dot(&pull)
    };
    let area: f64 = (0..mesh.triangles.len()).filter(of_seat).map(flat).sum();
    (area > DRESSED).then_some(area)
}
