//! `casting`: the alloy, and how the part is cast.

use super::{Contraction, RawFillets, RawMarks, RawMould, RawPrints, RawStock, range};
use crate::params::kinds::{Choice, Density, Row};
use crate::params::parameter::{Concern, Parameter};
use crate::params::section_reader::{Section, SectionReader};
use crate::standards::materials::{ALLOYS, Alloy};
use crate::units::KgPerM3;

/// The alloy, and how the part is cast.
#[derive(Debug, Clone, PartialEq)]
pub struct RawCasting {
    /// The alloy.
    pub alloy: Parameter<&'static Alloy>,
    /// Its density.
    pub density: Parameter<KgPerM3>,
    /// Radii where cast faces meet.
    pub fillets: RawFillets,
    /// How it lies in the mould.
    pub mould: RawMould,
    /// Metal left for machining.
    pub stock: RawStock,
    /// Contraction allowance of the pattern.
    pub contraction: Contraction,
    /// Core prints, vent, dowels.
    pub prints: RawPrints,
    /// Marks cast on.
    pub marks: Option<RawMarks>,
    /// Features with an agreed feeder or chill.
    pub fed: Parameter<Vec<FedFeature>>,
}

/// A feature for which a feeder or a chill can be agreed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FedFeature {
    /// Flange and bolt bosses.
    GearboxFace,
    /// The ring around bushing and seal.
    Tail,
    /// The shift box's pad.
    ShiftBoxPad,
    /// The mount's pad.
    MountPad,
    /// The second mount's pad.
    SecondMountPad,
    /// The sender's boss.
    SenderBoss,
    /// Bosses of plugs.
    Plugs,
}

impl Section for RawCasting {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const FED: Choice<FedFeature> = Choice(&[
            ("gearbox_face", FedFeature::GearboxFace, "flange"),
            ("tail", FedFeature::Tail, "ring around bushing and seal"),
            ("shift_box_pad", FedFeature::ShiftBoxPad, "pad of the shift box"),
            ("mount_pad", FedFeature::MountPad, "pad of the mount"),
            ("second_mount_pad", FedFeature::SecondMountPad, "pad of the second mount"),
            ("sender_boss", FedFeature::SenderBoss, "boss of the sender"),
            ("plugs", FedFeature::Plugs, "bosses of the plugs"),
        ]);
        static ROWS: [Row<&Alloy>; 4] = [row(0), row(1), row(2), row(3)];
        Self {
            alloy: s
                .key("alloy", "The alloy, which gives the density.")
                .value(Choice(&ROWS), ALLOYS[0].name)
                .or_assume(
                    &ALLOYS[0],
                    "the usual sand-casting alloy for gearbox housings",
                    "common practice",
                ),
            density: s
                .key("density", "Density, when it differs from the alloy's; the mass is computed from it.")
                .value(Density(range(1500.0, 9500.0, "from magnesium to bronze")), "2680 kg/m3")
                .or_derive("the alloy's density", "the alloy table", "see the alloy"),
            fillets: s.key("fillets", "Radii where cast faces meet.").default_section(),
            mould: s.key("mould", "Parting and draft.").default_section(),
            stock: s.key("stock", "Metal left for machining, and which holes are cored.").default_section(),
            contraction: s
                .key("contraction", "How much larger the pattern is than the casting.")
                .concerning(Concern::MouldAndCore)
                .default_section(),
            prints: s
                .key("prints", "Core prints, the core's vent, dowels between halves.")
                .concerning(Concern::MouldAndCore)
                .default_section(),
            marks: s
                .key("marks", "Marks cast on the shell, raised: part number, alloy, an arrow to the front. None without it.")
                .optional_section(),
            fed: s
                .key(
                    "fed",
                    "Features for which a feeder or a chill is agreed with the foundry: `check` lists their thick places \
                     as not judged instead of warning of them.",
                )
                .value(FED, "[mount_pad, sender_boss]")
                .several_optional(7),
        }
    }
}

const fn row(index: usize) -> Row<&'static Alloy> {
    let alloy = &ALLOYS[index];
    (alloy.name, alloy, alloy.title)
}
