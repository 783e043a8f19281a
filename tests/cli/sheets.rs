//! The sheets that `build` writes with each form, and what STEP files say of themselves. Their figures are held against the
//! measured ones in `tests/reference/cases/sheets.py`.

use std::fs;
use std::path::Path;

use super::{err, file, tailpattern};

fn built(arguments: &[&str], folder: &Path) -> Vec<String> {
    let demo = file("params/demo_mm.yaml");
    let [demo, out] = [demo.as_path(), folder].map(|p| p.to_str().expect("a path"));
    let output = tailpattern(&[&["build", demo, "--out", out], arguments].concat());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let entries = fs::read_dir(folder.join("demo_mm")).expect("a folder");
    let names = entries.map(|e| e.expect("readable").file_name().into_string().expect("a name"));
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

#[test]
fn sheets_and_pictures_are_those_of_the_forms_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let names = built(&["--form", "core,core-box", "--picture"], folder.path());
    let of = |kind: &str| -> Vec<&String> {
        names.iter().filter(|n| Path::new(n).extension().is_some_and(|e| e == kind)).collect()
    };
    assert_eq!(of("pdf"), ["core.pdf", "core_box.pdf"], "{names:?}");
    assert_eq!(of("html"), ["core.html", "core_box.html"], "{names:?}");
    assert_eq!(of("png"), ["core.png", "core_box.png"], "{names:?}");
    assert!(of("txt").is_empty(), "the sheets replace them: {names:?}");
}

/// A page opens without a network, and a viewer of PDF has the fonts in the file.
#[test]
fn sheets_need_nothing_outside() {
    let folder = tempfile::tempdir().expect("a folder");
    built(&["--form", "pattern"], folder.path());
    let page = fs::read_to_string(folder.path().join("demo_mm/pattern.html")).expect("a page");
    for outside in ["http:", "https:", "//", "<script", "<link", "url(", "@import", "href="] {
        // The data of a picture may hold any letters.
        let told = page.split('"').filter(|part| !part.starts_with("data:"));
        assert!(told.into_iter().all(|part| !part.contains(outside)), "{outside}");
    }
    let paper = fs::read(folder.path().join("demo_mm/pattern.pdf")).expect("a PDF");
    let paper = String::from_utf8_lossy(&paper);
    for part in ["%PDF-1.7", "/FontFile2", "/ToUnicode", "/Lang (en)"] {
        assert!(paper.contains(part), "no {part}");
    }
    for part in ["/URI", "/CreationDate", "/ModDate", "/Launch"] {
        assert!(!paper.contains(part), "{part}");
    }
}

/// Form, half and scale are told, each once, in the header and in the product.
#[test]
fn a_step_file_tells_form_half_and_scale_once() {
    let folder = tempfile::tempdir().expect("a folder");
    built(&["--form", "finished,casting,pattern,trial-print"], folder.path());
    let said = [
        ("finished", "finished", None),
        ("casting", "casting", Some("without contraction")),
        ("pattern_upper", "pattern, upper half", Some("do not add shrink")),
        ("pattern_lower", "pattern, lower half", Some("do not add shrink")),
        ("trial_print_1_of_2", "trial print 1 of 2", Some("do not scale")),
    ];
    for (stem, name, scale) in said {
        let path = folder.path().join(format!("demo_mm/{stem}.step"));
        let text = fs::read_to_string(path).expect("a STEP file").replace('\n', "");
        // Semicolons stand in the descriptions too: a record ends behind its bracket.
        let whole = |start: &str| {
            let rest = text.split_once(start).unwrap_or_else(|| panic!("{stem}: no {start}")).1;
            rest.split_once(");").expect("an end").0.to_owned()
        };
        let header = whole("FILE_DESCRIPTION((");
        assert_eq!(header.matches(name).count(), 1, "{stem}: {header}");
        assert!(scale.is_none_or(|scale| header.matches(scale).count() == 1), "{stem}: {header}");
        let product = whole("=PRODUCT(");
        let [id, rest] = product.split_once("','").map(|(a, b)| [a, b]).expect("id and name");
        let description = rest.split_once("','").expect("name and description").1;
        let told = if stem == "finished" { description } else { id };
        assert_eq!(told.matches(name).count(), 1, "{stem}: {product}");
        assert!(stem == "finished" || !description.contains("form "), "{stem}: {description}");
        assert!(scale.is_none_or(|scale| description.matches(scale).count() == 1), "{stem}: {description}");
    }
}

/// Whoever drills or cuts what is cast solid finds its size in the same row: no cell of the table is empty.
#[test]
fn the_casting_s_sheet_tells_the_size_of_what_is_cast_solid() {
    let folder = tempfile::tempdir().expect("a folder");
    built(&["--form", "casting"], folder.path());
    let page = fs::read_to_string(folder.path().join("demo_mm/casting.html")).expect("a page");
    let (_, after) = page.split_once("finished size").expect("the table");
    let (table, _) = after.split_once("</table>").expect("its end");
    let rows: Vec<&str> = table.split("<tr>").skip(1).collect();
    assert!(rows.len() > 5, "{table}");
    for row in rows {
        assert!(row.contains(" mm") && !row.contains("></td>"), "no size: {row}");
    }
}

/// A pad gets neither a loose piece nor a side core at one place: the steps end where the mould does not open and tell what to change; the loose piece of
/// another place is told after them, without a number.
#[test]
fn the_order_of_drawing_ends_where_the_mould_does_not_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let given = file("tests/cli/held_pad.yaml");
    let [given, out] = [given.as_path(), folder.path()].map(|p| p.to_str().expect("a path"));
    let output = tailpattern(&["build", given, "--form", "pattern", "--out", out]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let page = fs::read_to_string(folder.path().join("held_pad/pattern.html")).expect("a page");
    let (steps, after) =
        page.split_once("<ol>").and_then(|(_, rest)| rest.split_once("</ol>")).expect("steps in a list");
    let last = steps.rsplit("<li>").next().expect("a step");
    for words in ["STOP: the mould does not open here.", "mount pad", "To change before the pattern is made:"]
    {
        assert!(last.contains(words), "{words} in {last}");
    }
    assert!(steps.contains("Rap the upper half and draw it"), "nothing holds that one: {steps}");
    assert!(!steps.contains("Draw loose piece") && !steps.contains("Lay the core"), "{steps}");
    assert!(after.contains("<li>Draw loose piece 1"), "{after}");
}
