//! Line-up: from the gearbox's shaft over the register to bushing, seal, rail and sender, and the bolt pattern.

use super::limits::own;
use super::{Facts, Table, Told, because, least, most, on_axis};
use crate::checks::{Checks, Limit, Sense, Unit};
use crate::design::{RegisterKind, Tolerances};
use crate::geometry::P3;
use crate::standards::limits_and_fits::Fit;
use crate::standards::position::{fixed_fastener, floating_fastener};
use crate::standards::stack::{Dimension, Stack};
use crate::standards::stack_trials::{Trials, run};
use crate::units::Mm;

/// Trials of each chain; a reject rate of 0.27 % shows to 6 parts in 100.
const TRIALS: u64 = 100_000;

/// Any number; another gives other trials.
const SEED: u64 = 1;

/// Clearance of the register in the gearbox.
fn play(f: &Facts<'_>) -> Result<Fit, String> {
    let mate = f.register()?;
    let register = f.design.gearbox_face().register();
    let own = register.diameter();
    let other = mate.diameter.unwrap_or(own);
    let [hole, shaft] = mate.fit.sides(own).map_err(because)?;
    let fit = Fit::between(hole, shaft);
    let more = if register.kind() == RegisterKind::Spigot { other - own } else { own - other };
    Ok(Fit { least_clearance: fit.least_clearance + more, greatest_clearance: fit.greatest_clearance + more })
}

/// The register goes in, and centres.
pub(super) fn register(f: &Facts<'_>, out: &mut Checks) -> Told {
    let (fit, mate) = (play(f)?, f.register()?);
    let place = |checked: crate::checks::Checked| {
        checked.at(on_axis(Mm::default()), ["gearbox_face/register".to_owned()])
    };
    let hint = "choose a looser fit for the register";
    let goes = least("clearance of the register", "least", fit.least_clearance.get(), Unit::Mm, hint);
    out.checked.push(place(goes.fails_by(&f.limits.nothing)));
    let hint = "choose a closer fit: half of this play is lost from the line-up";
    let centres = most("clearance of the register", "greatest", fit.greatest_clearance.get(), Unit::Mm, hint);
    let limit = Limit { value: 2.0 * f.limits.line_up.value, ..f.limits.line_up.clone() };
    out.checked.push(place(centres.warns_by(&limit)));
    let range = [fit.least_clearance, fit.greatest_clearance].map(Mm::get);
    out.sums.between(
        "register",
        "clearance",
        range,
        Unit::Mm,
        format!("{}, {}", mate.fit, mate.fit.source()),
    );
    Ok(())
}

/// From the gearbox's shaft to the register's axis.
fn to_register(play: &Fit, t: &Tolerances) -> Vec<Dimension> {
    vec![
        Dimension::coaxiality("gearbox's bore about its shaft", t.gearbox_bore),
        Dimension::float("register in the gearbox", play.greatest_clearance.max(Mm::default())),
    ]
}

/// Errors of line-up of all bores, in one direction: worst case, root sum of squares, trials, shares.
pub(super) fn bores(f: &Facts<'_>, out: &mut Checks) -> Told {
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
                vec![Dimension::coaxiality("rail's bore about its true place", t.rail_bore)],
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
        one(f, what, chain, place, out)?;
    }
    Ok(())
}

fn one(f: &Facts<'_>, what: &'static str, chain: Vec<Dimension>, place: [P3; 1], out: &mut Checks) -> Told {
    let stack = Stack::new(chain).map_err(because)?;
    let limit = &f.limits.line_up;
    let hint = "bore at one setting, choose a closer register, or measure and dowel the housing";
    for (how, value, fails) in
        [("worst case", stack.worst_case(), false), ("root sum of squares", stack.root_sum_square(), true)]
    {
        let checked =
            most("line-up with the gearbox's shaft", &format!("{what}, {how}"), value.get(), Unit::Mm, hint);
        let checked = if fails { checked.fails_by(limit) } else { checked.warns_by(limit) };
        out.checked.push(checked.at(place, []));
    }
    let good = Mm::new(limit.value);
    let outcome = run(&stack, &Trials { seed: SEED, count: TRIALS, good: [-good, good] }).map_err(because)?;
    let [below, above] = outcome.rejected;
    let note = format!("of {TRIALS} trials beyond {:.3} mm, in one direction", limit.value);
    out.sums.add(
        "line-up",
        &format!("{what}: share out of line"),
        100.0 * (below + above),
        Unit::Percent,
        note,
    );
    let note = "of the trials";
    out.sums.add(
        "line-up",
        &format!("{what}: three standard deviations"),
        3.0 * outcome.deviation.get(),
        Unit::Mm,
        note,
    );
    let row = |c: crate::standards::stack::Contribution| {
        (c.name, vec![100.0 * c.of_worst_case, 100.0 * c.of_variance])
    };
    out.sums.tables.push(Table {
        subject: "line-up",
        title: format!("{what}: what moves it"),
        columns: vec![("of the worst case", Unit::Percent), ("of the variance", Unit::Percent)],
        rows: stack.contributions().into_iter().map(row).collect(),
    });
    Ok(())
}

/// Bolts through the flange into the gearbox: holes, tapped holes, and the register's play.
pub(super) fn bolts(f: &Facts<'_>, out: &mut Checks) -> Told {
    let (play, t) = (play(f)?, f.tolerances()?);
    let mut named = 0;
    for (i, hole) in f.design.gearbox_face().bolt_holes().iter().enumerate() {
        let Some(thread) = hole.size().thread() else { continue };
        named += 1;
        // A bolt in a thread shares one clearance with both holes; a bolt that floats has one in each.
        let (room, source) = if t.through_bolts {
            (floating_fastener(hole.diameter(), thread.diameter) * 2.0, "floating fasteners")
        } else {
            (fixed_fastener(hole.diameter(), thread.diameter), "fixed fasteners")
        };
        let left = room - t.flange_holes - t.gearbox_holes - play.greatest_clearance;
        let hint =
            "drill the flange's holes truer or larger; the register, not the bolts, centres the housing";
        let what = format!("hole {}, {}", i + 1, thread.name);
        let checked = super::Checked::new(
            "room of bolts in their holes",
            what,
            (left.get(), Unit::Mm),
            Sense::AtLeast,
            hint,
        );
        let limit = own(0.0, &format!("{source}: ASME Y14.5M-1994 appendix B through a tutorial, read"));
        let at = P3::new(0.0, hole.y().get(), hole.z().get());
        out.checked.push(checked.fails_by(&limit).at([at], [format!("gearbox_face/bolt hole {}", i + 1)]));
    }
    if named == 0 {
        return Err("the flange's holes are given as diameters: name their bolts (`size: M10`)".to_owned());
    }
    Ok(())
}
