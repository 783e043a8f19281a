//! The core that forms the cavity, with what bears on its prints.

use super::core_beam::{Chaplet, CoreBeam};
use super::prints::{Prints, cored, prints, radius_at};
use super::split::block;
use super::{Casting, FormError, FormPieces, Piece, Settings, shape};
use crate::faces::{Feature, Role};
use crate::standards::core_prints::{buoyancy, core_lift, molten_density};
use crate::units::Mm;
use crate::words::place;
use solidwright::geometry::{Bounds, Frame, P3, V3};
use solidwright::solid::{PrimitiveError, Solid, SolidTree, cylinder};
use std::collections::BTreeSet;

/// The core: the cavity and all other cored hollows, with prints and a vent.
///
/// # Errors
/// See [`FormError`].
pub fn core(casting: &Casting) -> Result<FormPieces, FormError> {
    let made = shape("core");
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(&made)?;
    let settings = &casting.settings;
    // The lift is that of the core without its vent, because no metal enters the vent.
    let solid = unvented(casting, &prints)?;
    let load = Load::of(casting, &prints, solid.solid.mass().volume)?;
    let mut notes = vec![load.text(settings)];
    notes.extend(load.beam(casting, &prints).map(|beam| beam.text(settings)));
    if let Some(end) = prints.missing {
        notes.push(format!(
            "NO PRINT at the {end}: no cored hole reaches there, so the core hangs on its other prints; core a bore there \
             (`casting.stock.cored_above`) or hold it with chaplets"
        ));
    }
    if settings.vent <= 0.0 {
        return Ok(FormPieces::new(vec![solid.clone()], notes));
    }
    let span = solid.solid.brep().bounds().min.x - 50.0;
    let tag = Feature::Core.formed(Role::Vent);
    let frame = Frame::from_zx(P3::new(span, 0.0, 0.0), V3::x(), V3::z());
    let length = 2.0 * reach(casting) + 100.0;
    let radius = 0.5 * settings.vent / settings.scale.radial();
    let mut tree = solid.solid.tree().clone();
    tree.cut(
        cylinder(Feature::Core.name(), frame, radius, length, &[tag.clone(), tag.clone(), tag])
            .map_err(&made)?,
    );
    notes.push(format!(
        "vent of {} along the shaft; carry it out through both prints",
        settings.units.alone(Mm::new(settings.vent))
    ));
    Ok(FormPieces::new(vec![Piece::of("core", tree, settings.scale)?.whole()?], notes))
}

/// The chaplets that a casting's core needs, in the order of their stations; none where its prints hold it.
///
/// # Errors
/// If there is no core.
pub fn chaplets_needed(casting: &Casting) -> Result<Vec<Chaplet>, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let solid = unvented(casting, &prints)?;
    let load = Load::of(casting, &prints, solid.solid.mass().volume)?;
    Ok(load.beam(casting, &prints).map_or_else(Vec::new, |beam| beam.needed()))
}

/// Radius of the round part of a casting's core at a station, mm; zero where there is none.
pub fn core_radius(casting: &Casting, station: f64) -> f64 {
    cored(&casting.moulded).filter_map(|p| radius_at(p, station)).fold(0.0, f64::max)
}

/// Pressure of the core on its prints in megapascals: the larger of its lift in the metal and its weight, over the
/// bearing area.
///
/// # Errors
/// If there is no core.
pub fn core_bearing(casting: &Casting) -> Result<f64, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let solid = unvented(casting, &prints)?;
    Ok(Load::of(casting, &prints, solid.solid.mass().volume)?.pressure())
}

/// Volume of the core without its vent as its box forms it, contraction with it, mm³.
///
/// # Errors
/// If there is no core.
pub fn core_volume(casting: &Casting) -> Result<f64, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let piece = unvented(casting, &prints)?;
    Ok(piece.solid.mass().volume * piece.scale.axial() * piece.scale.radial().powi(2))
}

/// The part of the core that metal surrounds.
fn covered(casting: &Casting, prints: &Prints) -> Result<SolidTree, PrimitiveError> {
    let wide = reach(casting);
    let face = Feature::CorePrint.formed(Role::Face);
    let mut tree = SolidTree::new();
    cored(&casting.moulded).for_each(|p| tree.add(p.clone()));
    tree.keep(block(&casting.settings, (prints.ends[0], prints.ends[1]), wide, (-wide, wide), &face)?);
    prints.over.iter().for_each(|p| tree.cut(p.clone()));
    Ok(tree)
}

/// A body of a core by its features and its middle.
fn told(core: &Solid, body: &Bounds) -> String {
    let brep = core.brep();
    let within = |f: &usize| {
        let face = brep.bounds_of([*f]);
        body.contains(face.min) && body.contains(face.max)
    };
    let features = (0..brep.faces.len()).filter(within).map(|f| Feature::of(&brep.faces[f].tag).name());
    let features: BTreeSet<&str> = features.collect();
    let features: Vec<&str> = features.into_iter().collect();
    let middle = body.min + (body.max - body.min) * 0.5;
    format!("{} near {}", features.join(" and "), place([middle.x, middle.y, middle.z], 1))
}

/// The core without its vent, of one body, made once and shared: its prints are the casting's own.
pub(super) fn unvented<'a>(casting: &'a Casting, prints: &Prints) -> Result<&'a Piece, FormError> {
    let made = || {
        let mut tree = covered(casting, prints).map_err(shape("core"))?;
        prints.bodies.iter().for_each(|p| tree.add(p.clone()));
        let core = Piece::of("core", tree, casting.settings.scale)?;
        let apart: Vec<String> =
            core.solid.smaller_bodies().iter().map(|body| told(&core.solid, body)).collect();
        if apart.is_empty() { Ok(core) } else { Err(FormError::CoreApart { apart }) }
    };
    casting.core.get_or_init(made).as_ref().map_err(Clone::clone)
}

/// A length that is certain to reach out of the casting, mm.
fn reach(casting: &Casting) -> f64 {
    2.0 * casting.moulded.casting.solid.tree().bounds().diagonal()
}

/// Forces on a core as large as it is made, contraction with it.
struct Load {
    /// Volume with prints, mm³.
    volume: f64,
    /// Lift less weight, N: metal lifts only the part of the core that it surrounds; prints lie in sand.
    lift: f64,
    /// Weight, N.
    weight: f64,
    /// Bearing area of the prints, mm².
    bearing: f64,
}

impl Load {
    fn of(casting: &Casting, prints: &Prints, volume: f64) -> Result<Self, FormError> {
        let settings = &casting.settings;
        let tree = covered(casting, prints).map_err(shape("core"))?;
        let covered = Piece::of("core", tree, settings.scale)?.solid.mass().volume;
        let molten = molten_density(settings.family);
        let (along, across) = (settings.scale.axial(), settings.scale.radial());
        let [covered, volume] = [covered, volume].map(|v| v * along * across * across);
        let weight = core_lift(volume, molten).1;
        let bearing = prints.bearing * along * across;
        Ok(Self { volume, lift: buoyancy(covered, molten) - weight, weight, bearing })
    }

    /// The core as a beam on its prints.
    fn beam(&self, casting: &Casting, prints: &Prints) -> Option<CoreBeam> {
        let missing = ["front", "rear"].map(|end| prints.missing == Some(end));
        let bearing = casting.settings.bearing * self.bearing;
        CoreBeam::of(casting, prints.ends, missing, self.lift + self.weight, bearing)
    }

    fn pressure(&self) -> f64 {
        self.lift.max(self.weight) / self.bearing.max(1e-9)
    }

    fn text(&self, settings: &Settings) -> String {
        let (metal, allowed) = (settings.family.name(), settings.bearing);
        let pressure = self.pressure();
        let verdict = if pressure <= allowed { "enough" } else { "TOO LITTLE: lengthen the prints" };
        let net = if self.lift >= 0.0 { "a net lift" } else { "a net weight" };
        format!(
            "the core with its prints and without a vent has {} and weighs {:.2} N; when {metal} covers it, buoyancy of {:.2} N leaves {net} of \
             {:.2} N; prints bear {pressure:.4} MPa of {allowed} ({verdict})",
            settings.units.volume(self.volume),
            self.weight,
            self.lift + self.weight,
            self.lift.abs()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hollow that does not meet the cavity: pressure on the prints, core and core box are refused alike, with its place.
    #[test]
    fn a_core_in_two_bodies_is_told_before_anything_is_made_of_it() {
        let mut casting = Casting::of_text(include_str!("../../params/minimal.yaml"));
        let tag = Feature::GearboxFace.formed(Role::Opening);
        let frame = Frame::from_zx(P3::new(40.0, 0.0, 150.0), V3::x(), V3::z());
        let hole = cylinder("gearbox_face", frame, 8.0, 30.0, &[tag.clone(), tag.clone(), tag]);
        let mut tree = casting.moulded.casting.solid.tree().clone();
        tree.cut(hole.expect("a hole"));
        casting.moulded.casting.solid = Solid::of(tree).expect("a solid");
        let errors = [
            core_bearing(&casting).expect_err("no prints"),
            core(&casting).expect_err("no core"),
            super::super::core_box(&casting).expect_err("no box"),
        ];
        for error in errors {
            let text = error.to_string();
            assert!(!error.is_internal() && text.contains("2 bodies"), "{text}");
            assert!(text.contains("gearbox_face near (55.0, 0.0, 150.0) mm"), "{text}");
        }
    }

    /// A fillet in the rear corner of the cavity leaves 40 mm of the mouth of a stop bore of 43 mm. Cast with its stock the bore is narrower than
    /// both, so the core goes on through it; taken for a bottom with stock, the mouth was closed by a web of metal across the bore.
    #[test]
    fn a_fillet_before_the_stop_bore_does_not_close_the_cavity() {
        let text = include_str!("../../params/minimal.yaml")
            .replace("diameter: 68", "diameter: 52")
            .replace("bore: 46", "bore: 46\n    stop_bore: 43");
        let casting = Casting::of_text(&(text + "\ncasting:\n  fillets:\n    cavity: 6\n"));
        let tree = casting.moulded.casting.solid.tree();
        for k in 0..=280 {
            let at = P3::new(f64::from(k), 0.0, 0.0);
            assert!(!tree.contains(at), "metal on the shaft axis at {at}");
        }
        assert_eq!(core(&casting).expect("a core").pieces.len(), 1, "one core");
    }
}
