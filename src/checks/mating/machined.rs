//! Limits of size of what the machinist cuts, by the fits that the file names.

use super::because;
use crate::design::{BushingPart, Design, RegisterKind};
use crate::faces::{Feature, Role};
use crate::standards::fit_names::FitName;
use crate::standards::limits_and_fits::{Deviations, ToleranceClass};
use crate::standards::lip_seal::bore_deviations;
use crate::units::Mm;

/// A size with its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct MachinedFit {
    /// What is cut: a face, or the bore of a bushing in place.
    pub what: String,
    /// The face of the housing that is cut; none for a bought part.
    pub face: Option<(Feature, Role)>,
    /// Nominal diameter.
    pub nominal: Mm,
    /// The fit or the class of its tolerance.
    pub class: String,
    /// The class of this side of the fit alone, such as H7.
    pub own_class: String,
    /// Least and greatest diameter.
    pub sizes: [Mm; 2],
    /// Where the limits come from, and what to heed.
    pub note: String,
}

/// How wide the bushing's seat is bored, and by what.
pub(super) struct SeatHole {
    pub(super) class: String,
    pub(super) own_class: String,
    pub(super) deviations: Deviations,
    pub(super) source: &'static str,
}

/// The bushing's seat: by the named fit, or H7 for a wrapped bushing.
pub(super) fn seat_hole(bushing: &BushingPart, seat: Mm) -> Result<SeatHole, String> {
    const WRAPPED: &str = "H7";
    match bushing.seat_fit {
        Some(name) => {
            let [deviations, _] = name.sides(seat).map_err(because)?;
            Ok(SeatHole {
                class: name.to_string(),
                own_class: name.of_side(true),
                deviations,
                source: name.source(),
            })
        }
        None if bushing.is_wrapped() => {
            let class = WRAPPED.parse::<ToleranceClass>().map_err(because)?;
            let deviations = class.deviations(seat).map_err(because)?;
            let source = "wrapped bushing in a seat H7: bush maker's page, read";
            Ok(SeatHole { class: WRAPPED.to_owned(), own_class: WRAPPED.to_owned(), deviations, source })
        }
        None => Err("`mating.bushing.seat_fit` is not given".to_owned()),
    }
}

/// The limits of every machined diameter that mates with another part, in the order of the part from front to back; for
/// one whose fit the file does not give, or whose fit has no limits there, the reason.
pub fn machined_fits(design: &Design) -> Vec<Result<MachinedFit, String>> {
    let mut out = vec![register(design)];
    if design.rail_tube().is_some() {
        out.push(rail(design));
    }
    out.extend([seat(design), bushing_bore(design), counterbore(design)]);
    out
}

/// The limits of the face of this role, if it mates with another part and the file gives its fit.
pub fn machined_fit(design: &Design, role: Role) -> Option<MachinedFit> {
    match role {
        Role::Register => register(design).ok(),
        Role::RailBore => rail(design).ok(),
        Role::BushingSeat => seat(design).ok(),
        Role::SealCounterbore => counterbore(design).ok(),
        _ => None,
    }
}

/// What is cut, as told, and the face if it is one of the housing.
struct Cut {
    what: String,
    face: Option<(Feature, Role)>,
}

impl Cut {
    fn of(feature: Feature, role: Role) -> Self {
        Self { what: feature.face(role), face: Some((feature, role)) }
    }
}

/// A diameter by one side of a named fit.
fn named(
    Cut { what, face }: Cut,
    nominal: Mm,
    name: FitName,
    hole: bool,
    note: &str,
) -> Result<MachinedFit, String> {
    let [of_hole, of_shaft] = name.sides(nominal).map_err(|e| format!("{what}: {e}"))?;
    let sizes = if hole { of_hole } else { of_shaft }.sizes(nominal);
    let note = format!("{}{note}", name.source());
    Ok(MachinedFit {
        what,
        face,
        nominal,
        class: name.to_string(),
        own_class: name.of_side(hole),
        sizes,
        note,
    })
}

/// What is cut where a key is missing.
fn lacks(what: &str, key: &str) -> String {
    format!("{what}: `{key}` is not given")
}

fn register(design: &Design) -> Result<MachinedFit, String> {
    let cut = Cut::of(Feature::GearboxFace, Role::Register);
    let mate = design.mating().register.as_ref().ok_or_else(|| lacks(&cut.what, "mating.register.fit"))?;
    let register = design.gearbox_face().register();
    let hole = register.kind() == RegisterKind::Recess;
    let of = if hole { ", the hole of the fit" } else { ", the shaft of the fit" };
    named(cut, register.diameter(), mate.fit, hole, of)
}

fn rail(design: &Design) -> Result<MachinedFit, String> {
    let cut = Cut::of(Feature::RailTube, Role::RailBore);
    let missing = || lacks(&cut.what, "mating.rail.fit");
    let tube = design.rail_tube().ok_or_else(missing)?;
    let fit = design.mating().rail.as_ref().and_then(|rail| rail.fit).ok_or_else(missing)?;
    named(cut, tube.bore(), fit, true, "")
}

fn seat(design: &Design) -> Result<MachinedFit, String> {
    let Cut { what, face } = Cut::of(Feature::Tail, Role::BushingSeat);
    let bushing = design.mating().bushing.as_ref().ok_or_else(|| lacks(&what, "mating.bushing"))?;
    let nominal = design.tail().bushing().bore();
    let hole = seat_hole(bushing, nominal).map_err(|because| format!("{what}: {because}"))?;
    let (sizes, note) = (hole.deviations.sizes(nominal), hole.source.to_owned());
    Ok(MachinedFit { what, face, nominal, class: hole.class, own_class: hole.own_class, sizes, note })
}

fn bushing_bore(design: &Design) -> Result<MachinedFit, String> {
    let cut = Cut { what: "bore of the bushing".to_owned(), face: None };
    let bushing = design.mating().bushing.as_ref().ok_or_else(|| lacks(&cut.what, "mating.bushing"))?;
    let note = if bushing.bored_in_place {
        ", bored after pressing in, true to the register"
    } else {
        ", as bought"
    };
    named(cut, bushing.bore, bushing.running_fit, true, note)
}

fn counterbore(design: &Design) -> Result<MachinedFit, String> {
    let Cut { what, face } = Cut::of(Feature::Tail, Role::SealCounterbore);
    let nominal = design.tail().seal().counterbore();
    let sizes = bore_deviations(nominal).map_err(|e| format!("{what}: {e}"))?.sizes(nominal);
    let note = "trade guide to DIN 3760, read; ISO 6194-1, from memory".to_owned();
    let class = "H8".to_owned();
    Ok(MachinedFit { what, face, nominal, own_class: class.clone(), class, sizes, note })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fits(text: &str) -> Vec<Result<MachinedFit, String>> {
        machined_fits(&Design::of_text(text))
    }

    /// The counterbore of 60 mm in H8: +0.046 and 0 mm (ISO 286-2, table for H, 50 to 80 mm). The bushing is not told.
    #[test]
    fn a_counterbore_has_its_limits_and_what_is_not_given_is_told() {
        let found = fits(include_str!("../../../params/minimal.yaml"));
        let seal = found.iter().flatten().find(|f| f.what == Feature::Tail.face(Role::SealCounterbore));
        let [low, high] = seal.expect("a counterbore").sizes;
        assert!((low.get() - 60.0).abs() < 1e-9 && (high.get() - 60.046).abs() < 1e-9, "{low} to {high}");
        let missing: Vec<&String> = found.iter().filter_map(|f| f.as_ref().err()).collect();
        assert!(missing.iter().any(|m| m.contains("mating.bushing")), "{missing:?}");
    }
}
