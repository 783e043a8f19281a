//! The speedometer: its error, better pairs of gears, and whether the gears mesh in the boss and fit on the shaft.

use super::limits::own;
use super::{CheckResult, Facts, Table, because, least, most, need};
use crate::checks::{Checks, Measurement, Unit};
use crate::design::{Instrument, SenderKind};
use crate::standards::crossed_helical::CrossedPair;
use crate::standards::speedometer::{
    Drive, KM_PER_MILE, PerMile, frequency, legal_band, pulses_per_mile, wheel_pulses_per_mile,
};
use crate::units::{Deg, Mm};
use solidwright::geometry::P3;

const LAW: &str = "UN Regulation 39, 5.3, read: at most a tenth and 4 km/h too much";

/// Pressure angle of the gears square to their teeth: that of common gears.
const PRESSURE: Deg = Deg::new(20.0);

/// Pairs of teeth in the table.
const FEW: usize = 8;

/// Number of drive gears on either side of the chosen one that are tried.
const ABOUT: u32 = 2;

/// The instrument's constant: turns of its cable, or pulses by those of one turn.
fn constant(f: &Facts<'_>, per_turn: Option<u32>) -> Result<PerMile, String> {
    let instrument = f.instrument()?;
    let turns = instrument.turns_per_mile.map(PerMile::miles);
    let turns = turns.or(instrument.turns_per_km.map(PerMile::kilometres));
    let pulses = pulses_wanted(instrument).zip(per_turn).map(|(p, n)| PerMile::miles(p / f64::from(n)));
    need(turns.or(pulses), "vehicle.instrument.turns_per_mile")
}

/// Pulses per mile that an electric instrument needs.
fn pulses_wanted(instrument: &Instrument) -> Option<f64> {
    instrument.pulses_per_mile.or(instrument.pulses_per_km.map(|pulses| pulses * KM_PER_MILE))
}

fn drive(f: &Facts<'_>) -> Result<Drive, String> {
    let per_turn = f.speedometer()?.pulses_per_turn;
    Drive::new(f.axle()?.ratio, f.tyre()?, constant(f, per_turn)?).map_err(because)
}

/// Compares the excess of a speedometer's reading, percent, with the legal limit.
fn shown(f: &Facts<'_>, what: &str, percent: f64, hint: &'static str, out: &mut Checks) {
    let name = "speedometer shows too much by";
    out.measurements
        .push(at_boss(f, least(name, what, percent, Unit::Percent, hint).fails_by(&f.limits.reads_low)));
    // The narrowest of the band from 40 to 120 km/h.
    let most_percent = 100.0 * (legal_band(120.0)[1] / 120.0 - 1.0);
    out.measurements
        .push(at_boss(f, most(name, what, percent, Unit::Percent, hint).fails_by(&own(most_percent, LAW))));
}

fn at_boss(f: &Facts<'_>, checked: Measurement) -> Measurement {
    match f.design.sender_boss() {
        Some(boss) => {
            let (sin, cos) = boss.clock().sin_cos();
            let e = boss.side_offset().get();
            checked.at([P3::new(boss.station().get(), e * cos, -e * sin)], ["sender_boss/bore".to_owned()])
        }
        None => checked,
    }
}

/// Whether the part needs neither these gears nor this wheel, because its sender is of the other kind.
fn other_way(f: &Facts<'_>, kind: SenderKind) -> bool {
    f.design.sender_boss().is_some_and(|boss| boss.kind() != kind)
}

fn without_gears(f: &Facts<'_>) -> bool {
    f.mating.speedometer.is_none() && other_way(f, SenderKind::Gear)
}

/// The speedometer's error, and the pairs of whole tooth numbers near the right ratio.
pub(super) fn ratio(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    if without_gears(f) {
        return Ok(());
    }
    let (drive, gears) = (drive(f)?, f.speedometer()?);
    let pair = drive.pair(gears.drive_teeth, gears.driven_teeth);
    let percent = 100.0 * pair.error;
    let what = format!("{} and {} teeth", gears.drive_teeth, gears.driven_teeth);
    let hint = "choose another pair: `--sums` lists those near the right ratio";
    shown(f, &what, percent, hint, out);
    let driven = [(gears.driven_teeth / 2).max(1), (gears.driven_teeth * 2).min(200)];
    let first = [gears.drive_teeth.saturating_sub(ABOUT).max(1), gears.drive_teeth + ABOUT];
    let near = drive.pairs(first, driven, FEW).map_err(because)?;
    let instrument = f.instrument()?;
    let own_pair = instrument.own_drive_teeth.zip(instrument.own_driven_teeth);
    let named = [
        Some(("this one", (gears.drive_teeth, gears.driven_teeth))),
        own_pair.map(|p| ("the vehicle's own", p)),
    ];
    let named = named.into_iter().flatten().map(|(name, (a, b))| (name, drive.pair(a, b)));
    let rows = named.chain(near.into_iter().map(|pair| ("near", pair)));
    let row = |(name, pair): (&str, crate::standards::speedometer::Pair)| {
        let values =
            vec![f64::from(pair.drive), f64::from(pair.driven), pair.constant.get(), 100.0 * pair.error];
        (name.to_owned(), values)
    };
    let driveline = &mut out.driveline;
    driveline.add("speedometer", "driven over drive teeth", drive.ratio(), Unit::One, "that would be right");
    driveline.add(
        "speedometer",
        "turns of the output shaft on a mile",
        drive.shaft_per_mile(),
        Unit::One,
        "axle times tyre",
    );
    let wanted = drive.driven_wanted(gears.drive_teeth);
    driveline.add(
        "speedometer",
        "driven teeth",
        wanted,
        Unit::One,
        format!("right for {} drive teeth", gears.drive_teeth),
    );
    driveline.leading();
    driveline.tables.push(Table {
        subject: "speedometer",
        title: "pairs of gears near the right ratio; too little (below zero) is not legal".to_owned(),
        columns: vec![
            ("drive teeth", Unit::Count),
            ("driven teeth", Unit::Count),
            ("turns on a mile", Unit::One),
            ("shows too much", Unit::Percent),
        ],
        rows: rows.map(row).collect(),
    });
    Ok(())
}

fn pair(f: &Facts<'_>) -> Result<CrossedPair, String> {
    let gears = f.speedometer()?;
    gears.pair().ok_or_else(|| {
        "`mating.speedometer` does not tell module, drive_helix, driven_helix, drive_hand and driven_hand"
            .to_owned()
    })
}

/// Share of the module by which gears may be further apart: a working depth of seven eighths is left (practice).
const SHALLOW: f64 = 0.25;

/// The placed boss compared with the pair's centre distance and shaft angle, and the gears' path through the bore.
pub(super) fn mesh(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    if without_gears(f) {
        return Ok(());
    }
    let gears = f.speedometer()?;
    let pair = pair(f)?;
    pair_sums(&pair, out);
    let boss = f.design.sender_boss().ok_or("the part has no sender boss: `sender_boss`")?;
    let module = need(gears.module, "mating.speedometer.module")?;
    let off = boss.side_offset().abs() - pair.centre_distance();
    let error = f.tolerances()?.sender_bore / 2.0;
    let play = CrossedPair::play(gears.backlash.unwrap_or(module * 0.1), PRESSURE);
    off_centre_distance(f, off, error, (play, module), out);
    let hand = need(gears.drive_hand, "mating.speedometer.drive_hand")?;
    let lean = pair.lean(hand, boss.side_offset().get() >= 0.0) - boss.tilt();
    let hint = "set `tilt` to 90 degrees less the shaft angle, or look at the gears' hands";
    let angle =
        most("sender boss off the gears' shaft angle", "by its tilt", lean.abs().get(), Unit::Deg, hint);
    out.measurements.push(at_boss(f, angle.fails_by(&f.limits.lean)));
    if let Some(bore) = boss.bore_steps().last() {
        let [_, driven] = pair.outside_diameters();
        let hint = "widen the boss's inner bore, or take a smaller driven gear";
        let through = (bore.diameter - driven).get();
        let room = least("driven gear through the boss", "in its bore", through, Unit::Mm, hint);
        out.measurements.push(at_boss(f, room.fails_by(&f.limits.nothing)));
    }
    Ok(())
}

/// Figures of the gears' sizes.
fn pair_sums(pair: &CrossedPair, out: &mut Checks) {
    let [drive, driven] = pair.outside_diameters();
    let angle = (pair.shaft_angle().get(), Unit::Deg);
    let mm = |x: Mm| (x.get(), Unit::Mm);
    let lines = [
        ("centre distance of the gears", mm(pair.centre_distance()), "half the sum of pitch diameters"),
        ("shaft angle of the gears", angle, "by helix angles and hands"),
        ("outside of the drive gear", mm(drive), "no shift of profile"),
        ("outside of the driven gear", mm(driven), "no shift of profile"),
        (
            "centre distance for one driven tooth more",
            mm(pair.step_of_driven_tooth()),
            "an eccentric sleeve takes it up",
        ),
    ];
    for (number, (what, (value, unit), by)) in lines.into_iter().enumerate() {
        out.driveline.add("speedometer", what, value, unit, by);
        if number == 0 {
            out.driveline.leading();
        }
    }
}

/// Deviation of the gears' axes from their centre distance, with the sender's bore in the worst case on either side:
/// too near uses up the backlash, too far leaves too little working depth.
fn off_centre_distance(f: &Facts<'_>, off: Mm, error: Mm, (play, module): (Mm, Mm), out: &mut Checks) {
    let hint =
        "set `side_offset` to the gears' centre distance, or let them place the boss (`placed_by: gears`)";
    let name = "gears' axes off their centre distance";
    let near = least(name, "too near, sender's bore at its worst", (off - error).get(), Unit::Mm, hint);
    let limit = own(-play.get(), "backlash is used up: j / (2 sin 20 deg), textbook");
    out.measurements.push(at_boss(f, near.fails_by(&limit)));
    let far = most(name, "too far, sender's bore at its worst", (off + error).get(), Unit::Mm, hint);
    let limit = own(SHALLOW * module.get(), "a quarter of the module, common practice, no source");
    out.measurements.push(at_boss(f, far.fails_by(&limit)));
}

/// The drive gear between its snap rings, and under the driven gear.
pub(super) fn room(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    if without_gears(f) {
        return Ok(());
    }
    let gears = f.speedometer()?;
    let width = need(gears.drive_width, "mating.speedometer.drive_width")?;
    let boss = f.design.sender_boss();
    match gears.drive_from.zip(boss) {
        Some((from, boss)) => {
            let over = (boss.station() - from).min(from + width - boss.station());
            let hint = "move the drive gear or the boss, so that the gear's middle lies under the boss";
            let cover = least(
                "drive gear under the driven gear",
                "beyond the boss's axis",
                over.get(),
                Unit::Mm,
                hint,
            );
            let pitch = pair(f).map_or(Mm::default(), |pair| pair.axial_pitch());
            let limit = own(
                pitch.get().max(0.0) / 2.0,
                "half an axial pitch, so that a tooth is always in mesh: geometry",
            );
            out.measurements.push(at_boss(f, cover.fails_by(&limit)));
        }
        None => out.not(
            "drive gear under the driven gear",
            "`mating.speedometer.drive_from` or `sender_boss` is not given",
        ),
    }
    let (room, rings) = (
        need(gears.shaft_room, "mating.speedometer.shaft_room")?,
        need(gears.snap_rings, "mating.speedometer.snap_rings")?,
    );
    let play = room - width - rings;
    let hint = "take a narrower gear, or move a ring's groove";
    let fits = least("end play of the drive gear", "between its snap rings", play.get(), Unit::Mm, hint);
    out.measurements.push(at_boss(f, fits.fails_by(&f.limits.nothing)));
    let hint = "take a wider gear, or shim it";
    let loose =
        most("end play of the drive gear", "between its snap rings, greatest", play.get(), Unit::Mm, hint);
    out.measurements.push(at_boss(f, loose.warns_by(&own(0.5, "common practice, no source"))));
    Ok(())
}

/// Pulses of an electric sender on the driven gear.
pub(super) fn pulses(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    if without_gears(f) {
        return Ok(());
    }
    let gears = f.speedometer()?;
    let Some(per_turn) = gears.pulses_per_turn else { return Ok(()) };
    let pair = drive(f)?.pair(gears.drive_teeth, gears.driven_teeth);
    let pulses = pulses_per_mile(pair.constant, per_turn);
    let driveline = &mut out.driveline;
    driveline.add(
        "speedometer",
        "pulses on a mile",
        pulses,
        Unit::One,
        format!("{per_turn} for each turn of the driven gear"),
    );
    driveline.add("speedometer", "pulses on a kilometre", pulses / KM_PER_MILE, Unit::One, "");
    driveline.add("speedometer", "frequency at 60 miles an hour", frequency(pulses, 60.0), Unit::Hertz, "");
    Ok(())
}

/// Room between a pulse sender's tip and its wheel: least, greatest, mm (practice).
const AIR: [f64; 2] = [0.3, 2.0];

/// A tooth wheel on the shaft: pulses on a mile, and the sender's tip off its teeth.
pub(super) fn wheel(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    if f.mating.pulse_wheel.is_none() && other_way(f, SenderKind::Pulse) {
        return Ok(());
    }
    let wheel = f.pulse_wheel()?;
    if let Some((boss, diameter)) = f.design.sender_boss().zip(wheel.diameter) {
        let reach = need(boss.insertion(), "sender_boss.insertion")?;
        let up = (boss.height() - reach) * boss.tilt().sin_cos().1;
        let gap = up.get().hypot(boss.side_offset().get()) - diameter.get() / 2.0;
        let hint = "change `sender_boss.insertion` or `height`, so that the tip ends just off the teeth";
        let name = "pulse sender off its wheel";
        let near = least(name, "tip, least", gap, Unit::Mm, hint).fails_by(&f.limits.nothing);
        out.measurements.push(at_boss(f, near.warns_too_by(&own(AIR[0], "common practice, no source"))));
        let far = most(name, "tip, greatest", gap, Unit::Mm, hint);
        out.measurements.push(at_boss(f, far.warns_by(&own(AIR[1], "common practice, no source"))));
    }
    let wanted = need(pulses_wanted(f.instrument()?), "vehicle.instrument.pulses_per_mile")?;
    let drive = Drive::new(f.axle()?.ratio, f.tyre()?, PerMile::US).map_err(because)?;
    let pulses = wheel_pulses_per_mile(&drive, wheel.teeth);
    let note = format!("{} teeth on the output shaft", wheel.teeth);
    out.driveline.add("speedometer", "pulses on a mile", pulses, Unit::One, note);
    out.driveline.leading();
    let right = f64::from(wheel.teeth) * wanted / pulses;
    out.driveline.add("speedometer", "teeth of the wheel", right, Unit::One, "that would be right");
    let hint = "choose another wheel, or set the instrument's pulses";
    shown(f, &format!("{} teeth", wheel.teeth), 100.0 * (pulses / wanted - 1.0), hint, out);
    Ok(())
}
