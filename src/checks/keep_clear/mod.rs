//! Turning parts inside and surroundings outside: the least distance from the housing and from each other, or the
//! depth of their overlap.

mod bodies;
mod stand;

use std::ops::Range;

use rayon::prelude::*;

use super::{CHORD, Checks, Limit, Measurement, Sense, Unit};
use crate::design::Design;
use crate::faces::Feature;
use crate::finding::Hindrance;
use crate::housing::Housing;
use bodies::{Body, Kind, Shape};
use solidwright::geometry::P3;
use solidwright::probe::{Assembly, Probe};
use solidwright::solid::{Brep, Op, Primitive, Solid};
use stand::{Rigid, Stand};

/// A smaller depth in the hollow counts as touching its mouth, mm.
const TOUCH: f64 = 1e-6;

/// Name of the check that reports whether distances are known.
const MEASURED: &str = "distances can be measured";

pub(super) fn check(design: &Design, finished: &Housing, probe: &Probe, out: &mut Checks) {
    if design.turning().is_empty() {
        out.not("turning parts inside", "the file names none (`mating.turning`)");
    }
    if design.surroundings().is_empty() {
        out.not("surroundings", "the file names none (`surroundings`)");
    }
    let mut bodies = bodies::bodies(design);
    let ends = finished.solid.brep().bounds();
    bodies.push(bodies::shaft(ends.min.x, ends.max.x));
    for body in &bodies {
        if let Shape::Triangles { closed: false, .. } = &body.shape {
            let why =
                "its triangles don't close, or don't agree on which side is outside: it counts as a sheet";
            out.not("surroundings, whether they hold the housing", format!("{}: {why}", body.name));
        }
    }
    let solids: Vec<&Solid> = bodies.iter().filter_map(Body::solid).collect();
    let beside = Assembly::of([&finished.solid].into_iter().chain(solids.iter().copied()));
    let together = match probe.beside(&beside, &solids, CHORD) {
        Ok(together) => together,
        Err(error) => return out.cannot(MEASURED, "all bodies", &error),
    };
    let all = All { finished, probe, bodies: &bodies, beside: &beside, together: &together };
    let found: Vec<Vec<Result<Measurement, Hindrance>>> =
        (0..bodies.len()).into_par_iter().map(|i| all.about(i)).collect();
    for (body, checked) in bodies.iter().zip(found).flat_map(|(b, all)| all.into_iter().map(move |c| (b, c)))
    {
        match checked {
            Ok(checked) => out.measurements.push(checked),
            Err(why) => out.cannot(MEASURED, &body.name, why),
        }
    }
}

/// All bodies that are compared with each other.
struct All<'a> {
    finished: &'a Housing,
    probe: &'a Probe<'a>,
    bodies: &'a [Body],
    /// The housing, then the bodies that are solids.
    beside: &'a Assembly,
    together: &'a Probe<'a>,
}

impl<'a> All<'a> {
    /// All measurements of a body.
    fn about(&self, i: usize) -> Vec<Result<Measurement, Hindrance>> {
        match self.bodies[i].kind {
            Kind::Turning => vec![self.off_housing(i, "turning part inside")],
            Kind::TurningOutside => vec![],
            Kind::Neighbour => vec![self.off_housing(i, "surroundings"), self.off_turning(i)],
        }
    }

    /// The faces of a body among all faces; empty if it is not a solid.
    fn faces(&self, i: usize) -> Range<usize> {
        let before = self.bodies[..i].iter().filter(|b| b.solid().is_some()).count();
        let own = self.bodies[i].solid().and_then(|_| self.beside.faces().get(before + 1));
        own.cloned().unwrap_or_default()
    }

    fn rigid(&self, i: usize) -> Option<Rigid<'a>> {
        let solid = self.bodies[i].solid()?;
        Some(Rigid { solid, faces: self.faces(i) })
    }

    /// How a body lies relative to another, whose own probe may exist already.
    fn stand(&self, other: &Rigid<'_>, probe: Option<&Probe<'_>>, i: usize) -> Result<Stand, Hindrance> {
        match &self.bodies[i].shape {
            Shape::Solid(solid) => {
                let own = Rigid { solid, faces: self.faces(i) };
                stand::solids(other, &own, self.together).map_err(Hindrance::Program)
            }
            Shape::Triangles { heap, closed } => {
                let of = |probe: &Probe<'_>| stand::triangles(other.solid.tree(), probe, heap, *closed);
                let stand = match probe {
                    Some(probe) => of(probe),
                    None => of(&Probe::new(other.solid, CHORD).map_err(|e| Hindrance::from(&e))?),
                };
                Ok(stand.map_err(Hindrance::Design)?.shifted(other.faces.start))
            }
            Shape::None(why) => Err(Hindrance::Design(why.clone())),
        }
    }

    /// A body and the housing.
    fn off_housing(&self, i: usize, check: &'static str) -> Result<Measurement, Hindrance> {
        let (body, finished) = (&self.bodies[i], self.finished);
        let housing = Rigid { solid: &finished.solid, faces: 0..finished.solid.brep().faces.len() };
        let stand = self.stand(&housing, Some(self.probe), i)?;
        let mut made = judged(check, body, &stand, self.beside.brep());
        if let Some(solid) = body.solid()
            && made.value < 0.0
            && finished.solid.brep().vertices.iter().all(|p| solid.tree().contains(*p))
        {
            made.hint =
                "it is solid, and the housing stands inside it: draw the sheet around the room, not the room"
                    .into();
        }
        if body.kind == Kind::Neighbour
            && made.value > 0.0
            && let Some((depth, p)) = self.in_hollow(i)
        {
            made.value = -depth;
            made.at.insert(0, p);
            made.hint = "it stands inside the housing, in its hollow: mend its place".into();
        }
        Ok(made)
    }

    /// The place of a body that lies deepest in the hollow around the shaft, and its distance from the nearer mouth.
    fn in_hollow(&self, i: usize) -> Option<(f64, P3)> {
        let about_shaft = |p: &Primitive| matches!(Feature::of_body(p), Feature::Cavity | Feature::Tail);
        let steps = self.finished.solid.tree().steps().iter();
        let cuts: Vec<_> = steps.filter(|s| s.op == Op::Cut && about_shaft(&s.primitive)).collect();
        let within = self.finished.solid.brep().bounds();
        let (mesh, faces) = (self.together.mesh(), self.faces(i));
        let own = |t: usize| faces.contains(&(mesh.face_of[t] as usize)).then(|| mesh.corners(t));
        let heap: Vec<[P3; 3]> = match &self.bodies[i].shape {
            Shape::Solid(..) => (0..mesh.triangles.len()).filter_map(own).collect(),
            Shape::Triangles { heap, .. } => heap.clone(),
            Shape::None(_) => return None,
        };
        let depth = |p: P3| (f64::min(p.x - within.min.x, within.max.x - p.x), p);
        let places = stand::small(&heap, &within).into_iter().filter(|p| within.contains(*p));
        let inside = places.filter(|p| cuts.iter().any(|s| s.primitive.contains(*p))).map(depth);
        inside.filter(|d| d.0 > TOUCH).max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Surroundings and turning parts: the nearest pair.
    fn off_turning(&self, i: usize) -> Result<Measurement, Hindrance> {
        let body = &self.bodies[i];
        let others = (0..self.bodies.len()).filter(|k| self.bodies[*k].kind != Kind::Neighbour);
        let mut worst: Option<Measurement> = None;
        for turning in others.filter_map(|k| self.rigid(k)) {
            let stand = self.stand(&turning, None, i)?;
            let made = judged("surroundings off what turns", body, &stand, self.beside.brep());
            if worst.as_ref().is_none_or(|w| made.value < w.value) {
                worst = Some(made);
            }
        }
        worst.ok_or_else(|| Hindrance::Program("nothing turns".to_owned()))
    }
}

/// A measurement; negative by the depth to which one reaches into the other.
fn judged(check: &'static str, body: &Body, stand: &Stand, beside: &Brep) -> Measurement {
    let source = "`clearance` of the part".to_owned();
    let limit = Limit { value: body.clearance, source, given: false };
    // The name must not depend on the result, because a sweep tracks it.
    let make = |value: f64, points: &[P3], face: usize| {
        let name = beside.faces.get(face).map(|f| f.tag.to_string());
        Measurement::new(check, body.name.as_str(), (value, Unit::Mm), Sense::AtLeast, body.hint)
            .fails_by(&limit)
            .at(points.iter().copied(), name)
    };
    match stand {
        Stand::Apart(distance, points, face) => make(*distance, points, *face),
        Stand::Into(depth, at, face) => make(-depth.max(0.001), &[*at], *face),
        Stand::Around(distance, at, face) => {
            let mut made = make(-distance.max(0.001), &[*at], *face);
            made.hint = "its triangles close around the housing as a solid does: give the sheet a thickness, or leave it open".into();
            made
        }
    }
}
