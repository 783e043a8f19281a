//! The bushing under the joint's couple and the propeller shaft's weight, and the thrust of a spline that binds.

use super::super::limits::own;
use super::super::{CheckResult, Facts, because, most, need, on_axis};
use crate::checks::{Checks, Measurement, Unit};
use crate::faces::{Feature, Role};
use crate::standards::lip_seal::lip_speed;
use crate::standards::plain_bearing::{BUSHING_SOURCE, bushing_limits, joint_couple, spline_thrust};
use crate::standards::propshaft::Tube;
use crate::units::{Deg, Mm, STANDARD_GRAVITY};

/// What turns and hangs on the bushing.
struct Overhang {
    /// From the gearbox's rear bearing to the bushing's middle, and to the joint, mm.
    arms: [f64; 2],
    /// Half of the tube's weight, N; zero where the tube is not known.
    weight: f64,
}

impl Overhang {
    /// Force on the bushing, N, under a torque, N m, with the front joint at an angle and the weight so many times.
    fn force(&self, torque: f64, angle: Deg, times: f64) -> f64 {
        (1000.0 * joint_couple(torque, angle) + times * self.weight * self.arms[1]) / self.arms[0]
    }
}

fn overhang(f: &Facts<'_>) -> Result<Overhang, String> {
    let (loads, shaft, yoke) = (f.loads()?, f.propshaft()?, f.yoke()?);
    let seat = f.design.tail().bushing();
    let middle = seat.front() + f.bushing()?.length / 2.0;
    let joint = need(yoke.joint(), "mating.yoke.joint_behind")?;
    let arms = [middle - loads.bearing_station, joint - loads.bearing_station].map(Mm::get);
    if loads.bearing_station > seat.front() {
        let at = f.design.units().to_places(seat.front().get(), 1);
        return Err(format!(
            "`vehicle.loads.bearing_station` lies within or behind the bushing, which begins at station {at}: \
             the bearing that carries the shaft lies ahead of it"
        ));
    }
    let tube = shaft.tube_outside.zip(shaft.tube_wall).zip(shaft.material.density);
    let weight = match tube {
        Some(((outside, wall), density)) => {
            let area = Tube::of_wall(outside, wall).map_err(because)?.area();
            let length = need(shaft.run(yoke), "mating.yoke.joint_behind")?[0].get();
            0.5 * area * length * 1e-9 * density.get() * STANDARD_GRAVITY
        }
        None => 0.0,
    };
    Ok(Overhang { arms, weight })
}

/// Angle of the front joint with the axle lifted, degrees.
fn angle(f: &Facts<'_>, lift: Mm) -> Result<Deg, String> {
    let [along, side, up] = need(f.propshaft()?.run(f.yoke()?), "mating.yoke.joint_behind")?.map(Mm::get);
    Ok(Deg::new(side.hypot(up + lift.get()).atan2(along).to_degrees()))
}

/// The bushing's middle, mm, and the greatest force on it with the clutch let in, N: at ride height, full bump and full droop. The
/// housing bears it aft of its mount, and so does the gearbox face.
pub(super) fn worst_force(f: &Facts<'_>) -> Result<[f64; 2], String> {
    let (yoke, suspension, hangs) = (f.yoke()?, f.suspension()?, overhang(f)?);
    let torque = need(yoke.torque, "mating.yoke.torque")? * yoke.shock_factor;
    let mut most: f64 = 0.0;
    for lift in [Mm::default(), suspension.bump, -suspension.droop] {
        most = most.max(hangs.force(torque, angle(f, lift)?, f.loads()?.vertical));
    }
    Ok([hangs.arms[0] + f.loads()?.bearing_station.get(), most])
}

/// Load, pressure, speed and their product; thrust of the spline.
pub(in crate::checks::mating) fn bushing(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (loads, yoke, bushing) = (f.loads()?, f.yoke()?, f.bushing()?);
    let torque = need(yoke.torque, "mating.yoke.torque")?;
    let (hangs, suspension) = (overhang(f)?, f.suspension()?);
    let force = |torque: f64, angle: Deg, times: f64| hangs.force(torque, angle, times);
    let area = bushing.bore.get() * bushing.length.get();
    let seat = f.design.tail().bushing();
    let placed = |made: Measurement| {
        made.at(on_axis((seat.front() + seat.rear()) / 2.0), [Feature::Tail.face(Role::BushingSeat)])
    };
    let limits = bushing_limits(bushing.material)
        .ok_or("no published limits of pressure and speed are known for its material")?;
    let hint = "take a longer bushing, keep the joint's angle small, or a lighter propeller shaft";
    for (what, lift) in [
        ("at ride height", Mm::default()),
        ("at full bump", suspension.bump),
        ("at full droop", -suspension.droop),
    ] {
        let load = force(torque * yoke.shock_factor, angle(f, lift)?, loads.vertical);
        let name = format!("clutch let in, {what}");
        let made = most("pressure in the bushing", &name, load / area, Unit::MPa, hint);
        out.measurements.push(placed(made.of_loads().fails_by(&own(limits.pressure.get(), BUSHING_SOURCE))));
        out.driveline.add(
            "bushing",
            &format!("load, {name}"),
            load,
            Unit::Newton,
            "joint's couple and half the propeller shaft",
        );
    }
    cruising(f, &force, area, &placed, out)?;
    thrust(f, torque * yoke.shock_factor, out)
}

/// Speed, and pressure times speed, at the highest speed in the highest gear.
fn cruising(
    f: &Facts<'_>,
    force: &dyn Fn(f64, Deg, f64) -> f64,
    area: f64,
    placed: &dyn Fn(Measurement) -> Measurement,
    out: &mut Checks,
) -> CheckResult {
    const CHECK: &str = "pressure times speed in the bushing";
    let (yoke, bushing, rpm) = (f.yoke()?, f.bushing()?, f.output_rpm()?);
    let Some(lowest) = f.loads()?.lowest_gear else {
        out.not(CHECK, "`vehicle.loads.lowest_gear` is not given");
        return Ok(());
    };
    let torque = need(yoke.torque, "mating.yoke.torque")? / lowest * f.axle()?.top_gear.unwrap_or(1.0);
    let speed = lip_speed(bushing.bore, rpm);
    let product = force(torque, angle(f, Mm::default())?, 1.0) / area * speed;
    let limits = bushing_limits(bushing.material).ok_or("no published limits are known for its material")?;
    if f.design.tail().oil_feed().is_some() {
        let note = "MPa m/s; the bushing is fed with oil, and a film may carry it: no verdict";
        out.driveline.add("bushing", "pressure times speed", product, Unit::One, note);
        return Ok(());
    }
    let hint = "feed oil to the bushing (`tail.oil_feed`), so that a film carries it, or take a longer one";
    let what = format!("at {rpm:.0} rev/min, MPa m/s");
    let made = most(CHECK, &what, product, Unit::One, hint);
    out.measurements.push(placed(made.warns_by(&own(limits.product, BUSHING_SOURCE))));
    let hint = "feed oil to the bushing (`tail.oil_feed`), so that a film carries it";
    let made =
        most("speed in the bushing", &format!("at {rpm:.0} rev/min"), speed, Unit::MetrePerSecond, hint);
    out.measurements.push(placed(made.warns_by(&own(limits.speed, BUSHING_SOURCE))));
    Ok(())
}

/// Thrust on snap rings and bearing when the spline binds under torque.
fn thrust(f: &Facts<'_>, torque: f64, out: &mut Checks) -> CheckResult {
    let (yoke, loads) = (f.yoke()?, f.loads()?);
    let pitch = need(yoke.spline_pitch, "mating.yoke.spline_pitch")?;
    let thrust = spline_thrust(torque, pitch.get(), loads.spline_friction);
    let note = format!(
        "friction {} under {torque:.0} N m: what snap rings and bearing must stand",
        loads.spline_friction
    );
    out.driveline.add("yoke", "thrust of a spline that binds", thrust, Unit::Newton, note);
    let Some(limit) = loads.thrust_limit else {
        out.not("thrust of a spline that binds", "`vehicle.loads.thrust_limit` is not given");
        return Ok(());
    };
    let hint = "grease the spline, or take stronger snap rings";
    let made = most("thrust of a spline that binds", "on snap rings and bearing", thrust, Unit::Newton, hint);
    out.measurements
        .push(made.at(on_axis(yoke.front), []).fails_by(&own(limit, "`vehicle.loads.thrust_limit`")));
    Ok(())
}
