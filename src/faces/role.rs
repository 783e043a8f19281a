//! The roles that faces have in their features.

use std::fmt;

use crate::params::schema::PlugKind;

use super::{DETAIL_BITS, Detail, Feature};

/// Makes the enum, its printed names and its numbers from one table. Roles with a detail give its kind in brackets,
/// and use it in the name.
macro_rules! roles {
    ($($role:ident $(($detail:ident: $of:ty))? => $name:literal,)*) => {
        /// The role of a face in its feature.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Role {
            $(#[doc = concat!("`", $name, "`")] $role $(($of))?,)*
        }

        /// A role without its detail, for its number.
        #[derive(Clone, Copy)]
        enum Kind {
            $($role,)*
        }

        impl Role {
            /// The role as a number.
            pub(super) fn code(self) -> u32 {
                match self {
                    $(Self::$role $(($detail))? => (Kind::$role as u32) << DETAIL_BITS $(| $detail.pack())?,)*
                }
            }

            /// The role for a number.
            pub(super) fn from_code(code: u32) -> Option<Self> {
                let kind = code >> DETAIL_BITS;
                $(if kind == Kind::$role as u32 {
                    return Some(Self::$role $((<$of>::unpack(code & ((1 << DETAIL_BITS) - 1))?))?);
                })*
                None
            }
        }

        impl fmt::Display for Role {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match self {
                    $(Self::$role $(($detail))? => write!(f, $name),)*
                }
            }
        }

        /// Every role; those with a detail once for each example.
        #[cfg(test)]
        pub(super) fn all() -> Vec<Role> {
            [$(each!($role $(($of))?)),*].concat()
        }
    };
}

/// A role, once for each example of its detail.
#[cfg(test)]
macro_rules! each {
    ($role:ident) => {
        vec![Role::$role]
    };
    ($role:ident($of:ty)) => {
        (0..300).filter_map(<$of>::unpack).map(Role::$role).collect::<Vec<_>>()
    };
}

roles! {
    Other => "other",
    // Of several features.
    Face => "face",
    SpotFace => "spot face",
    Side => "side",
    Base => "base",
    End => "end",
    Outside => "outside",
    FrontEnd => "front end",
    RearEnd => "rear end",
    TappedHole(n: usize) => "tapped hole {n}",
    TappedHolePoint(n: usize) => "tapped hole {n} point",
    DowelHole(n: usize) => "dowel hole {n}",
    DowelHolePoint(n: usize) => "dowel hole {n} point",
    Opening => "opening",
    OpeningFloor => "opening floor",
    OpeningEnd => "opening end",
    Slot(n: usize) => "slot {n}",
    SlotFloor(n: usize) => "slot {n} floor",
    Hollow => "hollow",
    HollowEnd => "hollow end",
    HollowMouth => "hollow mouth",
    // Of the gearbox face.
    FlangeBack => "flange back",
    Rim => "rim",
    Lug(n: usize) => "lug {n}",
    Register => "register",
    RegisterLeadIn => "register lead-in",
    RegisterEnd => "register end",
    BoltHole(n: usize) => "bolt hole {n}",
    BoltSpotFace(n: usize) => "spot face {n}",
    Relief => "relief",
    ReliefSide => "relief side",
    GussetCrest(n: usize) => "gusset {n} crest",
    GussetLeftSide(n: usize) => "gusset {n} left side",
    GussetRightSide(n: usize) => "gusset {n} right side",
    // Of the tail.
    RingFront => "ring front",
    RearFace => "rear face",
    StopBoreStart => "stop bore start",
    StopBore => "stop bore",
    BushingStop => "bushing stop",
    BushingSeat => "bushing seat",
    BushingLeadIn => "bushing lead-in",
    SealShoulder => "seal shoulder",
    SealCounterbore => "seal counterbore",
    SealLeadIn => "seal lead-in",
    DustRecess => "dust recess",
    DustRecessFloor => "dust recess floor",
    Lip => "lip",
    LipShoulder => "lip shoulder",
    OilFeed => "oil feed",
    OilFeedEnd => "oil feed end",
    DrainBack => "drain-back",
    // Of the cavity.
    CavityWall => "wall",
    CavityStep => "step",
    // Of the rail's tube.
    RailBore => "rail bore",
    RailBoreEnd => "rail bore end",
    // Of the mount pads.
    WallSide(wall: TieWall) => "{wall} side",
    WallFoot(wall: TieWall) => "{wall} foot",
    WallTop(wall: TieWall) => "{wall} top",
    GussetFront(n: usize) => "gusset {n} front",
    GussetRear(n: usize) => "gusset {n} rear",
    GussetEdge(n: usize) => "gusset {n} edge",
    BossFoot(n: usize) => "boss {n} foot",
    BossSide(n: usize) => "boss {n} side",
    BossEnd(n: usize) => "boss {n} end",
    // Of the plugs.
    PlugBase(plug: PlugId) => "{plug} base",
    PlugSide(plug: PlugId) => "{plug} side",
    PlugFace(plug: PlugId) => "{plug} face",
    PlugHole(plug: PlugId) => "{plug} tapped hole",
    // Of the ribs.
    RibSide(n: usize) => "rib {n} side",
    RibCrest(n: usize) => "rib {n} crest",
    RibBase(n: usize) => "rib {n} base",
    RingSide(n: usize) => "ring {n} side",
    RingCrest(n: usize) => "ring {n} crest",
    RingBase(n: usize) => "ring {n} base",
    // Of the sender boss.
    BoreStep(n: usize) => "bore step {n}",
    BoreStepShoulder(n: usize) => "bore step {n} shoulder",
    ORingLand => "O-ring land",
    ORingLandSide => "O-ring land side",
    ForkSlot => "fork slot",
    Ear => "ear",
    EarBase => "ear base",
    ScrewHole => "retaining screw hole",
    ScrewHolePoint => "retaining screw hole point",
    // Between bodies.
    Fillet => "fillet",
    FilletTo(other: Feature) => "fillet to {other}",
    Joint => "joint",
    // Of the rigging of a mould.
    RigFeeder(n: usize) => "feeder {n}",
    FeederNeck(n: usize) => "neck {n}",
    Chill(n: usize) => "chill {n}",
    Chaplet(n: usize) => "chaplet {n}",
    Sprue => "sprue",
    Runner => "runner",
    RigGate(n: usize) => "gate {n}",
    // Of the forms.
    PartingPlane => "plane",
    PartingDowelHole => "dowel hole",
    LooseSide => "loose piece side",
    LooseSeat => "loose piece seat",
    LaidOn => "laid on",
    Peg => "peg",
    Socket => "socket",
    PrintRoot => "root",
    PrintFront => "front",
    PrintRear => "rear",
    SideCoreSide => "side core side",
    SideCoreSeat => "side core seat",
    Vent => "vent",
}

impl Role {
    /// Whether it is a fillet between two faces.
    pub const fn is_fillet(self) -> bool {
        matches!(self, Self::Fillet | Self::FilletTo(_))
    }

    /// Whether it is the seat of a screw, faced by a cutter.
    pub const fn is_spot_face(self) -> bool {
        matches!(self, Self::SpotFace | Self::BoltSpotFace(_))
    }

    /// The number of a hole or slot among the alike ones of its feature.
    pub const fn number(self) -> Option<usize> {
        match self {
            Self::TappedHole(n)
            | Self::DowelHole(n)
            | Self::BoltHole(n)
            | Self::Slot(n)
            | Self::SlotFloor(n) => Some(n),
            _ => None,
        }
    }

    /// Whether it belongs to the opening in a pad, which is cast.
    pub const fn is_opening(self) -> bool {
        matches!(self, Self::Opening | Self::OpeningFloor | Self::OpeningEnd)
    }

    /// Whether it belongs to the hollow in a pad, which is cast.
    pub const fn is_hollow(self) -> bool {
        matches!(self, Self::Hollow | Self::HollowEnd | Self::HollowMouth)
    }

    /// Whether it is the conical end that a drill's point leaves in a blind hole.
    pub const fn is_drill_point(self) -> bool {
        matches!(self, Self::TappedHolePoint(_) | Self::DowelHolePoint(_) | Self::ScrewHolePoint)
    }

    /// Whether it is the outer edge of the flange.
    pub const fn is_flange_edge(self) -> bool {
        matches!(self, Self::Rim | Self::Lug(_))
    }
}

/// A wall that ties a mount's plate to the shell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TieWall {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl fmt::Display for TieWall {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Left => "left wall",
            Self::Right => "right wall",
        })
    }
}

impl Detail for TieWall {
    fn pack(self) -> u32 {
        self as u32
    }

    fn unpack(bits: u32) -> Option<Self> {
        [Self::Left, Self::Right].get(usize::try_from(bits).ok()?).copied()
    }
}

/// A plug, by its purpose and its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlugId {
    /// Its purpose.
    pub kind: PlugKind,
    /// Its number among all plugs, from 1.
    pub number: usize,
}

/// The purposes of plugs, in the order of their numbers in a class, with their names.
const PLUG_KINDS: [(PlugKind, &str); 3] =
    [(PlugKind::Fill, "fill"), (PlugKind::Drain, "drain"), (PlugKind::Vent, "vent")];

impl PlugId {
    fn place(self) -> usize {
        PLUG_KINDS.iter().position(|(kind, _)| *kind == self.kind).unwrap_or(0)
    }
}

impl fmt::Display for PlugId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} plug {}", PLUG_KINDS[self.place()].1, self.number)
    }
}

impl Detail for PlugId {
    fn pack(self) -> u32 {
        (self.number * PLUG_KINDS.len() + self.place()).pack()
    }

    fn unpack(bits: u32) -> Option<Self> {
        let bits = usize::unpack(bits)?;
        let (number, place) = (bits / PLUG_KINDS.len(), bits % PLUG_KINDS.len());
        PLUG_KINDS.get(place).map(|(kind, _)| Self { kind: *kind, number })
    }
}
