//! What turns inside and what lies outside: the least distance from the housing, or how much is in the way.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use rayon::prelude::*;

use super::{CHORD, Checked, Checks, Limit, Sense, Unit, names};
use crate::design::{Along, Design, NeighbourShape};
use crate::geometry::{Frame, P2, P3, V2, V3};
use crate::housing::Housing;
use crate::probe::{Probe, Stand as StandOf};
use crate::solid::evaluate::{EvaluateError, evaluate};
use crate::solid::validate::validate;
use crate::solid::{
    Brep, Op, Primitive, PrimitiveError, SolidTree, Tag, cylinder, polygon, rounded_rectangle,
};
use crate::units::Mm;

/// A body that the housing must keep off.
struct Body {
    check: &'static str,
    name: String,
    shape: Shape,
    clearance: f64,
    hint: &'static str,
}

/// What a body looks like.
enum Shape {
    /// A primitive and its boundary.
    Solid(Box<Primitive>, Box<Brep>),
    Triangles(Vec<[P3; 3]>),
    /// It can't be had.
    None(String),
}

/// How a body stands to the housing.
enum Stand {
    /// Apart: the least distance, both places, the housing's face.
    Apart(f64, [P3; 2], usize),
    /// In its metal, by so many cubic millimetres, about a point.
    Within(f64, P3),
    /// Across its surface, over such a length, about a point.
    Across(f64, P3),
}

/// Distances below this may be a crossing, mm.
const TOUCH: f64 = 1e-6;

pub(super) fn check(design: &Design, finished: &Housing, probe: &Probe, out: &mut Checks) {
    if design.turning().is_empty() {
        out.not("turning parts inside", "the file names none (`mating.turning`)");
    }
    if design.surroundings().is_empty() {
        out.not("surroundings", "the file names none (`surroundings`)");
    }
    let bodies = bodies(design);
    let beside = Beside::new(finished, &bodies);
    let together = Probe::new(&beside.brep, CHORD);
    let stands: Vec<Result<Stand, String>> = bodies
        .par_iter()
        .enumerate()
        .map(|(i, body)| match (&body.shape, &together) {
            (Shape::Solid(shape, own), Ok(together)) => {
                solid(finished, shape, own, together, &beside.faces[i])
            }
            (Shape::Solid(..), Err(error)) => Err(error.to_string()),
            (Shape::Triangles(heap), _) => triangles(finished, heap, probe),
            (Shape::None(why), _) => Err(why.clone()),
        })
        .collect();
    for (body, stand) in bodies.iter().zip(stands) {
        match stand {
            Ok(stand) => out.checked.push(judged(body, &stand, finished)),
            Err(why) => out.not(body.check, format!("{}: {why}", body.name)),
        }
    }
}

/// The housing and all bodies in one boundary: one probe knows all distances between them.
struct Beside {
    brep: Brep,
    /// Each body's faces.
    faces: Vec<Vec<usize>>,
}

impl Beside {
    fn new(finished: &Housing, bodies: &[Body]) -> Self {
        let mut brep = finished.brep.clone();
        let faces = bodies.iter().map(|body| match &body.shape {
            Shape::Solid(_, own) => brep.put_beside(own).collect(),
            _ => vec![],
        });
        let faces = faces.collect();
        Self { brep, faces }
    }
}

fn bodies(design: &Design) -> Vec<Body> {
    let turning = design.turning().iter().map(|t| {
        let diameters = [t.diameter(), t.rear_diameter().unwrap_or(t.diameter())];
        let hint = "widen `shell.cavity` there, or move what turns";
        turned(t.name(), (t.from(), t.length()), diameters, t.clearance().get(), hint)
    });
    let outside = design.surroundings().iter().map(|n| Body {
        check: "surroundings",
        name: n.name().to_owned(),
        shape: neighbour(design.folder(), n.name(), n.shape()),
        clearance: n.clearance().get(),
        hint: "move the feature that comes nearest, or make room in the vehicle",
    });
    turning.chain(mating(design)).chain(outside).collect()
}

/// Room about what `mating` tells of, mm (common practice, no source).
const ROOM: f64 = 0.5;

/// The yoke's barrel, from where it bottoms, and the speedometer's drive gear.
fn mating(design: &Design) -> Vec<Body> {
    let mating = design.mating();
    let yoke = mating.yoke.as_ref().map(|y| {
        let front = y.bottoms_at.map_or(y.front, |bottom| Mm::min(bottom, y.front));
        ("barrel of `mating.yoke`", front, y.shoulder() - front, y.barrel_diameter)
    });
    let gear = mating.speedometer.as_ref().and_then(|g| {
        let [drive, _] = g.pair()?.outside_diameters();
        Some(("drive gear of `mating.speedometer`", g.drive_from?, g.drive_width?, drive))
    });
    let hint = "widen `tail.bushing.stop_bore` or `shell.cavity` there, or move what turns";
    let body = |(name, from, length, diameter)| turned(name, (from, length), [diameter; 2], ROOM, hint);
    yoke.into_iter().chain(gear).map(body).collect()
}

/// A body that turns about the shaft, from a station over a length, by its diameters at front and rear.
fn turned(
    name: &str,
    (from, length): (Mm, Mm),
    diameters: [Mm; 2],
    clearance: f64,
    hint: &'static str,
) -> Body {
    let tag = Tag::machined("turning", name);
    let shaft = Frame::from_zx(P3::new(from.get(), 0.0, 0.0), V3::x(), V3::z());
    let ([front, rear], length) = (diameters.map(|d| 0.5 * d.get()), length.get());
    let corners = [P2::origin(), P2::new(front, 0.0), P2::new(rear, length), P2::new(0.0, length)];
    Body {
        check: "turning part inside",
        name: name.to_owned(),
        shape: shape(Primitive::revolve("turning", shaft, polygon(&corners, &[tag]))),
        clearance,
        hint,
    }
}

fn neighbour(folder: &Path, name: &str, of: &NeighbourShape) -> Shape {
    let tag = Tag::cast("surroundings", name);
    let ends = || [tag.clone(), tag.clone()];
    // Local x is up, y to the left.
    let frame = |along: &Along, (side, height): (Mm, Mm)| {
        Frame::from_zx(P3::new(along.from.get(), side.get(), height.get()), V3::x(), V3::z())
    };
    let prism = |along: &Along, frame: Frame, outline| {
        Primitive::prism("surroundings", frame, outline, along.length.get(), 0.0, ends())
    };
    match of {
        NeighbourShape::Box { along, middle, width, tall } => {
            let size = V2::new(tall.get(), width.get());
            shape(prism(along, frame(along, *middle), rounded_rectangle(P2::origin(), size, 0.0, &tag)))
        }
        NeighbourShape::Pipe { along, middle, diameter } => {
            let tags = [tag.clone(), tag.clone(), tag.clone()];
            let (frame, radius) = (frame(along, *middle), 0.5 * diameter.get());
            shape(cylinder("surroundings", frame, radius, along.length.get(), &tags))
        }
        NeighbourShape::Profile { along, corners } => {
            let frame = frame(along, (Mm::new(0.0), Mm::new(0.0)));
            let mut points: Vec<P2> = corners
                .iter()
                .map(|(side, height)| {
                    let q = frame.local(P3::new(along.from.get(), side.get(), height.get()));
                    P2::new(q.x, q.y)
                })
                .collect();
            let area: f64 = (0..points.len())
                .map(|i| points[i].coords.perp(&points[(i + 1) % points.len()].coords))
                .sum();
            if area < 0.0 {
                points.reverse();
            }
            shape(prism(along, frame, polygon(&points, std::slice::from_ref(&tag))))
        }
        NeighbourShape::Stl { file } => heap(&folder.join(file)),
    }
}

fn shape(made: Result<Primitive, PrimitiveError>) -> Shape {
    let with_boundary = |primitive: Primitive| {
        let mut tree = SolidTree::new();
        tree.add(primitive.clone());
        let brep = evaluate(&tree).map_err(|e| e.to_string())?;
        Ok((Box::new(primitive), Box::new(brep)))
    };
    match made.map_err(|e| e.to_string()).and_then(with_boundary) {
        Ok((primitive, brep)) => Shape::Solid(primitive, brep),
        Err(why) => Shape::None(why),
    }
}

/// The triangles of an STL file.
fn heap(path: &Path) -> Shape {
    let read = || -> std::io::Result<Vec<[P3; 3]>> {
        let mut file = BufReader::new(File::open(path)?);
        let mesh = stl_io::read_stl(&mut file)?;
        let corner = |i: usize| mesh.vertices[i].0.map(f64::from);
        Ok(mesh.faces.iter().map(|f| f.vertices.map(|i| P3::from(corner(i)))).collect())
    };
    let finite = |heap: &Vec<[P3; 3]>| heap.iter().flatten().all(|p| p.iter().all(|x| x.is_finite()));
    match read() {
        Err(error) => Shape::None(format!("{}: {error}", path.display())),
        Ok(heap) if heap.is_empty() => Shape::None(format!("{}: it holds no triangle", path.display())),
        Ok(heap) if !finite(&heap) => Shape::None(format!("{}: a corner is no number", path.display())),
        Ok(heap) => Shape::Triangles(heap),
    }
}

fn solid(
    finished: &Housing,
    shape: &Primitive,
    own: &Brep,
    together: &Probe,
    faces: &[usize],
) -> Result<Stand, String> {
    let housing: Vec<usize> = (0..finished.brep.faces.len()).collect();
    let least = together.least_distance(&housing, faces).ok_or("no distance was found")?;
    let inside = own.vertices.iter().any(|p| finished.tree.contains(*p))
        || finished.brep.vertices.first().is_some_and(|p| shape.contains(*p));
    let apart = |distance: f64| Ok(Stand::Apart(distance, least.points, least.faces[0]));
    if least.distance > TOUCH && !inside {
        return apart(least.distance);
    }
    let mut common = finished.tree.clone();
    common.push(Op::Keep, shape.clone());
    match evaluate(&common) {
        Ok(brep) => {
            let report = validate(&brep).map_err(|_| "what both share is no sound solid".to_owned())?;
            Ok(Stand::Within(report.mass.volume, report.mass.centroid))
        }
        Err(EvaluateError::Empty) => apart(0.0),
        Err(error) => Err(error.to_string()),
    }
}

fn triangles(finished: &Housing, heap: &[[P3; 3]], probe: &Probe) -> Result<Stand, String> {
    match probe.stand_of(heap).ok_or("it holds no triangle")? {
        StandOf::Across(bounds) => Ok(Stand::Across(bounds.diagonal(), bounds.center())),
        StandOf::Apart(distance, points, face) => {
            let inside = heap.iter().find(|t| finished.tree.contains(t[0]));
            Ok(inside.map_or(Stand::Apart(distance, points, face), |t| Stand::Across(distance, t[0])))
        }
    }
}

fn judged(body: &Body, stand: &Stand, finished: &Housing) -> Checked {
    let source = "`clearance` of the part".to_owned();
    let limit = Limit { value: body.clearance, source, given: false };
    // The same words whatever comes out: a sweep follows them.
    let make = |value: f64| {
        Checked::new(body.check, body.name.as_str(), (value, Unit::Mm), Sense::AtLeast, body.hint)
            .fails_by(&limit)
    };
    match stand {
        Stand::Apart(distance, points, face) => make(*distance).at(*points, names(&finished.brep, [*face])),
        // Negative by the edge of a cube of what is in the way.
        Stand::Within(volume, at) => make(-volume.cbrt()).at([*at], []),
        // Negative by how long the crossing is.
        Stand::Across(length, at) => make(-length.max(0.001)).at([*at], []),
    }
}
