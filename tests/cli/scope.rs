//! A rule stops only what it concerns: a form, fits and driveline, what lies about. Everything else is made all the same.

use std::fs;
use std::path::Path;

use super::{err, file, out, tailpattern};

/// What an error of a file of `tests/rejects` stands in the way of.
#[derive(Clone, Copy, PartialEq)]
enum Against {
    /// These forms; `check` fails under this name.
    Forms(&'static [&'static str], &'static str),
    /// Fits and driveline.
    Fits,
    /// What is beside the housing.
    Beside,
}

/// Each narrow rule by a file that breaks no other.
const NARROW: &[(&str, &str, Against)] = {
    use Against::{Beside, Fits, Forms};
    &[
        ("d160_bed_small", "D160", Forms(&["trial-print"], "trial print can be made")),
        ("d161_low_printer", "D161", Forms(&["trial-print"], "trial print can be made")),
        ("d162_wide_vent", "D162", Forms(&["core"], "core can be made")),
        ("d180_thick_barrel", "D180", Fits),
        ("d181_no_bushing", "D181", Fits),
        ("d182_wide_spline", "D182", Fits),
        ("d182_wide_pitch", "D182", Fits),
        ("d182_long_spline", "D182", Fits),
        ("d183_long_bushing", "D183", Fits),
        ("d184_no_tube", "D184", Fits),
        ("d185_joint_ahead", "D185", Fits),
        ("d185_spline_backwards", "D185", Fits),
        ("d185_through_joint", "D185", Fits),
        ("d187_short_arm", "D187", Fits),
        ("d188_backlash", "D188", Fits),
        ("d189_plain", "D189", Fits),
        ("d193_no_such_file", "D193", Beside),
    ]
};

fn text(path: &Path) -> &str {
    path.to_str().expect("a path")
}

/// A call's exit code, what it printed, what it complained of.
fn called(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = tailpattern(arguments);
    (output.status.code(), out(&output), err(&output))
}

#[test]
fn narrow_rules_do_not_stop_the_finished_part() {
    for (name, code, _) in NARROW {
        let folder = tempfile::tempdir().expect("a folder");
        let input = file(&format!("tests/rejects/{name}.yaml"));
        let made = called(&["build", text(&input), "--form", "finished", "--out", text(folder.path())]);
        assert_eq!(made.0, Some(0), "{name}: {}", made.2);
        assert!(made.2.contains(&format!("warning[{code}]")) && made.2.contains("set aside"), "{}", made.2);
        assert!(!made.2.contains("error["), "{name}: {}", made.2);
        assert!(folder.path().join(name).join("finished.step").is_file(), "{name}");
    }
}

#[test]
fn a_form_that_a_rule_stands_against_is_not_made_and_costs_no_other() {
    for (name, code, against) in NARROW {
        let Against::Forms(forms, _) = against else { continue };
        let folder = tempfile::tempdir().expect("a folder");
        let input = file(&format!("tests/rejects/{name}.yaml"));
        let asked = format!("finished,core-box,{}", forms.join(","));
        let made = called(&["build", text(&input), "--form", &asked, "--out", text(folder.path())]);
        assert_eq!(made.0, Some(3), "{name}: {}", made.2);
        assert!(made.2.contains(&format!("error[{code}]")) && made.2.contains("error[G001]"), "{}", made.2);
        let files: Vec<String> = fs::read_dir(folder.path().join(name))
            .expect("a folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        let there = |stem: &str| files.iter().any(|f| f.starts_with(stem));
        assert!(there("finished.step") && there("core_box_upper.step"), "{name}: {files:?}");
        assert!(!there("trial_print") && !there("core."), "{name}: {files:?}");
    }
}

#[test]
fn check_fails_by_a_narrow_rule_and_tells_it_at_its_line() {
    for (name, code, against) in NARROW {
        let input = file(&format!("tests/rejects/{name}.yaml"));
        let (exit, told, complained) = called(&["check", text(&input)]);
        assert!(complained.contains(&format!("[{code}]")) && complained.contains("--> "), "{complained}");
        let wanted = match against {
            Against::Forms(_, check) => check,
            Against::Fits => "parts that go together",
            Against::Beside => {
                assert_eq!(exit, Some(2), "{name}: {complained}");
                continue;
            }
        };
        assert_eq!(exit, Some(1), "{name}: {told}{complained}");
        let failed = told.lines().any(|l| l.starts_with("FAIL") && l.contains(wanted));
        assert!(failed && told.contains(code), "{name}: {told}");
    }
}

/// What `check` measures itself: one fault, told once in each command, and both fail by it.
#[test]
fn a_limit_of_check_fails_in_build_and_in_check() {
    for (name, code) in [("d003_near_edge", "D003"), ("d052_near_edge", "D052")] {
        let folder = tempfile::tempdir().expect("a folder");
        let input = file(&format!("tests/rejects/{name}.yaml"));
        let made = called(&["build", text(&input), "--form", "finished", "--out", text(folder.path())]);
        assert_eq!(made.0, Some(1), "{name}: {}", made.2);
        assert!(made.2.contains("error[G006]") && made.2.contains("centre to edge"), "{}", made.2);
        assert!(!made.2.contains(code), "{}", made.2);
        assert!(folder.path().join(name).join("finished.step").is_file(), "{name}");
        let (exit, told, complained) = called(&["check", text(&input), "--form", "finished"]);
        let failed = told.lines().any(|l| l.starts_with("FAIL") && l.contains("centre to edge"));
        assert!(exit == Some(1) && failed && !complained.contains(code), "{name}: {told}{complained}");
        assert!(
            told.lines().next().is_some_and(|l| l.contains(" failed, ")),
            "the counts come first: {told}"
        );
    }
}

/// Where a rule finds metal thin, only what `check` measures is a verdict, and `build` comes to the same.
#[test]
fn thin_metal_has_one_verdict_in_build_and_check() {
    let measured = ["metal beside a machined face", "blind hole floor", "wall ", "oil wall"];
    for (name, code) in [
        ("d034_thin_ring", "D034"),
        ("d057_thin_floor", "D057"),
        ("d063_thin_wall", "D063"),
        ("d093_rail_thin", "D093"),
        ("d117_thin_wall", "D117"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let input = file(&format!("tests/rejects/{name}.yaml"));
        let made = called(&["build", text(&input), "--form", "finished", "--out", text(folder.path())]);
        assert!(made.2.contains(&format!("warning[{code}]")), "{name}: {}", made.2);
        let (_, told, complained) = called(&["check", text(&input), "--form", "finished", "--all"]);
        assert!(complained.contains(&format!("warning[{code}]")), "{name}: {complained}");
        let fails = told.lines().filter_map(|l| l.strip_prefix("FAIL  "));
        let failed = fails.filter(|l| measured.iter().any(|check| l.starts_with(check))).count();
        assert_eq!(made.0, Some(i32::from(failed > 0)), "{name}: {told}{}", made.2);
        assert_eq!(made.2.contains("error[G006]"), failed > 0, "{name}: {}", made.2);
    }
}

/// A hole of which another bore leaves no wall fails in `build` and in `check`, and its part is written all the same.
#[test]
fn a_hole_without_a_wall_has_one_verdict_in_build_and_check() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = file("tests/part/plug_in_a_bore.yaml");
    let made = called(&["build", text(&input), "--form", "finished", "--out", text(folder.path())]);
    assert_eq!(made.0, Some(1), "{}", made.2);
    assert!(made.2.contains("error[G006]") && made.2.contains("holes without a wall"), "{}", made.2);
    assert!(made.2.contains("until metal stands around it"), "what to do: {}", made.2);
    assert!(folder.path().join("plug_in_a_bore").join("finished.step").is_file(), "{}", made.2);
    let (exit, told, _) = called(&["check", text(&input), "--form", "finished"]);
    let failed = told.lines().any(|l| l.starts_with("FAIL") && l.contains("holes without a wall"));
    assert!(exit == Some(1) && failed, "{told}");
}

/// The demonstration with one of its values changed.
fn demo(folder: &Path, from: &str, to: &str) -> String {
    let whole = fs::read_to_string(file("params/demo_mm.yaml")).expect("readable");
    let changed = whole.replacen(from, to, 1);
    assert_ne!(whole, changed, "{from} is there");
    let path = folder.join("changed.yaml");
    fs::write(&path, changed).expect("written");
    text(&path).to_owned()
}

/// A printer that is too small by little: all forms but the print are made, and the housing is placed all the same.
#[test]
fn a_small_bed_concerns_the_print_only() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = demo(folder.path(), "bed_width: 250", "bed_width: 224");
    let made = called(&["build", &input, "--out", text(folder.path())]);
    assert!(made.0 == Some(3) && made.2.contains("error[D160]"), "{}", made.2);
    for there in ["finished.step", "casting.step", "core.step", "core_box_lower.step", "pattern_upper.step"] {
        assert!(folder.path().join("changed").join(there).is_file(), "{there}");
    }
    let placed = called(&["place", &input]);
    assert!(placed.0 == Some(0) && placed.2.contains("warning[D160]"), "{}", placed.2);
}

/// A barrel that is too thick for the bushing: the part is made, its fits fail, and nothing is placed by it.
#[test]
fn a_thick_barrel_concerns_fits_and_places_only() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = demo(folder.path(), "barrel_diameter: 39.6875", "barrel_diameter: 40.5");
    let made = called(&["build", &input, "--form", "finished", "--out", text(folder.path())]);
    assert!(made.0 == Some(0) && made.2.contains("warning[D180]"), "{}", made.2);
    let placed = called(&["place", &input]);
    assert!(placed.0 == Some(2) && placed.2.contains("error[D180]"), "{}", placed.2);
    let (exit, told, _) = called(&["check", &input, "--form", "finished", "--all"]);
    assert_eq!(exit, Some(1), "{told}");
    // What hangs on the yoke is not known; what does not is checked as before.
    let unknown = told.lines().find(|l| l.starts_with("not checked: running clearance of the yoke"));
    assert!(unknown.is_some_and(|l| l.contains("D180")), "{told}");
    assert!(
        told.lines().any(|l| l.starts_with("pass") && l.contains("interference of the bushing")),
        "{told}"
    );
    // A row of a sweep is made, and fails.
    let swept = folder.path().join("swept");
    let over = ["--over", "mating.yoke.barrel_diameter=39.6875,40.5", "--check", "length of the bushing"];
    let whole = file("params/demo_mm.yaml");
    let done = called(&[&["sweep", text(&whole)], &over[..], &["--out", text(&swept)]].concat());
    assert_eq!(done.0, Some(0), "{}", done.2);
    let mut rows = csv::Reader::from_path(swept.join("rows.csv")).expect("rows");
    let at = rows.headers().expect("a head").iter().position(|c| c == "verdict").expect("the column");
    let verdicts: Vec<String> = rows.records().map(|row| row.expect("a row")[at].to_owned()).collect();
    assert_eq!(verdicts, ["pass", "fail"], "each row's verdict");
}

/// A value that is wrong by itself is bad input to every command, whatever section it stands in.
#[test]
fn a_wrong_value_is_told_by_every_command() {
    let folder = tempfile::tempdir().expect("a folder");
    for (from, to) in
        [("bed_width: 250", "bed_width: -1"), ("barrel_diameter: 39.6875", "barrel_diameter: thick")]
    {
        let input = demo(folder.path(), from, to);
        for command in ["build", "check", "place"] {
            let (exit, _, complained) = called(&[command, &input]);
            assert_eq!(exit, Some(2), "{command} {to}: {complained}");
            assert!(complained.contains("error[P01") && complained.contains("changed.yaml:"), "{complained}");
        }
    }
}
