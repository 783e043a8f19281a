//! The demonstration part packed as 3MF and GLB, read back by readers that share nothing with the writers.
//!
//! The files and what to expect of them stay in the tests' own folder, where
//! `tests/reference/pack_check.py` can look at them with still other eyes.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use lib3mf_core::archive::{ArchiveReader, ZipArchiver, find_model_path};
use lib3mf_core::model::Geometry;
use lib3mf_core::parser::parse_model;
use lib3mf_core::validation::ValidationLevel;
use serde_json::json;
use solidwright::export::{Body, Metadata, Paint, glb, threemf};
use solidwright::geometry::V3;
use solidwright::mesh::{Mesh, triangulate};
use tailpattern::design::Design;
use tailpattern::export::{self, paint};
use tailpattern::faces::Feature;
use tailpattern::housing::{self, Housing};
use tailpattern::params;

const CHORD: f64 = 0.05;

fn demo() -> (Housing, Mesh) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/demo_mm.yaml");
    let (_, raw) = params::load(&path).expect("a readable file");
    let design = Design::validate(raw.expect("a tree")).value.expect("a design");
    let housing = housing::build(&design).expect("a housing");
    let mesh = triangulate(&housing.solid, CHORD).expect("a mesh");
    (housing, mesh)
}

fn metadata() -> Metadata {
    let pairs = [
        ("form", "finished"),
        ("parameters-sha256", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        ("cautions", "Values are invented & \"not\" for use;\nsizes < 1 mm are not checked."),
    ];
    Metadata {
        title: "Demonstration <housing>".into(),
        description: "Two bodies side by side".into(),
        further: pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).to_vec(),
        ..export::metadata()
    }
}

/// The part as it is, and once more beside it with its flange painted as a parting face.
fn bodies<'a>(housing: &'a Housing, mesh: &'a Mesh) -> [Body<'a>; 2] {
    let flange = |tag: &solidwright::solid::Tag| {
        if Feature::of(tag) == Feature::GearboxFace { paint::parting() } else { paint::of(tag) }
    };
    let second = Body::painted("second & last", &housing.solid, mesh, flange);
    [Body::painted("finished", &housing.solid, mesh, paint::of), second.moved(V3::new(300.0, 0.0, 12.5))]
}

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("packs");
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

/// What `pack_check.py` is to find in both files.
fn expectation(bodies: &[Body], metadata: &Metadata, bound: f64) -> serde_json::Value {
    let entries = metadata.further.iter().map(|(name, value)| (format!("tailpattern:{name}"), json!(value)));
    let mut all: serde_json::Map<String, serde_json::Value> = entries.collect();
    all.insert("Title".into(), json!(metadata.title));
    all.insert("Description".into(), json!(metadata.description));
    all.insert("Application".into(), json!(metadata.application));
    let list = bodies.iter().map(|body| {
        let count = |paint: &Paint| {
            let faces = body.mesh.face_of.iter();
            faces.filter(|f| body.paints[**f as usize] == *paint).count()
        };
        let paints: serde_json::Map<String, serde_json::Value> =
            [paint::cast(), paint::machined(), paint::parting()]
                .iter()
                .filter(|paint| count(paint) > 0)
                .map(|paint| (paint.name.clone(), json!({"rgb": paint.rgb(), "triangles": count(paint)})))
                .collect();
        let corner = |extreme: fn(f64, f64) -> f64| {
            let places = body.mesh.vertices.iter().map(|p| p.coords + body.shift);
            let found = places.reduce(|a, b| a.zip_map(&b, extreme)).expect("vertices");
            [found.x, found.y, found.z]
        };
        let sum: V3 = body.mesh.vertices.iter().map(|p| p.coords + body.shift).sum();
        let mean = sum / body.mesh.vertices.len() as f64;
        json!({
            "name": body.name,
            "volume_mm3": body.mesh.volume(),
            "volume_bound_mm3": bound,
            "triangles": body.mesh.triangles.len(),
            "mean_mm": [mean.x, mean.y, mean.z],
            "box_mm": [corner(f64::min), corner(f64::max)],
            "paints": paints,
        })
    });
    json!({"bodies": list.collect::<Vec<_>>(), "metadata": all})
}

#[test]
fn the_demonstration_part_is_packed_and_read_back() {
    let (housing, mesh) = demo();
    let (bodies, metadata) = (bodies(&housing, &mesh), metadata());
    let [boxed, viewed] = [threemf(&bodies, &metadata), glb(&bodies, &metadata)].map(|b| b.expect("a file"));
    let folder = folder();
    fs::write(folder.join("demo.3mf"), &boxed).expect("written");
    fs::write(folder.join("demo.glb"), &viewed).expect("written");
    // Single precision may move each vertex by half a step at 512 mm.
    let bound = mesh.area() * 512.0 * f64::from(f32::EPSILON);
    let text = format!("{:#}\n", expectation(&bodies, &metadata, bound));
    fs::write(folder.join("demo.json"), text).expect("written");
    let exact = housing.solid.mass();
    assert!((mesh.volume() - exact.volume).abs() <= exact.area * CHORD, "the mesh itself");
    read_3mf(&boxed, &bodies, bound);
    read_glb(&viewed, &bodies);
}

fn read_3mf(bytes: &[u8], bodies: &[Body], bound: f64) {
    let mut archive = ZipArchiver::new(Cursor::new(bytes)).expect("an archive");
    let path = find_model_path(&mut archive).expect("a model");
    let model = parse_model(Cursor::new(archive.read_entry(&path).expect("the part"))).expect("a good model");
    let report = model.validate(ValidationLevel::Strict);
    assert!(!report.has_errors(), "{:?}", report.items);
    assert_eq!(model.build.items.len(), bodies.len(), "bodies placed");
    for (body, item) in bodies.iter().zip(&model.build.items) {
        let object = model.resources.get_object(item.object_id).expect("the object");
        assert_eq!(object.name.as_deref(), Some(body.name.as_str()), "name");
        let Geometry::Mesh(mesh) = &object.geometry else { panic!("{}: no mesh", body.name) };
        assert_eq!(mesh.triangles.len(), body.mesh.triangles.len(), "{}: triangles", body.name);
        let (_, volume) = mesh.compute_area_and_volume();
        assert!((volume - body.mesh.volume()).abs() <= bound, "{}: volume {volume}", body.name);
        let group = model.resources.iter_base_materials().next().expect("colours");
        for (triangle, face) in mesh.triangles.iter().zip(&body.mesh.face_of) {
            let place = triangle.p1.or(object.pindex).expect("a colour") as usize;
            let paint = &body.paints[*face as usize];
            assert_eq!(group.materials[place].name, paint.name, "{}: face {face}", body.name);
        }
    }
}

fn read_glb(bytes: &[u8], bodies: &[Body]) {
    let file = gltf::Gltf::from_slice(bytes).expect("valid");
    let nodes: Vec<gltf::Node> = file.default_scene().expect("a scene").nodes().collect();
    assert_eq!(nodes.len(), bodies.len(), "bodies placed");
    for (body, node) in bodies.iter().zip(&nodes) {
        assert_eq!(node.name(), Some(body.name.as_str()), "name");
        let mut triangles = 0;
        for primitive in node.mesh().expect("a mesh").primitives() {
            let reader = primitive.reader(|_| file.blob.as_deref());
            let positions: Vec<V3> =
                reader.read_positions().expect("positions").map(|p| V3::from(p.map(f64::from))).collect();
            let normals: Vec<V3> =
                reader.read_normals().expect("normals").map(|n| V3::from(n.map(f64::from))).collect();
            assert!(normals.iter().all(|n| (n.norm() - 1.0).abs() < 1e-6), "{}: unit normals", body.name);
            let indices: Vec<usize> =
                reader.read_indices().expect("indices").into_u32().map(|i| i as usize).collect();
            triangles += indices.len() / 3;
            assert_eq!(against(&positions, &normals, &indices), 0, "{}: normals turned inwards", body.name);
        }
        assert_eq!(triangles, body.mesh.triangles.len(), "{}: triangles", body.name);
    }
}

/// Corners whose normal points to the back of their triangle; slivers, which have no certain back, left out.
fn against(positions: &[V3], normals: &[V3], indices: &[usize]) -> usize {
    let mut count = 0;
    for t in indices.as_chunks::<3>().0 {
        let [a, b, c] = t.map(|v| positions[v]);
        let cross = (b - a).cross(&(c - a));
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        if cross.norm() > 0.01 * longest * longest {
            count += t.iter().filter(|v| normals[**v].dot(&cross) <= 0.0).count();
        }
    }
    count
}
