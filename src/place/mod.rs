//! Positions of the housing's features, computed from the hard points of the vehicle.
//!
//! Stations of the vehicle count aft from any reference mark; stations of the housing from the gearbox face. Lengths
//! in mm.

mod drawn;
mod driveline_view;
mod side_view;
mod weld_up;
mod write;

pub use driveline_view::{ShaftPosition, driveline_view, shaft_positions};
pub use side_view::side_view;
pub use weld_up::{Cut, WeldUp, WeldUpError, weld_up};
pub use write::{Edit, written};

use crate::design::{Design, Donor, HardPoints, SenderBoss};
use crate::housing::sender_seat;
use crate::units::Mm;
use solidwright::geometry::P3;

/// A value that the vehicle requires.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// The key that holds it.
    pub key: &'static str,
    /// What it is.
    pub what: &'static str,
    /// The file's value, if it has one.
    pub now: Option<Mm>,
    /// The value that the vehicle requires.
    pub wanted: Mm,
    /// The value in the old housing.
    pub donor: Option<Mm>,
    /// How far the place lies beyond the key's own value, by another key of the file.
    pub beyond: Mm,
    /// How it is computed.
    pub how: &'static str,
}

impl Move {
    /// The value that the key must have.
    pub fn key_value(&self) -> Mm {
        self.wanted - self.beyond
    }

    /// The value that the key has, if the file gives it.
    pub fn key_now(&self) -> Option<Mm> {
        self.now.map(|now| now - self.beyond)
    }
}

/// Something that could not be placed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotPlaced {
    /// What.
    pub what: &'static str,
    /// The key to set.
    pub key: &'static str,
}

/// A length worth knowing.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What it is.
    pub what: &'static str,
    /// The length, or an angle in degrees where the text says so.
    pub value: f64,
    /// Whether it is an angle.
    pub angle: bool,
    /// Its meaning.
    pub remark: &'static str,
}

/// All placed values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placed {
    /// Values, in the order of the file.
    pub moves: Vec<Move>,
    /// Further figures.
    pub notes: Vec<Note>,
    /// What is not placed.
    pub not_placed: Vec<NotPlaced>,
}

/// Why nothing can be placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlaceError {
    /// There are no hard points.
    #[error(
        "the file tells no hard points: add `vehicle.hard_points` with `mounting_face` and `gearbox_length` (see `describe vehicle.hard_points`)"
    )]
    NoHardPoints,
}

/// Places the features of a design.
///
/// # Errors
/// Without hard points.
pub fn place(design: &Design) -> Result<Placed, PlaceError> {
    let vehicle = design.vehicle();
    let points = vehicle.hard_points.as_ref().ok_or(PlaceError::NoHardPoints)?;
    let mut out = Placed::default();
    let donor = vehicle.donor.as_ref();
    let length = rear(design, points, donor, &mut out);
    yoke(design, points, donor, length, &mut out);
    shift_box(design, points, donor, &mut out);
    mount(design, points, donor, &mut out);
    sender(design, points, donor, &mut out);
    shaft(design, donor, length, &mut out);
    Ok(out)
}

impl Placed {
    fn wants(&mut self, key: &'static str, what: &'static str, now: Option<Mm>, wanted: Mm) -> &mut Move {
        self.moves.push(Move { key, what, now, wanted, donor: None, beyond: Mm::default(), how: "" });
        let last = self.moves.len() - 1;
        &mut self.moves[last]
    }

    fn lacks(&mut self, what: &'static str, key: &'static str) {
        self.not_placed.push(NotPlaced { what, key });
    }
}

/// The rear face, from the kept propeller shaft's front joint less the yoke. It determines the overall length.
fn rear(design: &Design, points: &HardPoints, donor: Option<&Donor>, out: &mut Placed) -> Mm {
    let now = design.overall_length();
    let what = "overall length";
    let behind = design.mating().yoke.as_ref().and_then(|y| y.joint_behind);
    match (points.propshaft_flange, behind) {
        (None, _) => out.lacks(what, "vehicle.hard_points.propshaft_flange"),
        (_, None) => out.lacks(what, "mating.yoke.joint_behind"),
        (Some(flange), Some(behind)) => {
            let length = points.from_face(flange) - behind - points.stand_off;
            let made = out.wants("housing.overall_length", what, Some(now), length);
            made.donor = donor.map(|d| d.overall_length);
            made.how = "the shaft's front joint, less the yoke behind its shoulder, less its stand-off";
            return length;
        }
    }
    now
}

fn yoke(design: &Design, points: &HardPoints, donor: Option<&Donor>, length: Mm, out: &mut Placed) {
    let Some(yoke) = &design.mating().yoke else { return out.lacks("slip yoke", "mating.yoke") };
    let front = |overall: Mm| overall + points.stand_off - yoke.barrel_length;
    let made = out.wants("mating.yoke.front", "slip yoke's front", Some(yoke.front), front(length));
    made.donor = donor.map(|d| front(d.overall_length));
    made.how = "the rear face and the stand-off, less the barrel";
}

fn shift_box(design: &Design, points: &HardPoints, donor: Option<&Donor>, out: &mut Placed) {
    let what = "shift-box pad";
    let Some(pad) = design.shift_box_pad() else { return out.lacks(what, "shift_box_pad") };
    let Some(hole) = points.lever_hole else { return out.lacks(what, "vehicle.hard_points.lever_hole") };
    let wanted = points.from_face(hole) + points.lever_ahead;
    let made = out.wants("shift_box_pad.station", what, Some(pad.station()), wanted);
    made.donor = donor.and_then(|d| d.shift_station);
    made.how = "the tunnel's lever hole";
    if let Some(room) = points.lever_room(pad.station()) {
        out.notes.push(Note {
            what: "lever as the file has it, from the hole's edge",
            value: room.get(),
            angle: false,
            remark: "below zero the lever is under sheet metal",
        });
    }
}

fn mount(design: &Design, points: &HardPoints, donor: Option<&Donor>, out: &mut Placed) {
    let what = "mount";
    let Some(pad) = design.mount_pad() else { return out.lacks(what, "mount_pad") };
    match points.crossmember {
        None => out.lacks(what, "vehicle.hard_points.crossmember"),
        Some(crossmember) => {
            let wanted = points.from_face(crossmember) + points.mount_behind;
            let made = out.wants("mount_pad.base_station", what, Some(pad.station()), wanted);
            made.beyond = pad.offset();
            made.donor = donor.and_then(|d| d.mount_station);
            made.how = "the crossmember's holes and the mount's own";
        }
    }
    match points.crossmember_height {
        None => out.lacks("mount's height", "vehicle.hard_points.crossmember_height"),
        Some(height) => {
            let wanted = Mm::new(0.0) - height - points.mount_height;
            let made = out.wants("mount_pad.drop", "mount's drop", Some(pad.drop()), wanted);
            made.donor = donor.and_then(|d| d.mount_drop);
            made.how = "the crossmember's top and the mount on it";
        }
    }
}

/// The sender sits over its drive gear; the cable must reach it.
fn sender(design: &Design, points: &HardPoints, donor: Option<&Donor>, out: &mut Placed) {
    let what = "sender boss";
    let Some(boss) = design.sender_boss() else { return out.lacks(what, "sender_boss") };
    let gear = design.mating().speedometer.as_ref().and_then(|g| Some(g.drive_from? + g.drive_width? / 2.0));
    match gear {
        None => out.lacks(what, "mating.speedometer.drive_from"),
        Some(station) => {
            let made = out.wants("sender_boss.station", what, Some(boss.station()), station);
            made.donor = donor.and_then(|d| d.sender_station);
            made.how = "the middle of the drive gear";
        }
    }
    let Some(way) = cable(boss, points) else {
        return out.lacks("speedometer's cable", "vehicle.hard_points.cable_end, cable_side, cable_height");
    };
    let note = |what, value, angle, remark| Note { what, value, angle, remark };
    out.notes.push(note(
        "cable's end from the sender's seat",
        way.length,
        false,
        "the cable must span this distance",
    ));
    out.notes.push(note(
        "angle of the cable's end off the sender's axis",
        way.off,
        true,
        "the cable must bend by this, in a wide arc",
    ));
}

/// The cable's path from the sender.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CableWay {
    /// Straight from the sender's seat to the cable's end, mm.
    pub length: f64,
    /// Off the sender's axis, degrees.
    pub off: f64,
}

/// The cable's path, where its end is known.
pub fn cable(boss: &SenderBoss, points: &HardPoints) -> Option<CableWay> {
    let end = [points.from_face(points.cable_end?), points.cable_side?, points.cable_height?].map(Mm::get);
    let (seat, axis) = sender_seat(boss);
    let way = P3::from(end) - seat;
    Some(CableWay { length: way.norm(), off: axis.angle(&way).to_degrees() })
}

/// How much the propeller shaft changes.
fn shaft(design: &Design, donor: Option<&Donor>, length: Mm, out: &mut Placed) {
    let Some(donor) = donor else { return out.lacks("what moves against the old housing", "vehicle.donor") };
    out.notes.push(Note {
        what: "rear face relative to the old housing",
        value: (length - donor.overall_length).get(),
        angle: false,
        remark: "ahead is negative; a new shaft is longer by this much",
    });
    if let Some(rail) = design.mating().rail.as_ref()
        && let Some(pad) = design.shift_box_pad()
    {
        out.notes.push(Note {
            what: "shift rail, new length",
            value: rail.new_length(pad.station()).get(),
            angle: false,
            remark: "for the pad as the file has it",
        });
    }
}
