//! What is cut off at ends of bodies that stand out for their fillets.

use super::ends::End;
use super::parallel;
use super::plan::FilletRequest;
use crate::geometry::{Frame, P2, Surface};
use crate::solid::primitive::Primitive;
use crate::solid::profile::Profile;
use crate::solid::segment::Segment;
use crate::solid::shapes::circle;

/// How far cuts reach beyond what stands out, mm.
const BEYOND: f64 = 2.0;

/// A cut that takes off what stands out beyond cut ends.
#[derive(Clone, Debug)]
pub struct Trim {
    /// What it takes away.
    pub cut: Primitive,
    /// Bodies that it would take something off though they don't end there, by number.
    pub meets: Vec<usize>,
}

/// Cuts that take off what stands out beyond cut ends, inward corners of their outlines that balls of up to `room` mm
/// fill among it. Where several bodies end in one plane under one name, the cut
/// reaches over their outlines by `room` mm, since fillets between them stand out as well.
pub fn cuts(ends: &[End], room: f64, bodies: &[FilletRequest]) -> Vec<Trim> {
    let flush = |e: &End, f: &End| {
        let (a, b) = (Surface::Plane(e.plane), Surface::Plane(f.plane));
        e.tag == f.tag && a.same_as(&b, e.plane.frame.origin, 1000.0) == Some(true)
    };
    let mut out = Vec::new();
    for (i, e) in ends.iter().enumerate() {
        let group: Vec<&End> = ends.iter().filter(|f| flush(e, f)).collect();
        let known = ends[..i].iter().any(|f| flush(e, f));
        if !known && !group.iter().all(|f| covered(f, bodies)) {
            out.extend(trim(e, &group, room, bodies));
        }
    }
    out
}

/// The cut at an end, and at others that are flush with it.
fn trim(e: &End, group: &[&End], room: f64, bodies: &[FilletRequest]) -> Option<Trim> {
    let outline = if group.len() < 2 {
        // The ball fills the outline's own inward corners, above the end as well as below.
        let filled = parallel::closing(&e.outline, room).and_then(|s| Profile::new(s).ok());
        let outline = filled.unwrap_or_else(|| e.outline.clone());
        let wider = outline.offset(-e.over).unwrap_or(outline);
        wider.segments().iter().map(|s| Segment { tag: e.tag.clone(), ..s.clone() }).collect()
    } else {
        circle(P2::origin(), reach(e, group) + room, &e.tag)
    };
    let prism = |deep: f64| {
        let tags = [e.tag.clone(), e.tag.clone()];
        Primitive::prism(&e.tag.feature, e.plane.frame, outline.clone(), deep + BEYOND, 0.0, tags).ok()
    };
    let with_met = |cut: Primitive| {
        let meets = (0..bodies.len()).filter(|n| meets(&cut, &bodies[*n].inner)).collect();
        Trim { cut, meets }
    };
    let out_by = group.iter().map(|f| f.out).fold(0.0, f64::max);
    let deep = with_met(clear_of(bodies, e, out_by, &prism)?);
    // No deeper than fillets of what stands out reach, where nothing above is near enough for a ball to bridge the gap.
    if deep.meets.is_empty() || bridged(&deep.cut, out_by, room, bodies) {
        return Some(deep);
    }
    Some(prism(out_by + room).map_or(deep, with_met))
}

/// Whether all that stands out beyond an end lies within the other bodies: then there is nothing to cut.
fn covered(e: &End, bodies: &[FilletRequest]) -> bool {
    let frame = e.plane.frame;
    let (center, reach) = (frame.origin, reach(e, &[e]) + e.out);
    let near: Vec<&Primitive> =
        bodies.iter().map(|b| &b.inner).filter(|b| b.bounds().distance(center) < reach).collect();
    let within = |q: P2, z: f64| {
        let p = frame.point(q.x, q.y, z);
        near.iter().any(|b| b.contains(p))
    };
    let levels = (e.out / ASKED_EVERY).ceil() as usize;
    let height = |k: usize| 0.01 + (e.out - 0.01) * k as f64 / levels as f64;
    let places = |s: &Segment| (s.length() / ASKED_EVERY).ceil() as usize;
    let around = |s: &Segment| {
        (0..=places(s)).all(|i| {
            let q = s.point(i as f64 / places(s) as f64);
            (0..=levels).all(|k| within(q, height(k)))
        })
    };
    let walls = e.outline.segments().iter().all(around);
    walls && places_within(&e.outline).all(|q| within(q, e.out))
}

/// The cut at an end, so deep that its far end keeps clear of all bodies that it meets, and need not be intersected.
fn clear_of(
    bodies: &[FilletRequest],
    e: &End,
    out_by: f64,
    prism: &dyn Fn(f64) -> Option<Primitive>,
) -> Option<Primitive> {
    let Frame { origin, z, .. } = e.plane.frame;
    let mut deep = out_by;
    loop {
        let cut = prism(deep)?;
        let met = bodies.iter().filter(|b| meets(&cut, &b.primitive));
        let farthest = met.map(|b| b.primitive.bounds().along(origin, z).1).fold(out_by, f64::max);
        if farthest <= deep {
            return Some(cut);
        }
        deep = farthest;
    }
}

/// Greatest distance of some flush ends' outlines from the origin of the first one's frame.
fn reach(e: &End, group: &[&End]) -> f64 {
    let corner = |f: &&End| {
        let (lo, hi) = f.outline.extent();
        let frame = f.plane.frame;
        [(lo.x, lo.y), (lo.x, hi.y), (hi.x, lo.y), (hi.x, hi.y)]
            .map(|(x, y)| (frame.point(x, y, 0.0) - e.plane.frame.origin).norm())
    };
    group.iter().flat_map(corner).fold(0.0, f64::max)
}

/// Places across a cut at which bodies are asked, and how far apart they are along it, mm: less than any wall is thick.
const ASKED: usize = 24;
const ASKED_EVERY: f64 = 1.5;

/// Whether bodies stand over a prism's base with a gap between them, from a height on, into which a ball that goes no farther than
/// `room` mm would fill metal.
fn bridged(cut: &Primitive, from: f64, room: f64, bodies: &[FilletRequest]) -> bool {
    let Some((profile, _)) = cut.shape() else { return true };
    let near: Vec<&Primitive> =
        bodies.iter().map(|b| &b.inner).filter(|b| b.bounds().meets(cut.bounds())).collect();
    let levels = (2.0 * room / ASKED_EVERY).ceil() as usize;
    let step = 2.0 * room / levels as f64;
    places_within(profile).any(|q| {
        let within = |k: usize| {
            let p = cut.frame().point(q.x, q.y, from + 0.01 + step * k as f64);
            near.iter().any(|b| b.contains(p))
        };
        // Metal above a place without any.
        let mut open = false;
        (0..=levels).any(|k| {
            let metal = within(k);
            open |= !metal;
            metal && open
        })
    })
}

/// Places across an outline.
fn places_within(profile: &Profile) -> impl Iterator<Item = P2> {
    let (lo, hi) = profile.extent();
    let share = |i: usize| i as f64 / ASKED as f64;
    let across =
        move |i: usize, j: usize| P2::new(lo.x + (hi.x - lo.x) * share(i), lo.y + (hi.y - lo.y) * share(j));
    let places = (0..=ASKED).flat_map(move |i| (0..=ASKED).map(move |j| across(i, j)));
    places.filter(|q| profile.contains(*q))
}

/// Whether a prism over the end of a part (its base at z = 0) meets a body beyond its base.
fn meets(cut: &Primitive, body: &Primitive) -> bool {
    let Some((profile, Some((deep, _)))) = cut.shape().filter(|_| body.bounds().meets(cut.bounds())) else {
        return false;
    };
    let levels = (deep / ASKED_EVERY).ceil() as usize;
    let height = |k: usize| 0.01 + (deep - 0.01) * k as f64 / levels as f64;
    places_within(profile)
        .any(|q| (0..=levels).any(|k| body.contains(cut.frame().point(q.x, q.y, height(k)))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{P3, Plane};
    use crate::solid::shapes::polygon;
    use crate::solid::tag::Tag;

    /// An angle of 20 × 20 mm with legs of 10 mm: the ball fills its inward corner above the cut end as well, and a place
    /// there, 1 mm off both legs, is taken away too.
    #[test]
    fn a_cut_reaches_into_the_inward_corners_of_its_outline() {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (10.0, 10.0), (10.0, 20.0), (0.0, 20.0)];
        let tag = Tag::cut("pad", "face");
        let outline = polygon(&corners.map(|(x, y)| P2::new(x, y)), &vec![tag.clone(); 6]);
        let plane = Plane { frame: Frame::world() };
        let end =
            End { plane, tag, outline: Profile::new(outline).expect("an outline"), out: 8.0, over: 0.2 };
        let cuts = cuts(&[end], 5.0, &[]);
        assert!(cuts[0].cut.contains(P3::new(11.0, 11.0, 4.0)), "in the corner");
        assert!(!cuts[0].cut.contains(P3::new(16.0, 16.0, 4.0)), "beyond what a ball of 5 mm fills");
    }

    fn square(from: f64, to: f64, tag: &Tag) -> Vec<Segment> {
        let corners = [(from, from), (to, from), (to, to), (from, to)];
        polygon(&corners.map(|(x, y)| P2::new(x, y)), &vec![tag.clone(); 4])
    }

    fn body(name: &str, size: (f64, f64), z: f64, height: f64) -> FilletRequest {
        let tag = Tag::formed(name, "side");
        let frame = Frame::world().moved_to(P3::new(0.0, 0.0, z));
        let outline = square(size.0, size.1, &tag);
        let made = Primitive::prism(name, frame, outline, height, 0.0, [tag.clone(), tag]);
        let made = made.expect("a body");
        FilletRequest::new(made.clone(), made, 5.0)
    }

    /// A pad of 20 × 20 mm that stands out by 8 mm beyond z = 0.
    fn end() -> End {
        let tag = Tag::cut("pad", "face");
        let outline = Profile::new(square(0.0, 20.0, &tag)).expect("an outline");
        End { plane: Plane { frame: Frame::world() }, tag, outline, out: 8.0, over: 0.2 }
    }

    /// A cut goes no deeper than the fillets of what stands out, past a tall body beside it, and leaves a plate far above alone.
    #[test]
    fn a_cut_is_no_deeper_than_fillets_reach() {
        let bodies = [
            body("tall", (-5.0, 3.0), -10.0, 60.0),
            body("plate", (10.0, 40.0), 41.0, 3.0),
            body("beside", (30.0, 40.0), -10.0, 60.0),
        ];
        let cuts = cuts(&[end()], 5.0, &bodies);
        assert_eq!(cuts[0].meets, [0], "the tall body");
        assert!(cuts[0].cut.contains(P3::new(15.0, 15.0, 12.9)), "where the highest fillet may reach");
        assert!(!cuts[0].cut.contains(P3::new(15.0, 15.0, 40.0)), "below the plate");
    }

    /// A plate so near above that a ball of 5 mm may bridge the gap makes the cut go through it, and beyond the tall body: both
    /// must be known.
    #[test]
    fn a_cut_knows_all_that_it_meets() {
        let bodies = [
            body("tall", (-5.0, 3.0), -10.0, 60.0),
            body("plate", (10.0, 40.0), 15.0, 3.0),
            body("beside", (30.0, 40.0), -10.0, 60.0),
        ];
        let cuts = cuts(&[end()], 5.0, &bodies);
        assert_eq!(cuts[0].meets, [0, 1], "the tall body and the plate");
        assert!(cuts[0].cut.contains(P3::new(15.0, 15.0, 51.0)), "beyond them all");
    }

    /// What stands out wholly within another body needs no cut; where it looks out of that by a corner, it does.
    #[test]
    fn what_lies_within_other_bodies_is_not_cut() {
        assert!(cuts(&[end()], 5.0, &[body("around", (-1.0, 21.0), -10.0, 20.0)]).is_empty());
        assert_eq!(cuts(&[end()], 5.0, &[body("around", (0.5, 21.0), -10.0, 20.0)]).len(), 1);
        assert_eq!(cuts(&[end()], 5.0, &[body("lower", (-1.0, 21.0), -10.0, 17.0)]).len(), 1);
    }
}
