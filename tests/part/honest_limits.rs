//! Checks that used to pass what an engineer would not sign: each case failed before its limit was put right.

use crate::checks::{checked, design};
use tailpattern::checks::{self, Checks, Measurement, Verdict};

fn fits(file: &str, keys: &[&str]) -> Checks {
    checks::fits_and_driveline(&design(file, keys))
}

fn one<'a>(found: &'a Checks, check: &str, what: &str) -> &'a Measurement {
    let named = |c: &&Measurement| c.check == check && c.what.contains(what);
    found
        .measurements
        .iter()
        .find(named)
        .unwrap_or_else(|| panic!("{check} {what}: {:#?}", found.not_checked))
}

/// A coarser casting never has a thicker worst wall; beyond ISO 8062-3 table 2 (walls of DCTG 12 and 13 thinner than 16 mm)
/// there is no worst wall, and the report says so.
#[test]
fn a_coarser_casting_has_no_thicker_worst_wall() {
    let worst = |grade: u8| {
        let found = checked("demo_mm", &[&format!("casting.stock.tolerance_grade={grade}")]);
        let walls = found.measurements.iter().filter(|c| c.check == "oil wall, worst case").map(|c| c.value);
        let told = found.not_checked.iter().any(|n| n.check == "oil wall, worst case");
        (walls.fold(f64::INFINITY, f64::min), told)
    };
    let mut last = f64::INFINITY;
    for grade in 8..=11 {
        let (wall, told) = worst(grade);
        assert!(wall < last && !told, "{grade}: {wall} after {last}");
        last = wall;
    }
    for grade in [12, 13] {
        let (wall, told) = worst(grade);
        assert!(wall.is_infinite() && told, "{grade}: {wall}");
    }
}

/// DIN 7190-1:2017 takes 0.4 of each Rz off: 3 and 6 µm of roughness cost 3.6 µm, which H7/s6 does not have at 110 °C.
/// With smooth surfaces the same fit is tight up to 127.6 °C: 20 + 0.018 / ((21.4 − 18) 10⁻⁶ · 49.2125).
#[test]
fn rough_surfaces_loosen_a_bushing() {
    let tight = |keys: &[&str]| {
        let keys: Vec<&str> = ["mating.bushing.seat_fit=H7/s6"].iter().chain(keys).copied().collect();
        let found = fits("demo_mm", &keys);
        let c = one(&found, "bushing tight up to", "least");
        (c.verdict(), c.value)
    };
    let smooth = tight(&["mating.bushing.seat_roughness=0", "mating.bushing.outside_roughness=0"]);
    let rough = tight(&[]);
    let by_hand = |interference: f64| 20.0 + interference / (3.4e-6 * 49.2125);
    assert!(smooth.0 == Verdict::Pass && (smooth.1 - by_hand(0.018)).abs() < 1e-6, "{smooth:?}");
    assert!(rough.0 == Verdict::Fail && (rough.1 - by_hand(0.0144)).abs() < 1e-6, "{rough:?}");
}

/// In a cold start the bronze shrinks more than the barrel, and the aluminium squeezes it besides.
#[test]
fn a_cold_start_is_looked_at() {
    let found = fits("demo_mm", &["mating.bushing.coldest=-70 °C"]);
    assert_eq!(one(&found, "running clearance of the yoke when cold", "least").verdict(), Verdict::Fail);
    let found = fits("demo_mm", &[]);
    assert!(one(&found, "running clearance of the yoke when cold", "least").verdict() == Verdict::Pass);
    // Bronze in iron comes loose when cold: it shrinks more.
    let keys =
        ["mating.bushing.material=bronze", "mating.bushing.seat_fit=H7/p6", "mating.bushing.coldest=-60 °C"];
    assert_eq!(
        one(&fits("long_iron", &keys), "interference of the bushing when cold", "").verdict(),
        Verdict::Fail
    );
}

/// Stripping by `FED-STD-H28` and 356-T6 of 207 `MPa`: M10 of class 8.8 wants 1.74 diameters, of class 10.9 by 1040 / 800 more.
#[test]
fn threads_strip_before_the_bolt_breaks() {
    let wanted = |keys: &[&str]| {
        let found = checked("solid_pads", keys);
        let c = one(&found, "thread engagement, diameters", "mount_pad");
        (c.verdict(), c.deciding().expect("a limit").value)
    };
    let (verdict, common) = wanted(&[]);
    assert!(verdict == Verdict::Pass && (common - 1.74).abs() < 0.005, "{common}");
    let (verdict, strong) = wanted(&["mating.fasteners.class=class_10.9"]);
    assert!(verdict == Verdict::Fail && (strong / common - 1.3).abs() < 1e-9, "{strong}");
    let (verdict, _) = wanted(&["mount_pad.holes.depth=16", "mount_pad.holes.drill_depth=21"]);
    assert_eq!(verdict, Verdict::Fail, "1.6 diameters");
}

#[test]
fn nitrile_does_not_stand_hot_oil() {
    let keys = ["mating.seal.lip=nbr", "mating.oil_temperature=150 °C"];
    assert_eq!(
        one(&fits("demo_mm", &keys), "oil's temperature at the seal's lip", "").verdict(),
        Verdict::Fail
    );
}

/// A face out of square by 0.05 mm over 227 mm tilts the bushing's far end, 326.1 mm behind it, by 0.0718 mm.
#[test]
fn faces_out_of_square_tilt_the_bushing() {
    let worst = |square: &str| {
        let keys = [
            &format!("mating.tolerances.face_squareness={square}") as &str,
            "mating.tolerances.gearbox_squareness=0",
        ];
        one(&fits("demo_mm", &keys), "line-up with the gearbox's shaft", "bushing, worst").value
    };
    let tilted = worst("0.05") - worst("0");
    assert!((tilted - 0.05 * 326.136 / 227.0125).abs() < 1e-9, "{tilted}");
}

/// The barrel hangs lowest in the hot bushing, so the seal sees more offset there.
#[test]
fn the_seal_sees_the_hot_clearance() {
    let offset = |oil: &str| {
        let key = format!("mating.oil_temperature={oil}");
        one(&fits("demo_mm", &[&key]), "offset and runout under the seal", "offset from").value
    };
    assert!(offset("110 °C") > offset("20 °C") + 0.01, "{} and {}", offset("110 °C"), offset("20 °C"));
}

/// A clutch let in with a jerk: the torque counts twice.
#[test]
fn the_yoke_bears_a_shock() {
    let factor = |shock: &str| {
        let key = format!("mating.yoke.shock_factor={shock}");
        one(&fits("demo_mm", &[&key]), "yoke in shear, factor of safety", "barrel").value
    };
    assert!((factor("1") / factor("2") - 2.0).abs() < 1e-12, "{}", factor("2"));
}

#[test]
fn limits_that_cried_wolf_are_quiet() {
    let found = fits("demo_mm", &["mating.yoke.bottoms_at=246.0625"]);
    assert_eq!(one(&found, "yoke before it bottoms", "ride height").verdict(), Verdict::Pass, "3/4 in");
    // 820 × 3.42 × 7 / 19 = 1033.2 turns on a mile; a dial for 1034 reads 0.08 % low.
    let found = fits("demo_mm", &["vehicle.instrument.turns_per_mile=1034"]);
    let low = one(&found, "speedometer shows too much by", "teeth");
    assert!(low.value < 0.0 && low.verdict() == Verdict::Pass, "{}", low.value);
    let found = checked("minimal", &[]);
    assert_eq!(
        one(&found, "hole's centre to edge, diameters", "gearbox_face").verdict(),
        Verdict::Pass,
        "1.75 d"
    );
}

/// A lump that is found by its ball, by its modulus and as a change of section is one finding.
#[test]
fn one_lump_is_one_finding() {
    let found = checked("solid_pads", &[]);
    let lump = |c: &&Measurement| c.verdict() == Verdict::Warn && c.what.ends_with("mount_pad");
    let told: Vec<&Measurement> = found.measurements.iter().filter(lump).collect();
    let own = told.iter().filter(|c| c.same_as.is_none() && c.check != "undercut").count();
    assert!(told.len() >= 3 && own == 1, "{told:#?}");
    let warned = found.measurements.iter().filter(|c| c.verdict() == Verdict::Warn).count();
    assert!(found.count(Verdict::Warn) < warned, "{warned}");
}

/// Limits that were too kind.
#[test]
fn limits_that_were_too_kind_speak() {
    // 105 mph × 3.42 × 820 / 60 = 4908 rev/min, beyond half of 8319.
    assert_eq!(one(&fits("solid_pads", &[]), "half the critical speed", "").verdict(), Verdict::Warn);
    let least = |file: &str| {
        let found = checked(file, &[]);
        one(&found, "wall", "").deciding().expect("a limit").value
    };
    assert!((least("demo_mm") - 3.0 * (1.0 + (339.725 - 150.0) / 350.0 * 2.0 / 3.0)).abs() < 1e-9);
    assert_eq!(design("minimal", &[]).casting().stock().tolerance_grade(), 11, "a single casting");
}
