//! Metal that a maker lays on by hand and smooths: the thin plates and blocks that stand for it end in steps that nobody makes.
//!
//! Of such metal only outlines are drawn: lines beyond which the view falls off to what lies far behind, or to nothing. Where it
//! runs out on a wall, or its pieces end beside each other, there is no line: common practice on drawings
//! of faired shapes.

use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;
use solidwright::solid::Brep;

use crate::faces::{Feature, Role};

/// How far beside a line the view is asked, mm: less than the width of the line on paper.
const BESIDE: f64 = 0.02;

/// A fall of the view beyond a line from which on it is an outline, mm: more than the depth of any piece of metal laid on.
const FALL: f64 = 3.2;

/// Whether a line between faces is one of metal laid on: not one in which a section cuts it.
pub(super) fn is_blended(brep: &Brep, faces: &[usize]) -> bool {
    let tags = || faces.iter().map(|face| &brep.faces[*face].tag);
    tags().any(|tag| Role::of(tag) == Role::LaidOn)
        && !tags().any(|tag| Feature::of(tag) == Feature::PrintCut)
}

/// Whether the view falls off beside a visible line through a point.
pub(super) fn stands_out(probe: &Probe, eye: V3, at: P3, along: V3) -> bool {
    let Some(aside) = along.cross(&eye).try_normalize(1e-9) else { return false };
    // From before the whole solid, so that what rises beside the line is met first and counts as no fall.
    let far = 2.0 * probe.brep().bounds().diagonal();
    [-BESIDE, BESIDE].into_iter().any(|by| {
        let from = at + aside * by + eye * far;
        !probe.is_met(from, -eye, far + FALL)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may")]

    use solidwright::geometry::{Frame, P2, V2};
    use solidwright::solid::{Primitive, Solid, SolidTree, Tag, rounded_rectangle};

    use super::super::{CHORD, Direction, SeenLines, bounds, view};
    use super::*;

    /// A block of 40 by 30 by 20 mm with a plate of 10 by 8 by 1 mm on its top, 5 mm from its right edge.
    fn seen(role: Role, from: &Direction) -> SeenLines {
        let block = |size: [f64; 3], at: [f64; 3], tag: &Tag| {
            let frame = Frame::world().moved_to(P3::from(at));
            let outline = rounded_rectangle(P2::origin(), V2::new(size[0], size[1]), 0.0, tag);
            Primitive::prism("block", frame, outline, size[2], 0.0, [tag.clone(), tag.clone()]).unwrap()
        };
        let mut tree = SolidTree::new();
        tree.add(block([40.0, 30.0, 20.0], [0.0; 3], &Feature::SenderBoss.formed(Role::Side)));
        // Its lower end lies within the block.
        tree.add(block([10.0, 8.0, 4.0], [10.0, 0.0, 17.0], &Feature::SenderBoss.formed(role)));
        let solid = Solid::of(tree).unwrap();
        view(&Probe::new(&solid, CHORD).unwrap(), from)
    }

    /// Whether a visible line lies within the plate as it is seen from above.
    fn has_plate(lines: &SeenLines) -> bool {
        lines.visible.iter().filter_map(bounds).any(|r| r.low.x > 4.9 && r.high.x < 15.1)
    }

    #[test]
    fn metal_laid_on_has_no_lines_on_its_wall_but_an_outline() {
        let above = Direction::new(V3::x(), V3::y()).unwrap();
        assert!(has_plate(&seen(Role::Side, &above)), "a step of the part itself is drawn");
        let laid_on = seen(Role::LaidOn, &above);
        assert!(!has_plate(&laid_on), "{laid_on:?}");
        assert!(laid_on.hidden.is_empty() && laid_on.visible.len() == 4, "the block's outline: {laid_on:?}");
        let side = Direction::new(V3::x(), V3::z()).unwrap();
        let height = |lines: &SeenLines| {
            lines.visible.iter().filter_map(bounds).map(|r| r.high.y).fold(f64::NEG_INFINITY, f64::max)
        };
        assert!((height(&seen(Role::LaidOn, &side)) - 21.0).abs() < 1e-9, "the plate's top against the sky");
    }
}
