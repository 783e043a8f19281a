//! Loads on the part: what is told where none acts, and the units in which they are written.

use crate::checks::{checked, design};
use tailpattern::checks;

/// Where no load acts there is no factor against it, and that is said.
#[test]
fn no_load_gives_no_factor() {
    let keys = [
        "vehicle.loads.vertical=0",
        "vehicle.loads.longitudinal=0",
        "vehicle.loads.lateral=0",
        "vehicle.loads.torque_share=0",
    ];
    let found = checked("solid_pads", &keys);
    let endless: Vec<_> = found.measurements.iter().filter(|c| !c.value.is_finite()).collect();
    assert!(endless.is_empty(), "{endless:#?}");
    for check in ["mount does not slip on its pad, factor", "housing's section against yield, factor"] {
        assert!(found.not_checked.iter().any(|n| n.check == check), "{check}: {:#?}", found.not_checked);
    }
}

/// One load in the units that people write gives one result: 12 kN = 12000 N, 70 kg = 154.3236 lb, 2.8 × 9.80665 m/s².
#[test]
fn loads_take_the_units_of_the_trade() {
    let values = |keys: &[&str]| -> Vec<String> {
        let found = checks::fits_and_driveline(&design("solid_pads", keys));
        found.measurements.iter().map(|c| format!("{} {} {:.4e}", c.check, c.what, c.value)).collect()
    };
    let plain = values(&[
        "vehicle.loads.carried_mass=70",
        "vehicle.loads.vertical=2.8",
        "vehicle.loads.thrust_limit=12000",
    ]);
    let written = values(&[
        "vehicle.loads.carried_mass=154.32358353 lb",
        "vehicle.loads.vertical=27.45862 m/s2",
        "vehicle.loads.thrust_limit=12 kN",
    ]);
    assert_eq!(plain, written);
}

/// A bearing within the bushing carries nothing with it: the couple has no lever there, and that is said instead of a figure.
#[test]
fn a_bearing_within_the_bushing_is_no_lever() {
    let judged = |station: &str| {
        let found = checks::fits_and_driveline(&design(
            "solid_pads",
            &[&format!("vehicle.loads.bearing_station={station}")],
        ));
        let told = found.not_checked.iter().any(|n| n.because.contains("within or behind the bushing"));
        (found.measurements.iter().any(|c| c.check == "pressure in the bushing"), told)
    };
    // The seat ends 13.589 mm ahead of the rear face at 339.725 and is 44.45 mm long: it begins at 281.69.
    assert_eq!(judged("281"), (true, false));
    assert_eq!(judged("285"), (false, true));
}
