//! `plugs`: bosses with a tapped hole into the cavity, to fill, drain and vent the housing.

use super::{CLOCK, PART_SIZE, PRACTICE, STATION, range};
use crate::params::kinds::{Angle, Choice, Length, ThreadName};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

/// What a plug is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlugKind {
    /// Oil is filled in and its level checked here.
    Fill,
    /// Oil is drained here.
    Drain,
    /// Air enters and leaves here.
    Vent,
}

/// A plug: a boss square to the shaft axis, pointing away from it, with a tapped hole into the cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPlug {
    /// Its purpose.
    pub kind: Parameter<PlugKind>,
    /// Station of its axis.
    pub station: Parameter<Mm>,
    /// Direction in which it points.
    pub clock: Parameter<Deg>,
    /// Distance of its machined end from the shaft axis.
    pub height: Parameter<Mm>,
    /// Thread.
    pub thread: Parameter<&'static Thread>,
    /// Outside diameter of the boss.
    pub diameter: Parameter<Mm>,
}

impl Section for RawPlug {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const KIND: Choice<PlugKind> = Choice(&[
            ("fill", PlugKind::Fill, "oil is filled in and its level checked here"),
            ("drain", PlugKind::Drain, "oil is drained here"),
            ("vent", PlugKind::Vent, "air enters and leaves here"),
        ]);
        Self {
            kind: s.key("kind", "What the plug is for.").value(KIND, "drain").required(),
            station: s.key("station", "Station of the plug's axis.").value(Length(STATION), "60").required(),
            clock: s
                .key("clock", "Direction in which the plug points: seen from behind, 0 is up, clockwise.")
                .value(Angle(CLOCK), "180 deg")
                .required(),
            height: s
                .key("height", "Distance of the boss's machined end from the shaft axis.")
                .value(Length(range(15.0, 300.0, PART_SIZE)), "72")
                .required(),
            thread: s.key("thread", "Thread of the plug.").value(ThreadName, "M12").required(),
            diameter: s
                .key("diameter", "Outside diameter of the boss.")
                .value(Length(range(10.0, 80.0, PART_SIZE)), "26")
                .or_derive("2.2 x thread diameter", "carries the plug's head and its sealing ring", PRACTICE),
        }
    }
}
