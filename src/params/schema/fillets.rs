//! `casting.fillets`: radii where cast faces meet.

use super::{PRACTICE, range};
use crate::params::kinds::{Radius, Range};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// Root fillets. Below a millimetre sand does not keep the edge.
const ROOT: Range = range(0.0, 25.0, "larger ones gather metal that shrinks");

/// Rounded outer edges.
const EDGE: Range = range(0.0, 8.0, "a larger rounding is no longer an edge");

/// Radii where cast faces meet.
#[derive(Debug, Clone, PartialEq)]
pub struct RawFillets {
    /// Inward joints outside.
    pub outside: Parameter<Mm>,
    /// Joints inside the cavity.
    pub cavity: Parameter<Mm>,
    /// Outward edges.
    pub edges: Parameter<Mm>,
    /// Radii of single features.
    pub flange: Parameter<Mm>,
    /// The ring around bushing and seal.
    pub tail: Parameter<Mm>,
    /// The shift box's pad.
    pub shift_box_pad: Parameter<Mm>,
    /// The mount's pad.
    pub mount_pad: Parameter<Mm>,
    /// The second mount's pad.
    pub second_mount_pad: Parameter<Mm>,
    /// The sender's boss.
    pub sender_boss: Parameter<Mm>,
    /// The rail's tube.
    pub rail_tube: Parameter<Mm>,
    /// Ribs.
    pub ribs: Parameter<Mm>,
    /// Bosses of plugs.
    pub plugs: Parameter<Mm>,
}

impl Section for RawFillets {
    fn read(s: &mut SectionReader<'_>) -> Self {
        let mut own =
            |name: &'static str, about: &'static str| s.key(name, about).value(Radius(ROOT), "4").optional();
        let (flange, tail) = (
            own("flange", "Radius at the flange's and the lugs' foot, when it differs from `outside`."),
            own("tail", "Radius at the tail ring's front, when it differs from `outside`."),
        );
        let shift_box_pad =
            own("shift_box_pad", "Radius at the shift box's pad, when it differs from `outside`.");
        let mount_pad = own("mount_pad", "Radius at the mount's pad, when it differs from `outside`.");
        let second_mount_pad =
            own("second_mount_pad", "Radius at the second mount's pad, when it differs from `outside`.");
        let sender_boss = own("sender_boss", "Radius at the sender's boss, when it differs from `outside`.");
        let rail_tube = own("rail_tube", "Radius at the rail's tube, when it differs from `outside`.");
        let ribs = own("ribs", "Radius at the ribs, when it differs from `outside`.");
        let plugs = own("plugs", "Radius at the plugs' bosses, when it differs from `outside`.");
        Self {
            outside: s
                .key("outside", "Radius of every root fillet outside: where a boss, pad, rib, tube or flange meets the shell or one another. 0 for none.")
                .value(Radius(ROOT), "4")
                .or_derive(
                    "0.6 x shell.wall, and at least 3 mm",
                    "between 0.4 and 0.67 of equal walls; sand does not hold a smaller radius",
                    "foundry trade pages, read",
                ),
            cavity: s
                .key("cavity", "Radius of the fillets inside the cavity, where its diameter steps. 0 for none.")
                .value(Radius(ROOT), "3")
                .or_assume(Mm::new(3.0), "sand does not hold a smaller radius", PRACTICE),
            edges: s
                .key("edges", "Radius by which cast edges that point outwards are rounded, where the profile allows it. 0 for none.")
                .value(Radius(EDGE), "1.5")
                .or_assume(Mm::new(1.5), "sand does not hold a sharper edge", PRACTICE),
            flange,
            tail,
            shift_box_pad,
            mount_pad,
            second_mount_pad,
            sender_boss,
            rail_tube,
            ribs,
            plugs,
        }
    }
}
