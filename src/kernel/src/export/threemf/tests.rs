use std::io::Cursor;

use lib3mf_core::archive::{ArchiveReader, ZipArchiver, find_model_path};
use lib3mf_core::model::{Geometry, Model, Unit};
use lib3mf_core::parser::parse_model;
use lib3mf_core::validation::ValidationLevel;

use super::*;
use crate::export::Paint;
use crate::geometry::{P3, V3};
use crate::mesh::{Mesh, of_boundary};
use crate::solid::{Solid, samples};

/// The text of a part of an archive, by `rawzip`, and the part's time.
fn part(bytes: &[u8], name: &str) -> String {
    let archive = rawzip::ZipArchive::from_slice(bytes).expect("an archive");
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().expect("an entry") {
        if entry.file_path().as_ref() == name.as_bytes() {
            let packed = archive.get_entry(entry.wayfinder()).expect("the part");
            let text = miniz_oxide::inflate::decompress_to_vec(packed.data()).expect("deflated");
            assert_eq!(crc32(&text), entry.crc32(), "checksum of {name}");
            return String::from_utf8(text).expect("UTF-8");
        }
    }
    panic!("{name} is not there");
}

fn crc32(bytes: &[u8]) -> u32 {
    rawzip::crc32(bytes)
}

/// The model, by a reader that shares nothing with the writer, and judged by it at its strictest.
fn read(bytes: &[u8]) -> Model {
    let mut archive = ZipArchiver::new(Cursor::new(bytes)).expect("an archive");
    let path = find_model_path(&mut archive).expect("a model");
    let model = parse_model(Cursor::new(archive.read_entry(&path).expect("the part"))).expect("a good model");
    let report = model.validate(ValidationLevel::Paranoid);
    assert!(!report.has_errors(), "{:?}", report.items);
    model
}

fn mesh_of(object: &lib3mf_core::model::Object) -> &lib3mf_core::model::Mesh {
    match &object.geometry {
        Geometry::Mesh(mesh) => mesh,
        other => panic!("no mesh: {other:?}"),
    }
}

fn solids() -> [(Solid, Mesh); 2] {
    let block = samples::cuboid(P3::origin(), V3::new(30.0, 20.0, 10.0));
    let ball = samples::sphere(&samples::skew(), 12.0);
    [block, ball].map(|brep| {
        let mesh = of_boundary(&brep, 0.05).expect("a mesh");
        (Solid::by_hand(brep), mesh)
    })
}

fn metadata() -> Metadata {
    Metadata {
        title: "A <small> \"block\" & ball".into(),
        description: "two lines\r\nof text".into(),
        further: vec![("form".into(), "casting".into()), ("parameters-sha256".into(), "0123abcd".repeat(8))],
        ..Metadata::default()
    }
}

#[test]
fn two_bodies_come_back() {
    let [(block, block_mesh), (ball, ball_mesh)] = &solids();
    let mut first = Body::new("block\n<&\"'>", block, block_mesh);
    let top = block_mesh.face_of[0] as usize;
    first.paints[top] = Paint::of_bytes("\"top\" & <more>", [1, 2, 255]);
    let second = Body::painted("ball", ball, ball_mesh, |_| Paint::of_bytes("red", [199, 92, 66]))
        .moved(V3::new(100.5, 0.0, -7.25));
    let bytes = threemf(&[first, second], &metadata()).expect("a file");
    let model = read(&bytes);
    assert_eq!(model.unit, Unit::Millimeter, "unit");
    let objects: Vec<_> = model.resources.iter_objects().collect();
    assert_eq!(objects.len(), 2, "objects");
    let object = |name: &str| *objects.iter().find(|o| o.name.as_deref() == Some(name)).expect(name);
    let (one, other) = (object("block <&\"'>"), object("ball"));
    for (object, mesh) in [(one, block_mesh), (other, ball_mesh)] {
        let read = mesh_of(object);
        assert_eq!(read.vertices.len(), mesh.vertices.len(), "vertices");
        assert_eq!(read.triangles.len(), mesh.triangles.len(), "triangles");
        let (_, volume) = read.compute_area_and_volume();
        assert!((volume - mesh.volume()).abs() < 1e-4 * mesh.volume(), "volume {volume}");
    }
    // Colours: the first face is blue, the ball red, all else formed.
    let group = model.resources.iter_base_materials().next().expect("materials");
    let names: Vec<&str> = group.materials.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["\"top\" & <more>", "formed", "red"], "names of materials");
    let blue = group.materials[0].display_color;
    assert_eq!([blue.r, blue.g, blue.b, blue.a], [1, 2, 255, 255], "colour");
    let painted = mesh_of(one).triangles.iter().zip(&block_mesh.face_of);
    for (triangle, face) in painted {
        let expected = u32::from(*face as usize != top);
        assert_eq!((triangle.pid, triangle.p1), (Some(group.id.0), Some(expected)), "face {face}");
    }
    assert_eq!((one.pid, one.pindex), (Some(group.id), Some(1)), "most of the block is formed");
    assert_eq!((other.pid, other.pindex), (Some(group.id), Some(2)), "the whole ball");
    assert!(mesh_of(other).triangles.iter().all(|t| t.p1.is_none()), "the ball's triangles say nothing");
    // Places.
    let shift = |i: usize| model.build.items[i].transform.w_axis.to_array();
    assert_eq!([shift(0), shift(1)], [[0.0, 0.0, 0.0, 1.0], [100.5, 0.0, -7.25, 1.0]], "places");
}

#[test]
fn metadata_comes_back() {
    let [(block, mesh), _] = &solids();
    let model = read(&threemf(&[Body::new("block", block, mesh)], &metadata()).expect("a file"));
    let value = |name: &str| model.metadata.get(name).map(String::as_str);
    // This reader hands texts over as they are written.
    assert_eq!(value("Title"), Some("A &lt;small&gt; &quot;block&quot; &amp; ball"), "title");
    assert_eq!(value("Description"), Some("two lines\nof text"), "description");
    assert_eq!(value("Application"), Some(concat!("solidwright ", env!("CARGO_PKG_VERSION"))), "program");
    assert_eq!(value("solidwright:form"), Some("casting"), "form");
    assert_eq!(value("solidwright:parameters-sha256").map(str::len), Some(64), "hash");
    assert!(model.extra_namespaces.contains_key("solidwright"), "the prefix is declared");
    assert_eq!(model.metadata.len(), 5, "nothing else");
}

#[test]
fn coordinates_read_back_as_they_were() {
    let [_, (ball, mesh)] = &solids();
    let text = part(&threemf(&[Body::new("ball", ball, mesh)], &metadata()).expect("a file"), archive::MODEL);
    let vertices = text.lines().filter(|l| l.starts_with("<vertex "));
    let read: Vec<P3> = vertices
        .map(|line| {
            let numbers: Vec<f64> = line.split('"').filter_map(|w| w.parse().ok()).collect();
            P3::from_slice(&numbers)
        })
        .collect();
    assert_eq!(read, mesh.vertices, "bit by bit");
    assert!(!text.contains("\"-0\""), "no signed nought");
}

#[test]
fn equal_input_gives_equal_bytes_and_the_parts_stand_in_order() {
    let [(block, mesh), _] = &solids();
    let write = || threemf(&[Body::new("block", block, mesh)], &metadata()).expect("a file");
    let bytes = write();
    assert_eq!(bytes, write(), "same again");
    let archive = rawzip::ZipArchive::from_slice(&bytes).expect("an archive");
    let mut names = Vec::new();
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().expect("an entry") {
        names.push(String::from_utf8(entry.file_path().as_ref().to_vec()).expect("a name"));
        let time = entry.last_modified().to_string();
        assert!(time.starts_with("1980-01-01T00:00:00"), "a fixed time: {time}");
    }
    assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"], "parts");
    assert!(part(&bytes, "_rels/.rels").contains("/3D/3dmodel.model"), "points to the model");
}

#[test]
fn characters_without_a_place_in_xml_are_refused() {
    let [(block, mesh), _] = &solids();
    let refused = |name: &str, metadata: &Metadata| {
        matches!(threemf(&[Body::new(name, block, mesh)], metadata), Err(PackError::Character { .. }))
    };
    assert!(refused("a\u{0}b", &metadata()), "a nought");
    assert!(refused("a\u{FFFF}", &metadata()), "not a character");
    assert!(!refused("größe 😀", &metadata()), "all others");
    assert!(refused("a", &Metadata { title: "\u{1b}[1m".into(), ..metadata() }), "an escape in a value");
}
