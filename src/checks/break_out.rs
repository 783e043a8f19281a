//! Holes that break out where they should not, and spot faces that cut into walls.

use std::collections::BTreeMap;

use super::{Checks, Limit, Measurement, Sense, Unit};
use crate::faces::{Feature, Role};
use solidwright::geometry::{P3, Surface, V3};
use solidwright::solid::{Brep, BrepFace, Finish, Tag};

/// A face is a hole's mouth when its normal lies within 45 degrees of the hole's axis, as a cosine.
const SQUARE: f64 = 0.707;

/// Whether a hole or spot face with this axis may share an edge with a face at a point.
fn belongs(own: &Tag, axis: V3, other: &BrepFace, at: P3) -> bool {
    let tag = &other.tag;
    if Feature::of(tag) == Feature::Cavity || Role::of(tag).is_opening() {
        return false;
    }
    let square = other.outward(at).dot(&axis).abs() > SQUARE;
    let beside = Feature::of(own) == Feature::of(tag) && (is_spot_face(own) || tag.finish == Finish::Cut);
    square || beside || Role::of(tag).is_fillet()
}

/// Whether a hole ends in the metal, or goes through the flange only. A plug's hole must lead into the cavity.
fn is_hole(tag: &Tag) -> bool {
    let role = Role::of(tag);
    let walls =
        matches!(role, Role::TappedHole(_) | Role::BoltHole(_) | Role::DowelHole(_) | Role::ScrewHole);
    tag.finish == Finish::Cut && (walls || role.is_drill_point())
}

fn is_spot_face(tag: &Tag) -> bool {
    tag.finish == Finish::Cut && Role::of(tag).is_spot_face()
}

/// What is wrong at an edge that a hole or a spot face shares with another face.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fault {
    /// A hole comes out of a wall.
    Out,
    /// A hole and another machined face cut into each other.
    Crossing,
    /// A spot face cuts a wall.
    SpotFace,
}

impl Fault {
    fn of(own: &Tag, other: &Tag) -> Self {
        match is_hole(own) {
            true if other.finish == Finish::Cut => Self::Crossing,
            true => Self::Out,
            false => Self::SpotFace,
        }
    }

    /// Whether a hole is at fault, by itself or with another cut: both are one check.
    fn is_of_hole(self) -> bool {
        self != Self::SpotFace
    }

    /// Name of the check, and what to change.
    const fn told(self) -> (&'static str, &'static str) {
        match self {
            Self::Out => (BREAKS_OUT, "shorten or move the hole, or give its feature more metal"),
            Self::Crossing => {
                (BREAKS_OUT, "move one of the two, or make it smaller, until metal stands between them")
            }
            Self::SpotFace => {
                ("spot face cuts a wall, edge", "move the bolt outwards, or make the spot face smaller")
            }
        }
    }
}

const BREAKS_OUT: &str = "hole breaks out, edge";

/// Length of the edges between two faces, mm, a place on them, and both names.
type Shared = (f64, P3, [String; 2]);

pub(super) fn check(brep: &Brep, out: &mut Checks) {
    let mut found: BTreeMap<(Fault, String), Shared> = BTreeMap::new();
    for (e, [f, g]) in brep.sides().iter().enumerate() {
        for (own, other) in [(f, g), (g, f)] {
            let (Some(own), Some(other)) = (brep.faces.get(*own), brep.faces.get(*other)) else { continue };
            let Surface::Cylinder(c) = &own.surface else { continue };
            let hole = is_hole(&own.tag);
            let at = brep.edge_point(e, 0.5);
            if f == g || !(hole || is_spot_face(&own.tag)) || belongs(&own.tag, c.frame.z, other, at) {
                continue;
            }
            let length: f64 = (0..8)
                .map(|k| {
                    let at = |k: i32| brep.edge_point(e, f64::from(k) / 8.0);
                    (at(k + 1) - at(k)).norm()
                })
                .sum();
            let names = [own.tag.to_string(), other.tag.to_string()];
            let key = (Fault::of(&own.tag, &other.tag), names.join(" / "));
            let entry = found.entry(key).or_insert_with(|| (0.0, at, names.clone()));
            entry.0 += length;
        }
    }
    report(found, out);
}

fn report(found: BTreeMap<(Fault, String), Shared>, out: &mut Checks) {
    let none = Limit { value: 0.0, source: "a hole must end where it is meant to".to_owned(), given: false };
    let make = |fault: Fault, what: &str, length: f64| {
        let (check, hint) = fault.told();
        let made = Measurement::new(check, what, (length, Unit::Mm), Sense::AtMost, hint);
        if fault.is_of_hole() { made.fails_by(&none) } else { made.warns_by(&none) }
    };
    for (fault, all) in [(Fault::Out, "all holes"), (Fault::SpotFace, "all spot faces")] {
        if !found.keys().any(|k| k.0.is_of_hole() == fault.is_of_hole()) {
            out.measurements.push(make(fault, all, 0.0));
        }
    }
    for ((fault, what), (length, at, faces)) in found {
        out.measurements.push(make(fault, &what, length).at([at], faces));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::Verdict;
    use solidwright::geometry::{Frame, P2, V2};
    use solidwright::solid::{Primitive, Solid, SolidTree, cylinder, rounded_rectangle};

    /// A block of 40 by 40 by 20 with a blind hole of 10 at a distance from its middle.
    fn drilled(off: f64) -> Checks {
        let side = Feature::MountPad.formed(Role::Side);
        let ends = [Feature::MountPad.cut(Role::Face), Feature::MountPad.formed(Role::Base)];
        let outline = rounded_rectangle(P2::origin(), V2::new(40.0, 40.0), 0.0, &side);
        let mut tree = SolidTree::new();
        tree.add(Primitive::prism("mount_pad", Frame::world(), outline, 20.0, 0.0, ends).expect("a block"));
        let hole = Feature::MountPad.cut(Role::TappedHole(1));
        let frame = Frame::from_z(P3::new(off, 0.0, -1.0), V3::z());
        let tags = [hole.clone(), Feature::MountPad.cut(Role::TappedHolePoint(1)), hole];
        tree.cut(cylinder("mount_pad", frame, 5.0, 13.0, &tags).expect("a hole"));
        let solid = Solid::of(tree).expect("a solid");
        let mut out = Checks::default();
        check(solid.brep(), &mut out);
        out
    }

    /// Where the hole comes out of the side it leaves two lines of its depth (by hand).
    #[test]
    fn out_of_the_side() {
        let fail = |c: &Checks| c.measurements.iter().find(|c| c.verdict() == Verdict::Fail).map(|c| c.value);
        assert_eq!(fail(&drilled(10.0)), None, "inside");
        let length = fail(&drilled(18.0)).expect("broken out");
        // And an arc of the hole's end where the side cuts it.
        assert!(length >= 24.0 - 1e-9, "{length}");
    }
}
