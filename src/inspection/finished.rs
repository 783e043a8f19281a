//! What is measured on the finished part.

use super::characteristic::{
    CharacteristicKind, GeometricTolerance, MeasuringSheet, OF_LINE_UP, SizeLimits, further_tolerances,
    geometric_tolerance,
};
use super::elements::{ElementShape, axial_span, elements};
use super::hole_names::{NamedHole, named_holes};
use crate::checks::machined_fit;
use crate::design::{Design, PadHoles};
use crate::faces::{Feature, Role};
use crate::housing::Housing;
use crate::standards::general_tolerance::{ANGLES, CLASS, medium, medium_angle};
use crate::standards::limits_and_fits::{Grade, Letter, Side, ToleranceClass};
use crate::standards::threads::Thread;
use crate::units::Mm;
use solidwright::geometry::V3;

/// Directions whose cosine is below this are square to each other.
const SQUARE: f64 = 1e-9;

/// The class of clearance holes of the medium series.
const CLEARANCE: ToleranceClass =
    ToleranceClass { side: Side::Hole, letter: Letter::H, grade: Grade::COARSEST };

/// All that is measured on the finished part, in the order of its features from front to back; then form and direction of faces.
pub fn finished(design: &Design, housing: &Housing) -> MeasuringSheet {
    let mut sheet =
        MeasuringSheet { elements: elements(housing.solid.brep(), false), ..MeasuringSheet::default() };
    let holes = named_holes(&housing.bores);
    gearbox_face(design, &mut sheet);
    for feature in [Feature::GearboxFace, Feature::Tail, Feature::Cavity, Feature::RailTube] {
        bores(design, &holes, feature, &mut sheet);
        flats(feature, &mut sheet);
    }
    for feature in [
        Feature::ShiftBoxPad,
        Feature::MountPad,
        Feature::SecondMountPad,
        Feature::SenderBoss,
        Feature::Plugs,
    ] {
        flats(feature, &mut sheet);
        bores(design, &holes, feature, &mut sheet);
        threads(design, &holes, feature, &mut sheet);
    }
    forms(design, &mut sheet);
    cones(housing, &mut sheet);
    line_up(design, &mut sheet);
    sheet
}

/// Where the file has no tolerance for their places, seat and counterbore are evaluated all the same: the part must line up.
fn line_up(design: &Design, sheet: &mut MeasuringSheet) {
    for role in [Role::BushingSeat, Role::SealCounterbore] {
        let Some(element) = sheet.element_of(Feature::Tail, role) else { continue };
        if geometric_tolerance(design, Feature::Tail, role).is_none() {
            let what = sheet.elements[element].shown.clone();
            sheet.add_line_up(what, element, OF_LINE_UP);
        }
    }
}

/// Form and direction of flat faces.
fn forms(design: &Design, sheet: &mut MeasuringSheet) {
    for index in 0..sheet.elements.len() {
        let element = &sheet.elements[index];
        let ElementShape::Plane { .. } = element.shape else { continue };
        let (feature, role, what) = (Feature::of(&element.tag), element.face_role(), element.shown.clone());
        for zone in further_tolerances(design, feature, role) {
            geometric(sheet, index, &what, zone);
        }
    }
}

/// The angles of conical lead-ins, within the general tolerance of angles.
fn cones(housing: &Housing, sheet: &mut MeasuringSheet) {
    for index in 0..sheet.elements.len() {
        let element = &sheet.elements[index];
        let ElementShape::Cone { point, axis, half_angle, .. } = element.shape else { continue };
        let height = axial_span(housing.solid.brep(), &element.faces, point, axis).length();
        // The table asks for the shorter side of the angle: along the axis or across it.
        let shorter = height * half_angle.abs().tan().min(1.0);
        let nominal = half_angle.abs().to_degrees();
        let half = medium_angle(shorter).get();
        let what = element.shown.clone();
        let limits = (SizeLimits::between(nominal - half, nominal + half), ANGLES.to_owned());
        sheet.add(what, Some(index), CharacteristicKind::HalfAngle, Some(nominal), limits);
    }
}

/// The register's size, and the face square to the seat.
fn gearbox_face(design: &Design, sheet: &mut MeasuringSheet) {
    if let Some(register) = sheet.element_of(Feature::GearboxFace, Role::Register) {
        diameter(design, register, "register", sheet);
    }
    let face = sheet.element_of(Feature::GearboxFace, Role::Face);
    if let Some((face, zone)) = face.zip(geometric_tolerance(design, Feature::GearboxFace, Role::Face)) {
        geometric(sheet, face, "gearbox face", zone);
    }
}

/// Holes and seats of a feature: their sizes, then where they lie.
fn bores(design: &Design, holes: &[NamedHole], feature: Feature, sheet: &mut MeasuringSheet) {
    for index in 0..sheet.elements.len() {
        let element = &sheet.elements[index];
        let (role, tag) = (element.face_role(), element.tag.clone());
        let ElementShape::Cylinder { point, axis, .. } = element.shape else { continue };
        let measured = is_measured(role);
        if Feature::of(&tag) != feature || role == Role::Register || !measured {
            continue;
        }
        let name = holes.iter().find(|h| h.bore.tag == tag).map(|h| h.name.clone());
        let what = match name {
            Some(name) => format!("{name}, {}", element.shown),
            None => element.shown.clone(),
        };
        if !is_tapped(role) {
            diameter(design, index, &what, sheet);
        }
        if let Some(zone) = geometric_tolerance(design, feature, role) {
            geometric(sheet, index, &what, zone);
            for zone in further_tolerances(design, feature, role) {
                geometric(sheet, index, &what, zone);
            }
        } else if is_placed_by_coordinates(role) {
            for along in across(axis) {
                let nominal = point.coords.dot(&along);
                sheet.add(
                    what.clone(),
                    Some(index),
                    CharacteristicKind::Coordinate { along },
                    Some(nominal),
                    general(nominal),
                );
            }
        }
    }
}

/// Whether a cut cylinder of this role is measured at all.
fn is_measured(role: Role) -> bool {
    matches!(
        role,
        Role::BoltHole(_)
            | Role::TappedHole(_)
            | Role::DowelHole(_)
            | Role::StopBore
            | Role::BushingSeat
            | Role::SealCounterbore
            | Role::RailBore
            | Role::PlugHole(_)
            | Role::BoreStep(_)
            | Role::ORingLand
            | Role::ScrewHole
    )
}

/// Whether a hole is made by a tap, so that a gauge tells its size.
pub(super) fn is_tapped(role: Role) -> bool {
    matches!(role, Role::TappedHole(_) | Role::PlugHole(_) | Role::ScrewHole)
}

/// Whether a hole without a geometric tolerance is placed by its coordinates.
fn is_placed_by_coordinates(role: Role) -> bool {
    is_tapped(role) || matches!(role, Role::DowelHole(_))
}

/// Two directions square to an axis: the part's own axes where they are square to it.
fn across(axis: V3) -> [V3; 2] {
    let own = [V3::x(), V3::y(), V3::z()];
    let mut square = own.into_iter().filter(|d| d.dot(&axis).abs() < SQUARE);
    let first = square.next().unwrap_or_else(|| axis.cross(&V3::z()).normalize());
    let second = square.next().unwrap_or_else(|| axis.cross(&first).normalize());
    [first, second]
}

/// A diameter with its limits: those of its fit, of its clearance hole, or the general tolerance.
fn diameter(design: &Design, index: usize, what: &str, sheet: &mut MeasuringSheet) {
    let element = &sheet.elements[index];
    let ElementShape::Cylinder { radius, .. } = element.shape else { return };
    let (nominal, role) = (2.0 * radius, element.face_role());
    let limits = if let Some(fit) = machined_fit(design, role) {
        let [least, greatest] = fit.sizes.map(Mm::get);
        (SizeLimits::between(least, greatest), format!("{}: {}", fit.own_class, fit.note))
    } else if let Some(limits) = clearance_hole(design, role, nominal) {
        limits
    } else {
        general(nominal)
    };
    sheet.add(what, Some(index), CharacteristicKind::Diameter, Some(nominal), limits);
}

/// The limits of a clearance hole: H13 for the medium series.
fn clearance_hole(design: &Design, role: Role, nominal: f64) -> Option<(SizeLimits, String)> {
    let Role::BoltHole(n) = role else { return None };
    design.gearbox_face().bolt_holes().get(n.checked_sub(1)?)?.size().thread()?;
    let [least, greatest] = CLEARANCE.deviations(Mm::new(nominal)).ok()?.sizes(Mm::new(nominal)).map(Mm::get);
    Some((SizeLimits::between(least, greatest), "H13: ISO 273 medium series, from memory".to_owned()))
}

/// Limits by the general tolerance.
fn general(nominal: f64) -> (SizeLimits, String) {
    match medium(nominal) {
        Some(half) => (SizeLimits::between(nominal - half, nominal + half), CLASS.to_owned()),
        None => (SizeLimits::default(), format!("beyond {CLASS}: ask")),
    }
}

fn geometric(sheet: &mut MeasuringSheet, index: usize, what: &str, zone: GeometricTolerance) {
    let limits = (SizeLimits::most(zone.zone), "`mating.tolerances`".to_owned());
    sheet.add(what, Some(index), CharacteristicKind::Geometric(zone), Some(0.0), limits);
}

/// The flat faces of a feature, but for datum A and what drills leave.
fn flats(feature: Feature, sheet: &mut MeasuringSheet) {
    for index in 0..sheet.elements.len() {
        let element = &sheet.elements[index];
        let ElementShape::Plane { point, outward } = element.shape else { continue };
        let role = element.face_role();
        let datum = feature == Feature::GearboxFace && role == Role::Face;
        let seat = matches!(
            role,
            Role::Face
                | Role::SpotFace
                | Role::BoltSpotFace(_)
                | Role::End
                | Role::RegisterEnd
                | Role::RearFace
                | Role::SealShoulder
                | Role::BushingStop
                | Role::PlugFace(_)
        );
        if Feature::of(&element.tag) != feature || datum || !seat {
            continue;
        }
        let (what, nominal) = (element.shown.clone(), point.coords.dot(&outward));
        sheet.add(what, Some(index), CharacteristicKind::Distance, Some(nominal), general(nominal));
    }
}

/// Threads of a feature, alike ones as one characteristic.
fn threads(design: &Design, holes: &[NamedHole], feature: Feature, sheet: &mut MeasuringSheet) {
    let mut found: Vec<(&'static Thread, Vec<String>, String)> = Vec::new();
    for hole in holes.iter().filter(|h| Feature::of(&h.bore.tag) == feature) {
        let Some((thread, depth)) = thread(design, feature, Role::of(&hole.bore.tag)) else { continue };
        match found.iter_mut().find(|(t, _, d)| t.name == thread.name && *d == depth) {
            Some((_, names, _)) => names.push(hole.name.clone()),
            None => found.push((thread, vec![hole.name.clone()], depth)),
        }
    }
    for (thread, names, depth) in found {
        let what = format!("{}× {}, {}", names.len(), thread.name, names.join(" "));
        sheet.add(what, None, CharacteristicKind::Thread, None, (SizeLimits::default(), depth));
    }
}

/// The thread of a hole, and how deep it must take the gauge.
fn thread(design: &Design, feature: Feature, role: Role) -> Option<(&'static Thread, String)> {
    let deep = |depth: Mm| format!("full thread {} deep", design.units().show(depth));
    let pad = match feature {
        Feature::ShiftBoxPad => design.shift_box_pad().and_then(|p| p.holes()),
        Feature::MountPad => design.mount_pad().and_then(|p| p.holes()),
        Feature::SecondMountPad => design.second_mount_pad().and_then(|p| p.holes()),
        _ => None,
    };
    match role {
        Role::TappedHole(_) => pad.map(|h: &PadHoles| (h.thread(), deep(h.depth()))),
        Role::ScrewHole => {
            let screw = design.sender_boss()?.retaining_screw()?;
            Some((screw.thread(), deep(screw.depth())))
        }
        Role::PlugHole(plug) => {
            Some((design.plugs().get(plug.number.checked_sub(1)?)?.thread(), "through".to_owned()))
        }
        _ => None,
    }
}
