//! Cast sizes on the sheets of casting, pattern and core box, held against the solids themselves.

use solidwright::geometry::{Surface, V3};
use solidwright::solid::Solid;
use tailpattern::design::Design;
use tailpattern::detail_drawing::{self, Projection, Tooling};
use tailpattern::drafting::{DimensionKind, Page};
use tailpattern::faces::{Feature, Role};
use tailpattern::forms::{Casting, Product};
use tailpattern::housing;
use tailpattern::params::{self, Source};

fn design(text: &str) -> Design {
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    Design::validate(params::read(&source).expect("a file")).value.expect("a design")
}

fn writing(page: &Page) -> Vec<&str> {
    page.content.writing().map(|t| t.text.as_str()).collect()
}

/// The sizes of a feature in the table whose title begins with some words.
fn told(page: &Page, title: &str, feature: &str) -> String {
    let written = writing(page);
    let start = written.iter().position(|w| w.starts_with(title)).expect("the table");
    // Two heads, then two cells a row; a row goes on below an empty cell.
    let cells: Vec<&[&str]> = written[start + 3..].chunks(2).collect();
    let row =
        cells.iter().position(|row| row[0] == feature).unwrap_or_else(|| panic!("{feature}: {written:#?}"));
    let more = cells[row + 1..].iter().take_while(|row| row[0].is_empty());
    std::iter::once(&cells[row]).chain(more).map(|row| row[1]).collect::<Vec<_>>().join(" ")
}

/// The number behind some words.
fn number(text: &str, before: &str) -> f64 {
    let rest = text.split_once(before).unwrap_or_else(|| panic!("{before} in {text}")).1;
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    rest[..end].parse().unwrap_or_else(|_| panic!("a number behind {before} in {text}"))
}

/// How far a flat face of a solid lies from the origin along its own normal.
fn flat(solid: &Solid, feature: Feature, role: Role, along: V3) -> f64 {
    let of = solid.brep().faces.iter().filter(|f| Feature::of(&f.tag) == feature && Role::of(&f.tag) == role);
    let planes = of.filter_map(|f| match &f.surface {
        Surface::Plane(plane) if plane.frame.z.cross(&along).norm() < 1e-6 => {
            Some(plane.frame.origin.coords.dot(&along))
        }
        _ => None,
    });
    planes.reduce(f64::max).expect("a flat face")
}

fn casting_page<'a>(product: &'a Product) -> (&'a Casting, Page) {
    let made = product.casting().expect("a casting");
    let page = detail_drawing::casting(product, made, Projection::First, "a test").expect("a drawing");
    (made, page)
}

const CAST: &str = "Cast sizes";

/// Of the demonstration: the wall between the shell's two sides, the flange and the heights of pad and bosses as the casting's faces have
/// them, ribs and edges as its file gives them.
#[test]
fn cast_sizes_are_those_of_the_casting() {
    let design = design(include_str!("../../params/demo_mm.yaml"));
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let (made, page) = casting_page(&product);
    let solid = &made.moulded.casting.solid;
    // Places on the cavity's wall, and how far each lies from the nearest face outside.
    let of = |feature, role| {
        let faces = solid.brep().faces.iter();
        faces.filter(move |f| Feature::of(&f.tag) == feature && Role::of(&f.tag) == role).collect::<Vec<_>>()
    };
    let outside = of(Feature::Shell, Role::Outside);
    let inside = of(Feature::Cavity, Role::CavityWall);
    let wall = number(&told(&page, CAST, "shell"), "wall ");
    let met = inside.iter().flat_map(|f| f.loops.iter().flatten()).any(|half| {
        let at = solid.brep().vertices[solid.brep().tail(*half)];
        outside.iter().any(|f| (f.surface.f(at).abs() - wall).abs() < 0.005 + 1e-9)
    });
    assert!(met, "no place of the cavity is {wall} mm from the outside");
    let flange = told(&page, CAST, "flange");
    // Draft leans the face: it lies where it is told to at the rim, farthest from the parting plane.
    let front = -number(&flange, "X -");
    let rim = made.settings.up * (0.5 * design.gearbox_face().flange_diameter().get()) + V3::x() * front;
    let cast_face = of(Feature::GearboxFace, Role::Face);
    let off = cast_face.iter().map(|f| f.surface.f(rim.into()).abs()).fold(f64::INFINITY, f64::min);
    assert!(off < 0.005 + 1e-9, "{flange}: off by {off}");
    let back = design.gearbox_face().flange_thickness().get();
    assert!((number(&flange, ", ") - (back - front)).abs() < 0.005 + 1e-9, "{flange}");
    let pad = told(&page, CAST, "mount pad");
    let low = flat(solid, Feature::MountPad, Role::Face, -V3::z());
    assert!((number(&pad, "; ") - low).abs() < 0.005 + 1e-9, "{pad}: {low}");
    let fillets = told(&page, CAST, "fillets");
    let share = number(&fillets, "outside R") / design.casting().fillets().outside().get();
    assert!(
        (0.999..1.16).contains(&share),
        "balls are as drawn, or larger where the casting needs it: {fillets}"
    );
    for feature in ["sender boss", "tail ring", "cavity"] {
        assert!(told(&page, CAST, feature).contains('Ø'), "{feature}");
    }
    assert!(page.flaws().is_empty());
}

/// Every kind of feature has its row, with the values of `two_mounts.yaml` and `long_iron.yaml`.
#[test]
fn cast_sizes_tell_plates_ribs_and_plugs() {
    for (text, rows) in [
        (include_str!("../../params/two_mounts.yaml"), &["second mount pad", "mount pad"][..]),
        (include_str!("../../params/long_iron.yaml"), &["boss of plug P1", "boss of plug P2"][..]),
        (include_str!("../../params/short_lugs.yaml"), &["shift-box pad", "fillets"][..]),
    ] {
        let design = design(text);
        let housing = housing::build(&design).expect("a housing");
        let product = Product::new(&design, &housing);
        let (made, page) = casting_page(&product);
        for row in rows {
            assert!(told(&page, CAST, row).len() > 5, "{row}");
        }
        if let Some(plate) = design.mount_pad().and_then(|pad| pad.plate()) {
            let is_face = |f: &&tailpattern::forms::StockRow| {
                Feature::of(&f.tag) == Feature::MountPad && Role::of(&f.tag) == Role::Face
            };
            let stock = made.stock.iter().find(is_face).and_then(|row| row.stock).expect("stock");
            let thick = number(&told(&page, CAST, "mount pad"), "plate ");
            assert!((thick - plate.thickness().get() - stock).abs() < 0.005 + 1e-9, "{thick}");
        }
        for (k, plug) in design.plugs().iter().enumerate() {
            let sizes = told(&page, CAST, &format!("boss of plug P{}", k + 1));
            assert!((number(&sizes, "Ø") - plug.diameter().get()).abs() < 0.005, "{sizes}");
            assert!(number(&sizes, "end ") > plug.height().get() + 1.0, "with its stock: {sizes}");
        }
        assert!(page.flaws().is_empty());
    }
}

/// The pattern has its own sizes and stations, contraction in them, and no cavity; the core box has the cavity, and no flange. Both have the
/// prints, whose room is on the pattern only.
#[test]
fn pattern_and_core_box_have_sizes_with_contraction() {
    let design = design(include_str!("../../params/minimal.yaml"));
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let made = product.casting().expect("a casting");
    let sheet = |which, pieces| {
        detail_drawing::tooling(&design, made, (which, pieces), Projection::First, "a test")
            .expect("a drawing")
    };
    let pattern = sheet(Tooling::Pattern, product.pattern().expect("a pattern"));
    let core_box = sheet(Tooling::CoreBox, product.core_box().expect("a core box"));
    let (axial, radial) = (made.settings.scale.axial(), made.settings.scale.radial());
    let ring = told(&pattern, "Sizes of the pattern", "tail ring");
    assert!(
        (number(&ring, "Ø") - design.tail().outside_diameter().get() * radial).abs() < 0.005 + 1e-9,
        "{ring}"
    );
    let cavity = told(&core_box, "Sizes of the core", "cavity");
    let first = design.shell().cavity()[0].radius.get();
    assert!((number(&cavity, "Ø") - 2.0 * first * radial).abs() < 0.005 + 1e-9, "{cavity}");
    assert!(!writing(&pattern).contains(&"cavity") && !writing(&core_box).contains(&"flange"));
    let print = |page: &Page| {
        let written = writing(page);
        let at = written.iter().position(|w| *w == "front").expect("the front print");
        number(written[at + 1], "Ø")
    };
    let room = print(&pattern) - print(&core_box);
    assert!((room - 2.0 * made.settings.print_clearance).abs() < 0.011, "room of {room} mm in the mould");
    let stations = |page: &Page| -> Vec<f64> {
        let ordinates =
            page.content.dimensions.iter().filter(|d| matches!(d.measured, DimensionKind::Ordinate { .. }));
        ordinates.map(|d| d.value).collect()
    };
    for station in [design.gearbox_face().flange_thickness().get(), design.tail().ring_front().get()] {
        let near = stations(&pattern).iter().any(|x| (x - station * axial).abs() < 0.05 + 1e-9);
        assert!(near, "{station} on {:?}", stations(&pattern));
    }
    for station in design.shell().cavity() {
        let near = stations(&core_box).iter().any(|x| (x - station.x.get() * axial).abs() < 0.05 + 1e-9);
        assert!(near, "{:?} on {:?}", station.x, stations(&core_box));
    }
}

/// The finished part's sheet says where the sizes stand that it leaves out.
#[test]
fn the_finished_part_s_sheet_points_to_the_cast_sizes() {
    let design = design(include_str!("../../params/minimal.yaml"));
    let housing = housing::build(&design).expect("a housing");
    let page = detail_drawing::finished(&design, &housing, Projection::First, "a test").expect("a drawing");
    assert!(writing(&page).join(" ").contains("table of cast sizes"), "{:#?}", writing(&page));
}
