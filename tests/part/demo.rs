//! The shipped parameter files: sound, and one part in both unit systems.

use std::path::Path;

use tailpattern::design::{Design, Form};
use tailpattern::params;

fn design(name: &str) -> Design {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(name);
    let (_, raw) = params::load(&path).expect("a readable file");
    let outcome = Design::validate(raw.expect("a tree"));
    assert!(outcome.findings.is_empty(), "{name}: {:#?}", outcome.findings);
    outcome.value.expect("a design")
}

/// All numbers of a design's geometry and of what goes with it, in the order of its fields.
fn numbers(design: &Design) -> Vec<f64> {
    let text = format!(
        "{:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
        design.overall_length(),
        design.gearbox_face(),
        design.shell(),
        design.tail(),
        design.shift_box_pad(),
        design.mount_pad(),
        design.sender_boss(),
        design.casting(),
        design.trial_print(),
        design.mating(),
        design.vehicle()
    );
    text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | 'e')))
        .filter_map(|word| word.parse().ok())
        .collect()
}

#[test]
fn the_two_demonstration_files_describe_one_part() {
    let (metric, inch) = (design("demo_mm.yaml"), design("demo_inch.yaml"));
    assert_eq!(metric.name(), inch.name(), "name");
    assert_eq!(metric.description(), inch.description(), "description");
    assert_eq!(metric.forms(), inch.forms(), "forms");
    assert_eq!(metric.forms(), Form::ALL, "all of them");
    let (a, b) = (numbers(&metric), numbers(&inch));
    assert!(a.len() > 220 && a.len() == b.len(), "{} and {} numbers", a.len(), b.len());
    for (i, (x, y)) in a.iter().zip(&b).enumerate() {
        assert!((x - y).abs() <= 1e-9, "number {i}: {x} and {y}");
    }
}

#[test]
fn the_demonstration_is_marked_as_invented() {
    assert!(design("demo_mm.yaml").invented() && design("demo_inch.yaml").invented(), "both");
}

#[test]
fn every_shipped_file_is_invented_and_builds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    for entry in std::fs::read_dir(folder).expect("params") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().and_then(|n| n.to_str()).expect("a name").to_owned();
        let design = design(&name);
        assert!(design.invented(), "{name} is marked as invented");
        if let Err(error) = tailpattern::housing::build(&design) {
            panic!("{name}: {error}");
        }
    }
}
