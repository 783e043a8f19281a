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
    assert!(out(&call).contains("-200.025 mm") && out(&call).contains("inspected"), "{}", out(&call));
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
    assert!(out(&call).contains("6 values stay") && !out(&call).contains("wrote"), "{}", out(&call));
    // A lever hole ahead of the gearbox face, one far behind the housing, a shaft kept where the gearbox is: no housing is so.
    for (key, wrong, named) in [
        ("lever_hole: 771.525", "lever_hole: 500", "shift_box_pad"),
        ("lever_hole: 771.525", "lever_hole: 1500", "shift_box_pad"),
        ("propshaft_flange: 1085.85", "propshaft_flange: 660", "overall_length"),
    ] {
        let text = original.replace(key, wrong);
        assert_ne!(text, original, "{key} is there");
        fs::write(path("wrong.yaml"), text).expect("written");
        for more in [vec![], vec!["--write".to_owned(), path("never.yaml")]] {
            let call = tailpattern(
                &[&["place", &path("wrong.yaml")], &more.iter().map(String::as_str).collect::<Vec<_>>()[..]]
                    .concat(),
            );
            assert!(call.status.code() == Some(1) && err(&call).contains(named), "{wrong}: {}", err(&call));
        }
        assert!(!fs::exists(path("never.yaml")).expect("known"), "{wrong}: nothing is written");
    }
    // The plan is for the housing as placed: a pad 10 mm further back takes 10 mm less out ahead of it.
    fs::write(path("back.yaml"), original.replace("lever_hole: 771.525", "lever_hole: 781.525"))
        .expect("written");
    let plan = tailpattern(&["place", &path("back.yaml"), "--weld-up"]);
    assert!(plan.status.code() == Some(0) && out(&plan).contains("removes 170.975 mm"), "{}", out(&plan));
    for option in ["--svg", "--write"] {
        let dash = tailpattern(&["place", &demo, option, "-"]);
        assert!(dash.status.code() == Some(2) && err(&dash).contains("standard output"), "{}", err(&dash));
    }
    fs::remove_dir_all(folder).expect("removed");
}
