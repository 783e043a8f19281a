//! How stiff the housing stands, and how fast it swings by itself, as a beam held at the gearbox face: figures without a limit.

use super::mating::Support;
use super::plain_tube::PlainTube;
use super::plane_section::PlaneSection;
use super::{Checks, Unit};
use crate::design::Design;
use crate::standards::beam::{BEAM_SOURCE, Cantilever, Slice, shearing_share};
use crate::standards::properties::{Properties, of_alloy};

/// Sections at even distances, aft from the flange.
pub(super) struct Sections<'s> {
    /// Station of the held end.
    pub(super) held: f64,
    /// Their distance, mm.
    pub(super) step: f64,
    /// Each with its station; those that are not closed are missing.
    pub(super) all: &'s [(f64, PlaneSection)],
}

impl Sections<'_> {
    /// The beam, for loads along the section's first direction or its second. The shell bears by its own tube; what stands on it
    /// is mass alone.
    fn beam(&self, design: &Design, alloy: &Properties, direction: usize) -> Option<Cantilever> {
        let elasticity = 1000.0 * alloy.elasticity;
        let shear = elasticity / (2.0 * (1.0 + alloy.poisson)) * shearing_share(alloy.poisson);
        let density = 1e-12 * design.casting().density().get();
        let slice = |(station, section): &(f64, PlaneSection)| {
            let tube = PlainTube::of(design.shell(), *station);
            let (second, area) =
                tube.map_or((section.second[direction], section.area), |t| (t.second(), t.area()));
            Slice {
                station: station - self.held,
                length: self.step,
                bending: elasticity * second,
                shear: shear * area,
                mass: density * section.area,
            }
        };
        Cantilever::new(self.all.iter().map(slice).collect())
    }
}

/// The figures: lift of each mount, of the old housing's mount if it is known, and the lowest frequency.
pub(super) fn figures(
    design: &Design,
    supports: &[Support<'_>],
    sections: &Sections<'_>,
    out: &mut Checks,
) -> Result<(), String> {
    let alloy = of_alloy(design.casting().alloy()).map_err(|e| e.to_string())?;
    let beam = |direction| {
        sections.beam(design, alloy, direction).ok_or("no section of the housing is closed on the mesh")
    };
    let (across, up) = (beam(0)?, beam(1)?);
    let from = "as a beam held at the gearbox face, without bending of walls";
    for support in supports {
        let what = format!("stiffness at {}, up", support.feature);
        let stiffness = 1.0 / up.compliance(support.station - sections.held);
        out.driveline.add("housing", &what, stiffness, Unit::NewtonPerMm, format!("{from}; {BEAM_SOURCE}"));
    }
    let old = design.vehicle().donor.as_ref().and_then(|donor| donor.mount_station);
    if let (Some(old), Some(support)) = (old, supports.last()) {
        let [new, old] = [support.station, old.get()].map(|station| station - sections.held);
        if old > 0.0 && new > 0.0 {
            let softer = up.stretched(old / new).compliance(old) / up.compliance(new);
            let note =
                "as many times as stiff as an old housing of the same sections, stretched to its own mount";
            out.driveline.add("housing", "stiffness against the old one's", softer, Unit::One, note);
        }
    }
    let lowest = across.first_frequency().min(up.first_frequency());
    let note = format!("by itself, {from}: nothing is fastened to it; {BEAM_SOURCE}");
    out.driveline.add("housing", "lowest frequency of bending", lowest, Unit::Hertz, note);
    Ok(())
}
