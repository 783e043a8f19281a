//! The slip yoke at ride height, full bump and full droop: spline, room, bolt heads, bushing and seal; and its strength.

use super::{CheckResult, Facts, Table, because, least, need, on_axis};
use crate::checks::{Checks, Measurement, Unit};
use crate::design::YokePart;
use crate::standards::lip_seal::lip_speed;
use crate::standards::propshaft::{Service, Spline, Tube, tooth_shear};
use crate::standards::slip_yoke::{bump_reserve, bush_cover, engagement as engaged_diameters, lip_margins};
use crate::units::Mm;

/// Shear yield over tensile yield (von Mises, textbook).
const SHEAR: f64 = 0.577;

fn at(checked: Measurement, station: Mm) -> Measurement {
    checked.at(on_axis(station), [])
}

/// Length of spline in engagement at ride height.
fn engaged(yoke: &YokePart) -> Result<Mm, String> {
    let from = need(yoke.shaft_spline_from, "mating.yoke.shaft_spline_from")?;
    let to = need(yoke.shaft_spline_to, "mating.yoke.shaft_spline_to")?;
    let length = need(yoke.spline_length, "mating.yoke.spline_length")?;
    Ok(to.min(yoke.front + length) - from.max(yoke.front))
}

/// Spline engaged at full droop.
pub(super) fn engagement(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let (ride, [_, outwards]) = (engaged(yoke)?, f.plunge()?);
    let pitch = need(yoke.spline_pitch, "mating.yoke.spline_pitch")?;
    let hint = "push the yoke further in (`front`), lengthen the shaft or the yoke's spline";
    let what = "at the greatest travel outwards, diameters";
    let checked =
        least("spline in engagement", what, engaged_diameters(ride, outwards, pitch), Unit::One, hint);
    let checked = checked.fails_by(&f.limits.engagement).warns_too_by(&f.limits.engagement_soft);
    out.measurements.push(at(checked, yoke.front));
    let range = [ride - outwards, ride - f.plunge()?[0]].map(Mm::get);
    out.driveline.between(
        "yoke",
        "spline in engagement",
        range,
        Unit::Mm,
        format!("at ride height {}", f.design.units().to_places(ride.get(), 2)),
    );
    Ok(())
}

/// Room ahead of the yoke.
pub(super) fn bottoming(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let (bottom, [inwards, outwards]) = (need(yoke.bottoms_at, "mating.yoke.bottoms_at")?, f.plunge()?);
    let ride = yoke.front - bottom;
    let hint = "let the yoke stand further out (`front`), or shorten the propeller shaft";
    let left = bump_reserve(ride, inwards, Mm::default());
    let checked =
        least("yoke before it bottoms", "at the greatest travel inwards", left.get(), Unit::Mm, hint);
    let checked = checked.fails_by(&f.limits.nothing).warns_too_by(&f.limits.bump_reserve);
    out.measurements.push(at(checked, bottom));
    let checked = least("yoke before it bottoms", "at ride height", ride.get(), Unit::Mm, hint);
    out.measurements.push(at(checked.warns_by(&f.limits.stand_off), bottom));
    let note = "inwards below zero, from full droop to full bump";
    out.driveline.between("yoke", "travel", [inwards, outwards].map(Mm::get), Unit::Mm, note);
    out.driveline.leading();
    Ok(())
}

/// Shoulder and bolt heads behind the housing's rear face.
pub(super) fn bolt_heads(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let reach = need(yoke.bolt_head_reach, "mating.yoke.bolt_head_reach")?;
    let suspension = f.suspension()?;
    let shaft = f.propshaft()?;
    let driveline = need(shaft.driveline(yoke, suspension), "mating.yoke.joint_behind")?;
    let rear = f.design.overall_length();
    let ride = yoke.shoulder() - rear;
    let [inwards, _] = f.plunge()?;
    let hint = "let the yoke stand further out, or take lower bolt heads";
    let places = [
        ("at ride height", Mm::default()),
        ("at full bump", driveline.plunge(suspension.bump).map_err(because)?),
        ("at full droop", driveline.plunge(-suspension.droop).map_err(because)?),
        ("at the greatest travel inwards", inwards),
    ];
    for (what, moved) in places {
        let room = ride + moved - reach;
        let checked = least("bolt heads off the seal", what, room.get(), Unit::Mm, hint);
        let checked = checked.fails_by(&f.limits.nothing).warns_too_by(&f.limits.lip_margin);
        out.measurements.push(at(checked, rear));
        out.driveline.add(
            "yoke",
            &format!("shoulder off the rear face {what}"),
            (ride + moved).get(),
            Unit::Mm,
            "",
        );
    }
    Ok(())
}

/// Bushing and lip stay on the barrel.
pub(super) fn covered(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let travel = f.plunge()?;
    let seat = f.design.tail().bushing();
    let length = f.bushing()?.length;
    let rear = seat.front() + length;
    let cover = bush_cover(rear - yoke.front, travel[1], length);
    let hint = "push the yoke further in (`front`), or take a longer barrel";
    let what = "share at the greatest travel outwards";
    let checked = least("bushing covered by the barrel", what, cover, Unit::One, hint);
    out.measurements.push(at(checked.fails_by(&f.limits.cover), seat.front()));
    let lip = f.lip()?;
    let margins = lip_margins(lip - yoke.front, yoke.shoulder() - lip, travel);
    for (what, margin) in ["off the barrel's front end", "off the barrel's shoulder"].into_iter().zip(margins)
    {
        let checked = least("seal's lip on the barrel", what, margin.get(), Unit::Mm, hint);
        let checked = checked.fails_by(&f.limits.nothing).warns_too_by(&f.limits.lip_margin);
        out.measurements.push(at(checked, lip));
    }
    Ok(())
}

/// Factor of safety of a barrel in torsion.
fn barrel_safety(barrel: Mm, major: Mm, torque: f64, yields: f64) -> Result<[f64; 2], String> {
    let stress = Tube::new(barrel, major).map_err(because)?.torsion(torque).get();
    Ok([stress, SHEAR * yields / stress])
}

/// Torsion of the barrel over the spline, and shear of the spline's teeth.
pub(super) fn strength(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let (major, torque) =
        (need(yoke.spline_major, "mating.yoke.spline_major")?, need(yoke.torque, "mating.yoke.torque")?);
    let yields = need(yoke.yield_strength, "mating.yoke.yield_strength")?;
    let mut push = |what: &str, factor: f64| {
        let hint = "take a thicker barrel or a longer spline, a stronger steel, or less torque";
        let checked = least("yoke in shear, factor of safety", what, factor, Unit::One, hint);
        let checked = checked.fails_by(&f.limits.safety).warns_too_by(&f.limits.safety_soft);
        out.measurements.push(at(checked, yoke.front));
    };
    let torque = torque * yoke.shock_factor;
    let [stress, factor] = barrel_safety(yoke.barrel_diameter, major, torque, yields)?;
    push("barrel over the spline", factor);
    let driveline = &mut out.driveline;
    driveline.add(
        "yoke",
        "shear of the barrel",
        stress,
        Unit::MPa,
        format!("{torque:.0} N m with the shock factor, spline's major diameter as bore"),
    );
    driveline.add(
        "yoke",
        "wall of the barrel",
        ((yoke.barrel_diameter - major) / 2.0).get(),
        Unit::Mm,
        "over the spline",
    );
    driveline.leading();
    let (teeth, pitch) = (
        need(yoke.spline_teeth, "mating.yoke.spline_teeth")?,
        need(yoke.spline_pitch, "mating.yoke.spline_pitch")?,
    );
    let half = pitch * (std::f64::consts::PI / f64::from(teeth) / 2.0);
    let length = engaged(yoke)? - f.plunge()?[1];
    if length > Mm::default() {
        let thickness = yoke.tooth_thickness.unwrap_or(half);
        let stress =
            tooth_shear(&Spline { diameter: pitch, teeth, length, thickness }, torque, Service::PLAIN);
        driveline.add(
            "yoke",
            "shear of the spline's teeth",
            stress.get(),
            Unit::MPa,
            "half of the teeth, fully out",
        );
        let hint = "take a longer spline, a stronger steel, or less torque";
        let factor = SHEAR * yields / stress.get();
        let checked =
            least("yoke in shear, factor of safety", "spline's teeth, fully out", factor, Unit::One, hint);
        let checked = checked.fails_by(&f.limits.safety).warns_too_by(&f.limits.safety_soft);
        out.measurements.push(at(checked, yoke.front));
    }
    Ok(())
}

/// Steps of barrel and bore in the table of choices: a thirty-second of an inch.
const STEP: Mm = Mm::inches(1.0 / 32.0);

/// A larger barrel has a thicker wall and leaves a thinner bushing; barrels are listed down to a bushing of this wall.
const LEAST_BUSHING_WALL: Mm = Mm::new(1.5);

/// Barrels near the chosen one: their wall compared with the bushing's.
pub(super) fn choices(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let yoke = f.yoke()?;
    let (major, torque) =
        (need(yoke.spline_major, "mating.yoke.spline_major")?, need(yoke.torque, "mating.yoke.torque")?);
    let torque = torque * yoke.shock_factor;
    let yields = need(yoke.yield_strength, "mating.yoke.yield_strength")?;
    let rpm = f.output_rpm()?;
    let seat = f.design.tail().bushing();
    let mut rows = Vec::new();
    for step in -4..=8 {
        let barrel = yoke.barrel_diameter + STEP * f64::from(step);
        let bushing = (seat.bore() - barrel) / 2.0;
        if barrel <= major || bushing < LEAST_BUSHING_WALL || barrel > seat.stop_bore() {
            continue;
        }
        let [stress, factor] = barrel_safety(barrel, major, torque, yields)?;
        let name = match step {
            0 => "this one",
            ..0 => "thinner",
            _ => "thicker",
        };
        let wall = ((barrel - major) / 2.0).get();
        let values = vec![barrel.get(), wall, stress, factor, bushing.get(), lip_speed(barrel, rpm)];
        rows.push((name.to_owned(), values));
    }
    out.driveline.tables.push(Table {
        subject: "yoke",
        title: "barrel's wall against the bushing's".to_owned(),
        columns: vec![
            ("barrel", Unit::Mm),
            ("its wall", Unit::Mm),
            ("shear", Unit::MPa),
            ("factor of safety", Unit::One),
            ("bushing's wall", Unit::Mm),
            ("speed of the lip", Unit::MetrePerSecond),
        ],
        rows,
    });
    Ok(())
}
