//! JSON beside the model files: what was measured, the solid tree, the time taken.

use serde_json::{Value, json};

use crate::housing::{Bore, Housing};
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Brep, Cap, MassProperties, Op, Primitive, Profile, SolidTree};

fn list(v: V3) -> Value {
    json!([v.x, v.y, v.z])
}

fn point(p: P3) -> Value {
    list(p.coords)
}

/// Figures of a finished housing, the bores as the design asks for them. `file` and `product` as in the STEP
/// file.
pub fn measured(housing: &Housing, file: &str, product: &str) -> Value {
    figures(housing.solid.brep(), housing.solid.mass(), &housing.bores, file, product)
}

/// Figures of any solid: mass properties at unit density, counts, bores, face names. Lengths in mm.
pub fn figures(brep: &Brep, mass: &MassProperties, bores: &[Bore], file: &str, product: &str) -> Value {
    let (i, p) = (mass.inertia, mass.products);
    let bore = |b: &Bore| json!({"name": b.tag.to_string(), "radius_mm": b.radius, "point_mm": point(b.point), "axis": list(b.axis)});
    json!({
        "file": file,
        "product": product,
        "volume_mm3": mass.volume,
        "area_mm2": mass.area,
        "centroid_mm": point(mass.centroid),
        // Products as plain integrals of xy: the tensor's entries bear the other sign.
        "inertia_about_centroid_mm5": [i.x, i.y, i.z, -p.x, -p.y, -p.z],
        "faces": brep.faces.len(),
        "edges": brep.edges.len(),
        "vertices": brep.vertices.len(),
        "cylinders": bores.iter().map(bore).collect::<Vec<_>>(),
        "face_names": brep.faces.iter().map(|f| f.tag.to_string()).collect::<Vec<_>>(),
    })
}

/// The primitives of a tree in order, with frames and profiles, so that another program can build the same
/// solid. Turned profiles are pairs (distance from the axis, height).
pub fn tree(tree: &SolidTree) -> Value {
    let steps = tree.steps().iter().flat_map(|step| {
        let op = match step.op {
            Op::Add | Op::Restore => "add",
            Op::Cut | Op::Trim => "cut",
            Op::Keep => "keep",
        };
        // A filleted body stands as the bodies that it joins, and its fillets.
        step.primitive.parts().into_iter().map(move |part| one(op, part))
    });
    json!({"steps": steps.collect::<Vec<_>>()})
}

fn one(op: &str, primitive: &Primitive) -> Value {
    {
        let Some((profile, prism)) = primitive.shape() else {
            return json!({"op": op, "kind": "fillets"});
        };
        let mut out = json!({"op": op, "frame": frame(primitive.frame()), "profile": segments(profile)});
        let caps: Vec<Value> =
            primitive.caps().iter().flat_map(Cap::planes).map(|c| frame(&c.frame)).collect();
        if !caps.is_empty() {
            out["caps"] = json!(caps);
        }
        match prism {
            None => out["kind"] = json!("revolve"),
            Some((height, slope)) => {
                out["kind"] = json!("prism");
                out["height"] = json!(height);
                out["draft_deg"] = json!(slope.atan().to_degrees());
            }
        }
        out
    }
}

fn frame(f: &Frame) -> Value {
    json!({"origin": point(f.origin), "x": list(f.x), "y": list(f.y), "z": list(f.z)})
}

fn segments(profile: &Profile) -> Value {
    let pair = |p: P2| json!([p.x, p.y]);
    let one = |s: &solidwright::solid::Segment| match s.arc {
        None => json!({"type": "line", "from": pair(s.from), "to": pair(s.to)}),
        Some((center, ccw)) => {
            json!({"type": "arc", "from": pair(s.from), "to": pair(s.to), "center": pair(center), "ccw": ccw})
        }
    };
    profile.segments().iter().map(one).collect()
}
