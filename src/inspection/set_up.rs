//! How the part is set up, and what is indicated first.

use super::characteristic::{
    Characteristic, CharacteristicKind, Datum, Material, MeasuringSheet, ToleranceKind,
};
use super::elements::ElementShape;
use crate::design::{Design, RegisterKind};
use crate::faces::{Feature, Role, plain_names};
use crate::forms::{DatumTarget, TargetHolds, TargetsFound};
use crate::units::Mm;

/// Steps for the finished part, in their order.
pub fn finished_steps(design: &Design, sheet: &MeasuringSheet) -> Vec<String> {
    let limit = |wanted: ToleranceKind| {
        let zone = sheet.characteristics.iter().find_map(|c| match &c.kind {
            CharacteristicKind::Geometric(t) if t.kind == wanted => Some((c.number, t.zone)),
            _ => None,
        });
        zone.map_or(String::new(), |(n, zone)| {
            format!(" Limit: {} (number {n}).", design.units().show(Mm::new(zone)))
        })
    };
    let register = match design.gearbox_face().register().kind() {
        RegisterKind::Spigot => "the outside of the spigot",
        RegisterKind::Recess => "the bore of the recess",
    };
    let mut out = vec![
        "Let the part and the gauges lie in one room for some hours, at 20 °C (ISO 1); deburr and wipe the gearbox face and the register.".to_owned(),
        format!("On a mandrel in the bushing seat (datum D): turn the part and indicate {register} first, then the gearbox face near its rim: the whole reading of the face is its perpendicularity over that circle.{}", limit(ToleranceKind::Perpendicularity)),
        format!("At the same setting, indicate the seal counterbore: half of the whole reading is its offset from datum D, the whole reading its coaxiality.{}", limit(ToleranceKind::Coaxiality)),
        "Datum A: set the gearbox face on the plate or the machine's table on three blocks of one height, rear end up; on the machine, probe it near the rim.".to_owned(),
        format!("Datum B: {register}, square to datum A. Datum C: bolt hole F1, for clocking."),
    ];
    out.extend(at_maximum(design, sheet));
    if sheet.characteristics.iter().any(|c| matches!(c.kind, CharacteristicKind::Coordinate { .. })) {
        out.push(
            "Coordinates count from the frame of A, B and C: X aft, Y to the right, Z up, seen from behind."
                .to_owned(),
        );
    }
    out
}

/// What a datum at its maximum material boundary grants, if the drawing has one.
fn at_maximum(design: &Design, sheet: &MeasuringSheet) -> Option<String> {
    let at_boundary = |c: &&Characteristic| match &c.kind {
        CharacteristicKind::Geometric(t) => t.boundary_of(Datum::B) == Material::Maximum,
        _ => false,
    };
    sheet.characteristics.iter().find(at_boundary)?;
    let register = sheet.element_of(Feature::GearboxFace, Role::Register)?;
    let is_size = |c: &&Characteristic| c.element == Some(register) && c.kind == CharacteristicKind::Diameter;
    let size = sheet.characteristics.iter().find(is_size)?;
    let boundary = match design.gearbox_face().register().kind() {
        RegisterKind::Spigot => size.limits.greatest,
        RegisterKind::Recess => size.limits.least,
    }?;
    Some(format!(
        "The bolt holes refer to datum B at its maximum material boundary, Ø {} (number {}): all of them together may shift by half of what the register departs from it. That takes probed points; a position read by itself is judged without it.",
        design.units().show(Mm::new(boundary)),
        size.number
    ))
}

/// How the casting stands on its targets.
fn on_targets(targets: &[DatumTarget]) -> Vec<String> {
    let told = |holds: TargetHolds| {
        let on = targets.iter().filter(|t| t.holds == holds);
        on.map(|t| format!("{} ({})", t.name, plain_names::face(&t.tag))).collect::<Vec<_>>().join(", ")
    };
    vec![
        format!(
            "Stand the casting on its datum targets, as its drawing shows them: {} hold it along the shaft.",
            told(TargetHolds::Along)
        ),
        format!(
            "Push it against {} across the shaft, then turn it against {}.",
            told(TargetHolds::Across),
            told(TargetHolds::Turning)
        ),
    ]
}

/// Steps for the raw casting, in their order (common practice).
pub fn casting_steps(sheet: &MeasuringSheet, targets: &TargetsFound) -> Vec<String> {
    let mut out = match targets {
        Ok(targets) => on_targets(targets),
        Err(why) => vec![format!(
            "This casting has no datum targets: {why}. Set it up by its outside, and agree with the foundry from which places sizes count."
        )],
    };
    let seat = sheet.element_of(Feature::Tail, Role::BushingSeat);
    let hole =
        seat.is_some_and(|e| matches!(sheet.elements[e].shape, ElementShape::Cylinder { hole: true, .. }));
    out.push(if hole {
        "Indicate the cored bore first, near both of its ends: it tells how far the core lies off the outside.".to_owned()
    } else {
        "The bushing seat is cast solid: there is no cored bore to indicate.".to_owned()
    });
    out
}
