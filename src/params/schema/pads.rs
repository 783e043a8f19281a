//! `shift_box_pad` and `mount_pad`: machined pads raised from the shell, with tapped holes.
//!
//! Length runs along the shaft, width across it. Positions on a pad count from its centre: `along` positive aft,
//! `across` positive towards clock + 90 degrees (right, seen from behind, for a pad on top; for the mount pad,
//! right as well).

use super::mount_plate::{RawMountPlate, RawPadSlots};
use super::pad_hollow::{RawMountHollow, RawPadHollow};
use super::pad_polygon::{RawDowel, RawPolygonCorner};
use super::{CLOCK, PART_SIZE, PRACTICE, SIDE, STATION, range};
use crate::params::kinds::{Angle, Count, Length, Radius, Range, ThreadName};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

const PAD_SIDE: Range = range(8.0, 400.0, PART_SIZE);
const DRAFT: Range = range(0.0, 10.0, "more is a slope, not draft");

/// A rounded rectangle.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Along the shaft.
    pub length: Parameter<Mm>,
    /// Across the shaft.
    pub width: Parameter<Mm>,
    /// Radius of its four corners.
    pub corner_radius: Parameter<Mm>,
}

impl Section for Outline {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            length: s.key("length", "Length along the shaft.").value(Length(PAD_SIDE), "117.475").required(),
            width: s.key("width", "Width across the shaft.").value(Length(PAD_SIDE), "85.725").required(),
            corner_radius: s
                .key("corner_radius", "Radius of the four corners; 0 for sharp ones.")
                .value(Radius(range(0.0, 200.0, PART_SIZE)), "11.1125")
                .or_assume(Mm::new(6.0), "at least the wall, so that corners fill", PRACTICE),
        }
    }
}

/// Blind tapped holes in a pad face.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPadHoles {
    /// Thread of all holes.
    pub thread: Parameter<&'static Thread>,
    /// Depth of full thread.
    pub depth: Parameter<Mm>,
    /// Depth of the tapping drill's full diameter.
    pub drill_depth: Parameter<Mm>,
    /// A rectangular pattern.
    pub grid: Option<Grid>,
    /// Holes placed one by one.
    pub positions: ParameterList<HolePosition>,
}

impl Section for RawPadHoles {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            thread: s.key("thread", "Thread of all holes of this pad.").value(ThreadName, "M8").required(),
            depth: s
                .key("depth", "Depth of full thread, from the pad face.")
                .value(Length(range(3.0, 80.0, "shorter holds nothing, longer is not tapped")), "16.764")
                .or_derive("2 x thread diameter", "1.5 to 2 diameters of engagement in aluminium", PRACTICE),
            drill_depth: s
                .key("drill_depth", "Depth of the drilled hole at full diameter, from the pad face.")
                .value(Length(range(3.0, 100.0, "longer is not drilled")), "20.5")
                .or_derive(
                    "depth + half the thread diameter",
                    "room for the tap's lead and for chips",
                    PRACTICE,
                ),
            grid: s.key("grid", "Holes in rows and columns around the pad's centre.").optional_section(),
            positions: s.key("positions", "Holes placed one by one, from the pad's centre.").list(0, 40),
        }
    }
}

/// Holes in rows and columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// Number of holes along the shaft.
    pub along: Parameter<u32>,
    /// Number of holes across.
    pub across: Parameter<u32>,
    /// Centre distance of the outer holes along the shaft.
    pub length: Parameter<Mm>,
    /// Centre distance of the outer holes across.
    pub width: Parameter<Mm>,
}

impl Section for Grid {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const NUMBER: Count = Count(range(1.0, 10.0, "more do not fit on a pad"));
        const SPREAD: Length = Length(range(0.0, 400.0, PART_SIZE));
        Self {
            along: s.key("along", "Number of holes along the shaft.").value(NUMBER, "3").required(),
            across: s.key("across", "Number of holes across the shaft.").value(NUMBER, "2").required(),
            length: s
                .key("length", "Distance between the centres of the first and last hole along the shaft.")
                .value(SPREAD, "90.4875")
                .required(),
            width: s
                .key("width", "Distance between the centres of the first and last hole across the shaft.")
                .value(SPREAD, "58.7375")
                .required(),
        }
    }
}

/// One hole, from the pad's centre.
#[derive(Debug, Clone, PartialEq)]
pub struct HolePosition {
    /// Aft of the centre.
    pub along: Parameter<Mm>,
    /// Across from the centre.
    pub across: Parameter<Mm>,
}

impl Section for HolePosition {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            along: s
                .key("along", "Aft of the pad's centre; ahead of it is negative.")
                .value(Length(SIDE), "44.45")
                .required(),
            across: s
                .key("across", "To the right of the pad's centre, seen from behind; left is negative.")
                .value(Length(SIDE), "-31.75")
                .required(),
        }
    }
}

/// The pad that carries the shift box.
///
/// Its centre lies at `station`, `height` from the shaft axis in the direction of `clock`, and `side_offset` from
/// there towards clock + 90 degrees. The face looks in the direction of `clock`, tipped aft by `tilt` about the
/// crosswise line through the centre.
#[derive(Debug, Clone, PartialEq)]
pub struct RawShiftBoxPad {
    /// Station of the pad's centre.
    pub station: Parameter<Mm>,
    /// Distance of the pad's centre from the shaft axis.
    pub height: Parameter<Mm>,
    /// Offset of the pad's centre.
    pub side_offset: Parameter<Mm>,
    /// Clock angle of the direction in which it looks.
    pub clock: Parameter<Deg>,
    /// Tip of the face aft.
    pub tilt: Parameter<Deg>,
    /// Outline of the face, a rounded rectangle.
    pub outline: Option<Outline>,
    /// Outline of the face, corner by corner.
    pub polygon: ParameterList<RawPolygonCorner>,
    /// Opening into the cavity.
    pub opening: Option<Outline>,
    /// Hollow below the face instead of solid metal.
    pub hollow: Option<RawPadHollow>,
    /// Tapped holes.
    pub holes: Option<RawPadHoles>,
    /// Dowel holes.
    pub dowels: ParameterList<RawDowel>,
    /// Draft of the side walls.
    pub draft: Parameter<Deg>,
}

impl Section for RawShiftBoxPad {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            station: s
                .key("station", "Station of the pad's centre.")
                .value(Length(STATION), "117.475")
                .required(),
            height: s
                .key(
                    "height",
                    "Distance of the pad's centre from the shaft axis, in the direction of `clock`.",
                )
                .value(Length(range(15.0, 300.0, PART_SIZE)), "98.425")
                .required(),
            side_offset: s
                .key(
                    "side_offset",
                    "Offset of the centre towards clock + 90 degrees: right, for a pad on top.",
                )
                .value(Length(SIDE), "0")
                .or_assume(Mm::new(0.0), "over the shaft axis", PRACTICE),
            clock: s
                .key("clock", "Direction in which the face looks: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "0 deg")
                .or_assume(Deg::new(0.0), "straight up", PRACTICE),
            tilt: s
                .key("tilt", "How far the face is tipped to look aft; negative looks ahead.")
                .value(
                    Angle(range(-30.0, 30.0, "at a larger tilt the pad cuts through its own wall")),
                    "0 deg",
                )
                .or_assume(Deg::new(0.0), "parallel to the shaft axis", PRACTICE),
            outline: s
                .key(
                    "outline",
                    "Outline of the pad's face, a rounded rectangle. Leave it out for a `polygon`.",
                )
                .optional_section(),
            polygon: s
                .key(
                    "polygon",
                    "Outline of the pad's face, corner by corner around it, instead of `outline`.",
                )
                .list(0, 24),
            opening: s
                .key("opening", "Opening through the pad into the cavity. Leave it out for a closed pad.")
                .optional_section(),
            hollow: s
                .key(
                    "hollow",
                    "Makes the pad a plate on walls, hollow below, with bosses around its holes. Leave it out for a \
                     solid block.",
                )
                .optional_section(),
            holes: s.key("holes", "Tapped holes in the face. Leave it out for none.").optional_section(),
            dowels: s.key("dowels", "Blind dowel holes that locate the shift box.").list(0, 8),
            draft: draft(s),
        }
    }
}

/// The pad that rests on the mount. Its face looks straight down.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMountPad {
    /// Station the pad's centre is measured from.
    pub base_station: Parameter<Mm>,
    /// Shift of the centre aft of the base station.
    pub offset: Parameter<Mm>,
    /// Distance of the face below the shaft axis.
    pub drop: Parameter<Mm>,
    /// Offset of the centre to the right.
    pub side_offset: Parameter<Mm>,
    /// Outline of the face.
    pub outline: Outline,
    /// Tapped holes.
    pub holes: Option<RawPadHoles>,
    /// Slots.
    pub slots: Option<RawPadSlots>,
    /// Plate instead of a block.
    pub plate: Option<RawMountPlate>,
    /// Hollow leg instead of a block.
    pub hollow: Option<RawMountHollow>,
    /// Draft of the side walls.
    pub draft: Parameter<Deg>,
}

impl Section for RawMountPad {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            base_station: s
                .key("base_station", "Station that the pad's centre is measured from.")
                .value(Length(STATION), "206.375")
                .required(),
            offset: s
                .key("offset", "How far the centre lies aft of the base station; ahead of it is negative.")
                .value(Length(range(-600.0, 600.0, PART_SIZE)), "0")
                .or_assume(Mm::new(0.0), "at the base station", PRACTICE),
            drop: s
                .key("drop", "Distance of the pad's face below the shaft axis.")
                .value(Length(range(15.0, 300.0, PART_SIZE)), "92.075")
                .required(),
            side_offset: s
                .key("side_offset", "Offset of the centre to the right, seen from behind; left is negative.")
                .value(Length(SIDE), "0")
                .or_assume(Mm::new(0.0), "under the shaft axis", PRACTICE),
            outline: s.key("outline", "Outline of the pad's face.").section(),
            holes: s.key("holes", "Tapped holes in the face. Leave it out for none.").optional_section(),
            slots: s.key("slots", "Slots in the face. Leave it out for none.").optional_section(),
            plate: s
                .key("plate", "Makes the pad a plate tied to the shell. Leave it out for a solid block.")
                .optional_section(),
            hollow: s
                .key(
                    "hollow",
                    "Makes the pad a hollow leg: walls, with bosses around its holes. Leave it out for a solid block.",
                )
                .optional_section(),
            draft: draft(s),
        }
    }
}

fn draft(s: &mut SectionReader<'_>) -> Parameter<Deg> {
    s.key("draft", "Draft of the pad's side walls: the pad grows from its face towards the shell.")
        .value(Angle(DRAFT), "0 deg")
        .or_assume(Deg::new(0.0), "the finished part is modelled without draft", PRACTICE)
}
