//! Feeders, necks, chills, chaplets and gating as solids: the recommendation of [`crate::checks::Feeding`], placed where there is room.
//!
//! Feeders stand upright on the parting plane, beside the casting, and reach over its highest place. What no feeder on the plane reaches gets a
//! chill against its face in the mould; where that is far from every feeder, a further one stands beside the wall under it, and else its feed metal
//! is counted to the nearest. Runners lie beside the casting in the lower half of the mould, gates over them in the upper half, and the
//! sprue stands at the runners' rear end. All of it is a picture of the recommendation: the foundry decides.
//!
//! Holds afterwards: nothing placed lies in the casting, in the prints, or in something else placed; weights are those of the solids drawn.
//! Does not promise: the best place, only one that has room; directional freezing is not computed.

mod bodies;
mod chaplets;
mod chills;
mod contacts;
mod feeders;
mod footprint;
mod gates;
#[cfg(test)]
mod tests;

use crate::checks::{Feeding, Gating, gating_for};
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::{Casting, FormError, chaplets_needed, pattern_outside};
use crate::standards::feeding::Feeder;
use crate::standards::materials::Family;
pub use chaplets::PlacedChaplet;
use contacts::{Contact, contacts};
use footprint::Footprint;
use solidwright::geometry::{Bounds, P2, P3, V2, V3};
use solidwright::mesh::{Mesh, MeshError, triangulate};
use solidwright::solid::{PrimitiveError, Solid, SolidError, SolidTree};

/// Chord error of the casting's mesh in which places are looked for, mm.
const CHORD: f64 = 0.2;

/// How deep below the parting plane the casting's metal counts as in the way of what stands there, mm.
const DEEP: f64 = 45.0;

/// Sand between what is placed and the casting, its prints and everything else placed, mm (practice, no source).
const SAND: f64 = 12.0;

/// How far the top of a feeder stands over the casting's highest place, mm: metal feeds downwards only (practice, no source).
const OVER: f64 = 15.0;

/// How often the gating is sized anew by the metal that it adds itself.
const ROUNDS: usize = 4;

/// Why nothing can be placed.
#[derive(Clone, Debug, thiserror::Error)]
pub enum RiggingError {
    /// The casting cannot be meshed.
    #[error("casting: {0}")]
    Mesh(#[from] MeshError),
    /// The pattern's outside cannot be told.
    #[error(transparent)]
    Form(#[from] Box<FormError>),
    /// A body is impossible.
    #[error("{0}")]
    Shape(#[from] PrimitiveError),
    /// A body has no valid boundary.
    #[error("{0}")]
    Solid(#[from] Box<SolidError>),
}

/// A feeder with its neck, as it stands.
#[derive(Clone, Debug)]
pub struct StandingFeeder {
    /// The lumps that its neck is at, by their number in the recommendation.
    pub feeds: Vec<usize>,
    /// Lumps with a chill, or with nothing, whose feed metal is counted to it.
    pub counted: Vec<usize>,
    /// Its size, of the modulus and the feed metal of all of these.
    pub feeder: Feeder,
    /// Whether there is room for the whole of it; otherwise it is sized for the lumps at its neck only.
    pub whole: bool,
    /// Where its axis meets the parting plane.
    pub at: P3,
    /// Where the neck meets the casting.
    pub contact: P3,
    /// Length of the neck from there to the feeder, mm.
    pub neck: f64,
    /// How far it reaches below the parting plane, mm.
    pub below: f64,
}

/// An iron chill against the casting.
#[derive(Clone, Debug)]
pub struct PlacedChill {
    /// Its lump, by its number in the recommendation.
    pub lump: usize,
    /// The middle of its face on the casting.
    pub at: P3,
    /// Away from the metal.
    pub normal: V3,
    /// Diameter, mm.
    pub diameter: f64,
    /// Thickness, mm.
    pub thickness: f64,
}

/// Sprue, runners and gates, as they are drawn. Lengths in mm.
#[derive(Clone, Debug)]
pub struct GatingSystem {
    /// Where the sprue's axis meets the parting plane.
    pub sprue: P3,
    /// Diameters of the sprue at its foot and at its top.
    pub diameters: [f64; 2],
    /// Number of runners along the shaft: on one side of it or on both.
    pub runners: usize,
    /// Width and depth of the runners.
    pub runner: [f64; 2],
    /// Where each gate meets the casting.
    pub gates: Vec<P3>,
    /// Width and thickness of each gate.
    pub gate: [f64; 2],
}

impl GatingSystem {
    /// Area of all gates together, mm².
    pub fn gate_area(&self) -> f64 {
        self.gates.len() as f64 * self.gate[0] * self.gate[1]
    }
}

/// A solid that is placed.
#[derive(Clone, Debug)]
pub struct RiggingBody {
    /// For people: `feeder 1`.
    pub name: String,
    /// Its solid.
    pub solid: Solid,
    /// Whether it is poured: everything but chills and chaplets.
    pub poured: bool,
    /// Its volume outside the casting and outside other bodies, mm³.
    pub volume: f64,
}

/// What stands about the casting in its mould, and the metal it takes. Masses in kg.
#[derive(Clone, Debug)]
pub struct Rigging {
    /// Feeders, in the order of the lumps.
    pub feeders: Vec<StandingFeeder>,
    /// Chills.
    pub chills: Vec<PlacedChill>,
    /// Chaplets that hold the core.
    pub chaplets: Vec<PlacedChaplet>,
    /// Stations at which one is needed and no plain wall is, mm.
    pub unheld: Vec<f64>,
    /// Lumps that get neither, by their number.
    pub left: Vec<usize>,
    /// Sprue, runners and gates, if there is room.
    pub gates: Option<GatingSystem>,
    /// How it is poured: sized by the metal counted here.
    pub gating: Gating,
    /// All solids.
    pub bodies: Vec<RiggingBody>,
    /// Mass of the casting.
    pub casting: f64,
    /// Mass of the feeders and their necks.
    pub fed: f64,
    /// Mass of sprue, basin, runners and gates.
    pub gated: f64,
}

impl Rigging {
    /// Mass of all metal poured.
    pub fn poured(&self) -> f64 {
        self.casting + self.fed + self.gated
    }

    /// The casting's share of it.
    pub fn yielded(&self) -> f64 {
        self.casting / self.poured()
    }
}

/// Directions in the mould: along the shaft and across it in the parting plane, and up.
#[derive(Clone, Copy, Debug)]
struct Parting {
    up: V3,
    across: V3,
}

impl Parting {
    /// Along the shaft, and across it.
    fn flat(&self, p: P3) -> P2 {
        P2::new(p.x, p.coords.dot(&self.across))
    }

    /// Height over the parting plane.
    fn height(&self, p: P3) -> f64 {
        p.coords.dot(&self.up)
    }

    /// A place over the plane.
    fn place(&self, at: P2, height: f64) -> P3 {
        P3::from(self.direction(at.coords) + self.up * height)
    }

    /// A direction in the plane.
    fn direction(&self, d: V2) -> V3 {
        V3::x() * d.x + self.across * d.y
    }
}

/// Where things are placed.
struct Site<'a> {
    parting: Parting,
    casting: &'a SolidTree,
    mesh: &'a Mesh,
    contacts: Vec<Contact>,
    pattern: SolidTree,
    draft: f64,
    family: Family,
    /// Height of the casting over the parting plane.
    high: f64,
}

/// Places feeders, chills and gates about a casting.
///
/// # Errors
/// See [`RiggingError`].
pub fn rigging(design: &Design, casting: &Casting, advised: &Feeding) -> Result<Rigging, RiggingError> {
    let settings = &casting.settings;
    let solid = &casting.moulded.casting.solid;
    let parting = Parting { up: settings.up, across: settings.across() };
    let mesh = triangulate(solid, CHORD)?;
    let pattern = pattern_outside(casting).map_err(Box::new)?;
    let prints =
        pattern.steps().iter().map(|s| &s.primitive).filter(|p| Feature::of_body(p) == Feature::CorePrint);
    let prints: Vec<Bounds> = prints.map(|p| *p.bounds()).collect();
    let empty = Footprint::of(&mesh, &prints, parting, DEEP);
    let site = Site {
        parting,
        casting: solid.tree(),
        mesh: &mesh,
        contacts: contacts(&mesh, solid.brep(), parting, &empty),
        pattern,
        draft: settings.draft,
        family: settings.family,
        high: advised.gating.heights[0],
    };
    let mut taken = empty.clone();
    let placed = feeders::place(&site, advised, &empty, &mut taken);
    let mut bodies = Vec::new();
    for (k, feeder) in placed.feeders.iter().enumerate() {
        bodies.push(bodies::feeder(k + 1, feeder, &site)?);
    }
    let kilograms = |volume: f64| design.casting().mass(volume);
    // From nought on: the sum of no volumes would be minus nought.
    let weight = |of: &[RiggingBody]| kilograms(of.iter().fold(0.0, |sum, b| sum + b.volume));
    let fed = weight(&bodies);
    let metal = advised.casting + fed;
    // The gating adds metal that has to be poured through it.
    let (mut gating, mut system) = (gating_for(casting, metal, advised.gating.wall), None);
    for _ in 0..ROUNDS {
        system = gates::lay(&site, &gating, &taken);
        let own = system.as_ref().map_or(0.0, |laid| kilograms(laid.volume()));
        gating = gating_for(casting, metal + own, advised.gating.wall);
    }
    let before = bodies.len();
    if let Some(laid) = &system {
        bodies.extend(laid.bodies(&site)?);
    }
    let gated = weight(&bodies[before..]);
    for (k, chill) in placed.chills.iter().enumerate() {
        bodies.push(bodies::chill(k + 1, chill)?);
    }
    // What is wrong with a core is told with the core.
    let needed = chaplets_needed(casting).unwrap_or_default();
    let (chaplets, unheld) = chaplets::place(&site, casting, &needed);
    for (k, chaplet) in chaplets.iter().enumerate() {
        bodies.push(chaplet.body(k + 1)?);
    }
    Ok(Rigging {
        chaplets,
        unheld,
        feeders: placed.feeders,
        chills: placed.chills,
        left: placed.left,
        gates: system.map(|laid| laid.told(&site)),
        gating,
        bodies,
        casting: advised.casting,
        fed,
        gated,
    })
}
