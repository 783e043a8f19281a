use super::*;
use crate::geometry::P3;
use crate::mesh::of_boundary;
use crate::solid::samples;

fn block() -> (Solid, Mesh) {
    let brep = samples::cuboid(P3::origin(), V3::new(30.0, 20.0, 10.0));
    let mesh = of_boundary(&brep, 0.05).expect("a mesh");
    (Solid::by_hand(brep), mesh)
}

#[test]
fn paints_stand_in_the_palette_once_in_the_order_of_showing() {
    let (solid, mesh) = block();
    let red = Paint::of_bytes("red", [255, 0, 0]);
    let mut first = Body::new("first", &solid, &mesh);
    first.paints[mesh.face_of[0] as usize] = Paint::cut();
    let bodies = [first, Body::plain("second", &mesh, &red), Body::plain("third", &mesh, &Paint::formed())];
    let palette = Palette::new(&bodies);
    assert_eq!(palette.0, [&Paint::cut(), &Paint::formed(), &red], "each once");
    assert_eq!(palette.of_faces(&bodies[1]), [Some(2); 6], "all red");
    assert_eq!(red.rgb(), [255, 0, 0], "as given");
    assert_eq!(Paint::formed().rgb(), [148, 143, 135], "rounded");
}

#[test]
fn bodies_that_do_not_hold_together_are_refused() {
    let (solid, mesh) = block();
    assert!(matches!(check(&[]), Err(PackError::Empty)), "nothing");
    let body = || Body::new("block", &solid, &mesh);
    assert!(check(&[body()]).is_ok(), "sound");
    assert!(matches!(check(&[body(), body()]), Err(PackError::SameName(_))), "twice");
    let unnamed = Body { name: " ".into(), ..body() };
    assert!(matches!(check(&[unnamed]), Err(PackError::NoName)), "no name");
    let bare = Body { paints: vec![Paint::formed(); 5], ..body() };
    assert!(matches!(check(&[bare]), Err(PackError::Faces { .. })), "a face without paint");
    let far = body().moved(V3::new(0.0, f64::NAN, 0.0));
    assert!(matches!(check(&[far]), Err(PackError::NotFinite { .. })), "nowhere");
}

#[test]
fn meshes_that_enclose_nothing_are_refused() {
    let (_, mesh) = block();
    let refused = |mesh: &Mesh| check(&[Body::plain("block", mesh, &Paint::formed())]).expect_err("refused");
    let mut open = mesh.clone();
    open.triangles.pop();
    open.face_of.pop();
    assert!(matches!(refused(&open), PackError::Open { source: MeshError::Open { .. }, .. }), "a hole");
    let mut turned = mesh.clone();
    turned.triangles.iter_mut().for_each(|t| t.reverse());
    assert!(
        matches!(refused(&turned), PackError::Open { source: MeshError::Volume { .. }, .. }),
        "inside out"
    );
    assert!(matches!(refused(&Mesh::default()), PackError::Open { .. }), "empty");
    let mut short = mesh.clone();
    short.vertices.pop();
    assert!(matches!(refused(&short), PackError::Faces { .. }), "a corner missing");
    let mut unknown = mesh;
    unknown.face_of.pop();
    assert!(matches!(refused(&unknown), PackError::Faces { .. }), "a triangle of no face");
}

#[test]
fn names_of_metadata_get_a_prefix_unless_known() {
    let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    let mut metadata = Metadata {
        title: "Housing".into(),
        application: "test".into(),
        further: vec![pair("form", "casting"), pair("LicenseTerms", "none")],
        ..Metadata::default()
    };
    let expected = [
        ("Title", "Housing"),
        ("Application", "test"),
        ("solidwright:form", "casting"),
        ("LicenseTerms", "none"),
    ];
    let entries = metadata.entries().expect("sound");
    assert_eq!(entries, expected.map(|(name, value)| (name.to_owned(), value)), "in order");
    metadata.further.push(pair("form", "core"));
    assert!(matches!(metadata.entries(), Err(PackError::SameKey(_))), "twice");
    for name in ["", "two words", "a:b", "1st", "größe", "<"] {
        metadata.further = vec![pair(name, "x")];
        assert!(matches!(metadata.entries(), Err(PackError::BadKey(_))), "{name:?}");
    }
}
