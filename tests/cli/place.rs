//! `place`: copies and drawings.

use std::fs;

use super::{err, file, out, tailpattern};

#[test]
fn a_copy_and_a_drawing_are_written_and_the_file_itself_never() {
    let folder = std::env::temp_dir().join(format!("tailpattern-place-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    let path = |name: &str| folder.join(name).display().to_string();
    let demo = file("params/demo_mm.yaml").display().to_string();
    let call = tailpattern(&[
        "place",
        &demo,
        "--write",
        &path("copy.yaml"),
        "--svg",
        &path("side.svg"),
        "--weld-up",
    ]);
    assert_eq!(call.status.code(), Some(0), "{}", err(&call));
    assert!(out(&call).contains("-228.6 mm") && out(&call).contains("inspected"), "{}", out(&call));
    let [copy, original] =
        [path("copy.yaml"), demo.clone()].map(|p| fs::read_to_string(p).expect("readable"));
    assert_eq!(copy, original, "the demonstration stands where it belongs");
    assert!(fs::read_to_string(path("side.svg")).expect("readable").starts_with("<svg"), "a drawing");
    let over = tailpattern(&["place", &demo, "--write", &demo]);
    assert_eq!(over.status.code(), Some(2), "its own input: {}", err(&over));
    assert_eq!(fs::read_to_string(&demo).expect("readable"), original, "untouched");
    let minimal = file("params/minimal.yaml").display().to_string();
    let none = tailpattern(&["place", &minimal]);
    assert!(none.status.code() == Some(2) && err(&none).contains("vehicle.hard_points"), "{}", err(&none));
    fs::remove_dir_all(folder).expect("removed");
}
