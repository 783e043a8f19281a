//! Dimensioned drawings: what a machinist must be able to read.

use std::path::Path;

use crate::drawn_housing::drawn;
use solidwright::geometry::{P2, Surface};
use solidwright::solid::BrepFace;
use tailpattern::design::Design;
use tailpattern::detail_drawing::{self, FinishedViews, Projection, Tooling};
use tailpattern::drafting::{Flaw, Format, Layer, Page, Shape};
use tailpattern::faces::{Feature, Role};
use tailpattern::forms::{Piece, Product};
use tailpattern::housing;
use tailpattern::params::{self, Source};

fn design(text: &str) -> Option<Design> {
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).ok()?;
    Design::validate(params::read(&source).ok()?).value
}

fn page(design: &Design, projection: Projection) -> Page {
    let housing = housing::build(design).expect("a housing");
    detail_drawing::finished(design, &housing, projection, "a test").expect("a drawing")
}

fn told(flaws: &[Flaw]) -> String {
    flaws.iter().map(|flaw| format!("  {flaw}\n")).collect()
}

/// Every shipped file, in both arrangements: no writing lies on other writing or on a line, nothing lies off the sheet.
#[test]
fn no_writing_is_crossed_on_the_drawings_of_all_parameter_files() {
    let mut files: Vec<_> = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/params"))
        .read_dir()
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    let mut bad = String::new();
    for file in files.iter().filter(|file| file.extension().is_some_and(|e| e == "yaml")) {
        let text = std::fs::read_to_string(file).expect("text");
        let design = design(&text).expect("a design");
        let housing = housing::build(&design).expect("a housing");
        let views = FinishedViews::of(&design, &housing).expect("views");
        for projection in [Projection::First, Projection::Third] {
            let flaws = views.page(projection, "a test").expect("a drawing").flaws();
            if !flaws.is_empty() {
                bad += &format!("{} {projection:?}\n{}", file.display(), told(&flaws));
            }
        }
    }
    assert!(bad.is_empty(), "{bad}");
}

/// The same for castings.
#[test]
fn no_writing_is_crossed_on_the_drawings_of_castings() {
    for text in [include_str!("../../params/minimal.yaml"), include_str!("../../params/demo_inch.yaml")] {
        let design = design(text).expect("a design");
        let housing = housing::build(&design).expect("a housing");
        let product = Product::new(&design, &housing);
        let casting = product.casting().expect("a casting");
        for projection in [Projection::First, Projection::Third] {
            let page = detail_drawing::casting(&product, casting, projection, "a test");
            let flaws = page.expect("a drawing").flaws();
            assert!(flaws.is_empty(), "{projection:?}\n{}", told(&flaws));
        }
    }
}

/// Draws the first housings that build, of those drawn from odd seeds, and judges their sheets as above.
fn judge_drawn_housings(wanted: usize) {
    let mut bad = String::new();
    let mut count = 0;
    for seed in (1..400).step_by(2) {
        let Some(design) = design(&drawn(seed)) else { continue };
        let Ok(housing) = housing::build(&design) else { continue };
        let projection = Projection::usual(design.units());
        match detail_drawing::finished(&design, &housing, projection, "a test") {
            Ok(page) if page.flaws().is_empty() => {}
            Ok(page) => bad += &format!("seed {seed}\n{}", told(&page.flaws())),
            Err(error) => bad += &format!("seed {seed}: {error}\n"),
        }
        count += 1;
        if count == wanted {
            break;
        }
    }
    assert_eq!(count, wanted, "housings to draw");
    assert!(bad.is_empty(), "{bad}");
}

/// How many housings are drawn in all.
const ALL_DRAWN: usize = 20;

#[test]
fn no_writing_is_crossed_on_the_drawings_of_housings_drawn_at_random() {
    judge_drawn_housings(4);
}

#[test]
#[ignore = "takes minutes; part of `tests/run --all`"]
fn no_writing_is_crossed_on_the_drawings_of_twenty_housings_drawn_at_random() {
    judge_drawn_housings(ALL_DRAWN);
}

/// A shell that ends behind a rib's fillet: the fillet claimed a fifth of a millimetre of air beyond the shell's end, and the solid could
/// not be cut there.
#[test]
fn a_housing_whose_shell_ends_behind_a_fillet_is_drawn() {
    let design = design(&drawn(47)).expect("a design");
    let flaws = page(&design, Projection::usual(design.units())).flaws();
    assert!(flaws.is_empty(), "{}", told(&flaws));
}

/// The sheets of pattern and core box of a file.
fn tooling_sheets(text: &str, projection: Projection) -> [Page; 2] {
    let design = design(text).expect("a design");
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let casting = product.casting().expect("a casting");
    let made = [
        (Tooling::Pattern, product.pattern().expect("a pattern")),
        (Tooling::CoreBox, product.core_box().expect("a core box")),
    ];
    made.map(|of| detail_drawing::tooling(&design, casting, of, projection, "a test").expect("a drawing"))
}

/// The same for pattern and core box: in both arrangements, in inches, and with a parting that is turned.
#[test]
fn no_writing_is_crossed_on_the_drawings_of_pattern_and_core_box() {
    let plain = include_str!("../../params/minimal.yaml");
    for (text, projection) in [
        (plain, Projection::First),
        (plain, Projection::Third),
        (include_str!("../../params/demo_inch.yaml"), Projection::Third),
        (include_str!("../../params/short_lugs.yaml"), Projection::First),
    ] {
        for page in tooling_sheets(text, projection) {
            let flaws = page.flaws();
            assert!(flaws.is_empty(), "{} {projection:?}\n{}", page.title, told(&flaws));
        }
    }
}

/// Sizes on these sheets are those of the STEP files, contraction included: the length of the longest piece by its own boundary and the
/// factor that files are written with. The section tells the parting line.
#[test]
fn pattern_and_core_box_are_drawn_with_contraction() {
    let text = include_str!("../../params/minimal.yaml");
    let design = design(text).expect("a design");
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let scale = product.casting().expect("a casting").settings.scale;
    let forms = [product.pattern().expect("a pattern"), product.core_box().expect("a core box")];
    for (page, made) in tooling_sheets(text, Projection::First).iter().zip(forms) {
        let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
        assert!(written.contains(&"parting line"), "{written:#?}");
        let note = written.iter().find_map(|w| w.strip_prefix("Contraction ")?.split_once(" %"));
        let percent: f64 = note.expect("a note").0.parse().expect("a number");
        assert!((1.0 + percent / 100.0 - scale.axial()).abs() < 1e-5, "{percent} % for {}", scale.axial());
        // The longest piece along the shaft, from its own boundary.
        let length =
            |p: &Piece| (p.solid.brep().bounds().max.x - p.solid.brep().bounds().min.x) * scale.axial();
        let longest = made.pieces.iter().map(length).fold(0.0, f64::max);
        let spans = page.content.dimensions.iter().map(|d| d.value);
        let nearest = spans.map(|value| (value - longest).abs()).fold(f64::INFINITY, f64::min);
        assert!(nearest <= 0.05 + 1e-9, "{}: no dimension of {longest} mm", page.title);
        assert!(scale.axial() > 1.01, "contraction is in it");
        // The holes of dowels fit in the files: contraction widens those of the solid itself.
        let bore = design.casting().prints().dowels().get();
        let is_bore = |f: &BrepFace| match &f.surface {
            Surface::Cylinder(c) => (2.0 * c.radius * scale.radial() - bore).abs() < 1e-9,
            _ => false,
        };
        assert!(made.pieces[0].solid.brep().faces.iter().any(is_bore), "a hole of {bore} mm");
        assert!(written.contains(&format!("Ø{bore}").as_str()), "Ø{bore} in {written:#?}");
        for k in 1..=made.dowels.len() {
            assert!(written.contains(&format!("D{k}").as_str()), "dowel {k} in {written:#?}");
        }
    }
}

/// The section of the casting tells where the mould parts and how its walls lean.
#[test]
fn the_casting_s_section_tells_parting_and_draft() {
    let design = design(include_str!("../../params/minimal.yaml")).expect("a design");
    let page = casting_page(&design);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    let draft = format!("draft {}° from it,", design.casting().mould().draft().get());
    assert!(written.contains(&"parting line") && written.contains(&draft.as_str()), "{written:#?}");
}

fn casting_page(design: &Design) -> Page {
    let housing = housing::build(design).expect("a housing");
    let product = Product::new(design, &housing);
    let casting = product.casting().expect("a casting");
    detail_drawing::casting(&product, casting, Projection::First, "a test").expect("a drawing")
}

fn all_writing(parameters: &str) -> String {
    let page = page(&design(parameters).expect("a design"), Projection::First);
    page.content.writing().map(|t| format!("{}\n", t.text)).collect()
}

/// Of `two_mounts.yaml`: given values, but for the width of slots that pass M12.
const TWO_MOUNTS: [&str; 7] = [
    "6 wide, round floor",
    "Ø67 × 2 deep",
    "second mount pad, 2 slots",
    "13 between centres along the shaft, through; middles X 225 Y -58, X 225 Y 58",
    "Ø20.5 × 4 wide, from the spot face",
    "× 22, 8 below the spot face, clock 270°",
    "drain-back",
];

/// Of `long_iron.yaml`.
const LONG_IRON: [&str; 5] = [
    "X 110, clock 70°, face 78 from the shaft axis",
    "X 150, clock 180°, face 74 from the shaft axis",
    "X 440, clock 0°, face 56 from the shaft axis",
    "Ø84 × 3 high",
    "oil feed hole",
];

/// What has no dimension beside a view has its sizes in a table, as the parameter files give them.
#[test]
fn features_without_a_view_have_their_sizes_in_a_table() {
    let two = all_writing(include_str!("../../params/two_mounts.yaml"));
    for words in TWO_MOUNTS {
        assert!(two.contains(words), "{words} in {two}");
    }
    assert!(
        two.contains("No fit is known for: register, bushing seat."),
        "neither stands in its section `mating`: {two}"
    );
    let long = all_writing(include_str!("../../params/long_iron.yaml"));
    for words in LONG_IRON {
        assert!(long.contains(words), "{words} in {long}");
    }
}

/// A pad with a free outline has its place and its sizes in words, and its corners in a table; all values are those of `short_lugs.yaml`.
#[test]
fn a_pad_with_a_free_outline_is_told_in_tables() {
    let page =
        page(&design(include_str!("../../params/short_lugs.yaml")).expect("a design"), Projection::First);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    for words in [
        "height 80, clock 0°, tilt 0°",
        "middle at X 72 Y 0 Z 80; 80 from the shaft axis, clock 0°, tilt 0°",
        "10 corners, see their table",
        "48 along × 36 across R5, about the middle",
    ] {
        assert!(written.contains(&words), "{words} in {written:#?}");
    }
    let at = written.iter().position(|w| w.contains("corners before rounding")).expect("a table of corners");
    let cells = &written[at + 1..at + 1 + 4 * 11];
    assert_eq!(cells[..8], ["corner", "along", "across", "radius", "1", "-42", "-32", "5"]);
    assert_eq!(cells[40..], ["10", "-42", "32", "5"]);
    let flaws = page.flaws();
    assert!(flaws.is_empty(), "{}", told(&flaws));
}

/// Holes are told where they are drilled from: the plugs of `long_iron.yaml` in their faces, 74 below the shaft's axis and 56 above it.
#[test]
fn plugs_are_told_in_their_faces() {
    let page =
        page(&design(include_str!("../../params/long_iron.yaml")).expect("a design"), Projection::First);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    for (name, place) in [("P2", ["150", "0", "-74"]), ("P3", ["440", "0", "56"])] {
        let rows = written.windows(7).filter(|row| row[0] == name && row[2].starts_with('Ø'));
        let places: Vec<&[&str]> = rows.map(|row| &row[4..]).collect();
        assert_eq!(places, [&place[..]], "{name} in {written:#?}");
    }
}

/// The last step of the sender's bore breaks into the cavity of the demonstration, and nothing is left to guess; what has no dimension
/// follows the model.
#[test]
fn nothing_on_the_sheet_is_left_to_guess() {
    let demo = all_writing(include_str!("../../params/demo_mm.yaml"));
    assert!(demo.lines().any(|line| line == "into the cavity"), "{demo}");
    assert!(demo.lines().any(|line| line == "sender, into the cavity"), "{demo}");
    assert!(!demo.contains("as drawn"), "{demo}");
    let governs = demo.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        governs.contains("The solid model governs what has no dimension here: finished.step"),
        "{governs}"
    );
}

/// On the casting's sheet stand plain names, where the section is cut, and what is cast solid: on `two_mounts.yaml` also the slots
/// of its second mount, which are no bores.
#[test]
fn the_sheet_of_a_casting_tells_what_is_cast_solid() {
    let design = design(include_str!("../../params/two_mounts.yaml")).expect("a design");
    let page = casting_page(&design);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    for words in ["A", "gearbox face, bolt hole 1 to bolt hole 6", "Ø11", "tail, dust recess", "Ø67"] {
        assert!(written.contains(&words), "{words} in {written:#?}");
    }
    assert!(written.iter().any(|w| w.starts_with("second mount pad, slot 1")), "{written:#?}");
    // Slots for M12 with 13 mm of travel: 13.5 mm wide (ISO 273, medium) and 26.5 mm long.
    assert!(written.iter().any(|w| w.starts_with("26.5 by ") && w.ends_with(" by 13.5")), "{written:#?}");
    assert!(written.iter().all(|w| !w.contains("_pad/") && !w.contains("gearbox_face")), "{written:#?}");
}

/// Stock fills the dust recess of `two_mounts.yaml`, 2 mm deep: the bores behind it are cored all the same. Where nothing of the tail is cored, the
/// seal's shoulder is a ring with a notch, where the drain leaves it, and is told by its diameter.
#[test]
fn a_recess_that_stock_fills_leaves_the_bores_cored() {
    let text = include_str!("../../params/two_mounts.yaml");
    let solid = |text: &str| {
        let design = design(text).expect("a design");
        let housing = housing::build(&design).expect("a housing");
        let product = Product::new(&design, &housing);
        let stock = &product.casting().expect("a casting").stock;
        let of_tail =
            stock.iter().filter(|row| Feature::of(&row.tag) == Feature::Tail && row.is_cast_solid());
        of_tail.map(|row| Role::of(&row.tag)).collect::<Vec<Role>>()
    };
    let found = solid(text);
    assert!(found.contains(&Role::DustRecess) && found.contains(&Role::DustRecessFloor), "{found:?}");
    for cored in [Role::BushingSeat, Role::SealCounterbore, Role::StopBore, Role::SealShoulder] {
        assert!(!found.contains(&cored), "{cored:?} in {found:?}");
    }
    let text = text.replace("casting:\n", "casting:\n  stock: {cored_above: 100}\n");
    assert!(solid(&text).contains(&Role::SealShoulder), "nothing of the tail is cored");
    let page = casting_page(&design(&text).expect("a design"));
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    assert!(written.windows(3).any(|row| row == ["seal shoulder", "1", "Ø60"]), "{written:#?}");
}

/// Holes are counted, not spelt: ten of them are 1 to 10, although 9 is the last in the order of names. This one has 2 mm of stock all
/// over, less than half the zone of ISO 8062-3 on its long sizes (1.1 mm short): the sheet says on which faces.
#[test]
fn the_sheet_of_a_casting_counts_holes_and_names_faces_short_of_stock() {
    let text = drawn(11);
    let design = design(&text).expect("a design");
    let page = casting_page(&design);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    assert!(written.contains(&"gearbox face, bolt hole 1 to bolt hole 10"), "{written:#?}");
    let short = "MAY NOT CLEAN UP in the worst casting: bushing stop; rear face; seal shoulder.";
    assert!(written.contains(&short), "{written:#?}");
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let stock = &product.casting().expect("a casting").stock;
    let negative = stock.iter().filter(|row| row.least.is_some_and(|least| least < 0.0)).count();
    assert_eq!(negative, 3, "as many as are named");
}

/// Whether a writing has a metric unit. Threads and grades of standards have metric names and no unit; masses stand in pounds first.
fn is_metric(written: &str) -> bool {
    [" mm", "mm²", "mm³", "cm³", "µm"].iter().any(|unit| written.contains(unit))
}

/// The sheet of a pattern in inches gives areas, volumes and places in inches too.
#[test]
fn the_sheets_of_tooling_in_inches_speak_of_inches() {
    for page in tooling_sheets(include_str!("../../params/demo_inch.yaml"), Projection::Third) {
        let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
        assert!(written.iter().any(|w| w.ends_with(" in³")), "{written:#?}");
        assert_eq!(written.iter().find(|w| is_metric(w)), None);
    }
}

/// Sheets in inches name no micrometre, and their general tolerance is in inches: ISO 2768-1, class m, has ±0.2 mm up to 30 mm,
/// which are .008 up to 1.181 inches.
#[test]
fn sheets_in_inches_speak_of_inches() {
    let inch = all_writing(include_str!("../../params/demo_inch.yaml"));
    assert!(inch.contains("±.008 to 1.181"), "{inch}");
    assert!(inch.contains("Ra 125 µin"), "{inch}");
    let casting = casting_page(&design(include_str!("../../params/demo_inch.yaml")).expect("a design"));
    let of_casting: Vec<&str> = casting.content.writing().map(|t| t.text.as_str()).collect();
    for written in inch.lines().chain(of_casting) {
        assert!(!is_metric(written), "{written}");
    }
    assert!(inch.lines().any(|w| w.contains(" lb (")), "{inch}");
    assert!(
        !inch.contains("gearbox_face") && !inch.contains("shift_box_pad"),
        "names as files have them: {inch}"
    );
}

/// A section has its plane with two letters on a view (ISO 128-3, from memory): on the sheets of pattern and core box too.
#[test]
fn sections_of_tooling_have_their_plane_on_a_view() {
    for page in tooling_sheets(include_str!("../../params/minimal.yaml"), Projection::First) {
        let letters = page.content.writing().filter(|t| t.text == "A").count();
        assert_eq!(letters, 2, "{}", page.title);
    }
}

/// ISO 7200 (from memory): title, kind of document, sheet and scale stand in the title block, at the lower right corner (ISO 5457); here
/// with the file it was made from, the unit, and that nothing is approved.
#[test]
fn the_title_block_tells_what_the_sheet_is() {
    for (text, unit) in [
        (include_str!("../../params/demo_mm.yaml"), "millimetres"),
        (include_str!("../../params/demo_inch.yaml"), "inches"),
    ] {
        let design = design(text).expect("a design");
        let page = page(&design, Projection::First);
        let (low, high) = page.format.space();
        let within = |at: P2| at.x > high.x - 180.0 && at.y < low.y + 50.0;
        let block: Vec<&str> =
            page.content.writing().filter(|t| within(t.at)).map(|t| t.text.as_str()).collect();
        let scale = page.scale.text();
        for field in
            [design.name(), "finished part", "INVENTED, not certified", "a test", scale.as_str(), unit]
        {
            assert!(block.contains(&field), "{field} in {block:?}");
        }
        let standard = if unit == "inches" { "ASME " } else { "ISO A" };
        assert!(block.iter().any(|field| field.starts_with(standard)), "{block:?}");
    }
}

/// What stands under the views is written in words, and the holes and datums have their names.
#[test]
fn views_are_named() {
    let design = design(include_str!("../../params/demo_mm.yaml")).expect("a design");
    let page = page(&design, Projection::First);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    for words in ["Section A–A", "View on the gearbox face", "From above", "From below", "F1", "M1", "S1"] {
        assert!(written.contains(&words), "{words} in {written:#?}");
    }
}

/// The mount pad of the demonstration's casting has no sharp edge: the view from below shows its face by narrow lines, and that of the finished
/// part, which is machined, by wide ones. ISO 128-3 (from memory) draws imaginary intersections by narrow continuous lines.
#[test]
fn flat_faces_of_castings_have_their_ends_drawn() {
    let design = design(include_str!("../../params/demo_mm.yaml")).expect("a design");
    let pad = design.mount_pad().expect("a pad").outline();
    // Both longer sides of the face at half size, less its rounded corners: how long, and how far apart.
    let wanted = [0.5 * (pad.width.get() - 2.0 * pad.corner_radius.get()), 0.5 * pad.length.get()];
    let sides = |page: &Page, layer: Layer, within: f64| {
        let upright = page.content.shapes().filter_map(|(on, shape)| match shape {
            Shape::Line(a, b) if on == layer && (a.x - b.x).abs() < 1e-6 => Some([*a, *b]),
            _ => None,
        });
        let long = upright.filter(|[a, b]| ((a - b).norm() - wanted[0]).abs() < within);
        let middles: Vec<P2> = long.map(|[a, b]| P2::from((a.coords + b.coords) * 0.5)).collect();
        middles.iter().any(|p| {
            middles.iter().any(|q| (q.x - p.x - wanted[1]).abs() < within && (q.y - p.y).abs() < 1e-6)
        })
    };
    let casting = casting_page(&design);
    let written: Vec<&str> = casting.content.writing().map(|t| t.text.as_str()).collect();
    assert!(
        written.iter().any(|w| w.contains("Metal laid on at sender boss is drawn smooth")),
        "{written:?}"
    );
    // Draft and the rounded edge change the sizes of the casting by some millimetres.
    assert!(sides(&casting, Layer::Smooth, 4.0), "the casting");
    let finished = page(&design, Projection::First);
    assert!(sides(&finished, Layer::Visible, 1e-6), "the finished part");
}

/// Both halves of the demonstration's pattern from outside, and the face on which the lower one's dowels stand.
#[test]
fn the_pattern_is_seen_from_both_sides() {
    let [pattern, _] = tooling_sheets(include_str!("../../params/demo_mm.yaml"), Projection::First);
    let written: Vec<&str> = pattern.content.writing().map(|t| t.text.as_str()).collect();
    for words in ["Upper half from above", "Lower half from below", "Flat side of the lower half, from above"]
    {
        assert!(written.contains(&words), "{words} in {written:#?}");
    }
}

/// A drawn housing without a pad or a hole on top: the view from above goes where the rest then fits a smaller sheet, and the plane of
/// section A–A stands in the view from below.
#[test]
fn a_view_that_tells_nothing_gives_way_to_a_smaller_sheet() {
    let design = design(&drawn(39)).expect("a design");
    let page = page(&design, Projection::First);
    let written: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    assert!(!written.contains(&"From above") && written.contains(&"From below"), "{written:?}");
    assert_eq!(
        written.iter().filter(|text| **text == "A").count(),
        2 + 1,
        "the section's plane, and datum A"
    );
    assert_eq!(page.format, Format::A2, "all four views needed A1");
    let flaws = page.flaws();
    assert!(flaws.is_empty(), "{}", told(&flaws));
}
