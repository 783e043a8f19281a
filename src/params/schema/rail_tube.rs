//! `rail_tube`: the cast tube or hump beside the cavity in which the shift rail slides.

use super::{PART_SIZE, PRACTICE, SIDE, STATION, range};
use crate::params::kinds::{Choice, Length};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// How the metal around the rail joins the shell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RailForm {
    /// Round outside, straight sides down into the shell.
    Hump,
    /// A round tube by itself.
    Tube,
}

/// The shift rail's tube, parallel to the shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRailTube {
    /// Hump or tube.
    pub form: Parameter<RailForm>,
    /// Rail axis to the right of the shaft axis.
    pub y: Parameter<Mm>,
    /// Rail axis above the shaft axis.
    pub z: Parameter<Mm>,
    /// Bore in which the rail slides.
    pub bore: Parameter<Mm>,
    /// Outside diameter.
    pub outside_diameter: Parameter<Mm>,
    /// Station of its front end.
    pub from: Parameter<Mm>,
    /// Station of its rear end.
    pub to: Parameter<Mm>,
    /// Station where the bore starts.
    pub bore_from: Parameter<Mm>,
    /// Station where the bore ends.
    pub bore_to: Parameter<Mm>,
}

impl Section for RawRailTube {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const FORM: Choice<RailForm> = Choice(&[
            ("hump", RailForm::Hump, "round outside, with straight sides down into the shell"),
            ("tube", RailForm::Tube, "a round tube by itself, partly in the shell's wall"),
        ]);
        Self {
            form: s.key("form", "Hump or tube.").value(FORM, "hump").or_assume(
                RailForm::Hump,
                "leaves no undercut between rail and shell",
                PRACTICE,
            ),
            y: s.key("y", "Rail axis to the right of the shaft axis, seen from behind; left is negative.")
                .value(Length(SIDE), "0")
                .or_assume(Mm::new(0.0), "above the shaft", PRACTICE),
            z: s.key("z", "Rail axis above the shaft axis; below is negative.")
                .value(Length(SIDE), "66")
                .required(),
            bore: s
                .key("bore", "Diameter of the bore in which the rail slides.")
                .value(Length(range(6.0, 60.0, "thinner rails bend, and thicker ones are not used")), "16.0")
                .required(),
            outside_diameter: s
                .key("outside_diameter", "Outside diameter.")
                .value(Length(range(12.0, 120.0, PART_SIZE)), "28.0")
                .or_derive("bore + 2 x shell.wall", "the shell's wall around the bore", PRACTICE),
            from: s
                .key("from", "Station of its front end; 0 is the gearbox face.")
                .value(Length(STATION), "0")
                .or_assume(Mm::new(0.0), "the rail comes out of the gearbox", PRACTICE),
            to: s.key("to", "Station of its rear end.").value(Length(STATION), "120").required(),
            bore_from: s
                .key("bore_from", "Station where the bore starts; at `from` it is open to the front, and drilled through what stands before the tube.")
                .value(Length(STATION), "0")
                .or_derive("from", "open to the gearbox", PRACTICE),
            bore_to: s
                .key("bore_to", "Station where the bore ends; at `to` it is open to the rear.")
                .value(Length(STATION), "112")
                .or_derive("to - shell.wall", "closed at the rear, which needs no plug", PRACTICE),
        }
    }
}
