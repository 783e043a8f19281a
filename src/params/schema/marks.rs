//! `casting.marks`: letters and signs cast on.

use super::{PRACTICE, range};
use crate::params::kinds::{Flag, Length, Text};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::cast_letters::LETTERS_SOURCE;
use crate::units::Mm;

/// The signs that can be cast on.
pub const MARK_SIGNS: &str = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-./ ";

/// Marks cast on the shell, raised.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMarks {
    /// The part's number.
    pub part_number: Parameter<String>,
    /// Whether the alloy is cast on.
    pub alloy: Parameter<bool>,
    /// Whether an arrow to the front is cast on.
    pub arrow: Parameter<bool>,
    /// Height of the letters.
    pub height: Parameter<Mm>,
    /// Width of a stroke.
    pub stroke: Parameter<Mm>,
    /// How far they stand out.
    pub raised: Parameter<Mm>,
}

impl Section for RawMarks {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            part_number: s
                .key(
                    "part_number",
                    "The part's number: figures, capitals, hyphen, point, stroke and space. It stands on the shell's line that lies \
                     uppermost or lowest in the mould, where the letters draw.",
                )
                .value(Text(24), "TH-1042")
                .required(),
            alloy: s
                .key("alloy", "Whether the alloy's short name is cast on as well.")
                .value(Flag, "true")
                .or_assume(true, "scrap is sorted by it", PRACTICE),
            arrow: s
                .key("arrow", "Whether an arrow is cast on that points to the front.")
                .value(Flag, "true")
                .or_assume(true, "core and casting are laid the right way round by it", PRACTICE),
            height: s
                .key("height", "Height of the letters.")
                .value(
                    Length(range(4.0, 30.0, "lower letters do not fill in sand, higher ones are no mark")),
                    "6",
                )
                .or_assume(Mm::new(6.0), "read at arm's length", PRACTICE),
            stroke: s
                .key("stroke", "Width of a stroke, at its face.")
                .value(Length(range(0.8, 8.0, "narrower strokes do not fill in sand")), "1.2")
                .or_derive("a fifth of `height`", "fills, and leaves sand within a letter", PRACTICE),
            raised: s
                .key("raised", "How far the letters stand out of the shell.")
                .value(
                    Length(range(0.4, 3.0, "less is lost in the casting's skin, more tears the sand")),
                    "1.2",
                )
                .or_derive("by the height of the letters", "plain to read after blasting and paint", LETTERS_SOURCE),
        }
    }
}
