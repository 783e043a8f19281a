//! Marks cast on the shell.

use super::forms::{built, variant};
use crate::nesting;
use solidwright::geometry::{P3, V3};
use tailpattern::checks::{self, Verdict};
use tailpattern::design::{Design, Form};
use tailpattern::faces::Feature;
use tailpattern::forms::{self, Product};
use tailpattern::housing::MarkOf;

fn marked(file: &str, keys: &[&str]) -> Design {
    let keys: Vec<&str> = ["casting.marks.part_number=TH-1042"].iter().chain(keys).copied().collect();
    variant(file, &keys)
}

/// Without the key there is no mark, and the solid is the same to the last face.
#[test]
fn no_mark_unless_asked_for() {
    let plain = built(&variant("minimal", &[]));
    assert!(plain.marks.made.is_empty() && plain.marks.left_out.is_empty());
    assert!(plain.solid.brep().faces.iter().all(|face| Feature::of(&face.tag) != Feature::Marks));
}

/// By exact membership: a mark stands out of the shell by what is asked, and its faces have the area of plain strokes. L is two bars (drawn by hand: 6 + 4 units of length, a corner shared), so its face is known.
#[test]
fn a_mark_is_as_high_and_as_large_as_asked() {
    let keys = ["casting.marks.alloy=false", "casting.marks.arrow=false", "casting.marks.height=10"];
    let more = ["casting.marks.stroke=1.5", "casting.marks.raised=1", "casting.marks.part_number=L"];
    let design = marked("minimal", &[&keys[..], &more[..]].concat());
    let part = built(&design);
    let [mark] = part.marks.made.as_slice() else { panic!("{:?}", part.marks) };
    assert_eq!(mark.of, MarkOf::PartNumber);
    let (unit, stroke) = ((10.0 - 1.5) / 6.0, 1.5);
    let area = stroke * (6.0 * unit + stroke) + stroke * (4.0 * unit + stroke) - stroke * stroke;
    let brep = part.solid.brep();
    let faces = brep.faces.iter().enumerate().filter(|(_, face)| {
        Feature::of(&face.tag) == Feature::Marks
            && face.tag == Feature::Marks.formed(tailpattern::faces::Role::Face)
    });
    let mesh = solidwright::mesh::triangulate(&part.solid, 0.01).expect("a mesh");
    let own: Vec<usize> = faces.map(|(k, _)| k).collect();
    let of_face = |t: &usize| own.contains(&(mesh.face_of[*t] as usize));
    let size = |t: usize| {
        let [a, b, c] = mesh.corners(t);
        0.5 * (b - a).cross(&(c - a)).norm()
    };
    let found: f64 = (0..mesh.triangles.len()).filter(of_face).map(size).sum();
    assert!((found - area).abs() < 1e-6 * area, "{found} mm², by hand {area}");
    let plain = built(&variant("minimal", &[]));
    let length = mark.stations.1 - mark.stations.0;
    assert!((length - (4.0 * unit + stroke)).abs() < 0.1, "{length}");
    let crest = |x: f64| {
        let up = V3::z() * if mark.upper { 1.0 } else { -1.0 };
        let top = |tree: &solidwright::solid::SolidTree| {
            (0..20_000)
                .map(|k| 200.0 - 0.01 * f64::from(k))
                .find(|h| tree.contains(P3::new(x, 0.0, 0.0) + up * *h))
        };
        top(part.solid.tree()).unwrap_or(0.0) - top(plain.solid.tree()).unwrap_or(0.0)
    };
    // The upright bar of the L passes the shell's line.
    let raised = crest(mark.stations.0 + 0.5 * stroke);
    assert!((0.97..1.05).contains(&raised), "{raised}");
}

/// Marks are on every form that has the shell's outside: the finished part lies within its casting with them, and none of their walls
/// holds the pattern.
#[test]
fn marks_are_on_all_forms_and_draw() {
    for file in ["minimal", "pulse_sender", "two_mounts"] {
        let design = marked(file, &[]);
        let part = built(&design);
        assert!(!part.marks.made.is_empty(), "{file}: {:?}", part.marks);
        assert_eq!(nesting::moulded_fault(&design, &part).expect("forms"), None, "{file}");
        let cast = forms::casting(&design, &part).expect("a casting");
        assert_eq!(cast.missing, vec![], "{file}");
        let has = |solid: &solidwright::solid::Solid| {
            solid.brep().faces.iter().any(|face| Feature::of(&face.tag) == Feature::Marks)
        };
        assert!(has(&part.solid) && has(&cast.moulded.casting.solid), "{file}");
        let pattern = forms::pattern(&cast).expect("halves");
        assert!(pattern.pieces.iter().any(|piece| has(&piece.solid)), "{file}");
        let held = forms::drawing(&cast).expect("a drawing").undercuts;
        assert!(held.iter().all(|u| u.holder() != Feature::Marks), "{file}: {held:#?}");
    }
}

/// A mark longer than the shell has no room: it is left out and told, and the part is made all the same.
#[test]
fn a_mark_without_room_is_left_out_and_told() {
    let keys = ["casting.marks.part_number=ABCDEFGHIJKLMNOPQRSTUVWX", "casting.marks.height=30"];
    let design = marked("minimal", &keys);
    let part = built(&design);
    assert!(part.marks.left_out.contains(&MarkOf::PartNumber), "{:?}", part.marks);
    let product = Product::new(&design, &part);
    let checks = checks::check(&product, &Form::ALL).expect("checks");
    let told = checks.not_checked.iter().any(|n| n.because.contains("part number"));
    assert!(told, "{:#?}", checks.not_checked);
    let failed: Vec<_> = checks.measurements.iter().filter(|m| m.verdict() == Verdict::Fail).collect();
    assert!(failed.is_empty(), "{failed:#?}");
}
