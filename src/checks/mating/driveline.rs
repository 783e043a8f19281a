//! The propeller shaft: its length, its critical speed, and its joints' angles.

use super::{CheckResult, Facts, because, least, most, need};
use crate::checks::{Checks, Measurement, Unit};
use crate::standards::cardan::{acceleration, most_angle, residual_turned, unevenness};
use crate::standards::propshaft::{Tube, half_critical_rpm};
use crate::units::{Deg, Mm};
use solidwright::geometry::{P3, V3};

/// Shaft from joint to joint at ride height.
fn run(f: &Facts<'_>) -> Result<V3, String> {
    let yoke = f.yoke()?;
    let shaft = f.propshaft()?;
    let [x, y, z] = need(shaft.run(yoke), "mating.yoke.joint_behind")?.map(Mm::get);
    Ok(V3::new(x, y, z))
}

fn at_joint(f: &Facts<'_>, checked: Measurement, rear: bool) -> Result<Measurement, String> {
    let yoke = f.yoke()?;
    let front = P3::new(need(yoke.joint(), "mating.yoke.joint_behind")?.get(), 0.0, 0.0);
    Ok(checked.at([if rear { front + run(f)? } else { front }], []))
}

/// Length of the new shaft and its change.
pub(super) fn length(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let shaft = f.propshaft()?;
    let length = run(f)?.norm();
    out.driveline.add(
        "propeller shaft",
        "length between joints",
        length,
        Unit::Mm,
        "at ride height, for the yoke as it stands",
    );
    out.driveline.leading();
    if let Some(old) = shaft.old_length {
        out.driveline.add(
            "propeller shaft",
            "change of length",
            length - old.get(),
            Unit::Mm,
            "longer than the old one above zero",
        );
        out.driveline.leading();
    }
    Ok(())
}

/// Highest speed relative to the critical speed.
pub(super) fn critical(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let shaft = f.propshaft()?;
    let (outside, wall) = (
        need(shaft.tube_outside, "vehicle.propshaft.tube_outside")?,
        need(shaft.tube_wall, "vehicle.propshaft.tube_wall")?,
    );
    let density = need(shaft.material.density, "vehicle.propshaft.material")?;
    let tube = Tube::of_wall(outside, wall).map_err(because)?;
    let length = Mm::new(run(f)?.norm());
    let critical = tube.critical_rpm(length, shaft.material.elastic.elasticity, density).map_err(because)?;
    let rpm = f.output_rpm()?;
    let hint = "take a wider tube or one of two pieces, or limit the speed";
    let share =
        most("speed of the propeller shaft", "share of its critical speed", rpm / critical, Unit::One, hint);
    let share = share.fails_by(&f.limits.critical).warns_too_by(&f.limits.critical_soft);
    out.measurements.push(at_joint(f, share, false)?);
    let driveline = &mut out.driveline;
    driveline.add(
        "propeller shaft",
        "critical speed",
        critical,
        Unit::Rpm,
        "Euler and Bernoulli's beam, pinned at both joints",
    );
    driveline.leading();
    driveline.add("propeller shaft", "highest speed", rpm, Unit::Rpm, "by `vehicle.axle`");
    let half = half_critical_rpm(critical);
    let hint =
        "keep both joints' angles small and equal, take a wider tube, or do not drive long at that speed";
    let through = most("half the critical speed", "highest speed over it", rpm / half, Unit::One, hint);
    out.measurements.push(at_joint(f, through.warns_by(&f.limits.half_critical), false)?);
    out.driveline.add(
        "propeller shaft",
        "half the critical speed",
        half,
        Unit::Rpm,
        "joint angles shake it here: SAE AE-7, from memory",
    );
    Ok(())
}

/// Angle between two directions.
fn between(a: &V3, b: &V3) -> Deg {
    Deg::new(a.cross(b).norm().atan2(a.dot(b)).to_degrees())
}

/// The angles of both joints, and the angle between their planes, at ride height.
struct Joints {
    front: Deg,
    rear: Deg,
    turn: Deg,
}

fn joints(f: &Facts<'_>) -> Result<Joints, String> {
    let shaft = f.propshaft()?;
    let along = run(f)?;
    let pinion = V3::new(1.0, -shaft.pinion_side.tan(), -shaft.pinion_up.tan());
    let (front, rear) = (between(&V3::x(), &along), between(&along, &pinion));
    // Planes of the joints, as normals square to the shaft.
    let (a, b) = (V3::x().cross(&along), along.cross(&pinion));
    let planes = if a.norm() < 1e-9 || b.norm() < 1e-9 { 0.0 } else { between(&a, &b).get() };
    let yokes = if shaft.yokes_in_line { 0.0 } else { 90.0 };
    // Half a turn further is the same joint.
    let turn = (planes + yokes) % 180.0;
    Ok(Joints { front, rear, turn: Deg::new(turn.min(180.0 - turn)) })
}

/// The front joint's angle with the axle lifted by so much: the shaft keeps its length, its front end on the gearbox's axis.
fn front_angle(f: &Facts<'_>, lift: Mm) -> Result<f64, String> {
    let along = run(f)?;
    Ok((along.y.hypot(along.z + lift.get()) / along.norm()).asin().to_degrees())
}

/// Joint angles, and the unevenness that they leave at the highest speed.
pub(super) fn angles(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let joints = joints(f)?;
    let (front, rear) = (joints.front, joints.rear);
    for (what, angle, behind) in [("front joint", front, false), ("rear joint", rear, true)] {
        let hint = "tip the gearbox or the pinion a little, so that the needles turn";
        let checked =
            least("joint angle", what, angle.get(), Unit::Deg, hint).warns_by(&f.limits.joint_angle);
        out.measurements.push(at_joint(f, checked, behind)?);
    }
    let hint = "tip the pinion, so that both angles are alike";
    let apart =
        most("joint angles' difference", "front and rear", (front - rear).abs().get(), Unit::Deg, hint);
    out.measurements.push(at_joint(f, apart.warns_by(&f.limits.joint_difference), true)?);
    let rpm = f.output_rpm()?;
    let hint = "lessen the joint angle: lower the gearbox or raise the axle's pinion, or limit the speed";
    let what = format!("front joint, at {rpm:.0} rev/min");
    let shaft =
        most("unevenness of the propeller shaft", &what, acceleration(front, rpm), Unit::PerSecond2, hint);
    out.measurements.push(at_joint(f, shaft.fails_by(&f.limits.shaft_unevenness), false)?);
    let left = residual_turned(front, rear, joints.turn);
    let hint = "tip the pinion so that both angles are alike, or turn the shaft's yokes into line";
    let what = format!("both joints, at {rpm:.0} rev/min");
    let axle = most("unevenness at the axle", &what, acceleration(left, rpm), Unit::PerSecond2, hint);
    out.measurements.push(at_joint(f, axle.fails_by(&f.limits.axle_unevenness), true)?);
    let driveline = &mut out.driveline;
    driveline.add("propeller shaft", "front joint angle", front.get(), Unit::Deg, "at ride height");
    driveline.leading();
    driveline.add("propeller shaft", "rear joint angle", rear.get(), Unit::Deg, "at ride height");
    driveline.leading();
    driveline.add(
        "propeller shaft",
        "turn between the joints",
        joints.turn.get(),
        Unit::Deg,
        "planes and yokes",
    );
    driveline.add(
        "propeller shaft",
        "unevenness of the front joint",
        100.0 * unevenness(front),
        Unit::Percent,
        "of the mean speed",
    );
    let limit = most_angle(rpm, f.limits.shaft_unevenness.value);
    driveline.add(
        "propeller shaft",
        "greatest joint angle",
        limit.get(),
        Unit::Deg,
        format!("at {rpm:.0} rev/min"),
    );
    if let Ok(suspension) = f.suspension() {
        for (what, lift) in [("at full bump", suspension.bump), ("at full droop", -suspension.droop)] {
            let what = format!("front joint angle {what}");
            out.driveline.add(
                "propeller shaft",
                &what,
                front_angle(f, lift)?,
                Unit::Deg,
                "the pinion's is not followed",
            );
        }
    }
    Ok(())
}
