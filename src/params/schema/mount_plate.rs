//! `mount_pad.plate` and `mount_pad.slots`: a pad that is a plate instead of a block, and slots instead of threads.

use super::pads::{Grid, HolePosition};
use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Choice, Count, Hole, HoleSize, Length, Radius};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// What ties the plate to the shell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RawTie {
    /// A wall along each side.
    Walls,
    /// Plates across the shaft.
    Gussets,
}

/// A mount pad made as a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMountPlate {
    /// Thickness of the plate.
    pub thickness: Parameter<Mm>,
    /// Walls or gussets.
    pub tie: Parameter<RawTie>,
    /// Thickness of each.
    pub tie_thickness: Parameter<Mm>,
    /// Number of gussets.
    pub gussets: Parameter<u32>,
    /// Radius of the walls' upright edges.
    pub edge_radius: Parameter<Mm>,
    /// Diameter of the bosses behind tapped holes.
    pub boss_diameter: Parameter<Mm>,
    /// Metal below the drill's point.
    pub boss_floor: Parameter<Mm>,
}

impl Section for RawMountPlate {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const TIE: Choice<RawTie> = Choice(&[
            ("walls", RawTie::Walls, "a wall along each side of the plate, up into the shell"),
            ("gussets", RawTie::Gussets, "plates across the shaft, from the plate's width in to the shell's"),
        ]);
        Self {
            thickness: s
                .key("thickness", "Thickness of the plate, from its face up.")
                .value(Length(range(5.0, 60.0, "thinner bends under the mount, thicker is a block")), "12.0")
                .required(),
            tie: s.key("tie", "What ties the plate to the shell.").value(TIE, "gussets").or_assume(
                RawTie::Walls,
                "a box section, stiff against the mount's pull",
                PRACTICE,
            ),
            tie_thickness: s
                .key("tie_thickness", "Thickness of a wall or gusset.")
                .value(
                    Length(range(3.0, 40.0, "thinner does not fill in a sand mould, thicker is a hot spot")),
                    "7.0",
                )
                .or_derive("shell.wall", "freezes together with the shell", PRACTICE),
            gussets: s
                .key("gussets", "Number of gussets, evenly spaced along the plate. Gussets only.")
                .value(Count(range(1.0, 8.0, "more leave no sand between them")), "2")
                .or_derive("2", "one near each end", PRACTICE),
            edge_radius: s
                .key("edge_radius", "Radius of the walls' upright edges; 0 for sharp ones. Walls only.")
                .value(Radius(range(0.0, 20.0, PART_SIZE)), "2.0")
                .or_derive("2 mm", "a cast edge is never sharp", PRACTICE),
            boss_diameter: s
                .key(
                    "boss_diameter",
                    "Diameter of the boss behind each tapped hole that is deeper than the plate.",
                )
                .value(Length(range(8.0, 80.0, PART_SIZE)), "24.0")
                .or_derive("2.2 x thread diameter", "enough metal around the thread", PRACTICE),
            boss_floor: s
                .key("boss_floor", "Metal between the drill's point and the boss's end.")
                .value(Length(range(1.0, 40.0, "thinner weeps, thicker is a hot spot")), "4.0")
                .or_assume(Mm::new(4.0), "keeps the thread closed", PRACTICE),
        }
    }
}

/// The direction of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlotDirection {
    /// Along the shaft.
    Along,
    /// Across the shaft.
    Across,
}

/// Slots in a pad's face.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPadSlots {
    /// Width: a screw's clearance, or a length.
    pub size: Parameter<HoleSize>,
    /// Distance between the centres of the round ends.
    pub travel: Parameter<Mm>,
    /// Along or across the shaft.
    pub direction: Parameter<SlotDirection>,
    /// Depth from the face.
    pub depth: Parameter<Mm>,
    /// A rectangular pattern.
    pub grid: Option<Grid>,
    /// Slots placed one by one.
    pub positions: ParameterList<HolePosition>,
}

impl Section for RawPadSlots {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const DIRECTION: Choice<SlotDirection> = Choice(&[
            ("along", SlotDirection::Along, "along the shaft: the mount can be moved fore and aft"),
            ("across", SlotDirection::Across, "across the shaft"),
        ]);
        Self {
            size: s
                .key("size", "A screw, for a slot as wide as its clearance hole, or the slot's width.")
                .value(Hole(range(4.0, 40.0, "a smaller slot takes no mount's bolt")), "M10")
                .required(),
            travel: s
                .key("travel", "Distance between the centres of the slot's round ends.")
                .value(Length(range(0.5, 200.0, PART_SIZE)), "20.0")
                .required(),
            direction: s.key("direction", "The direction of the slots.").value(DIRECTION, "along").or_assume(
                SlotDirection::Along,
                "the mount is moved fore and aft",
                PRACTICE,
            ),
            depth: s
                .key("depth", "Depth from the face. Leave it out in a plate: the slots go through.")
                .value(Length(range(2.0, 100.0, PART_SIZE)), "15.0")
                .or_derive("plate.thickness", "through the plate", PRACTICE),
            grid: s.key("grid", "Slots in rows and columns around the pad's centre.").optional_section(),
            positions: s
                .key("positions", "Middles of slots placed one by one, from the pad's centre.")
                .list(0, 20),
        }
    }
}
