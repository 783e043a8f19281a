//! Every test of the published tables says beside it where its values are from.

use std::fs;
use std::path::{Path, PathBuf};

/// One of these stands in the comment of each test.
const WORDS: [&str; 10] = [
    "read",
    "memory",
    "practice",
    "derived",
    "textbook",
    "geometry",
    "by hand",
    "printed",
    "no outside value",
    "statics",
];

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            out.extend(files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out.sort();
    out
}

/// The tests of a text whose comment names no source, and the number of tests.
fn silent(text: &str) -> (Vec<String>, usize) {
    let (mut comment, mut out, mut count, mut test) = (String::new(), Vec::new(), 0, false);
    for line in text.lines().map(str::trim) {
        if let Some(words) = line.strip_prefix("///") {
            comment.push_str(&words.to_lowercase());
        } else if line == "#[test]" {
            test = true;
            count += 1;
        } else if test && line.starts_with("fn ") {
            if !WORDS.iter().any(|word| comment.contains(word)) {
                out.push(line.to_owned());
            }
            (test, comment) = (false, String::new());
        } else if !line.starts_with("#[") {
            comment.clear();
        }
    }
    (out, count)
}

#[test]
fn tests_of_tables_name_their_source() {
    let (mut silent_ones, mut count) = (Vec::new(), 0);
    for path in files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/standards")) {
        let (found, tests) = silent(&fs::read_to_string(&path).expect("readable"));
        silent_ones.extend(found.into_iter().map(|name| format!("{}: {name}", path.display())));
        count += tests;
    }
    assert!(count > 130, "the tests are found: {count}");
    assert!(silent_ones.is_empty(), "no source named beside:\n{}", silent_ones.join("\n"));
}

#[test]
fn a_silent_test_is_found() {
    let text = "/// Read in a table.\n#[test]\nfn told() {}\n\n#[test]\nfn silent() {}\n";
    assert_eq!(silent(text), (vec!["fn silent() {}".to_owned()], 2));
}
