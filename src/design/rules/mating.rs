//! Driveline parts must be possible: diameters fit inside one another, and ends are in order along the shaft.
//!
//! The solid does not depend on these values: the errors stop `place` and fail in `check`. Only a value that is given
//! in two ways makes the input malformed.

use super::{Verdicts, above, error};
use crate::finding::{Code, Scope};
use crate::params::Parameter;
use crate::params::schema::{File, RawMating, RawVehicle};
use crate::standards::slip_yoke::PlungeError;
use crate::units::Mm;

const BARREL: Code = Code::new("D180", "barrel thicker than the bushing's bore").about(Scope::Mating);
const NO_BUSHING: Code = Code::new("D181", "bushing without a wall").about(Scope::Mating);
const SPLINE: Code = Code::new("D182", "spline larger than its part").about(Scope::Mating);
const LONG_BUSHING: Code = Code::new("D183", "bushing longer than its seat").about(Scope::Mating);
const NO_TUBE: Code = Code::new("D184", "tube without a bore").about(Scope::Vehicle);
const BACKWARDS: Code = Code::new("D185", "driveline ends run backwards").about(Scope::Mating);
const TWICE: Code = Code::new("D186", "value given in two ways");
const BACKLASH: Code = Code::new("D188", "backlash as large as the tooth").about(Scope::Mating);
const PLAIN: Code = Code::new("D189", "impossible plain stretch").about(Scope::Vehicle);
const ARM: Code = Code::new("D187", "arm or shaft too short for the travel").about(Scope::Vehicle);

pub(super) const CODES: &[Code] =
    &[BARREL, NO_BUSHING, SPLINE, LONG_BUSHING, NO_TUBE, BACKWARDS, TWICE, ARM, BACKLASH, PLAIN];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let mating = &file.mating;
    bushing(file, out);
    yoke(mating, out);
    backlash(mating, out);
    if let Some(vehicle) = &file.vehicle {
        twice(vehicle, out);
        plain(vehicle, out);
        shaft(mating, vehicle, out);
        travel(mating, vehicle, out);
    }
}

/// One length must be larger than another.
fn larger(
    code: Code,
    (small, name): (&Parameter<Mm>, &str),
    (large, other): (&Parameter<Mm>, &str),
    why: &'static str,
    equal: bool,
    out: &mut Verdicts,
) -> Option<()> {
    let (a, b) = (small.get()?, large.get()?);
    if above(a, b) || !(equal || above(b, a)) {
        let (own, limit) = (out.mm(a), out.mm(b));
        out.add(
            error(code, small, format!("{name} of {own} does not go with {other} of {limit}"))
                .allowed(format!("{} {limit}", if equal { "up to" } else { "below" }))
                .beside(large.place(), other)
                .because(why),
        );
    }
    Some(())
}

fn bushing(file: &File, out: &mut Verdicts) -> Option<()> {
    let (bushing, seat) = (file.mating.bushing.as_ref()?, &file.tail.bushing);
    let why = "the bushing's wall lies between the two";
    larger(NO_BUSHING, (&bushing.bore, "the bushing's bore"), (&seat.bore, "the seat"), why, false, out);
    let why = "it would reach into the seal's counterbore";
    larger(
        LONG_BUSHING,
        (&bushing.length, "the bushing's length"),
        (&seat.length, "the seat"),
        why,
        true,
        out,
    );
    let barrel = &file.mating.yoke.as_ref()?.barrel_diameter;
    larger(
        BARREL,
        (barrel, "a barrel"),
        (&bushing.bore, "the bushing's bore"),
        "the barrel slides in it",
        true,
        out,
    )
}

fn yoke(mating: &RawMating, out: &mut Verdicts) -> Option<()> {
    let yoke = mating.yoke.as_ref()?;
    let barrel = (&yoke.barrel_diameter, "the barrel");
    larger(
        SPLINE,
        (&yoke.spline_major, "a spline"),
        barrel,
        "the barrel's wall lies between the two",
        false,
        out,
    );
    let major = (&yoke.spline_major, "its major diameter");
    larger(SPLINE, (&yoke.spline_pitch, "a pitch diameter"), major, "teeth reach beyond it", false, out);
    let length = (&yoke.barrel_length, "the barrel's length");
    let why = "the spline is cut in the barrel";
    larger(SPLINE, (&yoke.spline_length, "the spline's length"), length, why, true, out);
    if let Some((joint, to)) = yoke.values().and_then(|y| y.joint()).zip(yoke.shaft_spline_to.get())
        && above(to, joint)
    {
        let (own, limit) = (out.mm(to), out.mm(joint));
        let message = format!("the shaft's spline to {own} reaches through the universal joint");
        out.add(
            error(BACKWARDS, &yoke.shaft_spline_to, message)
                .allowed(format!("up to {limit}"))
                .because("the yoke's joint is there"),
        );
    }
    larger(
        BACKWARDS,
        (&yoke.bolt_head_reach, "bolt heads ahead"),
        length,
        "they lie beside the barrel",
        true,
        out,
    );
    let end = (&yoke.shaft_spline_to, "its end");
    larger(
        BACKWARDS,
        (&yoke.shaft_spline_from, "the spline's beginning"),
        end,
        "stations run aft",
        false,
        out,
    )
}

/// Half the pitch is tooth and half is gap; the backlash must leave some of the tooth.
fn backlash(mating: &RawMating, out: &mut Verdicts) -> Option<()> {
    let gears = mating.speedometer.as_ref()?;
    let tooth = gears.module.get()? * std::f64::consts::FRAC_PI_2;
    let play = gears.backlash.get()?;
    if !above(tooth, play) {
        let (own, limit) = (out.mm(play), out.mm(tooth));
        out.add(
            error(BACKLASH, &gears.backlash, format!("a backlash of {own} is as much as the tooth is thick"))
                .allowed(format!("below {limit}"))
                .beside(gears.module.place(), "the gears' module")
                .because("a tooth is half of pi times the module thick"),
        );
    }
    Some(())
}

/// Plain stretches run aft, end on the old housing, and lie apart.
fn plain(vehicle: &RawVehicle, out: &mut Verdicts) {
    let end = vehicle.donor.as_ref().map(|d| &d.overall_length);
    let mut known: Vec<(Mm, Mm, usize)> = Vec::new();
    for (i, stretch) in vehicle.donor_plain.items.iter().enumerate() {
        let Some((from, to)) = stretch.from.get().zip(stretch.to.get()) else { continue };
        let why = "stations run aft";
        if !above(to, from) {
            larger(
                PLAIN,
                (&stretch.from, "the stretch's beginning"),
                (&stretch.to, "its end"),
                why,
                false,
                out,
            );
            continue;
        }
        if let Some(end) = end {
            let why = "the old housing ends there";
            larger(
                PLAIN,
                (&stretch.to, "the stretch's end"),
                (end, "the old housing's length"),
                why,
                true,
                out,
            );
        }
        if let Some((_, _, other)) = known.iter().find(|(a, b, _)| above(*b, from) && above(to, *a)) {
            let message = format!("stretches {} and {} overlap", other + 1, i + 1);
            let first = vehicle.donor_plain.items.get(*other).and_then(|s| s.from.place());
            let said = error(PLAIN, &stretch.from, message).beside(first, "the other");
            out.add(said.hint("join the two, or move an end"));
        }
        known.push((from, to, i));
    }
}

fn twice(vehicle: &RawVehicle, out: &mut Verdicts) {
    let mut both = |a: &Parameter<f64>, given: bool, place, other: &str| {
        if a.get().is_some() && given {
            out.add(
                error(TWICE, a, format!("`{other}` gives the same value in another way"))
                    .beside(place, "the other")
                    .hint("leave one of the two out"),
            );
        }
    };
    if let Some(i) = &vehicle.instrument {
        both(&i.turns_per_km, i.turns_per_mile.get().is_some(), i.turns_per_mile.place(), "turns_per_mile");
        both(
            &i.pulses_per_km,
            i.pulses_per_mile.get().is_some(),
            i.pulses_per_mile.place(),
            "pulses_per_mile",
        );
    }
    if let Some(a) = &vehicle.axle {
        both(
            &a.tyre_turns_per_mile,
            a.tyre_diameter.get().is_some(),
            a.tyre_diameter.place(),
            "tyre_diameter",
        );
    }
}

fn shaft(mating: &RawMating, vehicle: &RawVehicle, out: &mut Verdicts) -> Option<()> {
    let shaft = vehicle.propshaft.as_ref()?;
    if let Some((outside, wall)) = shaft.tube_outside.get().zip(shaft.tube_wall.get())
        && !above(outside, wall * 2.0)
    {
        let (own, limit) = (out.mm(wall), out.mm(outside / 2.0));
        out.add(
            error(NO_TUBE, &shaft.tube_wall, format!("a wall of {own} fills the tube"))
                .allowed(format!("below {limit}"))
                .beside(shaft.tube_outside.place(), "the tube's outside")
                .because("a propeller shaft is a tube"),
        );
    }
    let joint = mating.yoke.as_ref()?.values()?.joint()?;
    let rear = shaft.rear_joint_station.get()?;
    if !above(rear, joint) {
        let (own, limit) = (out.mm(rear), out.mm(joint));
        out.add(
            error(
                BACKWARDS,
                &shaft.rear_joint_station,
                format!("the rear joint at {own} is not behind the front one"),
            )
            .allowed(format!("aft of {limit}"))
            .because("the yoke's joint is there"),
        );
    }
    Some(())
}

fn travel(mating: &RawMating, vehicle: &RawVehicle, out: &mut Verdicts) -> Option<()> {
    let raw = vehicle.suspension.as_ref()?;
    let (suspension, yoke) = (raw.values()?, mating.yoke.as_ref()?.values()?);
    let driveline = vehicle.propshaft.as_ref()?.values()?.driveline(&yoke, &suspension)?;
    if let Err(fault) = driveline.plunge_range(-suspension.droop, suspension.bump) {
        let said = format!("{fault}, at the end of the travel");
        out.add(match fault {
            PlungeError::Arm { .. } => error(ARM, &raw.arm, said)
                .beside(raw.bump.place(), "the travel")
                .hint("`arm` is the distance from its pivot to the rear joint: check it, `arm_rise`, or `bump` and `droop`"),
            PlungeError::Short { .. } => error(ARM, &raw.bump, said)
                .hint("check the propeller shaft's `rear_joint_station` and `rear_joint_height`, or `bump` and `droop`"),
        });
    }
    Some(())
}
