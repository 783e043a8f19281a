//! Features compared with the vehicle's hard points: each should be where `place` would put it.

use super::limits::own;
use super::{CheckResult, Facts, because, least, most, need, on_axis};
use crate::checks::{Checks, Unit};
use crate::housing::sender_seat;
use crate::place::{cable, place};
use solidwright::geometry::P3;

/// A lever leaning further to the side does not come up through a hole above it, degrees (common practice).
const LEAST_UPRIGHT: f64 = 60.0;

/// Least bending radius of a speedometer cable, mm (common practice).
const BOW: f64 = 150.0;

/// How far each placed value is off.
pub(super) fn moves(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let placed = place(f.design).map_err(because)?;
    let hint = "take over what `place` says, or look at `vehicle.hard_points`";
    for (m, now) in placed.moves.iter().filter_map(|m| Some((m, m.now?))) {
        let off = (m.wanted - now).get().abs();
        let checked = most("off the vehicle's hard points", m.what, off, Unit::Mm, hint);
        out.measurements.push(checked.warns_or_fails_by(&f.limits.place).at(on_axis(m.wanted), []));
    }
    for n in &placed.not_placed {
        out.not("vehicle's hard points", format!("{}: `{}` is not given", n.what, n.key));
    }
    Ok(())
}

/// The lever lies within its hole in the tunnel, with some room.
pub(super) fn lever(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let points = f.hard_points()?;
    let pad = f.design.shift_box_pad().ok_or("the part has no shift box: `shift_box_pad`")?;
    need(points.lever_hole, "vehicle.hard_points.lever_hole")?;
    let room = need(points.lever_room(pad.station()), "vehicle.hard_points.lever_hole_length")?;
    let lever = pad.station() - points.lever_ahead;
    let hint = "move `shift_box_pad.station`, or cut the tunnel";
    let room = least("lever in the tunnel's hole", "from its edge", room.get(), Unit::Mm, hint);
    let at = on_axis(lever);
    out.measurements.push(room.fails_by(&f.limits.nothing).warns_too_by(&f.limits.lever).at(at, []));
    Ok(())
}

/// The shift box's pad lies under the tunnel's top and its lever comes up through the hole, not beside it.
pub(super) fn under(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let points = f.hard_points()?;
    let pad = f.design.shift_box_pad().ok_or("the part has no shift box: `shift_box_pad`")?;
    let top = need(points.lever_hole_height, "vehicle.hard_points.lever_hole_height")?.get();
    let (sin, cos) = pad.clock().sin_cos();
    let (up, side) = (pad.height().get(), pad.side_offset().get());
    let (y, z) = (up * sin + side * cos, up * cos - side * sin);
    let at = [P3::new(pad.station().get(), y, z)];
    let hint = "lower `shift_box_pad.height`, or look at `vehicle.hard_points.lever_hole_height`";
    let below = least("shift-box pad under the tunnel", "from its top", top - z, Unit::Mm, hint);
    out.measurements.push(below.fails_by(&f.limits.nothing).at(at, []));
    let lean = sin.abs().atan2(cos).to_degrees();
    let hint = "turn `shift_box_pad.clock` up to the tunnel's hole";
    let upright = most("shift-box pad turned from the tunnel's hole", "by its clock", lean, Unit::Deg, hint);
    let limit =
        own(LEAST_UPRIGHT, "beyond it no lever comes up through a hole above; common practice, no source");
    out.measurements.push(upright.fails_by(&limit).at(at, []));
    if lean < LEAST_UPRIGHT {
        let length = need(points.lever_hole_length, "vehicle.hard_points.lever_hole_length")?;
        // The lever stands square to the pad; a hole is not wider than long, and its middle lies over the shaft.
        let off = (y + (top - z) * sin / cos).abs();
        let hint = "move the pad sideways (`side_offset`), or turn its clock up";
        let room = least("lever in the tunnel's hole", "sideways", length.get() / 2.0 - off, Unit::Mm, hint);
        out.measurements.push(room.fails_by(&f.limits.nothing).warns_too_by(&f.limits.lever).at(at, []));
    }
    Ok(())
}

/// The cable leaves the sender along its axis and bends to its end in one arc.
pub(super) fn cable_bow(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let boss = f.design.sender_boss().ok_or("the part has no sender boss: `sender_boss`")?;
    let way = need(cable(boss, f.hard_points()?), "vehicle.hard_points.cable_end, cable_side, cable_height")?;
    let at = [sender_seat(boss).0];
    let hint = "turn `sender_boss.clock` or `tilt` towards the cable, or move the cable's end";
    // The arc that leaves along a tangent and meets a chord at this angle: chord over twice its sine.
    let sine = way.off.to_radians().sin().max(1e-9);
    let bow = least("bow of the speedometer's cable", "radius", way.length / (2.0 * sine), Unit::Mm, hint);
    out.measurements.push(bow.warns_by(&own(BOW, "common practice, no source")).at(at, []));
    let off = most("speedometer's cable off the sender's axis", "its end", way.off, Unit::Deg, hint);
    let limit = own(90.0, "beyond a right angle the end lies behind the sender's seat: geometry");
    out.measurements.push(off.warns_by(&limit).at(at, []));
    Ok(())
}
