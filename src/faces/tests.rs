use std::collections::BTreeMap;

use super::role::all;
use super::{Feature, Role};
use solidwright::geometry::Frame;
use solidwright::solid::{Finish, Tag, cylinder};

#[test]
fn every_feature_and_role_is_read_back_from_its_tag() {
    let roles = all();
    assert!(roles.len() > 1000, "with their numbers: {}", roles.len());
    for feature in Feature::ALL {
        for role in &roles {
            for tag in [feature.formed(*role), feature.cut(*role)] {
                assert_eq!((Feature::of(&tag), Role::of(&tag)), (*feature, *role), "{tag}");
                assert_eq!(tag.to_string(), feature.face(*role), "its name");
            }
        }
    }
}

#[test]
fn no_two_features_and_no_two_roles_share_a_name() {
    let mut known = BTreeMap::new();
    for role in all() {
        let before = known.insert(role.to_string(), role);
        assert_eq!(before, None, "{role}");
    }
    let names: std::collections::BTreeSet<&str> = Feature::ALL.iter().map(|f| f.name()).collect();
    assert_eq!(names.len(), Feature::ALL.len(), "features");
}

#[test]
fn what_the_program_has_not_named_is_other() {
    let tag = Tag::cut("gearbox_face", "bolt hole 1");
    assert_eq!((Feature::of(&tag), Role::of(&tag)), (Feature::Other, Role::Other), "by no text");
    let odd = Tag { class: u32::MAX, ..tag.clone() };
    assert_eq!((Feature::of(&odd), Role::of(&odd)), (Feature::Other, Role::Other), "by no number");
    let body = Feature::Surroundings.named("tunnel", Finish::Formed);
    assert_eq!(body.to_string(), "surroundings/tunnel", "a name of its own");
    assert_eq!((Feature::of(&body), Role::of(&body)), (Feature::Surroundings, Role::Other));
}

#[test]
fn a_body_tells_its_feature() {
    for feature in Feature::ALL {
        let tag = feature.formed(Role::Side);
        let body = cylinder(feature.name(), Frame::world(), 1.0, 1.0, &[tag.clone(), tag.clone(), tag]);
        assert_eq!(Feature::of_body(&body.expect("a body")), *feature);
    }
}

#[test]
fn features_are_in_the_order_of_their_names() {
    assert!(Feature::Cavity < Feature::Shell && Feature::MountPad < Feature::SecondMountPad);
    assert!(Feature::Tail > Feature::SenderBoss, "not in that of the table");
}
