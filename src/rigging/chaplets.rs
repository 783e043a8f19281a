//! Chaplets: spools of metal that hold a core off the wall of its mould where its prints alone do not. They stay in the casting.
//!
//! How many, where along the core and for which force each tells [`chaplets_needed`]; here each gets its place about that station
//! where the metal is a plain wall. Sizes are practice from memory: no table with a source was at hand.

use std::f64::consts::PI;

use super::{RiggingBody, RiggingError, Site};
use crate::faces::{Feature, Role};
use crate::forms::{Chaplet, core_radius};
use crate::standards::core_prints::SAND_BEARING;
use solidwright::geometry::{Bounds, Frame, P3, V3};
use solidwright::solid::{Solid, SolidTree, cylinder};

/// Least diameter of a head, its thickness, and the stem's diameter, mm (practice, from memory).
const LEAST_HEAD: f64 = 14.0;
const HEAD: f64 = 1.5;
const STEM: f64 = 5.0;

/// How far to either side along the shaft a place is looked for, and the step, mm.
const ASIDE: f64 = 30.0;
const STEP: f64 = 2.0;

/// Least and greatest wall that a chaplet bridges, mm.
const WALL: (f64, f64) = (3.0, 30.0);

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
    /// A chaplet as near to its station as there is a plain wall between core and mould, clear of `raised` letters; `None` where there is none.
    fn of(site: &Site, raised: &[Bounds], radius: impl Fn(f64) -> f64, need: &Chaplet) -> Option<Self> {
        let outwards = site.parting.up * if need.on_top { 1.0 } else { -1.0 };
        let head = (4.0 * need.force / (PI * SAND_BEARING)).sqrt().max(LEAST_HEAD);
        let steps = (0..).map(|k| STEP * f64::from(k)).take_while(|aside| *aside <= ASIDE);
        steps.flat_map(|aside| [aside, -aside]).find_map(|aside| {
            let station = need.station + aside;
            let at = P3::new(station, 0.0, 0.0) + outwards * radius(station);
            let wall = wall(site, at, outwards)?;
            let beside = [-0.5 * head, 0.5 * head].map(|x| V3::x() * x);
            let plain = |d: &V3| site.casting.contains(at + d + outwards * (0.5 * wall));
            let free = |d: &V3| !site.pattern.contains(at + d + outwards * (wall + WALL.0));
            let foot = at + outwards * wall;
            let bare = raised.iter().all(|mark| mark.distance(foot) > 0.5 * head + WALL.0);
            let fits = bare && beside.iter().all(plain) && beside.iter().all(free);
            let Chaplet { force, on_top, .. } = *need;
            fits.then_some(Self { force, on_top, at, outwards, wall, head })
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

/// The wall over a place of the core, mm.
fn wall(site: &Site, at: P3, outwards: V3) -> Option<f64> {
    const FINE: f64 = 0.25;
    let metal = |height: f64| site.casting.contains(at + outwards * height);
    // The core leans by its draft, so its wall may begin a little off.
    let heights = || (0..).map(|k| FINE * f64::from(k)).take_while(|h| *h < WALL.1);
    let from = heights().find(|h| metal(*h)).filter(|h| *h < WALL.0)?;
    let to = heights().find(|h| *h > from && !metal(*h))?;
    (to > WALL.0).then_some(to)
}

/// All chaplets that a core needs, those that have a place, and the stations of the others.
pub(super) fn place(
    site: &Site,
    casting: &crate::forms::Casting,
    needed: &[Chaplet],
) -> (Vec<PlacedChaplet>, Vec<f64>) {
    let radius = |station: f64| core_radius(casting, station);
    let brep = casting.moulded.casting.solid.brep();
    let marks = (0..brep.faces.len()).filter(|f| Feature::of(&brep.faces[*f].tag) == Feature::Marks);
    let raised: Vec<Bounds> = marks.map(|face| brep.bounds_of([face])).collect();
    let (mut placed, mut left) = (Vec::new(), Vec::new());
    for need in needed {
        match PlacedChaplet::of(site, &raised, radius, need) {
            Some(chaplet) => placed.push(chaplet),
            None => left.push(need.station),
        }
    }
    (placed, left)
}
