//! `sweep` and `solve`: rows that are the same whatever ends the program, however many threads and shards make them.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use serde_json::Value;

use super::{err, file, out, tailpattern};

/// Twelve walls of the smallest file, one check.
const OVER: [&str; 4] = ["--over", "shell.wall=5..8/12", "--check", "oil wall, worst case"];

fn text(path: &Path) -> &str {
    path.to_str().expect("a path")
}

/// Runs a sweep of the smallest file, which must end well.
fn sweep(folder: &Path, more: &[&str]) {
    let input = file("params/minimal.yaml");
    let output =
        tailpattern(&[&["sweep", text(&input), "--out", text(folder)], OVER.as_slice(), more].concat());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
}

/// The bytes of a sweep's tables.
fn tables(folder: &Path) -> Vec<Vec<u8>> {
    ["rows.csv", "rows.parquet", "checks.csv", "checks.parquet"]
        .map(|name| fs::read(folder.join(name)).expect(name))
        .to_vec()
}

/// The column of a table, by its name.
fn column(folder: &Path, table: &str, name: &str) -> Vec<String> {
    let mut table = csv::Reader::from_path(folder.join(table)).expect(table);
    let at = table.headers().expect("a head").iter().position(|c| c == name).expect("the column");
    table.records().map(|row| row.expect("a row")[at].to_owned()).collect()
}

/// A file where the folder should be is named, as by the other commands.
#[test]
fn a_file_in_place_of_the_folder_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let taken = folder.path().join("taken");
    fs::write(&taken, "").expect("written");
    let input = file("params/minimal.yaml");
    let output = tailpattern(&[&["sweep", text(&input), "--out", text(&taken)], OVER.as_slice()].concat());
    assert_eq!(output.status.code(), Some(4), "{}", err(&output));
    assert!(err(&output).contains("taken is not a folder"), "{}", err(&output));
}

#[test]
fn threads_and_shards_change_no_byte() {
    let dir = tempfile::tempdir().expect("a folder");
    let at = |name: &str| dir.path().join(name);
    sweep(&at("one"), &["--threads", "1"]);
    sweep(&at("three"), &["--threads", "3"]);
    assert_eq!(tables(&at("one")), tables(&at("three")), "threads");
    assert_eq!(column(&at("one"), "rows.csv", "index"), (0..12).map(|i| i.to_string()).collect::<Vec<_>>());

    for k in ["1", "2", "3"] {
        sweep(&at(&format!("shard{k}")), &["--shard", &format!("{k}/3")]);
    }
    let merge = |shards: &[&str], into: &str| {
        let shards: Vec<_> = shards.iter().map(|s| at(s)).collect();
        let shards: Vec<&str> = shards.iter().map(|s| text(s)).collect();
        tailpattern(&[&["sweep", "merge"], shards.as_slice(), &["--out", text(&at(into))]].concat())
    };
    let whole = merge(&["shard3", "shard1", "shard2"], "whole");
    assert_eq!(whole.status.code(), Some(0), "{}", err(&whole));
    assert_eq!(tables(&at("one")), tables(&at("whole")), "shards");
    let answers = |name: &str| fs::read(at(name).join("answers.json")).expect("answers");
    assert_eq!(answers("one"), answers("whole"), "answers");

    let answered = tailpattern(&["sweep", "answers", text(&at("shard2"))]);
    assert_eq!(answered.status.code(), Some(1), "a shard is not the whole");
    assert!(out(&answered).contains("4 of 12 rows"), "{}", out(&answered));
    let other = at("other");
    let input = file("params/minimal.yaml");
    let none = ["--over", "shell.wall=5..8/12", "--check", "none", "--shard", "2/3", "--out", text(&other)];
    let made = tailpattern(&[&["sweep", text(&input)], &none[..]].concat());
    assert_eq!(made.status.code(), Some(0), "{}", err(&made));
    let mixed = merge(&["shard1", "other"], "mixed");
    assert_eq!(mixed.status.code(), Some(2), "another sweep");
    assert!(err(&mixed).contains("the checks made (--check)"), "{}", err(&mixed));
    let part = merge(&["shard1", "shard3", "shard3"], "part");
    assert_eq!(part.status.code(), Some(1), "not whole");
    assert!(out(&part).contains("missing: rows 4 to 7"), "{}", out(&part));
    assert!(out(&part).contains("kept once: rows 8 to 11"), "{}", out(&part));
}

/// Rows that differ only in a limit share the casting and all other forms, and those of one print the print: every table is
/// the same as where each row is made alone.
#[test]
fn rows_that_share_forms_are_as_rows_made_alone() {
    let dir = tempfile::tempdir().expect("a folder");
    let at = |name: &str| dir.path().join(name);
    let input = file("params/minimal.yaml");
    let over = ["--over", "limits.hot_spot=1.2,4", "--over", "trial_print.margin=3,9"];
    let made = |folder: &Path, more: &[&str]| {
        let base = ["sweep", text(&input), "--out", text(folder), "--threads", "1"];
        let output = tailpattern(&[&base, over.as_slice(), more].concat());
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    };
    made(&at("together"), &[]);
    let alone = ["1/4", "2/4", "3/4", "4/4"].map(|shard| {
        let folder = at(&shard.replace('/', " of "));
        made(&folder, &["--shard", shard]);
        folder
    });
    let shards: Vec<&str> = alone.iter().map(|folder| text(folder)).collect();
    let merged =
        tailpattern(&[&["sweep", "merge"], shards.as_slice(), &["--out", text(&at("alone"))]].concat());
    assert_eq!(merged.status.code(), Some(0), "{}", err(&merged));
    assert_eq!(tables(&at("together")), tables(&at("alone")), "not a byte differs");
    let checks = column(&at("together"), "checks.csv", "check");
    for check in ["hot spot, walls", "room on the bed", "undercut"] {
        assert!(checks.iter().any(|c| c == check), "{check} was made");
    }
}

#[test]
fn what_is_killed_goes_on_and_ends_the_same() {
    let dir = tempfile::tempdir().expect("a folder");
    let (whole, killed) = (dir.path().join("whole"), dir.path().join("killed"));
    sweep(&whole, &[]);
    let input = file("params/minimal.yaml");
    for milliseconds in [150, 400, 700, 1000] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_tailpattern"))
            .args(["sweep", text(&input), "--out", text(&killed), "--resume"])
            .args(OVER)
            .stdout(Stdio::null())
            .spawn()
            .expect("the program runs");
        std::thread::sleep(Duration::from_millis(milliseconds));
        child.kill().expect("killed, or ended before");
        child.wait().expect("gone");
    }
    sweep(&killed, &["--resume"]);
    assert_eq!(tables(&whole), tables(&killed), "not a byte differs");
    assert!(!killed.join("parts").exists() && !killed.join("pending.log").exists(), "nothing is left");
}

/// As a terminal's Ctrl-C does: rows in work are finished and kept, the exit code says so, `--resume` makes the rest.
#[cfg(unix)]
#[test]
fn what_is_interrupted_says_how_to_go_on() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("sweep");
    let input = file("params/minimal.yaml");
    let base = [
        "sweep",
        text(&input),
        "--over",
        "shell.wall=5..8/150",
        "--check",
        "none",
        "--threads",
        "1",
        "--out",
    ];
    let child = Command::new(env!("CARGO_BIN_EXE_tailpattern"))
        .args(base)
        .arg(&folder)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let begun = |name: &str| fs::metadata(folder.join(name)).is_ok_and(|m| m.len() > 0);
    while !begun("pending.log") {
        std::thread::sleep(Duration::from_millis(2));
    }
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    assert!(sent.success());
    let output = child.wait_with_output().expect("ended");
    assert_eq!(output.status.code(), Some(130), "{}", err(&output));
    assert!(err(&output).contains("--resume"), "{}", err(&output));
    assert!(!folder.join("rows.csv").exists(), "it was not whole");
    let rest = tailpattern(&[&base[..], &[text(&folder), "--resume"]].concat());
    assert_eq!(rest.status.code(), Some(0), "{}", err(&rest));
    assert!(!out(&rest).contains(" 150 of them built now"), "some were kept: {}", out(&rest));
    assert_eq!(column(&folder, "rows.csv", "index"), (0..150).map(|i| i.to_string()).collect::<Vec<_>>());
}

#[test]
fn a_folder_of_another_sweep_is_refused() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("taken");
    sweep(&folder, &[]);
    let before = tables(&folder);
    let input = file("params/minimal.yaml");
    let base = ["sweep", text(&input), "--out", text(&folder)];
    let again = tailpattern(&[&base, OVER.as_slice()].concat());
    assert_eq!(again.status.code(), Some(2), "taken");
    assert!(err(&again).contains("--resume"), "{}", err(&again));
    let other =
        tailpattern(&[&base[..], &["--over", "shell.wall=5..9/12", "--check", "none", "--resume"]].concat());
    assert_eq!(other.status.code(), Some(2), "another");
    assert_eq!(tables(&folder), before, "left as it was");
}

#[test]
fn faults_are_rows() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("faults");
    let input = file("params/minimal.yaml");
    let output = tailpattern(&[
        "sweep",
        text(&input),
        "--over",
        "shell.wall=6,-1,400,90",
        "--check",
        "none",
        "--out",
        text(&folder),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let verdicts = column(&folder, "rows.csv", "verdict");
    assert_eq!(verdicts[..3], ["unchecked", "refused", "refused"], "{verdicts:?}");
    assert!(column(&folder, "rows.csv", "fault")[1].contains("P017 shell.wall"), "the fault's code and key");
}

#[test]
fn kept_parts_are_parameter_files_that_build_the_same() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("kept");
    let input = file("params/minimal.yaml");
    let arguments = ["--over", "shell.wall=6,7.5", "--link", "gearbox_face.flange.thickness=2*shell.wall-1"];
    let rest = ["--check", "none", "--keep", "unchecked", "--out", text(&folder)];
    let output = tailpattern(&[&["sweep", text(&input)], arguments.as_slice(), rest.as_slice()].concat());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert_eq!(column(&folder, "rows.csv", "gearbox_face.flange.thickness"), ["11", "14"], "linked");
    assert_eq!(column(&folder, "rows.csv", "verdict"), ["unchecked"; 2], "without checks nothing passes");
    let kept = folder.join("variants/000000001.yaml");
    let measured = dir.path().join("measured.json");
    let built =
        tailpattern(&["build", text(&kept), "--out", text(dir.path()), "--measured", text(&measured)]);
    assert_eq!(built.status.code(), Some(0), "{}", err(&built));
    let figures: serde_json::Value =
        serde_json::from_slice(&fs::read(&measured).expect("figures")).expect("JSON");
    let volume: f64 = column(&folder, "rows.csv", "volume_mm3")[1].parse().expect("a number");
    assert_eq!(figures["volume_mm3"].as_f64(), Some(volume), "the same part");
}

/// Against a scan: `oil wall, worst case` is the wall less a tolerance that does not change between these rows.
#[test]
fn solve_finds_where_a_check_fails() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("scan");
    sweep(&folder, &[]);
    let walls: Vec<f64> =
        column(&folder, "rows.csv", "shell.wall").iter().map(|w| w.parse().expect("mm")).collect();
    let margin = |index: usize| -> f64 {
        let checks = fs::read_to_string(folder.join("checks.csv")).expect("checks");
        let own = checks.lines().filter(|l| l.starts_with(&format!("{index},")));
        let margins = own.map(|l| l.rsplit(',').next().expect("margin_to_fail").parse::<f64>().expect("mm"));
        margins.fold(f64::INFINITY, f64::min)
    };
    let last = walls.len() - 1;
    let slope = (margin(last) - margin(0)) / (walls[last] - walls[0]);
    let wanted = walls[0] - margin(0) / slope;
    let input = file("params/minimal.yaml");
    let output = tailpattern(&[
        "solve",
        text(&input),
        "--for",
        "shell.wall=4..8",
        "--start",
        "6",
        "--until",
        "oil wall, worst case=0",
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let printed = out(&output);
    let lowest = printed.lines().find_map(|l| l.strip_prefix("lowest ")).expect("an end");
    let found: f64 = lowest.split([' ', ',']).next().expect("a number").parse().expect("mm");
    assert!((found - wanted).abs() < 0.0011, "{found}, by the scan {wanted}");
    assert!(printed.contains("highest 8") && printed.contains("still passes"), "{printed}");
}

/// Whole numbers are tried as such; a step that halves to nothing ends; what ends a range is told with its own margin.
#[test]
fn solve_ends_where_nothing_lies_between() {
    let input = file("params/minimal.yaml");
    let solved = |arguments: &[&str]| {
        let output = tailpattern(&[&["solve", text(&input)], arguments].concat());
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", err(&output));
        out(&output)
    };
    let bolts = solved(&["--for", "gearbox_face.bolt_circles[1].count=4..7", "--steps", "8"]);
    assert!(bolts.contains("lowest 4") && bolts.contains("highest 7"), "{bolts}");
    let wall =
        solved(&["--for", "shell.wall=5..6.5", "--start", "6.5", "--within", "1e-15", "--until", "wall=2.5"]);
    let lowest = wall.strip_prefix("lowest ").and_then(|l| l.split([' ', ',']).next()).expect("an end");
    let lowest: f64 = lowest.parse().expect("mm");
    let least = 3.0 * (1.0 + (280.0 - 150.0) / 350.0 * 2.0 / 3.0);
    assert!((lowest - 2.5 - least).abs() < 1e-6, "{least} mm are the least for 280 mm of length: {wall}");
    assert!(wall.contains("margin 2.5000 mm"), "{wall}");
}

#[test]
fn bad_sweeps_are_told_before_they_begin() {
    let input = file("params/minimal.yaml");
    let refused = |arguments: &[&str], word: &str| {
        let output = tailpattern(&[&["sweep", text(&input)], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(err(&output).contains(word), "{arguments:?}: {}", err(&output));
    };
    refused(&[], "nothing is varied");
    refused(&["--over", "shell.wal=1..2/3"], "did you mean `shell.wall`");
    refused(&["--over", "housing.name=1..2/3"], "no number");
    refused(&["--over", "shell.wall=5..8"], "add /count");
    refused(&["--over", "shell.wall=5..8/4", "--sample", "5"], "leave /count out");
    refused(&["--over", "shell.wall=5..8/4", "--shard", "4/3"], "number/total");
    refused(&["--over", "shell.wall=5..8/4", "--check", "oil wall"], "did you mean `oil wall, worst case`");
    let surroundings = ["--over", "shell.wall=5..8/4", "--check", "surroundings"];
    refused(&surroundings, "`surroundings` is not made for this part, because the file names none");
    refused(&["--over", "shell.wall=5..8/4", "--goals", "mass,margin:wal"], "did you mean `wall`");
    refused(&["--over", "shell.wall=5..8/4", "--link", "shell.wall=3"], "set twice");
    refused(&["--over", "shell.wall=5..8/4", "--link", "tail.length=mount_pad.drop"], "neither varied");
    refused(&["--over", "shell.cavity[9].diameter=60..70/4"], "has 3 items");
}

/// Where every row is refused the summary tells for what: a key of a pad that the file does not have.
#[test]
fn rows_that_are_all_refused_tell_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = file("params/minimal.yaml");
    let over = ["--over", "mount_pad.drop=60,70", "--check", "none"];
    let output = tailpattern(&[&["sweep", text(&input), "--out", text(folder.path())], &over[..]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let told = out(&output);
    assert!(told.contains("2 rows: 2 refused"), "{told}");
    let why = "no check fails; most often for P012 mount_pad.base_station: this key is required and missing";
    assert!(told.contains(why), "{told}");
}

/// The print's walls are looked for up to 6 mm: the file's own part, with a wall of 6.5 mm, has none of them. A row with a thinner wall is
/// judged by it all the same, and the wall measured on the print is the wall that the row has.
#[test]
fn a_check_that_only_some_rows_have_can_be_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = file("params/minimal.yaml");
    let out = folder.path().to_str().expect("a path");
    let arguments =
        ["sweep", text(&input), "--over", "shell.wall=4,7", "--check", "wall of the print", "--out", out];
    let output = tailpattern(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(err(&output).contains("`wall of the print` finds nothing to measure"), "{}", err(&output));
    let values = column(folder.path(), "checks.csv", "value");
    let rows = column(folder.path(), "checks.csv", "index");
    let of_first = || rows.iter().zip(&values).filter(|(row, _)| *row == "0").map(|(_, value)| value);
    assert_eq!(of_first().count(), 2, "both halves of the print: {rows:?} {values:?}");
    for value in of_first() {
        assert!((value.parse::<f64>().expect("a number") - 4.0).abs() < 0.01, "{value}");
    }
}

/// A small sweep draws each row with it; pictures are the same from shards, from a run without and with `--resume` after it, and whatever the
/// number of threads; the page holds them, one card a row.
#[test]
fn each_row_of_a_small_sweep_has_its_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let pictures = |name: &str| -> Vec<(String, Vec<u8>)> {
        let Ok(entries) = fs::read_dir(at(name).join("pictures")) else { return vec![] };
        let read = |e: fs::DirEntry| {
            (e.file_name().to_string_lossy().into_owned(), fs::read(e.path()).expect("a picture"))
        };
        let mut all: Vec<_> = entries.flatten().map(read).collect();
        all.sort();
        all
    };
    sweep(&at("whole"), &["--threads", "2"]);
    let whole = pictures("whole");
    assert_eq!(whole.len(), 12, "one for each row");
    assert!(whole.windows(2).all(|pair| pair[0].1 != pair[1].1), "each wall has its own look");
    assert!(whole.iter().all(|(_, png)| png.starts_with(b"\x89PNG\r\n")), "PNG files");
    let page = fs::read_to_string(at("whole").join("sweep.html")).expect("a page");
    assert_eq!(page.matches("src=\"data:image/png;base64,").count(), 12, "all on the page");
    sweep(&at("later"), &["--pictures", "none"]);
    assert!(pictures("later").is_empty(), "none were asked for");
    let page_without = fs::read_to_string(at("later").join("sweep.html")).expect("a page");
    assert!(page_without.contains("No picture was drawn of this row"), "the page says so");
    sweep(&at("later"), &["--resume"]);
    assert_eq!(pictures("later"), whole, "drawn afterwards");
    assert_eq!(fs::read_to_string(at("later").join("sweep.html")).expect("a page"), page);
    let shards = ["1/2", "2/2"].map(|shard| at(&shard.replace('/', "-")));
    for (shard, to) in ["1/2", "2/2"].iter().zip(&shards) {
        sweep(to, &["--shard", shard]);
    }
    let merged =
        tailpattern(&["sweep", "merge", text(&shards[0]), text(&shards[1]), "--out", text(&at("merged"))]);
    assert_eq!(merged.status.code(), Some(0), "{}", err(&merged));
    assert_eq!(pictures("merged"), whole, "of both shards");
}

/// The page answers which values work: a band of all checks with a cell for each value, whose words tell the value.
#[test]
fn the_page_shows_which_values_work() {
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().join("swept");
    sweep(&to, &[]);
    let page = fs::read_to_string(to.join("sweep.html")).expect("a page");
    let drawing = page.split("Which values of shell.wall work").nth(1).expect("the bands");
    let drawing = drawing.split("</svg>").next().expect("one drawing");
    assert!(drawing.contains("all checks") && drawing.contains("oil wall, worst case: "), "{drawing}");
    // Each value is a row here, so the pointer is told the rows in their order.
    let titles = drawing.split("<title>").skip(1).filter_map(|t| t.split("</title>").next());
    let summary: Vec<&str> =
        titles.filter(|t| t.contains(": works") || t.contains(": does not work")).collect();
    assert_eq!(summary.len(), 12, "a cell for each value: {drawing}");
    for (row, title) in summary.iter().enumerate() {
        assert!(title.ends_with(&format!(", row {row}")), "{title}");
    }
    assert!(drawing.contains("fail, margin -"), "thin walls fail: {drawing}");
}

/// Names of checks in the figures and tables of margins, those of the part and those of the forms: what `check --form finished` makes
/// is the part's and nothing else is, so that no form's margin stands among the part's and none of the part's among the forms'.
#[test]
fn forms_margins_stand_apart_from_the_part_s() {
    let folder = tempfile::tempdir().expect("a folder");
    let (to, checked) = (folder.path().join("swept"), folder.path().join("checked.json"));
    let input = file("params/minimal.yaml");
    let swept = tailpattern(&["sweep", text(&input), "--out", text(&to), "--over", "shell.wall=5..8/4"]);
    assert_eq!(swept.status.code(), Some(0), "{}", err(&swept));
    tailpattern(&["check", text(&input), "--form", "finished", "--json", text(&checked)]);
    let told: Value = serde_json::from_slice(&fs::read(&checked).expect("findings")).expect("JSON");
    let of_part: Vec<&str> =
        told["checked"].as_array().expect("a list").iter().filter_map(|c| c["check"].as_str()).collect();
    assert!(of_part.contains(&"oil wall, worst case"), "{of_part:?}");

    let page = fs::read_to_string(to.join("sweep.html")).expect("a page");
    let part = |name: &str| of_part.contains(&name);
    let figure = |of: &str| {
        let caption = format!("How far those measurements of {of} that change");
        let before =
            page.split(&caption).next().filter(|b| b.len() < page.len()).expect("the figure's caption");
        let drawing = before.rsplit("<figure>").next().expect("its drawing");
        let titles = drawing.split("<title>").skip(1).filter_map(|t| t.split("</title>").next());
        // A dot's words: its value, the check, what was measured, its margin.
        let names = titles.filter_map(|t| t.split(": ").nth(1));
        let names: BTreeSet<String> = names.map(str::to_owned).collect();
        assert!(!names.is_empty(), "dots of {of}");
        names
    };
    let (own, forms) = (figure("the part"), figure("casting and trial print"));
    assert!(own.iter().all(|name| part(name)), "{own:?}");
    assert!(forms.contains("wall of the print") && !forms.iter().any(|name| part(name)), "{forms:?}");

    let table = |of: &str| {
        let heading = format!("margins of the {of} nearest to their limits</h2>");
        let rows =
            page.split(&heading).nth(1).expect("the table").split("</table>").next().expect("its rows");
        let cells = rows.split("<tr><td>").skip(1).filter_map(|row| row.split("</td>").next());
        cells.map(str::to_owned).collect::<Vec<_>>()
    };
    for (of, is_part, held) in [
        ("part", true, "oil wall, worst case"),
        ("casting", false, "hot spot, walls"),
        ("trial print", false, "wall of the print"),
    ] {
        let names = table(of);
        assert!(names.iter().any(|name| name == held), "{held} among {names:?}");
        assert!(names.iter().all(|name| part(name) == is_part), "{of}: {names:?}");
    }
}
