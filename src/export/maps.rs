//! Maps of thickness: a solid's surface in small triangles, coloured, as PLY.

use crate::checks::{self, hot_spot_map, modulus_map, thickness_map};
use crate::design::Design;
use crate::forms::Casting;
use solidwright::export::ply;
use solidwright::geometry::P3;
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;
use solidwright::solid::Solid;

/// Longest side of the triangles of a casting's maps, mm.
const SIDE: f64 = 4.0;

/// Prepares a solid for measurements.
///
/// # Errors
/// Where it has no mesh.
pub fn probe(solid: &Solid) -> Result<Probe<'_>, MeshError> {
    Probe::new(solid, checks::CHORD)
}

/// Wall thickness: red to 3 mm, over yellow and green, to blue from 10 mm; grey where there is no wall.
pub fn walls(probe: &Probe) -> Vec<u8> {
    let shares = thickness_map(probe).into_iter().map(|(t, wall)| (t, wall.map(|w| (w - 3.0) / 7.0)));
    coloured(shares, "wall thickness by ball: red 3 mm and less, blue 10 mm and more, grey no wall")
}

/// What is drawn of a casting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CastingMap {
    /// The largest ball in the metal.
    HotSpots,
    /// Metal over cooling surface.
    Modulus,
}

impl CastingMap {
    /// The map of a casting, from four walls down to one.
    ///
    /// # Errors
    /// Where the casting has no mesh.
    pub fn of(self, design: &Design, casting: &Casting) -> Result<Vec<u8>, MeshError> {
        let probe = probe(&casting.moulded.casting.solid)?;
        let wall = design.shell().thinnest().get();
        let (map, about) = match self {
            Self::HotSpots => (
                hot_spot_map(&probe, wall, SIDE),
                "largest ball in the casting: red 4 walls and more, blue 1 wall and less",
            ),
            Self::Modulus => (
                modulus_map(&probe, wall, SIDE),
                "modulus of the casting: red 4 times the wall's and more, blue the wall's and less",
            ),
        };
        let share = |(t, walls): ([P3; 3], Option<f64>)| (t, walls.map(|w| (4.0 - w) / 3.0));
        Ok(coloured(map.into_iter().map(share), about))
    }
}

/// Small triangles by shares: red at 0, over yellow and green, to blue at 1; grey where there is none.
fn coloured(shares: impl Iterator<Item = ([P3; 3], Option<f64>)>, about: &str) -> Vec<u8> {
    let coloured: Vec<_> = shares.map(|(t, share)| (t, share.map_or([190, 190, 190], shade))).collect();
    ply(&coloured, about)
}

fn shade(share: f64) -> [u8; 3] {
    let share = share.clamp(0.0, 1.0);
    let ramp = |center: f64| ((1.5 - (share * 3.0 - center).abs() * 1.5).clamp(0.0, 1.0) * 255.0) as u8;
    [ramp(0.25), ramp(1.5), ramp(2.75)]
}
