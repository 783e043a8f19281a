//! Chaplets: spools of metal that hold a core off the wall of its mould where its prints alone do not. They stay in the casting.
//!
//! How many, where along the core and for which force each tells [`chaplets_needed`]; here each gets its place about that station
//! where the metal is a plain wall that stays as cast: no cutter may run into it, and under both heads lies nothing but that wall. Sizes
//! are practice from memory: no table with a source was at hand.

use std::f64::consts::{PI, TAU};

use super::{RiggingBody, RiggingError, Site};
use crate::faces::{Feature, Role};
use crate::forms::{Casting, Chaplet, core_radius};
use crate::standards::core_prints::SAND_BEARING;
use solidwright::geometry::{Bounds, Frame, P3, V3};
use solidwright::probe::TriangleTree;
use solidwright::solid::{BrepFace, Finish, Solid, SolidTree, cylinder};

/// Least diameter of a head, its thickness, and the stem's diameter, mm (practice, from memory).
const LEAST_HEAD: f64 = 14.0;
const HEAD: f64 = 1.5;
const STEM: f64 = 5.0;

/// How far to either side along the shaft a place is looked for, and the step, mm.
const ASIDE: f64 = 30.0;
const STEP: f64 = 2.0;

/// Least and greatest wall that a chaplet bridges, mm.
const WALL: (f64, f64) = (3.0, 30.0);

/// Places about the rim of a head at which the wall is looked at, and by how much it may be thicker or thinner there: what a head that is bent
/// by hand follows, mm (practice, no source).
const RIM: u32 = 16;
const UNEVEN: f64 = 1.0;

/// A chaplet where it stands.
#[derive(Clone, Debug)]
pub struct PlacedChaplet {
    /// What it must bear, N.
    pub force: f64,
    /// Whether it stands on the core; otherwise under it.
    pub on_top: bool,
    /// Where its stem meets the core.
    pub at: P3,
    /// Along its stem, from the core to the mould.
    pub outwards: V3,
    /// Length of its stem: the wall there, mm.
    pub wall: f64,
    /// Diameter of its heads, mm.
    pub head: f64,
}

impl PlacedChaplet {
    /// A chaplet as near to its station as there is a plain wall between core and mould under all of both heads, clear of `raised` letters;
    /// `None` where there is none.
    fn of(wall: &Wall, raised: &[Bounds], need: &Chaplet) -> Option<Self> {
        let outwards = wall.site.parting.up * if need.on_top { 1.0 } else { -1.0 };
        let head = (4.0 * need.force / (PI * SAND_BEARING)).sqrt().max(LEAST_HEAD);
        let steps = (0..).map(|k| STEP * f64::from(k)).take_while(|aside| *aside <= ASIDE);
        steps.flat_map(|aside| [aside, -aside]).find_map(|aside| {
            let station = need.station + aside;
            let at = P3::new(station, 0.0, 0.0) + outwards * wall.radius(station);
            let thick = wall.over(at, outwards)?;
            let foot = at + outwards * thick;
            let bare = raised.iter().all(|mark| mark.distance(foot) > 0.5 * head + WALL.0);
            let fits = bare && wall.is_plain(station, outwards, thick, 0.5 * head);
            let Chaplet { force, on_top, .. } = *need;
            fits.then_some(Self { force, on_top, at, outwards, wall: thick, head })
        })
    }

    /// Its solid: a stem between two heads, one on the core and one against the mould.
    pub(super) fn body(&self, number: usize) -> Result<RiggingBody, RiggingError> {
        let tag = Feature::Rigging.formed(Role::Chaplet(number));
        let frame = |height: f64| Frame::from_zx(self.at + self.outwards * height, self.outwards, V3::x());
        let disc = |height: f64, diameter: f64, long: f64| {
            let tags = [tag.clone(), tag.clone(), tag.clone()];
            cylinder(Feature::Rigging.name(), frame(height), 0.5 * diameter, long, &tags)
        };
        let mut tree = SolidTree::new();
        tree.add(disc(0.0, STEM, self.wall)?);
        tree.add(disc(-0.5 * HEAD, self.head, HEAD)?);
        tree.add(disc(self.wall - 0.5 * HEAD, self.head, HEAD)?);
        let solid = Solid::of(tree).map_err(|e| RiggingError::Solid(Box::new(e)))?;
        let volume = solid.mass().volume;
        Ok(RiggingBody { name: format!("chaplet {number}"), solid, poured: false, volume })
    }
}

/// The casting's wall, between core and mould.
struct Wall<'a> {
    site: &'a Site<'a>,
    casting: &'a Casting,
    faces: &'a [BrepFace],
    triangles: TriangleTree,
}

/// What a ray meets at both ends of the wall: the features of the faces there, and how thick it is, mm.
type Across = ([Feature; 2], f64);

impl<'a> Wall<'a> {
    fn of(site: &'a Site<'a>, casting: &'a Casting) -> Self {
        let count = site.mesh.triangles.len();
        let triangles = TriangleTree::new((0..count).map(|t| site.mesh.corners(t)).collect());
        Self { site, casting, faces: &casting.moulded.casting.solid.brep().faces, triangles }
    }

    /// Radius of the core at a station.
    fn radius(&self, station: f64) -> f64 {
        core_radius(self.casting, station)
    }

    /// The wall over a place of the core, mm.
    fn over(&self, at: P3, outwards: V3) -> Option<f64> {
        const FINE: f64 = 0.25;
        let metal = |height: f64| self.site.casting.contains(at + outwards * height);
        // The core leans by its draft, so its wall may begin a little off.
        let heights = || (0..).map(|k| FINE * f64::from(k)).take_while(|h| *h < WALL.1);
        let from = heights().find(|h| metal(*h)).filter(|h| *h < WALL.0)?;
        let to = heights().find(|h| *h > from && !metal(*h))?;
        (to > WALL.0).then_some(to)
    }

    /// What a way across the wall meets at its ends, from the middle of the metal; `None` where that is no metal, or a face at either end is
    /// machined, so that its cutter would run into the chaplet, or a fillet, on which no head lies.
    fn across(&self, middle: P3, outwards: V3) -> Option<Across> {
        if !self.site.casting.contains(middle) {
            return None;
        }
        let meet = |way: V3| {
            let (triangle, distance) = self.triangles.first(middle, way, 0.0, |_| true)?;
            let tag = &self.faces[self.site.mesh.face_of[triangle] as usize].tag;
            let plain = tag.finish == Finish::Formed && !Role::of(tag).is_fillet();
            plain.then(|| (Feature::of(tag), distance))
        };
        let ((inner, down), (outer, up)) = (meet(-outwards)?, meet(outwards)?);
        Some(([inner, outer], down + up))
    }

    /// Whether the wall lies between both heads all over: bounded by the same features as in the middle, as cast, as thick, and with the
    /// mould's sand beyond. A head is bent to the round of core and mould, so places to its sides are turned about the shaft.
    fn is_plain(&self, station: f64, outwards: V3, thick: f64, reach: f64) -> bool {
        let sideways = outwards.cross(&V3::x());
        let at = |along: f64, across: f64| {
            let radius = self.radius(station + along);
            let turn = across / radius.max(reach);
            let way = outwards * turn.cos() + sideways * turn.sin();
            let foot = P3::new(station + along, 0.0, 0.0) + way * radius;
            let beyond = foot + way * (thick + WALL.0);
            let found = self.across(foot + way * (0.5 * thick), way)?;
            (!self.site.pattern.contains(beyond)).then_some(found)
        };
        let Some((features, middle)) = at(0.0, 0.0) else { return false };
        let rim = |k: u32| {
            let (sin, cos) = (TAU * f64::from(k) / f64::from(RIM)).sin_cos();
            at(reach * cos, reach * sin)
        };
        let alike = |found: Option<Across>| {
            found.is_some_and(|(own, thick)| own == features && (thick - middle).abs() < UNEVEN)
        };
        // A head wider than the core has nothing to lie on.
        reach <= self.radius(station) && (0..RIM).all(|k| alike(rim(k)))
    }
}

/// All chaplets that a core needs, those that have a place, and the stations of the others.
pub(super) fn place(site: &Site, casting: &Casting, needed: &[Chaplet]) -> (Vec<PlacedChaplet>, Vec<f64>) {
    if needed.is_empty() {
        return (vec![], vec![]);
    }
    let wall = Wall::of(site, casting);
    let brep = casting.moulded.casting.solid.brep();
    let marks = (0..brep.faces.len()).filter(|f| Feature::of(&brep.faces[*f].tag) == Feature::Marks);
    let raised: Vec<Bounds> = marks.map(|face| brep.bounds_of([face])).collect();
    let (mut placed, mut left) = (Vec::new(), Vec::new());
    for need in needed {
        match PlacedChaplet::of(&wall, &raised, need) {
            Some(chaplet) => placed.push(chaplet),
            None => left.push(need.station),
        }
    }
    (placed, left)
}
