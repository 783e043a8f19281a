//! The seal: its interference and depth, the speed of its lip, and offset and runout of the barrel under it.

use super::limits::own;
use super::{CheckResult, Facts, because, least, most, on_axis};
use crate::checks::{Checks, Measurement, Unit};
use crate::faces::{Feature, Role};
use crate::standards::lip_seal::{
    BORE_LEAD_IN, bore_deviations, depths, journal_deviations, least_hardness, lip_speed, nose_reduction,
    outside, rpm_at, yoke_offset,
};
use crate::standards::seals::{DEPTH_SOURCE, LEAD_IN_SOURCE};
use crate::units::{Mm, Units};

/// Sizes of seals are rounded by this in catalogues, mm (practice).
const ROUNDED: f64 = 0.03;

fn placed(f: &Facts<'_>, checked: Measurement) -> Measurement {
    let station = f.design.tail().bushing().rear();
    checked.at(on_axis(station), [Feature::Tail.face(Role::SealCounterbore)])
}

/// Interference, depth and lead-in of the counterbore.
pub(super) fn press(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let seal = f.seal()?;
    let bore = f.design.tail().seal();
    let size = seal.outside_diameter;
    let casing = outside(size, seal.casing).map_err(because)?;
    // Computed in millimetres whatever the file's unit, so that the same part has one fit.
    let hole = bore_deviations(bore.counterbore()).map(|d| [d.lower, d.upper]).map_err(because)?;
    let over = size - bore.counterbore();
    let press = [over + casing.lower - hole[1], over + casing.upper - hole[0]];
    let hint = "make the counterbore as large as the seal's nominal outside";
    let loose = least("press of the seal", "in its counterbore, least", press[0].get(), Unit::Mm, hint);
    out.measurements
        .push(placed(f, loose.fails_by(&own(0.0, "the seal must not turn or leak at its outside"))));
    let limit = (casing.upper - hole[0]).get() + ROUNDED;
    let limit = own(
        limit,
        &format!(
            "DIN 3760:1996 by seal pages, read, and {} for rounded sizes",
            f.design.units().to_places(ROUNDED, 2)
        ),
    );
    let tight = most("press of the seal", "in its counterbore, greatest", press[1].get(), Unit::Mm, hint);
    out.measurements.push(placed(f, tight.fails_by(&limit)));
    let wanted = depths(seal.width).map_err(because)?;
    let hint = "deepen the counterbore (`tail.seal.depth`), or take a narrower seal";
    let deep =
        least("depth of the seal's counterbore", "to the shoulder", bore.depth().get(), Unit::Mm, hint);
    let deep = deep.fails_by(&own(wanted.shoulder.get(), DEPTH_SOURCE));
    out.measurements.push(placed(f, deep.warns_too_by(&own(wanted.shoulder_iso.get(), DEPTH_SOURCE))));
    let full = (bore.depth() - bore.lead_in()).get();
    let hint = "shorten the lead-in, or deepen the counterbore";
    let full = least("depth of the seal's counterbore", "of full diameter", full, Unit::Mm, hint);
    out.measurements
        .push(placed(f, full.fails_by(&own(wanted.full.get(), "0.85 of the width: trade guide, read"))));
    let [short, long] = [wanted.lead_in[0].get().min(1.0), wanted.lead_in[1].get()];
    let lead = (bore.lead_in().get(), Unit::Mm);
    let hint = match f.design.units() {
        Units::Mm => "a seal goes in straight over 1 mm at 15 to 20 degrees",
        Units::Inch => "a seal goes in straight over 0.04 in at 15 to 20 degrees",
    };
    let one = |sense: fn(_, &str, f64, Unit, _) -> Measurement, what: &str, (value, unit), limit| {
        let checked = sense("lead-in of the seal's counterbore", what, value, unit, hint);
        placed(f, checked.warns_by(&own(limit, LEAD_IN_SOURCE)))
    };
    let angle = (bore.lead_in_angle().get(), Unit::Deg);
    out.measurements.push(one(least, "length, least", lead, short));
    out.measurements.push(one(most, "length, greatest", lead, long));
    out.measurements.push(one(least, "angle, least", angle, BORE_LEAD_IN[0].get()));
    out.measurements.push(one(most, "angle, greatest", angle, BORE_LEAD_IN[1].get()));
    let driveline = &mut out.driveline;
    driveline.between(
        "seal",
        "press in its counterbore",
        press.map(Mm::get),
        Unit::Mm,
        "DIN 3760:1996 by seal pages, read",
    );
    let note = "largest radius in the counterbore's corner";
    driveline.add("seal", "corner radius", wanted.corner_radius.get(), Unit::Mm, note);
    if let Some(yoke) = &f.mating.yoke {
        let off = yoke.barrel_diameter - seal.shaft_diameter;
        let zone = journal_deviations(seal.shaft_diameter).map_err(because)?;
        let hint = "take a seal for this barrel";
        let away = most("barrel for the seal", "off the seal's shaft", off.abs().get(), Unit::Mm, hint);
        let limit = own((zone.upper - zone.lower).get(), "h11 of the seal's shaft: seal tables, read");
        out.measurements.push(placed(f, away.fails_by(&limit)));
        if let Ok(less) = nose_reduction(yoke.barrel_diameter) {
            let note =
                "smaller than the barrel, 15 to 30 deg, so that the lip slides on: ISO 6194-1, from memory";
            driveline.add("seal", "front end of the barrel", less.get(), Unit::Mm, note);
        }
    }
    Ok(())
}

/// Speed under the lip at the highest speed of the output shaft.
pub(super) fn speed(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let seal = f.seal()?;
    let rpm = f.output_rpm()?;
    let speed = lip_speed(seal.shaft_diameter, rpm);
    let hint = "choose a lip that stands the speed, such as acm or fkm";
    let limit = own(seal.lip.speed_limit(), "DIN 3760's diagram, from memory, a fifth more or less");
    let fast =
        most("speed of the seal's lip", &format!("at {rpm:.0} rev/min"), speed, Unit::MetrePerSecond, hint);
    out.measurements.push(placed(f, fast.fails_by(&limit)));
    let hardness = least_hardness(speed, false);
    out.driveline.add(
        "seal",
        "hardness of the barrel",
        hardness,
        Unit::Rockwell,
        "at least, and 55 in dirt: trade guide, read",
    );
    let rpm = rpm_at(seal.shaft_diameter, seal.lip.speed_limit());
    out.driveline.add(
        "seal",
        "greatest speed for the lip",
        rpm,
        Unit::Rpm,
        "DIN 3760's diagram, from memory",
    );
    Ok(())
}

/// Whether the lip's rubber stands the oil's temperature.
pub(super) fn heat(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (seal, oil) = (f.seal()?, f.oil()?);
    let hint = "choose a lip for this heat, such as fkm, or keep the oil cooler";
    let limit = own(
        seal.lip.hottest_oil(),
        "mineral gear oil, guides of seal makers, from memory, ten degrees more or less",
    );
    let hot = most("oil's temperature at the seal's lip", "highest", oil, Unit::Celsius, hint);
    out.measurements.push(placed(f, hot.fails_by(&limit)));
    Ok(())
}

/// Static offset, runout, and both, with the oil hot.
pub(super) fn offset(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let seal = f.seal()?;
    let tolerances = f.tolerances()?;
    // The barrel lies lowest where its clearance is greatest: in the hot bushing.
    let [_, clearance] = super::bushing::range_at(f, f.oil()?)?;
    let offset = yoke_offset(tolerances.seal_bore, clearance);
    let hint =
        "bore seat and counterbore at one setting, choose a closer running fit, or grind the barrel truer";
    for (what, value, limit) in [
        ("offset from the seal's bore", offset, &f.limits.offset),
        ("runout of the barrel", seal.runout, &f.limits.runout),
        ("offset and runout together", offset + seal.runout, &f.limits.offset_and_runout),
    ] {
        let checked = most("offset and runout under the seal", what, value.get(), Unit::Mm, hint);
        out.measurements.push(placed(f, checked.fails_by(limit)));
    }
    Ok(())
}
