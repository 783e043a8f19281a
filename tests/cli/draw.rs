//! `draw`: which forms, which files, what it says of them.

use super::{err, file, out, tailpattern};

#[test]
fn forms_are_named_as_for_build() {
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().to_str().expect("a path");
    let part = file("params/minimal.yaml");
    let part = part.to_str().expect("a path");
    for (forms, sheets) in
        [("all", 4), ("finished,casting", 2), ("casting,casting", 1), ("pattern,core-box", 2)]
    {
        let output = tailpattern(&["draw", part, "--out", to, "--form", forms]);
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        let told = out(&output);
        assert_eq!(told.matches("scale 1:2, first angle").count(), sheets, "{told}");
        assert_eq!(told.matches("-drawing.dxf").count(), sheets, "{told}");
    }
    let output = tailpattern(&["draw", part, "--out", to, "--form", "finished", "--angle", "third"]);
    assert!(out(&output).contains("third angle"), "{}", out(&output));
}
