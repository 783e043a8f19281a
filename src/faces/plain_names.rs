//! Names of faces for people at a machine: in plain words, not as files spell them.

use solidwright::solid::Tag;

use super::{Feature, Role};

/// A feature in the words of the trade.
pub const fn feature(of: Feature) -> &'static str {
    match of {
        Feature::Other => "other",
        Feature::Shell => "shell",
        Feature::Cavity => "cavity",
        Feature::GearboxFace => "gearbox face",
        Feature::Tail => "tail",
        Feature::ShiftBoxPad => "shift-box pad",
        Feature::MountPad => "mount pad",
        Feature::SecondMountPad => "second mount pad",
        Feature::SenderBoss => "sender boss",
        Feature::RailTube => "rail tube",
        Feature::Ribs => "ribs",
        Feature::Plugs => "plugs",
        Feature::Parting => "parting",
        Feature::PrintCut => "cut",
        Feature::Dowel => "dowel",
        Feature::CorePrint => "core print",
        Feature::Core => "core",
        Feature::CoreBox => "core box",
        Feature::Turning => "turning parts",
        Feature::Surroundings => "surroundings",
        Feature::Marks => "marks",
        Feature::Rigging => "rigging",
    }
}

/// A face: its feature, and its role where that says more.
pub fn face(tag: &Tag) -> String {
    of(Feature::of(tag), Role::of(tag))
}

/// A face that a fit is told of; the name of a bought part if there is none.
pub fn fitted(face: Option<(Feature, Role)>, bought: &str) -> String {
    face.map_or_else(|| bought.to_owned(), |(feature, role)| of(feature, role))
}

fn of(whose: Feature, role: Role) -> String {
    match (whose, role) {
        (Feature::GearboxFace, Role::Face) => feature(whose).to_owned(),
        // These say all by themselves.
        (Feature::Plugs, _)
        | (
            _,
            Role::Register
            | Role::RegisterEnd
            | Role::RegisterLeadIn
            | Role::BushingSeat
            | Role::BushingLeadIn
            | Role::BushingStop
            | Role::StopBore
            | Role::SealCounterbore
            | Role::SealShoulder
            | Role::SealLeadIn
            | Role::RearFace
            | Role::RailBore
            | Role::RailBoreEnd,
        ) => role.to_string(),
        _ => format!("{}, {role}", feature(whose)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::faces::PlugId;
    use crate::params::schema::PlugKind;

    #[test]
    fn faces_have_plain_names() {
        let named = |f: Feature, role: Role| face(&f.cut(role));
        assert_eq!(named(Feature::GearboxFace, Role::Face), "gearbox face");
        assert_eq!(named(Feature::GearboxFace, Role::Register), "register");
        assert_eq!(named(Feature::ShiftBoxPad, Role::TappedHole(2)), "shift-box pad, tapped hole 2");
        assert_eq!(
            named(Feature::Plugs, Role::PlugFace(PlugId { kind: PlugKind::Drain, number: 2 })),
            "drain plug 2 face"
        );
        for f in Feature::ALL {
            assert!(!feature(*f).contains(['_', '/']), "{f}");
        }
    }
}
