//! The text of a glTF file and the numbers it points to.

use std::collections::BTreeMap;

use gltf_json::accessor::{ComponentType, GenericComponentType, Type};
use gltf_json::buffer::{Buffer, Target, View};
use gltf_json::extras::RawValue;
use gltf_json::material::{PbrBaseColorFactor, PbrMetallicRoughness, StrengthFactor};
use gltf_json::mesh::{Mode, Primitive, Semantic};
use gltf_json::validation::Checked::Valid;
use gltf_json::validation::USize64;
use gltf_json::{Accessor, Asset, Index, Material, Mesh, Node, Root, Scene, Value};

use crate::geometry::V3;

use super::super::body::{Body, Metadata, PackError, Palette};
use super::super::paint::Paint;
use super::corners::{Corners, by_paint};

/// Metres in a millimetre.
const METRES: f32 = 0.001;

/// How dull the metal looks, 0 to 1. No metalness: without surroundings to mirror, a viewer shows metal black.
const ROUGHNESS: f32 = 0.7;

/// The text and the binary part.
pub(super) fn write(bodies: &[Body], metadata: &Metadata) -> Result<(String, Vec<u8>), PackError> {
    let entries = metadata.entries()?;
    let mut root = Root {
        asset: Asset {
            generator: Some(metadata.application.clone()).filter(|a| !a.is_empty()),
            extras: extras(&entries)?,
            ..Asset::default()
        },
        ..Root::default()
    };
    let palette = Palette::new(bodies);
    let materials: Vec<Index<Material>> = palette.0.iter().map(|paint| root.push(material(paint))).collect();
    let mut bytes = Vec::new();
    let mut nodes = Vec::with_capacity(bodies.len());
    for body in bodies {
        let mut primitives = Vec::new();
        let parts = by_paint(body, &palette.of_faces(body), palette.0.len())?;
        for (corners, material) in parts.iter().zip(&materials).filter(|(c, _)| !c.indices.is_empty()) {
            primitives.push(primitive(&mut root, &mut bytes, corners, *material));
        }
        let mesh = root.push(Mesh {
            name: Some(body.name.clone()),
            primitives,
            weights: None,
            extensions: None,
            extras: None,
        });
        let matrix = Some(placed(body)?);
        nodes.push(root.push(Node {
            name: Some(body.name.clone()),
            mesh: Some(mesh),
            matrix,
            ..Node::default()
        }));
    }
    let name = Some(metadata.title.clone()).filter(|t| !t.is_empty());
    let scene = root.push(Scene { name, nodes, extensions: None, extras: None });
    root.scene = Some(scene);
    root.push(Buffer {
        byte_length: USize64::from(bytes.len()),
        name: None,
        uri: None,
        extensions: None,
        extras: None,
    });
    Ok((root.to_string()?, bytes))
}

/// Names and values as one JSON object.
fn extras(entries: &[(String, &str)]) -> Result<Option<Box<RawValue>>, PackError> {
    if entries.is_empty() {
        return Ok(None);
    }
    let object: serde_json::Map<String, Value> =
        entries.iter().map(|(name, value)| (name.clone(), Value::from(*value))).collect();
    Ok(Some(RawValue::from_string(Value::Object(object).to_string())?))
}

fn material(paint: &Paint) -> Material {
    let [r, g, b] = paint.share.map(linear);
    Material {
        name: Some(paint.name.clone()),
        pbr_metallic_roughness: PbrMetallicRoughness {
            base_color_factor: PbrBaseColorFactor([r, g, b, 1.0]),
            metallic_factor: StrengthFactor(0.0),
            roughness_factor: StrengthFactor(ROUGHNESS),
            ..PbrMetallicRoughness::default()
        },
        ..Material::default()
    }
}

/// A share of sRGB as glTF wants it, as light (IEC 61966-2-1). Five digits, so that the last bit of a power,
/// which may differ between machines, is not written.
fn linear(share: f64) -> f32 {
    let light = if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) };
    ((light * 1e5).round() / 1e5) as f32
}

/// The matrix from millimetres with Z up to metres with Y up, column by column, with the body's shift.
fn placed(body: &Body) -> Result<[f32; 16], PackError> {
    let [x, y, z] = turned(body.shift).map(|v| (v * 0.001) as f32 + 0.0);
    if ![x, y, z].iter().all(|v| v.is_finite()) {
        return Err(PackError::NotFinite { body: body.name.clone() });
    }
    Ok([METRES, 0.0, 0.0, 0.0, 0.0, 0.0, -METRES, 0.0, 0.0, METRES, 0.0, 0.0, x, y, z, 1.0])
}

/// Z up to Y up: x stays, z goes to y, y to minus z.
fn turned(v: V3) -> [f64; 3] {
    [v.x, v.z, -v.y]
}

fn primitive(
    root: &mut Root,
    bytes: &mut Vec<u8>,
    corners: &Corners,
    material: Index<Material>,
) -> Primitive {
    let mut attributes = BTreeMap::new();
    let positions = vectors(root, bytes, &corners.positions);
    let (least, most) = bounds(&corners.positions);
    // Readers want the box of the positions, and take it for granted.
    let box_of = &mut root.accessors[positions.value()];
    (box_of.min, box_of.max) = (Some(Value::from(least.to_vec())), Some(Value::from(most.to_vec())));
    attributes.insert(Valid(Semantic::Positions), positions);
    if !corners.normals.is_empty() {
        attributes.insert(Valid(Semantic::Normals), vectors(root, bytes, &corners.normals));
    }
    let start = bytes.len();
    bytes.extend(corners.indices.iter().flat_map(|i| i.to_le_bytes()));
    let view = view(root, start, bytes.len(), Target::ElementArrayBuffer);
    let indices = root.push(accessor(view, corners.indices.len(), ComponentType::U32, Type::Scalar));
    Primitive {
        attributes,
        indices: Some(indices),
        material: Some(material),
        mode: Valid(Mode::Triangles),
        targets: None,
        extensions: None,
        extras: None,
    }
}

fn vectors(root: &mut Root, bytes: &mut Vec<u8>, list: &[[f32; 3]]) -> Index<Accessor> {
    let start = bytes.len();
    bytes.extend(list.iter().flatten().flat_map(|x| x.to_le_bytes()));
    let view = view(root, start, bytes.len(), Target::ArrayBuffer);
    root.push(accessor(view, list.len(), ComponentType::F32, Type::Vec3))
}

/// All numbers have four bytes, so that each piece begins at a multiple of four, as it must.
fn view(root: &mut Root, start: usize, end: usize, target: Target) -> Index<View> {
    root.push(View {
        buffer: Index::new(0),
        byte_length: USize64::from(end - start),
        byte_offset: Some(USize64::from(start)),
        byte_stride: None,
        name: None,
        target: Some(Valid(target)),
        extensions: None,
        extras: None,
    })
}

fn accessor(view: Index<View>, count: usize, component: ComponentType, kind: Type) -> Accessor {
    Accessor {
        buffer_view: Some(view),
        byte_offset: None,
        count: USize64::from(count),
        component_type: Valid(GenericComponentType(component)),
        type_: Valid(kind),
        min: None,
        max: None,
        name: None,
        normalized: false,
        sparse: None,
        extensions: None,
        extras: None,
    }
}

fn bounds(list: &[[f32; 3]]) -> ([f32; 3], [f32; 3]) {
    let (mut least, mut most) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    for p in list {
        for k in 0..3 {
            least[k] = least[k].min(p[k]);
            most[k] = most[k].max(p[k]);
        }
    }
    (least, most)
}
