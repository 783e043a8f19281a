use gltf::mesh::Mode;

use super::*;
use crate::export::Paint;
use crate::geometry::{P3, Stretch, V3};
use crate::mesh::{Mesh, of_boundary};
use crate::solid::{Brep, Solid, Tag, samples};

fn solid(brep: Brep) -> (Solid, Mesh) {
    let mesh = of_boundary(&brep, 0.05).expect("a mesh");
    (Solid::by_hand(brep), mesh)
}

fn block() -> (Solid, Mesh) {
    solid(samples::cuboid(P3::new(1.0, 2.0, 3.0), V3::new(30.0, 20.0, 10.0)))
}

fn ball() -> (Solid, Mesh) {
    solid(samples::sphere(&samples::skew(), 12.0))
}

/// Positions in metres as a viewer places them, normals, and triangles, of one node.
struct Seen {
    positions: Vec<V3>,
    normals: Vec<V3>,
    triangles: Vec<[usize; 3]>,
}

/// What a reader sees of a node; several primitives after each other.
fn seen(file: &gltf::Gltf, node: &gltf::Node) -> Seen {
    let matrix = node.transform().matrix();
    let vector = |p: [f32; 3]| V3::from(p.map(f64::from));
    let placed = |p: [f32; 3]| {
        let place = |row: usize| (0..3).map(|k| f64::from(matrix[k][row]) * f64::from(p[k])).sum::<f64>();
        V3::new(place(0), place(1), place(2)) + vector([matrix[3][0], matrix[3][1], matrix[3][2]])
    };
    let mut out = Seen { positions: vec![], normals: vec![], triangles: vec![] };
    for primitive in node.mesh().expect("a mesh").primitives() {
        assert_eq!(primitive.mode(), Mode::Triangles, "triangles");
        let reader = primitive.reader(|_| file.blob.as_deref());
        let first = out.positions.len();
        out.positions.extend(reader.read_positions().expect("positions").map(placed));
        out.normals.extend(reader.read_normals().into_iter().flatten().map(vector));
        let indices: Vec<usize> =
            reader.read_indices().expect("indices").into_u32().map(|i| first + i as usize).collect();
        out.triangles.extend(indices.as_chunks::<3>().0);
    }
    out
}

fn volume(seen: &Seen) -> f64 {
    let corner = |t: &[usize; 3], k: usize| seen.positions[t[k]];
    seen.triangles.iter().map(|t| corner(t, 0).dot(&corner(t, 1).cross(&corner(t, 2))) / 6.0).sum()
}

#[test]
fn the_head_counts_right_and_all_parts_are_aligned() {
    let (solid, mesh) = block();
    for length in 0..5 {
        // Names of all lengths, so that the text ends everywhere between two words.
        let name = "b".repeat(length + 1);
        let bytes = glb(&[Body::new(name, &solid, &mesh)], &Metadata::default()).expect("a file");
        let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four")) as usize;
        assert_eq!((&bytes[..4], word(4), word(8)), (&b"glTF"[..], 2, bytes.len()), "head");
        let text = word(12);
        assert_eq!((text % 4, &bytes[16..20]), (0, &b"JSON"[..]), "text");
        assert!(
            bytes[20..20 + text].ends_with(b"}") || bytes[20..20 + text].ends_with(b" "),
            "filled with spaces"
        );
        let binary = 20 + text;
        assert_eq!(&bytes[binary + 4..binary + 8], b"BIN\0", "binary part");
        assert_eq!((word(binary) % 4, binary + 8 + word(binary)), (0, bytes.len()), "to the end");
    }
}

#[test]
fn bodies_stand_upright_in_metres() {
    let (solid, mesh) = block();
    let moved = Body::new("there", &solid, &mesh).moved(V3::new(100.0, 10.0, 1.0));
    let bytes = glb(&[Body::new("here", &solid, &mesh), moved], &Metadata::default()).expect("a file");
    let file = gltf::Gltf::from_slice(&bytes).expect("valid");
    let scene = file.default_scene().expect("a scene");
    let nodes: Vec<gltf::Node> = scene.nodes().collect();
    assert_eq!(
        nodes.iter().map(|n| n.name().expect("a name")).collect::<Vec<_>>(),
        ["here", "there"],
        "names"
    );
    let boxes = nodes.iter().map(|node| {
        let seen = seen(&file, node);
        assert!((volume(&seen) - 6e-6).abs() < 1e-11, "6 cm³, not inside out: {}", volume(&seen));
        let extreme = |f: fn(f64, f64) -> f64| seen.positions.iter().copied().reduce(|a, b| a.zip_map(&b, f));
        (extreme(f64::min).expect("points"), extreme(f64::max).expect("points"))
    });
    // Z goes up to Y, Y back to minus Z.
    let expected = [([1.0, 3.0, -22.0], [31.0, 13.0, -2.0]), ([101.0, 4.0, -32.0], [131.0, 14.0, -12.0])];
    for ((least, most), (low, high)) in boxes.zip(expected) {
        assert!((least * 1e3 - V3::from(low)).norm() < 1e-5, "least {least}");
        assert!((most * 1e3 - V3::from(high)).norm() < 1e-5, "most {most}");
    }
}

#[test]
fn normals_are_those_of_the_surface() {
    let (solid, mesh) = ball();
    let bytes = glb(&[Body::new("ball", &solid, &mesh)], &Metadata::default()).expect("a file");
    let file = gltf::Gltf::from_slice(&bytes).expect("valid");
    let node = file.nodes().next().expect("a node");
    let seen = seen(&file, &node);
    assert_eq!(seen.normals.len(), seen.positions.len(), "one each");
    let centre = samples::skew().origin;
    let centre = V3::new(centre.x, centre.z, -centre.y) * 1e-3;
    for (p, n) in seen.positions.iter().zip(&seen.normals) {
        let turned = V3::new(n.x, n.z, -n.y);
        let radial = (p - centre).normalize();
        assert!((turned - radial).norm() < 1e-4, "{turned} at {radial}");
    }
}

#[test]
fn a_cone_is_round_up_to_its_tip() {
    let (solid, mesh) = solid(samples::cone(&samples::skew(), 12.0, 9.0));
    let file = gltf::Gltf::from_slice(
        &glb(&[Body::new("cone", &solid, &mesh)], &Metadata::default()).expect("a file"),
    )
    .expect("valid");
    let seen = seen(&file, &file.nodes().next().expect("a node"));
    let mut worst = 1.0f64;
    for t in &seen.triangles {
        let [a, b, c] = t.map(|v| seen.positions[v]);
        let flat = (b - a).cross(&(c - a)).normalize();
        let upright = |n: V3| V3::new(n.x, n.z, -n.y);
        worst = t.iter().map(|v| upright(seen.normals[*v]).dot(&flat)).fold(worst, f64::min);
    }
    assert!(worst > 0.97, "no normal is far from its triangle's: {worst}");
}

#[test]
fn edges_are_sharp_and_without_surfaces_shading_is_the_viewers() {
    let (solid, mesh) = block();
    let corners = |body: Body| {
        let file =
            gltf::Gltf::from_slice(&glb(&[body], &Metadata::default()).expect("a file")).expect("valid");
        let node = file.nodes().next().expect("a node");
        let seen = seen(&file, &node);
        (seen.positions.len(), seen.normals.len(), seen.triangles.len())
    };
    assert_eq!(corners(Body::new("block", &solid, &mesh)), (24, 24, 12), "four corners a face");
    assert_eq!(corners(Body::plain("block", &mesh, &Paint::formed())), (8, 0, 12), "shared corners");
}

#[test]
fn each_paint_is_a_material_of_one_primitive() {
    let (solid, mesh) = block();
    let first = solid.brep().faces[0].tag.clone();
    let paint = |tag: &Tag| if *tag == first { Paint::cut() } else { Paint::formed() };
    let red = Paint::of_bytes("red \"<&", [255, 0, 0]);
    let bodies = [Body::painted("two", &solid, &mesh, paint), Body::plain("one", &mesh, &red)];
    let cut = bodies[0].paints.iter().filter(|p| **p == Paint::cut()).count();
    let bytes = glb(&bodies, &Metadata::default()).expect("a file");
    let file = gltf::Gltf::from_slice(&bytes).expect("valid");
    let mut names: Vec<&str> = file.materials().filter_map(|m| m.name()).collect();
    names.sort_unstable();
    assert!(names.contains(&"red \"<&") && names.len() >= 2, "{names:?}");
    let two = file.nodes().next().expect("a node").mesh().expect("a mesh");
    let of = |name: &str| {
        let triangles = |p: gltf::Primitive| p.indices().map_or(0, |i| i.count() / 3);
        two.primitives().filter(|p| p.material().name() == Some(name)).map(triangles).sum::<usize>()
    };
    assert_eq!((of("cut"), of("formed")), (2 * cut, 12 - 2 * cut), "triangles of each");
    let colour = file.materials().find(|m| m.name() == Some("red \"<&")).expect("red");
    let light = colour.pbr_metallic_roughness().base_color_factor();
    assert_eq!(light.map(f32::to_bits), [1.0, 0.0, 0.0, 1.0].map(f32::to_bits), "as light");
    let grey = file.materials().find(|m| m.name() == Some("formed"));
    let light = grey.map(|m| m.pbr_metallic_roughness().base_color_factor()[0]);
    assert!(light.is_none_or(|l| (l - 0.2961).abs() < 1e-3), "0.58 of sRGB is 0.296 of light: {light:?}");
}

#[test]
fn metadata_lies_in_the_extras_and_bytes_are_the_same_again() {
    let (solid, mesh) = ball();
    let metadata = Metadata {
        title: "A \"ball\" <&>".into(),
        further: vec![("form".into(), "core\u{1}".into())],
        ..Metadata::default()
    };
    let write = || glb(&[Body::new("ball", &solid, &mesh)], &metadata).expect("a file");
    let bytes = write();
    assert_eq!(bytes, write(), "same again");
    let file = gltf::Gltf::from_slice(&bytes).expect("valid");
    let asset = &file.document.as_json().asset;
    let extras: serde_json::Value =
        serde_json::from_str(asset.extras.as_ref().expect("extras").get()).expect("JSON");
    assert_eq!(extras["Title"], "A \"ball\" <&>", "title");
    assert_eq!(extras["solidwright:form"], "core\u{1}", "JSON holds any character");
    assert_eq!(
        asset.generator.as_deref(),
        Some(concat!("solidwright ", env!("CARGO_PKG_VERSION"))),
        "program"
    );
}

#[test]
fn coordinates_beyond_single_precision_are_refused() {
    let (solid, mesh) = block();
    let far = Body::new("far", &solid, &mesh).moved(V3::new(1e60, 0.0, 0.0));
    assert!(matches!(glb(&[far], &Metadata::default()), Err(PackError::NotFinite { .. })), "far away");
}

#[test]
fn normals_of_a_stretched_body_are_those_of_the_image() {
    let (solid, mesh) = ball();
    let by = Stretch::new(1.5, 0.8).expect("two factors");
    let mesh = mesh.stretched(&by);
    let body = Body::new("egg", &solid, &mesh).of_stretched(by);
    let file = gltf::Gltf::from_slice(&glb(&[body], &Metadata::default()).expect("a file")).expect("valid");
    let primitive = file.meshes().next().and_then(|m| m.primitives().next()).expect("a primitive");
    let reader = primitive.reader(|_| file.blob.as_deref());
    let center = by.point(samples::skew().origin);
    let all = reader.read_positions().expect("positions").zip(reader.read_normals().expect("normals"));
    for (p, n) in all {
        let (p, n) = (V3::from(p.map(f64::from)) - center.coords, V3::from(n.map(f64::from)));
        // The gradient of x²/a² + (y² + z²)/r².
        let exact = V3::new(p.x / (1.5 * 1.5), p.y / (0.8 * 0.8), p.z / (0.8 * 0.8)).normalize();
        assert!((n - exact).norm() < 1e-5, "{n} for {exact}");
    }
}
