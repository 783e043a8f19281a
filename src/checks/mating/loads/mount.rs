//! The mount's joint: separation, slip, tension of the bolts, and their threads in the housing.

use super::super::{CheckResult, Facts, because};
use super::{Case, FELT, JOINT, JointFactors, Support, at_mounts, cases, clamp, supports, worst};
use crate::checks::{Checks, Unit};
use crate::design::MountPad;
use crate::faces::Feature;
use crate::standards::bolt_group::{BoltGroup, JointLoad};
use crate::standards::bolts::of_thread;
use crate::standards::properties::{of_alloy, strength_in_casting};
use crate::standards::thread_engagement::{limits, shear_area};
use solidwright::geometry::P3;

/// Why the joint's force on the mount is that much at most.
const JOINT_ON_MOUNT: &str = "equilibrium about the engine's mounts (`vehicle.loads.engine_mounts_ahead`); the gearbox face is judged as if \
                              it bore all of it";

/// All mount pads; they share the load evenly.
pub(in crate::checks::mating) fn mount(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (loads, cases) = (f.loads()?, cases(f)?);
    let supports = supports(f.design, loads.lever)?;
    let at_mounts = at_mounts(&cases, &supports, loads.engine_mounts_ahead.get());
    let joint = |case: &Case| if case.is_joint { case.up.hypot(case.across) } else { 0.0 };
    let greatest = at_mounts.iter().map(joint).fold(0.0, f64::max);
    if greatest > 0.0 {
        out.driveline.add(
            "mount",
            "propeller shaft's force on the mount, at most",
            greatest,
            Unit::Newton,
            JOINT_ON_MOUNT,
        );
    }
    for Support { feature, pad, share, .. } in supports {
        // A pad that cannot be judged hides no other one.
        if let Err(because) = one(f, feature, pad, share, &at_mounts, out) {
            out.not("load on the mount", because);
        }
    }
    Ok(())
}

/// What a case asks of the pad's bolts.
fn load(case: &Case, lever: f64, share: f64) -> JointLoad {
    JointLoad {
        pull: case.up * share,
        shear: [case.along * share, case.across * share],
        bending: [case.along * share * lever, (case.across * lever + case.couple) * share],
        twist: 0.0,
    }
}

fn one(
    f: &Facts<'_>,
    feature: Feature,
    pad: &MountPad,
    share: f64,
    cases: &[Case],
    out: &mut Checks,
) -> CheckResult {
    let (loads, with) = (f.loads()?, f.fasteners()?);
    let holes = pad.holes().ok_or_else(|| format!("`{feature}` has no tapped holes"))?;
    let (thread, class) = (holes.thread(), with.class);
    let bolt = of_thread(thread).map_err(because)?;
    let places: Vec<[f64; 2]> = holes.positions().iter().map(|p| [p.along.get(), p.across.get()]).collect();
    let group = BoltGroup::new(&places).ok_or_else(|| format!("`{feature}` has no tapped holes"))?;
    let face = pad.outline();
    let group = group.on_face([0.5 * face.length.get(), 0.5 * face.width.get()]);
    let [low, high] = clamp(thread, bolt, class, with.mount_torque, with);
    let lever = loads.lever.get();
    let of = |case: &Case| load(case, lever, share);
    let strength = class.strength();
    let at = P3::new(pad.station().get(), pad.side_offset().get(), -pad.drop().get());
    let mut told = JointFactors { out, of: Some(feature), at };
    let hint = "take more or larger bolts further apart, tighten them more, or lower the mount's lever";
    let apart = worst(cases, |c| low / group.greatest_pull(&of(c)));
    told.push("mount's bolts hold the joint closed, factor", apart, 1.2, hint);
    let slip = worst(cases, |c| {
        let load = of(c);
        with.joint_friction * (group.count() * low - load.pull) / load.shear[0].hypot(load.shear[1])
    });
    let hint = "take more or larger bolts, tighten them more, or dowel the mount";
    told.push("mount does not slip on its pad, factor", slip, 1.2, hint);
    let area = thread.stress_area();
    let pulled = |c: &Case| high + FELT * group.greatest_pull(&of(c));
    let hint = "take a higher class or more bolts, or tighten them less";
    let taut = worst(cases, |c| strength.proof.get() * area / pulled(c));
    told.push("mount's bolts below their proof load, factor", taut, 1.0, hint);
    let row = of_alloy(f.design.casting().alloy()).map_err(because)?;
    let shear = row.shear * strength_in_casting(row.strength[1]);
    let strips = shear_area(thread, limits(thread).map_err(because)?) * holes.depth().get() * shear;
    let hint = "deepen the threads, take larger bolts, fit inserts, or tighten them less";
    let held = worst(cases, |c| strips / pulled(c));
    told.push("mount's threads hold in the casting, factor", held, 1.2, hint);
    out.driveline.between(
        "mount",
        &format!("clamp load of each bolt, {feature}"),
        [low, high],
        Unit::Newton,
        JOINT,
    );
    Ok(())
}
