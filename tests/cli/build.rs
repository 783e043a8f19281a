//! `build`: faults in files, in forms, and of files.

use super::{err, file, tailpattern};

#[test]
fn faults_are_underlined_with_line_and_column() {
    let path = file("tests/rejects/d002_off_flange.yaml");
    let output = tailpattern(&["build", path.to_str().expect("a path")]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    let text = err(&output);
    for part in ["error[D002]", "d002_off_flange.yaml:9:18", "^^^", "why: ", "hint: ", "1 error"] {
        assert!(text.contains(part), "no `{part}` in\n{text}");
    }
}

#[test]
fn a_missing_file_is_file_trouble() {
    let output = tailpattern(&["build", "no/such/file.yaml"]);
    assert_eq!(output.status.code(), Some(4), "file trouble");
    assert!(err(&output).contains("no/such/file.yaml"), "{}", err(&output));
}

#[test]
fn an_unknown_form_names_the_known_ones() {
    let path = file("params/demo_mm.yaml");
    let output = tailpattern(&["build", path.to_str().expect("a path"), "--form", "finnished"]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    let text = err(&output);
    assert!(text.contains("possible values: finished"), "{text}");
}

#[test]
fn a_chord_of_nothing_is_refused() {
    let path = file("params/demo_mm.yaml");
    for chord in ["0", "-1", "NaN", "inf", "x"] {
        let output = tailpattern(&["build", path.to_str().expect("a path"), &format!("--chord={chord}")]);
        assert_eq!(output.status.code(), Some(2), "chord {chord}");
    }
}
