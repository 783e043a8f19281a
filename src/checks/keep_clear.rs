//! What turns inside and what lies outside: the least distance from the housing, or how much is in the way.

use rayon::prelude::*;

use super::{CHORD, Checked, Checks, Limit, Sense, Unit, names};
use crate::design::{Design, NeighbourKind};
use crate::geometry::{Frame, P2, P3, V2, V3};
use crate::housing::Housing;
use crate::probe::{Least, Probe};
use crate::solid::evaluate::{EvaluateError, evaluate};
use crate::solid::validate::validate;
use crate::solid::{
    Brep, BrepEdge, HalfEdge, Op, Primitive, PrimitiveError, SolidTree, Tag, cylinder, rounded_rectangle,
};
use crate::units::Mm;

/// A body that the housing must keep off.
struct Body {
    check: &'static str,
    name: String,
    shape: Result<Primitive, PrimitiveError>,
    clearance: f64,
    hint: &'static str,
}

/// How a body stands to the housing.
enum Stand {
    /// Apart, by a least distance.
    Apart(Least),
    /// In its metal, by so many cubic millimetres, about a point.
    Within(f64, P3),
}

pub(super) fn check(design: &Design, finished: &Housing, out: &mut Checks) {
    if design.turning().is_empty() {
        out.not("turning parts inside", "the file names none (`mating.turning`)");
    }
    if design.surroundings().is_empty() {
        out.not("surroundings", "the file names none (`surroundings`)");
    }
    let bodies = bodies(design);
    let stands: Vec<Result<Stand, String>> = bodies.par_iter().map(|b| stand(finished, b)).collect();
    for (body, stand) in bodies.iter().zip(stands) {
        match stand {
            Ok(stand) => out.checked.push(judged(body, &stand, finished)),
            Err(why) => out.not(body.check, format!("{}: {why}", body.name)),
        }
    }
}

fn bodies(design: &Design) -> Vec<Body> {
    let along = |from: Mm, y: f64, z: f64| Frame::from_zx(P3::new(from.get(), y, z), V3::x(), V3::z());
    let turning = design.turning().iter().map(|t| {
        let tag = Tag::machined("turning", t.name());
        let tags = [tag.clone(), tag.clone(), tag];
        let radius = 0.5 * t.diameter().get();
        Body {
            check: "turning part inside",
            name: t.name().to_owned(),
            shape: cylinder("turning", along(t.from(), 0.0, 0.0), radius, t.length().get(), &tags),
            clearance: t.clearance().get(),
            hint: "widen `shell.cavity` there, or move what turns",
        }
    });
    let outside = design.surroundings().iter().map(|n| {
        let tag = Tag::cast("surroundings", n.name());
        let frame = along(n.from(), n.side().get(), n.height().get());
        let (width, length) = (n.width().get(), n.length().get());
        let shape = match n.kind() {
            NeighbourKind::Pipe => {
                cylinder("surroundings", frame, 0.5 * width, length, &[tag.clone(), tag.clone(), tag])
            }
            NeighbourKind::Box => {
                // Local x is up.
                let outline = rounded_rectangle(P2::origin(), V2::new(n.tall().get(), width), 0.0, &tag);
                Primitive::prism("surroundings", frame, outline, length, 0.0, [tag.clone(), tag])
            }
        };
        Body {
            check: "surroundings",
            name: n.name().to_owned(),
            shape,
            clearance: n.clearance().get(),
            hint: "move the feature that comes nearest, or make room in the vehicle",
        }
    });
    turning.chain(outside).collect()
}

fn stand(finished: &Housing, body: &Body) -> Result<Stand, String> {
    let shape = body.shape.clone().map_err(|e| e.to_string())?;
    let mut common = finished.tree.clone();
    common.push(Op::Keep, shape.clone());
    match evaluate(&common) {
        Ok(brep) => {
            let report = validate(&brep).map_err(|_| "what both share is no sound solid".to_owned())?;
            return Ok(Stand::Within(report.mass.volume, report.mass.centroid));
        }
        Err(EvaluateError::Empty) => {}
        Err(error) => return Err(error.to_string()),
    }
    let mut own = SolidTree::new();
    own.add(shape);
    let own = evaluate(&own).map_err(|e| e.to_string())?;
    let both = side_by_side(&finished.brep, &own);
    let probe = Probe::new(&both, CHORD).map_err(|e| e.to_string())?;
    let count = finished.brep.faces.len();
    let (a, b): (Vec<usize>, Vec<usize>) = (0..both.faces.len()).partition(|f| *f < count);
    probe.least_distance(&a, &b).map(Stand::Apart).ok_or_else(|| "no distance was found".to_owned())
}

/// Two solids that don't meet, as one boundary.
fn side_by_side(a: &Brep, b: &Brep) -> Brep {
    let mut out = a.clone();
    let (vertices, edges, faces) = (a.vertices.len(), a.edges.len(), a.faces.len());
    out.vertices.extend(&b.vertices);
    let moved = |e: &BrepEdge| BrepEdge { start: e.start + vertices, end: e.end + vertices, ..e.clone() };
    out.edges.extend(b.edges.iter().map(moved));
    for face in &b.faces {
        let mut face = face.clone();
        for half in face.loops.iter_mut().flatten() {
            *half = HalfEdge { edge: half.edge + edges, forward: half.forward };
        }
        out.faces.push(face);
    }
    for shell in &b.shells {
        let mut shell = shell.clone();
        shell.faces.iter_mut().for_each(|f| *f += faces);
        out.shells.push(shell);
    }
    out
}

fn judged(body: &Body, stand: &Stand, finished: &Housing) -> Checked {
    let source = "`clearance` of the part".to_owned();
    let limit = Limit { value: body.clearance, source, given: false };
    let make = |what: String, value: f64| {
        Checked::new(body.check, what, (value, Unit::Mm), Sense::AtLeast, body.hint).fails_by(&limit)
    };
    match stand {
        Stand::Apart(least) => {
            let own = least.faces.into_iter().filter(|f| *f < finished.brep.faces.len());
            make(body.name.clone(), least.distance).at(least.points, names(&finished.brep, own))
        }
        // Negative by the edge of a cube of what is in the way.
        Stand::Within(volume, at) => {
            make(format!("{}, {volume:.0} mm³ in the metal", body.name), -volume.cbrt()).at([*at], [])
        }
    }
}
