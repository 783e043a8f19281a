//! The metal of a casting, measured once for all that judge its sections: exact faces, grid, lumps.

use super::CHORD;
use super::lumps::{Lump, Threshold, lumps};
use super::modulus::Modulus;
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::Casting;
use crate::standards::feeding::NECK;
use crate::standards::hot_spots::WARN_RATIO;
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;

/// A casting's metal.
pub(super) struct CastMetal<'a> {
    /// Its exact faces.
    pub(super) probe: Probe<'a>,
    /// Its metal and cooling surface on a grid.
    pub(super) grid: Modulus,
    /// Its lumps, largest ball first.
    pub(super) lumps: Vec<Lump>,
}

impl<'a> CastMetal<'a> {
    /// Measures a casting.
    ///
    /// # Errors
    /// If the casting cannot be meshed.
    pub(super) fn of(design: &Design, casting: &'a Casting) -> Result<Self, MeshError> {
        let solid = &casting.moulded.casting.solid;
        let probe = Probe::new(solid, CHORD)?;
        let grid = Modulus::new(probe.mesh());
        let wall = design.shell().thinnest().get();
        let bounds = Threshold { least: 0.5 * WARN_RATIO * wall, together: 1.0 / NECK };
        let lumps = lumps(&grid, &probe, solid.mass().volume, bounds);
        Ok(Self { probe, grid, lumps })
    }

    /// The feature that a lump lies in.
    pub(super) fn feature(&self, lump: &Lump) -> Feature {
        Feature::of(&self.probe.brep().faces[lump.face].tag)
    }

    /// The modulus of a lump, mm.
    pub(super) fn modulus(&self, lump: &Lump) -> f64 {
        self.grid.of_lump(lump.center, lump.radius)
    }
}
