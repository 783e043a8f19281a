//! `sender_boss.o_ring`, `sender_boss.fork` and `sender_boss.neck`: the seal of the sender in its bore, the fork that retains it, and the
//! part of the boss that is thinner.

use super::{CLOCK, PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Angle, Length};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::{Deg, Mm};

/// The land or groove in the bore that takes the sender's O-ring.
///
/// At position 0 it is a land open to the spot face; further in it is a groove. Its floor is given by its depth below
/// the bore's wall, or by its diameter.
#[derive(Debug, Clone, PartialEq)]
pub struct RawORing {
    /// From the spot face to its near side.
    pub position: Parameter<Mm>,
    /// Its width along the bore.
    pub width: Parameter<Mm>,
    /// Depth below the bore's wall.
    pub depth: Parameter<Mm>,
    /// Diameter of its floor.
    pub diameter: Parameter<Mm>,
}

impl Section for RawORing {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            position: s
                .key("position", "From the spot face to the near side; 0 makes a land open to the spot face.")
                .value(Length(range(0.0, 200.0, PART_SIZE)), "5.0")
                .or_assume(Mm::new(0.0), "a land at the mouth is turned with the bore", PRACTICE),
            width: s
                .key("width", "Width along the bore.")
                .value(Length(range(1.0, 40.0, "a narrower or wider one does not seat a ring")), "3.6")
                .required(),
            depth: s
                .key("depth", "Depth below the wall of the bore. One of `depth` and `diameter` is needed.")
                .value(Length(range(0.3, 8.0, "it takes one ring")), "2.0")
                .optional(),
            diameter: s
                .key("diameter", "Diameter of its floor; then `depth` must be left out.")
                .value(Length(range(5.0, 110.0, PART_SIZE)), "22.0")
                .optional(),
        }
    }
}

/// The slot across the boss for a fork that holds the sender by a neck.
#[derive(Debug, Clone, PartialEq)]
pub struct RawFork {
    /// From the spot face to the slot's near side.
    pub depth: Parameter<Mm>,
    /// Width of the slot along the sender's axis.
    pub thickness: Parameter<Mm>,
    /// Width of the slot across.
    pub width: Parameter<Mm>,
    /// Side from which the fork comes.
    pub clock: Parameter<Deg>,
}

impl Section for RawFork {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            depth: s
                .key("depth", "From the spot face to the slot's near side.")
                .value(Length(range(2.0, 80.0, "nearer to the end, the bridge over the slot breaks")), "6.0")
                .required(),
            thickness: s
                .key("thickness", "Width of the slot along the sender's axis: the fork's thickness and its play.")
                .value(Length(range(1.0, 12.0, "a fork is a plate")), "3.2")
                .or_assume(Mm::new(3.2), "takes a plate of 3 mm", PRACTICE),
            width: s
                .key("width", "Width of the slot across; its end is a half round about the sender's axis.")
                .value(Length(range(6.0, 100.0, PART_SIZE)), "26.0")
                .required(),
            clock: s
                .key(
                    "clock",
                    "Side from which the fork comes, about the sender's axis: 0 is aft, 90 is towards clock + 90 degrees.",
                )
                .value(Angle(CLOCK), "180 deg")
                .or_assume(Deg::new(0.0), "from behind", PRACTICE),
        }
    }
}

/// The thinner part of the boss, from its head to the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct RawNeck {
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// Length of the head at the boss's full diameter.
    pub head: Parameter<Mm>,
}

impl Section for RawNeck {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            diameter: s
                .key("diameter", "Outside diameter of the neck, from the head to the shell.")
                .value(Length(range(10.0, 120.0, PART_SIZE)), "38.0")
                .required(),
            head: s
                .key(
                    "head",
                    "Length of the head at the boss's full diameter, from the spot face inwards; behind it a cone of 45 \
                     degrees leads to the neck.",
                )
                .value(Length(range(3.0, 150.0, PART_SIZE)), "22.0")
                .or_derive(
                    "retaining_screw.drill_depth + thread diameter; without a screw in the head, 0.3 x diameter",
                    "metal below the drill's point",
                    PRACTICE,
                ),
        }
    }
}
