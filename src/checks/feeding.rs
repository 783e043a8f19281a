//! Feeding and gating: a recommendation from the casting's lumps. It is no verdict, and the foundry decides.

use super::cast_metal::CastMetal;
use super::lumps::Lump;
use super::names;
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::Casting;
use crate::standards::core_prints::molten_density;
use crate::standards::feeding::{CHILL, Feeder, REACH};
use crate::standards::gating::{
    DISCHARGE, HEAD, Ratio, SHARE, choke_area, fall, mean_head, pouring_time, ratio_for, sprue_top,
};
use solidwright::geometry::P3;
use solidwright::mesh::MeshError;

/// Depth of the metal in the pouring basin over the sprue, mm (practice, no source).
const TOP: f64 = 50.0;

/// A lump that wants a feeder, or a chill.
#[derive(Clone, Debug, PartialEq)]
pub struct FedLump {
    /// The feature that it lies in.
    pub feature: Feature,
    /// The face nearest to its middle.
    pub face: String,
    /// Its middle.
    pub at: P3,
    /// Diameter of the largest ball in it, mm.
    pub ball: f64,
    /// Volume over cooling surface about it, mm.
    pub modulus: f64,
    /// Volume of the metal that it feeds, its own with it, mm³.
    pub volume: f64,
    /// The longest way through metal from it to that metal, mm.
    pub farthest: f64,
    /// The feature of the larger lump next to it, and the thickness of the metal between both, mm.
    pub towards: Option<(Feature, f64)>,
    /// Its feeder.
    pub feeder: Feeder,
    /// Thickness of an iron chill in the feeder's place, least and greatest, mm.
    pub chill: [f64; 2],
}

/// How the mould is poured; lengths in mm, areas in mm².
#[derive(Clone, Debug, PartialEq)]
pub struct Gating {
    /// Time, s.
    pub time: f64,
    /// Wall that the time is taken for.
    pub wall: f64,
    /// Height of the casting over the parting plane, and its whole height in the mould.
    pub heights: [f64; 2],
    /// Height of the metal in the sprue over the gates, and its mean while the mould fills.
    pub heads: [f64; 2],
    /// The narrowest area.
    pub choke: f64,
    /// The ratio of areas.
    pub ratio: Ratio,
    /// Areas of the sprue's foot, of all runners, of all gates.
    pub areas: [f64; 3],
    /// Area of the sprue's top.
    pub top: f64,
    /// Mean speed in the gates, m/s.
    pub gate_speed: f64,
}

/// The recommendation. Masses in kg.
#[derive(Clone, Debug, PartialEq)]
pub struct Feeding {
    /// Lumps, largest ball first.
    pub lumps: Vec<FedLump>,
    /// How far a feeder feeds the shell's wall from its own edge, mm.
    pub reach: f64,
    /// Mass of the casting.
    pub casting: f64,
    /// Mass of the feeders.
    pub feeders: f64,
    /// Mass of everything poured, sprue, runners and gates with it.
    pub poured: f64,
    /// How it is poured.
    pub gating: Gating,
}

impl Feeding {
    /// The casting's share of the metal poured.
    pub fn yielded(&self) -> f64 {
        self.casting / self.poured
    }
}

/// Feeders, chills and gates for a casting.
///
/// # Errors
/// If the casting cannot be meshed.
pub fn feeding(design: &Design, casting: &Casting) -> Result<Feeding, MeshError> {
    Ok(advice(design, casting, &CastMetal::of(design, casting)?))
}

/// The same of metal that is measured already.
pub(super) fn advice(design: &Design, casting: &Casting, metal: &CastMetal) -> Feeding {
    let solid = &casting.moulded.casting.solid;
    let wall = design.shell().thinnest().get();
    let found = &metal.lumps;
    let family = casting.settings.family;
    let one = |lump: &Lump| {
        let modulus = metal.modulus(lump);
        FedLump {
            feature: metal.feature(lump),
            face: names(metal.probe.brep(), [lump.face]).concat(),
            at: lump.center,
            ball: 2.0 * lump.radius,
            modulus,
            volume: lump.volume,
            farthest: lump.farthest,
            towards: lump.towards.map(|(other, radius)| (metal.feature(&found[other]), 2.0 * radius)),
            feeder: Feeder::of(modulus, lump.volume, family),
            chill: CHILL.map(|share| share * 2.0 * lump.radius),
        }
    };
    let lumps: Vec<FedLump> = found.iter().map(one).collect();
    let kilograms = |volume: f64| design.casting().mass(volume);
    let mass = kilograms(solid.mass().volume);
    let feeders = kilograms(lumps.iter().map(|lump| lump.feeder.volume).sum());
    let poured = (mass + feeders) * (1.0 + SHARE);
    let gating = gating_for(casting, poured, wall);
    Feeding { lumps, reach: REACH * wall, casting: mass, feeders, poured, gating }
}

/// Gates at the parting plane for a poured mass in kg and a wall in mm.
pub fn gating_for(casting: &Casting, poured: f64, wall: f64) -> Gating {
    let settings = &casting.settings;
    let up = settings.up;
    let (low, high) = casting.moulded.casting.solid.brep().along(up);
    let (low, high) = (low.min(0.0), high.max(0.0));
    let sprue = high + HEAD;
    let head = mean_head(sprue, high, high - low);
    let time = pouring_time(settings.family, poured, wall);
    let density = molten_density(settings.family);
    let choke = choke_area(poured, density, time, head, DISCHARGE);
    let rate = poured / (density * time);
    let ratio = ratio_for(settings.family, choke, rate);
    let areas = ratio.around(choke);
    Gating {
        time,
        wall,
        heights: [high, high - low],
        heads: [sprue, head],
        choke,
        ratio,
        areas,
        top: sprue_top(areas[0], sprue, TOP),
        gate_speed: (rate / (areas[2] * 1e-6)).min(fall(sprue)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::housing;

    fn advice(text: &str) -> (Casting, Feeding) {
        let design = Design::of_text(text);
        let finished = housing::build(&design).expect("a part");
        let casting = crate::forms::casting(&design, &finished).expect("a casting");
        let advised = feeding(&design, &casting).expect("advice");
        (casting, advised)
    }

    /// The lumps share all metal of the casting, and what leaves the choke in the pouring time is what is poured.
    #[test]
    fn the_sum_adds_up() {
        let (casting, advised) = advice(include_str!("../../params/solid_pads.yaml"));
        assert!(!advised.lumps.is_empty());
        let all: f64 = advised.lumps.iter().map(|l| l.volume).sum();
        let volume = casting.moulded.casting.solid.mass().volume;
        assert!((all - volume).abs() < 1e-9 * volume, "{all} mm³ of {volume}");
        assert!(advised.yielded() > 0.1 && advised.yielded() < 0.9, "{advised:?}");
        assert!(advised.poured > advised.casting + advised.feeders);
        for lump in &advised.lumps {
            assert!(lump.modulus > 0.0 && lump.modulus <= 0.5 * lump.ball, "{lump:?}");
            assert!(lump.towards.is_none_or(|(_, neck)| neck < lump.ball), "{lump:?}");
        }
        let gating = &advised.gating;
        let speed = DISCHARGE * fall(gating.heads[1]);
        let passed = molten_density(casting.settings.family) * gating.choke * 1e-6 * speed * gating.time;
        assert!((passed - advised.poured).abs() < 1e-9 * advised.poured, "{passed} kg of {}", advised.poured);
        assert!(gating.gate_speed <= crate::standards::gating::GATE_SPEED * (1.0 + 1e-9), "{gating:?}");
        assert!((gating.areas[1] / gating.areas[0] - 2.0).abs() < 1e-9);
    }
}
