//! Root fillets of the cast outside.

use std::collections::BTreeSet;

use super::HousingError;
use crate::design::Design;
use crate::geometry::{Bounds, P3, Surface};
use crate::solid::blend::{Fillets, Ground, Joint, Trouble, Wish};
use crate::solid::fillet::{self, Body, End, all_machined, cast, cuts, filleted, meets_none, uncut};
use crate::solid::{Corner, Finish, Primitive, Segment, Tag, round_corners};
use crate::units::Mm;

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

/// Bodies with the fillets that a ball leaves between them.
pub(super) struct Rolled {
    /// The filleted body, and bodies that take no ball.
    pub(super) bodies: Vec<Primitive>,
    /// What trims them to their machined ends.
    pub(super) trims: Vec<Primitive>,
    /// Bodies that are machined all over: they have no fillets.
    pub(super) machined: Vec<Primitive>,
    /// How each joint came out.
    pub(super) joints: Vec<Joint>,
}

/// Largest ball that is rolled over the bodies as a whole, mm. At 7 mm Open CASCADE found the demonstration's solid not valid
/// with it, for a reason not yet known; fillets of larger radii are laid joint by joint.
const LARGEST: f64 = 6.5;

/// Radius of edges that are sharp in the design, where a ball must roll over them, mm.
const LEAST_EDGE: f64 = 0.3;

/// Rolls a ball over the bodies; bodies near the places to `avoid` take a smaller one. A part that is machined ends its
/// fillets in its machined faces; one as moulded has no such faces. `None` where no fillet is asked for.
pub(super) fn rolled(design: &Design, added: &[Primitive], moulded: bool, avoid: &[P3]) -> Option<Rolled> {
    let radii = design.casting().fillets();
    let asked = |p: &Primitive| radii.of(p.feature()).map(Mm::get);
    let most = added.iter().filter_map(asked).fold(radii.outside().get(), f64::max);
    if most > LARGEST {
        return None;
    }
    let edges = radii.edges().get();
    let edge = if edges > 0.0 { edges.min(1.0) } else { LEAST_EDGE };
    let (by, step) = (1.3 * most + 3.0, most + edge + 1.0);
    let mut out = Rolled { bodies: vec![], trims: vec![], machined: vec![], joints: vec![] };
    let mut rolling: Vec<Body> = Vec::new();
    let mut ends: Vec<(End, usize, Bounds)> = Vec::new();
    for p in added {
        if !moulded && all_machined(p) {
            out.machined.push(p.clone());
            continue;
        }
        // Flush ends stand out by different lengths, since no ball rolls between flush faces.
        let near = p.bounds().grown(most);
        let first = cast(p, by, edge);
        let rank = first.ends.iter().map(|e| rank(&ends, e, &near)).max().unwrap_or(0);
        // As moulded, only flush ends need it.
        let alone = |e: &End| !added.iter().any(|q| !std::ptr::eq(p, q) && flush_with(q, e, &near, by, edge));
        let made = if moulded && first.ends.iter().all(alone) {
            uncut(p, edge, most)
        } else {
            cast(p, by + step * rank as f64, edge)
        };
        ends.extend(made.ends.iter().map(|e| (e.clone(), rank, near)));
        let radius = asked(p).unwrap_or(most);
        rolling.push(Body { primitive: made.body, radius, asked: radius });
    }
    let ends: Vec<End> = ends.into_iter().map(|e| e.0).collect();
    // A cut that would take metal of other bodies is none of a machinist's.
    out.trims = cuts(&ends, most + 1.0, &|cut| meets_none(cut, added))?;
    for p in avoid {
        give_way(&mut rolling, *p);
    }
    let made = filleted(&rolling, &name);
    // Where a body takes no ball at all, fillets are laid joint by joint instead.
    let lost = |s: &(Primitive, fillet::Trouble)| asked(&s.0).is_some_and(|radius| radius > 0.0);
    if made.sharp.iter().any(lost) {
        return None;
    }
    out.bodies = made.body.into_iter().chain(made.sharp.iter().map(|s| s.0.clone())).collect();
    out.joints = made.joints.iter().map(told).collect();
    Some(out).filter(|o| !o.bodies.is_empty())
}

/// The smallest body at a place takes a smaller ball.
fn give_way(rolling: &mut [Body], at: P3) {
    let there = |b: &&mut Body| b.radius > 0.0 && b.primitive.bounds().distance(at) < 2.0 * b.radius;
    let size = |b: &Body| b.primitive.bounds().diagonal();
    let smallest = rolling.iter_mut().filter(there).min_by(|a, b| size(a).total_cmp(&size(b)));
    if let Some(b) = smallest {
        b.radius *= 0.6;
    }
}

/// A joint as it is reported.
fn told(j: &fillet::Joint) -> Joint {
    let trouble = j.trouble.map(|t| match t {
        fillet::Trouble::SharpEdge => Trouble::SharpEdge,
        fillet::Trouble::Flat => Trouble::Flat,
        fillet::Trouble::Tight => Trouble::Tight,
        fillet::Trouble::NoWay => Trouble::NoWay,
    });
    Joint {
        faces: j.faces.clone(),
        asked: j.asked,
        made: j.made,
        length: j.length,
        at: j.at,
        trouble,
        open_ends: 0,
        metal: None,
    }
}

/// Whether another body that comes near ends in the same plane.
fn flush_with(other: &Primitive, e: &End, near: &Bounds, by: f64, edge: f64) -> bool {
    let plane = Surface::Plane(e.plane);
    let same = |o: &End| plane.same_as(&Surface::Plane(o.plane), e.plane.frame.origin, 1000.0) == Some(true);
    other.bounds().meets(near) && cast(other, by, edge).ends.iter().any(same)
}

/// The least number that no end in the same plane has whose body comes near.
fn rank(ends: &[(End, usize, Bounds)], e: &End, near: &Bounds) -> usize {
    let plane = Surface::Plane(e.plane);
    let flush = |o: &&(End, usize, Bounds)| {
        plane.same_as(&Surface::Plane(o.0.plane), e.plane.frame.origin, 1000.0) == Some(true)
            && o.2.meets(near)
    };
    let taken: Vec<usize> = ends.iter().filter(flush).map(|o| o.1).collect();
    (0..=taken.len()).find(|r| !taken.contains(r)).unwrap_or(0)
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
        let side = |role: &str| p.patches().iter().any(|f| f.tag.role.starts_with(role));
        let lug = side("lug") && !side("rim");
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
