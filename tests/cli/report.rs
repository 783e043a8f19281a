//! The page that `report` writes: it needs nothing outside, says the same as `check`, and is the same each time. What a
//! browser makes of it is tried by `tests/browser/run`.

use std::fs;
use std::path::Path;

use sha2::{Digest, Sha256};

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

/// The part of a page that belongs to a chapter.
fn chapter<'a>(page: &'a str, id: &str) -> &'a str {
    let from = page.find(&format!("id=\"{id}\"")).unwrap_or_else(|| panic!("no {id}"));
    let rest = &page[from..];
    rest.find("<section class=\"chapter\"").map_or(rest, |end| &rest[..end])
}

/// What each chapter of the page must hold: chapter and words in it.
const CONTENTS: [(&str, &str); 26] = [
    ("head", "Shortened tail housing for the Marlow 4"),
    ("verdict", "Passes, with "),
    ("verdict", "13 not checked"),
    ("page", "Not computed by any check"),
    ("page", "<canvas id=\"canvas\""),
    ("page", "alt=\"The finished part, seen from behind, right and above"),
    ("worst", "data-look="),
    ("findings", "<h3>sender boss</h3>"),
    ("findings", "<small>A bolt that no spanner reaches cannot be tightened.</small>"),
    ("findings", "<dt>To do</dt>"),
    ("placing", "alt=\"Side view to scale"),
    ("fits", "alt=\"Driveline from the side, to scale"),
    ("fits", "49.212"),
    ("fits", "speedometer"),
    ("stock", "<th scope=\"row\">tail/bushing seat</th>"),
    ("fillets", "57"),
    ("forms", "alt=\"The casting with feeders"),
    ("forms", "alt=\"The core box's halves"),
    ("drawings", "Dimensioned drawing of the"),
    ("parameters", "<code>mount_pad.offset</code>"),
    ("parameters", "class=\"assumed\""),
    ("cautions", "licensed engineer"),
    ("files", "demo_mm.yaml"),
    ("files", "finished.step"),
    ("files", "core_box"),
    ("files", "trial_print"),
];

/// All that the page promises is there, each in its chapter; the worst findings of a feature come first; hashes are those of the files
/// that `build` makes.
#[test]
fn the_page_holds_what_it_promises() {
    let folder = tempfile::tempdir().expect("a folder");
    let page = page_of(&file("params/demo_mm.yaml"), folder.path(), 0);
    for (id, words) in CONTENTS {
        let text = if id == "page" { page.as_str() } else { chapter(&page, id) };
        assert!(text.contains(words), "{words} in {id}");
    }
    for group in chapter(&page, "findings").split("<details class=\"group\"").skip(1) {
        let at = |tag: &str| [group.find(tag), group.rfind(tag)];
        let [fails, warns, table] = ["tag fails", "tag warns", "<table"].map(at);
        assert!(fails[1] < warns[0] || fails[1].is_none() || warns[0].is_none(), "failures first: {group}");
        assert!(warns[1] < table[0] || table[0].is_none(), "what passes comes last: {group}");
    }
    let [path, to] = [file("params/demo_mm.yaml"), folder.path().to_owned()];
    let [path, to] = [path.to_str().expect("a path"), to.to_str().expect("a path")];
    let built = tailpattern(&["build", path, "--form", "finished", "--out", to]);
    assert_eq!(built.status.code(), Some(0), "{}", err(&built));
    let step = fs::read(folder.path().join("demo_mm/finished.step")).expect("a file");
    let hash: String = Sha256::digest(&step).iter().map(|byte| format!("{byte:02x}")).collect();
    assert!(chapter(&page, "files").contains(&hash), "{hash}");
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
