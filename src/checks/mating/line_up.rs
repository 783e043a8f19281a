//! Line-up: from the gearbox's shaft over the register to bushing, seal, rail and sender.

use super::flange::play;
use super::{CheckResult, Facts, Table, because, machined_fit, most, on_axis};
use crate::checks::{Checks, Unit};
use crate::design::{Design, RegisterKind, Tolerances};
use crate::faces::Role;
use crate::standards::limits_and_fits::Fit;
use crate::standards::stack::{Dimension, Stack};
use crate::standards::stack_trials::{Trials, run};
use crate::units::Mm;
use solidwright::geometry::P3;

/// Trials of each chain; a reject rate of 0.27 % shows to 6 parts in 100.
const TRIALS: u64 = 100_000;

/// Seed of the trials.
const SEED: u64 = 1;

/// From the gearbox's shaft to the register's axis.
fn to_register(play: &Fit, t: &Tolerances) -> Vec<Dimension> {
    vec![
        Dimension::coaxiality("gearbox's bore about its shaft", t.gearbox_bore),
        Dimension::float("register in the gearbox", play.greatest_clearance.max(Mm::default())),
    ]
}

/// What faces out of square do to a bore at a distance from the gearbox face: each tilts the housing by its zone over the
/// width of the face, either way.
fn tilts(f: &Facts<'_>, t: &Tolerances, station: Mm) -> [Dimension; 2] {
    let face = f.design.gearbox_face();
    let bolts = face.bolt_holes().iter().map(|hole| Mm::new(2.0 * hole.y().get().hypot(hole.z().get())));
    let width = bolts.fold(face.flange_diameter(), Mm::max);
    let lever = station.get().abs() / width.get();
    [
        ("housing's face out of square", t.face_squareness),
        ("gearbox's face out of square", t.gearbox_squareness),
    ]
    .map(|(name, zone)| Dimension::between(name, lever, [-zone, zone]))
}

/// Errors of line-up of all bores, in one direction: worst case, root sum of squares, trials, shares.
pub(super) fn bores(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (play, t) = (play(f)?, f.tolerances()?);
    let seat = || Dimension::coaxiality("bushing's seat about the register", t.bushing_seat);
    let bushing = f.design.tail().bushing();
    let rail = f.design.rail_tube();
    let boss = f.design.sender_boss();
    let chains = [
        Some((
            "bushing",
            vec![seat(), Dimension::coaxiality("bushing's bore", t.bushing_wall)],
            on_axis(bushing.rear()),
        )),
        Some((
            "seal",
            vec![seat(), Dimension::coaxiality("counterbore about the seat", t.seal_bore)],
            on_axis(bushing.rear()),
        )),
        rail.map(|rail| {
            let place = P3::new(rail.bore_from().get(), rail.y().get(), rail.z().get());
            (
                "shift rail",
                vec![
                    Dimension::coaxiality("rail's bore about its true place", t.rail_bore),
                    Dimension::coaxiality("rail's bore out of parallel", t.rail_parallelism),
                ],
                [place],
            )
        }),
        boss.map(|boss| {
            let chain = vec![Dimension::coaxiality("sender's bore about its true place", t.sender_bore)];
            ("sender", chain, on_axis(boss.station()))
        }),
    ];
    for (what, own_part, place) in chains.into_iter().flatten() {
        let mut chain = to_register(&play, t);
        chain.extend(own_part);
        chain.extend(tilts(f, t, Mm::new(place[0].x)));
        one(f, what, chain, place, out)?;
    }
    Ok(())
}

/// A bore as measured: by how much its axis lies off the register's, square to the gearbox face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredBore {
    /// Where it was measured, from the gearbox face.
    pub station: Mm,
    /// Least and greatest offset, by the uncertainty of measuring.
    pub offset: [Mm; 2],
    /// Whether a bushing in it adds its own error.
    pub has_bushing: bool,
}

/// The greatest clearance of the register in its gearbox, with the register's measured diameter where that is known.
///
/// # Errors
/// The key that is missing.
pub fn measured_play(design: &Design, register: Option<Mm>) -> Result<Mm, String> {
    let play = play(&Facts::of(design))?.greatest_clearance;
    let Some((found, fit)) = register.zip(machined_fit(design, Role::Register)) else { return Ok(play) };
    let [least, greatest] = fit.sizes;
    let closer = match design.gearbox_face().register().kind() {
        RegisterKind::Spigot => found - least,
        RegisterKind::Recess => greatest - found,
    };
    Ok(play - closer)
}

/// The chain of line-up with what was measured of the housing in the place of its tolerances: what is left are the gearbox, the
/// play of the register and the bushing. The squareness of the housing's face is in the measured offset.
///
/// # Errors
/// The key that is missing.
pub fn measured_line_up(design: &Design, register: Option<Mm>, bore: MeasuredBore) -> Result<Stack, String> {
    let f = Facts::of(design);
    let (play, t) = (measured_play(design, register)?, f.tolerances()?);
    let [_, gearbox] = tilts(&f, t, bore.station);
    let mut chain = vec![
        Dimension::between("bore as measured", 1.0, bore.offset),
        Dimension::coaxiality("gearbox's bore about its shaft", t.gearbox_bore),
        Dimension::float("register in the gearbox", play.max(Mm::default())),
        gearbox,
    ];
    if bore.has_bushing {
        chain.push(Dimension::coaxiality("bushing's bore", t.bushing_wall));
    }
    Stack::new(chain).map_err(because)
}

fn one(
    f: &Facts<'_>,
    what: &'static str,
    chain: Vec<Dimension>,
    place: [P3; 1],
    out: &mut Checks,
) -> CheckResult {
    let stack = Stack::new(chain).map_err(because)?;
    let limit = &f.limits.line_up;
    let hint = "bore at one setting, choose a closer register, or measure and dowel the housing";
    for (how, value, fails) in
        [("worst case", stack.worst_case(), false), ("root sum of squares", stack.root_sum_square(), true)]
    {
        let checked =
            most("line-up with the gearbox's shaft", &format!("{what}, {how}"), value.get(), Unit::Mm, hint);
        let checked = if fails { checked.fails_by(limit) } else { checked.warns_by(limit) };
        out.measurements.push(checked.at(place, []));
    }
    let good = Mm::new(limit.value);
    let outcome = run(&stack, &Trials { seed: SEED, count: TRIALS, good: [-good, good] }).map_err(because)?;
    let [below, above] = outcome.rejected;
    let note =
        format!("of {TRIALS} trials beyond {}, in one direction", f.design.units().to_places(limit.value, 3));
    out.driveline.add(
        "line-up",
        &format!("{what}: share out of line"),
        100.0 * (below + above),
        Unit::Percent,
        note,
    );
    let note = "of the trials";
    out.driveline.add(
        "line-up",
        &format!("{what}: three standard deviations"),
        3.0 * outcome.deviation.get(),
        Unit::Mm,
        note,
    );
    let row = |c: crate::standards::stack::Contribution| {
        (c.name, vec![100.0 * c.of_worst_case, 100.0 * c.of_variance])
    };
    out.driveline.tables.push(Table {
        subject: "line-up",
        title: format!("{what}: what moves it"),
        columns: vec![("of the worst case", Unit::Percent), ("of the variance", Unit::Percent)],
        rows: stack.contributions().into_iter().map(row).collect(),
    });
    Ok(())
}
