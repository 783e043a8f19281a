//! What the sections of drawings show: ribs cut lengthwise stay plain, and of a pattern with side cores the pattern.

use solidwright::geometry::P2;
use tailpattern::design::Design;
use tailpattern::detail_drawing::{self, Projection, Tooling};
use tailpattern::drafting::{Layer, Page, Shape};
use tailpattern::forms::{self, Product};
use tailpattern::housing;
use tailpattern::params::{self, Source};

fn design(text: &str) -> Design {
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    Design::validate(params::read(&source).expect("a tree")).value.expect("a design")
}

/// The hatched area of a finished part's sheet by the length of its lines, mm² of the part.
fn hatched(text: &str) -> f64 {
    let design = design(text);
    let housing = housing::build(&design).expect("a housing");
    let page = detail_drawing::finished(&design, &housing, Projection::First, "a test").expect("a drawing");
    let length: f64 = lines(&page).iter().map(|[a, b]| (b - a).norm()).sum();
    // 2.2 mm from line to line on paper.
    length * 2.2 / page.scale.factor().powi(2)
}

fn lines(page: &Page) -> Vec<[P2; 2]> {
    let hatch = page.content.entities.iter().filter(|e| e.layer == Layer::Hatch);
    hatch.filter_map(|e| if let Shape::Line(a, b) = e.shape { Some([a, b]) } else { None }).collect()
}

/// A rib in the plane of the section, 100 by 12 mm, adds nothing that is hatched; turned by a right angle it is not in the plane at all, and a ring
/// is cut across.
#[test]
fn ribs_cut_lengthwise_are_not_hatched() {
    let plain = include_str!("../../params/minimal.yaml");
    let with = |ribs: &str| hatched(&format!("{plain}\nribs:\n  {ribs}\n"));
    let rib = |clock: f64| {
        with(&format!(
            "longitudinal:\n    - {{count: 1, first_clock: {clock}, from: 60, to: 160, height: 12, thickness: 8}}"
        ))
    };
    let (in_plane, aside) = (rib(0.0), rib(90.0));
    assert!((in_plane - aside).abs() < 60.0, "{in_plane} mm² with the rib, {aside} mm² without, of 1200 mm²");
    let ring = with("rings:\n    - {station: 100, height: 12, thickness: 8}");
    assert!(ring > aside + 120.0, "{ring} mm² with a ring, {aside} mm² without");
}

/// The print of each side core has its row with its size, and what the section hatches is the pattern, once.
#[test]
fn side_cores_are_told_as_prints_and_not_drawn_over_the_pattern() {
    let text =
        include_str!("../../params/two_mounts.yaml").replace("parting_clock: 90 deg", "parting_clock: 0 deg");
    let design = design(&text);
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let casting = product.casting().expect("a casting");
    let undercuts = forms::drawing(casting).expect("a drawing").undercuts;
    let made = forms::pattern_in_pieces(casting, &undercuts).expect("pieces");
    let core = made.side_cores.first().expect("a side core");
    let page =
        detail_drawing::tooling(&design, casting, (Tooling::Pattern, &made), Projection::First, "a test")
            .expect("a drawing");
    let writing: Vec<&str> = page.content.writing().map(|t| t.text.as_str()).collect();
    assert!(writing.contains(&"side core 1"), "its row");
    let size = writing.iter().find_map(|text| {
        let (length, width) = text.split_once(" × ")?;
        Some([length.parse::<f64>().ok()?, width.parse::<f64>().ok()?])
    });
    let [length, width] = size.expect("its size");
    let room = 2.0 * casting.settings.print_clearance;
    for (told, own) in [length, width].into_iter().zip(core.size) {
        let grown =
            [casting.settings.scale.axial(), casting.settings.scale.radial()].map(|by| own * by + room);
        assert!(grown.iter().any(|by| (told - by).abs() < 0.02), "{told} of {own} mm");
    }
    let mut middles: Vec<[i64; 2]> = lines(&page)
        .iter()
        .map(|[a, b]| a + (b - a) * 0.5)
        .map(|p| [(p.x * 1e3).round() as i64, (p.y * 1e3).round() as i64])
        .collect();
    let all = middles.len();
    middles.sort_unstable();
    middles.dedup();
    assert_eq!(middles.len(), all, "no line twice");
}
