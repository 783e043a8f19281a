//! `vehicle.hard_points`, `vehicle.donor`, `vehicle.donor_plain`: hard points of the vehicle, and the old housing.

use super::section::section;
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Angle, Length, Range};
use crate::units::{Deg, Mm};

const STATION: Range = range(-5000.0, 10_000.0, "a station of the vehicle");
const BESIDE: Range = range(-800.0, 800.0, "beside the gearbox");
const HOUSING: Range = range(-100.0, 2000.0, "a station of the old housing");

section! {
    /// Hard points of the vehicle: stations aft of any reference mark, and offsets from the gearbox's shaft.
    pub struct HardPointsKeys => HardPoints {
        /// Station of the face on which the gearbox's front end sits.
        mounting_face: Mm = |k| k.value(Length(STATION), "0").required();
        /// Length of the gearbox alone, from that face to the face that carries this housing.
        gearbox_length: Mm = |k| k.value(Length(range(20.0, 2000.0, PART_SIZE)), "254").required();
        /// From the lever back to the middle of the shift box's pad; negative where the lever stands behind it.
        lever_ahead: Mm = |k| k.value(Length(BESIDE), "0").or_assume(Mm::new(0.0), "the lever stands over the pad's middle", PRACTICE);
        /// Height of the mount between crossmember and pad, compressed under load.
        mount_height: Mm = |k| k.value(Length(range(0.0, 300.0, PART_SIZE)), "53.975").or_assume(Mm::new(0.0), "the pad sits on the crossmember", PRACTICE);
        /// From the crossmember's holes back to the middle of the mount's own bolts.
        mount_behind: Mm = |k| k.value(Length(BESIDE), "0").or_assume(Mm::new(0.0), "the mount is symmetrical", PRACTICE);
        /// From the rear seal's face back to the yoke's shoulder, so that its bolts have clearance.
        stand_off: Mm = |k| k.value(Length(range(0.0, 200.0, PART_SIZE)), "36.5125").or_assume(Mm::new(28.575), "1 1/8 in clears the bolts", PRACTICE);
    } optional {
        /// Station of the middle of the tunnel's lever hole.
        lever_hole: Mm = |k| k.value(Length(STATION), "771.525").optional();
        /// Length of the lever hole along the vehicle.
        lever_hole_length: Mm = |k| k.value(Length(range(10.0, 1000.0, PART_SIZE)), "146.05").optional();
        /// Height of the tunnel's top at the lever hole, above the shaft.
        lever_hole_height: Mm = |k| k.value(Length(BESIDE), "150.8125").optional();
        /// Station of the crossmember's mount holes.
        crossmember: Mm = |k| k.value(Length(STATION), "860.425").optional();
        /// Height of the crossmember's top above the shaft; below is negative.
        crossmember_height: Mm = |k| k.value(Length(BESIDE), "-146.05").optional();
        /// Station of the front joint of the propeller shaft, if that shaft is kept.
        propshaft_flange: Mm = |k| k.value(Length(STATION), "1085.85").optional();
        /// Station of the end of the speedometer's cable, in easy reach.
        cable_end: Mm = |k| k.value(Length(STATION), "540").optional();
        /// The cable's end to the right of the shaft; left is negative.
        cable_side: Mm = |k| k.value(Length(BESIDE), "-150").optional();
        /// Height of the cable's end above the shaft; below is negative.
        cable_height: Mm = |k| k.value(Length(BESIDE), "-60").optional();
    }
}

section! {
    /// The housing that the gearbox came with, in stations from the gearbox face.
    pub struct DonorKeys => Donor {
        /// From the gearbox face to its rear face.
        overall_length: Mm = |k| k.value(Length(range(50.0, 2000.0, PART_SIZE)), "539.75").required();
    } optional {
        /// Station of its shift box's pad.
        shift_station: Mm = |k| k.value(Length(HOUSING), "298.45").optional();
        /// Clock angle of its shift box's pad.
        shift_clock: Deg = |k| k.value(Angle(super::CLOCK), "0").optional();
        /// Station of its mount.
        mount_station: Mm = |k| k.value(Length(HOUSING), "409.575").optional();
        /// How far its mount's face stands below the shaft.
        mount_drop: Mm = |k| k.value(Length(BESIDE), "85.725").optional();
        /// Station of its sender.
        sender_station: Mm = |k| k.value(Length(HOUSING), "508").optional();
        /// Clock angle of its sender.
        sender_clock: Deg = |k| k.value(Angle(super::CLOCK), "250").optional();
        /// Gap between the ends that a weld fills; 3 mm if left out.
        weld_gap: Mm = |k| k.value(Length(range(0.0, 20.0, "gaps of welds")), "3 mm").optional();
    }
}

section! {
    /// A plain stretch of the old housing, where it is a tube and can be cut.
    pub struct PlainKeys => Plain {
        /// Station at which it begins.
        from: Mm = |k| k.value(Length(HOUSING), "60").required();
        /// Station at which it ends.
        to: Mm = |k| k.value(Length(HOUSING), "300").required();
        /// Its outside diameter at the front.
        front_diameter: Mm = |k| k.value(Length(range(20.0, 500.0, PART_SIZE)), "140").required();
        /// Its outside diameter at the rear.
        rear_diameter: Mm = |k| k.value(Length(range(20.0, 500.0, PART_SIZE)), "110").required();
    } optional {
    }
}
