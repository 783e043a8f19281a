//! Bodies that the housing must keep clear of: turning parts inside, and surroundings in the vehicle.

use std::path::Path;

use super::stand::closes;
use crate::design::{Along, Design, NeighbourShape, stl};
use crate::faces::Feature;
use crate::units::Mm;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{
    Finish, Primitive, PrimitiveError, Solid, SolidTree, cylinder, polygon, rounded_rectangle,
};

/// How a body relates to the housing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// It turns inside.
    Turning,
    /// It turns outside: only surroundings must keep clear of it.
    TurningOutside,
    /// It is part of the surroundings.
    Neighbour,
}

/// A body that the housing must keep clear of.
pub(super) struct Body {
    pub(super) kind: Kind,
    pub(super) name: String,
    pub(super) shape: Shape,
    pub(super) clearance: f64,
    pub(super) hint: &'static str,
}

impl Body {
    /// Its boundary, where it is a solid.
    pub(super) fn solid(&self) -> Option<&Solid> {
        match &self.shape {
            Shape::Solid(solid) => Some(solid),
            _ => None,
        }
    }
}

/// The shape of a body.
pub(super) enum Shape {
    /// One primitive and its boundary.
    Solid(Box<Solid>),
    /// Triangles of a file; they bound a body only if they are closed.
    Triangles { heap: Vec<[P3; 3]>, closed: bool },
    /// The shape is not available.
    None(String),
}

/// All bodies of a design.
pub(super) fn bodies(design: &Design) -> Vec<Body> {
    let turning = design.turning().iter().map(|t| {
        let diameters = [t.diameter(), t.rear_diameter().unwrap_or(t.diameter())];
        let hint = "widen `shell.cavity` there, or move what turns";
        turned(t.name(), (t.from(), t.length()), diameters, t.clearance().get(), hint)
    });
    let outside = design.surroundings().iter().map(|n| Body {
        kind: Kind::Neighbour,
        name: n.name().to_owned(),
        shape: neighbour(design.folder(), n.name(), n.shape()),
        clearance: n.clearance().get(),
        hint: "move the feature that comes nearest, or make room in the vehicle",
    });
    turning.chain(mating(design)).chain(outside).chain(propshaft(design)).collect()
}

/// Radius of the line that represents a shaft of unknown diameter, mm.
const LINE: f64 = 1.0;

/// How far beyond the housing's ends something always turns on its axis, mm: the gearbox's shaft ahead of it, the
/// yoke behind it.
const BEYOND: [f64; 2] = [50.0, 100.0];

/// The turning part that is always present: the shaft itself, from ahead of the housing to behind it.
pub(super) fn shaft(from: f64, to: f64) -> Body {
    let (from, length) = (Mm::new(from - BEYOND[0]), Mm::new(to - from + BEYOND[0] + BEYOND[1]));
    let made = turned("the shaft's axis", (from, length), [Mm::new(2.0 * LINE); 2], 0.0, "");
    Body { kind: Kind::TurningOutside, ..made }
}

/// The propeller shaft's tube from joint to joint at ride height, if both its ends are given.
fn propshaft(design: &Design) -> Option<Body> {
    let (shaft, yoke) = (design.vehicle().propshaft.as_ref()?, design.mating().yoke.as_ref()?);
    let [x, y, z] = shaft.run(yoke)?.map(Mm::get);
    // A rule reports a shaft that runs forwards; it has no tube here.
    let run = Some(V3::new(x, y, z)).filter(|run| run.x > 0.0)?;
    let frame = Frame::from_z(P3::new(yoke.joint()?.get(), 0.0, 0.0), run);
    let tag = Feature::Turning.named("propeller shaft", Finish::Cut);
    let radius = shaft.tube_outside.map_or(LINE, |d| 0.5 * d.get());
    Some(Body {
        kind: Kind::TurningOutside,
        name: "propeller shaft".to_owned(),
        shape: shape(cylinder(
            Feature::Turning.name(),
            frame,
            radius,
            run.norm(),
            &[tag.clone(), tag.clone(), tag],
        )),
        clearance: 0.0,
        hint: "",
    })
}

/// Clearance to the parts in `mating`, mm (common practice, no source).
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
    let tag = Feature::Turning.named(name, Finish::Cut);
    let shaft = Frame::from_zx(P3::new(from.get(), 0.0, 0.0), V3::x(), V3::z());
    let ([front, rear], length) = (diameters.map(|d| 0.5 * d.get()), length.get());
    let corners = [P2::origin(), P2::new(front, 0.0), P2::new(rear, length), P2::new(0.0, length)];
    Body {
        kind: Kind::Turning,
        name: name.to_owned(),
        shape: shape(Primitive::revolve(Feature::Turning.name(), shaft, polygon(&corners, &[tag]))),
        clearance,
        hint,
    }
}

fn neighbour(folder: &Path, name: &str, of: &NeighbourShape) -> Shape {
    let tag = Feature::Surroundings.named(name, Finish::Formed);
    let ends = || [tag.clone(), tag.clone()];
    // Local x is up, y to the left.
    let frame = |along: &Along, (side, height): (Mm, Mm)| {
        Frame::from_zx(P3::new(along.from.get(), side.get(), height.get()), V3::x(), V3::z())
    };
    let prism = |along: &Along, frame: Frame, outline| {
        Primitive::prism(Feature::Surroundings.name(), frame, outline, along.length.get(), 0.0, ends())
    };
    match of {
        NeighbourShape::Box { along, middle, width, tall } => {
            let size = V2::new(tall.get(), width.get());
            shape(prism(along, frame(along, *middle), rounded_rectangle(P2::origin(), size, 0.0, &tag)))
        }
        NeighbourShape::Pipe { along, middle, diameter } => {
            let tags = [tag.clone(), tag.clone(), tag.clone()];
            let (frame, radius) = (frame(along, *middle), 0.5 * diameter.get());
            shape(cylinder(Feature::Surroundings.name(), frame, radius, along.length.get(), &tags))
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
        tree.add(primitive);
        Solid::of(tree).map_err(|e| e.to_string())
    };
    match made.map_err(|e| e.to_string()).and_then(with_boundary) {
        Ok(solid) => Shape::Solid(Box::new(solid)),
        Err(why) => Shape::None(why),
    }
}

/// The triangles of an STL file.
fn heap(path: &Path) -> Shape {
    match stl::triangles(path) {
        Ok(heap) => {
            let heap: Vec<[P3; 3]> = heap.into_iter().map(|t| t.map(P3::from)).collect();
            Shape::Triangles { closed: closes(&heap), heap }
        }
        Err(error) => Shape::None(error.to_string()),
    }
}
