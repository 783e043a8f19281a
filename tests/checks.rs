//! Housings that are wrong in one way each, and the finding that must say so; good ones that must pass.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

#[path = "common/edit.rs"]
#[allow(unreachable_pub, reason = "one module a test file")]
mod edit;

use tailpattern::checks::{self, Checks, Verdict};
use tailpattern::design::{Design, Form};
use tailpattern::housing;
use tailpattern::params::{self, Source};

fn of_text(file: &str, change: impl Fn(String) -> String) -> Checks {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(format!("{file}.yaml"));
    let text = change(std::fs::read_to_string(&path).expect("readable"));
    let source = Source::from_bytes(file, text.into_bytes()).expect("text");
    let outcome = Design::validate(params::read(&source).expect("a tree"));
    let design = outcome.value.unwrap_or_else(|| panic!("{file}: {:#?}", outcome.findings));
    let finished = housing::build(&design).unwrap_or_else(|e| panic!("{file}: {e}"));
    checks::check(&design, &finished, &Form::ALL).unwrap_or_else(|e| panic!("{file}: {e}"))
}

fn checked(file: &str, keys: &[&str]) -> Checks {
    let change = |text: String| {
        keys.iter().fold(text, |text, key| {
            let (path, value) = key.split_once('=').expect("path=value");
            edit::set(&text, path, value)
        })
    };
    of_text(file, change)
}

/// Names of the checks that came out worse than a pass, with how.
fn bad(checks: &Checks) -> BTreeSet<(Verdict, &'static str)> {
    let bad = checks.checked.iter().filter(|c| c.verdict() != Verdict::Pass);
    bad.map(|c| (c.verdict(), c.check)).collect()
}

#[test]
fn shipped_files_pass() {
    for file in ["demo_mm", "demo_inch", "minimal", "pulse_sender", "two_mounts", "short_lugs", "long_iron"] {
        let found = checked(file, &[]);
        let failed: Vec<_> = found.checked.iter().filter(|c| c.verdict() == Verdict::Fail).collect();
        assert!(failed.is_empty(), "{file}: {failed:#?}");
        assert!(found.checked.len() > 40, "{file}: {} checks", found.checked.len());
        assert!(!found.not_checked.is_empty(), "{file}: what is not checked is said");
    }
}

/// A file, what is changed in it, and the checks that get worse by it.
type Wrong = (&'static str, &'static [&'static str], &'static [(Verdict, &'static str)]);

/// One change each.
const WRONG: &[Wrong] = {
    use Verdict::{Fail, Warn};
    &[
        ("minimal", &["shell.wall=2.9"], &[(Fail, "wall"), (Fail, "oil wall, worst case")]),
        ("minimal", &["shell.wall=4.8"], &[(Fail, "oil wall, worst case")]),
        (
            "pulse_sender",
            &["tail.drain_back.diameter=4.6"],
            &[(Fail, "metal beside a machined face"), (Fail, "wall of the print")],
        ),
        ("demo_mm", &["limits.machined_wall_worst=3"], &[(Fail, "metal beside a machined face, worst case")]),
        (
            "demo_mm",
            &["mount_pad.holes.drill_depth=55"],
            &[(Fail, "blind hole floor"), (Fail, "metal beside a machined face, worst case")],
        ),
        ("demo_mm", &["mount_pad.holes.depth=14"], &[(Fail, "thread engagement, diameters")]),
        ("demo_mm", &["mount_pad.holes.drill_depth=22"], &[(Warn, "room below the thread")]),
        ("demo_mm", &["mount_pad.holes.grid.width=58"], &[(Fail, "hole's centre to edge, diameters")]),
        ("demo_mm", &["limits.head_room=6"], &[(Fail, "room about the bolt's head")]),
        ("demo_mm", &["limits.gap=9"], &[(Fail, "gap between features")]),
        ("demo_mm", &["casting.stock.all=0.5"], &[(Fail, "stock left, worst case")]),
        ("demo_mm", &["casting.mould.draft=0.5 deg"], &[(Warn, "draft")]),
        ("demo_mm", &["shift_box_pad.clock=-45 deg"], &[(Warn, "undercut")]),
        (
            "minimal",
            &["mating.turning=[{name: gear, from: 190, length: 15, diameter: 66}]"],
            &[(Fail, "turning part inside")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: floor, kind: box, from: 0, length: 300, side: 0, height: 110, width: 300, tall: 40}]",
            ],
            &[(Fail, "surroundings")],
        ),
        (
            "minimal",
            &["mating.turning=[{name: yoke, from: 190, length: 40, diameter: 40, rear_diameter: 62}]"],
            &[(Fail, "turning part inside")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: tunnel, kind: profile, from: -20, length: 300, corners: [{side: -200, height: 90}, {side: 200, height: 90}, {side: 200, height: 120}, {side: -200, height: 120}]}]",
            ],
            &[(Fail, "surroundings")],
        ),
        ("demo_mm", &["limits.swing=300 deg"], &[(Fail, "swing of a spanner")]),
        ("demo_mm", &["limits.socket_way=1"], &[(Fail, "straight way of a socket")]),
        ("demo_mm", &["limits.sender_way=30"], &[(Warn, "way of the sender")]),
        ("demo_mm", &["limits.lump=4.2"], &[(Fail, "heavy lump, modulus in walls")]),
        ("demo_mm", &["limits.section_change=3"], &[(Fail, "change of section, ratio")]),
        ("demo_mm", &["limits.cored_depth=1.5"], &[(Fail, "cored hole, depth in widths")]),
        ("demo_mm", &["limits.cored_width=40"], &[(Fail, "cored hole, width")]),
        ("demo_mm", &["limits.draft=2 deg"], &[(Fail, "draft")]),
        ("demo_mm", &["limits.undercut=100"], &[(Fail, "undercut")]),
        ("demo_mm", &["limits.overhang=0.01"], &[(Fail, "surface that overhangs, share")]),
        ("demo_mm", &["limits.bearing=0.001"], &[(Fail, "pressure on the core's prints")]),
        ("two_mounts", &["limits.thin_edge=7"], &[(Fail, "thin edge where faces meet")]),
        ("minimal", &["limits.hot_spot=1.01"], &[(Fail, "hot spot, walls")]),
        ("demo_mm", &["trial_print.wall=3"], &[(Fail, "wall of the print")]),
    ]
};

#[test]
fn wrong_housings_fail_by_name() {
    let mut faults = Vec::new();
    let mut shipped: BTreeMap<&str, Checks> = BTreeMap::new();
    for (file, keys, expected) in WRONG {
        let before = &*shipped.entry(file).or_insert_with(|| checked(file, &[]));
        let after = checked(file, keys);
        let new: BTreeSet<_> = bad(&after).difference(&bad(before)).copied().collect();
        let fails = |all: &mut dyn Iterator<Item = &(Verdict, &'static str)>| -> BTreeSet<_> {
            all.filter(|(v, _)| *v == Verdict::Fail).copied().collect()
        };
        let told = expected.iter().all(|one| {
            // What warned before must warn of one more.
            let count = |c: &Checks| c.checked.iter().filter(|x| (x.verdict(), x.check) == *one).count();
            new.contains(one) || count(&after) > count(before)
        });
        if !told || fails(&mut new.iter()) != fails(&mut expected.iter()) {
            faults.push(format!("{file} {keys:?}: {new:?}"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

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

/// The flange of this one is a disc of 200 mm: a plate over it stands off by its height less half of that; one
/// lower than that goes through; a file that is not there is not checked.
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
    let found = || checks::check(&design, &finished, &[Form::Finished]).expect("checks");
    let roof = |found: &Checks| {
        found.checked.iter().find(|c| c.check == "surroundings").map(|c| (c.value, c.verdict()))
    };
    assert_eq!(roof(&found()), None);
    assert!(found().not_checked.iter().any(|n| n.check == "surroundings" && n.because.contains("roof.stl")));
    std::fs::write(folder.join("roof.stl"), plate(120.0)).expect("written");
    let (value, verdict) = roof(&found()).expect("checked");
    assert!((value - (120.0 - 100.0)).abs() < 1e-6 && verdict == Verdict::Pass, "{value}");
    std::fs::write(folder.join("roof.stl"), plate(97.0)).expect("written");
    let (value, verdict) = roof(&found()).expect("checked");
    assert!(value < 0.0 && verdict == Verdict::Fail, "{value}");
    std::fs::write(folder.join("roof.stl"), "solid nothing\nendsolid nothing\n").expect("written");
    assert_eq!(roof(&found()), None);
    std::fs::remove_dir_all(&folder).expect("removed");
}

/// A wide and deep spot face reaches the shell.
#[test]
fn a_spot_face_in_the_wall() {
    let found = of_text("demo_mm", |text| {
        text.replace("diameter: 22.86", "diameter: 44").replace("depth: 0.762", "depth: 4")
    });
    assert!(bad(&found).contains(&(Verdict::Warn, "spot face cuts a wall, edge")), "{:?}", bad(&found));
}

/// A file's own limit shows as such.
#[test]
fn limits_of_the_file_are_named() {
    let found = checked("demo_mm", &["limits.wall=2"]);
    let walls: Vec<_> = found.checked.iter().filter(|c| c.check == "wall").collect();
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
