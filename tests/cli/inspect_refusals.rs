//! What `inspect` refuses: slips at datums, readings all scaled, exchanged names, other units and separators, scans that are broken or in
//! another unit. Each is told plainly, with its line where there is one, and nothing is judged.

use std::fs;

use super::inspect::{changed, judge, path, points};
use super::{err, out, tailpattern};

/// Judges a text that must be refused, and gives what is said.
fn refused(text: &str, what: &str) -> String {
    let (code, told, wrong) = judge(text);
    assert_eq!(code, Some(2), "{what}: {wrong}{told}");
    assert!(told.is_empty(), "{what}: nothing is judged: {told}");
    wrong
}

/// The rows of an element: their places in the list of rows.
fn rows_of(element: &str) -> Vec<usize> {
    let text = points();
    let is = |l: &str| l.starts_with(&format!("1,{element},"));
    text.lines().skip(1).enumerate().filter(|(_, l)| is(l)).map(|(k, _)| k).collect()
}

/// Readings that are all too large or too small by one factor are told in one sentence with the factor, not point by point. The factors
/// are known, and are told to a hundredth of a percent.
#[test]
fn scaled_readings_are_told_as_one() {
    for factor in [1.005, 0.994, 1.013, 0.987, 1.05, 0.93, 1.1] {
        let wrong = refused(&changed(|_, p| p.map(|v| v * factor)), "scaled");
        assert_eq!(wrong.matches("error:").count(), 1, "{factor}: {wrong}");
        let told = wrong.split_once("together are ").expect(&wrong).1;
        let (percent, rest) = told.split_once(" % too ").expect(&wrong);
        let percent: f64 = percent.parse().expect("a number");
        assert!((percent - 100.0 * (factor - 1.0_f64).abs()).abs() < 0.02, "{factor}: {wrong}");
        assert!(rest.starts_with(if factor > 1.0 { "large" } else { "small" }), "{factor}: {wrong}");
    }
}

/// Two slips at one datum, or one at each of two: these lines are told, and no other. They are so large that none lands on the surface again.
#[test]
fn two_slips_at_datums_are_told_by_themselves() {
    let datums = ["gearbox_face/face", "gearbox_face/register", "gearbox_face/bolt hole 1"].map(rows_of);
    let cases = [
        [datums[0][1], datums[0][4]],
        [datums[1][0], datums[1][5]],
        [datums[2][0], datums[2][3]],
        [datums[0][2], datums[1][3]],
        [datums[1][1], datums[2][2]],
    ];
    for (case, by) in cases.iter().zip([7.0, 5.0, 11.0, 9.0, 13.0]) {
        let slipped =
            changed(|k, [x, y, z]| if case.contains(&k) { [x + by, y - by, z + by] } else { [x, y, z] });
        let wrong = refused(&slipped, "two slips");
        for row in case {
            assert!(wrong.contains(&format!("line {}: ", row + 2)), "{case:?}: {wrong}");
        }
        assert_eq!(wrong.matches("error:").count(), 2, "{case:?}: {wrong}");
    }
}

/// Names of two holes exchanged: each is told once. A datum among them turns the whole part.
#[test]
fn exchanged_names_are_told_once_each() {
    for (one, other) in [("2", "3"), ("1", "4"), ("1", "3")] {
        let name = |n: &str| format!("1,gearbox_face/bolt hole {n},");
        let text = points()
            .replace(&name(one), "1,aside,")
            .replace(&name(other), &name(one))
            .replace("1,aside,", &name(other));
        let wrong = refused(&text, "exchanged");
        assert_eq!(wrong.matches("error:").count(), 2, "{one} and {other}: {wrong}");
        assert_eq!(wrong.matches("exchanged?").count(), 2, "{one} and {other}: {wrong}");
    }
}

/// Points on one line determine no surface, however many they are.
#[test]
fn points_on_one_line_are_told() {
    let face = rows_of("mount_pad/face");
    let first = face[0];
    let text = points();
    let place = |row: usize| -> [f64; 3] {
        let cells: Vec<&str> = text.lines().nth(row + 1).expect("a row").splitn(6, ',').collect();
        [2, 3, 4].map(|c| cells[c].parse().expect("a number"))
    };
    let [from, to] = [place(first), place(face[face.len() - 1])];
    let on_line = changed(|k, p| match face.iter().position(|row| *row == k) {
        Some(n) => {
            let share = n as f64 / (face.len() - 1) as f64;
            [0, 1, 2].map(|c| from[c] + share * (to[c] - from[c]))
        }
        None => p,
    });
    let wrong = refused(&on_line, "one line");
    assert!(
        wrong.contains("points lie on one line") && wrong.contains(&format!("line {}: ", first + 2)),
        "{wrong}"
    );
}

/// Other units, one by one and in a part of the file.
#[test]
fn other_units_are_told() {
    let some = rows_of("shift_box_pad/face");
    let mixed = changed(|k, p| if some.contains(&k) { p.map(|v| v / 25.4) } else { p });
    let wrong = refused(&mixed, "mixed units");
    assert!(wrong.contains(&format!("line {}: ", some[0] + 2)), "{wrong}");
    let wrong = refused(&changed(|_, p| p.map(|v| v * 25.4)), "inches written out");
    assert!(wrong.contains("in millimetres under columns in inches"), "{wrong}");
    let wrong = refused(&changed(|_, p| p.map(|v| v * 1e3)), "micrometres");
    assert!(wrong.contains("the head names the unit") || wrong.contains("in micrometres"), "{wrong}");
    let head = "article,number,reading_mm\n";
    for (row, why) in [
        ("1,25,49218.0", "in micrometres"),
        ("1,25,-49.22", "a diameter is above zero"),
        ("1,25,0", "a diameter is above zero"),
        ("1,25,49 .22", "is no number"),
        ("1,25,4 9.22", "is no number"),
    ] {
        let wrong = refused(&format!("{head}{row}\n"), row);
        assert!(wrong.contains("line 2") && wrong.contains(why), "{row}: {wrong}");
    }
}

/// Heads and rows that are not what they should be.
#[test]
fn other_tables_are_told() {
    let wrong = refused("article,number,reading_mm\n", "header only");
    assert!(wrong.contains("no rows"), "{wrong}");
    let wrong = refused("article,no,value\n1,25,49.22\n", "another header");
    assert!(wrong.contains("line 1") && wrong.contains("neither sizes"), "{wrong}");
    let wrong = refused("1,25,49.22\n1,26,50\n", "no header");
    assert!(wrong.contains("neither sizes"), "{wrong}");
    let wrong = refused("article,number,reading_mm\nA,25,49.22\n,26,0.02\nB,25,49.22\n", "no serial");
    assert!(wrong.contains("line 3") && wrong.contains("names no article"), "{wrong}");
    // Semicolons and tabs are taken, with decimal commas.
    for separator in [";", "\t"] {
        let rows =
            ["article,number,reading_mm", "1,25,49'22"].map(|r| r.replace(',', separator).replace('\'', ","));
        let (code, told, wrong) = judge(&format!("{}\n{}\n", rows[0], rows[1]));
        assert!(code == Some(1) && told.contains("1 conform,"), "{separator:?}: {told}{wrong}");
    }
}

/// An angle is read in degrees, with its unit or without, and refused where it cannot be meant.
#[test]
fn angles_are_read_in_degrees() {
    let sheet = tempfile::tempdir().expect("a folder");
    let folder = sheet.path().to_str().expect("a path");
    let done = tailpattern(&["inspect", "plan", &path("params/demo_mm.yaml"), "--out", folder]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let csv = fs::read_to_string(sheet.path().join("demo_mm/finished_measuring.csv")).expect("written");
    let row = csv.lines().find(|l| l.contains("seal lead-in")).expect(&csv);
    let cells: Vec<&str> = row.split(',').collect();
    let (number, nominal) = (cells[1], cells[4].strip_suffix(" deg").expect(row));
    let nominal: f64 = nominal.parse().expect("degrees");
    let head = "article,number,reading_mm\n";
    for text in [format!("{nominal}"), format!("{nominal} deg"), format!("{nominal}°")] {
        let (code, told, wrong) = judge(&format!("{head}1,{number},{text}\n"));
        assert!(code == Some(1) && told.contains("1 conform,"), "{text}: {told}{wrong}");
    }
    for (text, why) in [
        (format!("{}", 2.0 * nominal), "twice the nominal angle"),
        (format!("{}", 90.0 - nominal), "angle to the face"),
        ("steep".to_owned(), "is no angle"),
    ] {
        let wrong = refused(&format!("{head}1,{number},{text}\n"), &text);
        assert!(wrong.contains("line 2") && wrong.contains(why), "{text}: {wrong}");
    }
}

/// Scans in inches and metres name their unit; cut-off files and texts are told with their name. Nothing is written.
#[test]
fn broken_scans_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let built = folder.path().to_str().expect("a path");
    let done = tailpattern(&["build", &path("params/demo_mm.yaml"), "--form", "finished", "--out", built]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let stl = fs::read_dir(folder.path().join("demo_mm"))
        .expect("a folder")
        .filter_map(|e| Some(e.ok()?.path()))
        .find(|p| p.extension().is_some_and(|x| x == "stl"))
        .expect("an STL");
    let bytes = fs::read(&stl).expect("read");
    let page = folder.path().join("page.html");
    let scan = |name: &str, bytes: &[u8]| {
        let file = folder.path().join(name);
        fs::write(&file, bytes).expect("written");
        let done = tailpattern(&[
            "inspect",
            "scan",
            &path("params/demo_mm.yaml"),
            file.to_str().expect("a path"),
            "--page",
            page.to_str().expect("a path"),
        ]);
        (done.status.code(), out(&done), err(&done))
    };
    let told = |name: &str, bytes: &[u8], why: &str| {
        let (code, told, wrong) = scan(name, bytes);
        assert_eq!(code, Some(2), "{name}: {told}{wrong}");
        assert!(told.is_empty() && wrong.contains(why), "{name}: {told}{wrong}");
        assert!(!page.exists(), "{name}: nothing is written");
    };
    let scaled = |by: f32| {
        let mut out = bytes.clone();
        for facet in out[84..].chunks_exact_mut(50) {
            for cell in facet[12..48].chunks_exact_mut(4) {
                let value = f32::from_le_bytes([cell[0], cell[1], cell[2], cell[3]]) * by;
                cell.copy_from_slice(&value.to_le_bytes());
            }
        }
        out
    };
    told("inch.stl", &scaled(1.0 / 25.4), "inches");
    told("metre.stl", &scaled(1e-3), "metres");
    told("cut.stl", &bytes[..bytes.len() / 2 + 7], "cut.stl");
    told("cut.ply", b"ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nelement face 2\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n", "cut.ply");
    told("text.stl", b"not a scan at all", "text.stl");
    told("empty.ply", b"ply\n", "empty.ply");
}
