//! `casting.mould`, `casting.stock`, `casting.contraction`, `casting.prints`: how the part is moulded.

use super::{CLOCK, PRACTICE, range};
use crate::params::kinds::{Angle, Choice, Count, Flag, Length, Percentage};
use crate::params::parameter::{Concern, Parameter};
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::casting_tolerance::AllowanceGrade;
use crate::units::{Deg, Mm, Percent};

/// Foundry trade pages that were read.
const TRADE: &str = "foundry trade pages, read";

/// How the part lies in the mould.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMould {
    /// Clock angle of the direction in which the upper half is lifted.
    pub parting_clock: Parameter<Deg>,
    /// Draft outside.
    pub draft: Parameter<Deg>,
    /// Draft of core boxes.
    pub core_draft: Parameter<Deg>,
    /// Whether loose pieces are parted off.
    pub loose_pieces: Parameter<bool>,
    /// Room between a loose piece and its half.
    pub loose_clearance: Parameter<Mm>,
    /// Whether feeders and gating come with the pattern.
    pub feeders_and_gates: Parameter<bool>,
}

impl Section for RawMould {
    fn read(s: &mut SectionReader<'_>) -> Self {
        let draft = range(0.0, 10.0, "more is a shape of its own");
        Self {
            parting_clock: s
                .key(
                    "parting_clock",
                    "Clock angle of the direction in which the upper half of the mould is lifted. The parting plane contains \
                     the shaft axis and is square to it.",
                )
                .concerning(Concern::MouldAndCore)
                .value(Angle(CLOCK), "0")
                .or_assume(Deg::new(0.0), "the pads above and below are drawn straight", PRACTICE),
            draft: s
                .key("draft", "Draft of cast walls outside: metal is added towards the parting plane.")
                .value(Angle(draft), "1.5")
                .or_assume(Deg::new(1.5), "between 1 and 3 deg outside", TRADE),
            core_draft: s
                .key("core_draft", "Draft of walls that are formed by a core box.")
                .concerning(Concern::Core)
                .value(Angle(draft), "1.5")
                .or_assume(Deg::new(1.5), "core boxes of wood or resin", PRACTICE),
            loose_pieces: s
                .key(
                    "loose_pieces",
                    "Whether what holds a half of the pattern in the sand is parted off it as a loose piece, wherever one can be drawn.",
                )
                .value(Flag, "true")
                .or_assume(true, "a half that is held breaks its mould", PRACTICE),
            loose_clearance: s
                .key("loose_clearance", "Room between a loose piece and its half, on each side.")
                .value(Length(range(0.0, 1.0, "more lets sand in between")), "0.2")
                .or_assume(Mm::new(0.2), "it must slide, and keep sand out", PRACTICE),
            feeders_and_gates: s
                .key(
                    "feeders_and_gates",
                    "Whether the pattern comes with the recommended feeders, sprue, runners and gates as pieces of their own.",
                )
                .value(Flag, "true")
                .or_assume(false, "the foundry decides on them, and often has its own", PRACTICE),
        }
    }
}

/// Metal left for machining.
#[derive(Debug, Clone, PartialEq)]
pub struct RawStock {
    /// On every machined face, instead of the grade's.
    pub all: Parameter<Mm>,
    /// Allowance grade.
    pub grade: Parameter<AllowanceGrade>,
    /// Further stock on faces that lie uppermost.
    pub top: Parameter<Mm>,
    /// Casting tolerance grade.
    pub tolerance_grade: Parameter<u32>,
    /// Least diameter of a cored hole.
    pub cored_above: Parameter<Mm>,
}

impl Section for RawStock {
    fn read(s: &mut SectionReader<'_>) -> Self {
        use AllowanceGrade::{D, E, F, G, H, J};
        const GRADES: Choice<AllowanceGrade> = Choice(&[
            ("D", D, "finest"),
            ("E", E, "light metal moulded by machine, fine"),
            ("F", F, "moulded by hand, fine"),
            ("G", G, "moulded by hand"),
            ("H", H, "moulded by hand, coarse"),
            ("J", J, "coarsest"),
        ]);
        Self {
            all: s
                .key("all", "Stock on every machined face, instead of that computed from the grades.")
                .value(Length(range(0.0, 15.0, "more is not machined off in one setting")), "3")
                .optional(),
            grade: s
                .key("grade", "Grade of required machining allowance (ISO 8062-3).")
                .value(GRADES, "F")
                .or_assume(
                    F,
                    "moulded in sand by hand: F to H; light metal by machine: E to G",
                    "ISO 8062-3 annex, from memory",
                ),
            top: s
                .key(
                    "top",
                    "Further stock on machined faces that lie uppermost in the mould, where dross gathers.",
                )
                .value(Length(range(0.0, 10.0, "more is a feeder")), "1")
                .or_assume(Mm::new(1.0), "dross and gas rise", PRACTICE),
            tolerance_grade: s
                .key("tolerance_grade", "Casting tolerance grade (DCTG, ISO 8062-3).")
                .value(Count(range(7.0, 13.0, "the grades of sand castings in the table")), "10")
                .or_assume(
                    11,
                    "a single casting or a few, moulded by hand in clay-bonded sand: 11 to 13",
                    "draft ISO/CD 8062-2 table A.2, read",
                ),
            cored_above: s
                .key("cored_above", "Machined holes below this diameter are cast solid and drilled.")
                .concerning(Concern::MouldAndCore)
                .value(Length(range(5.0, 200.0, "every hole of a tail housing is smaller")), "30")
                .or_assume(Mm::new(30.0), "smaller holes to be machined are closed", TRADE),
        }
    }
}

/// Contraction allowance: how much larger the pattern is.
#[derive(Debug, Clone, PartialEq)]
pub struct Contraction {
    /// Along the shaft.
    pub axial: Parameter<Percent>,
    /// Across it.
    pub radial: Parameter<Percent>,
}

impl Section for Contraction {
    fn read(s: &mut SectionReader<'_>) -> Self {
        let most = range(0.0, 5.0, "no casting alloy shrinks by more");
        Self {
            axial: s
                .key("axial", "Contraction along the shaft; the pattern is the casting scaled by one plus this. Ask the foundry.")
                .value(Percentage(most), "1.3 %")
                .or_derive("the alloy's contraction", "the alloy table", "see the alloy"),
            radial: s
                .key("radial", "Contraction across the shaft, when cores hold it back.")
                .value(Percentage(most), "1.1 %")
                .or_derive("as along the shaft", "the same in all directions", PRACTICE),
        }
    }
}

/// Core prints, vent, dowels.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPrints {
    /// Length of the front print.
    pub front_length: Parameter<Mm>,
    /// Length of the rear print.
    pub rear_length: Parameter<Mm>,
    /// Taper of print ends.
    pub taper: Parameter<Deg>,
    /// Room around the core's print, on each side.
    pub clearance: Parameter<Mm>,
    /// Diameter of the vent.
    pub vent: Parameter<Mm>,
    /// Diameter of dowels between halves.
    pub dowels: Parameter<Mm>,
}

impl Section for RawPrints {
    fn read(s: &mut SectionReader<'_>) -> Self {
        let length = range(10.0, 300.0, "long enough to hold the core, short enough for the flask");
        let mut long = |name: &'static str, about: &'static str| {
            s.key(name, about).value(Length(length), "60").or_derive(
                "three quarters of the core's diameter there, at least 25 mm",
                "long enough that the core neither sags nor floats",
                PRACTICE,
            )
        };
        let front_length = long("front_length", "Length of the core print ahead of the gearbox face.");
        let rear_length = long("rear_length", "Length of the core print behind the tail.");
        Self {
            front_length,
            rear_length,
            taper: s
                .key("taper", "Taper of the prints' ends and of prints over openings.")
                .value(Angle(range(0.0, 15.0, "more does not hold the core in place")), "7")
                .or_assume(Deg::new(7.0), "between 5 and 10 deg", PRACTICE),
            clearance: s
                .key("clearance", "Room between the pattern's print and the core's, on each side.")
                .value(Length(range(0.0, 2.0, "more lets the core shift")), "0.4")
                .or_assume(Mm::new(0.4), "between 0.25 and 0.5 mm", PRACTICE),
            vent: s
                .key("vent", "Diameter of the vent along the core; 0 for none.")
                .concerning(Concern::Core)
                .value(Length(range(0.0, 20.0, "more weakens the core")), "6")
                .or_assume(Mm::new(6.0), "gas leaves through the prints", PRACTICE),
            dowels: s
                .key("dowels", "Diameter of the dowels between the halves of pattern and core box.")
                .value(Length(range(3.0, 25.0, "stock sizes of dowels")), "8")
                .or_assume(Mm::new(8.0), "a stock size", PRACTICE),
        }
    }
}
