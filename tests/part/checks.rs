//! Housings that are wrong in one way each, and the finding that must say so; good ones that must pass.

use crate::edit;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::wrong_housings::{MISFITS, WRONG, Wrong};
use rayon::prelude::*;
use tailpattern::checks::{self, Checks, Measurement, Part, Verdict};
use tailpattern::design::{Design, Form};
use tailpattern::forms::{MadeForms, Product};
use tailpattern::housing::{self, Housing};
use tailpattern::params::{self, Source};

pub(crate) fn text_of(file: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(format!("{file}.yaml"));
    std::fs::read_to_string(path).expect("readable")
}

/// A file without one of its keys, whose last word stands on no other line.
fn without(file: &str, key: &str) -> Checks {
    let word = format!("  {}:", key.rsplit('.').next().expect("a key"));
    let text = text_of(file);
    let left: String = text.lines().filter(|l| !l.contains(&word)).map(|l| format!("{l}\n")).collect();
    assert_eq!(left.lines().count() + 1, text.lines().count(), "{key} stands on one line");
    checks::fits_and_driveline(&design_of(file, &[key], left))
}

pub(crate) fn design(file: &str, keys: &[&str]) -> Design {
    let text = keys.iter().fold(text_of(file), |text, key| {
        let (path, value) = key.split_once('=').expect("path=value");
        edit::set(&text, path, value)
    });
    design_of(file, keys, text)
}

pub(crate) fn checked(file: &str, keys: &[&str]) -> Checks {
    let design = design(file, keys);
    let finished = housing::build(&design).unwrap_or_else(|e| panic!("{file} {keys:?}: {e}"));
    all_checks(&Product::new(&design, &finished), file, keys)
}

fn all_checks(product: &Product, file: &str, keys: &[&str]) -> Checks {
    checks::check(product, &Form::ALL).unwrap_or_else(|e| panic!("{file} {keys:?}: {e}"))
}

/// The part of a shipped file with its forms, which changes that shape nothing share.
struct Shipped {
    design: Design,
    finished: Housing,
    forms: MadeForms,
}

impl Shipped {
    fn of(file: &str) -> Self {
        let design = design(file, &[]);
        let finished = housing::build(&design).unwrap_or_else(|e| panic!("{file}: {e}"));
        Self { design, finished, forms: MadeForms::default() }
    }

    /// The checks of the file with changed keys.
    fn checked(&self, file: &str, keys: &[&str]) -> Checks {
        let design = design(file, keys);
        if !self.design.same_part(&design) || !self.design.same_print(&design) {
            return checked(file, keys);
        }
        all_checks(&Product::sharing(&design, &self.finished, &self.forms), file, keys)
    }
}

pub(crate) fn design_of(file: &str, keys: &[&str], text: String) -> Design {
    let source = Source::from_bytes(file, text.into_bytes()).expect("text");
    let outcome = Design::validate(params::read(&source).expect("a tree"));
    outcome.value.unwrap_or_else(|| panic!("{file} {keys:?}: {:#?}", outcome.findings))
}

/// A sweep makes only the parts of the checks that it is asked for: they must give the same alone, and share no name.
#[test]
fn parts_stand_alone() {
    let design = design("solid_pads", &[]);
    let finished = housing::build(&design).expect("a housing");
    let all = checks::each(&Product::new(&design, &finished), &Part::ALL).expect("checks");
    assert!(all.iter().map(|(p, _)| *p).eq(Part::ALL));
    let mut owner = BTreeMap::new();
    for (part, found) in &all {
        assert!(!found.measurements.is_empty(), "{part:?} finds nothing");
        let alone = checks::each(&Product::new(&design, &finished), &[*part]).expect("checks");
        assert_eq!(alone, [(*part, found.clone())]);
        for one in &found.measurements {
            assert_eq!(owner.entry(one.check).or_insert(*part), part, "{}", one.check);
        }
    }
}

/// Names of the checks that came out worse than a pass, with how.
fn bad(checks: &Checks) -> BTreeSet<(Verdict, &'static str)> {
    let bad = checks.measurements.iter().filter(|c| c.verdict() != Verdict::Pass);
    bad.map(|c| (c.verdict(), c.check)).collect()
}

#[test]
fn shipped_files_pass() {
    for file in [
        "solid_pads",
        "demo_mm",
        "demo_inch",
        "minimal",
        "pulse_sender",
        "two_mounts",
        "short_lugs",
        "long_iron",
    ] {
        let found = checked(file, &[]);
        let failed: Vec<_> = found.measurements.iter().filter(|c| c.verdict() == Verdict::Fail).collect();
        assert!(failed.is_empty(), "{file}: {failed:#?}");
        assert!(found.measurements.len() > 40, "{file}: {} checks", found.measurements.len());
        assert!(!found.not_checked.is_empty(), "{file}: what is not checked is said");
    }
}

#[test]
fn wrong_housings_fail_by_name() {
    let files: BTreeSet<&str> = WRONG.iter().map(|w| w.0).collect();
    let shipped: BTreeMap<&str, Shipped> = files.into_par_iter().map(|f| (f, Shipped::of(f))).collect();
    each_fails_by_name(WRONG, |file, keys| shipped[file].checked(file, keys));
}

/// The list of names has every check that measures something on a shipped file or a wrong one, under the form that it examines.
#[test]
fn every_check_is_listed_under_its_form() {
    for file in ["minimal", "demo_mm", "pulse_sender"] {
        let design = design(file, &[]);
        let housing = housing::build(&design).expect("a housing");
        let groups = checks::each(&Product::new(&design, &housing), &Part::ALL).expect("checks");
        for (part, found) in &groups {
            for one in &found.measurements {
                assert_eq!(checks::form_of(one.check), Some(part.form()), "{file}: {}", one.check);
            }
        }
    }
    for (file, _, wanted) in WRONG.iter().chain(MISFITS) {
        assert!(wanted.iter().all(|(_, check)| checks::form_of(check).is_some()), "{file}: {wanted:?}");
    }
}

#[test]
fn misfits_fail_by_name() {
    each_fails_by_name(MISFITS, |file, keys| checks::fits_and_driveline(&design(file, keys)));
}

/// By hand: two bolts stand half a turn apart; on a circle of 165 mm neighbours are 165 sin(180/n) apart, with four M6 19.4
/// diameters, with three M12 11.9, with six M10 8.25. Holes given as diameters count as bolts.
#[test]
fn bolts_stand_around_the_shaft() {
    let told = |count: &str, size: &str| {
        let text = text_of("minimal").replace("count: 6", count).replace("size: M10", size);
        let checks = checks::fits_and_driveline(&design_of("minimal", &[count, size], text));
        let of = |name: &str| {
            let c = checks.measurements.iter().find(|c| c.check == name).expect("checked");
            (c.verdict(), c.value)
        };
        [of("angle between bolts of the gearbox face"), of("spacing of bolts of the gearbox face")]
    };
    for (count, size, angle, spacing) in [
        ("count: 6", "size: M10", (Verdict::Pass, 60.0), (Verdict::Pass, 8.25)),
        ("count: 4", "size: M6", (Verdict::Pass, 90.0), (Verdict::Fail, 165.0 / 2.0_f64.sqrt() / 6.0)),
        ("count: 4", "size: 14", (Verdict::Pass, 90.0), (Verdict::Pass, 165.0 / 2.0_f64.sqrt() / 14.0)),
        ("count: 3", "size: M12", (Verdict::Pass, 120.0), (Verdict::Warn, 165.0 * 0.75_f64.sqrt() / 12.0)),
        ("count: 2", "size: M12", (Verdict::Fail, 180.0), (Verdict::Fail, 165.0 / 12.0)),
        ("count: 1", "size: M12", (Verdict::Fail, 360.0), (Verdict::Pass, 0.0)),
    ] {
        for (got, want) in told(count, size).into_iter().zip([angle, spacing]) {
            assert!(got.0 == want.0 && (got.1 - want.1).abs() < 1e-9, "{count} {size}: {got:?} for {want:?}");
        }
    }
}

fn each_fails_by_name(wrong: &[Wrong], checked: impl Fn(&str, &[&str]) -> Checks + Sync) {
    let files: BTreeSet<&str> = wrong.iter().map(|w| w.0).collect();
    let shipped: BTreeMap<&str, Checks> = files.into_par_iter().map(|f| (f, checked(f, &[]))).collect();
    let faults: Vec<String> = wrong
        .par_iter()
        .filter_map(|(file, keys, expected)| {
            wrongly_told(&shipped[file], &checked(file, keys), expected, file, keys)
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What is told anew where it is not what was expected.
fn wrongly_told(
    before: &Checks,
    after: &Checks,
    expected: &[(Verdict, &'static str)],
    file: &str,
    keys: &[&str],
) -> Option<String> {
    let new: BTreeSet<_> = bad(after).difference(&bad(before)).copied().collect();
    let fails = |all: &mut dyn Iterator<Item = &(Verdict, &'static str)>| -> BTreeSet<_> {
        all.filter(|(v, _)| *v == Verdict::Fail).copied().collect()
    };
    let told = expected.iter().all(|one| {
        // What warned before must warn of one more.
        let count = |c: &Checks| c.measurements.iter().filter(|x| (x.verdict(), x.check) == *one).count();
        new.contains(one) || count(after) > count(before)
    });
    let right = told && fails(&mut new.iter()) == fails(&mut expected.iter());
    (!right).then(|| format!("{file} {keys:?}: {new:?}"))
}

/// From the drawings of the files: rim less bolt circle over the bolt, (219.075 - 185.7375) / 2 / 10 and (200 - 165) / 2 / 10;
/// pads' sides less their holes' pattern, (60.325 - 26.9875) / 2 / 10 and (85.725 - 58.7375) / 2 / 8. A thin flange loses its rim to its rounded edges, its holes lie no nearer to the edge.
#[test]
fn holes_lie_as_far_from_edges_as_drawn() {
    let edges = |file: &str, keys: &[&str]| -> BTreeMap<String, f64> {
        let design = design(file, keys);
        let finished = housing::build(&design).expect("a housing");
        let found = checks::each(&Product::new(&design, &finished), &[Part::Holes]).expect("checks");
        let edges = found[0].1.measurements.iter().filter(|c| c.check == "hole's centre to edge, diameters");
        edges.map(|c| (c.what.clone(), c.value)).collect()
    };
    let near = |value: f64, wanted: f64| assert!((value - wanted).abs() < 1e-6, "{value} is not {wanted}");
    for thickness in ["12", "5"] {
        let key = format!("gearbox_face.flange.thickness={thickness}");
        near(edges("minimal", &[&key])["gearbox_face, 6 bolt holes"], 1.75);
    }
    let demo = edges("solid_pads", &[]);
    near(demo["gearbox_face, 6 bolt holes"], 1.666_875);
    near(demo["mount_pad, 4 tapped holes"], 1.666_875);
    near(demo["shift_box_pad, 6 tapped holes"], 1.686_718_75);
}

/// However thick the shell is, its wall is told.
#[test]
fn thick_walls_are_told() {
    let design = design("minimal", &["shell.wall=10.5"]);
    let finished = housing::build(&design).expect("a housing");
    let found = checks::each(&Product::new(&design, &finished), &[Part::Walls]).expect("checks");
    let names: BTreeSet<&str> = found[0].1.measurements.iter().map(|c| c.check).collect();
    assert!(names.contains("wall") && names.contains("oil wall, worst case"), "{names:?}");
}

/// A wide and deep spot face reaches the shell.
#[test]
fn a_spot_face_in_the_wall() {
    let text =
        text_of("solid_pads").replace("diameter: 22.225", "diameter: 44").replace("depth: 0.635", "depth: 4");
    let design = design_of("solid_pads", &[], text);
    let finished = housing::build(&design).expect("a housing");
    let found = checks::check(&Product::new(&design, &finished), &[Form::Finished]).expect("checks");
    assert!(bad(&found).contains(&(Verdict::Warn, "spot face cuts a wall, edge")), "{:?}", bad(&found));
}

/// A drain plug in the sender's bore, which is more than twice as wide and takes away all that would stand around its thread.
const PLUG_IN_A_BORE: &str = include_str!("plug_in_a_bore.yaml");

/// The holes without a wall, each with the place told.
fn lost_holes(text: String) -> Vec<(String, Vec<f64>, Verdict)> {
    let design = design_of("plug_in_a_bore", &[], text);
    let finished = housing::build(&design).expect("a housing: its solid is sound");
    let found =
        checks::holes_cut_of(&design, &finished).into_iter().filter(|m| m.check == "holes without a wall");
    found.map(|m| (m.what.clone(), m.at.iter().map(|p| p.x).collect(), m.verdict())).collect()
}

/// A hole of which nothing is left fails by its name and that of what took it, at its place; moved along the shaft, the same plug passes.
#[test]
fn a_hole_that_loses_its_whole_wall_is_told() {
    let told = lost_holes(PLUG_IN_A_BORE.to_owned());
    let [(what, at, Verdict::Fail)] = &told[..] else { panic!("{told:?}") };
    assert!(what.starts_with("plugs/") && what.contains("taken by sender_boss/bore step 1"), "{what}");
    assert!(matches!(at[..], [x] if (x - 150.0).abs() < 1e-9), "{at:?}");
    let moved = PLUG_IN_A_BORE.replace("drain, station: 150", "drain, station: 90");
    let told = lost_holes(moved.replace("height: 60", "height: 70"));
    assert!(matches!(&told[..], [(what, _, Verdict::Pass)] if what == "all holes"), "{told:?}");
}

/// The guide's block of fits and driveline, put behind the smallest file.
#[test]
fn the_guide_shows_a_block_to_begin_with() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/guide/fits.md");
    let page = std::fs::read_to_string(page).expect("readable");
    let block = page.lines().skip_while(|l| *l != "mating:").take_while(|l| *l != "```");
    let block: String = block.map(|l| format!("{l}\n")).collect();
    assert!(block.contains("vehicle:"), "{block}");
    let text = text_of("minimal") + "\n" + &block;
    let checks = checks::fits_and_driveline(&design_of("minimal", &["guide"], text));
    let failed: Vec<_> = checks.measurements.iter().filter(|c| c.verdict() == Verdict::Fail).collect();
    assert!(failed.is_empty(), "{failed:#?}");
    for name in ["interference of the bushing", "clearance of the register", "speed of the propeller shaft"] {
        assert!(checks.measurements.iter().any(|c| c.check == name), "{name} is checked");
    }
}

/// What a file does not tell is not checked, and the key to set is named; nothing of it passes.
#[test]
fn what_is_not_told_is_not_checked() {
    let found = checks::fits_and_driveline(&design("minimal", &[]));
    // How its bolts stand is told by the flange itself.
    let beyond = found.measurements.iter().filter(|c| !c.check.ends_with("bolts of the gearbox face"));
    assert_eq!(beyond.count(), 0, "nothing is told, nothing is checked");
    let told: Vec<_> = found.not_checked.iter().filter(|n| n.because.contains('`')).collect();
    for name in ["press fit of the bushing", "bolt heads off the seal", "joint angles", "line-up of bores"] {
        let key = told.iter().find(|n| n.check == name).map(|n| n.because.as_str());
        assert!(key.is_some_and(|k| k.contains("`mating.") || k.contains("`vehicle.")), "{name}: {key:?}");
    }
    assert!(found.driveline.figures.is_empty() && found.driveline.tables.is_empty(), "no figures of nothing");
    // One key less each time: its check goes from the checked to those that are not.
    for (key, gone, check) in [
        ("mating.oil_temperature", "bushing tight up to", "bushing when hot"),
        ("mating.yoke.torque", "yoke in shear, factor of safety", "strength of the yoke"),
        ("vehicle.axle.top_speed", "speed of the seal's lip", "speed of the seal's lip"),
        ("mating.yoke.bottoms_at", "yoke before it bottoms", "way of the yoke inwards"),
        (
            "vehicle.propshaft.tube_wall",
            "speed of the propeller shaft",
            "critical speed of the propeller shaft",
        ),
    ] {
        let found = without("solid_pads", key);
        assert!(found.measurements.iter().all(|c| c.check != gone), "{key}: {gone} is still checked");
        let because = found.not_checked.iter().find(|n| n.check == check).map(|n| n.because.as_str());
        assert!(because.is_some_and(|b| b.contains(key)), "{key}: {because:?}");
    }
}

/// A size outside the tables is told, not guessed.
#[test]
fn limits_of_validity_are_told() {
    for (key, check, word) in [
        ("mating.bushing.running_fit=K9/h6", "running clearance of the yoke", "K ends at grade 8"),
        ("mating.seal.width=25", "press and depth of the seal", "7 to 20 mm"),
        ("mating.register.fit=RC4", "fit of the register", "3.15 in"),
    ] {
        let found = checks::fits_and_driveline(&design("solid_pads", &[key]));
        let because = found.not_checked.iter().find(|n| n.check == check).map(|n| n.because.as_str());
        assert!(because.is_some_and(|b| b.contains(word)), "{key}: {because:?}");
    }
}

/// Gears place the boss: their centre distance and shaft angle, on either side of the shaft.
#[test]
fn gears_place_the_sender_boss() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/solid_pads.yaml");
    let text = std::fs::read_to_string(path).expect("readable");
    let text: String = text
        .lines()
        .filter(|l| !(l.starts_with("  side_offset: 27.178") || l.starts_with("  tilt: 10 deg")))
        .map(|l| format!("{l}\n"))
        .collect();
    for (by, sign) in [("gears", 1.0), ("gears_mirrored", -1.0)] {
        let text = edit::set(&text, "sender_boss.placed_by", by);
        let source = Source::from_bytes("demo", text.into_bytes()).expect("text");
        let outcome = Design::validate(params::read(&source).expect("a tree"));
        let design = outcome.value.unwrap_or_else(|| panic!("{by}: {:#?}", outcome.findings));
        let boss = design.sender_boss().expect("a boss");
        // 0.425 (7 / cos 80.8° + 19 / cos 19.2°), worked out with numpy.
        assert!(
            (boss.side_offset().get() - sign * 27.158_183_867).abs() < 1e-6,
            "{by}: {}",
            boss.side_offset()
        );
        // Left hands: 90 + 80.8 + 19.2 is half a turn and 10 degrees.
        assert!((boss.tilt().get() - sign * 10.0).abs() < 1e-9, "{by}: {}", boss.tilt());
        let assumed = design.assumed().iter().filter(|a| a.source.contains("gear handbook")).count();
        assert_eq!(assumed, 2, "{by}: both are told as derived");
    }
}

/// A file's own limit shows as such.
#[test]
fn limits_of_the_file_are_named() {
    let found = checked("solid_pads", &["limits.wall=2"]);
    let walls: Vec<_> = found.measurements.iter().filter(|c| c.check == "wall").collect();
    assert!(!walls.is_empty(), "there are walls");
    for wall in walls {
        let limit = wall.deciding().expect("a limit");
        assert!(limit.given && (limit.value - 2.0).abs() < 1e-12, "{limit:?}");
        assert!(limit.source.contains("parameter file"), "{limit:?}");
    }
}

/// The same walls whatever the number of threads.
#[test]
fn the_same_findings_each_time() {
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    let alone = one.install(|| checked("pulse_sender", &[]));
    assert_eq!(alone, checked("pulse_sender", &[]));
}

/// Thick places of features with an agreed feeder or chill are listed with their value, and have no verdict; those of others
/// keep theirs.
#[test]
fn agreed_feeders_are_listed_as_not_judged() {
    let text = text_of("solid_pads").replace("\ncasting:\n", "\ncasting:\n  fed: [mount_pad]\n");
    let design = design_of("solid_pads", &[], text);
    let finished = housing::build(&design).expect("a housing");
    let found = checks::check(&Product::new(&design, &finished), &[Form::Casting]).expect("checks");
    let of = |feature: &str| {
        let thick = |c: &&Measurement| {
            ["hot spot, walls", "heavy lump, modulus in walls", "change of section, ratio"].contains(&c.check)
                && c.what.ends_with(feature)
        };
        found.measurements.iter().filter(thick).count()
    };
    let told = found.not_checked.iter().filter(|n| n.because.contains("agreed for mount_pad")).count();
    assert_eq!((of("mount_pad"), told), (0, 3), "{:#?}", found.not_checked);
    assert!(of("sender_boss") >= 3, "no feeder is agreed there");
}
