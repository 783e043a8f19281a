//! `ribs`: cast ribs that stiffen the shell, along it and around it.

use super::{CLOCK, PART_SIZE, PRACTICE, STATION, range};
use crate::params::kinds::{Angle, Count, Length, Range};
use crate::params::parameter::{Parameter, ParameterList};
use crate::params::section_reader::{Section, SectionReader};
use crate::units::{Deg, Mm};

const THICKNESS: Range = range(3.0, 30.0, "thinner does not fill in a sand mould, thicker is a hot spot");
const HEIGHT: Range = range(1.0, 80.0, "lower stiffens nothing, higher tears the mould");
const DRAFT: Range = range(0.0, 10.0, "more is a slope, not draft");

/// Ribs of the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRibs {
    /// Ribs along the shaft.
    pub longitudinal: ParameterList<LongitudinalRibs>,
    /// Ribs around the shell.
    pub rings: ParameterList<RawRingRib>,
}

impl Section for RawRibs {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            longitudinal: s.key("longitudinal", "Ribs along the shaft, in evenly spaced sets.").list(0, 12),
            rings: s.key("rings", "Ribs around the shell.").list(0, 12),
        }
    }
}

/// A set of ribs along the shaft, evenly spaced around it.
///
/// The crest runs straight between its ends, which lie `height` outside the shell there, or at `outer_radius`.
#[derive(Debug, Clone, PartialEq)]
pub struct LongitudinalRibs {
    /// Number of ribs.
    pub count: Parameter<u32>,
    /// Clock angle of the first.
    pub first_clock: Parameter<Deg>,
    /// Station of the crest's front end.
    pub from: Parameter<Mm>,
    /// Station of the crest's rear end.
    pub to: Parameter<Mm>,
    /// Thickness at the crest.
    pub thickness: Parameter<Mm>,
    /// Height of the crest's ends above the shell.
    pub height: Parameter<Mm>,
    /// Distance of the crest from the shaft axis.
    pub outer_radius: Parameter<Mm>,
    /// Draft of the sides.
    pub draft: Parameter<Deg>,
}

impl Section for LongitudinalRibs {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            count: s
                .key("count", "Number of ribs, evenly spaced around the shell.")
                .value(Count(range(1.0, 24.0, "more leave no sand between them")), "2")
                .or_assume(1, "one rib at `first_clock`", PRACTICE),
            first_clock: s
                .key("first_clock", "Clock angle of the first rib: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "90 deg")
                .or_assume(Deg::new(0.0), "straight up", PRACTICE),
            from: s
                .key("from", "Station of the crest's front end; within the flange, the rib grows out of it.")
                .value(Length(STATION), "8.0")
                .required(),
            to: s.key("to", "Station of the crest's rear end.").value(Length(STATION), "150").required(),
            thickness: thickness(s),
            height: s
                .key(
                    "height",
                    "Height of the crest's ends above the shell; the crest runs straight between them.",
                )
                .value(Length(HEIGHT), "8.0")
                .or_assume(Mm::new(8.0), "a little more than the wall, and still easy to mould", PRACTICE),
            outer_radius: outer_radius(s),
            draft: draft(s),
        }
    }
}

/// A rib around the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRingRib {
    /// Station of its middle.
    pub station: Parameter<Mm>,
    /// Thickness at the crest.
    pub thickness: Parameter<Mm>,
    /// Height of the crest above the shell.
    pub height: Parameter<Mm>,
    /// Distance of the crest from the shaft axis.
    pub outer_radius: Parameter<Mm>,
    /// Draft of the sides.
    pub draft: Parameter<Deg>,
}

impl Section for RawRingRib {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            station: s
                .key("station", "Station of the rib's middle.")
                .value(Length(STATION), "120")
                .required(),
            thickness: thickness(s),
            height: s
                .key(
                    "height",
                    "Height of the crest above the shell, where the shell is widest under the rib.",
                )
                .value(Length(HEIGHT), "6.0")
                .or_assume(Mm::new(6.0), "as high as thick", PRACTICE),
            outer_radius: outer_radius(s),
            draft: draft(s),
        }
    }
}

fn thickness(s: &mut SectionReader<'_>) -> Parameter<Mm> {
    s.key("thickness", "Thickness of the rib at its crest.").value(Length(THICKNESS), "6.0").or_derive(
        "shell.wall",
        "no thicker than the wall it stands on, so that it freezes no later",
        PRACTICE,
    )
}

fn outer_radius(s: &mut SectionReader<'_>) -> Parameter<Mm> {
    s.key("outer_radius", "Distance of the crest from the shaft axis; then `height` is ignored.")
        .value(Length(range(15.0, 300.0, PART_SIZE)), "70")
        .optional()
}

fn draft(s: &mut SectionReader<'_>) -> Parameter<Deg> {
    s.key("draft", "Draft of the rib's sides: it grows from crest to root.")
        .value(Angle(DRAFT), "2 deg")
        .or_assume(Deg::new(2.0), "ribs are drawn from the sand on the finished part as well", PRACTICE)
}
