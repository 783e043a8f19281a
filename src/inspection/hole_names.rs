//! Names of holes, as drawing and measuring sheet show them: a letter for the feature, a number within it.

use std::collections::BTreeMap;

use crate::faces::{Feature, Role};
use crate::housing::Bore;

/// A hole with its name.
#[derive(Clone, Debug)]
pub struct NamedHole<'a> {
    /// Its name, such as `F1`.
    pub name: String,
    /// The hole.
    pub bore: &'a Bore,
}

/// The letter of a feature's holes.
pub fn letter(feature: Feature) -> &'static str {
    match feature {
        Feature::GearboxFace => "F",
        Feature::ShiftBoxPad => "S",
        Feature::MountPad => "M",
        Feature::SecondMountPad => "N",
        Feature::SenderBoss => "E",
        Feature::RailTube => "R",
        Feature::Plugs => "P",
        _ => "H",
    }
}

/// Whether a bore has a name of its own: the bores about the shaft are told by what they are.
fn is_named(role: Role) -> bool {
    !matches!(role, Role::Register | Role::StopBore | Role::BushingSeat | Role::SealCounterbore)
        && !role.is_spot_face()
}

/// All holes in the order of the part's features, numbered within each.
pub fn named_holes(bores: &[Bore]) -> Vec<NamedHole<'_>> {
    let mut counts = BTreeMap::new();
    let named = bores.iter().filter(|b| is_named(Role::of(&b.tag))).map(|bore| {
        let letter = letter(Feature::of(&bore.tag));
        let count = counts.entry(letter).and_modify(|n| *n += 1).or_insert(1);
        NamedHole { name: format!("{letter}{count}"), bore }
    });
    named.collect()
}
