//! Root fillets of the cast outside.

use std::collections::BTreeSet;

use super::HousingError;
use crate::design::Design;
use crate::geometry::P3;
use crate::solid::blend::{Fillets, Ground, Trouble, Wish};
use crate::solid::{Corner, Finish, Primitive, Segment, Tag, round_corners};

/// Fillets between the added primitives, and how each joint came out; none at the places to avoid.
pub(super) fn make(design: &Design, ground: &Ground, avoid: &[P3]) -> Fillets {
    let radii = design.casting().fillets();
    let wish = |a: &Tag, b: &Tag| -> Option<Wish> {
        if a.finish != Finish::Cast || b.finish != Finish::Cast {
            return None;
        }
        // The shell leaves it to what stands on it; of two features the smaller radius counts.
        let own = [a, b].map(|t| radii.of(&t.feature));
        let radius = match own {
            [Some(r), Some(s)] => r.min(s),
            [Some(r), None] | [None, Some(r)] => r,
            [None, None] => radii.outside(),
        };
        (radius.get() > 0.0).then(|| Wish { radius: radius.get(), tag: name(a, b) })
    };
    ground.fillets(&wish, avoid)
}

/// The outline with its outward corners between cast faces rounded as casting asks.
pub(super) fn rounded(design: &Design, outline: &[Segment]) -> Vec<Segment> {
    let radius = design.casting().fillets().edges().get();
    let off_axis = |c: &Corner| c.before.to.x > radius * 2.2;
    let cast = |s: &Segment| s.tag.finish == Finish::Cast;
    round_corners(outline, &|c| {
        if c.turn > 0.0 && off_axis(c) && cast(c.before) && cast(c.after) { radius } else { 0.0 }
    })
}

/// Shares of the edges' radius that are tried where there is no room for the whole.
const SHARES: [f64; 4] = [1.0, 0.7, 0.5, 0.35];

/// Rounds the edges around cast ends of prisms, where they have room, but for `plain` features. Lugs are left alone: flush
/// with the flange's ring, they share its sharp edge. Gives the features that stay sharp.
pub(super) fn round_ends(
    design: &Design,
    added: &mut [Primitive],
    plain: &dyn Fn(&str) -> bool,
) -> BTreeSet<String> {
    let mut sharp = BTreeSet::new();
    let radius = design.casting().fillets().edges().get();
    for p in added {
        let lug = p.patches().iter().any(|f| f.tag.role.starts_with("lug"));
        let Some(feature) = p.cast_end().filter(|_| radius > 0.0 && !lug) else { continue };
        // A plate keeps a flat crest between its two edges.
        let radius = p.thickness().map_or(radius, |t| radius.min(0.3 * t));
        let rounded = || SHARES.iter().find_map(|share| p.with_rounded_ends(radius * share));
        match (!plain(&feature)).then(rounded).flatten() {
            Some(rounded) => *p = rounded,
            None => {
                sharp.insert(feature);
            }
        }
    }
    sharp
}

/// The feature that stands on the other gives the name; the shell stands on nothing.
fn name(a: &Tag, b: &Tag) -> Tag {
    let (own, other) = if a.feature.as_ref() == "shell" || (b.feature.as_ref() != "shell" && b < a) {
        (b, a)
    } else {
        (a, b)
    };
    if own.feature == other.feature {
        return Tag::cast(&own.feature, "fillet");
    }
    Tag::cast(&own.feature, &format!("fillet to {}", other.feature))
}

/// How near a fillet a fault of the boundary is put down to it, mm.
const NEAR: f64 = 0.5;

/// Takes out the networks of fillets that an error is about; all of them where it does not say.
pub(super) fn drop_faulty(fillets: &mut Fillets, error: &HousingError) {
    let by = |test: &dyn Fn(&Primitive) -> bool| -> Vec<usize> {
        (0..fillets.metal.len()).filter(|i| test(&fillets.metal[*i])).collect()
    };
    let mut faulty = match (error, error.place()) {
        (HousingError::Boundary(e), Some(at)) => {
            let named = |p: &Primitive| p.patches().iter().any(|patch| e.tags().contains(&patch.tag));
            let there = |p: &Primitive| p.bounds().grown(NEAR).contains(at);
            let both = by(&|p| named(p) && there(p));
            if both.is_empty() { by(&there) } else { both }
        }
        _ => vec![],
    };
    if faulty.is_empty() {
        faulty = by(&|_| true);
    }
    for i in faulty.into_iter().rev() {
        fillets.remove(i, Trouble::NoBoundary);
    }
}
