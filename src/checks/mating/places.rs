//! Features against the vehicle's hard points: each where `place` would put it.

use super::{Facts, Told, because, least, most, on_axis};
use crate::checks::{Checks, Unit};
use crate::place::place;

/// How far each placed value is off.
pub(super) fn moves(f: &Facts<'_>, out: &mut Checks) -> Told {
    let placed = place(f.design).map_err(because)?;
    let hint = "take over what `place` says, or look at `vehicle.hard_points`";
    for (m, now) in placed.moves.iter().filter_map(|m| Some((m, m.now?))) {
        let off = (m.wanted - now).get().abs();
        let checked = most("off the vehicle's hard points", m.what, off, Unit::Mm, hint);
        out.checked.push(checked.warns_or_fails_by(&f.limits.place).at(on_axis(m.wanted), []));
    }
    for n in &placed.not_placed {
        out.not("vehicle's hard points", format!("{}: `{}` is not given", n.what, n.key));
    }
    Ok(())
}

/// The lever stands in its hole in the tunnel, with some room.
pub(super) fn lever(f: &Facts<'_>, out: &mut Checks) -> Told {
    let points = f.hard_points()?;
    let pad = f.design.shift_box_pad().ok_or("the part has no shift box: `shift_box_pad`")?;
    super::need(points.lever_hole, "vehicle.hard_points.lever_hole")?;
    let room = super::need(points.lever_room(pad.station()), "vehicle.hard_points.lever_hole_length")?;
    let lever = pad.station() - points.lever_ahead;
    let hint = "move `shift_box_pad.station`, or cut the tunnel";
    let room = least("lever in the tunnel's hole", "from its edge", room.get(), Unit::Mm, hint);
    let at = on_axis(lever);
    out.checked.push(room.fails_by(&f.limits.nothing).warns_too_by(&f.limits.lever).at(at, []));
    Ok(())
}
