//! The bushing in its seat, cold and hot, and the yoke's barrel in the bushing.

use super::machined::{SeatHole, seat_hole};
use super::{CheckResult, Facts, because, least, most, on_axis};
use crate::checks::{Checks, Limit, Measurement, Unit};
use crate::faces::{Feature, Role};
use crate::standards::limits_and_fits::Fit;
use crate::standards::mating_materials::{Elastic, MATING_MATERIALS};
use crate::standards::press_fit::{PressFit, Pressed, smoothing, wrapped_bush_outside};
use crate::standards::properties::{Properties, of_alloy, strength_in_casting, strength_source};
use crate::units::{MPa, Mm};

/// Temperature at which parts are measured and assembled, °C (ISO 1).
const COLD: f64 = 20.0;

/// The bushing's outside and its seat: nominal fit and interference.
struct Seated {
    fit: PressFit,
    /// Least and greatest interference as measured.
    interference: [Mm; 2],
    /// The least when the peaks of both surfaces have been pressed flat: what holds the bushing.
    holding: Mm,
    source: &'static str,
}

fn housing(f: &Facts<'_>) -> Result<&'static Properties, String> {
    of_alloy(f.design.casting().alloy()).map_err(because)
}

fn seated(f: &Facts<'_>) -> Result<Seated, String> {
    let bushing = f.bushing()?;
    let (tail, seat) = (f.design.tail(), f.design.tail().bushing().bore());
    let sizes = [bushing.bore, seat, tail.around_bushing()];
    let fit = PressFit::new(sizes, bushing.material.elastic, Elastic::from(housing(f)?)).map_err(because)?;
    let SeatHole { deviations: hole, source, .. } = seat_hole(bushing, seat)?;
    let interference = if let Some(name) = bushing.seat_fit {
        let [_, shaft] = name.sides(seat).map_err(because)?;
        let sides = Fit::between(hole, shaft);
        [sides.least_interference(), sides.greatest_interference()]
    } else {
        let [low, high] = wrapped_bush_outside(seat).map_err(because)?;
        [low - hole.upper, high - hole.lower]
    };
    let smoothed =
        smoothing([bushing.seat_roughness, bushing.outside_roughness].map(|rz| Mm::new(rz / 1000.0)));
    Ok(Seated { fit, interference, holding: interference[0] - smoothed, source })
}

/// Least and greatest contraction of the bushing's bore by the press fit.
pub(super) fn closing(f: &Facts<'_>) -> Result<[Mm; 2], String> {
    let seated = seated(f)?;
    Ok(seated.interference.map(|i| seated.fit.pressed(i).bore_closing))
}

fn placed(f: &Facts<'_>, checked: Measurement) -> Measurement {
    let seat = f.design.tail().bushing();
    checked.at(on_axis((seat.front() + seat.rear()) / 2.0), [Feature::Tail.face(Role::BushingSeat)])
}

/// Equivalent stresses (von Mises) that a press fit leaves in the ring and in the bushing.
fn stresses(f: &Facts<'_>, what: &str, pressed: &Pressed, out: &mut Checks) -> CheckResult {
    let bushing = f.bushing()?;
    let row = housing(f)?;
    let stress = |check, value: MPa, limit: MPa, source: &str| {
        let limit = Limit { value: limit.get(), source: source.to_owned(), given: false };
        let hint = "choose a looser fit, a thinner bushing or a thicker ring around it";
        placed(f, most(check, what, value.abs().get(), Unit::MPa, hint).fails_by(&limit))
    };
    out.measurements.push(stress(
        "stress around the bushing's seat",
        pressed.housing_equivalent,
        MPa::new(strength_in_casting(row.strength[0])),
        &strength_source(f.design.casting().alloy(), row),
    ));
    match bushing.material.strength {
        Some([yields, _]) => out.measurements.push(stress(
            "compression of the bushing",
            pressed.bush_equivalent,
            yields,
            bushing.material.source,
        )),
        None => out.not("compression of the bushing", "no strength is known for its material"),
    }
    Ok(())
}

/// Length of the bushing relative to its bore and its seat.
pub(super) fn length(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let bushing = f.bushing()?;
    let seat = f.design.tail().bushing();
    let (by_bore, by_seat) = (bushing.length / bushing.bore, bushing.length / (seat.rear() - seat.front()));
    let name = "length of the bushing";
    let hint = "take a longer bushing: a short one tilts and wears oval";
    let long = least(name, "over its bore", by_bore, Unit::One, hint).fails_by(&f.limits.bushing_length);
    out.measurements.push(placed(f, long.warns_too_by(&f.limits.bushing_length_soft)));
    let fills =
        least(name, "over its seat", by_seat, Unit::One, "take a longer bushing, or shorten the seat");
    let fills = fills.fails_by(&f.limits.seat_filled).warns_too_by(&f.limits.seat_filled_soft);
    out.measurements.push(placed(f, fills));
    let short = most(name, "over its bore, greatest", by_bore, Unit::One, "take a shorter bushing, or two");
    out.measurements.push(placed(f, short.warns_by(&f.limits.bushing_length_most)));
    Ok(())
}

/// Interference, stresses, force, and the bore to finish to.
pub(super) fn press(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let seated = seated(f)?;
    let bushing = f.bushing()?;
    let [low, high] = seated.interference;
    let pressed = seated.interference.map(|i| seated.fit.pressed(i));
    let hint = "choose a tighter fit, such as H7/t6, a finer bored seat, or pin the bushing";
    let what = "in its seat, least, peaks pressed flat";
    let tight = least("interference of the bushing", what, seated.holding.get(), Unit::Mm, hint);
    out.measurements.push(placed(f, tight.fails_by(&f.limits.nothing)));
    // At rest, hot or in the coldest winter, whichever gives the highest pressure.
    let temperatures = [Some(COLD), Some(bushing.coldest), f.mating.oil_temperature];
    let at = |t: f64| (t, seated.fit.warmed(high, t - COLD));
    let worst = temperatures.into_iter().flatten().map(at).max_by(|a, b| a.1.get().total_cmp(&b.1.get()));
    let (at, worst) = worst.unwrap_or((COLD, high));
    stresses(f, &format!("at {at} °C, greatest interference"), &seated.fit.pressed(worst), out)?;
    let driveline = &mut out.driveline;
    let range = |of: &dyn Fn(usize) -> f64| [of(0), of(1)];
    driveline.between("bushing", "interference", [low.get(), high.get()], Unit::Mm, seated.source);
    driveline.leading();
    let lost = (low - seated.holding).get();
    let note =
        "0.4 of both surfaces' Rz: DIN 7190-1:2017 through a program's manual, read; it was 0.8 before";
    driveline.add("bushing", "interference lost as peaks are pressed flat", lost, Unit::Mm, note);
    driveline.between(
        "bushing",
        "pressure in the seat",
        range(&|i| pressed[i].pressure.get()),
        Unit::MPa,
        "Lamé, at 20 °C",
    );
    let closing = range(&|i| pressed[i].bore_closing.get());
    driveline.between("bushing", "closing of the bore", closing, Unit::Mm, "on the diameter, by the press");
    let growth = range(&|i| pressed[i].housing_growth.get());
    driveline.between("bushing", "growth of the ring around it", growth, Unit::Mm, "on the diameter");
    let force = range(&|i| seated.fit.press_force(&pressed[i], bushing.friction, bushing.length));
    driveline.between(
        "bushing",
        "force to press it in",
        force,
        Unit::Newton,
        format!("friction {}", bushing.friction),
    );
    driveline.leading();
    let [hole, _] = bushing.running_fit.sides(bushing.bore).map_err(because)?;
    let note = if bushing.bored_in_place {
        "bore to this after pressing in, true to the register"
    } else {
        "as bought; the press closes it by the figure above"
    };
    driveline.between("bushing", "bore", hole.sizes(bushing.bore).map(Mm::get), Unit::Mm, note);
    driveline.leading();
    Ok(())
}

/// Whether the bushing stays put at the oil's temperature.
pub(super) fn hot(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (seated, oil) = (seated(f)?, f.oil()?);
    let bushing = f.bushing()?;
    let warm = [seated.holding, seated.interference[1]].map(|i| seated.fit.warmed(i, oil - COLD));
    let what = if bushing.pinned { "pinned, least interference" } else { "least interference" };
    if let Some(rise) = seated.fit.loosening_rise(seated.holding) {
        let limit = Limit { value: oil, source: "`mating.oil_temperature`".to_owned(), given: false };
        let hint =
            "choose a tighter fit or a bushing that grows like the housing, or pin it (`pinned: true`)";
        // What holds nothing once its peaks are pressed flat is loose at once.
        let (what, up_to) = if rise > 0.0 { (what, COLD + rise) } else { ("loose at once", COLD) };
        let loose = least("bushing tight up to", what, up_to, Unit::Celsius, hint);
        let loose = if bushing.pinned { loose.warns_by(&limit) } else { loose.fails_by(&limit) };
        out.measurements.push(placed(f, loose));
    }
    let hint = "ask for more interference, or pin the bushing";
    let left = least("interference of the bushing when hot", what, warm[0].get(), Unit::Mm, hint);
    out.measurements.push(placed(f, left.warns_by(&f.limits.hot_interference)));
    let driveline = &mut out.driveline;
    driveline.between(
        "bushing",
        "interference when hot",
        warm.map(Mm::get),
        Unit::Mm,
        format!("at {oil} °C"),
    );
    driveline.leading();
    let wanted = seated.fit.interference_for(oil) + seated.interference[0] - seated.holding;
    driveline.add(
        "bushing",
        "interference to ask for",
        wanted.get(),
        Unit::Mm,
        format!("keeps {} when hot", f.design.units().to_places(f.limits.hot_interference.value, 2)),
    );
    Ok(())
}

/// When the clearance of the yoke is looked at.
#[derive(Clone, Copy, PartialEq, Eq)]
enum When {
    /// At the temperature of assembly.
    AtRest,
    /// At the oil's temperature.
    Hot,
    /// At the coldest start.
    Cold,
}

impl When {
    const fn check(self) -> &'static str {
        match self {
            Self::AtRest => "running clearance of the yoke",
            Self::Hot => "running clearance of the yoke when hot",
            Self::Cold => "running clearance of the yoke when cold",
        }
    }
}

fn clearances(f: &Facts<'_>, what: &str, [low, high]: [Mm; 2], when: When, out: &mut Checks) {
    let hint = "choose a looser running fit, or bore the bushing after it has been pressed in";
    let name = when.check();
    let tight = least(name, &format!("{what}, least"), low.get(), Unit::Mm, hint).fails_by(&f.limits.nothing);
    let tight = if when == When::AtRest { tight.warns_too_by(&f.limits.clearance_new) } else { tight };
    let hint = "choose a closer running fit, or a barrel of the bushing's size";
    let loose = most(name, &format!("{what}, greatest"), high.get(), Unit::Mm, hint);
    let loose = loose.fails_by(&f.limits.clearance).warns_too_by(&f.limits.clearance_soft);
    out.measurements.extend([tight, loose].map(|c| placed(f, c)));
}

/// The yoke's barrel in the bushing, at the temperature of assembly.
pub(super) fn running(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let fit = f.running()?;
    let range = [fit.least_clearance, fit.greatest_clearance];
    clearances(f, "at 20 °C", range, When::AtRest, out);
    let bushing = f.bushing()?;
    let note = format!("{}, {}", bushing.running_fit, bushing.running_fit.source());
    out.driveline.between("yoke", "running clearance, cold", range.map(Mm::get), Unit::Mm, note);
    out.driveline.leading();
    Ok(())
}

/// Least and greatest clearance of the yoke's barrel with everything at a temperature, °C: the bushing expands freely, and
/// its seat compresses it less or more; the barrel is steel.
pub(super) fn range_at(f: &Facts<'_>, temperature: f64) -> Result<[Mm; 2], String> {
    let (fit, seated, rise) = (f.running()?, seated(f)?, temperature - COLD);
    let bushing = f.bushing()?;
    let barrel = f.yoke()?.barrel_diameter;
    let steel = MATING_MATERIALS[0].elastic.expansion;
    let grown = bushing.bore * (bushing.material.elastic.expansion * rise) - barrel * (steel * rise);
    let eased = seated.interference.map(|i| {
        let closing = |i: Mm| seated.fit.pressed(i).bore_closing;
        closing(i) - closing(seated.fit.warmed(i, rise))
    });
    Ok([
        fit.least_clearance + grown + eased[0].min(eased[1]),
        fit.greatest_clearance + grown + eased[0].max(eased[1]),
    ])
}

/// The yoke's barrel in the bushing at the oil's temperature.
pub(super) fn running_hot(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (fit, oil) = (f.running()?, f.oil()?);
    let range = range_at(f, oil)?;
    clearances(f, &format!("at {oil} °C"), range, When::Hot, out);
    let note =
        format!("at {oil} °C all over; cold it is {}", f.span([fit.least_clearance, fit.greatest_clearance]));
    out.driveline.between("yoke", "running clearance, hot", range.map(Mm::get), Unit::Mm, note);
    out.driveline.leading();
    Ok(())
}

/// At the coldest start: whether the bushing stays put and the yoke still turns in it.
pub(super) fn cold(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (seated, bushing) = (seated(f)?, f.bushing()?);
    let coldest = bushing.coldest;
    let [low, high] = [seated.holding, seated.interference[1]].map(|i| seated.fit.warmed(i, coldest - COLD));
    let what = if bushing.pinned { "pinned, least interference" } else { "least interference" };
    let hint = "choose a tighter fit, a bushing that shrinks like the housing, or pin it (`pinned: true`)";
    let tight = least("interference of the bushing when cold", what, low.get(), Unit::Mm, hint);
    let tight =
        if bushing.pinned { tight.warns_by(&f.limits.nothing) } else { tight.fails_by(&f.limits.nothing) };
    out.measurements.push(placed(f, tight));
    let note = format!("at {coldest} °C");
    out.driveline.between("bushing", "interference when cold", [low, high].map(Mm::get), Unit::Mm, note);
    let range = range_at(f, coldest)?;
    clearances(f, &format!("at {coldest} °C"), range, When::Cold, out);
    Ok(())
}
