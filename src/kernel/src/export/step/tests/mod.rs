mod samples;
mod stretched;
mod truck;

use crate::export::readback::{Census, census};
use crate::geometry::{Frame, P3, Stretch};
use crate::solid::samples::{sphere, torus};
use crate::solid::{Brep, MassProperties, measure, validate::validate};

use crate::tolerance::VOLUME_AGREEMENT;

use super::{StepError, StepInfo, of_boundary};

fn step(brep: &Brep, info: &StepInfo) -> Result<Vec<u8>, StepError> {
    of_boundary(brep, &Stretch::NONE, info)
}

fn info() -> StepInfo {
    StepInfo {
        id: "T-1".to_owned(),
        name: "Gehäuse 'A'".to_owned(),
        description: "a sample".to_owned(),
        form: "finished".to_owned(),
        file_stem: "sample".to_owned(),
        ..StepInfo::default()
    }
}

fn text(brep: &Brep, info: &StepInfo) -> String {
    String::from_utf8(step(brep, info).expect("a file")).expect("plain ASCII")
}

fn counted(brep: &Brep) -> Census {
    let text = text(brep, &info());
    assert!(text.is_ascii(), "ISO 10303-21 text is ASCII");
    let census = census(&text).expect("readable");
    assert!(census.faults.is_empty(), "{:?}", census.faults);
    let (edges, oriented) = (census.count("EDGE_CURVE"), census.count("ORIENTED_EDGE"));
    assert_eq!(oriented, 2 * edges, "each edge is used twice");
    assert_eq!(edges, brep.edges.len(), "each edge is written once");
    assert_eq!(census.count("VERTEX_POINT"), brep.vertices.len(), "each vertex is written once");
    assert_eq!(census.count("STYLED_ITEM"), census.count("ADVANCED_FACE"), "each face has a colour");
    census
}

#[test]
fn samples_are_sound_and_of_the_right_volume() {
    for frame in [Frame::world(), samples::skew()] {
        for (name, brep, volume) in samples::all(frame) {
            let off = measure(&brep).volume / volume - 1.0;
            assert!(off.abs() < VOLUME_AGREEMENT, "{name}: volume off by {off}");
            if let Err(faults) = validate(&brep) {
                assert_eq!(name, "two bodies", "{faults:?}");
            }
        }
    }
}

#[test]
fn every_sample_is_complete_text() {
    for frame in [Frame::world(), samples::skew()] {
        for (name, brep, _) in samples::all(frame) {
            let census = counted(&brep);
            assert_eq!(census.count("ADVANCED_FACE"), brep.faces.len(), "{name}");
            assert_eq!(census.count("CLOSED_SHELL"), brep.shells.len(), "{name}");
        }
    }
}

#[test]
fn voids_and_bodies_are_told_apart() {
    let solid = counted(&samples::drilled_box(Frame::world()));
    assert_eq!((solid.count("MANIFOLD_SOLID_BREP"), solid.count("BREP_WITH_VOIDS")), (1, 0), "no void");
    let hollow = counted(&samples::hollow_box(Frame::world()));
    assert_eq!((hollow.count("MANIFOLD_SOLID_BREP"), hollow.count("BREP_WITH_VOIDS")), (0, 1), "a void");
    let two = counted(&samples::two_bodies(samples::skew()));
    assert_eq!((two.count("MANIFOLD_SOLID_BREP"), two.count("BREP_WITH_VOIDS")), (1, 1), "one of each");
}

#[test]
fn surfaces_and_curves_keep_their_kind() {
    let ring = counted(&samples::countersunk_ring(samples::skew()));
    for (kind, count) in [("CONICAL_SURFACE", 2), ("CYLINDRICAL_SURFACE", 2), ("PLANE", 4), ("CIRCLE", 8)] {
        assert_eq!(ring.count(kind), count, "{kind}");
    }
    assert_eq!(counted(&torus(&samples::skew(), 20.0, 4.0)).count("TOROIDAL_SURFACE"), 4, "torus");
    assert_eq!(counted(&sphere(&samples::skew(), 7.0)).count("SPHERICAL_SURFACE"), 2, "sphere");
    let rod = counted(&samples::rod_with_roof(samples::skew(), true));
    assert_eq!(rod.count("B_SPLINE_CURVE_WITH_KNOTS"), 2, "spline");
}

#[test]
fn a_cone_is_placed_where_it_is_wide() {
    let text = text(&samples::countersunk_ring(Frame::world()), &info());
    let cone = text.lines().find(|l| l.contains("CONICAL_SURFACE")).expect("a cone");
    let radius: f64 = cone.split(',').nth(2).and_then(|r| r.parse().ok()).expect("its radius");
    assert!((radius - 10.0).abs() < 1e-12, "{cone}");
}

#[test]
fn names_colours_and_properties_are_there() {
    let brep = samples::drilled_box(Frame::world());
    let measured = MassProperties {
        volume: 24_000.0,
        area: 5_200.0,
        centroid: P3::new(1.0, 2.0, 3.0),
        ..measure(&brep)
    };
    let info = StepInfo { properties: Some(measured), ..info() };
    let text = text(&brep, &info);
    for part in [
        "PRODUCT('T-1','Geh\\X2\\00E4\\X0\\use \\X2\\0027\\X0\\A\\X2\\0027\\X0\\','a sample',",
        "ADVANCED_FACE('block/bore',",
        "ADVANCED_FACE('block/Fl\\X2\\00E4\\X0\\che',",
        "COLOUR_RGB('formed',",
        "COLOUR_RGB('cut',",
        "VOLUME_MEASURE(24000.)",
        "AREA_MEASURE(5200.)",
        "CARTESIAN_POINT('centre point',(1.,2.,3.))",
        "FILE_NAME('sample.step','1970-01-01T00:00:00',",
    ] {
        assert!(text.contains(part), "no {part} in\n{text}");
    }
    let census = census(&text).expect("readable");
    assert!(census.faults.is_empty(), "{:?}", census.faults);
}

#[test]
fn equal_input_gives_equal_bytes() {
    let file = || step(&samples::two_bodies(samples::skew()), &info()).expect("a file");
    assert_eq!(file(), file(), "bytes");
}

#[test]
fn faulty_boundaries_are_refused() {
    let refused = |change: &dyn Fn(&mut Brep)| {
        let mut brep = samples::hollow_box(Frame::world());
        change(&mut brep);
        step(&brep, &info()).map(drop).expect_err("must be refused")
    };
    assert_eq!(refused(&|b| b.shells.clear()), StepError::Empty, "nothing");
    let error = refused(&|b| b.vertices[3].y = f64::NAN);
    assert_eq!(error, StepError::NotFinite { what: "vertex 3".to_owned() }, "a number");
    let error = refused(&|b| b.faces[0].loops[0][0].edge = 999);
    assert!(matches!(error, StepError::BadIndex { .. }), "{error}");
    let error = refused(&|b| b.faces[1].loops.clear());
    assert!(matches!(error, StepError::NoLoop { .. }), "{error}");
    let mut two = samples::two_bodies(Frame::world());
    (two.shells[0].void, two.shells[1].void) = (true, false);
    let error = step(&two, &info()).err();
    assert!(matches!(error, Some(StepError::HomelessVoid { candidates: 0, .. })), "{error:?}");
}
