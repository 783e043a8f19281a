//! `tail.oil_feed`, `tail.drain_back`, `tail.dust_lip`: oil to the bushing, oil back from the seal, dirt kept off it.

use super::{CLOCK, PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Angle, Choice, Length, Range};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::{Deg, Mm};

/// Widths of passages, mm.
pub(crate) const PASSAGE: Range = range(2.0, 20.0, "narrower clogs, wider cuts into the seat's wall");

/// Angles of an oil feed that is drilled, degrees.
pub(crate) const FEED_ANGLE: Range =
    range(3.0, 60.0, "flatter runs along the seat, steeper meets the far side");

/// How oil reaches the bushing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OilFeedKind {
    /// A slot along stop bore and seat.
    Slot,
    /// A slanting hole from the seat to the cavity.
    Hole,
}

/// The oil feed from the cavity to the bushing.
#[derive(Debug, Clone, PartialEq)]
pub struct RawOilFeed {
    /// Slot or hole.
    pub kind: Parameter<OilFeedKind>,
    /// Clock angle.
    pub clock: Parameter<Deg>,
    /// Width of the slot, diameter of the hole.
    pub width: Parameter<Mm>,
    /// Depth of the slot below the seat.
    pub depth: Parameter<Mm>,
    /// How far it reaches behind the bushing's stop.
    pub reach: Parameter<Mm>,
    /// Angle between hole and shaft axis.
    pub angle: Parameter<Deg>,
}

impl Section for RawOilFeed {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<OilFeedKind> = Choice(&[
            (
                "slot",
                OilFeedKind::Slot,
                "a slot with a round floor, from the cavity along the top of the seat",
            ),
            ("hole", OilFeedKind::Hole, "a hole drilled through the seat, slanting forward into the cavity"),
        ]);
        Self {
            kind: s.key("kind", "Slot or hole.").value(KIND, "slot").or_assume(
                OilFeedKind::Slot,
                "cast or milled from the cavity, needs no slanting drill",
                PRACTICE,
            ),
            clock: s
                .key("clock", "Its clock angle: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "0 deg")
                .or_assume(Deg::new(0.0), "oil runs down from the top", PRACTICE),
            width: s
                .key("width", "Width of the slot, or diameter of the hole.")
                .value(Length(PASSAGE), "6.0")
                .or_derive("6 mm, or what there is room for", "wide enough not to clog", PRACTICE),
            depth: s
                .key("depth", "Depth of the slot's floor below the bushing seat. Slot only.")
                .value(Length(range(0.5, 15.0, "deeper cuts into the wall of the ring")), "3.0")
                .or_derive("width / 2, or what the cavity's end leaves", "half a round", PRACTICE),
            reach: s
                .key(
                    "reach",
                    "How far the slot's end, or the axis of the hole's mouth, lies behind the bushing's stop.",
                )
                .value(Length(range(1.0, 190.0, PART_SIZE)), "20.0")
                .or_derive(
                    "bushing.length / 2; for a hole the nearest place where it fits",
                    "the oil enters at the bushing's middle, clear of the seal",
                    PRACTICE,
                ),
            angle: s
                .key("angle", "Angle between the hole and the shaft axis. Hole only.")
                .value(
                    Angle(FEED_ANGLE),
                    "12 deg",
                )
                .or_derive("aimed at the middle of the cavity's rear end, or the nearest angle that fits", "the drill must come out in the cavity", PRACTICE),
        }
    }
}

/// A drilled passage from the seal counterbore's shoulder into the end of the cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct RawDrainBack {
    /// Clock angle.
    pub clock: Parameter<Deg>,
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// Distance of its mouth in the shoulder from the shaft axis.
    pub distance: Parameter<Mm>,
    /// Angle to the shaft axis.
    pub angle: Parameter<Deg>,
}

impl Section for RawDrainBack {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            clock: s
                .key("clock", "Its clock angle: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "180 deg")
                .or_assume(Deg::new(180.0), "oil gathers at the bottom", PRACTICE),
            diameter: s.key("diameter", "Diameter.").value(Length(PASSAGE), "4.0").or_derive(
                "4 mm, or what the shoulder and the cavity's end have room for",
                "passes warm oil, and fits the shoulder",
                PRACTICE,
            ),
            distance: s
                .key("distance", "Distance of its mouth's centre from the shaft axis, in the seal shoulder.")
                .value(Length(range(8.0, 120.0, PART_SIZE)), "27.5")
                .or_derive(
                    "(bushing.bore + 2 x the lead-in's rise + seal.counterbore) / 4",
                    "the middle of the seal shoulder, with metal to the bushing's seat",
                    PRACTICE,
                ),
            angle: s
                .key("angle", "How far it leans away from the shaft axis on its way forward.")
                .value(Angle(range(0.0, 20.0, "steeper comes out at the side of the ring")), "0 deg")
                .or_assume(Deg::new(0.0), "parallel to the shaft, one setting on the machine", PRACTICE),
        }
    }
}

/// How dirt is kept from the seal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DustLipKind {
    /// A recess around the counterbore's mouth.
    Recess,
    /// A lip around the mouth; the rear face is turned back around it.
    Lip,
}

/// A recess or lip at the mouth of the seal counterbore.
#[derive(Debug, Clone, PartialEq)]
pub struct RawDustLip {
    /// Recess or lip.
    pub kind: Parameter<DustLipKind>,
    /// Diameter of the recess, outside diameter of the lip.
    pub diameter: Parameter<Mm>,
    /// Depth of the recess, height of the lip.
    pub depth: Parameter<Mm>,
}

impl Section for RawDustLip {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<DustLipKind> = Choice(&[
            (
                "recess",
                DustLipKind::Recess,
                "a wider step at the mouth, for the seal's own dust lip or flange",
            ),
            ("lip", DustLipKind::Lip, "a rim around the mouth, for a slinger or boot to run over"),
        ]);
        Self {
            kind: s.key("kind", "Recess or lip.").value(KIND, "recess").or_assume(
                DustLipKind::Recess,
                "turned in one setting with the counterbore",
                PRACTICE,
            ),
            diameter: s
                .key("diameter", "Diameter of the recess, or outside diameter of the lip.")
                .value(Length(range(20.0, 250.0, PART_SIZE)), "66.0")
                .required(),
            depth: s
                .key("depth", "Depth of the recess, or height of the lip; both end at the rear face.")
                .value(Length(range(0.5, 20.0, "it only shields the seal")), "2.0")
                .or_derive(
                    "2 mm, or half of what the seal's counterbore leaves",
                    "holds a dust lip of common size",
                    PRACTICE,
                ),
        }
    }
}
