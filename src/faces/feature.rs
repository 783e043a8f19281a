//! The features that faces belong to.

use std::cmp::Ordering;
use std::fmt;

use solidwright::solid::Primitive;

use super::Detail;

/// Makes the enum, the list of all its values and their names from one table.
macro_rules! features {
    ($($(#[$doc:meta])* $feature:ident => $name:literal,)*) => {
        /// A feature of the housing, or a body beside it. Features are in the order of their names.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Feature {
            $($(#[$doc])* $feature,)*
        }

        impl Feature {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$feature),*];

            /// Its name in parameter files and in output files.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$feature => $name,)*
                }
            }
        }
    };
}

features! {
    /// Not named by this program.
    Other => "other",
    /// The shell's outside.
    Shell => "shell",
    /// The hollow in the shell.
    Cavity => "cavity",
    /// The flange with register, bolt holes, lugs and gussets.
    GearboxFace => "gearbox_face",
    /// The ring around bushing and seal, its bore and its passages.
    Tail => "tail",
    /// The pad of the shift box.
    ShiftBoxPad => "shift_box_pad",
    /// The pad of the mount.
    MountPad => "mount_pad",
    /// The pad of another mount.
    SecondMountPad => "second_mount_pad",
    /// The boss of the speedometer's sender.
    SenderBoss => "sender_boss",
    /// The tube of the shift rail.
    RailTube => "rail_tube",
    /// Ribs along the shell and around it.
    Ribs => "ribs",
    /// Bosses of plugs with their holes.
    Plugs => "plugs",
    /// Where the halves of a pattern or core box meet.
    Parting => "parting",
    /// Where a trial print is cut across.
    PrintCut => "cut",
    /// Dowels between the pieces of a trial print.
    Dowel => "dowel",
    /// Prints of the core.
    CorePrint => "print",
    /// The core itself.
    Core => "core",
    /// The box in which the core is made.
    CoreBox => "core_box",
    /// Parts that turn within the housing or behind it.
    Turning => "turning",
    /// Surroundings of the housing in the vehicle.
    Surroundings => "surroundings",
    /// Letters and signs cast on.
    Marks => "marks",
    /// Feeders, chills and gating about a casting.
    Rigging => "rigging",
}

impl Feature {
    /// The feature that made a body; [`Feature::Other`] for bodies that this program has not made.
    pub fn of_body(body: &Primitive) -> Self {
        Self::named_so(body.feature())
    }

    /// The feature of a face by its name in files and messages, as [`Self::face`] writes it.
    pub fn of_face(name: &str) -> Self {
        Self::named_so(name.split_once('/').map_or(name, |(feature, _)| feature))
    }

    fn named_so(name: &str) -> Self {
        Self::ALL.iter().copied().find(|f| f.name() == name).unwrap_or(Self::Other)
    }
}

impl Detail for Feature {
    fn pack(self) -> u32 {
        self as u32
    }

    fn unpack(bits: u32) -> Option<Self> {
        Self::ALL.get(usize::try_from(bits).ok()?).copied()
    }
}

impl fmt::Display for Feature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl Ord for Feature {
    fn cmp(&self, other: &Self) -> Ordering {
        self.name().cmp(other.name())
    }
}

impl PartialOrd for Feature {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
