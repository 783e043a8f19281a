//! `mating.speedometer`, `mating.rail`, `mating.tolerances`.

use super::mating::{LENGTH, STATION};
use super::section::section;
use super::{PART_SIZE, range};
use crate::params::kinds::{Angle, Choice, Count, Fits, Flag, Length, Range};
use crate::standards::crossed_helical::Hand;
use crate::standards::fit_names::FitName;
use crate::units::{Deg, Mm};

/// Why errors of machining have their defaults: no table stands behind them, and they were written down from memory.
const FROM_MEMORY: &str = "common practice, from memory";

const TEETH: Range = range(1.0, 100.0, "gears of a speedometer");
const HELIX: Range = range(1.0, 89.0, "helix angle to the gear's own axis");
const HAND: Choice<Hand> =
    Choice(&[("right", Hand::Right, "as a common screw"), ("left", Hand::Left, "the other way")]);

section! {
    /// The speedometer's drive gear on the shaft and driven gear on the cable.
    pub struct GearsPartKeys => GearsPart {
        /// Teeth of the drive gear; starts of a worm.
        drive_teeth: u32 = |k| k.value(Count(TEETH), "7").required();
        /// Teeth of the driven gear.
        driven_teeth: u32 = |k| k.value(Count(TEETH), "19").required();
    } optional {
        /// Normal module of both.
        module: Mm = |k| k.value(Length(range(0.2, 5.0, "gears of a speedometer")), "0.8").optional();
        /// Helix angle of the drive gear to the shaft: 90 degrees less a worm's lead angle.
        drive_helix: Deg = |k| k.value(Angle(HELIX), "80.8 deg").optional();
        /// Helix angle of the driven gear to its axis.
        driven_helix: Deg = |k| k.value(Angle(HELIX), "19.2 deg").optional();
        /// Hand of the drive gear.
        drive_hand: Hand = |k| k.value(HAND, "left").optional();
        /// Hand of the driven gear.
        driven_hand: Hand = |k| k.value(HAND, "left").optional();
        /// Backlash normal to the teeth; a tenth of the module if left out.
        backlash: Mm = |k| k.value(Length(range(0.0, 2.0, "gears of a speedometer")), "0.08").optional();
        /// Station at which the drive gear begins.
        drive_from: Mm = |k| k.value(Length(STATION), "228.6").optional();
        /// Width of the drive gear along the shaft.
        drive_width: Mm = |k| k.value(Length(LENGTH), "14.2875").optional();
        /// Room on the shaft between its shoulders or ring grooves, outer side to outer side, for gear and snap rings.
        shaft_room: Mm = |k| k.value(Length(LENGTH), "15.5").optional();
        /// Thickness of both snap rings together.
        snap_rings: Mm = |k| k.value(Length(range(0.0, 20.0, PART_SIZE)), "2.794").optional();
        /// Pulses of an electric sender for each turn of the driven gear.
        pulses_per_turn: u32 = |k| k.value(Count(range(1.0, 200.0, "senders")), "4").optional();
    }
}

section! {
    /// A tooth wheel on the shaft whose teeth a pulse sender counts.
    pub struct PulseWheelKeys => PulseWheel {
        /// Teeth that pass the sender in one turn of the shaft.
        teeth: u32 = |k| k.value(Count(range(1.0, 200.0, "wheels of pulse senders")), "17").required();
    } optional {
        /// Outside diameter of the wheel.
        diameter: Mm = |k| k.value(Length(range(10.0, 200.0, PART_SIZE)), "60").optional();
    }
}

section! {
    /// The shift rail.
    pub struct RailPartKeys => RailPart {
        /// Length of the rail for the old housing.
        old_length: Mm = |k| k.value(Length(range(20.0, 2000.0, PART_SIZE)), "463.55").required();
        /// Station at which the old housing carried the shift box.
        old_shift_station: Mm = |k| k.value(Length(STATION), "298.45").required();
    } optional {
        /// Diameter of the rail, nominal.
        diameter: Mm = |k| k.value(Length(range(5.0, 60.0, PART_SIZE)), "16").optional();
        /// Fit of the rail in its bore.
        fit: FitName = |k| k.value(Fits, "H8/f7").optional();
        /// The rail's place in the gearbox, to the right of the shaft axis.
        side: Mm = |k| k.value(Length(super::SIDE), "0").optional();
        /// The rail's place in the gearbox, above the shaft axis.
        height: Mm = |k| k.value(Length(super::SIDE), "60").optional();
    }
}

const ERROR: Range = range(0.0, 3.0, "machined bores and holes");

section! {
    /// Errors of place and of shape that machining may leave. Of places, each is the diameter of the tolerance zone around true
    /// position; of faces, the width of the zone.
    pub struct TolerancesKeys => Tolerances {
        /// The gearbox's register bore, relative to its output shaft.
        gearbox_bore: Mm = |k| k.value(Length(ERROR), "0.05").or_assume(Mm::new(0.05), "bored at one setting with the bearings", FROM_MEMORY);
        /// The bushing's seat, relative to the register.
        bushing_seat: Mm = |k| k.value(Length(ERROR), "0.05").or_assume(Mm::new(0.05), "bored on a spigot turned true", FROM_MEMORY);
        /// The bushing's bore, relative to its outside, or to the register when it is bored in place.
        bushing_wall: Mm = |k| k.value(Length(ERROR), "0.03").or_assume(Mm::new(0.03), "a bored bushing", FROM_MEMORY);
        /// Squareness of the housing's gearbox face to the axis of its seat, over the width of the face.
        face_squareness: Mm = |k| k.value(Length(ERROR), "0.03").or_assume(Mm::new(0.03), "faced and bored at one setting", FROM_MEMORY);
        /// Flatness of the housing's gearbox face.
        face_flatness: Mm = |k| k.value(Length(ERROR), "0.05").or_assume(Mm::new(0.05), "a milled or turned joint face with sealant or a thin gasket", FROM_MEMORY);
        /// Flatness of each pad's face.
        pad_flatness: Mm = |k| k.value(Length(ERROR), "0.1").or_assume(Mm::new(0.1), "a milled joint face with a gasket", FROM_MEMORY);
        /// Squareness of each pad's face to the gearbox face, where it lies along the shaft.
        pad_squareness: Mm = |k| k.value(Length(ERROR), "0.1").or_assume(Mm::new(0.1), "milled while the part stands on its gearbox face", FROM_MEMORY);
        /// Parallelism of the rear face to the gearbox face.
        rear_parallelism: Mm = |k| k.value(Length(ERROR), "0.1").or_assume(Mm::new(0.1), "faced on an arbor or at one setting", FROM_MEMORY);
        /// Run-out of the shoulder on which the seal stops, along the axis of the bushing's seat.
        seal_shoulder_runout: Mm = |k| k.value(Length(ERROR), "0.05").or_assume(Mm::new(0.05), "faced at one setting with the seat", FROM_MEMORY);
        /// Squareness of the gearbox's rear face to its output shaft, over the width of the face.
        gearbox_squareness: Mm = |k| k.value(Length(ERROR), "0.03").or_assume(Mm::new(0.03), "faced with the bearings' bores", FROM_MEMORY);
        /// Parallelism of the rail's bore to the shaft, over the length of the bore.
        rail_parallelism: Mm = |k| k.value(Length(ERROR), "0.05").or_assume(Mm::new(0.05), "jig bored from the register", FROM_MEMORY);
        /// The seal's counterbore, relative to the bushing's seat.
        seal_bore: Mm = |k| k.value(Length(ERROR), "0.03").or_assume(Mm::new(0.03), "bored at one setting with the seat", FROM_MEMORY);
        /// The rail's bore, relative to its true position from the register.
        rail_bore: Mm = |k| k.value(Length(ERROR), "0.1").or_assume(Mm::new(0.1), "jig bored from the register", FROM_MEMORY);
        /// The sender's bore, relative to its true position.
        sender_bore: Mm = |k| k.value(Length(ERROR), "0.1").or_assume(Mm::new(0.1), "bored on a fixture", FROM_MEMORY);
        /// Bolt holes of the flange, relative to true position.
        flange_holes: Mm = |k| k.value(Length(ERROR), "0.4").or_assume(Mm::new(0.4), "drilled through a jig", FROM_MEMORY);
        /// Whether the bolt holes refer to the register at its maximum material boundary, so that they may shift together by what
        /// the register departs from it; the drawing marks datum B so.
        register_at_maximum: bool = |k| k.value(Flag, "false").or_assume(false, "holes drilled from the register's own axis", FROM_MEMORY);
        /// Whether the bolts pass through clearance holes in the gearbox too, instead of into its threads.
        through_bolts: bool = |k| k.value(Flag, "false").or_assume(false, "gearbox cases are tapped", FROM_MEMORY);
        /// Holes of the gearbox, relative to true position.
        gearbox_holes: Mm = |k| k.value(Length(ERROR), "0.3").or_assume(Mm::new(0.3), "drilled through a jig", FROM_MEMORY);
    } optional {
    }
}
