//! `describe`: reference and schema.

use super::{err, out, tailpattern};
use tailpattern::design::Design;
use tailpattern::params::{self, Source};

#[test]
fn one_key_can_be_asked_for() {
    let output = tailpattern(&["describe", "sender_boss.tilt"]);
    assert_eq!(output.status.code(), Some(0), "done");
    assert!(out(&output).contains("tilt: 10 deg"), "{}", out(&output));
}

#[test]
fn a_mistyped_key_gets_the_nearest_one() {
    let output = tailpattern(&["describe", "mount_pad.ofset"]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    assert!(err(&output).contains("did you mean `mount_pad.offset`?"), "{}", err(&output));
}

#[test]
fn the_schema_is_json_of_the_named_draft() {
    let text = out(&tailpattern(&["describe", "--schema"]));
    let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "draft");
    assert_eq!(schema["additionalProperties"], false, "unknown keys");
    assert!(schema["properties"]["tail"]["properties"]["seal"].is_object(), "nested sections");
}

/// A text that `describe` prints, read and held against the rules as a user's file.
fn accepted(arguments: &[&str]) -> String {
    let printed = tailpattern(arguments);
    assert_eq!(printed.status.code(), Some(0), "{arguments:?}: {}", err(&printed));
    let text = out(&printed);
    let source = Source::from_bytes("described", text.clone().into_bytes()).expect("text");
    let outcome = Design::validate(params::read(&source).expect("a tree"));
    let faults: Vec<String> = outcome.findings.iter().map(tailpattern::finding::Finding::in_a_line).collect();
    assert!(faults.is_empty(), "{arguments:?}:\n{}\n{text}", faults.join("\n"));
    text
}

/// No table stands behind the errors that machining leaves by default: beside each stands that it is from memory.
#[test]
fn defaults_of_tolerances_say_that_they_are_from_memory() {
    let text = out(&tailpattern(&["describe", "mating.tolerances"]));
    let text = text.replace("\n  # ", " ");
    let defaults: Vec<&str> = text.lines().filter(|line| line.contains("Default: ")).collect();
    assert!(defaults.len() >= 15, "{text}");
    for line in defaults {
        assert!(line.contains("; common practice, from memory)"), "{line}");
    }
}

#[test]
fn the_examples_of_all_sections_fit_together() {
    let text = accepted(&["describe", "--all"]);
    for entry in params::entries() {
        let section = out(&tailpattern(&["describe", entry.key]));
        let (head, section) = section.split_once("\n\n").expect("a head");
        assert!(
            head.contains("examples from invented housings"),
            "{}: whose values these are: {head}",
            entry.key
        );
        assert!(text.contains(section), "{}: the section alone is the same text", entry.key);
    }
}

#[test]
fn the_shortest_file_can_be_built() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("mine.yaml");
    let text = accepted(&["describe", "--required"]);
    assert!(text.lines().count() < 120 && !text.contains("mating"), "only what is required:\n{text}");
    std::fs::write(&path, text).expect("written");
    let (path, folder) = (path.to_str().expect("a path"), dir.path().to_str().expect("a path"));
    let built = tailpattern(&["build", path, "--out", folder]);
    assert_eq!(built.status.code(), Some(0), "{}", err(&built));
}

#[test]
fn without_a_name_the_sections_fit_a_screen() {
    let text = out(&tailpattern(&["describe"]));
    assert!(text.lines().count() <= 40, "{text}");
    for entry in params::entries() {
        assert!(text.contains(&format!("\n  {} ", entry.key)), "{}\n{text}", entry.key);
    }
    assert!(text.lines().all(|line| line.chars().count() <= 120), "{text}");
}
