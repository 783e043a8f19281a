//! Datum B at its maximum material boundary: drawing, measuring sheet and judge say the same, and the shift is granted to all holes
//! together.

use solidwright::geometry::{Frame, V3};
use tailpattern::faces::{Feature, Role};
use tailpattern::inspection::{self, CharacteristicKind, Datum, ItemVerdict, Material, MeasuringSheet};

use crate::inspection::{changed_demo, element, plan, rules};
use crate::synthetic_article::{Error, Errors, Machine, readings};

fn at_maximum(text: &str) -> String {
    text.replacen("  tolerances:", "  tolerances:\n    register_at_maximum: true\n    #", 1)
}

fn boundary(sheet: &MeasuringSheet) -> Material {
    let of = |c: &inspection::Characteristic| match &c.kind {
        CharacteristicKind::Geometric(t) if c.what.starts_with("F1") => Some(t.boundary_of(Datum::B)),
        _ => None,
    };
    sheet.characteristics.iter().find_map(of).expect("a position")
}

/// By hand (ISO 2692, ASME Y14.5: the register's mate at its maximum material boundary is Ø 146.05, h6's upper limit): holes of the least
/// size have a zone of 0.4 and no bonus. All six off by 0.205 the same way need 0.41; a register 0.02 smaller than its boundary may shift by
/// 0.01, which leaves 0.39. At its boundary it may not shift. Two holes off against each other gain nothing.
#[test]
fn the_holes_may_shift_together_by_what_the_register_departs() {
    let alike = [0.205; 6];
    let apart = [0.205, 0.0, 0.0, -0.205, 0.0, 0.0];
    for (granted, smaller, offs, wanted) in [
        (true, 0.02, alike, ItemVerdict::Conforms),
        (true, 0.0, alike, ItemVerdict::DoesNotConform),
        (false, 0.02, alike, ItemVerdict::DoesNotConform),
        (true, 0.02, apart, ItemVerdict::DoesNotConform),
    ] {
        let (_, housing, sheet) = changed_demo(|t| if granted { at_maximum(t) } else { t.to_owned() });
        assert_eq!(
            boundary(&sheet),
            if granted { Material::Maximum } else { Material::Regardless },
            "the sheet"
        );
        let plan = plan(&housing, &sheet, &[]);
        let register = element(&sheet, Feature::GearboxFace, Role::Register);
        let mut errors = Errors::from([(register, Error { shift: V3::zeros(), radius: -0.5 * smaller })]);
        for (k, off) in offs.iter().enumerate() {
            let hole = element(&sheet, Feature::GearboxFace, Role::BoltHole(k + 1));
            errors.insert(hole, Error { shift: V3::new(0.0, 0.6 * off, 0.8 * off), radius: 0.0 });
        }
        let machine = Machine { lies: Frame::world(), noise: 0.0, seed: 1 };
        let article = readings(&sheet, &plan, &errors, machine);
        let judged = inspection::judge(&sheet, rules(0.001), "1", &article).expect("judged");
        let holes =
            sheet.characteristics.iter().filter(|c| c.what.starts_with('F') && c.words() == "position");
        let verdicts: Vec<ItemVerdict> =
            holes.map(|c| judged.found(c.number).expect("an item").verdict).collect();
        assert_eq!(verdicts.iter().min(), Some(&wanted), "{granted} {smaller}: {verdicts:?}");
        let pattern = judged.evaluation.expect("points").pattern;
        let play = if granted { 0.5 * smaller } else { 0.0 };
        assert!((pattern.play - play).abs() < 1e-6, "{granted} {smaller}: {pattern:?}");
    }
}

/// What the shift grants, the room of the bolts loses in `check`: by hand, h6 of the register is 0.025 wide.
#[test]
fn the_check_of_the_bolts_takes_the_shift_off() {
    let room = |change: &dyn Fn(&str) -> String| {
        let (design, _, _) = changed_demo(change);
        let checks = tailpattern::checks::fits_and_driveline(&design);
        let of = checks.measurements.iter().find(|m| m.check == "room of bolts in their holes");
        of.expect("a room").value
    };
    let off = room(&|t: &str| t.to_owned()) - room(&at_maximum);
    assert!((off - 0.025).abs() < 1e-9, "{off}");
}
