//! `vehicle`: data of the vehicle for the driveline report.

use super::hard_points::{DonorKeys, HardPointsKeys, PlainKeys};
use super::mating::STATION;
use super::section::section;
use super::vehicle_loads::LoadsKeys;
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Angle, Choice, Count, Factor, Flag, Length, Measure, Range};
use crate::params::parameter::ParameterList;
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::mating_materials::{MATING_MATERIALS, MatingMaterial};
use crate::units::{Deg, Mm, ROAD_SPEED, ROTATION};

const ALONG: Range = range(200.0, 6000.0, "propeller shafts and their joints");
const PULSES: Range = range(100.0, 500_000.0, "electric speedometers");
const OFF: Range = range(-600.0, 600.0, "a joint beside the gearbox's axis");

/// The vehicle, as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct RawVehicle {
    /// Final drive, tyre and speeds.
    pub axle: Option<AxleKeys>,
    /// The speedometer in the dashboard.
    pub instrument: Option<InstrumentKeys>,
    /// The propeller shaft.
    pub propshaft: Option<PropshaftKeys>,
    /// The rear axle's travel.
    pub suspension: Option<SuspensionKeys>,
    /// What the housing must bear.
    pub loads: Option<LoadsKeys>,
    /// Hard points.
    pub hard_points: Option<HardPointsKeys>,
    /// The old housing.
    pub donor: Option<DonorKeys>,
    /// Its plain stretches.
    pub donor_plain: ParameterList<PlainKeys>,
}

impl Section for RawVehicle {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            axle: s.key("axle", "Final drive, tyre and speeds.").optional_section(),
            instrument: s.key("instrument", "The speedometer in the dashboard.").optional_section(),
            propshaft: s
                .key("propshaft", "The propeller shaft and the joint at its rear.")
                .optional_section(),
            suspension: s.key("suspension", "How the rear axle moves.").optional_section(),
            loads: s
                .key("loads", "What the housing must bear: `loads: {carried_mass: 70}` takes the defaults for the rest.")
                .optional_section(),
            hard_points: s
                .key(
                    "hard_points",
                    "Hard points of the vehicle, by which `place` positions the housing's features.",
                )
                .optional_section(),
            donor: s
                .key(
                    "donor",
                    "The housing that the gearbox came with; `place` reports the moves relative to it.",
                )
                .optional_section(),
            donor_plain: s
                .key(
                    "donor_plain",
                    "Stretches of that housing that are plain tube; `place --weld-up` cuts there.",
                )
                .list(0, 6),
        }
    }
}

section! {
    /// Final drive, tyre and speeds.
    pub struct AxleKeys => Axle {
        /// Ratio of the final drive.
        ratio: f64 = |k| k.value(Factor(range(1.0, 12.0, "final drives")), "3.42").required();
    } optional {
        /// Turns of the tyre per mile, as rolled or as stated by its maker.
        tyre_turns_per_mile: f64 = |k| k.value(Factor(range(200.0, 2000.0, "tyres of road vehicles")), "820").optional();
        /// Outside diameter of the tyre, where its turns are not known.
        tyre_diameter: Mm = |k| k.value(Length(range(250.0, 2000.0, "tyres of road vehicles")), "623.4").optional();
        /// Highest speed of the vehicle.
        top_speed: f64 = |k| k.value(Measure(&ROAD_SPEED, range(10.0, 500.0, "road vehicles")), "105 mph").optional();
        /// Highest speed of the engine.
        engine_speed: f64 = |k| k.value(Measure(&ROTATION, range(500.0, 20000.0, "engines")), "5000 rpm").optional();
        /// Ratio of the highest gear, for the engine's speed; 1 if left out.
        top_gear: f64 = |k| k.value(Factor(range(0.3, 2.0, "highest gears")), "1").optional();
    }
}

section! {
    /// The speedometer in the dashboard.
    pub struct InstrumentKeys => Instrument {
    } optional {
        /// Turns of its cable per mile.
        turns_per_mile: f64 = |k| k.value(Factor(range(100.0, 5000.0, "speedometers")), "1020").optional();
        /// Turns of its cable per kilometre, where the dial states these.
        turns_per_km: f64 = |k| k.value(Factor(range(60.0, 3000.0, "speedometers")), "637").optional();
        /// Pulses that it needs per mile, where it is electric.
        pulses_per_mile: f64 = |k| k.value(Factor(PULSES), "8000").optional();
        /// Pulses that it needs per kilometre, where it states these.
        pulses_per_km: f64 = |k| k.value(Factor(PULSES), "4971").optional();
        /// Teeth of the drive gear that was fitted originally.
        own_drive_teeth: u32 = |k| k.value(Count(range(1.0, 100.0, "gears of a speedometer")), "10").optional();
        /// Teeth of the driven gear that was fitted originally.
        own_driven_teeth: u32 = |k| k.value(Count(range(1.0, 100.0, "gears of a speedometer")), "27").optional();
    }
}

const TUBE: Choice<&'static MatingMaterial> = Choice(&[
    ("steel", &MATING_MATERIALS[0], "welded steel tube"),
    ("aluminium", &MATING_MATERIALS[3], "6061-T6 tube"),
]);

section! {
    /// The propeller shaft and the joint at its rear.
    pub struct PropshaftKeys => Propshaft {
        /// Station of the rear joint's centre at ride height.
        rear_joint_station: Mm = |k| k.value(Length(ALONG), "1714.5").required();
        /// Height of the rear joint above the gearbox's axis at ride height; below is negative.
        rear_joint_height: Mm = |k| k.value(Length(OFF), "-42.8625").required();
        /// The rear joint to the right of the gearbox's axis.
        rear_joint_side: Mm = |k| k.value(Length(OFF), "0").or_assume(Mm::new(0.0), "in line", PRACTICE);
        /// Angle by which the pinion's nose points up relative to the gearbox's axis.
        pinion_up: Deg = |k| k.value(Angle(range(-20.0, 20.0, "pinions")), "0.25 deg").or_assume(Deg::new(0.0), "parallel", PRACTICE);
        /// Angle by which the pinion's nose points to the right.
        pinion_side: Deg = |k| k.value(Angle(range(-20.0, 20.0, "pinions")), "0 deg").or_assume(Deg::new(0.0), "parallel", PRACTICE);
        /// Whether the yokes at the tube's two ends are in line.
        yokes_in_line: bool = |k| k.value(Flag, "true").or_assume(true, "as welded", PRACTICE);
        /// Material of the tube.
        material: &'static MatingMaterial = |k| k.value(TUBE, "steel").or_assume(&MATING_MATERIALS[0], "the common tube", PRACTICE);
    } optional {
        /// Outside diameter of the tube.
        tube_outside: Mm = |k| k.value(Length(range(20.0, 250.0, PART_SIZE)), "82.55").optional();
        /// Wall of the tube.
        tube_wall: Mm = |k| k.value(Length(range(0.5, 20.0, "tubes of propeller shafts")), "1.65").optional();
        /// Length of the old shaft between the joints' centres.
        old_length: Mm = |k| k.value(Length(ALONG), "1111").optional();
    }
}

section! {
    /// How the rear axle moves.
    pub struct SuspensionKeys => Suspension {
        /// Lift of the axle from ride height to full bump.
        bump: Mm = |k| k.value(Length(range(0.0, 500.0, "suspensions")), "69.85").required();
        /// Drop of the axle from ride height to full droop.
        droop: Mm = |k| k.value(Length(range(0.0, 500.0, "suspensions")), "82.55").required();
    } optional {
        /// Length of the arm or half spring that leads the axle, from its pivot ahead; straight up and down if left
        /// out.
        arm: Mm = |k| k.value(Length(range(100.0, 3000.0, "suspensions")), "622.3").optional();
        /// Height of the rear joint above the arm's pivot at ride height; 0 if left out.
        arm_rise: Mm = |k| k.value(Length(STATION), "0").optional();
    }
}
