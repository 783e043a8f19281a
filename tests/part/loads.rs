//! Loads on the part: what is told where none acts, and the units in which they are written.

use crate::checks::{checked, design};
use tailpattern::checks;
use tailpattern::design::{Design, Form};
use tailpattern::forms::Product;
use tailpattern::housing;
use tailpattern::report::checks::screen;
use tailpattern::units::Units;

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

/// Every form of a mount's pad has a figure at its root, in every alloy: hollow leg, pocket, block, plate on walls, plate on gussets,
/// two mounts, and a pad whose face lies at the shell.
#[test]
fn every_pad_has_a_root() {
    const ROOT: &str = "root of the mount's pad against yield, factor";
    for tie in ["walls", "gussets"] {
        let key = format!("mount_pad.plate={{thickness: 22, tie: {tie}, tie_thickness: 10}}");
        assert_eq!(roots(&design("solid_pads", &[&key]), ROOT).len(), 1, "{tie}");
    }
    for alloy in ["aluminium_356_t6", "aluminium_a356_t6", "grey_iron", "ductile_iron"] {
        let key = format!("casting.alloy={alloy}");
        assert_eq!(roots(&design("solid_pads", &[&key]), ROOT).len(), 1, "{alloy}");
    }
    assert_eq!(roots(&design("demo_mm", &["mount_pad.hollow.opens=outside"]), ROOT).len(), 1, "a pocket");
    let loads = "vehicle.loads={carried_mass: 70}";
    // Behind the shell, under the ring around the bushing.
    let under_tail =
        ["mount_pad.base_station=300", "mount_pad.outline.length=50", "mount_pad.outline.width=60"];
    assert_eq!(roots(&design("solid_pads", &under_tail), ROOT).len(), 1, "under the tail");
    for (file, count) in [("two_mounts", 2), ("short_lugs", 1), ("pulse_sender", 1), ("long_iron", 1)] {
        assert_eq!(roots(&design(file, &[loads]), ROOT).len(), count, "{file}");
    }
}

/// The factors at the roots of a design's pads.
fn roots(design: &Design, check: &str) -> Vec<f64> {
    let finished = housing::build(design).expect("a housing");
    let found = checks::check(&Product::new(design, &finished), &[Form::Finished]).expect("checks");
    let told = |n: &&checks::NotChecked| n.check == check;
    assert!(!found.not_checked.iter().any(|n| told(&n)), "{:?}", found.not_checked.iter().find(told));
    let roots = found.measurements.iter().filter(|c| c.check == check).map(|c| c.value);
    roots.inspect(|value| assert!(value.is_finite() && *value > 0.5, "{value}")).collect()
}

/// By hand: a solid pad of 60.325 by 79.375 mm, braked at 1.5 times 70 kg with a lever of 25 mm below its face,
/// bends at the shell, which is 92.075 less the shell's radius above the face. Along the shaft W = b l² / 6;
/// the program's section is that less its mesh's error, and its tapped holes do not reach it.
#[test]
fn a_block_bends_as_a_bar_of_its_outline() {
    let keys = [
        "vehicle.loads.vertical=0",
        "vehicle.loads.lateral=0",
        "vehicle.loads.torque_share=0",
        "vehicle.propshaft.rear_joint_height=0",
        "vehicle.suspension.bump=0",
        "vehicle.suspension.droop=0",
        "mount_pad.draft=0",
        "mount_pad.outline.corner_radius=0",
    ];
    let design = design("solid_pads", &keys);
    let pad = design.mount_pad().expect("a pad");
    let half = pad.outline().length / 2.0;
    let radius = |x| design.shell().outside_radius(x).expect("a shell").get();
    let radius = radius(pad.station() - half).min(radius(pad.station() + half)).min(radius(pad.station()));
    let arm = 25.0 + 92.075 - radius;
    let stress = 1.5 * 70.0 * 9.80665 * arm / (79.375 * 60.325_f64.powi(2) / 6.0);
    let found = roots(&design, "root of the mount's pad against yield, factor")[0];
    let wanted = 0.75 * 138.0 / stress;
    assert!(found < wanted * 1.001 && found > 0.95 * wanted, "{found} for {wanted}");
}

/// The joint's force on the mount by equilibrium: with the engine's mounts further ahead it tends to the force on the bushing, and
/// about the face it is that force times the bushing's station over the mount's.
#[test]
fn the_joint_pulls_at_the_mount() {
    let force = |ahead: &str| {
        let found = checks::fits_and_driveline(&design(
            "demo_mm",
            &[&format!("vehicle.loads.engine_mounts_ahead={ahead}")],
        ));
        let figure = |what: &str| {
            let all = found.driveline.figures.iter().filter(|f| f.what.contains(what));
            all.map(|f| f.range[1]).fold(0.0, f64::max)
        };
        (figure("propeller shaft's force on the mount"), figure("load, clutch let in"))
    };
    let (about_face, bushing) = force("0");
    // The bushing's middle, 339.725 − 13.589 − 44.45 / 2 − its own stand-off, lies about 1.47 times as far aft as the mount at 206.375.
    assert!(bushing > 0.0 && (about_face / bushing - 303.9 / 206.375).abs() < 0.01, "{about_face} {bushing}");
    let (far, _) = force("3000");
    assert!((far / bushing - 3303.9 / 3206.375).abs() < 0.001, "{far} {bushing}");
}

/// A flange of lugs is judged as well, and has less pressure between its bolts than where the same face is a disc's.
#[test]
fn lugs_have_a_pressure_between_bolts() {
    let keys = ["vehicle.loads={carried_mass: 70}", "mating.fasteners={face_class: class_8.8}"];
    let found = checks::fits_and_driveline(&design("short_lugs", &keys));
    let told = |name: &str| found.measurements.iter().find(|c| c.check == name).map(|c| c.value);
    let [rim, between] =
        ["pressure on the gearbox face", "pressure on the gearbox face between bolts"].map(told);
    assert!(rim.is_some_and(f64::is_finite), "{:#?}", found.not_checked);
    assert!(between.is_some_and(|b| b < rim.unwrap_or_default()), "{between:?} of {rim:?}");
}

/// The first screen tells the least reserves, by hand: value over the limit at which the part fails, or the limit over it where less is
/// better; without loads it says that nothing is known of them.
#[test]
fn the_first_screen_tells_the_least_reserve() {
    let found = checks::fits_and_driveline(&design("demo_mm", &[]));
    let factor =
        found.measurements.iter().find(|c| c.check == "mount's bolts below their proof load, factor");
    let reserve = factor.and_then(|c| Some(c.value / c.limit.as_ref()?.value)).expect("a factor");
    let told = screen(&found, Units::Mm, false);
    let line = told.lines().skip_while(|l| !l.starts_with("what bears load")).nth(1).unwrap_or_default();
    assert!(
        line.contains(&format!("{reserve:.2} times what is needed: mount's bolts below their proof")),
        "{told}"
    );
    assert!(
        !screen(&checks::fits_and_driveline(&design("minimal", &[])), Units::Mm, false)
            .contains("bears load")
    );
}
