//! `build`: faults in files, in forms, and of files.

use super::{edit, err, file, tailpattern};

#[test]
fn faults_are_underlined_with_line_and_column() {
    let path = file("tests/rejects/d002_off_flange.yaml");
    let output = tailpattern(&["build", path.to_str().expect("a path")]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    let text = err(&output);
    for part in ["error[D002]", "d002_off_flange.yaml:9:18", "^^^", "why: ", "hint: ", "1 error"] {
        assert!(text.contains(part), "no `{part}` in\n{text}");
    }
}

#[test]
fn a_thin_floor_tells_by_how_much_the_depth_must_shrink() {
    let path = file("tests/rejects/d057_thin_floor.yaml");
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().to_str().expect("a path");
    let text = err(&tailpattern(&["build", path.to_str().expect("a path"), "--out", out]));
    assert!(text.contains("allowed: a depth smaller by at least"), "{text}");
}

#[test]
fn a_missing_file_is_file_trouble() {
    let output = tailpattern(&["build", "no/such/file.yaml"]);
    assert_eq!(output.status.code(), Some(4), "file trouble");
    assert!(err(&output).contains("no/such/file.yaml"), "{}", err(&output));
}

#[test]
fn an_unknown_form_names_the_known_ones() {
    let path = file("params/demo_mm.yaml");
    let output = tailpattern(&["build", path.to_str().expect("a path"), "--form", "finnished"]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    let text = err(&output);
    assert!(text.contains("possible values: finished"), "{text}");
}

#[test]
fn a_chord_of_nothing_is_refused() {
    let path = file("params/demo_mm.yaml");
    for chord in ["0", "-1", "NaN", "inf", "x"] {
        let output = tailpattern(&["build", path.to_str().expect("a path"), &format!("--chord={chord}")]);
        assert_eq!(output.status.code(), Some(2), "chord {chord}");
    }
}

#[test]
fn a_picture_is_a_png_of_the_sheet_size() {
    let path = file("params/demo_mm.yaml");
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().to_str().expect("a path");
    let output = tailpattern(&["build", path.to_str().expect("a path"), "--picture", "--out", out]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let bytes = std::fs::read(folder.path().join("demo_mm/finished.png")).expect("the picture");
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().expect("a PNG");
    assert_eq!(reader.info().size(), tailpattern::drawing::SHEET_SIZE, "size");
    let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
    reader.next_frame(&mut pixels).expect("sound to the last row");
    let white = pixels.chunks(3).filter(|p| *p == [255, 255, 255]).count();
    assert!(white > pixels.len() / 9 && white < pixels.len() / 4, "{white} white pixels");
}

#[test]
fn nothing_is_written_where_one_target_is_bad() {
    let path = file("params/minimal.yaml");
    let out = tempfile::tempdir().expect("a folder");
    let [folder, bad] = [out.path(), &out.path().join("taken")];
    std::fs::create_dir(bad).expect("a folder in the way");
    let argument = |p: &std::path::Path| p.to_str().expect("a path").to_owned();
    let output =
        tailpattern(&["build", &argument(&path), "--out", &argument(folder), "--measured", &argument(bad)]);
    assert_eq!(output.status.code(), Some(4), "file trouble");
    assert!(!folder.join("minimal/finished.step").exists(), "no STEP beside a missing sidecar");
}

#[test]
fn no_result_may_replace_the_parameter_file_or_another_result() {
    let out = tempfile::tempdir().expect("a folder");
    let input = out.path().join("part.yaml");
    std::fs::copy(file("params/minimal.yaml"), &input).expect("a copy");
    let before = std::fs::read(&input).expect("readable");
    let [path, folder] =
        [&input, out.path()].map(|p: &std::path::Path| p.to_str().expect("a path").to_owned());
    let result = format!("{folder}/part/finished.step");
    let (one, same) = (format!("{folder}/a.json"), format!("{folder}/./a.json"));
    for asked in [
        ["--measured", &path, "--tree", &one],
        ["--tree", &one, "--timing", &same],
        ["--tree", &one, "--measured", &result],
    ] {
        let output = tailpattern(&[&["build", &path, "--out", &folder], asked.as_slice()].concat());
        assert_eq!(output.status.code(), Some(2), "{asked:?}: {}", err(&output));
        assert_eq!(std::fs::read(&input).expect("readable"), before, "{asked:?}");
        assert!(!out.path().join("part").exists() && !out.path().join("a.json").exists(), "{asked:?}");
    }
}

/// Where loose pieces free the halves, the warning says so instead of advising to make them.
#[test]
fn an_undercut_that_loose_pieces_free_is_told_as_such() {
    let folder = tempfile::tempdir().expect("a folder");
    let (part, out) = (file("params/pulse_sender.yaml"), folder.path().to_str().expect("a path").to_owned());
    let told = |form: &str| {
        let built = tailpattern(&["build", part.to_str().expect("a path"), "--form", form, "--out", &out]);
        let said = err(&built);
        said.lines().filter(|line| line.contains("G004")).map(str::to_owned).collect::<Vec<_>>()
    };
    let (casting, pattern) = (told("casting"), told("pattern"));
    assert!(!casting.is_empty() && casting.len() == pattern.len(), "{casting:?} {pattern:?}");
    assert!(casting.iter().all(|line| line.contains("`build --form pattern`")), "{casting:?}");
    assert!(pattern.iter().all(|line| line.contains("written with the pattern free it")), "{pattern:?}");
}

/// What `check` warns of, `build` warns of; what fails there, fails here.
#[test]
fn undercuts_have_the_severity_that_check_gives_them() {
    let given = std::fs::read_to_string(file("params/demo_mm.yaml")).expect("readable");
    let folder = tempfile::tempdir().expect("a folder");
    let part = folder.path().join("part.yaml");
    let limits = |line: &str| edit::set(&given, "limits.undercut", line);
    for (text, word, code) in
        [(given.clone(), Some("warning"), 0), (limits("50"), Some("error"), 1), (limits("5000"), None, 0)]
    {
        std::fs::write(&part, text).expect("written");
        let [path, out] = [part.as_path(), folder.path()].map(|p| p.to_str().expect("a path"));
        let built = tailpattern(&["build", path, "--form", "casting", "--out", out]);
        assert_eq!(built.status.code(), Some(code), "{}", err(&built));
        let told = word.map(|word| format!("{word}[G004]: pattern, sender_boss"));
        assert_eq!(err(&built).contains("G004"), told.is_some(), "{}", err(&built));
        assert!(told.is_none_or(|told| err(&built).contains(&told)), "{}", err(&built));
        let checked = tailpattern(&["check", path, "--form", "casting", "--all"]);
        assert_eq!(checked.status.code(), Some(code), "{}", super::out(&checked));
        // What is left is dressed by hand: both say how much, where and how, and neither advises a loose piece.
        for said in [err(&built), super::out(&checked)].iter().filter(|_| word.is_some()) {
            assert!(
                said.contains("rapping frees all but 15 mm² near (268.3, -88.0, -1.9) mm, lower half"),
                "{said}"
            );
            assert!(said.contains("fill the pattern between it and the parting plane"), "{said}");
            assert!(!said.contains("--form pattern"), "{said}");
        }
    }
}
