//! The limits of fits and driveline, and the source of each.

use crate::checks::Limit;
use crate::design::Design;
use crate::standards::cardan::{LEAST_ANGLE, MOST_DIFFERENCE, MOST_INERTIAL, MOST_TORSIONAL};
use crate::standards::lip_seal::{MOST_OFFSET, MOST_RUNOUT, MOST_SUM};
use crate::standards::position::LINE_UP;
use crate::standards::propshaft::SPEED_SHARE;
use crate::standards::slip_yoke::{BUMP_RESERVE, BUSH_COVER, CLEARANCE, ENGAGEMENT, LIP_MARGIN, STAND_OFF};
use crate::standards::speedometer::READS_LOW;
use crate::units::Mm;

const PRACTICE: &str = "common practice, no source";
const SEAL_RULE: &str = "trade rule for lip seals, read; diagrams of DIN 3760 and ISO 6194-1 were not seen";

/// All limits of fits and driveline; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct MatingLimits {
    /// Zero, for margins that must not be used up.
    pub(super) nothing: Limit,
    /// Preferred interference when hot.
    pub(super) hot_interference: Limit,
    /// Least clearance of the barrel when new.
    pub(super) clearance_new: Limit,
    /// Greatest clearance when new.
    pub(super) clearance_soft: Limit,
    /// Greatest clearance.
    pub(super) clearance: Limit,
    /// Length of the bushing over its bore: least, enough, greatest; over its seat's length: least, enough.
    pub(super) bushing_length: Limit,
    pub(super) bushing_length_soft: Limit,
    pub(super) bushing_length_most: Limit,
    pub(super) seat_filled: Limit,
    pub(super) seat_filled_soft: Limit,
    /// Angle between neighbouring bolts, degrees: greatest, usual.
    pub(super) bolt_gap: Limit,
    pub(super) bolt_gap_soft: Limit,
    /// Distance of neighbouring bolts over their diameter: greatest, usual.
    pub(super) bolt_pitch: Limit,
    pub(super) bolt_pitch_soft: Limit,
    /// Greatest error of line-up.
    pub(super) line_up: Limit,
    /// Greatest distance of a feature from its position by the vehicle's hard points.
    pub(super) place: Limit,
    /// Room for the lever to move in its hole, beyond the middle.
    pub(super) lever: Limit,
    /// Offset of the barrel from the seal's bore; its runout; both.
    pub(super) offset: Limit,
    pub(super) runout: Limit,
    pub(super) offset_and_runout: Limit,
    /// Engaged spline over its pitch diameter: least, enough.
    pub(super) engagement: Limit,
    pub(super) engagement_soft: Limit,
    /// Distance from bottoming at ride height; left at full bump.
    pub(super) stand_off: Limit,
    pub(super) bump_reserve: Limit,
    /// Share of the bushing that is covered.
    pub(super) cover: Limit,
    /// Lip from the journal's ends.
    pub(super) lip_margin: Limit,
    /// Factor of safety in shear: least, wanted.
    pub(super) safety: Limit,
    pub(super) safety_soft: Limit,
    /// Share of the critical speed: greatest, careful.
    pub(super) critical: Limit,
    pub(super) critical_soft: Limit,
    /// Share of half the critical speed.
    pub(super) half_critical: Limit,
    /// Least excess of the speedometer's reading, percent.
    pub(super) reads_low: Limit,
    /// Joint angle: least.
    pub(super) joint_angle: Limit,
    /// Difference of both joints' angles.
    pub(super) joint_difference: Limit,
    /// Unevenness, rad/s²: of the shaft, behind both joints.
    pub(super) shaft_unevenness: Limit,
    pub(super) axle_unevenness: Limit,
    /// Deviation of the sender's axis from the gears' shaft angle, degrees.
    pub(super) lean: Limit,
}

pub(super) fn own(value: f64, source: &str) -> Limit {
    Limit { value, source: source.to_owned(), given: false }
}

impl MatingLimits {
    /// The limits of a design: the file's, else the built-in ones.
    pub(super) fn of(design: &Design) -> Self {
        let given = design.limits();
        let or = |given: Option<f64>, value: f64, source: &str| match given {
            Some(value) => Limit { value, source: "the parameter file's `limits`".to_owned(), given: true },
            None => own(value, source),
        };
        let ae7 = "inferred from published angle charts that refer to SAE AE-7, read; its text was not seen";
        Self {
            nothing: own(0.0, "geometry"),
            hot_interference: own(0.02, PRACTICE),
            clearance_new: own(0.025, "H8/f7 at 30 to 50 mm, ISO 286"),
            clearance_soft: own(CLEARANCE.0[1].get(), PRACTICE),
            clearance: or(given.running_clearance.map(Mm::get), CLEARANCE.1.get(), PRACTICE),
            bushing_length: own(
                0.5,
                "plain bearings are half to twice as long as wide: textbooks, from memory",
            ),
            bushing_length_soft: own(0.75, PRACTICE),
            bushing_length_most: own(2.0, "a longer one wears at its ends: textbooks, from memory"),
            seat_filled: own(0.5, "a seat holds what fills half of it; common practice, no source"),
            seat_filled_soft: own(0.75, PRACTICE),
            bolt_gap: own(
                170.0,
                "bolts on all sides of the shaft, or the face tips: less than half a turn, geometry",
            ),
            bolt_gap_soft: own(120.0, "three bolts evenly spread; common practice, no source"),
            bolt_pitch: own(
                12.0,
                "a gasket leaks between bolts that stand further apart; common practice, no source",
            ),
            bolt_pitch_soft: own(10.0, PRACTICE),
            line_up: or(
                given.line_up.map(Mm::get),
                LINE_UP.get(),
                "0.005 in from the gearbox's shaft, common practice",
            ),
            place: or(given.place.map(Mm::get), 1.0, "bolts find their holes; common practice, no source"),
            lever: own(40.0, "a lever moves some 40 mm either way; common practice, no source"),
            offset: own(MOST_OFFSET.get(), SEAL_RULE),
            runout: own(MOST_RUNOUT.get(), SEAL_RULE),
            offset_and_runout: own(MOST_SUM.get(), SEAL_RULE),
            engagement: own(
                ENGAGEMENT[0],
                "0.75 to 1.25 diameters carry the torque: Machinery's Handbook, from memory",
            ),
            engagement_soft: own(ENGAGEMENT[1], PRACTICE),
            stand_off: own(STAND_OFF[0].get(), PRACTICE),
            bump_reserve: own(BUMP_RESERVE.get(), PRACTICE),
            cover: own(BUSH_COVER, PRACTICE),
            lip_margin: own(LIP_MARGIN.get(), PRACTICE),
            safety: or(given.safety, 1.0, "shear yield at 0.577 of the yield strength (von Mises), textbook"),
            safety_soft: own(1.25, "the shock factor is in the torque already; common practice, no source"),
            critical: or(
                given.critical_share,
                SPEED_SHARE[0],
                "three quarters of the critical speed, trade rule, read",
            ),
            critical_soft: own(SPEED_SHARE[1], PRACTICE),
            half_critical: own(1.0, "joint angles shake the tube twice a turn: SAE AE-7, from memory"),
            reads_low: own(READS_LOW.0, READS_LOW.1),
            joint_angle: own(LEAST_ANGLE.get(), "the needles must turn: trade rule, read"),
            joint_difference: own(MOST_DIFFERENCE.get(), "trade rule, read; another has 1.5 deg"),
            shaft_unevenness: or(given.shaft_unevenness, MOST_INERTIAL, ae7),
            axle_unevenness: or(given.axle_unevenness, MOST_TORSIONAL, ae7),
            lean: own(1.0, PRACTICE),
        }
    }
}
