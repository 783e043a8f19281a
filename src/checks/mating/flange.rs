//! The joint with the gearbox: the register's fit, the spacing of the bolts, and their clearance in the holes.

use super::limits::own;
use super::{CheckResult, Facts, because, least, most, on_axis};
use crate::checks::{Checks, Limit, Unit, machined_fit};
use crate::design::{BoltHole, RegisterKind};
use crate::faces::{Feature, Role};
use crate::standards::limits_and_fits::Fit;
use crate::standards::pattern_trials::{Pattern, share_that_binds};
use crate::standards::position::{fixed_fastener, floating_fastener};
use crate::units::Mm;
use solidwright::geometry::P3;

/// Clearance of the register in the gearbox.
pub(super) fn play(f: &Facts<'_>) -> Result<Fit, String> {
    let mate = f.register()?;
    let register = f.design.gearbox_face().register();
    let own = register.diameter();
    let other = mate.diameter.unwrap_or(own);
    let [hole, shaft] = mate.fit.sides(own).map_err(because)?;
    let fit = Fit::between(hole, shaft);
    let more = if register.kind() == RegisterKind::Spigot { other - own } else { own - other };
    Ok(Fit { least_clearance: fit.least_clearance + more, greatest_clearance: fit.greatest_clearance + more })
}

/// The width of the register's tolerance of size.
fn register_tolerance(f: &Facts<'_>) -> Result<Mm, String> {
    let fit = machined_fit(f.design, Role::Register).ok_or("the register has no fit")?;
    Ok(fit.sizes[1] - fit.sizes[0])
}

/// The register can be inserted, and centres.
pub(super) fn register(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (fit, mate) = (play(f)?, f.register()?);
    let place = |checked: crate::checks::Measurement| {
        checked.at(on_axis(Mm::default()), [Feature::GearboxFace.face(Role::Register)])
    };
    let hint = "choose a looser fit for the register, or look at both diameters";
    let goes = least("clearance of the register", "least", fit.least_clearance.get(), Unit::Mm, hint);
    out.measurements.push(place(goes.fails_by(&f.limits.nothing)));
    let hint = "choose a closer fit, or look at both diameters: half of this play is lost from the line-up";
    let centres = most("clearance of the register", "greatest", fit.greatest_clearance.get(), Unit::Mm, hint);
    let line_up = &f.limits.line_up;
    let whole = Limit {
        value: 2.0 * line_up.value,
        source: format!("half of it is all that line-up allows ({})", line_up.source),
        given: line_up.given,
    };
    let half = own(line_up.value, "half of it is half of what line-up allows: common practice, no source");
    out.measurements.push(place(centres.fails_by(&whole).warns_too_by(&half)));
    let range = [fit.least_clearance, fit.greatest_clearance].map(Mm::get);
    out.driveline.between(
        "register",
        "clearance",
        range,
        Unit::Mm,
        format!("{}, {}", mate.fit, mate.fit.source()),
    );
    Ok(())
}

/// A bolt hole's position in the face, its number and its bolt's diameter; without a named bolt the hole's diameter
/// is used.
struct Bolt {
    number: usize,
    clock: f64,
    place: P3,
    diameter: Mm,
}

impl Bolt {
    fn new(index: usize, hole: &BoltHole) -> Self {
        let (y, z) = (hole.y().get(), hole.z().get());
        let diameter = hole.size().thread().map_or(hole.diameter(), |thread| thread.diameter);
        Self { number: index + 1, clock: y.atan2(z), place: P3::new(0.0, y, z), diameter }
    }
}

/// Spacing of the bolts around the shaft: on all sides of it, and near enough to each other to press the gasket
/// between them.
pub(super) fn spacing(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let mut bolts: Vec<Bolt> =
        f.design.gearbox_face().bolt_holes().iter().enumerate().map(|(i, hole)| Bolt::new(i, hole)).collect();
    bolts.sort_by(|a, b| a.clock.total_cmp(&b.clock));
    let next = |i: usize| &bolts[(i + 1) % bolts.len()];
    let gap = |i: usize| {
        let turn = (next(i).clock - bolts[i].clock).rem_euclid(std::f64::consts::TAU);
        if bolts.len() == 1 { 360.0 } else { turn.to_degrees() }
    };
    let apart =
        |i: usize| (next(i).place - bolts[i].place).norm() / bolts[i].diameter.max(next(i).diameter).get();
    let widest = |of: &dyn Fn(usize) -> f64| (0..bolts.len()).max_by(|a, b| of(*a).total_cmp(&of(*b)));
    let (open, far) = widest(&gap).zip(widest(&apart)).ok_or("the gearbox face has no bolt holes")?;
    let pair = |i: usize| format!("holes {} and {}", bolts[i].number, next(i).number);
    let hint = "take more bolts, spread around the shaft";
    let name = "angle between bolts of the gearbox face";
    let around =
        most(name, &pair(open), gap(open), Unit::Deg, hint).at([bolts[open].place, next(open).place], []);
    out.measurements.push(around.fails_by(&f.limits.bolt_gap).warns_too_by(&f.limits.bolt_gap_soft));
    let hint = "take more or larger bolts";
    let name = "spacing of bolts of the gearbox face";
    let what = format!("{}, diameters", pair(far));
    let near = most(name, &what, apart(far), Unit::One, hint).at([bolts[far].place, next(far).place], []);
    out.measurements.push(near.fails_by(&f.limits.bolt_pitch).warns_too_by(&f.limits.bolt_pitch_soft));
    Ok(())
}

/// Trials of the pattern; a share of 0.27 % shows to 14 parts in 100.
const TRIALS: u64 = 20_000;

/// Seed of the trials.
const SEED: u64 = 1;

/// Bolts through the flange into the gearbox: holes, tapped holes, and the register's play.
pub(super) fn bolts(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (play, t) = (play(f)?, f.tolerances()?);
    // Holes that refer to the register at its maximum material boundary may lie off it by all of its tolerance.
    let shift = if t.register_at_maximum { register_tolerance(f)? } else { Mm::default() };
    let mut rooms = Vec::new();
    for (i, hole) in f.design.gearbox_face().bolt_holes().iter().enumerate() {
        let Some(thread) = hole.size().thread() else { continue };
        // A bolt in a thread has one clearance for both holes; a floating bolt has one in each.
        let (room, source) = if t.through_bolts {
            (floating_fastener(hole.diameter(), thread.diameter) * 2.0, "floating fasteners")
        } else {
            (fixed_fastener(hole.diameter(), thread.diameter), "fixed fasteners")
        };
        rooms.push(room);
        let left = room - t.flange_holes - t.gearbox_holes - play.greatest_clearance - shift;
        let hint =
            "drill the flange's holes truer or larger; the register, not the bolts, centres the housing";
        let what = format!("hole {}, {}", i + 1, thread.name);
        let checked = least("room of bolts in their holes", &what, left.get(), Unit::Mm, hint);
        let limit = own(0.0, &format!("{source}: ASME Y14.5M-1994 appendix B through a tutorial, read"));
        let at = P3::new(0.0, hole.y().get(), hole.z().get());
        out.measurements
            .push(checked.fails_by(&limit).at([at], [Feature::GearboxFace.face(Role::BoltHole(i + 1))]));
    }
    if rooms.is_empty() {
        return Err("the flange's holes are given as diameters: name their bolts (`size: M10`)".to_owned());
    }
    let (count, zones) = (rooms.len(), [t.flange_holes, t.gearbox_holes]);
    let share =
        share_that_binds(&Pattern { rooms, zones, play: play.greatest_clearance + shift }, SEED, TRIALS);
    let note = format!("of {TRIALS} trials of all {count} at once, the register anywhere in its play");
    out.driveline.add(
        "bolts of the gearbox face",
        "share in which one binds",
        100.0 * share,
        Unit::Percent,
        note,
    );
    Ok(())
}
