//! `inspect`: sheets are written, readings judged, and bad readings told with their line; nothing is judged on them.

use std::fs;

use super::{err, file, out, tailpattern};

pub(crate) fn path(name: &str) -> String {
    file(name).to_str().expect("a path").to_owned()
}

/// Judges a text as readings of the demonstration.
pub(crate) fn judge(text: &str) -> (Option<i32>, String, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let readings = folder.path().join("readings.csv");
    fs::write(&readings, text).expect("written");
    let done =
        tailpattern(&["inspect", "judge", &path("params/demo_mm.yaml"), readings.to_str().expect("a path")]);
    (done.status.code(), out(&done), err(&done))
}

pub(crate) fn points() -> String {
    fs::read_to_string(file("examples/first_article_points.csv")).expect("the example")
}

/// The example with each place changed.
pub(crate) fn changed(change: impl Fn(usize, [f64; 3]) -> [f64; 3]) -> String {
    let text = points();
    let mut lines = text.lines();
    let mut new = format!("{}\n", lines.next().expect("a head"));
    for (k, line) in lines.enumerate() {
        let cells: Vec<&str> = line.splitn(6, ',').collect();
        let at = [2, 3, 4].map(|c| cells[c].parse::<f64>().expect("a number"));
        let [x, y, z] = change(k, at);
        new += &format!("{},{},{x:.4},{y:.4},{z:.4},\n", cells[0], cells[1]);
    }
    new
}

#[test]
fn a_plan_has_all_its_files_and_says_the_same_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().to_str().expect("a path");
    for form in ["finished", "casting"] {
        let arguments = ["inspect", "plan", &path("params/demo_mm.yaml"), "--form", form, "--out", to];
        let names =
            ["measuring.csv", "probe_points.csv", "probe_points.dxf", "measuring.html", "measuring.pdf"];
        let made = || {
            let done = tailpattern(&arguments);
            assert_eq!(done.status.code(), Some(0), "{}", err(&done));
            names
                .map(|n| fs::read(folder.path().join("demo_mm").join(format!("{form}_{n}"))).expect("a file"))
        };
        let first = made();
        assert_eq!(first, made(), "the same bytes");
        assert!(first.iter().all(|f| f.len() > 500), "something is in them");
    }
}

/// The example's errors are known (`examples/inspection_readings.rs`): the counterbore lies off the seat by √(0.016² + 0.008²),
/// so its coaxiality is 0.036; all else conforms.
#[test]
fn the_example_is_judged() {
    let folder = tempfile::tempdir().expect("a folder");
    let json = folder.path().join("judged.json");
    let done = tailpattern(&[
        "inspect",
        "judge",
        &path("params/demo_mm.yaml"),
        &path("examples/first_article_points.csv"),
        &path("examples/first_article_sizes.csv"),
        "--point-uncertainty",
        "0.0016",
        "--json",
        json.to_str().expect("a path"),
    ]);
    assert_eq!(done.status.code(), Some(1), "{}", err(&done));
    let figures: serde_json::Value = serde_json::from_slice(&fs::read(json).expect("written")).expect("JSON");
    let items = figures["articles"][0]["characteristics"].as_array().expect("a list");
    let failed: Vec<&serde_json::Value> = items.iter().filter(|i| i["verdict"] != "conforms").collect();
    assert_eq!(failed.len(), 1, "{failed:#?}");
    assert_eq!(failed[0]["verdict"], "does not conform", "{failed:#?}");
    let [found, within] = ["greatest_found", "uncertainty"].map(|k| failed[0][k].as_f64().expect("a number"));
    assert!((found - 2.0 * 0.016_f64.hypot(0.008)).abs() < within, "{found} within {within}");
}

#[test]
fn bad_sizes_are_told_with_their_line() {
    let head = "article,number,reading_mm,remark\n";
    let cases = [
        ("1,25,1.9375,\n", "line 2", "in inches"),
        ("1,25,1250.0,\n", "line 2", "in millimetres under"),
        ("1,25,24.61,\n", "line 2", "a radius?"),
        ("1,25,0.012,\n", "line 2", "deviation"),
        ("1,25,49.22,\n1,25,49.22,\n", "line 3", "twice"),
        ("1,99,49.22,\n", "line 2", "no number of this sheet"),
        ("1,25,\"49,22\",\n", "line 2", "decimal point"),
        ("1,25,49,22,\n", "line 2", "a decimal comma"),
        ("1,25,forty-nine,\n", "line 2", "is no number"),
        ("1,25,53.4,\n", "line 2", "confirmed"),
        ("1,43,maybe,\n", "line 2", "`go` or `no-go`"),
        ("1,32,29.37,\n", "line 2", "wrong sign"),
        ("", "", "no rows"),
        ("1,25,1e300,\n", "line 2", "no length of this part"),
        ("1,25,-1e300,\n", "line 2", "no length of this part"),
        ("1,25,inf,\n", "line 2", "no length of this part"),
        ("1,25,49.22,\n1,26,NaN,\n", "line 3", "no length of this part"),
        ("1,25,49.22,\r\n1,26,NaN,\r\n", "line 3", "no length of this part"),
        ("1,25,49.22,\r1,26,NaN,\r", "line 3", "no length of this part"),
        ("1,25,4\09.22,\n", "line 2", "characters here that no text has"),
        ("A7,25,49.22,\n,26,50,\n", "line 3", "names no article"),
        ("A7,25,49.22,\na7,25,49.22,\n", "line 3", "`a7` is written `A7` elsewhere"),
        ("1,25,49.22,\n01,25,49.22,\n", "line 3", "`01` is written `1` elsewhere"),
        ("1,99999999999999999999999,49.22,\n", "line 2", "no number of this sheet"),
        ("1,0,49.22,\n1,71,5,\n1,72,5,\n1,73,5,\n1,74,5,\n", "line 2", "another form"),
    ];
    for (rows, line, why) in cases {
        let (code, told, wrong) = judge(&format!("{head}{rows}"));
        assert_eq!(code, Some(2), "{rows}: {wrong}");
        assert!(wrong.contains(line) && wrong.contains(why), "{rows}: {wrong}");
        assert!(told.is_empty(), "nothing is judged: {told}");
    }
    let (code, _, wrong) = judge("article,number,reading\n1,25,49.22\n");
    assert!(code == Some(2) && wrong.contains("does not say its unit"), "{wrong}");
    let (code, _, wrong) = judge("number,reading_mm,reading_in\n25,49.22,1.94\n");
    assert!(code == Some(2) && wrong.contains("which one counts"), "{wrong}");
    let (code, _, wrong) = judge("number,reading_mm,uncertainty_mm\n25,49.22,49.22\n");
    assert!(code == Some(2) && wrong.contains("line 2") && wrong.contains("columns swapped"), "{wrong}");
    for (uncertainty, why) in
        [("NaN", "no length"), ("1e300", "no length"), ("1e-300", "none that a length has")]
    {
        let (code, told, wrong) =
            judge(&format!("number,reading_mm,uncertainty_mm\n25,49.22,{uncertainty}\n"));
        assert!(code == Some(2) && told.is_empty() && wrong.contains("line 2"), "{told}{wrong}");
        assert!(wrong.contains(why), "{wrong}");
    }
    // A number of an article without a reading is no article; numbers in parts stay apart.
    let (code, told, wrong) = judge(&format!("{head}1.11,25,49.22,\n11.1,25,49.22,\n,26,,\n"));
    assert!(code == Some(1) && told.matches("Article ").count() == 2, "{told}{wrong}");
    // Rows of separators at a table's end are passed over.
    let (code, told, wrong) = judge(&format!("{head}1,25,49.22,\n,,,\n,,,\n"));
    assert!(code == Some(1) && told.contains("1 conform,"), "{told}{wrong}");
    let (code, _, wrong) = judge("a,b\n1,2\n");
    assert!(code == Some(2) && wrong.contains("neither sizes"), "{wrong}");
    // A reading far off is judged if it is confirmed.
    let (code, told, wrong) = judge(&format!("{head}1,25,53.4,confirmed\n"));
    assert!(code == Some(1) && told.contains("does not conform"), "{told}{wrong}");
}

#[test]
fn bad_points_are_told_and_nothing_is_judged() {
    let refused = |text: &str, why: &str| {
        let (code, told, wrong) = judge(text);
        assert_eq!(code, Some(2), "{why}: {wrong}");
        assert!(wrong.contains(why) && told.is_empty(), "{why}: {wrong}{told}");
    };
    let (code, told, wrong) = judge(&changed(|_, p| p));
    assert_eq!(code, Some(1), "sound points are judged: {wrong}");
    assert!(told.contains("coaxiality"), "{told}");
    refused(&changed(|_, [x, y, z]| [x, -y, z]), "mirrored");
    refused(&changed(|_, [x, y, z]| [y, x, z]), "or two are swapped");
    refused(&changed(|_, p| p.map(|v| v / 25.4)), "in inches");
    refused(&changed(|k, [x, y, z]| if k == 40 { [x + 7.0, y, z + 5.0] } else { [x, y, z] }), "line 42");
    refused(
        &changed(|k, [x, y, z]| if k == 40 { [x + 0.2, y + 0.2, z + 0.2] } else { [x, y, z] }),
        "line 42",
    );
    let few: String =
        points().lines().filter(|l| !l.contains("register")).map(|l| format!("{l}\n")).collect();
    refused(&few, "datum B has no probed points");
    let one: String = points().lines().take(5).map(|l| format!("{l}\n")).collect();
    refused(&one, "points; it needs");
    refused(&points().replace("bushing seat", "bushing seta"), "did you mean `tail/bushing seat`?");
    refused(&changed(|_, p| p.map(|v| v / 10.0)), "in centimetres");
    refused("", "the file is empty");
    let text = points();
    let (head, rows) = text.split_once('\n').expect("a head");
    refused(&format!("{head}\n{rows}{rows}"), "already in line 2");
    refused(&format!("{head},measured_x_mm\n{}", rows.replace('\n', ",1\n")), "is there twice");
    refused(&text.replacen("shift_box_pad/face,", "\"shift_box_pad/face,", 1), "quotation mark");
    refused(&text.replacen("\n1,tail/rear face,", "\n1,tail/rear face,NaN", 1), "is no number");
}

/// One slip at a datum turns and moves all the other points; it alone is told.
#[test]
fn a_slip_at_a_datum_is_told_by_itself() {
    let text = points();
    for (datum, by) in
        [("register", 99_000.0), ("gearbox_face/face", 900.0), ("gearbox_face/bolt hole 1,", -77.0)]
    {
        let at = text.lines().skip(1).position(|l| l.contains(datum)).expect("a datum") + 2;
        let slipped = changed(|k, [x, y, z]| if k == at { [x, y + by, z + by] } else { [x, y, z] });
        let (code, told, wrong) = judge(&slipped);
        assert!(code == Some(2) && told.is_empty(), "{datum}: {told}");
        let named = format!("line {}: ", at + 2);
        assert!(wrong.contains(&named) && wrong.matches("error:").count() == 1, "{datum}: {wrong}");
    }
}

/// What is no table, a folder, one file twice, and readings of another part; nothing is judged, and the terminal gets no strange characters.
#[test]
fn other_files_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = folder.path().to_str().expect("a path");
    let of = |part: &str, readings: &[&str]| {
        let mut arguments = vec!["inspect".to_owned(), "judge".to_owned(), path(part)];
        arguments.extend(readings.iter().map(|r| (*r).to_owned()));
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let done = tailpattern(&arguments);
        assert!(out(&done).is_empty(), "nothing is judged: {}", out(&done));
        (done.status.code(), err(&done))
    };
    let contents: [(&[u8], &str); 4] = [
        (b"\x89PNG\r\n\x1a\n", "not text"),
        (b"PK\x03\x04\x14\0\x06\0", "not as a workbook"),
        (b"\xef\xbb\xbf \r\n", "is empty"),
        (b"\xff\xfen\0u\0", "not text"),
    ];
    for (bytes, why) in contents {
        let file = folder.path().join("bytes.csv");
        fs::write(&file, bytes).expect("written");
        let (code, wrong) = of("params/demo_mm.yaml", &[file.to_str().expect("a path")]);
        assert!(code == Some(2) && wrong.contains(why), "{wrong}");
        assert!(wrong.chars().all(|c| c == '\n' || !c.is_control()), "{wrong:?}");
    }
    let (code, wrong) = of("params/demo_mm.yaml", &[place]);
    assert!(code == Some(4) && wrong.contains("this is a folder"), "{wrong}");
    let [points, sizes] = ["points", "sizes"].map(|n| path(&format!("examples/first_article_{n}.csv")));
    let (code, wrong) = of("params/demo_mm.yaml", &[&points, &points]);
    assert!(code == Some(2) && wrong.contains("line 2") && wrong.contains("already in line 2"), "{wrong}");
    let (code, wrong) = of("params/demo_mm.yaml", &[&sizes, &sizes]);
    assert!(code == Some(2) && wrong.contains("line 2: number 1 is read twice"), "{wrong}");
    let (code, wrong) = of("params/long_iron.yaml", &[&points]);
    assert!(code == Some(2) && wrong.contains("or of another part?"), "{wrong}");
}

/// Files as other programs write them are read all the same: semicolons with decimal commas, tabs, a mark of byte order, line ends of two
/// characters, other capitals.
#[test]
fn files_of_other_programs_are_read() {
    let plain = judge(&points());
    assert_eq!(plain.0, Some(1), "{}", plain.2);
    let text = points().replace("\"invented, made by examples/inspection_readings.rs\"", "");
    let files = [
        text.replace(',', ";").replace('.', ","),
        text.replace(',', "\t"),
        format!("\u{feff}{}", text.replace('\n', "\r\n")),
        text.replace("gearbox_face", "GEARBOX_FACE"),
    ];
    for file in files {
        assert_eq!(judge(&file), plain, "the same verdict");
    }
}
