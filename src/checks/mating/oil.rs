//! Oil at rest, on a slope and under braking: its volume, whether it reaches the bushing, what drains back, and the breather.

use std::f64::consts::PI;

use super::limits::own;
use super::{CheckResult, Facts, least, most, on_axis};
use crate::checks::{Checks, Unit};
use crate::design::{OilFeed, PlugKind};
use crate::standards::oil::{head_pressure, rise, volume_below};
use crate::units::Mm;
use solidwright::geometry::P3;

const PRACTICE: &str = "common practice, no source";

/// Volume at rest, and the way of the oil to the bushing and back.
pub(super) fn level(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let level = f.oil_level()?.level.get();
    let profile: Vec<[f64; 2]> =
        f.design.shell().cavity().iter().map(|s| [s.x.get(), s.radius.get()]).collect();
    let volume = volume_below(&profile, level) / 1000.0;
    let note = "cm³, below the level at rest in the turned cavity; hollows of pads come on top";
    out.driveline.add("oil", "volume in the housing", volume, Unit::One, note);
    let tail = f.design.tail();
    let bushing = f.bushing()?;
    let seat = tail.bushing();
    let fed = tail.oil_feed().is_some();
    let reaches = level + bushing.bore.get() / 2.0;
    let hint = "raise the level, or feed oil to the bushing (`tail.oil_feed`)";
    let over = "level over the lowest place of its bore";
    if fed {
        out.driveline.add(
            "oil",
            "level over the bushing's lowest place",
            reaches,
            Unit::Mm,
            "it is fed besides",
        );
    } else {
        let made = least("oil at the bushing", over, reaches, Unit::Mm, hint);
        out.measurements.push(made.at(on_axis(seat.front()), []).warns_by(&own(0.0, PRACTICE)));
    }
    // The oil turns about the middle of its surface, here that of the housing. Downhill, and in braking, it leaves the bushing for
    // a while, which then lives on what the shaft throws: no verdict.
    let ahead = f.design.overall_length().get() / 2.0 - (seat.front() + bushing.length / 2.0).get();
    for (what, leaning) in
        [("downhill", f.oil_level()?.slope.get()), ("braking", f.oil_level()?.braking.atan().to_degrees())]
    {
        let name = format!("level over the bushing's lowest place, {what}");
        let note = "where it is below zero, only what the shaft throws wets the bushing";
        out.driveline.add("oil", &name, reaches + rise(ahead, leaning), Unit::Mm, note);
    }
    at_seal(f, out);
    drain(f, out);
    Ok(())
}

/// At the seal: the level at rest against the shaft, and the pressure that the oil's height makes uphill and in hard acceleration (as
/// hard as braking). That is a fiftieth of what a plain lip holds, so it is a figure.
fn at_seal(f: &Facts<'_>, out: &mut Checks) {
    const CHECK: &str = "oil at the seal";
    let (Some(seal), Ok(oil)) = (&f.mating.seal, f.oil_level()) else {
        return out.not(CHECK, "`mating.seal` is not given");
    };
    let place = on_axis(f.design.overall_length());
    let hint = "lower the oil's level: a seal whose shaft is drowned by half churns its oil hot";
    let made = most(CHECK, "level at rest over the shaft's axis", oil.level.get(), Unit::Mm, hint);
    out.measurements.push(made.at(place, []).warns_by(&own(0.0, PRACTICE)));
    let behind = f.design.overall_length().get() / 2.0;
    for (what, leaning) in [("uphill", oil.slope.get()), ("accelerating", oil.braking.atan().to_degrees())] {
        let head = (oil.level.get() + seal.shaft_diameter.get() / 2.0 + rise(behind, leaning)).max(0.0);
        let name = format!("pressure at the seal's lip, {what}");
        let note = "a plain lip holds 0.02 MPa at 3000 rev/min (DIN 3760, from memory)";
        out.driveline.add("oil", &name, head_pressure(head), Unit::MPa, note);
    }
}

/// What is fed to the bushing must drain back from the seal.
fn drain(f: &Facts<'_>, out: &mut Checks) {
    const CHECK: &str = "drain-back under the seal, of the feed's area";
    let tail = f.design.tail();
    let circle = |d: f64| 0.25 * PI * d * d;
    let back = tail.drain_back().map_or(0.0, |drain| circle(drain.diameter().get()));
    let fed = match tail.oil_feed() {
        Some(OilFeed::Slot { width, floor, .. }) => {
            let deep = (*floor - tail.bushing().bore() / 2.0).get().max(0.0);
            width.get() * deep
        }
        Some(OilFeed::Hole { diameter, .. }) => circle(diameter.get()),
        None => {
            let because = "the part has no `tail.oil_feed`; what passes the bushing is not known";
            return out.not(CHECK, because);
        }
    };
    if fed <= 0.0 {
        return out.not(CHECK, "the slot has no depth beyond the seat");
    }
    let hint = "give the seal's room a drain (`tail.drain_back`), or a wider one";
    let made = least(CHECK, "share", back / fed, Unit::One, hint).at(on_axis(tail.bushing().rear()), []);
    out.measurements.push(made.warns_by(&own(1.0, PRACTICE)));
}

/// Breathers stay above the oil.
pub(super) fn breather(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let oil = f.oil_level()?;
    let middle = f.design.overall_length().get() / 2.0;
    let vents = f.design.plugs().iter().filter(|plug| plug.kind() == PlugKind::Vent);
    let mut any = false;
    for plug in vents {
        any = true;
        let (x, (_, cos)) = (plug.station().get(), plug.clock().sin_cos());
        let inside = f.design.shell().cavity_radius(plug.station()).map_or(0.0, Mm::get);
        let height = inside * cos - oil.level.get();
        let leaning = oil.braking.atan().to_degrees();
        // Uphill the oil runs aft, under braking forward.
        let cases = [
            ("at rest", 0.0),
            ("uphill", rise(x - middle, oil.slope.get())),
            ("braking", rise(middle - x, leaning)),
        ];
        for (what, higher) in cases {
            let hint = "put the breather higher, or nearer to the middle of the oil";
            let made = least("breather above the oil", what, height - higher.max(0.0), Unit::Mm, hint);
            let at = P3::new(x, 0.0, inside);
            out.measurements.push(made.at([at], []).warns_by(&own(0.0, "geometry; oil at rest against it")));
        }
    }
    if any {
        Ok(())
    } else {
        Err("the part has no plug of kind `vent`; the gearbox must have a breather".to_owned())
    }
}
