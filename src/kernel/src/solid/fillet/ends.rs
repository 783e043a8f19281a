//! Cut ends of bodies: made longer than they are, and cut to their length afterwards.
//!
//! A fillet runs up to a cut face with its whole section and stops there, as it does when metal was left on to be cut off.
//! So the ball rolls along bodies whose cut ends stand out, and a trim takes off what is too much.

use super::offset_body;
use crate::geometry::{Frame, P2, P3, Plane};
use crate::solid::primitive::Primitive;
use crate::solid::prism::OUTLINE_CORNER;
use crate::solid::profile::{Profile, beside_end, put_end};
use crate::solid::rounding::{Corner, round_corners, round_corners_from, without};
use crate::solid::segment::{Segment, mirrored};
use crate::solid::shapes::circle;
use crate::solid::tag::{Finish, Tag};
use crate::tolerance::SNAP;

/// A flat cut end.
#[derive(Clone, Debug)]
pub struct End {
    /// Its plane; the normal points out of the body.
    pub plane: Plane,
    /// Its name.
    pub tag: Tag,
    /// Its outline, in the frame of its plane.
    pub outline: Profile,
    /// How far the body stands out beyond it, mm.
    pub out: f64,
    /// How far the cut reaches over its outline, mm.
    pub over: f64,
}

impl End {
    /// Whether a place lies in what stands out beyond the end, or within `room` mm beside that.
    pub fn is_beside(&self, p: P3, room: f64) -> bool {
        let q = self.plane.frame.local(p);
        let flat = P2::new(q.x, q.y);
        let over = self.outline.contains(flat) || self.outline.distance(flat) < room;
        over && (-SNAP..self.out + room).contains(&q.z)
    }
}

/// How far the cut at an end reaches over its outline at first, mm: its walls keep off the body's own.
const OVER: f64 = 0.2;

/// A body whose cut ends stand out.
#[derive(Clone, Debug)]
pub struct Lengthened {
    /// The longer body, with no sharp edge that has room for a round one.
    pub body: Primitive,
    /// What is to be cut.
    pub ends: Vec<End>,
}

/// The body with cut ends that stand out by `by` mm, and sharp edges rounded by `edge` where they have room.
pub fn lengthened(p: &Primitive, by: f64, edge: f64) -> Lengthened {
    lengthened_by(p, Some(by), edge)
}

/// The same; no end stands out where no length is given.
fn lengthened_by(p: &Primitive, by: Option<f64>, edge: f64) -> Lengthened {
    let Some((profile, prism)) = p.shape().filter(|_| p.caps().is_empty()) else {
        return Lengthened { body: p.clone(), ends: vec![] };
    };
    let made = match prism {
        None => turned(p, profile, by, edge),
        Some((height, slope)) => drawn(p, profile, height, slope, by, edge),
    };
    made.unwrap_or_else(|| Lengthened { body: p.clone(), ends: vec![] })
}

/// Least radius with which the edge beside a short line is rounded, mm: over a sharp one, such as that of a step of a few tenths, no ball rolls.
const LEAST_ROUNDING: f64 = 0.02;

/// How far from the axis the tip of a cone is blunted, mm.
const TIP: f64 = 2.0;

/// Puts a piece of a ball in place of the tip of a flat cone on the axis, such as draft makes of a flat end: there no other
/// ball could rest.
fn blunt_tips(segments: &mut Vec<Segment>) {
    let mut i = 0;
    while i < segments.len() {
        let n = segments.len();
        let s = segments[i].clone();
        let next = &segments[(i + 1) % n];
        let before = &segments[(i + n - 1) % n];
        // Counter-clockwise: an outline leaves the axis at its low end and comes back at its high one.
        let leaves = before.on_axis() && s.from.x < SNAP && s.to.y > s.from.y + SNAP;
        let comes = next.on_axis() && s.to.x < SNAP && s.from.y < s.to.y - SNAP;
        if s.arc.is_none() && (leaves || comes) && (s.to.x - s.from.x).abs() > 2.0 * TIP {
            let (tip, far) = if leaves { (s.from, s.to) } else { (s.to, s.from) };
            let rise = (far.y - tip.y) / far.x;
            let touch = P2::new(TIP, tip.y + rise * TIP);
            let center = P2::new(0.0, touch.y + TIP / rise);
            let radius = (touch - center).norm();
            let pole = P2::new(0.0, center.y - radius * rise.signum());
            let arc = Some((center, true));
            if leaves {
                segments[i].from = touch;
                segments[(i + n - 1) % n].to = pole;
                segments.insert(i, Segment { from: pole, to: touch, arc, tag: s.tag });
            } else {
                segments[i].to = touch;
                segments[(i + 1) % n].from = pole;
                segments.insert(i + 1, Segment { from: touch, to: pole, arc, tag: s.tag });
            }
            i += 1;
        }
        i += 1;
    }
}

/// The body as it is, with sharp edges rounded by `edge` where they have room, for balls of up to a radius.
pub fn uncut(p: &Primitive, edge: f64, most: f64) -> Primitive {
    if edge <= 0.0 {
        return p.clone();
    }
    offset_body::capped(&offset_body::closed(p, most), edge)
        .unwrap_or_else(|| lengthened_by(p, None, edge).body)
}

/// Radius with which [`uncut`] rounds the sharp edges around a prism's ends, mm: less than `edge` where they have no room for it. `None` where that
/// rounds no such edges.
pub fn eased(p: &Primitive, edge: f64, most: f64) -> Option<f64> {
    let before = p.shape().filter(|shape| shape.1.is_some() && p.caps().is_empty()).map(|_| p.rounds())?;
    let after = uncut(p, edge, most).rounds();
    (0..2).filter(|k| before[*k] == 0.0).map(|k| after[k]).reduce(f64::min)
}

/// What a trim leaves of a body: its cut ends have the sharp edges of a cut, however they were rounded for the ball.
pub fn trimmed(p: &Primitive) -> Primitive {
    let cut = |tag: &Tag| tag.finish == Finish::Cut;
    let made = || {
        let (profile, prism) = p.shape().filter(|_| p.caps().is_empty())?;
        if prism.is_some() {
            let ends = [0, 1].map(|k| &p.patches()[k].tag);
            let (mut rounds, mut any) = (p.rounds(), false);
            for k in 0..2 {
                any |= cut(ends[k]) && rounds[k] > 0.0;
                rounds[k] = if cut(ends[k]) { 0.0 } else { rounds[k] };
            }
            return any.then(|| p.reshaped(profile.segments().to_vec(), rounds)).flatten();
        }
        let n = profile.segments().len();
        let beside_cut = |all: &[Segment], i: usize| {
            let beside = [&all[(i + 1) % n], &all[(i + n - 1) % n]];
            all[i].arc.is_some_and(|(_, ccw)| ccw) && beside.iter().any(|s| s.is_flat() && cut(&s.tag))
        };
        let keep = without(profile.segments().to_vec(), beside_cut);
        (keep.len() < n).then(|| Primitive::revolve(p.feature(), *p.frame(), keep).ok()).flatten()
    };
    made().unwrap_or_else(|| p.clone())
}

fn turned(p: &Primitive, profile: &Profile, by: Option<f64>, edge: f64) -> Option<Lengthened> {
    let frame = *p.frame();
    let (lo, hi) = profile.extent();
    let mut segments = profile.segments().to_vec();
    let mut ends = Vec::new();
    for i in 0..segments.len() {
        let s = segments[i].clone();
        let low = (s.from.y - lo.y).abs() < SNAP;
        let at_end = low || (s.from.y - hi.y).abs() < SNAP;
        let Some(by) = by else { break };
        if !s.is_flat() || !at_end || s.tag.finish != Finish::Cut {
            continue;
        }
        let shift = if low { -by } else { by };
        let (inner, outer) = (s.from.x.min(s.to.x), s.from.x.max(s.to.x));
        if inner > SNAP {
            continue;
        }
        // The wall beside it runs on.
        let w = &segments[beside_end(&segments, i).0];
        let lean = if w.arc.is_none() && (w.to.y - w.from.y).abs() > 0.1 * (w.to.x - w.from.x).abs() {
            (w.to.x - w.from.x) / (w.to.y - w.from.y)
        } else {
            0.0
        };
        let x = outer + lean * shift;
        if w.arc.is_some() || x < SNAP {
            continue;
        }
        let straight = lean == 0.0 && (w.to.y - w.from.y).abs() < SNAP;
        if straight {
            continue;
        }
        put_end(&mut segments, i, P2::new(x, s.from.y + shift));
        let center = frame.point(0.0, 0.0, s.from.y);
        let normal = if low { -frame.z } else { frame.z };
        let plane = Plane { frame: Frame::from_zx(center, normal, frame.x) };
        let outline = Profile::new(circle(P2::origin(), outer, &s.tag)).ok()?;
        ends.push(End { plane, tag: s.tag.clone(), outline, out: by, over: OVER });
    }
    blunt_tips(&mut segments);
    let off_axis = |c: &Corner| c.before.to.x > OUTLINE_CORNER * edge;
    let edge_at = |c: &Corner| if c.turn > 0.0 && off_axis(c) { edge } else { 0.0 };
    let outline = round_corners_from(&segments, LEAST_ROUNDING, &edge_at);
    let body = Primitive::revolve(p.feature(), frame, outline);
    let body = body.or_else(|_| Primitive::revolve(p.feature(), frame, segments)).ok()?;
    Some(Lengthened { body, ends })
}

fn drawn(
    p: &Primitive,
    profile: &Profile,
    height: f64,
    slope: f64,
    by: Option<f64>,
    edge: f64,
) -> Option<Lengthened> {
    let frame = *p.frame();
    let tags = [0, 1].map(|k| p.patches()[k].tag.clone());
    let rounds = p.rounds();
    let long = |more: [f64; 2]| -> Option<Primitive> {
        let base = frame.moved_to(frame.point(0.0, 0.0, -more[0]));
        let tall = height + more[0] + more[1];
        let radii = |e: f64| rounds.map(|r| if r > 0.0 { r } else { e.min(0.3 * tall) });
        [edge, 0.5 * edge, 0.25 * edge].into_iter().filter(|e| *e > 0.0).find_map(|e| {
            let corner = |c: &Corner| if c.turn > 0.0 { OUTLINE_CORNER * e } else { 0.0 };
            let rounded = round_corners(profile.segments(), &corner);
            // Rounded where the body's own base is, so that the longer body has the same cones at its corners.
            let outline = if more[0] > 0.0 && slope != 0.0 {
                Profile::new(rounded).ok()?.offset(-slope * more[0])?.segments().to_vec()
            } else {
                rounded
            };
            let draft = slope.atan();
            Primitive::rounded_prism(p.feature(), base, outline, tall, draft, tags.clone(), radii(e)).ok()
        })
    };
    let cut = [0, 1].map(|k| by.is_some() && tags[k].finish == Finish::Cut);
    let by = by.unwrap_or(0.0);
    let body = long(cut.map(|m| if m { by } else { 0.0 }));
    let Some(body) = body else {
        return long([0.0; 2]).map(|body| Lengthened { body, ends: vec![] });
    };
    let end = |k: usize| -> Option<End> {
        let (z, section) =
            if k == 0 { (0.0, Some(profile.clone())) } else { (height, profile.offset(slope * height)) };
        let plane = if k == 0 {
            // Seen from outside the outline is its mirror image.
            Plane { frame: Frame::from_zx(frame.point(0.0, 0.0, z), -frame.z, frame.x) }
        } else {
            Plane { frame: frame.moved_to(frame.point(0.0, 0.0, z)) }
        };
        let outline = if k == 0 { Profile::new(mirrored(section?.segments())).ok()? } else { section? };
        Some(End { plane, tag: tags[k].clone(), outline, out: by, over: OVER })
    };
    let ends = (0..2).filter(|k| cut[*k]).map(end).collect::<Option<Vec<End>>>()?;
    Some(Lengthened { body, ends })
}

/// Whether all of a body is cut.
pub fn all_cut(p: &Primitive) -> bool {
    p.patches().iter().all(|f| f.tag.finish == Finish::Cut)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Surface;
    use crate::solid::patch::Patch;
    use crate::solid::shapes::{cylinder, polygon};

    /// A plate of 30 × 30 × 20 mm with walls that lean by 3 degrees, of which one end is cut.
    fn leaning(cut_end: usize) -> Primitive {
        let side = Tag::formed("pad", "side");
        let corners = [(-15.0, -15.0), (15.0, -15.0), (15.0, 15.0), (-15.0, 15.0)];
        let outline = polygon(&corners.map(|(x, y)| P2::new(x, y)), &vec![side; 4]);
        let name = |k| if k == cut_end { Tag::cut("pad", "face") } else { Tag::formed("pad", "base") };
        let ends = [0, 1].map(name);
        let draft = 3_f64.to_radians();
        Primitive::prism("pad", Frame::world(), outline, 20.0, draft, ends).expect("a body")
    }

    /// The longer body and what its trim leaves lie on the same surfaces, cones at their corners among them: they are one
    /// boundary afterwards.
    #[test]
    fn a_longer_body_keeps_the_cones_of_the_body_itself() {
        for cut_end in 0..2 {
            let body = leaning(cut_end);
            let long = lengthened(&body, 8.0, 1.0).body;
            let left = trimmed(&uncut(&body, 1.0, 5.0));
            let mut cones = 0;
            for f in left.patches().iter().filter(|f| matches!(f.surface, Surface::Cone(_))) {
                let same = |g: &Patch| g.surface.same_as(&f.surface, P3::origin(), 100.0) == Some(true);
                assert!(long.patches().iter().any(same), "end {cut_end}: {:?}", f.surface);
                cones += 1;
            }
            assert_eq!(cones, 4, "end {cut_end}");
        }
    }

    /// What a trim leaves has a sharp edge around its cut end, and round ones around the other.
    #[test]
    fn a_trim_leaves_sharp_edges() {
        for cut_end in 0..2 {
            let left = trimmed(&uncut(&leaning(cut_end), 1.0, 5.0));
            assert!(left.rounds()[cut_end].abs() < 1e-12);
            assert!(left.rounds()[1 - cut_end] > 0.5);
        }
    }

    /// A corner of 0.6 mm in the outline leaves an edge of 1 mm no room, for which its ring would meet itself, but one of 0.5 and the
    /// corner around it.
    #[test]
    fn edges_are_eased_as_far_as_there_is_room() {
        let tags = [Tag::formed("pad", "base"), Tag::formed("pad", "face")];
        let corners = [(-15.0, -15.0), (15.0, -15.0), (15.0, 15.0), (-15.0, 15.0)];
        let square = polygon(&corners.map(|(x, y)| P2::new(x, y)), &vec![Tag::formed("pad", "side"); 4]);
        let upright = |outline: Vec<Segment>| {
            Primitive::prism("pad", Frame::world(), outline, 20.0, 0.0, tags.clone()).expect("a body")
        };
        let plain = upright(square.clone());
        assert!((eased(&plain, 1.0, 5.0).expect("sharp ends") - 1.0).abs() < 1e-12);
        let round = plain.with_rounded_ends(1.2).expect("room");
        assert_eq!(eased(&round, 1.0, 5.0), None, "no edge is sharp any more");
        let tight = upright(round_corners(&square, &|_| 0.6));
        let made = eased(&tight, 1.0, 5.0).expect("sharp ends");
        assert!((made - 0.5).abs() < 1e-12, "{made}");
    }

    /// Beyond a boss's cut end at 20 mm, as far as it was made longer, and a little about that; not below the end.
    #[test]
    fn places_beside_an_end() {
        let tags = [Tag::formed("boss", "base"), Tag::formed("boss", "side"), Tag::cut("boss", "face")];
        let boss = cylinder("boss", Frame::world(), 10.0, 20.0, &tags).expect("a body");
        let long = lengthened(&boss, 8.0, 1.0);
        assert_eq!(long.ends.len(), 1);
        let beside = |x: f64, z: f64| long.ends[0].is_beside(P3::new(x, 0.0, z), 2.0);
        assert!(beside(0.0, 21.0) && beside(11.5, 25.0) && beside(0.0, 29.0));
        assert!(!beside(0.0, 19.0) && !beside(14.0, 25.0) && !beside(0.0, 31.0));
    }
}
