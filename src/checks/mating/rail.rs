//! The shift rail: its new length, and its bore.

use super::{CheckResult, Facts, because, least, most, need};
use crate::checks::{Checks, Unit};
use crate::standards::limits_and_fits::Fit;
use crate::units::Mm;
use solidwright::geometry::P3;

/// The rail is shorter by as much as the shift box has moved.
pub(super) fn length(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let rail = f.rail()?;
    let pad = f.design.shift_box_pad().ok_or("the part has no shift box: `shift_box_pad`")?;
    let moved = rail.old_shift_station - pad.station();
    let new = rail.new_length(pad.station());
    let driveline = &mut out.driveline;
    driveline.add("shift rail", "old length", rail.old_length.get(), Unit::Mm, "");
    driveline.add(
        "shift rail",
        "new length",
        new.get(),
        Unit::Mm,
        format!("the shift box sits {} further ahead", f.design.units().to_places(moved.get(), 2)),
    );
    driveline.leading();
    let hint = "look at `old_shift_station`: the shift box can't move ahead by more than the rail is long";
    let checked =
        least("length of the shift rail", "new", new.get(), Unit::Mm, hint).fails_by(&f.limits.nothing);
    out.measurements.push(checked.at(super::on_axis(pad.station()), []));
    Ok(())
}

/// The rail's fit in its bore, and the bore's line-up with the gearbox.
pub(super) fn bore(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let rail = f.rail()?;
    let tube = f.design.rail_tube().ok_or("the part has no bore for it: `rail_tube`")?;
    let (diameter, name) = (need(rail.diameter, "mating.rail.diameter")?, need(rail.fit, "mating.rail.fit")?);
    let [hole, shaft] = name.sides(diameter).map_err(because)?;
    let (fit, more) = (Fit::between(hole, shaft), tube.bore() - diameter);
    let [low, high] = [fit.least_clearance + more, fit.greatest_clearance + more];
    let at = [P3::new(tube.bore_from().get(), tube.y().get(), tube.z().get())];
    let face = ["rail_tube/bore".to_owned()];
    let hint = "make the rail's bore of the rail's nominal size, with a running fit";
    let slides = least("clearance of the shift rail", "least", low.get(), Unit::Mm, hint);
    out.measurements.push(slides.fails_by(&f.limits.nothing).at(at, face.clone()));
    out.driveline.between(
        "shift rail",
        "clearance in its bore",
        [low, high].map(Mm::get),
        Unit::Mm,
        format!("{name}, {}", name.source()),
    );
    let (side, height) = (need(rail.side, "mating.rail.side")?, need(rail.height, "mating.rail.height")?);
    let off = (tube.y() - side).get().hypot((tube.z() - height).get());
    let hint = "move the rail tube (`y`, `z`) to the rail's place in the gearbox";
    let lined = most("shift rail's bore off the gearbox's", "by its place", off, Unit::Mm, hint);
    out.measurements.push(lined.fails_by(&f.limits.line_up).at(at, face));
    Ok(())
}
