//! `tail`: the rear end. From the rear face forward its bore is: seal lead-in, seal counterbore, bushing lead-in,
//! bushing seat, stop bore, cavity.

use super::tail_passages::{RawDrainBack, RawDustLip, RawOilFeed};
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Angle, Length, Range};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::seals;
use crate::units::{Deg, Mm};

const LEAD_IN: Range = range(0.0, 8.0, "a longer one leaves nothing of the bore");
const LEAD_IN_ANGLE: Range = range(5.0, 60.0, "a flatter or steeper one does not guide");

/// The rear end.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTail {
    /// Outside diameter of the ring around bushing and seal.
    pub outside_diameter: Parameter<Mm>,
    /// Length of that ring, from the rear face forward.
    pub length: Parameter<Mm>,
    /// Outside diameter over the bushing, ahead of the seal.
    pub barrel_diameter: Parameter<Mm>,
    /// Length of the ring at its full diameter, behind the barrel.
    pub collar_length: Parameter<Mm>,
    /// The bushing seat.
    pub bushing: RawBushing,
    /// The seal counterbore.
    pub seal: RawSeal,
    /// The oil feed to the bushing.
    pub oil_feed: Option<RawOilFeed>,
    /// The drain from the seal back to the cavity.
    pub drain_back: Option<RawDrainBack>,
    /// The recess or lip that keeps dirt from the seal's mouth.
    pub dust_lip: Option<RawDustLip>,
}

impl Section for RawTail {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            outside_diameter: s
                .key("outside_diameter", "Outside diameter of the ring around bushing and seal.")
                .value(Length(range(30.0, 300.0, PART_SIZE)), "82.55")
                .required(),
            length: s
                .key(
                    "length",
                    "Length of that ring, from the rear face forward; it must cover the whole bushing seat.",
                )
                .value(Length(range(15.0, 400.0, PART_SIZE)), "74.6125")
                .or_derive(
                    "seal.depth + bushing.length + 2 x shell.wall, and at least from one wall ahead of the cavity's end",
                    "covers the bushing seat and ends in the shell",
                    PRACTICE,
                ),
            barrel_diameter: s
                .key(
                    "barrel_diameter",
                    "Outside diameter of the ring over the bushing, ahead of the seal. Leave it out for a ring of one \
                     diameter.",
                )
                .value(Length(range(20.0, 300.0, PART_SIZE)), "70.0")
                .optional(),
            collar_length: s
                .key(
                    "collar_length",
                    "Length of the ring at its full diameter, from the rear face forward; ahead of it a cone of 45 \
                     degrees leads to the barrel. Only with `barrel_diameter`.",
                )
                .value(Length(range(5.0, 200.0, PART_SIZE)), "20.0")
                .or_derive("seal.depth + shell.wall", "a wall of one thickness about the seal", PRACTICE),
            bushing: s.key("bushing", "The bushing that carries the slip yoke.").section(),
            seal: s.key("seal", "The rotary lip seal behind the bushing.").section(),
            oil_feed: s
                .key("oil_feed", "The slot or hole that brings oil to the bushing. Leave it out for none.")
                .optional_section(),
            drain_back: s
                .key(
                    "drain_back",
                    "The drilled passage from the space ahead of the seal into the cavity. Leave it out for none.",
                )
                .optional_section(),
            dust_lip: s
                .key(
                    "dust_lip",
                    "A recess or a lip at the mouth of the seal counterbore. Leave it out for none.",
                )
                .optional_section(),
        }
    }
}

/// The bushing seat.
#[derive(Debug, Clone, PartialEq)]
pub struct RawBushing {
    /// Seat diameter in the housing.
    pub bore: Parameter<Mm>,
    /// Length of the seat.
    pub length: Parameter<Mm>,
    /// Bore ahead of the seat, whose shoulder stops the bushing.
    pub stop_bore: Parameter<Mm>,
    /// Length of the lead-in at the seat's rear edge.
    pub lead_in: Parameter<Mm>,
    /// Its angle to the axis.
    pub lead_in_angle: Parameter<Deg>,
}

impl Section for RawBushing {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            bore: s
                .key("bore", "Diameter of the seat in the housing into which the bushing is pressed.")
                .value(Length(range(15.0, 150.0, PART_SIZE)), "49.2125")
                .required(),
            length: s
                .key("length", "Length of the seat, from the seal counterbore's shoulder to the stop; lead-in included.")
                .value(Length(range(8.0, 200.0, "shorter does not guide a yoke")), "44.45")
                .required(),
            stop_bore: s
                .key("stop_bore", "Diameter of the bore ahead of the seat; its shoulder stops the bushing, the yoke passes.")
                .value(Length(range(12.0, 150.0, PART_SIZE)), "46.0375")
                .or_derive("bore - 3 mm", "a shoulder of 1.5 mm stops a bushing of common wall", PRACTICE),
            lead_in: s
                .key("lead_in", "Length, along the axis, of the lead-in at the seat's rear edge; 0 for none.")
                .value(Length(LEAD_IN), "1.5")
                .or_assume(Mm::new(1.5), "starts the bushing square", PRACTICE),
            lead_in_angle: s
                .key("lead_in_angle", "Angle between this lead-in and the shaft axis.")
                .value(Angle(LEAD_IN_ANGLE), "15 deg")
                .or_assume(Deg::new(15.0), "starts the bushing without shaving it", PRACTICE),
        }
    }
}

/// The seal counterbore.
#[derive(Debug, Clone, PartialEq)]
pub struct RawSeal {
    /// Counterbore diameter.
    pub counterbore: Parameter<Mm>,
    /// Width of the seal.
    pub width: Parameter<Mm>,
    /// Counterbore depth.
    pub depth: Parameter<Mm>,
    /// Length of the lead-in at the rear face.
    pub lead_in: Parameter<Mm>,
    /// Its angle to the axis.
    pub lead_in_angle: Parameter<Deg>,
}

impl Section for RawSeal {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            counterbore: s
                .key("counterbore", "Diameter of the counterbore that takes the seal.")
                .value(Length(range(20.0, 200.0, PART_SIZE)), "61.9125")
                .required(),
            width: s
                .key("width", "Width of the seal, which gives the depth unless `depth` is given. One of the two is needed.")
                .value(Length(range(3.0, 40.0, "seals of this size are 5 to 20 mm wide")), "12.0")
                .optional(),
            depth: s
                .key("depth", "Depth of the counterbore, from the rear face to its shoulder; lead-in included.")
                .value(Length(range(3.0, 60.0, "it takes one seal, perhaps with a dust lip")), "13.589")
                .or_derive("seal.width + 0.9 mm up to 10 mm, + 1.2 mm above", "the seal must not protrude", seals::DEPTH_SOURCE),
            lead_in: s
                .key("lead_in", "Length, along the axis, of the lead-in at the rear face; 0 for none.")
                .value(Length(LEAD_IN), "1.0")
                .or_assume(Mm::new(1.0), "starts the seal without shaving its rim", seals::LEAD_IN_SOURCE),
            lead_in_angle: s
                .key("lead_in_angle", "Angle between this lead-in and the shaft axis.")
                .value(Angle(LEAD_IN_ANGLE), "20 deg")
                .or_assume(Deg::new(20.0), "starts the seal without shaving its rim", seals::LEAD_IN_SOURCE),
        }
    }
}
