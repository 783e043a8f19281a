//! Sections of the casting: thick places, changes of section, and the slenderness of cores.

use rayon::prelude::*;
use std::collections::BTreeMap;

use super::cast_metal::CastMetal;
use super::lumps::Lump;
use super::modulus::Modulus;
use super::{Checks, Limits, Measurement, Sense, Unit, Verdict, names};
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::Casting;
use crate::housing::Size;
use crate::standards::cored_holes::smallest_cored;
use crate::units::Mm;
use solidwright::geometry::P3;
use solidwright::probe::{Ball, Probe, Sample};

/// Number of places at which balls are fitted into the casting.
const SAMPLES: usize = 6_000;

/// Greatest number of hot spots of a feature.
const MOST: usize = 12;

/// Places face the same way if their normals differ by less than this, as a cosine: thirty degrees.
const ALIKE: f64 = 0.866;

/// A wall that gets thicker by half of its length or less is a taper of 4 to 1 on either side (design rules for castings,
/// from memory).
const TAPER: f64 = 0.5;

pub(super) fn check(
    design: &Design,
    casting: &Casting,
    metal: &CastMetal,
    limits: &Limits,
    out: &mut Checks,
) {
    let probe = &metal.probe;
    let wall = design.shell().thinnest().get();
    let samples = probe.samples(SAMPLES, 1);
    let balls: Vec<Option<Ball>> = samples.par_iter().map(|s| probe.ball(s)).collect();
    let mut judged = Judged { fed: design.casting().fed(), found: vec![], out };
    hot_spots((design, wall), metal, &balls, limits, &mut judged);
    section_changes(probe, &samples, &balls, limits, &mut judged);
    let found = judged.found;
    out.measurements.extend(one_finding_each(found));
    cored(design, casting, wall, limits, out);
}

/// A lump that several measures find is one finding: the one furthest beyond its limit; the others refer to it.
fn one_finding_each(mut found: Vec<(Feature, Measurement)>) -> impl Iterator<Item = Measurement> {
    found.sort_by(|a, b| super::order(&a.1, &b.1));
    let mut first: BTreeMap<Feature, &'static str> = BTreeMap::new();
    found.into_iter().map(move |(feature, mut made)| {
        if made.verdict() != Verdict::Pass {
            let told = *first.entry(feature).or_insert(made.check);
            made.same_as = (told != made.check).then_some(told);
        }
        made
    })
}

/// Thick places, but for those where a feeder or a chill is agreed: these are listed with their value, and no verdict.
struct Judged<'a> {
    fed: &'a [Feature],
    found: Vec<(Feature, Measurement)>,
    out: &'a mut Checks,
}

impl Judged<'_> {
    fn push(&mut self, feature: Feature, made: Measurement) {
        if made.verdict() == Verdict::Pass || !self.fed.contains(&feature) {
            self.found.push((feature, made));
            return;
        }
        let limit = made.deciding().map_or(0.0, |limit| limit.value);
        let because = format!(
            "a feeder or a chill is agreed for {feature} (`casting.fed`), where it is {:.1} and the limit {limit}",
            made.value
        );
        self.out.not(made.check, because);
    }
}

/// The largest ball of each feature, and the greatest modulus of its lumps or, where it has none, around its balls.
fn hot_spots(
    (design, wall): (&Design, f64),
    metal: &CastMetal,
    balls: &[Option<Ball>],
    limits: &Limits,
    out: &mut Judged,
) {
    let probe = &metal.probe;
    for (feature, spots) in spots(probe, balls) {
        let faces = |ball: &Ball| names(probe.brep(), ball.touches.map(|t| t.0));
        let hint = thick_hint(design, feature);
        let make =
            |check, value| Measurement::new(check, feature.name(), (value, Unit::One), Sense::AtMost, hint);
        let hot = make("hot spot, walls", 2.0 * spots[0].radius / wall);
        out.push(feature, hot.warns_or_fails_by(&limits.hot_spot).at([spots[0].center], faces(spots[0])));
        let lumps = metal.lumps.iter().filter(|lump| metal.feature(lump) == feature);
        let of_lump = |lump: &Lump| (metal.modulus(lump), lump.center, names(probe.brep(), [lump.face]));
        let of_ball = |ball: &&Ball| (metal.grid.of_lump(ball.center, ball.radius), ball.center, faces(ball));
        let heaviest =
            |found: Vec<(f64, P3, Vec<String>)>| found.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
        // The lumps are those of the feeding table, so that both tell one figure.
        let found = heaviest(lumps.map(of_lump).collect());
        let found = found.or_else(|| heaviest(spots.iter().map(of_ball).collect()));
        let Some((modulus, at, faces)) = found else { continue };
        // A plate's modulus is half its thickness.
        let heavy = make("heavy lump, modulus in walls", modulus / (0.5 * wall));
        out.push(feature, heavy.warns_or_fails_by(&limits.lump).at([at], faces));
    }
}

/// What cures a thick place: of a solid pad the key that makes it a plate on walls.
fn thick_hint(design: &Design, feature: Feature) -> &'static str {
    let solid = |hollow: Option<bool>| hollow == Some(false);
    match feature {
        Feature::ShiftBoxPad if solid(design.shift_box_pad().map(|p| p.hollow().is_some())) => {
            "make the pad a plate on walls (`shift_box_pad.hollow: {}`), or agree a feeder or chill there with the foundry"
        }
        Feature::MountPad if solid(design.mount_pad().map(|p| p.hollow().is_some())) => {
            "make the pad a plate on walls (`mount_pad.hollow: {}`), or agree a feeder or chill there with the foundry"
        }
        Feature::SecondMountPad if solid(design.second_mount_pad().map(|p| p.hollow().is_some())) => {
            "make the pad a plate on walls (`second_mount_pad.hollow: {}`), or agree a feeder or chill there with the foundry"
        }
        _ => "core the lump out, thin it, or agree a feeder or chill there with the foundry",
    }
}

/// The balls of each feature, none of which reaches into a larger one, largest first.
fn spots<'a>(probe: &'a Probe, balls: &'a [Option<Ball>]) -> BTreeMap<Feature, Vec<&'a Ball>> {
    // A lump beside the cavity is also found from its own side.
    let mut all: Vec<&Ball> =
        balls.iter().flatten().filter(|b| feature(probe, b) != Feature::Cavity).collect();
    all.sort_by(|a, b| b.radius.total_cmp(&a.radius));
    let mut kept: BTreeMap<Feature, Vec<&Ball>> = BTreeMap::new();
    for ball in all {
        let apart = |k: &&Ball| (k.center - ball.center).norm() > k.radius + ball.radius;
        if kept.values().flatten().all(apart) || !kept.contains_key(&feature(probe, ball)) {
            let of = kept.entry(feature(probe, ball)).or_default();
            if of.len() < MOST {
                of.push(ball);
            }
        }
    }
    kept
}

/// The feature on whose surface a ball was begun.
fn feature(probe: &Probe, ball: &Ball) -> Feature {
    Feature::of(&probe.brep().faces[ball.touches[0].0].tag)
}

/// Places where a wall becomes much thicker over a short distance, one for each thicker feature.
fn section_changes<'a>(
    probe: &Probe,
    samples: &'a [Sample],
    balls: &[Option<Ball>],
    limits: &Limits,
    out: &mut Judged,
) {
    let feature = |s: &Sample| Feature::of(&probe.brep().faces[s.face].tag);
    let walls: Vec<(&Sample, f64)> = samples
        .iter()
        .zip(balls)
        .filter(|(s, _)| feature(s) != Feature::Cavity)
        .filter_map(|(s, b)| b.filter(Ball::spans_wall).map(|b| (s, 2.0 * b.radius)))
        .collect();
    // Sorted by thickness, so the first one that is near enough is the result, and none beyond the own thickness can
    // be.
    let mut thickest = walls.clone();
    thickest.reverse();
    thickest.sort_by(|a, b| b.1.total_cmp(&a.1));
    let steepest = |(thin, t): &(&'a Sample, f64)| {
        let mut thicker = thickest.iter().take_while(|(_, d)| d > t);
        let near = thicker.find(|(thick, d)| {
            (thick.point - thin.point).norm_squared() * (TAPER * TAPER) < (d - t) * (d - t)
                && thick.outward.dot(&thin.outward) > ALIKE
        });
        near.map(|(thick, d)| (d / t, *thin, *thick))
    };
    let found: Vec<_> = walls.par_iter().filter_map(steepest).collect();
    let mut worst: BTreeMap<Feature, (f64, &Sample, &Sample)> = BTreeMap::new();
    for one in found {
        let entry = worst.entry(feature(one.2)).or_insert(one);
        if one.0 > entry.0 {
            *entry = one;
        }
    }
    let hint = "taper the thicker wall 4 to 1, thin it, or thicken the thinner one";
    for (thick, (ratio, a, b)) in worst {
        let thin = feature(a);
        let what = if thin == thick { thin.to_string() } else { format!("{thin} to {thick}") };
        out.push(
            thick,
            Measurement::new("change of section, ratio", what, (ratio, Unit::One), Sense::AtMost, hint)
                .warns_or_fails_by(&limits.section_change)
                .at([a.point, b.point], names(probe.brep(), [a.face, b.face])),
        );
    }
}

/// Cored bores and openings: wide enough for the wall, and not too slender.
fn cored(design: &Design, casting: &Casting, wall: f64, limits: &Limits, out: &mut Checks) {
    let mut one = |what: &str, width: f64, depth: f64| {
        let hint = "cast it solid (`casting.stock.cored_above`), make it wider or shorter";
        let make = |check, value, unit, sense| Measurement::new(check, what, (value, unit), sense, hint);
        let slender = make("cored hole, depth in widths", depth / width, Unit::One, Sense::AtMost);
        out.measurements.push(slender.warns_or_fails_by(&limits.cored_depth));
        let mut least = limits.cored_width.clone();
        least.value = if least.given { least.value } else { smallest_cored(wall) };
        let wide = make("cored hole, width", width, Unit::Mm, Sense::AtLeast);
        out.measurements.push(wide.warns_or_fails_by(&least));
    };
    let bores = casting
        .stock
        .iter()
        .filter(|r| matches!(r.finished, Size::Bore(_)) && Feature::of(&r.tag) == Feature::Tail);
    let narrowest = bores.filter_map(|r| r.casting).fold(f64::INFINITY, f64::min);
    if narrowest.is_finite() {
        let cavity = design.shell().cavity().last().map_or(0.0, |s| s.x.get());
        one("tail bores", narrowest, design.overall_length().get() - cavity);
    }
    if let Some((pad, opening)) = design.shift_box_pad().and_then(|p| Some((p, p.opening()?))) {
        let inside = design.shell().cavity_radius(pad.station()).map_or(0.0, Mm::get);
        let width = opening.length.get().min(opening.width.get());
        one("shift_box_pad opening", width, pad.height().get() - inside);
    }
}

/// The casting's surface in small triangles, with the ball there as a multiple of the wall.
pub fn hot_spot_map(probe: &Probe, wall: f64, side: f64) -> Vec<([P3; 3], Option<f64>)> {
    let of = |(corners, s): &([P3; 3], Sample)| (*corners, probe.ball(s).map(|b| 2.0 * b.radius / wall));
    probe.small_triangles(side).par_iter().map(of).collect()
}

/// The casting's surface in small triangles, with the modulus around each as a multiple of the wall's.
pub fn modulus_map(probe: &Probe, wall: f64, side: f64) -> Vec<([P3; 3], Option<f64>)> {
    let modulus = Modulus::new(probe.mesh());
    let of = |(corners, s): &([P3; 3], Sample)| {
        let about = modulus.about(s.point - s.outward * (0.5 * wall), 1.5 * wall);
        (*corners, about.map(|m| m / (0.5 * wall)))
    };
    probe.small_triangles(side).par_iter().map(of).collect()
}
