//! What stands about the housing and what turns in it: how near, how deep.

use crate::checks::{checked, design_of, text_of};
use crate::edit;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use tailpattern::checks::{self, Checks, Measurement, Part, Verdict};
use tailpattern::design::{Design, Form};
use tailpattern::forms::Product;
use tailpattern::housing;
use tailpattern::params::{self, Source};

/// An STL of two triangles: a level plate at a height.
fn plate(height: f64) -> String {
    let corner = |x: f64, y: f64| format!("vertex {x} {y} {height}\n");
    let facet = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        let loops = [a, b, c].map(|(x, y)| corner(x, y)).concat();
        format!("facet normal 0 0 1\nouter loop\n{loops}endloop\nendfacet\n")
    };
    let two = facet((-50.0, -90.0), (450.0, -90.0), (450.0, 90.0))
        + &facet((-50.0, -90.0), (450.0, 90.0), (-50.0, 90.0));
    format!("solid plate\n{two}endsolid plate\n")
}

/// An STL of a box, facing outwards.
fn block(low: [f64; 3], high: [f64; 3]) -> String {
    let corner = |k: usize| [0, 1, 2].map(|i| if k >> i & 1 == 1 { high[i] } else { low[i] });
    let sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let mut out = "solid block\n".to_owned();
    for [a, b, c, d] in sides {
        for t in [[a, b, c], [a, c, d]] {
            let loops = t.map(corner).map(|[x, y, z]| format!("vertex {x} {y} {z}\n")).concat();
            out += &format!("facet normal 0 0 0\nouter loop\n{loops}endloop\nendfacet\n");
        }
    }
    out + "endsolid block\n"
}

/// A pipe across the propeller shaft, far behind the housing: the exhaust of the demonstration, moved.
#[test]
fn a_neighbour_across_the_propeller_shaft() {
    let text = text_of("solid_pads").replace(
        "from: 12.7, length: 482.6, side: 158.75, height: -123.825",
        "from: 700, length: 300, side: 0, height: -40",
    );
    let design = design_of("solid_pads", &["exhaust"], text);
    let finished = housing::build(&design).expect("a housing");
    let found = checks::each(&Product::new(&design, &finished), &[Part::KeepClear]).expect("checks");
    let failed: Vec<_> = found[0].1.measurements.iter().filter(|c| c.verdict() == Verdict::Fail).collect();
    let [one] = failed.as_slice() else { panic!("{failed:#?}") };
    assert_eq!((one.check, one.what.as_str()), ("surroundings off what turns", "exhaust"));
    assert_eq!(one.faces, ["turning/propeller shaft"]);
}

/// Depths by hand: the flange of this one is a disc of 200 mm, so a floor whose lower side lies 90 mm above the shaft has
/// the disc 10 mm deep in it; one that goes through its disc of 12 mm thickness lies no deeper than half of that.
#[test]
fn how_deep_a_neighbour_reaches() {
    let depth = |of: &str| {
        let found = checked("minimal", &[&format!("surroundings=[{of}]")]);
        let one = found.measurements.into_iter().find(|c| c.check == "surroundings").expect("checked");
        (one.value, one.at[0], one.faces)
    };
    let (value, at, faces) =
        depth("{name: floor, kind: box, from: -30, length: 330, side: 0, height: 110, width: 300, tall: 40}");
    assert!((value + 10.0).abs() < 0.01, "{value}");
    assert!((at.z - 100.0).abs() < 0.01, "{at}");
    assert_eq!(faces, ["gearbox_face/rim"]);
    let (value, ..) =
        depth("{name: plug, kind: pipe, from: -20, length: 15, side: 0, height: 35, width: 20}");
    assert!(value > 5.0, "touching the mouth's plane is not inside: {value}");
    let (value, ..) =
        depth("{name: plug, kind: pipe, from: -20, length: 18, side: 0, height: 35, width: 20}");
    assert!((value + 3.0).abs() < 1e-6, "{value}");
    let (value, at, _) =
        depth("{name: bar, kind: pipe, from: -30, length: 60, side: 88, height: 0, width: 12}");
    assert!(value < -5.5 && value > -6.0 - 1e-6, "{value}");
    assert!((at.x - 6.0).abs() < 0.5, "{at}");
}

/// The flange of this one is a disc of 200 mm: a plate over it stands off by its height less half of that; one
/// lower than that goes through; without its file nothing is known, which fails.
#[test]
fn a_neighbour_of_triangles() {
    let folder = std::env::temp_dir().join(format!("tailpattern-stl-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/minimal.yaml");
    let text = std::fs::read_to_string(path).expect("readable");
    let text = edit::set(&text, "surroundings", "[{name: roof, kind: stl, file: roof.stl}]");
    let source = Source::from_bytes("minimal", text.into_bytes()).expect("text");
    let design =
        Design::validate(params::read(&source).expect("a tree")).value.expect("a design").in_folder(&folder);
    let finished = housing::build(&design).expect("a housing");
    let found = || checks::check(&Product::new(&design, &finished), &[Form::Finished]).expect("checks");
    let roof = |found: &Checks| {
        found.measurements.iter().find(|c| c.check == "surroundings").map(|c| (c.value, c.verdict()))
    };
    let unknown = |found: &Checks| {
        let all = found.measurements.iter().filter(|c| c.check == "distances can be measured");
        let why = |c: &Measurement| c.deciding().map(|l| l.source.clone()).unwrap_or_default();
        all.map(|c| (c.verdict(), why(c).contains("roof.stl"))).collect::<BTreeSet<_>>()
    };
    assert_eq!(roof(&found()), None);
    assert_eq!(unknown(&found()), [(Verdict::Fail, true)].into());
    assert!(design.test_named_files().has_errors());
    std::fs::write(folder.join("roof.stl"), plate(120.0)).expect("written");
    let (value, verdict) = roof(&found()).expect("checked");
    assert!((value - (120.0 - 100.0)).abs() < 1e-6 && verdict == Verdict::Pass, "{value}");
    std::fs::write(folder.join("roof.stl"), plate(97.0)).expect("written");
    let (value, verdict) = roof(&found()).expect("checked");
    assert!((value + 3.0).abs() < 0.01 && verdict == Verdict::Fail, "{value}");
    assert!(unknown(&found()).is_empty() && !design.test_named_files().has_errors());
    // A block whose lower side lies 95 mm above the shaft swallows 5 mm of the flange's disc.
    std::fs::write(folder.join("roof.stl"), block([-60.0, -300.0, 95.0], [400.0, 300.0, 300.0]))
        .expect("written");
    let (value, verdict) = roof(&found()).expect("checked");
    assert!((value + 5.0).abs() < 0.05 && verdict == Verdict::Fail, "{value}");
    let outwards = block([-600.0; 3], [600.0; 3]);
    // Mirrored, it faces inwards.
    let inwards = outwards
        .replace("vertex -", "vertex +")
        .replace("vertex 6", "vertex -6")
        .replace("vertex +", "vertex ");
    let open = outwards.rsplit_once("facet normal").expect("a facet").0.to_owned() + "endsolid block\n";
    for (room, verdict) in [(outwards, Verdict::Fail), (inwards, Verdict::Pass), (open, Verdict::Pass)] {
        std::fs::write(folder.join("roof.stl"), room).expect("written");
        assert_eq!(
            roof(&found()).map(|r| r.1),
            Some(verdict),
            "facing outwards it is a solid, inwards a room, open a sheet"
        );
    }
    std::fs::write(folder.join("roof.stl"), "solid nothing\nendsolid nothing\n").expect("written");
    assert_eq!(roof(&found()), None);
    std::fs::remove_dir_all(&folder).expect("removed");
}

/// What `mating` tells of turns too, though `mating.turning` is silent on it: a stop bore that the yoke can't pass, a drive gear
/// as large as the cavity.
#[test]
fn yoke_and_drive_gear_turn_too() {
    let without = |key: &str| {
        let text = text_of("solid_pads");
        let (head, rest) = text.split_once("  turning:").expect("the key");
        let rest: String = rest
            .lines()
            .skip(1)
            .skip_while(|l| l.trim_start().starts_with('-'))
            .map(|l| format!("{l}\n"))
            .collect();
        let (path, value) = key.split_once('=').expect("path=value");
        let design = design_of("solid_pads", &[key], edit::set(&format!("{head}{rest}"), path, value));
        let finished = housing::build(&design).expect("a housing");
        let found = checks::check(&Product::new(&design, &finished), &[Form::Finished]).expect("checks");
        let turning = found.measurements.into_iter().filter(|c| c.check == "turning part inside");
        turning.map(|c| (c.what.clone(), c.verdict())).collect::<BTreeMap<_, _>>()
    };
    let [yoke, gear] = ["barrel of `mating.yoke`", "drive gear of `mating.speedometer`"];
    let good = without("limits.gap=8");
    assert!(good[yoke] == Verdict::Pass && good[gear] == Verdict::Pass, "{good:?}");
    assert_eq!(without("tail.bushing.stop_bore=40.1")[yoke], Verdict::Fail, "no room in the stop bore");
    assert_eq!(without("mating.speedometer.module=2")[gear], Verdict::Fail, "a gear of 92 mm");
}
