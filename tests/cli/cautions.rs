//! Cautions stand where the work is done, and speak of what was made.

use std::fs;

use super::{err, file, out, tailpattern};

/// The lines with which a command ends.
fn cautions(arguments: &[&str]) -> (Vec<String>, String) {
    let done = tailpattern(arguments);
    assert_eq!(done.status.code(), Some(0), "{arguments:?}: {}", err(&done));
    let told = out(&done);
    let at_end = told.lines().rev().take_while(|l| l.starts_with("caution: "));
    (at_end.map(str::to_owned).collect(), told)
}

#[test]
fn commands_end_with_what_can_hurt() {
    let demo = file("params/demo_mm.yaml");
    let demo = demo.to_str().expect("a path");
    let (check, told) = cautions(&["check", demo, "--form", "finished"]);
    for word in ["pressing", "boring", "balanced", "licensed engineer"] {
        assert!(check.iter().any(|line| line.contains(word)), "{word}: {check:?}");
    }
    assert!(told.contains("\nnot computed: "), "{told}");
    let (place, _) = cautions(&["place", demo, "--weld-up"]);
    assert!(place.iter().any(|line| line.contains("welding")), "{place:?}");
    assert!(cautions(&["place", demo]).0.iter().all(|line| !line.contains("welding")));
    let minimal = file("params/minimal.yaml");
    let minimal = minimal.to_str().expect("a path");
    let (solve, _) =
        cautions(&["solve", minimal, "--for", "gearbox_face.bolt_circles[1].count=4..7", "--steps", "4"]);
    assert_eq!(solve.len(), 1, "{solve:?}");
    let (plain, _) = cautions(&["check", minimal, "--form", "finished"]);
    assert!(plain.iter().all(|line| !line.contains("pressing")), "no bushing is named there: {plain:?}");
}

#[test]
fn stl_headers_say_what_the_form_is_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = file("params/minimal.yaml");
    let to = folder.path().to_str().expect("a path");
    let arguments =
        ["build", input.to_str().expect("a path"), "--form", "finished,core,trial-print", "--out", to];
    let (told, _) = cautions(&arguments);
    assert!(told.iter().any(|line| line.contains("a print")), "{told:?}");
    for (name, word) in [
        ("finished.stl", "not certified"),
        ("core.stl", "not a part"),
        ("trial_print_1_of_2.stl", "proves geometry only"),
    ] {
        let bytes = fs::read(folder.path().join("minimal").join(name)).expect("a file");
        let header = String::from_utf8_lossy(&bytes[..80]);
        assert!(header.contains(word) && !header.starts_with("solid"), "{name}: {header}");
    }
}
