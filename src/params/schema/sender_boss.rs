//! `sender_boss`: the boss of the speedometer sender, whose axis is skew to the shaft.

use super::sender_fittings::{RawFork, RawNeck, RawORing};
use super::{CLOCK, PART_SIZE, PRACTICE, SIDE, STATION, range};
use crate::params::kinds::{Angle, Choice, Length, ThreadName};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

/// Source of positions that are computed from gears.
const GEARS: &str = "gear handbook, equations 7-2 to 7-6, read";

/// How the sender works.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SenderKind {
    /// A pinion that meshes with a worm on the shaft.
    Gear,
    /// A plain body whose tip counts the teeth of a wheel from a distance.
    Pulse,
}

/// Where side offset and tilt come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placing {
    /// The file sets them.
    Given,
    /// Centre distance and shaft angle of the speedometer's gears, the side offset above zero.
    Gears,
    /// The same with the side offset below zero.
    GearsMirrored,
}

/// The sender boss.
///
/// With X aft, Y right, Z up, a clock angle `c` names the direction `d = (0, sin c, cos c)`, and clock `c + 90` the
/// direction `e = (0, cos c, -sin c)`. The sender's axis passes through the foot `F = (station, 0, 0) + side_offset e`
/// and runs outwards along `a = cos(tilt) d + sin(tilt) X`. `F` is the axis's point closest to the shaft axis, at
/// the distance `|side_offset|`; lengths along the boss count from `F` outwards, depths from the spot face inwards.
#[derive(Debug, Clone, PartialEq)]
pub struct RawSenderBoss {
    /// Gear or pulse.
    pub kind: Parameter<SenderKind>,
    /// Where side offset and tilt come from.
    pub placed_by: Parameter<Placing>,
    /// Station of the foot.
    pub station: Parameter<Mm>,
    /// Distance between sender axis and shaft axis, signed.
    pub side_offset: Parameter<Mm>,
    /// Clock angle of the outward direction.
    pub clock: Parameter<Deg>,
    /// Tip of the outward direction aft.
    pub tilt: Parameter<Deg>,
    /// Outside diameter.
    pub diameter: Parameter<Mm>,
    /// From the foot to the spot face along the axis.
    pub height: Parameter<Mm>,
    /// From the spot face to the tip of a pulse sender.
    pub insertion: Parameter<Mm>,
    /// Where it is thinner, below its head.
    pub neck: Option<RawNeck>,
    /// The stepped bore.
    pub bore_steps: ParameterList<RawBoreStep>,
    /// The spot face.
    pub spot_face: Option<SenderSpotFace>,
    /// The O-ring's land or groove.
    pub o_ring: Option<RawORing>,
    /// The screw that holds the sender.
    pub retaining_screw: Option<RawRetainingScrew>,
    /// The slot for the fork that holds the sender.
    pub fork: Option<RawFork>,
}

impl Section for RawSenderBoss {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<SenderKind> = Choice(&[
            ("gear", SenderKind::Gear, "a pinion that meshes with a worm on the shaft; the bore has steps"),
            (
                "pulse",
                SenderKind::Pulse,
                "a plain body that counts teeth across a small gap; the bore is plain",
            ),
        ]);
        const PLACING: Choice<Placing> = Choice(&[
            ("offset", Placing::Given, "`side_offset` and `tilt` of this section"),
            ("gears", Placing::Gears, "centre distance and shaft angle of `mating.speedometer`"),
            ("gears_mirrored", Placing::GearsMirrored, "the same on the other side of the shaft"),
        ]);
        Self {
            kind: s.key("kind", "Gear or pulse.").value(KIND, "pulse").or_assume(
                SenderKind::Gear,
                "the kind that a cable needs",
                PRACTICE,
            ),
            placed_by: s
                .key(
                    "placed_by",
                    "Where side offset and tilt come from; with `gears` the two keys are left out.",
                )
                .value(PLACING, "offset")
                .or_assume(Placing::Given, "as measured", PRACTICE),
            station: s
                .key("station", "Station where the sender's axis passes closest to the shaft axis.")
                .value(Length(STATION), "235.74375")
                .required(),
            side_offset: s
                .key(
                    "side_offset",
                    "Distance between sender axis and shaft axis, towards clock + 90 degrees.",
                )
                .value(Length(SIDE), "27.178")
                .or_derive(
                    "with `placed_by: gears`, their centre distance; else it must be given",
                    "the gears mesh",
                    GEARS,
                ),
            clock: s
                .key("clock", "Direction in which the boss points: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "248 deg")
                .required(),
            tilt: s
                .key("tilt", "How far the boss is tipped to point aft; negative points ahead.")
                .value(Angle(range(-45.0, 45.0, "at a larger tilt the boss lies along the shell")), "10 deg")
                .or_derive(
                    "0 deg; with `placed_by: gears`, 90 deg less their shaft angle",
                    "square to the shaft",
                    PRACTICE,
                ),
            diameter: s
                .key("diameter", "Outside diameter of the boss.")
                .value(Length(range(12.0, 120.0, PART_SIZE)), "52.3875")
                .required(),
            height: s
                .key(
                    "height",
                    "Distance of the spot face from the point closest to the shaft, along the sender's axis.",
                )
                .value(Length(range(15.0, 300.0, PART_SIZE)), "79.375")
                .required(),
            neck: neck(s),
            insertion: insertion(s),
            bore_steps: s
                .key(
                    "bore_steps",
                    "The stepped bore, from the spot face inwards, each step smaller than the one before.",
                )
                .list(1, 8),
            spot_face: s
                .key("spot_face", "The machined seat of the sender. Leave it out to face the whole end.")
                .optional_section(),
            o_ring: s
                .key(
                    "o_ring",
                    "The land or groove of the sender's O-ring in the bore. Leave it out for none.",
                )
                .optional_section(),
            retaining_screw: s
                .key(
                    "retaining_screw",
                    "The tapped hole of the screw that holds the sender. Leave it out for none.",
                )
                .optional_section(),
            fork: s
                .key(
                    "fork",
                    "The slot across the boss for a fork that holds the sender. Leave it out for none.",
                )
                .optional_section(),
        }
    }
}

fn neck(s: &mut SectionReader<'_>) -> Option<RawNeck> {
    s.key("neck", "Makes the boss thinner below its head. Leave it out for one diameter all along.")
        .optional_section()
}

fn insertion(s: &mut SectionReader<'_>) -> Parameter<Mm> {
    s.key("insertion", "From the spot face to the sender's tip. Pulse only.")
        .value(Length(range(5.0, 250.0, PART_SIZE)), "34.0")
        .or_derive(
            "to 3 mm inside the cavity's wall, for a pulse sender",
            "the tip clears the wall and stays away from the shaft",
            PRACTICE,
        )
}

/// One step of the bore.
#[derive(Debug, Clone, PartialEq)]
pub struct RawBoreStep {
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// From the spot face to the end of this step.
    pub depth: Parameter<Mm>,
}

impl Section for RawBoreStep {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            diameter: s
                .key("diameter", "Diameter of this step.")
                .value(Length(range(4.0, 100.0, PART_SIZE)), "20.6375")
                .required(),
            depth: s
                .key("depth", "From the spot face to the end of this step. The last step may leave it out: it runs into the cavity.")
                .value(Length(range(1.0, 350.0, PART_SIZE)), "11.1125")
                .or_derive(
                    "for the last step: height, or insertion + 2 mm for a pulse sender",
                    "it ends at the point closest to the shaft axis, or where the sender does",
                    PRACTICE,
                ),
        }
    }
}

/// The machined seat of the sender.
#[derive(Debug, Clone, PartialEq)]
pub struct SenderSpotFace {
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// Depth below the cast end of the boss.
    pub depth: Parameter<Mm>,
}

impl Section for SenderSpotFace {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            diameter: s
                .key(
                    "diameter",
                    "Diameter of the spot face. At the boss's diameter or more, the whole end is faced.",
                )
                .value(Length(range(6.0, 140.0, PART_SIZE)), "52.3875")
                .required(),
            depth: s
                .key("depth", "How far the boss's cast end projects beyond a smaller spot face.")
                .value(Length(range(0.1, 20.0, "it only cleans up a seat")), "0.8")
                .or_assume(Mm::new(0.8), "cleans up a cast surface", PRACTICE),
        }
    }
}

/// The tapped hole of the retaining screw, parallel to the sender's axis.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRetainingScrew {
    /// Thread.
    pub thread: Parameter<&'static Thread>,
    /// Depth of full thread.
    pub depth: Parameter<Mm>,
    /// Depth of the tapping drill's full diameter.
    pub drill_depth: Parameter<Mm>,
    /// Distance from the sender's axis.
    pub distance: Parameter<Mm>,
    /// Direction from the sender's axis, about it.
    pub clock: Parameter<Deg>,
    /// Radius of a cast ear around the hole.
    pub ear_radius: Parameter<Mm>,
    /// Depth of that ear.
    pub ear_depth: Parameter<Mm>,
}

impl Section for RawRetainingScrew {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            thread: s.key("thread", "Thread of the screw.").value(ThreadName, "M6").required(),
            depth: s
                .key("depth", "Depth of full thread, from the spot face.")
                .value(Length(range(3.0, 60.0, "shorter holds nothing, longer is not tapped")), "13.208")
                .or_derive("2 x thread diameter", "1.5 to 2 diameters of engagement in aluminium", PRACTICE),
            drill_depth: s
                .key("drill_depth", "Depth of the drilled hole at full diameter, from the spot face.")
                .value(Length(range(3.0, 80.0, "longer is not drilled")), "16.0")
                .or_derive("depth + half the thread diameter", "room for the tap's lead and for chips", PRACTICE),
            distance: s
                .key("distance", "Distance of the screw from the sender's axis.")
                .value(Length(range(5.0, 100.0, PART_SIZE)), "17.018")
                .required(),
            clock: s
                .key("clock", "Direction from the sender's axis to the screw: 0 is aft, 90 is towards clock + 90 degrees.")
                .value(Angle(CLOCK), "180 deg")
                .or_assume(Deg::new(0.0), "aft of the sender", PRACTICE),
            ear_radius: s
                .key(
                    "ear_radius",
                    "Radius of a cast ear around the hole, for a screw beside the boss. Leave it out for none.",
                )
                .value(Length(range(5.0, 40.0, "it carries one screw")), "9.0")
                .optional(),
            ear_depth: s
                .key("ear_depth", "Depth of the ear, from the spot face inwards.")
                .value(Length(range(4.0, 100.0, PART_SIZE)), "20.0")
                .or_derive("drill_depth + thread diameter", "metal below the drill's point", PRACTICE),
        }
    }
}
