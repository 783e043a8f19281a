//! Lead-ins: cones whose angles are known beforehand, judged within the general tolerance of angles.

use solidwright::geometry::{Frame, P3};
use tailpattern::faces::{Feature, Role};
use tailpattern::inspection::{
    self, ArticleReadings, Characteristic, CharacteristicKind, ElementShape, ItemVerdict, MeasuringSheet,
    angles_to_axes,
};

use crate::inspection::{demo, element, plan, rules};
use crate::synthetic_article::{Errors, Machine, readings};

/// The angle of a lead-in on the sheet.
fn angle_of(sheet: &MeasuringSheet, feature: Feature, role: Role) -> &Characteristic {
    let element = element(sheet, feature, role);
    let is = |c: &&Characteristic| c.element == Some(element) && c.kind == CharacteristicKind::HalfAngle;
    sheet.characteristics.iter().find(is).expect("an angle")
}

/// ISO 2768-1, table 3, class m (from memory): one degree either way where the shorter side is up to 10 mm. The demonstration's lead-ins
/// are shorter than that. The nominal angles are those of the file.
#[test]
fn lead_ins_have_the_general_tolerance_of_angles() {
    let (design, _, sheet) = demo();
    let tail = design.tail();
    for (feature, role, wanted) in [
        (Feature::GearboxFace, Role::RegisterLeadIn, design.gearbox_face().register().lead_in_angle()),
        (Feature::Tail, Role::BushingLeadIn, tail.bushing().lead_in_angle()),
        (Feature::Tail, Role::SealLeadIn, tail.seal().lead_in_angle()),
    ] {
        let c = angle_of(&sheet, feature, role);
        let wanted = wanted.get();
        assert!((c.nominal.expect("nominal") - wanted).abs() < 1e-9, "{c:?} for {wanted}");
        let [least, greatest] = [c.limits.least, c.limits.greatest].map(|l| l.expect("a limit"));
        assert!((least - wanted + 1.0).abs() < 1e-9 && (greatest - wanted - 1.0).abs() < 1e-9, "{c:?}");
    }
}

/// Points of a lead-in whose wall is steeper by a known angle, turned about the middle of its length: the angle comes back to a
/// ten-thousandth of a degree, and is judged by its limits of one degree.
#[test]
fn a_steeper_lead_in_is_told_by_its_angle() {
    let (_, housing, sheet) = demo();
    let plan = plan(&housing, &sheet, &[]);
    let machine = Machine { lies: Frame::world(), noise: 0.0, seed: 1 };
    let sound = readings(&sheet, &plan, &Errors::new(), machine);
    let at = element(&sheet, Feature::Tail, Role::SealLeadIn);
    let number = angle_of(&sheet, Feature::Tail, Role::SealLeadIn).number;
    for (steeper, wanted) in [
        (0.0, ItemVerdict::Conforms),
        (0.6, ItemVerdict::Conforms),
        (-0.6, ItemVerdict::Conforms),
        (1.0, ItemVerdict::Undecided),
        (1.4, ItemVerdict::DoesNotConform),
        (-1.4, ItemVerdict::DoesNotConform),
    ] {
        let article = steepened(&sheet, &sound, at, steeper);
        let judged = inspection::judge(&sheet, rules(0.002), "1", &article).expect("judged");
        let item = judged.found(number).expect("an item");
        let ElementShape::Cone { half_angle, .. } = sheet.elements[at].shape else { panic!("a cone") };
        let found = item.found.expect("found").outer[0];
        assert!((found - half_angle.to_degrees() - steeper).abs() < 1e-4, "{steeper}: {found}");
        assert!(item.uncertainty > 0.001 && item.uncertainty < 0.35, "{steeper}: {}", item.uncertainty);
        assert_eq!(item.verdict, wanted, "{steeper}: {found} within {}", item.uncertainty);
        let others = judged.items.iter().filter(|i| i.number != number && i.found.is_some());
        assert!(others.clone().count() > 40, "others are judged");
        assert!(
            others.clone().all(|i| i.verdict != ItemVerdict::DoesNotConform),
            "{steeper}: others are sound"
        );
    }
}

/// Readings in which one cone's wall leans more by an angle, degrees, about the middle of its points.
fn steepened(sheet: &MeasuringSheet, sound: &ArticleReadings, at: usize, by: f64) -> ArticleReadings {
    let mut article = sound.clone();
    let ElementShape::Cone { point, axis, radius, half_angle, .. } = sheet.elements[at].shape else {
        panic!("a cone")
    };
    let frame = Frame::from_z(point, axis);
    let places = article.places.get_mut(&at).expect("the lead-in is probed");
    assert!(places.len() >= 16, "two circles of points");
    for place in places {
        let q = frame.local(place.at);
        let wall = radius + q.z * (half_angle + by.to_radians()).tan();
        let size = q.x.hypot(q.y);
        let moved: P3 = frame.point(q.x / size * wall, q.y / size * wall, q.z);
        place.at = moved;
    }
    article
}

/// By hand: a direction along Y; one between X and Z; one against X.
#[test]
fn directions_are_told_by_their_angles() {
    use solidwright::geometry::V3;
    for (d, wanted) in [
        (V3::y(), [90.0, 0.0, 90.0]),
        (V3::new(1.0, 0.0, 1.0), [45.0, 90.0, 45.0]),
        (-V3::x(), [180.0, 90.0, 90.0]),
    ] {
        for (found, wanted) in angles_to_axes(d).into_iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-9, "{d:?}: {found} for {wanted}");
        }
    }
}
