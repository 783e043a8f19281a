//! Walls: the least thickness between every two groups of faces, nominal and in the worst case, and the thickness
//! over the whole surface.
//!
//! A group of faces has the name that a designer would use: `cavity/wall`, a machined face by its name, all cast
//! faces of a feature together.

use super::{Checks, Limit, Limits, Measurement, Sense, Unit};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::standards::casting_tolerance::{Dctg, ToleranceError, half_zone, wall_zone};
use crate::standards::position::LINE_UP;
use crate::words::counted;
use rayon::prelude::*;
use solidwright::geometry::P3;
use solidwright::probe::{Probe, Sample, Wall};
use solidwright::solid::{BrepFace, Finish, Tag};
use std::collections::BTreeMap;

/// Walls thicker than both this and 1.5 times the shell's wall are not listed, mm.
const LISTED: f64 = 10.0;

/// Within this distance of an edge that two faces share, the metal between them counts as part of the edge, mm.
pub(super) const WEDGE: f64 = 5.0;

/// Position tolerance of a machined face, mm.
const MACHINED: f64 = LINE_UP.get();

/// Number of places at which the thickness is sampled.
const SAMPLES: usize = 20_000;

/// Shares of the surface by wall thickness, in steps of a millimetre; the last includes all thicker walls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Histogram {
    /// By ray.
    pub ray: Vec<f64>,
    /// By ball.
    pub ball: Vec<f64>,
    /// Share of the surface that faces no wall by ray.
    pub none: f64,
}

/// The name of a face's group.
fn group(tag: &Tag) -> String {
    let inner = Role::of(tag).is_opening() || Role::of(tag).is_hollow();
    let whole = tag.finish == Finish::Formed && Feature::of(tag) != Feature::Cavity && !inner;
    if whole { tag.feature.to_string() } else { tag.to_string() }
}

/// Whether a wall is one of a letter, which is none: its strokes and how far they stand out have limits of their own.
pub(super) fn is_of_letter(faces: &[BrepFace], wall: &Wall) -> bool {
    wall.faces.iter().all(|f| Feature::of(&faces[*f].tag) == Feature::Marks)
}

pub(super) fn check(design: &Design, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let faces = &probe.brep().faces;
    let mut names: Vec<String> = faces.iter().map(|f| group(&f.tag)).collect();
    let of_face = names.clone();
    names.sort();
    names.dedup();
    let index: Vec<Option<u32>> = of_face
        .iter()
        .map(|name| names.binary_search(name).ok().and_then(|i| u32::try_from(i).ok()))
        .collect();
    let listed = LISTED.max(1.5 * design.shell().thickest().get());
    let walls = probe.least_walls(listed, |face| index[face]);
    let mut unknown = BTreeMap::new();
    for wall in walls.iter().filter(|w| !w.is_sharp_edge() && !is_of_letter(faces, w)) {
        if probe.is_wedge(wall, WEDGE) {
            thin_edge(probe, limits, wall, out);
        } else if let Some(reason) = one(design, probe, limits, wall, &names, out) {
            *unknown.entry(reason).or_insert(0_usize) += 1;
        }
    }
    for ((check, because), count) in unknown {
        out.not(check, format!("{because}; this leaves {} without a worst case", counted(count, "wall")));
    }
}

/// Where the metal between two faces runs out to the edge in which they meet, it is an edge, not a wall.
fn thin_edge(probe: &Probe, limits: &Limits, wall: &Wall, out: &mut Checks) {
    let faces = super::names(probe.brep(), wall.faces);
    let (what, value) = (faces.join(" / "), (wall.thickness, Unit::Mm));
    let hint = "dress the edge, or let the hole meet the wall more squarely";
    out.measurements.push(
        Measurement::new("thin edge where faces meet", what, value, Sense::AtLeast, hint)
            .warns_or_fails_by(&limits.thin_edge)
            .at(wall.points, faces),
    );
}

/// Why a wall has no worst case: the check that was not made, and the reason.
type Unknown = (&'static str, String);

const OIL_WALL: &str = "oil wall, worst case";
const MACHINED_WALL: &str = "metal beside a machined face, worst case";

/// Measures one wall; gives the reason where its worst case is not known.
fn one(
    design: &Design,
    probe: &Probe,
    limits: &Limits,
    wall: &Wall,
    names: &[String],
    out: &mut Checks,
) -> Option<Unknown> {
    let tags = wall.faces.map(|f| &probe.brep().faces[f].tag);
    let cut = tags.iter().filter(|t| t.finish == Finish::Cut).count();
    let [a, b] = wall.groups.map(|g| names[g as usize].as_str());
    let what = if a == b { format!("{a} / itself") } else { format!("{a} / {b}") };
    let point = tags.iter().any(|t| Role::of(t).is_drill_point());
    let oil = tags.iter().any(|t| Feature::of(t) == Feature::Cavity);
    let make = |check, value| {
        Measurement::new(check, what.clone(), (value, Unit::Mm), Sense::AtLeast, hint(check))
            .at(wall.points, super::names(probe.brep(), wall.faces))
    };
    // A wall below the alloy's least gives a warning: what is machined need not fill by itself, but it is thin.
    let beside = |made: Measurement, limit: &Limit| {
        let made = made.fails_by(limit);
        let soft = &limits.machined_wall_soft;
        if soft.value > limit.value { made.warns_too_by(soft) } else { made }
    };
    out.measurements.push(match (cut, point) {
        (0, _) => make("wall", wall.thickness).fails_by(&limits.wall),
        (_, true) => beside(make("blind hole floor", wall.thickness), &limits.floor),
        _ => beside(make("metal beside a machined face", wall.thickness), &limits.machined_wall),
    });
    let (check, limit) = match (cut, oil) {
        (0, true) => (OIL_WALL, &limits.oil_wall),
        (0, false) => return None,
        _ => (MACHINED_WALL, &limits.machined_wall_worst),
    };
    match shift(design, wall, cut) {
        Ok(shift) => {
            out.measurements.push(make(check, wall.thickness - shift).fails_by(limit));
            None
        }
        Err(error) => Some((check, beyond(&error))),
    }
}

/// How much thinner the wall may come out, mm: between cast faces half the zone of a wall's thickness, which holds core
/// shift too (ISO 8062-3: one grade coarser than the general one); beside a machined face half the zone of the cast
/// face's distance from the shaft, and the line-up of machined faces.
///
/// # Errors
/// Where the table has no zone: nothing is then known of the worst case.
fn shift(design: &Design, wall: &Wall, machined: usize) -> Result<f64, ToleranceError> {
    let number = design.casting().stock().tolerance_grade();
    let grade = || Dctg::try_from(number);
    match machined {
        0 => Ok(0.5 * wall_zone(wall.thickness, grade()?)?),
        1 => {
            let size = |p: &P3| p.y.hypot(p.z);
            let far = wall.points.iter().map(size).fold(1.0, f64::max);
            Ok(half_zone(far, grade()?)? + MACHINED)
        }
        _ => Ok(MACHINED),
    }
}

/// The reason in words that are the same for all walls.
fn beyond(error: &ToleranceError) -> String {
    match error {
        ToleranceError::Blank { grade, over, .. } => {
            format!(
                "ISO 8062-3 gives {grade} for sizes over {over} mm only: name a finer `casting.stock.tolerance_grade`"
            )
        }
        ToleranceError::Grade(_) => {
            "ISO 8062-3 table 2 is known here up to DCTG 13, and walls take the next coarser grade".to_owned()
        }
        ToleranceError::Size { .. } => "the casting is larger than the table of ISO 8062-3 goes".to_owned(),
    }
}

fn hint(check: &str) -> &'static str {
    match check {
        "wall" | "oil wall, worst case" => {
            "thicken `shell.wall` or the feature, or name a finer `casting.stock.tolerance_grade`"
        }
        "blind hole floor" => "shorten the hole's `drill_depth`, or raise the face it starts from",
        _ => "move the hole, make it smaller, or give its feature more metal",
    }
}

/// Shares of the surface by thickness.
pub fn histogram(probe: &Probe) -> Histogram {
    let samples = probe.samples(SAMPLES, 1);
    let taken: Vec<(Option<f64>, Option<f64>)> = samples
        .par_iter()
        .map(|s| {
            let ball = probe.wall_by_ball(s).map(|b| 2.0 * b.radius);
            (probe.wall_by_ray(s).map(|h| h.distance), ball)
        })
        .collect();
    let steps = LISTED as usize + 1;
    let share = 1.0 / samples.len().max(1) as f64;
    let count = |thicknesses: Vec<f64>| {
        let mut shares = vec![0.0; steps];
        for thickness in thicknesses {
            shares[(thickness as usize).min(steps - 1)] += share;
        }
        shares
    };
    let none = taken.iter().filter(|t| t.0.is_none()).count() as f64 * share;
    let (ray, ball) = taken.into_iter().unzip::<_, _, Vec<_>, Vec<_>>();
    let [ray, ball] = [ray, ball].map(|all| count(all.into_iter().flatten().collect()));
    Histogram { ray, ball, none }
}

/// Longest side of the triangles that carry one thickness each, mm.
const MAP_SIDE: f64 = 3.0;

/// A small triangle with the wall's thickness by ball at its middle, mm; `None` where it faces no wall.
pub type WallShare = ([P3; 3], Option<f64>);

/// Small triangles over the whole surface with the wall's thickness.
pub fn thickness_map(probe: &Probe) -> Vec<WallShare> {
    thickness_shares(probe, MAP_SIDE)
}

/// The same with triangles whose sides are no longer than a length in mm.
pub fn thickness_shares(probe: &Probe, side: f64) -> Vec<WallShare> {
    let thickness = |(corners, sample): &([P3; 3], Sample)| {
        (*corners, probe.wall_by_ball(sample).map(|b| 2.0 * b.radius))
    };
    probe.small_triangles(side).par_iter().map(thickness).collect()
}
