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

/// What is found silent in the files of the tables, each with its file, and how much was looked at.
fn over_tables(
    is_left_out: impl Fn(&str) -> bool,
    look: fn(&str) -> (Vec<String>, usize),
) -> (Vec<String>, usize) {
    let (mut silent_ones, mut count) = (Vec::new(), 0);
    for path in files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/standards")) {
        if is_left_out(&path.to_string_lossy()) {
            continue;
        }
        let (found, looked_at) = look(&fs::read_to_string(&path).expect("readable"));
        silent_ones.extend(found.into_iter().map(|name| format!("{}: {name}", path.display())));
        count += looked_at;
    }
    (silent_ones, count)
}

#[test]
fn tests_of_tables_name_their_source() {
    let (silent_ones, count) = over_tables(|_| false, silent);
    assert!(count > 130, "the tests are found: {count}");
    assert!(silent_ones.is_empty(), "no source named beside:\n{}", silent_ones.join("\n"));
}

#[test]
fn a_silent_test_is_found() {
    let text = "/// Read in a table.\n#[test]\nfn told() {}\n\n#[test]\nfn silent() {}\n";
    assert_eq!(silent(text), (vec!["fn silent() {}".to_owned()], 2));
}

/// One of these stands beside each value, or in the head of its file.
const MARKS: [&str; 11] = [
    "read",
    "memory",
    "practice",
    "derived",
    "textbook",
    "geometry",
    "by definition",
    "statics",
    "hydrostatics",
    "by hand",
    "chosen",
];

/// Numbers that say nothing by themselves: counts, halves, powers of ten and turns.
const PLAIN: [&str; 24] = [
    "0", "1", "2", "3", "4", "0.0", "1.0", "2.0", "3.0", "4.0", "0.5", "10.0", "100.0", "1000.0", "60.0",
    "90.0", "180.0", "360.0", "1e3", "1e-3", "1e-6", "1e-9", "-1.0", "1_000.0",
];

/// Whether a text names one of the marks as a word.
fn is_marked(text: &str) -> bool {
    let text = text.to_lowercase();
    let word = |at: usize, len: usize| {
        let beside = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        beside(text[..at].chars().next_back()) && beside(text[at + len..].chars().next())
    };
    MARKS.iter().any(|mark| text.match_indices(mark).any(|(at, found)| word(at, found.len())))
}

/// The numbers of a line of code that are no part of a name, of a string or of a comment.
fn numbers(line: &str) -> Vec<String> {
    let line = line.split("//").next().unwrap_or_default();
    let code: String = line.split('"').step_by(2).collect::<Vec<_>>().join(" ");
    let mut out = Vec::new();
    let mut rest = code.as_str();
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let before = rest[..at].chars().next_back();
        let end = rest[at..].find(|c: char| !(c.is_alphanumeric() || "._".contains(c)));
        let (word, mut after) = rest[at..].split_at(end.unwrap_or(rest.len() - at));
        // `2.0_f64.sqrt()`, `0..4`, `1e-6`.
        let mut word = word.split("..").next().unwrap_or(word).to_owned();
        if let Some(power) = after.strip_prefix('-').filter(|_| word.ends_with('e')) {
            let digits = power.chars().take_while(char::is_ascii_digit).count();
            word = format!("{word}-{}", &power[..digits]);
            after = &power[digits..];
        }
        let value: String = word.chars().take_while(|c| c.is_ascii_digit() || "._e-".contains(*c)).collect();
        let value = value.trim_end_matches(['.', '_', 'e']).to_owned();
        if !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '.') {
            out.push(value);
        }
        rest = after;
    }
    out
}

/// The items of a file's text that hold a number and neither name where it is from nor stand below a head that does; and how many
/// items hold one.
fn silent_values(text: &str) -> (Vec<String>, usize) {
    let code = text.split("\n#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let head: String = code.lines().filter(|line| line.starts_with("//!")).collect();
    let (mut out, mut count) = (Vec::new(), 0);
    let mut item = String::new();
    let mut name = String::new();
    for line in code.lines().filter(|line| !line.starts_with("//!")).chain([""]) {
        item += &format!("{line}\n");
        let opens = line.starts_with("///") || line.starts_with("#[");
        if name.is_empty() && !opens && !line.trim().is_empty() {
            line.clone_into(&mut name);
        }
        // An item ends with the empty line behind it, which stands at no other place outside braces.
        let ends =
            line.is_empty() && item.matches(['{', '(', '[']).count() == item.matches(['}', ')', ']']).count();
        if !ends {
            continue;
        }
        let values = item.lines().filter(|line| !line.trim_start().starts_with("//")).flat_map(numbers);
        if values.into_iter().any(|value| !PLAIN.contains(&value.as_str())) {
            count += 1;
            if !is_marked(&item) && !is_marked(&head) {
                out.push(name.clone());
            }
        }
        (item, name) = (String::new(), String::new());
    }
    (out, count)
}

/// All tables, constants and formulas, not only those that the list of worked examples holds.
#[test]
fn every_value_of_the_tables_says_where_it_is_from() {
    // The worked examples carry their source as a value; their own test asks for it.
    let own = |path: &str| {
        path.contains("worked") || path.ends_with("_tests.rs") || path.contains("published_examples")
    };
    let (silent_ones, count) = over_tables(own, silent_values);
    assert!(count > 100, "the values are found: {count}");
    assert!(silent_ones.is_empty(), "nothing told beside:\n{}", silent_ones.join("\n"));
}

#[test]
fn a_silent_value_is_found() {
    let text = "//! A table.\n\n/// Common practice.\nconst A: f64 = 1.7;\n\n/// Bread.\nconst B: f64 = 1.8;\n\nfn c() { 2.0 }\n";
    assert_eq!(silent_values(text), (vec!["const B: f64 = 1.8;".to_owned()], 2));
    assert_eq!(numbers("f(1.5e-6, x2, \"7\", 2.0_f64.sqrt(), 0..5) // 9"), ["1.5e-6", "2.0", "0"]);
}
