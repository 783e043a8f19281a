//! `mating`: parts that work in the housing or are fitted to it. All keys are optional; parts that are left out are
//! not checked.

use super::keep_clear::RawTurning;
use super::mating_fasteners::FastenersKeys;
use super::mating_gears::{GearsPartKeys, PulseWheelKeys, RailPartKeys, TolerancesKeys};
use super::mating_oil::OilKeys;
use super::section::section;
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Choice, Count, Factor, Fits, Flag, Length, Measure, Range};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::fit_names::FitName;
use crate::standards::lip_seal::{Casing, Lip};
use crate::standards::mating_materials::{self, MatingMaterial};
use crate::units::{Mm, ROUGHNESS, STRESS, TEMPERATURE, TORQUE};

const BORE: Range = range(10.0, 150.0, "a slip yoke's barrel and its bushing");
pub(super) const LENGTH: Range = range(1.0, 500.0, PART_SIZE);
pub(super) const STATION: Range = range(-500.0, 2000.0, "a station beside the housing");

/// Parts that work in the housing.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMating {
    /// Parts that turn about the shaft.
    pub turning: ParameterList<RawTurning>,
    /// Highest temperature of the oil, °C.
    pub oil_temperature: Parameter<f64>,
    /// The bushing in its seat.
    pub bushing: Option<BushingPartKeys>,
    /// The seal in its counterbore.
    pub seal: Option<SealPartKeys>,
    /// The slip yoke.
    pub yoke: Option<YokePartKeys>,
    /// The gearbox's bore around the register.
    pub register: Option<RegisterMateKeys>,
    /// The shift rail.
    pub rail: Option<RailPartKeys>,
    /// The speedometer's gears.
    pub speedometer: Option<GearsPartKeys>,
    /// The tooth wheel of a pulse sender.
    pub pulse_wheel: Option<PulseWheelKeys>,
    /// Position errors.
    pub tolerances: Option<TolerancesKeys>,
    /// The oil.
    pub oil: Option<OilKeys>,
    /// Bolts into the housing and through its gearbox face.
    pub fasteners: FastenersKeys,
}

impl Section for RawMating {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const OIL: Range = range(20.0, 200.0, "from a cold gearbox to oil that burns");
        Self {
            turning: s
                .key(
                    "turning",
                    "Parts that turn about the shaft inside: shaft, gears, snap rings, slip yoke.",
                )
                .list(0, 24),
            oil_temperature: s
                .key("oil_temperature", "Highest temperature of the oil, for fits when hot.")
                .value(Measure(&TEMPERATURE, OIL), "110 °C")
                .optional(),
            bushing: s.key("bushing", "The bushing pressed into its seat.").optional_section(),
            seal: s.key("seal", "The seal pressed into its counterbore.").optional_section(),
            yoke: s.key("yoke", "The slip yoke, at its position at ride height.").optional_section(),
            register: s
                .key("register", "The gearbox's bore or spigot that mates with the register.")
                .optional_section(),
            rail: s.key("rail", "The shift rail.").optional_section(),
            speedometer: s
                .key("speedometer", "The speedometer's drive gear on the shaft and driven gear on the cable.")
                .optional_section(),
            pulse_wheel: s
                .key("pulse_wheel", "A tooth wheel on the shaft whose teeth a pulse sender counts.")
                .optional_section(),
            tolerances: s
                .key(
                    "tolerances",
                    "Position errors that machining may leave; `tolerances: {}` takes the defaults.",
                )
                .optional_section(),
            oil: s.key("oil", "The oil: its level, and how far it leans.").optional_section(),
            fasteners: s
                .key("fasteners", "Bolts into the housing's threads and through its gearbox face.")
                .default_section(),
        }
    }
}

const MATERIAL: Choice<&'static MatingMaterial> = Choice(&[
    (
        "bronze",
        &mating_materials::MATING_MATERIALS[1],
        "turned from continuously cast C93200 (SAE 660, ASTM B505)",
    ),
    ("bronze_on_steel", &mating_materials::MATING_MATERIALS[2], "wrapped strip, lead bronze on a steel back"),
    ("steel", &mating_materials::MATING_MATERIALS[0], "low-carbon steel"),
]);

section! {
    /// The bushing pressed into its seat.
    pub struct BushingPartKeys => BushingPart {
        /// Bore of the bushing when finished, nominal.
        bore: Mm = |k| k.value(Length(BORE), "39.6875").required();
        /// Length of the bushing.
        length: Mm = |k| k.value(Length(LENGTH), "41.275").required();
        /// Its material.
        material: &'static MatingMaterial = |k| k.value(MATERIAL, "bronze").required();
        /// Fit of the yoke's barrel in the finished bore.
        running_fit: FitName = |k| k.value(Fits, "H8/f7").or_assume(
            FitName::Iso(RUNNING), "0.025 to 0.089 mm of clearance at 45 mm", PRACTICE);
        /// Whether it is bored to size after it has been pressed in; otherwise the press fit closes its bore.
        bored_in_place: bool = |k| k.value(Flag, "true").or_assume(true, "makes it true to the register", PRACTICE);
        /// Whether it is pinned or staked, so that it can't turn when loose.
        pinned: bool = |k| k.value(Flag, "false").or_assume(false, "held by the press fit alone", PRACTICE);
        /// Friction while it is pressed in.
        friction: f64 = |k| k.value(Factor(range(0.02, 0.5, "oiled to dry metal")), "0.12").or_assume(
            0.12, "0.08 to 0.16 with oil", PRACTICE);
        /// Roughness Rz of the seat: the press flattens its peaks, which costs interference.
        seat_roughness: f64 = |k| k.value(Measure(&ROUGHNESS, ROUGH), "6 µm").or_assume(
            6.0, "a finely bored seat", PRACTICE);
        /// Roughness Rz of the bushing's outside.
        outside_roughness: f64 = |k| k.value(Measure(&ROUGHNESS, ROUGH), "3 µm").or_assume(
            3.0, "a finely turned bushing", PRACTICE);
        /// Lowest temperature at which the vehicle is driven off, for fits when cold.
        coldest: f64 = |k| k.value(Measure(&TEMPERATURE, range(-70.0, 20.0, "winters")), "-40 °C").or_assume(
            -40.0, "the coldest start that vehicles are made for", PRACTICE);
    } optional {
        /// Fit of the bushing in its seat; if left out, a wrapped bushing has its standard outside diameter for a
        /// seat H7.
        seat_fit: FitName = |k| k.value(Fits, "H7/s6").optional();
    }
}

const ROUGH: Range = range(0.0, 100.0, "surfaces from lapped to rough turned");

const RUNNING: crate::standards::limits_and_fits::FitClass = {
    use crate::standards::limits_and_fits::{FitClass, Grade, Letter, Side, ToleranceClass};
    FitClass {
        hole: ToleranceClass { side: Side::Hole, letter: Letter::H, grade: Grade::EIGHT },
        shaft: ToleranceClass { side: Side::Shaft, letter: Letter::F, grade: Grade::SEVEN },
    }
};

const CASING: Choice<Casing> =
    Choice(&[("metal", Casing::Metal, "bare metal"), ("rubber", Casing::Rubber, "rubber over metal")]);

const LIP: Choice<Lip> = Choice(&[
    ("nbr", Lip::Nbr, "nitrile"),
    ("hnbr", Lip::Hnbr, "hydrogenated nitrile"),
    ("acm", Lip::Acm, "polyacrylate"),
    ("vmq", Lip::Vmq, "silicone"),
    ("fkm", Lip::Fkm, "fluorocarbon"),
]);

section! {
    /// The seal pressed into its counterbore.
    pub struct SealPartKeys => SealPart {
        /// Nominal outside diameter: that of the bore for which it is made.
        outside_diameter: Mm = |k| k.value(Length(range(20.0, 300.0, PART_SIZE)), "61.9125").required();
        /// Width.
        width: Mm = |k| k.value(Length(range(3.0, 40.0, PART_SIZE)), "12").required();
        /// Diameter of the shaft for which it is made.
        shaft_diameter: Mm = |k| k.value(Length(BORE), "39.6875").required();
        /// Material of its outside.
        casing: Casing = |k| k.value(CASING, "rubber").required();
        /// Material of its lip.
        lip: Lip = |k| k.value(LIP, "acm").required();
        /// Runout of the yoke's barrel under the lip, total indicator reading.
        runout: Mm = |k| k.value(Length(range(0.0, 2.0, "a ground journal")), "0.05").or_assume(
            Mm::new(0.05), "a ground barrel in a bushing", PRACTICE);
    } optional {
    }
}

section! {
    /// The slip yoke, at its position at ride height.
    pub struct YokePartKeys => YokePart {
        /// Diameter of its barrel, nominal.
        barrel_diameter: Mm = |k| k.value(Length(BORE), "39.6875").required();
        /// Length of its ground barrel, from its front end to its shoulder.
        barrel_length: Mm = |k| k.value(Length(LENGTH), "111.125").required();
        /// Station of its front end at ride height.
        front: Mm = |k| k.value(Length(STATION), "265.1125").required();
        /// By how much the torque is exceeded when the clutch is let in with a jerk.
        shock_factor: f64 = |k| k.value(Factor(range(1.0, 5.0, "drivelines")), "2").or_assume(
            2.0, "a clutch let in with a jerk about doubles the torque", PRACTICE);
    } optional {
        /// Station of the part that its front end meets when it bottoms: drive gear, snap ring or bearing.
        bottoms_at: Mm = |k| k.value(Length(STATION), "283").optional();
        /// Major diameter of its internal spline.
        spline_major: Mm = |k| k.value(Length(BORE), "31.75").optional();
        /// Pitch diameter of the spline.
        spline_pitch: Mm = |k| k.value(Length(BORE), "30.48").optional();
        /// Teeth of the spline.
        spline_teeth: u32 = |k| k.value(Count(range(4.0, 80.0, "splines of output shafts")), "24").optional();
        /// Thickness of a spline tooth at the pitch diameter; half the pitch if left out.
        tooth_thickness: Mm = |k| k.value(Length(range(0.3, 20.0, PART_SIZE)), "1.6").optional();
        /// Length of its spline, from its front end.
        spline_length: Mm = |k| k.value(Length(LENGTH), "71.4375").optional();
        /// Station at which the output shaft's spline begins.
        shaft_spline_from: Mm = |k| k.value(Length(STATION), "249.2375").optional();
        /// Station at which the output shaft's spline ends.
        shaft_spline_to: Mm = |k| k.value(Length(STATION), "336.55").optional();
        /// How far bolt heads or ears reach ahead of the shoulder.
        bolt_head_reach: Mm = |k| k.value(Length(range(0.0, 200.0, PART_SIZE)), "17.4625").optional();
        /// From its shoulder aft to its joint's centre.
        joint_behind: Mm = |k| k.value(Length(range(0.0, 500.0, PART_SIZE)), "55.5625").optional();
        /// Greatest torque on it: the engine's times lowest gear.
        torque: f64 = |k| k.value(Measure(&TORQUE, range(1.0, 20000.0, "gearboxes of cars and vans")), "760 N m").optional();
        /// Yield strength of its steel.
        yield_strength: f64 = |k| k.value(Measure(&STRESS, range(50.0, 2500.0, "steels")), "500 MPa").optional();
    }
}

section! {
    /// The gearbox's bore or spigot that mates with the register.
    pub struct RegisterMateKeys => RegisterMate {
        /// Fit of the register; for a spigot the gearbox has the hole, for a recess the housing.
        fit: FitName = |k| k.value(Fits, "H7/h6").required();
    } optional {
        /// Nominal diameter in the gearbox; the register's if left out.
        diameter: Mm = |k| k.value(Length(range(40.0, 400.0, PART_SIZE)), "146.05").optional();
    }
}
