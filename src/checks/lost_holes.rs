//! Holes of which other cuts leave no wall: a bolt hole that the rail's bore takes away holds no bolt.

use std::collections::BTreeMap;

use super::{Checks, Limit, Measurement, Sense, Unit};
use crate::faces::{Feature, Role};
use crate::housing::{Bore, Housing};
use solidwright::geometry::{Frame, P3};
use solidwright::solid::{Op, Primitive, Step, Tag};

/// Distance of the places along a hole at which is asked what took its wall, mm, and their number around it.
const APART: f64 = 0.5;
const AROUND: u32 = 16;

pub(super) fn check(housing: &Housing, out: &mut Checks) {
    let walls = &housing.solid.brep().faces;
    let gone = housing.bores.iter().filter(|bore| !walls.iter().any(|face| face.tag == bore.tag));
    let lost: Vec<Lost> = gone.map(|bore| Lost::of(bore, housing)).filter(|lost| !lost.is_told()).collect();
    if lost.is_empty() {
        out.measurements.push(measurement("all holes", 0.0));
    }
    for lost in lost {
        let what = match &lost.by {
            Some(by) => format!("{}, taken by {by}", lost.bore.tag),
            None => lost.bore.tag.to_string(),
        };
        let faces = std::iter::once(&lost.bore.tag).chain(&lost.by).map(ToString::to_string);
        out.measurements.push(measurement(&what, 1.0).at([lost.at], faces));
    }
}

fn measurement(what: &str, count: f64) -> Measurement {
    let source = "a screw, a dowel or a plug holds in the metal around its hole".to_owned();
    let hint = "move the hole, or what cuts through it, until metal stands around it";
    Measurement::new("holes without a wall", what, (count, Unit::Count), Sense::AtMost, hint)
        .fails_by(&Limit { value: 0.0, source, given: false })
}

/// A hole without a wall.
struct Lost<'a> {
    bore: &'a Bore,
    /// A wall of the cut that took most of it; `None` where there was no metal from the beginning.
    by: Option<Tag>,
    /// Middle of what was taken, on the hole's axis.
    at: P3,
}

impl<'a> Lost<'a> {
    fn of(bore: &'a Bore, housing: &Housing) -> Self {
        let steps = housing.solid.tree().steps();
        let cuts = |step: &&Step| matches!(step.op, Op::Cut | Op::Trim);
        let is_own = |p: &Primitive| p.patches().iter().any(|patch| patch.tag == bore.tag);
        let own = steps.iter().filter(cuts).find(|step| is_own(&step.primitive));
        // Holes may lead into the cavity: what that takes is no part of their walls.
        let hollow = |s: &Step| cuts(&s) && Feature::of_body(&s.primitive) == Feature::Cavity;
        let metal = |p: P3| {
            let about = || steps.iter().filter(|s| s.primitive.contains(p));
            about().any(|s| matches!(s.op, Op::Add | Op::Restore)) && !about().any(hollow)
        };
        let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
        let mut heights = (f64::INFINITY, f64::NEG_INFINITY);
        for p in own.map(|own| around(bore, &own.primitive)).unwrap_or_default() {
            let by = steps
                .iter()
                .enumerate()
                .find(|(_, s)| cuts(s) && !is_own(&s.primitive) && s.primitive.contains(p));
            let Some((k, _)) = by.filter(|_| metal(p)) else { continue };
            *taken.entry(k).or_default() += 1;
            let height = (p - bore.point).dot(&bore.axis);
            heights = (heights.0.min(height), heights.1.max(height));
        }
        // Of cuts that take as much, the first.
        let most = taken.into_iter().max_by_key(|&(step, count)| (count, usize::MAX - step));
        let Some((step, _)) = most else { return Self { bore, by: None, at: bore.point } };
        let at = bore.point + bore.axis * f64::midpoint(heights.0, heights.1);
        Self { bore, by: wall_of(&steps[step].primitive, housing), at }
    }

    /// Whether a rule tells of it: a pad that stands over a plug.
    fn is_told(&self) -> bool {
        let opening = |tag: &Tag| Role::of(tag).is_opening() || Role::of(tag).is_hollow();
        matches!(Role::of(&self.bore.tag), Role::PlugHole(_)) && self.by.as_ref().is_some_and(opening)
    }
}

/// The wall by which a cut is told: that of a bore, else that of an opening, else the first.
fn wall_of(cut: &Primitive, housing: &Housing) -> Option<Tag> {
    let tags = || cut.patches().iter().map(|patch| &patch.tag);
    let bore = tags().find(|tag| housing.bores.iter().any(|bore| bore.tag == **tag));
    let opening = || tags().find(|tag| Role::of(tag).is_opening() && Feature::of(tag) != Feature::Cavity);
    bore.or_else(opening).or_else(|| tags().next()).cloned()
}

/// Places around a hole, as far as its cutter reaches.
fn around(bore: &Bore, cutter: &Primitive) -> Vec<P3> {
    let Frame { x, y, .. } = Frame::from_z(bore.point, bore.axis);
    let bounds = cutter.bounds();
    let reach = (bounds.max - bounds.min).norm();
    let count = (reach / APART).ceil();
    let heights = (0..=(2.0 * count) as u32).map(|k| f64::from(k) * APART - reach);
    let on_axis = heights.map(|h| bore.point + bore.axis * h).filter(|p| cutter.contains(*p));
    let turns = (0..AROUND).map(|k| std::f64::consts::TAU * f64::from(k) / f64::from(AROUND));
    on_axis
        .flat_map(|p| turns.clone().map(move |turn| p + (x * turn.cos() + y * turn.sin()) * bore.radius))
        .collect()
}
