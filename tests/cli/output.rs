//! Where results go: targets are tested before the work, a full standard output is an error, one form's failure costs
//! no other.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use super::{err, file, out, tailpattern};

fn text(path: &Path) -> &str {
    path.to_str().expect("a path")
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_standard_output_is_an_error_and_a_closed_one_is_none() {
    let minimal = file("params/minimal.yaml");
    for arguments in
        [&["describe", "tail"][..], &["--help"], &["check", text(&minimal), "--form", "finished"]]
    {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
        let output = Command::new(env!("CARGO_BIN_EXE_tailpattern"))
            .args(arguments)
            .stdout(full)
            .stderr(Stdio::piped())
            .output()
            .expect("the program runs");
        assert_eq!(output.status.code(), Some(4), "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains("standard output cannot be written"), "{}", err(&output));
    }
    let mut child = Command::new(env!("CARGO_BIN_EXE_tailpattern"))
        .args(["describe", "--schema"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("ended");
    assert!(output.status.code() == Some(0) && err(&output).is_empty(), "closed: {}", err(&output));
}

#[test]
fn a_bad_target_leaves_no_folder() {
    let dir = tempfile::tempdir().expect("a folder");
    let minimal = file("params/minimal.yaml");
    let (taken, new) = (dir.path().join("taken"), dir.path().join("new"));
    fs::create_dir(&taken).expect("a folder in the way");
    for option in ["--measured", "--tree", "--timing"] {
        let output = tailpattern(&["build", text(&minimal), "--out", text(&new), option, text(&taken)]);
        assert_eq!(output.status.code(), Some(4), "{option}: {}", err(&output));
        assert!(err(&output).contains("is a folder") && !new.exists(), "{option}: {}", err(&output));
    }
}

#[test]
fn no_target_of_check_is_written_where_one_is_bad() {
    let dir = tempfile::tempdir().expect("a folder");
    let minimal = file("params/minimal.yaml");
    let json = dir.path().join("new/findings.json");
    for option in ["--wall-map", "--hot-spot-map", "--modulus-map"] {
        let taken = text(dir.path());
        let output = tailpattern(&["check", text(&minimal), "--json", text(&json), option, taken]);
        assert_eq!(output.status.code(), Some(4), "{option}: {}", err(&output));
        assert!(out(&output).is_empty() && !dir.path().join("new").exists(), "{option}: {}", out(&output));
    }
}

#[test]
fn results_about_a_form_that_is_left_out_are_refused() {
    let dir = tempfile::tempdir().expect("a folder");
    let minimal = file("params/minimal.yaml");
    let map = dir.path().join("map.ply");
    for (form, option) in
        [("casting", "--wall-map"), ("finished", "--hot-spot-map"), ("finished", "--modulus-map")]
    {
        let output = tailpattern(&["check", text(&minimal), "--form", form, option, text(&map)]);
        assert_eq!(output.status.code(), Some(2), "{form} {option}");
        assert!(err(&output).contains("add ") && !map.exists(), "{}", err(&output));
    }
}

#[test]
fn a_folder_as_parameter_file_is_told() {
    for command in ["build", "check", "place"] {
        let output = tailpattern(&[command, text(&file("params"))]);
        assert_eq!(output.status.code(), Some(4), "{command}");
        assert!(err(&output).contains("name a parameter file in this folder"), "{}", err(&output));
    }
}

#[test]
fn forms_beside_a_failed_one_are_written_and_told() {
    let dir = tempfile::tempdir().expect("a folder");
    let input = file("tests/rejects/d162_wide_vent.yaml");
    let output = tailpattern(&["build", text(&input), "--form", "finished,core", "--out", text(dir.path())]);
    assert_eq!(output.status.code(), Some(3), "{}", err(&output));
    assert!(err(&output).contains("not made: core; written: finished (exit code 3)"), "{}", err(&output));
    let there = |name: &str| dir.path().join("d162_wide_vent").join(name).is_file();
    assert!(there("finished.step") && !there("core.step"), "the files");
    assert!(!out(&output).contains("1 further forms"), "{}", out(&output));
}

/// The core of a pad that leans by 3 degrees is nowhere wider than the part's own hollow: its casting holds the part, and all
/// forms are written. It lacked 10 cm³ when a core without room for its draft kept its outline at the narrow end.
#[test]
fn a_leaning_pad_with_a_hollow_has_a_casting_that_holds_it() {
    let dir = tempfile::tempdir().expect("a folder");
    let input = file("tests/cli/tilted_hollow.yaml");
    let output = tailpattern(&[
        "build",
        text(&input),
        "--form",
        "casting,pattern,core,core-box",
        "--out",
        text(dir.path()),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(!err(&output).contains("G003"), "{}", err(&output));
    for name in ["casting.step", "pattern_upper.step", "core.step", "core_box_lower.step"] {
        assert!(dir.path().join("tilted_hollow").join(name).is_file(), "{name}");
    }
}

/// The STEP file of a row says the same as that of a build.
#[test]
fn kept_variants_carry_form_hash_and_caution() {
    let dir = tempfile::tempdir().expect("a folder");
    let minimal = file("params/minimal.yaml");
    let sweep = ["--over", "shell.wall=6,7", "--check", "none", "--keep", "unchecked", "--out"];
    let output = tailpattern(&[&["sweep", text(&minimal)], &sweep[..], &[text(dir.path())]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let variants = dir.path().join("variants");
    let step = fs::read_to_string(variants.join("000000001.step")).expect("kept").replace('\n', "");
    let yaml = fs::read_to_string(variants.join("000000001.yaml")).expect("kept");
    let hash = tailpattern::export::sha256(&yaml);
    for part in ["form finished", &hash, "not certified", "row 1 of a sweep"] {
        assert!(step.contains(part), "no `{part}` in {}", &step[..1500.min(step.len())]);
    }
}

/// Whoever makes a pattern or prints a trial reads in the files that the shrinkage is in them; the stock and the loose
/// pieces of the casting stand in a file too.
#[test]
fn files_tell_their_maker_what_the_console_tells() {
    let dir = tempfile::tempdir().expect("a folder");
    let demo = file("params/demo_mm.yaml");
    let forms = "casting,pattern,core-box,trial-print";
    let output = tailpattern(&["build", text(&demo), "--form", forms, "--out", text(dir.path())]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let read = |name: &str| fs::read(dir.path().join("demo_mm").join(name)).expect(name);
    let words = |name: &str| String::from_utf8_lossy(&read(name)).replace('\n', "");
    for name in ["pattern_upper.step", "core_box_lower.step", "pattern.html", "core_box.html"] {
        assert!(words(name).contains("is in this file: do not add shrink"), "{name}");
    }
    assert!(words("casting.step").contains("without contraction"), "casting");
    assert!(words("trial_print.html").contains("do not scale it in the slicer"), "trial print");
    let casting = String::from_utf8(read("casting.html")).expect("text");
    for part in ["machined face", "stock*", "to be dressed by hand: sender_boss, ", "sha256"] {
        assert!(casting.contains(part), "no `{part}`");
    }
    assert!(out(&output).contains("casting.html"), "{}", out(&output));
}
