//! Metal of the finished part that its casting lacks: how much, whose it is, and what is in its way.

use std::collections::BTreeMap;

use solidwright::geometry::{P3, V3};
use solidwright::solid::{Op, Primitive, SolidTree};
use tailpattern::housing::Housing;

use crate::drawn_housing::Random;

/// Points at which a finished part is held against its casting.
const POINTS: f64 = 200_000.0;

/// What of the metal has one cause.
pub(crate) struct Cause {
    pub(crate) what: String,
    pub(crate) points: usize,
    /// One of the points.
    pub(crate) at: P3,
}

/// Metal of the finished part that its casting lacks, from points spread over the part's box.
pub(crate) struct Outside {
    /// mm³.
    pub(crate) volume: f64,
    /// One standard error of it; with no point found, what one in twenty parts would still hide.
    pub(crate) error: f64,
    /// The most frequent first.
    pub(crate) causes: Vec<Cause>,
}

/// One point anywhere in each cell of an even grid over the finished part's box.
pub(crate) fn outside(seed: u64, finished: &Housing, casting: &SolidTree) -> Outside {
    let bounds = finished.solid.brep().bounds();
    let size = bounds.max - bounds.min;
    let cell = (size.x * size.y * size.z / POINTS).cbrt();
    let counts = [size.x, size.y, size.z].map(|s| (s / cell).ceil().max(1.0));
    let steps = V3::new(size.x / counts[0], size.y / counts[1], size.z / counts[2]);
    let mut random = Random::new(seed);
    let mut found = 0_usize;
    let mut causes: BTreeMap<String, (usize, P3)> = BTreeMap::new();
    for i in 0..counts[0] as usize {
        for j in 0..counts[1] as usize {
            for k in 0..counts[2] as usize {
                let mut at = |index: usize| index as f64 + random.unit();
                let p = P3::new(at(i) * steps.x, at(j) * steps.y, at(k) * steps.z) + bounds.min.coords;
                if finished.solid.tree().contains(p) && !casting.contains(p) {
                    found += 1;
                    causes.entry(cause(finished, casting, p)).or_insert((0, p)).0 += 1;
                }
            }
        }
    }
    let each = steps.x * steps.y * steps.z;
    let volume = found as f64 * each;
    let error = if found == 0 { 3.0 * each } else { (found as f64).sqrt() * each };
    let mut causes: Vec<Cause> =
        causes.into_iter().map(|(what, (points, at))| Cause { what, points, at }).collect();
    causes.sort_by_key(|c| std::cmp::Reverse(c.points));
    Outside { volume, error, causes }
}

/// Whose metal it is, and whether a core takes it or no body of the casting has it.
fn cause(finished: &Housing, casting: &SolidTree, p: P3) -> String {
    let body = finished.bodies.iter().find(|b| b.contains(p));
    let whose =
        body.map_or_else(|| format!("fillet of {}", nearest(finished, p)), |b| b.feature().to_owned());
    let taken = casting.steps().iter().rev().find(|s| s.primitive.contains(p));
    let why = match taken {
        None => "in no body of the casting".to_owned(),
        Some(step) => {
            let role = step.primitive.patches().first().map_or("", |f| &f.tag.role);
            format!("{} by {} ({role})", verb(step.op), step.primitive.feature())
        }
    };
    format!("{whose}: {why}")
}

fn verb(op: Op) -> &'static str {
    match op {
        Op::Cut => "cored",
        Op::Trim => "trimmed",
        _ => "not kept",
    }
}

/// The two features whose walls are nearest.
fn nearest(finished: &Housing, p: P3) -> String {
    let off = |b: &Primitive| {
        let walls = b.patches().iter().filter(|w| w.bounds.grown(1.0).contains(p));
        walls.map(|w| w.surface.f(p).abs()).fold(f64::INFINITY, f64::min)
    };
    let mut by: BTreeMap<&str, f64> = BTreeMap::new();
    for b in &finished.bodies {
        let known = by.entry(b.feature()).or_insert(f64::INFINITY);
        *known = known.min(off(b));
    }
    let mut sorted: Vec<_> = by.into_iter().collect();
    sorted.sort_by(|a, b| a.1.total_cmp(&b.1));
    sorted.iter().take(2).map(|(name, _)| *name).collect::<Vec<_>>().join(" and ")
}
