//! Names of faces: the feature that a face belongs to and its role there, as values and as the names in files.
//!
//! The kernel keeps a tag on each face, with the names as text and a number from the caller. Only this module makes
//! tags from a [`Feature`] and a [`Role`], puts both into that number, and reads them back; all other modules use
//! [`Feature::of`] and [`Role::of`]. No other module compares the text of a tag (`tests/layers.rs` checks it).

mod feature;
pub mod plain_names;
mod role;
#[cfg(test)]
mod tests;

pub use feature::Feature;
pub use role::{PlugId, Role, TieWall};

use solidwright::solid::{Finish, Tag};

/// Bits of a class that hold what belongs to a role, such as its number.
const DETAIL_BITS: u32 = 16;

/// Bits of a class below those of the feature.
const ROLE_BITS: u32 = DETAIL_BITS + 8;

/// The detail that distinguishes faces of one role: a number, a side, another feature.
trait Detail: Sized {
    /// As a number of at most [`DETAIL_BITS`] bits.
    fn pack(self) -> u32;

    /// The detail for such a number.
    fn unpack(bits: u32) -> Option<Self>;
}

impl Detail for usize {
    fn pack(self) -> u32 {
        // No part has 65,536 holes of a kind.
        self as u32 & ((1 << DETAIL_BITS) - 1)
    }

    fn unpack(bits: u32) -> Option<Self> {
        Self::try_from(bits).ok()
    }
}

impl Feature {
    /// The feature of a face; [`Feature::Other`] where this program has not named it.
    pub fn of(tag: &Tag) -> Self {
        Self::unpack(tag.class >> ROLE_BITS).unwrap_or(Self::Other)
    }

    /// The tag of a face of this feature that stays as moulded or printed.
    pub fn formed(self, role: Role) -> Tag {
        self.tag(role, Finish::Formed)
    }

    /// The tag of a face of this feature that is cut on a machine.
    pub fn cut(self, role: Role) -> Tag {
        self.tag(role, Finish::Cut)
    }

    /// The tag of a face that has its own name instead of a role, such as a body of the surroundings.
    pub fn named(self, name: &str, finish: Finish) -> Tag {
        Tag { feature: self.name().into(), role: name.into(), finish, class: self.class(Role::Other) }
    }

    /// The name of a face in files and messages: `feature/role`.
    pub fn face(self, role: Role) -> String {
        format!("{self}/{role}")
    }

    fn tag(self, role: Role, finish: Finish) -> Tag {
        Tag { class: self.class(role), ..self.named(&role.to_string(), finish) }
    }

    fn class(self, role: Role) -> u32 {
        self.pack() << ROLE_BITS | role.code()
    }
}

impl Role {
    /// The role of a face; [`Role::Other`] where this program has not given it one. The ball at the corner where fillets
    /// meet, which the kernel names, has the role of one of them.
    pub fn of(tag: &Tag) -> Self {
        Self::from_code(tag.class & ((1 << ROLE_BITS) - 1)).unwrap_or(Self::Other)
    }
}
