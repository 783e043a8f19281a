//! Fits, seal, slip yoke, driveline, speedometer, line-up and shift rail: calculations that need no solid.
//!
//! Checks whose keys are missing are not made, and the report names the key to set. Figures without a limit go to
//! [`super::DrivelineReport`].

mod bushing;
mod driveline;
mod flange;
mod limits;
mod line_up;
mod loads;
mod machined;
mod oil;
mod places;
mod rail;
mod seal;
mod speedometer;
mod yoke;

pub use line_up::{MeasuredBore, measured_line_up, measured_play};
pub(super) use loads::{Case, SectionLoad, Support, UNLOADED, at_mounts, section_load, supports, weight};
pub use machined::{MachinedFit, machined_fit, machined_fits};

use limits::MatingLimits;

use super::driveline_report::Table;
use super::{Checks, Limit, Measurement, Sense, Unit};
use crate::design::{
    Axle, BushingPart, Design, Fasteners, GearsPart, HardPoints, Instrument, Loads, Mating, Oil, Propshaft,
    PulseWheel, RailPart, RegisterMate, SealPart, Suspension, Tolerances, Vehicle, YokePart,
};
use crate::finding::{Finding, Hindrance};
use crate::standards::limits_and_fits::Fit;
use crate::standards::speedometer::{KM_PER_MILE, tyre_per_mile};
use crate::units::Mm;
use solidwright::geometry::P3;

/// The reason why a check is not made, as the error.
type CheckResult = Result<(), String>;

/// Inputs shared by all calculations.
struct Facts<'a> {
    design: &'a Design,
    mating: &'a Mating,
    vehicle: &'a Vehicle,
    limits: MatingLimits,
    /// The rules that the file's values break.
    against: Vec<&'a Finding>,
}

/// Name of the check that reports whether the parts in the housing are possible.
const TOGETHER: &str = "parts that go together";

/// The greatest error of line-up with the gearbox's shaft, mm.
pub fn line_up_limit(design: &Design) -> Limit {
    MatingLimits::of(design).line_up
}

/// The load cases of the mount.
///
/// # Errors
/// The key that is missing.
pub(super) fn load_cases(design: &Design) -> Result<Vec<Case>, String> {
    loads::cases(&Facts::of(design))
}

pub(super) fn check(design: &Design, out: &mut Checks) {
    let facts = Facts::of(design);
    for finding in &facts.against {
        out.cannot(TOGETHER, finding.subject(), Hindrance::Design(finding.in_a_line()));
    }
    for (what, calculation) in CALCULATIONS {
        if let Err(because) = calculation(&facts, out) {
            out.not(what, because);
        }
    }
}

type Calculation = fn(&Facts<'_>, &mut Checks) -> CheckResult;

/// All calculations, each with the name under which it is reported when it cannot be made.
const CALCULATIONS: &[(&str, Calculation)] = &[
    ("length of the bushing", bushing::length),
    ("press fit of the bushing", bushing::press),
    ("bushing when hot", bushing::hot),
    ("running clearance of the yoke", bushing::running),
    ("running clearance when hot", bushing::running_hot),
    ("bushing and yoke when cold", bushing::cold),
    ("fit of the register", flange::register),
    ("bolts around the shaft", flange::spacing),
    ("press and depth of the seal", seal::press),
    ("speed of the seal's lip", seal::speed),
    ("oil's temperature at the seal's lip", seal::heat),
    ("offset and runout under the seal", seal::offset),
    ("spline of the yoke", yoke::engagement),
    ("way of the yoke inwards", yoke::bottoming),
    ("bolt heads off the seal", yoke::bolt_heads),
    ("bushing and lip on the yoke's barrel", yoke::covered),
    ("strength of the yoke", yoke::strength),
    ("choice of yoke and bushing", yoke::choices),
    ("length of the propeller shaft", driveline::length),
    ("critical speed of the propeller shaft", driveline::critical),
    ("joint angles", driveline::angles),
    ("speedometer's ratio", speedometer::ratio),
    ("mesh of the speedometer's gears", speedometer::mesh),
    ("drive gear on the shaft", speedometer::room),
    ("pulses of the sender", speedometer::pulses),
    ("pulse sender and its tooth wheel", speedometer::wheel),
    ("line-up of bores", line_up::bores),
    ("bolt pattern", flange::bolts),
    ("pressure under bolt heads", loads::tightened),
    ("load on the mount", loads::mount),
    ("load on the gearbox face", loads::face),
    ("load on the bushing", loads::bushing),
    ("oil in the housing", oil::level),
    ("breather above the oil", oil::breather),
    ("length of the shift rail", rail::length),
    ("shift rail in its bore", rail::bore),
    ("vehicle's hard points", places::moves),
    ("lever in the tunnel's hole", places::lever),
    ("shift-box pad under the tunnel", places::under),
    ("speedometer's cable", places::cable_bow),
];

/// A value that a calculation needs from the file.
fn need<T>(value: Option<T>, key: &str) -> Result<T, String> {
    value.ok_or_else(|| format!("`{key}` is not given"))
}

/// Any error of a table or formula, as the reason.
fn because(error: impl std::fmt::Display) -> String {
    error.to_string()
}

/// The parts that calculations need, or the key that is missing.
macro_rules! parts {
    ($($of:ident: $($part:ident $kind:ident $key:literal,)*;)*) => {
        impl<'a> Facts<'a> {
            $($(fn $part(&self) -> Result<&'a $kind, String> {
                self.sound($key)?;
                need(self.$of.$part.as_ref(), $key)
            })*)*
        }
    };
}

parts! {
    mating:
        bushing BushingPart "mating.bushing",
        seal SealPart "mating.seal",
        yoke YokePart "mating.yoke",
        register RegisterMate "mating.register",
        rail RailPart "mating.rail",
        speedometer GearsPart "mating.speedometer",
        pulse_wheel PulseWheel "mating.pulse_wheel",
        tolerances Tolerances "mating.tolerances",
        fasteners Fasteners "mating.fasteners",;
    vehicle:
        axle Axle "vehicle.axle",
        instrument Instrument "vehicle.instrument",
        propshaft Propshaft "vehicle.propshaft",
        suspension Suspension "vehicle.suspension",
        loads Loads "vehicle.loads",
        hard_points HardPoints "vehicle.hard_points",;
}

impl<'a> Facts<'a> {
    fn of(design: &'a Design) -> Self {
        let (mating, vehicle) = (design.mating(), design.vehicle());
        let against = design.against_fits().collect();
        Facts { design, mating, vehicle, limits: MatingLimits::of(design), against }
    }
}

impl Facts<'_> {
    /// No calculation is made with a section that breaks a rule.
    fn sound(&self, section: &str) -> CheckResult {
        let within =
            |f: &&&Finding| f.subject().strip_prefix(section).is_some_and(|rest| rest.starts_with('.'));
        self.against.iter().find(within).map_or(Ok(()), |f| Err(f.in_a_line()))
    }

    fn oil_level(&self) -> Result<&Oil, String> {
        self.sound("mating.oil")?;
        need(self.mating.oil.as_ref(), "mating.oil")
    }

    fn oil(&self) -> Result<f64, String> {
        need(self.mating.oil_temperature, "mating.oil_temperature")
    }

    /// Turns of the tyre per mile; from its diameter 3 % more than by its circumference, since its rolling radius is
    /// smaller (practice).
    fn tyre(&self) -> Result<f64, String> {
        let axle = self.axle()?;
        let rolled = |diameter: Mm| 1.03 * tyre_per_mile(diameter);
        need(axle.tyre_turns_per_mile.or(axle.tyre_diameter.map(rolled)), "vehicle.axle.tyre_turns_per_mile")
    }

    /// Highest speed of the gearbox's output shaft, rev/min: the greater of those from road speed and engine.
    fn output_rpm(&self) -> Result<f64, String> {
        let axle = self.axle()?;
        let by_engine = axle.engine_speed.map(|rpm| rpm / axle.top_gear.unwrap_or(1.0));
        let by_road = match axle.top_speed {
            Some(speed) => Some(speed / KM_PER_MILE / 60.0 * axle.ratio * self.tyre()?),
            None => None,
        };
        need(by_engine.into_iter().chain(by_road).reduce(f64::max), "vehicle.axle.top_speed")
    }

    /// Least and greatest travel of the yoke, outwards above zero.
    fn plunge(&self) -> Result<[Mm; 2], String> {
        let yoke = self.yoke()?;
        let suspension = self.suspension()?;
        let shaft = self.propshaft()?;
        let driveline = need(shaft.driveline(yoke, suspension), "mating.yoke.joint_behind")?;
        driveline.plunge_range(-suspension.droop, suspension.bump).map_err(because)
    }

    /// Clearance of the yoke's barrel in the finished bushing, cold.
    fn running(&self) -> Result<Fit, String> {
        let bushing = self.bushing()?;
        let yoke = self.yoke()?;
        let [hole, shaft] = bushing.running_fit.sides(bushing.bore).map_err(because)?;
        let fit = Fit::between(hole, shaft);
        let more = bushing.bore - yoke.barrel_diameter;
        let closing = if bushing.bored_in_place { [Mm::default(); 2] } else { bushing::closing(self)? };
        Ok(Fit {
            least_clearance: fit.least_clearance + more - closing[1],
            greatest_clearance: fit.greatest_clearance + more - closing[0],
        })
    }

    /// Station of the seal's lip: the middle of the seal, seated on its shoulder.
    fn lip(&self) -> Result<Mm, String> {
        let seal = self.seal()?;
        Ok(self.design.tail().bushing().rear() + seal.width / 2.0)
    }

    /// A zone or range of lengths as words, in the file's unit.
    fn span(&self, range: [Mm; 2]) -> String {
        self.design.units().between(range.map(Mm::get), 3)
    }
}

/// A place on the shaft's axis.
fn on_axis(station: Mm) -> [P3; 1] {
    [P3::new(station.get(), 0.0, 0.0)]
}

/// A measurement that must be at least its limit.
fn least(check: &'static str, what: &str, value: f64, unit: Unit, hint: &'static str) -> Measurement {
    Measurement::new(check, what, (value, unit), Sense::AtLeast, hint)
}

/// A measurement that must be at most its limit.
fn most(check: &'static str, what: &str, value: f64, unit: Unit, hint: &'static str) -> Measurement {
    Measurement::new(check, what, (value, unit), Sense::AtMost, hint)
}
