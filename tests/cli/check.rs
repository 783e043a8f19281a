//! `check`: files that the parameter file names, and where its results may go.

use std::fs;
use std::path::Path;

use super::{err, file, out, tailpattern};

/// The smallest file with an STL beside it, in a folder of its own.
fn beside(folder: &Path, stl: &str) -> String {
    let text = fs::read_to_string(file("params/minimal.yaml")).expect("readable");
    let more = format!("\nsurroundings:\n  - {{name: roof, kind: stl, file: {stl}}}\n");
    let path = folder.join("with_roof.yaml");
    fs::write(&path, text + &more).expect("written");
    path.to_str().expect("a path").to_owned()
}

const ROOF: &str = "SOLID ROOF\nFACET NORMAL 0 0 1\nOUTER LOOP\nVERTEX 0 0 150\nVERTEX 200 0 150\nVERTEX 0 90 150\n\
                    ENDLOOP\nENDFACET\nENDSOLID ROOF\n";

#[test]
fn a_named_file_that_gives_nothing_is_bad_input_at_its_line() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("other.stl"), "PK").expect("written");
    for (stl, word) in
        [("missing.stl", "missing.stl"), ("other.stl", "not an STL file"), (".", "not an ordinary file")]
    {
        let output = tailpattern(&["check", &beside(dir.path(), stl)]);
        assert_eq!(output.status.code(), Some(2), "{stl}: {}", err(&output));
        let told = err(&output);
        assert!(told.contains("D193") && told.contains(word) && told.contains("kind: stl"), "{told}");
    }
}

#[test]
fn a_named_file_is_never_written_over() {
    let dir = tempfile::tempdir().expect("a folder");
    let (input, roof) = (beside(dir.path(), "roof.stl"), dir.path().join("roof.stl"));
    fs::write(&roof, ROOF).expect("written");
    let other = dir.path().join("./findings.json");
    let done =
        tailpattern(&["check", &input, "--form", "finished", "--json", other.to_str().expect("a path")]);
    assert_eq!(done.status.code(), Some(0), "{}{}", out(&done), err(&done));
    assert!(fs::read_to_string(&other).expect("findings").contains("\"surroundings\""));
    for command in [["check", "--json"], ["build", "--measured"]] {
        let target = dir.path().join(".").join("roof.stl");
        let refused = tailpattern(&[command[0], &input, command[1], target.to_str().expect("a path")]);
        assert_eq!(refused.status.code(), Some(2), "{command:?}: {}", err(&refused));
        assert_eq!(fs::read_to_string(&roof).expect("still there"), ROOF);
    }
}

/// One line tells what would say the same again. The sums count what tells of the same lump by another measure once, and each
/// place of the same finding.
#[test]
fn what_says_the_same_is_told_once() {
    let input = file("params/solid_pads.yaml");
    let output = tailpattern(&["check", input.to_str().expect("a path"), "--all"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let told = out(&output);
    let warnings = told.lines().filter(|l| l.starts_with("warn  ")).count();
    let others = told.lines().filter(|l| l.starts_with("      also warn: ")).count();
    let alike: usize =
        told.lines().filter_map(|l| l.strip_prefix("      the same: ")).map(|l| l.split("; ").count()).sum();
    assert!(others > 4 && alike > 0, "{told}");
    let sum = told.lines().find(|l| l.contains(" not checked") && l.contains(" warned, ")).expect("the sums");
    assert!(sum.contains(&format!(" {} warned,", warnings + alike)), "{sum}: {warnings}, {others}, {alike}");
    assert!(told.contains("-1.00 % to "), "limits on both sides stand together: {told}");
}

#[test]
fn a_file_in_inches_is_told_places_in_inches() {
    let input = file("params/demo_inch.yaml");
    let told = out(&tailpattern(&["check", input.to_str().expect("a path"), "--form", "finished", "--all"]));
    assert!(told.contains(") in, ") && !told.contains(") mm, "), "{told}");
}

/// Values of a file in inches have millimetres in brackets behind them; sources, notes and places have inches alone.
#[test]
fn sources_and_notes_of_a_file_in_inches_have_no_millimetres() {
    let input = file("params/demo_inch.yaml");
    let told = out(&tailpattern(&["check", input.to_str().expect("a path"), "--all", "--sums"]));
    for words in [
        "limit: outside of a socket 1.35 of the flats and 0.04 in",
        "trials beyond 0.0050 in,",
        "a gasket of 0.0197 in",
    ] {
        assert!(told.contains(words), "{words} in {told}");
    }
    no_bare_millimetres(&told);
}

/// What `build` tells of all forms, of every fillet and every default.
#[test]
fn build_tells_of_a_file_in_inches_without_bare_millimetres() {
    let folder = tempfile::tempdir().expect("a folder");
    let [input, into] = [file("params/demo_inch.yaml"), folder.path().to_owned()];
    let [input, into] = [&input, &into].map(|path| path.to_str().expect("a path"));
    let output = tailpattern(&["build", input, "--form", "all", "--fillets", "--assumed", "--out", into]);
    let told = out(&output);
    assert!(told.contains("and at least 0.118 in: between 0.4 and 0.67"), "a reason of a default: {told}");
    assert!(told.contains(" triangles within 0.002 in (0.05 mm)"), "{told}");
    no_bare_millimetres(&told);
    no_bare_millimetres(&err(&output));
}

/// That millimetres stand in brackets only.
fn no_bare_millimetres(told: &str) {
    for line in told.lines() {
        let bare = without_brackets(line);
        let mut words = bare.split_whitespace().map(|word| word.trim_end_matches([',', ';', ':', '.']));
        assert!(!words.any(|word| ["mm", "mm²", "mm³"].contains(&word)), "{line}");
    }
}

/// A line without what stands in brackets, which may stand in each other.
fn without_brackets(line: &str) -> String {
    let mut out = line.to_owned();
    while let Some(end) = out.find(')') {
        let start = out[..end].rfind('(').unwrap_or(end);
        out.replace_range(start..=end, "");
    }
    out
}

/// The first screen holds the verdict, the counts, the worst findings by feature, and how to see the rest; a terminal of
/// the usual 40 lines shows it at once.
#[test]
fn the_first_screen_fits_on_one_and_points_to_the_rest() {
    for name in ["demo_mm", "long_iron", "solid_pads", "pulse_sender"] {
        let input = file(&format!("params/{name}.yaml"));
        let arguments = ["check", input.to_str().expect("a path"), "--form", "finished"];
        let told = out(&tailpattern(&arguments));
        let lines: Vec<&str> = told.lines().collect();
        assert!(lines.len() <= 40, "{name}: {} lines\n{told}", lines.len());
        assert!(lines[0].contains(" warned, "), "{name}: {}", lines[0]);
        assert_eq!(lines[1], "the part passes its checks, with warnings", "{name}");
        assert!(told.contains("--all") && told.contains("--sums"), "{told}");
        let all = out(&tailpattern(&[&arguments[..], &["--all"]].concat()));
        assert!(all.contains("\npass  ") && all.contains("not checked: "), "{all}");
        // A feature is a heading once, so that all findings about it stand together.
        let headings = lines.iter().filter_map(|l| l.strip_suffix(':'));
        let mut names: Vec<&str> = headings.filter(|l| !l.starts_with(' ')).collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert!(count > 0 && names.len() == count, "{name}: {told}");
    }
}

/// The demonstration is a good casting: nothing fails, and each warning, five at most, is one whose reason the guide gives.
#[test]
fn the_demonstration_s_warnings_are_those_meant() {
    let folder = tempfile::tempdir().expect("a folder");
    let (input, json) = (file("params/demo_mm.yaml"), folder.path().join("checks.json"));
    let told =
        tailpattern(&["check", input.to_str().expect("a path"), "--json", json.to_str().expect("a path")]);
    assert!(told.status.success(), "{}", out(&told));
    let text = fs::read_to_string(&json).expect("the checks");
    let told: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let checked = told["checked"].as_array().expect("a list");
    let of = |verdict: &str| checked.iter().filter(|c| c["verdict"] == verdict).collect::<Vec<_>>();
    assert_eq!(of("fail").len(), 0, "{text}");
    let guide = fs::read_to_string(file("src/guide/checks.md")).expect("the guide");
    let meant: Vec<Vec<&str>> = guide
        .lines()
        .skip_while(|l| *l != "## Why the demonstration warns")
        .skip_while(|l| !l.starts_with("|---"))
        .skip(1)
        .take_while(|l| l.starts_with('|'))
        .map(|l| l.split('|').map(str::trim).collect())
        .collect();
    let warned = of("warn");
    assert!(warned.len() <= 5, "{warned:#?}");
    for w in warned {
        let (check, what) = (w["check"].as_str().expect("a name"), w["what"].as_str().expect("a place"));
        let known = |row: &Vec<&str>| row[1] == check && row[2].split("; ").any(|at| at == what);
        assert!(meant.iter().any(known), "no reason is given for {check} at {what}");
    }
}
