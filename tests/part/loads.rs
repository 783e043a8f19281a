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
        // A straight joint bends nothing.
        "vehicle.propshaft.rear_joint_height=0",
        "vehicle.suspension.bump=0",
        "vehicle.suspension.droop=0",
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

/// A pad that stands on the shell leaves it to its own tube: `M R / I` of a ring (textbook), worked out here from the file's numbers.
#[test]
fn a_pad_on_the_shell_does_not_stiffen_its_section() {
    let keys = ["vehicle.loads.longitudinal=0", "vehicle.loads.lateral=0", "vehicle.loads.torque_share=0"];
    let found = checked("demo_mm", &keys);
    let table = found.driveline.tables.iter().find(|t| t.subject == "housing").expect("a table");
    let mut compared = 0;
    for (name, values) in &table.rows {
        let station: f64 = name.trim_end_matches(" mm").parse().expect("a station");
        // The shift-box pad reaches from 55.6 to 179.4; the cavity narrows from 130.175 at 34.925 to 79.375 at 184.15.
        if !(60.0..170.0).contains(&station) {
            continue;
        }
        let slope = (130.175 - 79.375) / 2.0 / (184.15 - 34.925);
        let inner = 130.175 / 2.0 - slope * (station - 34.925);
        let outer = inner + 7.9375 * slope.hypot(1.0);
        let second = std::f64::consts::PI / 4.0 * (outer.powi(4) - inner.powi(4));
        let wanted = 3.0 * 70.0 * 9.80665 * (206.375 - station) * outer / second;
        assert!(values[0] > wanted - 1e-3 && values[0] < 1.1 * wanted, "{name}: {values:?} for {wanted}");
        compared += 1;
    }
    assert!(compared >= 5, "{table:?}");
    let figure = |what: &str| {
        let found = found.driveline.figures.iter().find(|f| f.what == what);
        found.unwrap_or_else(|| panic!("no figure {what}")).range[0]
    };
    assert!(figure("stress in bending") > 0.0 && figure("lowest frequency of bending") > 100.0);
    // The old mount sits 409.575 behind the face, the new one 206.375; both stretches begin behind a flange of 12.7.
    let most = ((409.575 - 12.7) / (206.375 - 12.7_f64)).powi(3);
    let ratio = figure("stiffness against the old one's");
    assert!(ratio < most && ratio > most.cbrt(), "between shear alone and bending alone: {ratio}, {most}");
}
