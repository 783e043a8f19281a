//! `gearbox_face`: flange, register, bolt holes.

use super::flange_gussets::{FlangeGussets, RawRelief};
use super::{CLOCK, PART_SIZE, PRACTICE, SIDE, range};
use crate::params::kinds::{Angle, Choice, Count, Hole, HoleSize, Length};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::units::{Deg, Mm};

/// The front face, bolted to the gearbox.
#[derive(Debug, Clone, PartialEq)]
pub struct RawGearboxFace {
    /// The flange.
    pub flange: Flange,
    /// The register that centres the housing.
    pub register: RawRegister,
    /// Bolt holes on circles.
    pub bolt_circles: ParameterList<BoltCircle>,
    /// Bolt holes placed one by one.
    pub bolts: ParameterList<RawBolt>,
    /// Gussets behind the flange.
    pub gussets: ParameterList<FlangeGussets>,
    /// The relief of the face.
    pub relief: Option<RawRelief>,
}

impl Section for RawGearboxFace {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            flange: s.key("flange", "The flange around the face.").section(),
            register: s
                .key("register", "The turned register that centres the housing on the gearbox.")
                .section(),
            bolt_circles: s.key("bolt_circles", "Bolt holes evenly spaced on circles.").list(0, 8),
            bolts: s.key("bolts", "Bolt holes placed one by one.").list(0, 40),
            gussets: s
                .key("gussets", "Gussets from the flange's back to the shell, in evenly spaced sets.")
                .list(0, 8),
            relief: s
                .key(
                    "relief",
                    "A shallow ring sunk into the face, clear of the bolts. Leave it out for none.",
                )
                .optional_section(),
        }
    }
}

/// Outline of the flange.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlangeKind {
    /// One disc that holds all bolts.
    Disc,
    /// A base ring, and a lug for each bolt.
    Lugs,
}

/// The flange: a disc, or a base ring with a lug for each bolt.
#[derive(Debug, Clone, PartialEq)]
pub struct Flange {
    /// Disc or lugs.
    pub kind: Parameter<FlangeKind>,
    /// Outside diameter of disc or base ring.
    pub diameter: Parameter<Mm>,
    /// Thickness from the face aft.
    pub thickness: Parameter<Mm>,
    /// Sizes of the lugs.
    pub lug: Lug,
}

impl Section for Flange {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<FlangeKind> = Choice(&[
            ("disc", FlangeKind::Disc, "one disc that holds all bolts"),
            ("lugs", FlangeKind::Lugs, "a base ring, and a lug for each bolt"),
        ]);
        Self {
            kind: s.key("kind", "Disc, or lugs on a base ring.").value(KIND, "disc").or_assume(
                FlangeKind::Disc,
                "the simplest to mould and to turn",
                PRACTICE,
            ),
            diameter: s
                .key("diameter", "Outside diameter of the disc, or of the base ring between the lugs.")
                .value(Length(range(60.0, 600.0, PART_SIZE)), "219.075")
                .required(),
            thickness: s
                .key("thickness", "Thickness of the flange, from the face aft.")
                .value(
                    Length(range(5.0, 60.0, "thinner bends between bolts and leaks, thicker shrinks hollow")),
                    "14.2875",
                )
                .or_assume(Mm::new(12.0), "about twice the wall, stiff between bolts", PRACTICE),
            lug: s.key("lug", "Sizes of the lugs, for a flange with lugs.").default_section(),
        }
    }
}

/// Sizes of the lugs: each is round about its bolt and runs with straight sides into the base ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Lug {
    /// Radius about the bolt.
    pub radius: Parameter<Mm>,
    /// Width at the root, well inside the base ring.
    pub root_width: Parameter<Mm>,
}

impl Section for Lug {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            radius: s
                .key("radius", "Radius of the lug's round end, about the bolt hole.")
                .value(Length(range(6.0, 80.0, "smaller holds no bolt, larger is a disc")), "18.0")
                .or_derive(
                    "1.6 x the largest hole, or its spot face's radius + 1 mm, whichever is larger",
                    "the rim cracks when a hole is close to it",
                    PRACTICE,
                ),
            root_width: s
                .key(
                    "root_width",
                    "Width of the lug towards the shaft axis; wider than its end, it tapers outwards.",
                )
                .value(Length(range(8.0, 300.0, PART_SIZE)), "50.0")
                .or_derive("2.5 x lug.radius", "spreads the bolt's pull into the base ring", PRACTICE),
        }
    }
}

/// Which of the two parts has the male register.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RegisterKind {
    /// The housing's register projects ahead of the face, into the gearbox.
    Spigot,
    /// The housing's register is sunk aft of the face, over the gearbox's.
    Recess,
}

/// The register.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRegister {
    /// Spigot or recess.
    pub kind: Parameter<RegisterKind>,
    /// Diameter of the locating cylinder.
    pub diameter: Parameter<Mm>,
    /// How far it projects or is sunk.
    pub length: Parameter<Mm>,
    /// Length of the lead-in along the axis.
    pub lead_in: Parameter<Mm>,
    /// Angle of the lead-in to the axis.
    pub lead_in_angle: Parameter<Deg>,
}

impl Section for RawRegister {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<RegisterKind> = Choice(&[
            ("spigot", RegisterKind::Spigot, "it projects ahead of the face and enters the gearbox"),
            ("recess", RegisterKind::Recess, "it is sunk aft of the face and takes the gearbox's spigot"),
        ]);
        Self {
            kind: s.key("kind", "Spigot or recess.").value(KIND, "spigot").required(),
            diameter: s
                .key("diameter", "Diameter of the locating cylinder.")
                .value(Length(range(30.0, 500.0, PART_SIZE)), "146.05")
                .required(),
            length: s
                .key("length", "How far a spigot projects ahead of the face, or a recess is sunk aft of it.")
                .value(
                    Length(range(
                        1.0,
                        60.0,
                        "shorter does not centre, longer binds before the bolts draw it in",
                    )),
                    "4.7625",
                )
                .required(),
            lead_in: s
                .key(
                    "lead_in",
                    "Length, along the axis, of the lead-in at the register's open edge; 0 for a sharp edge.",
                )
                .value(Length(range(0.0, 10.0, "a longer one leaves nothing of the register")), "1.0")
                .or_assume(Mm::new(1.0), "starts the register without biting", PRACTICE),
            lead_in_angle: s
                .key("lead_in_angle", "Angle between the lead-in and the shaft axis.")
                .value(Angle(range(5.0, 60.0, "a flatter or steeper one does not guide")), "45 deg")
                .or_assume(Deg::new(45.0), "an ordinary chamfer tool", PRACTICE),
        }
    }
}

/// Bolt holes evenly spaced on a circle.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltCircle {
    /// Diameter of the circle through the hole centres.
    pub diameter: Parameter<Mm>,
    /// Number of holes.
    pub count: Parameter<u32>,
    /// Clock angle of the first hole.
    pub first_clock: Parameter<Deg>,
    /// Hole size.
    pub size: Parameter<HoleSize>,
    /// Spot face behind each hole.
    pub spot_face: Option<RawSpotFace>,
}

impl Section for BoltCircle {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            diameter: s
                .key("diameter", "Diameter of the circle through the hole centres.")
                .value(Length(range(40.0, 560.0, PART_SIZE)), "185.7375")
                .required(),
            count: s
                .key("count", "Number of holes, evenly spaced.")
                .value(Count(range(1.0, 40.0, "more leave no metal between them")), "6")
                .required(),
            first_clock: s
                .key("first_clock", "Clock angle of the first hole: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "30 deg")
                .or_assume(Deg::new(0.0), "first hole straight up", PRACTICE),
            size: hole_size(s),
            spot_face: s.key("spot_face", BOLT_SPOT_FACE).optional_section(),
        }
    }
}

/// One bolt hole placed by its coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct RawBolt {
    /// To the right of the shaft axis, seen from behind.
    pub y: Parameter<Mm>,
    /// Above the shaft axis.
    pub z: Parameter<Mm>,
    /// Hole size.
    pub size: Parameter<HoleSize>,
    /// Spot face behind the hole.
    pub spot_face: Option<RawSpotFace>,
}

impl Section for RawBolt {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            y: s.key("y", "Hole centre to the right of the shaft axis, seen from behind; left is negative.")
                .value(Length(SIDE), "62.5")
                .required(),
            z: s.key("z", "Hole centre above the shaft axis; below is negative.")
                .value(Length(SIDE), "-62.5")
                .required(),
            size: hole_size(s),
            spot_face: s.key("spot_face", BOLT_SPOT_FACE).optional_section(),
        }
    }
}

const BOLT_SPOT_FACE: &str = "Flat for the bolt head, sunk into the flange's rear face.";

fn hole_size(s: &mut SectionReader<'_>) -> Parameter<HoleSize> {
    s.key(
        "size",
        "A screw, for its clearance hole (ISO 273 medium, ASME B18.2.8 normal), or the hole's diameter.",
    )
    .value(Hole(range(3.0, 40.0, "smaller holds nothing here, larger is no bolt hole")), "M10")
    .required()
}

/// A spot face around a hole.
#[derive(Debug, Clone, PartialEq)]
pub struct RawSpotFace {
    /// Diameter.
    pub diameter: Parameter<Mm>,
    /// Depth below the surface it is cut into.
    pub depth: Parameter<Mm>,
}

impl Section for RawSpotFace {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            diameter: s
                .key("diameter", "Diameter of the spot face.")
                .value(Length(range(4.0, 80.0, "it carries one bolt head")), "22.0")
                .required(),
            depth: s
                .key("depth", "How deep it is cut below the surface around it.")
                .value(Length(range(0.1, 20.0, "it only cleans up a seat")), "0.8")
                .or_assume(Mm::new(0.8), "cleans up a cast surface", PRACTICE),
        }
    }
}
