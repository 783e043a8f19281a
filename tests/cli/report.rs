//! The page that `report` writes: it needs nothing outside, says the same as `check`, and is the same each time. What a
//! browser makes of it is tried by `tests/browser/run`.

use std::fs;
use std::path::Path;

use super::{err, file, out, tailpattern};

fn page_of(parameters: &Path, folder: &Path, code: i32) -> String {
    let [path, to] = [parameters, folder].map(|p| p.to_str().expect("a path"));
    let output = tailpattern(&["report", path, "--out", to]);
    assert_eq!(output.status.code(), Some(code), "{}", err(&output));
    let stem = parameters.file_stem().expect("a name");
    fs::read_to_string(folder.join(stem).join("report.html")).expect("a page")
}

#[test]
fn the_page_needs_nothing_outside_and_forbids_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let page = page_of(&file("params/minimal.yaml"), folder.path(), 0);
    assert!(page.contains("default-src 'none'"), "a policy");
    assert!(!page.contains("connect-src"), "it asks for nothing");
    assert_eq!(page.matches("alt=\"Dimensioned drawing of the").count(), 2, "part and casting are drawn");
    // The data of meshes and pictures may hold any letters.
    let told = page.split('"').filter(|part| !part.starts_with("data:") && part.len() < 20_000);
    for part in told {
        for outside in ["http:", "https:", "url(", "@import", "src=\"//"] {
            assert!(!part.contains(outside), "{outside} in {part}");
        }
    }
    let again = page_of(&file("params/minimal.yaml"), folder.path(), 0);
    assert_eq!(page, again, "the same bytes");
    for path in [env!("CARGO_MANIFEST_DIR"), folder.path().to_str().expect("a path")] {
        assert!(!page.contains(path), "it tells nothing of its maker's folders");
    }
}

/// The counts are those of `check`, told by another writer.
#[test]
fn the_verdict_is_that_of_check() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = file("params/solid_pads.yaml");
    let checked = tailpattern(&["check", demo.to_str().expect("a path")]);
    let counts = out(&checked).lines().next().expect("counts").to_owned();
    let page = page_of(&demo, folder.path(), checked.status.code().expect("a code"));
    let plain = page.replace("<b>", "").replace("</b>", "");
    assert!(plain.contains(&counts), "{counts}");
}

#[test]
fn a_faulty_file_gives_no_page() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = fs::read_to_string(file("params/minimal.yaml")).expect("a file");
    let wrong = folder.path().join("wrong.yaml");
    fs::write(&wrong, text.replace("cavity:", "cavty:")).expect("written");
    let [path, to] = [wrong.as_path(), folder.path()].map(|p| p.to_str().expect("a path"));
    let output = tailpattern(&["report", path, "--out", to]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    assert!(!folder.path().join("wrong").exists(), "nothing is written");
}
