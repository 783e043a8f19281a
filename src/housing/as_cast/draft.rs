//! Primitives that can be drawn out of the mould.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

use super::stock::unrounded;
use super::upright::{Parting, leaning_sides};
use super::{AsCast, LEAST_MOVED};
use crate::design::MOST_LEAN;
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, Plane, V2, V3};
use solidwright::solid::{
    Cap, Primitive, PrimitiveError, Profile, Segment, Tag, circle, leaning, round_corners,
};
use solidwright::tolerance::SNAP;

/// How a primitive lies in the mould.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Drawing {
    /// Its axis lies in the parting plane.
    Lying,
    /// Its axis stands upright, or nearly.
    Standing,
    /// Neither: only a loose piece drawn along its own axis leaves the mould.
    Askew,
}

/// A primitive as drafted.
#[derive(Debug)]
pub(super) struct Drafted {
    pub(super) pieces: Vec<Primitive>,
    pub(super) drawing: Drawing,
}

/// An axis this near the parting plane lies in it, radians.
const LYING: f64 = 1e-6;

/// Radius of the ridge between two faces that lean away from the parting plane, mm. It takes less than a hundredth of a
/// millimetre off the ridge, and lets fillets run over it.
pub(super) const RIDGE: f64 = 20.0;

/// How far hidden ends reach into their neighbour, mm.
const OVERLAP: f64 = 2.0;

pub(super) fn drawing(axis: V3, up: V3) -> (Drawing, f64) {
    let lean = axis.dot(&up).abs().min(1.0).acos();
    if (FRAC_PI_2 - lean).abs() < LYING {
        (Drawing::Lying, lean)
    } else if lean < MOST_LEAN.to_radians() {
        (Drawing::Standing, lean)
    } else {
        (Drawing::Askew, lean)
    }
}

/// Which way draft moves a wall.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Sense {
    /// Metal is added towards the parting plane.
    Body,
    /// A core grows narrower away from it.
    Core,
}

/// A mould as one primitive sees it.
struct Mould<'a> {
    up: V3,
    draft: f64,
    sense: Sense,
    /// How far an inner end that lies in the parting plane reaches over it, mm.
    over: f64,
    /// Greatest distance from the parting plane of faces of one name: flush ones stay flush.
    reaches: &'a BTreeMap<Tag, f64>,
}

/// A body that the pattern gives, never smaller than it was.
pub(super) fn body(
    p: &Primitive,
    mould: &AsCast,
    over: f64,
    reaches: &BTreeMap<Tag, f64>,
) -> Result<Drafted, PrimitiveError> {
    drafted(p, &Mould { up: mould.up, draft: mould.draft, sense: Sense::Body, over, reaches })
}

/// A body that a core gives, never larger than it was.
pub(super) fn core(p: &Primitive, mould: &AsCast) -> Result<Drafted, PrimitiveError> {
    let reaches = &BTreeMap::new();
    drafted(p, &Mould { up: mould.up, draft: mould.core_draft, sense: Sense::Core, over: 0.0, reaches })
}

/// How far from the parting plane the ends of lying prisms reach, by name.
pub(super) fn reaches(bodies: &[Primitive], up: V3) -> BTreeMap<Tag, f64> {
    let mut out: BTreeMap<Tag, f64> = BTreeMap::new();
    let lying = |p: &&Primitive| {
        drawing(p.frame().z, up).0 == Drawing::Lying && p.shape().is_some_and(|s| s.1.is_some())
    };
    for p in bodies.iter().filter(lying) {
        for face in p.patches().iter().take(2) {
            let known = out.entry(face.tag.clone()).or_insert(0.0);
            *known = known.max(far(p, up));
        }
    }
    out
}

/// The greatest distance of a lying prism's outline from the parting plane.
fn far(p: &Primitive, up: V3) -> f64 {
    let Some((profile, _)) = p.shape() else { return 0.0 };
    let frame = p.frame();
    let (lo, hi) = profile.extent();
    let corners = [P2::new(lo.x, lo.y), P2::new(hi.x, lo.y), P2::new(lo.x, hi.y), P2::new(hi.x, hi.y)];
    corners.iter().map(|q| frame.point(q.x, q.y, 0.0).coords.dot(&up).abs()).fold(0.0, f64::max)
}

fn drafted(p: &Primitive, mould: &Mould) -> Result<Drafted, PrimitiveError> {
    let (up, draft, sense) = (mould.up, mould.draft, mould.sense);
    let (drawing, lean) = drawing(p.frame().z, up);
    let Some((_, prism)) = p.shape().filter(|_| draft > 0.0) else {
        return Ok(Drafted { pieces: vec![p.clone()], drawing });
    };
    let pieces = match (drawing, prism.is_some()) {
        (Drawing::Lying, false) => lying_turned(p, mould)?,
        (Drawing::Lying, true) => vec![lying_prism(p, mould)?],
        (Drawing::Standing, false) => vec![standing_turned(p, up, draft + lean, sense)?],
        (Drawing::Standing, true) => standing_prism(p, mould, draft + lean)?,
        (Drawing::Askew, false) => vec![standing_turned(p, up, draft, sense)?],
        (Drawing::Askew, true) => standing_prism(p, mould, draft)?,
    };
    Ok(Drafted { pieces, drawing })
}

/// The roof that ends a lying body at a height of its axis; `outwards` is ±axis. Through the end's own plane at `reach`
/// from the parting plane: beyond all of the end for a body, in the parting plane for a core.
fn roof(at: P3, outwards: V3, up: V3, reach: f64, draft: f64, tag: &Tag) -> Cap {
    let plane = |side: f64| {
        let normal = leaning(outwards, up * side, draft);
        Plane { frame: Frame::from_z(at + up * (side * reach), normal) }
    };
    Cap::roof(plane(1.0), plane(-1.0), RIDGE, tag.clone())
}

/// A stretch of a turned body between two flat faces: its walls, and the names of the faces that end it (none where it
/// only reaches into its neighbour).
struct Disc {
    walls: Vec<Segment>,
    ends: [Option<Tag>; 2],
}

/// A turned body whose axis lies in the parting plane. Its rounds leave the mould as they are; its flat faces are turned
/// to cones, as on a turned pattern: the whole draft at the crown, nothing in the parting plane, as the rounds have it.
/// Where a prism is flush with it, its flat faces become planes that lean away from the parting plane.
fn lying_turned(p: &Primitive, mould: &Mould) -> Result<Vec<Primitive>, PrimitiveError> {
    let Some((profile, _)) = p.shape() else { return Ok(vec![p.clone()]) };
    let faces = profile.segments().iter().filter(|s| !s.on_axis());
    let flush = faces.map(|s| &s.tag).any(|tag| mould.reaches.contains_key(tag));
    if mould.sense == Sense::Core || !flush {
        let slope = mould.draft.tan();
        return Ok(vec![Primitive::revolve(
            p.feature(),
            *p.frame(),
            coned(profile.segments(), slope, mould.sense),
        )?]);
    }
    let outline = unrounded(profile.segments());
    let Some(discs) = discs(&outline) else { return Ok(vec![p.clone()]) };
    let frame = *p.frame();
    discs.iter().map(|d| disc(Feature::of_body(p), d, &frame, mould)).collect()
}

/// A turned profile whose flat pieces lean: bodies grow towards the axis, cores shrink away from it. Rounded corners stay
/// rounded by their radius.
fn coned(outline: &[Segment], slope: f64, sense: Sense) -> Vec<Segment> {
    let (lines, radii) = corners(outline);
    let n = lines.len();
    let mut out = lines.clone();
    for (i, s) in lines.iter().enumerate().filter(|(_, s)| leans(s)) {
        // Outwards along the axis; the profile runs counter-clockwise.
        let aft = if s.to.x < s.from.x { 1.0 } else { -1.0 };
        let (inner, outer) = (s.from.x.min(s.to.x), s.from.x.max(s.to.x));
        let lean = |x: f64| match sense {
            Sense::Body => (outer - x) * slope,
            Sense::Core => (inner - x) * slope,
        };
        out[i].from = P2::new(s.from.x, s.from.y + aft * lean(s.from.x));
        out[i].to = P2::new(s.to.x, s.to.y + aft * lean(s.to.x));
    }
    // Neighbours keep their lines and end where the leaning ones do.
    for i in 0..n {
        let j = (i + 1) % n;
        let (a, b) = (leans(&lines[i]), leans(&lines[j]));
        let on_axis = lines[i].to.x < SNAP;
        let corner = match (a, b) {
            (true, false) if on_axis => out[i].to,
            (false, true) if on_axis => out[j].from,
            (true, _) | (_, true) => out[i].crossing(&out[j]).unwrap_or(out[i].to),
            _ => continue,
        };
        (out[i].to, out[j].from) = (corner, corner);
    }
    let ends: Vec<P2> = out.iter().map(|s| s.to).collect();
    round_corners(&out, &|c| {
        ends.iter().position(|e| (e - c.before.to).norm() < SNAP).map_or(0.0, |i| radii[i])
    })
}

/// Whether draft tilts a piece of a lying body's outline: its flat faces, but for ends within a neighbour.
fn leans(s: &Segment) -> bool {
    s.is_flat() && Role::of(&s.tag) != Role::Joint
}

/// The straight pieces of an outline, run on to their corners, and the radius about the corner at each one's end.
fn corners(outline: &[Segment]) -> (Vec<Segment>, Vec<f64>) {
    let n = outline.len();
    let mut lines: Vec<Segment> = Vec::with_capacity(n);
    let mut radii: Vec<f64> = Vec::with_capacity(n);
    let mut first = 0.0;
    for s in outline {
        if s.arc.is_none() {
            lines.push(s.clone());
            radii.push(0.0);
        } else if let Some(r) = radii.last_mut() {
            *r = s.radius();
        } else {
            first = s.radius();
        }
    }
    let m = lines.len();
    if first > 0.0 {
        radii[m - 1] = first;
    }
    for i in 0..m {
        let j = (i + 1) % m;
        if radii[i] > 0.0
            && let Some(corner) = lines[i].crossing(&lines[j])
        {
            (lines[i].to, lines[j].from) = (corner, corner);
        }
    }
    (lines, radii)
}

/// The stretches of a profile that starts and ends on the axis, from its low end to its high one.
fn discs(outline: &[Segment]) -> Option<Vec<Disc>> {
    let n = outline.len();
    let start = (0..n).find(|i| !outline[*i].on_axis() && outline[(*i + n - 1) % n].on_axis())?;
    let run: Vec<&Segment> = (0..n).map(|i| &outline[(start + i) % n]).take_while(|s| !s.on_axis()).collect();
    let mut out: Vec<Disc> = vec![Disc { walls: vec![], ends: [None, None] }];
    for (i, s) in run.iter().enumerate() {
        let last = out.len() - 1;
        if !s.is_flat() {
            out[last].walls.push((*s).clone());
        } else if i == 0 {
            out[last].ends[0] = Some(s.tag.clone());
        } else if i + 1 == run.len() {
            out[last].ends[1] = Some(s.tag.clone());
        } else {
            // Inwards: it ends what comes before; outwards: it starts what comes after.
            let inwards = s.to.x < s.from.x;
            let tag = Some(s.tag.clone());
            let next = if inwards { [None, None] } else { [tag.clone(), None] };
            if inwards {
                out[last].ends[1] = tag;
            }
            out.push(Disc { walls: vec![], ends: next });
        }
    }
    out.iter().all(|d| !d.walls.is_empty()).then_some(out)
}

/// A stretch as a body of its own, its ends closed by roofs.
fn disc(feature: Feature, d: &Disc, frame: &Frame, mould: &Mould) -> Result<Primitive, PrimitiveError> {
    let (up, draft) = (mould.up, mould.draft);
    let reach = |tag: &Tag, radius: f64| mould.reaches.get(tag).map_or(radius, |r| r.max(radius));
    let (first, last) = (&d.walls[0], &d.walls[d.walls.len() - 1]);
    let (low, high) = (first.from, last.to);
    // The body must reach far enough for the roof to cut all of it.
    let beyond = |end: &Option<Tag>, radius: f64| {
        end.as_ref().map_or(OVERLAP, |tag| reach(tag, radius) * draft.tan() + 1.0)
    };
    let (before, after) = (beyond(&d.ends[0], low.x), beyond(&d.ends[1], high.x));
    let hidden = feature.formed(Role::Joint);
    let line = |from: P2, to: P2, tag: &Tag| Segment { from, to, arc: None, tag: tag.clone() };
    let (bottom, top) = (P2::new(low.x, low.y - before), P2::new(high.x, high.y + after));
    let name = |k: usize| d.ends[k].clone().unwrap_or_else(|| hidden.clone());
    let at = |z: f64| frame.point(0.0, 0.0, z);
    let low_cap = d.ends[0].as_ref().map(|t| roof(at(low.y), -frame.z, up, reach(t, low.x), draft, t));
    let high_cap = d.ends[1].as_ref().map(|t| roof(at(high.y), frame.z, up, reach(t, high.x), draft, t));
    let caps = low_cap.into_iter().chain(high_cap);
    // A cylinder is made as a prism, whose edges below its roofs can be rounded.
    if d.walls.iter().all(|w| w.arc.is_none() && w.tag == first.tag && (w.to.x - w.from.x).abs() < SNAP) {
        let outline = circle(P2::origin(), low.x, &first.tag);
        let base = frame.moved_to(at(bottom.y));
        let body =
            Primitive::prism(feature.name(), base, outline, top.y - bottom.y, 0.0, [name(0), name(1)])?;
        return Ok(body.capped(caps));
    }
    let mut outline = vec![line(P2::new(0.0, bottom.y), bottom, &name(0))];
    outline.push(line(bottom, low, &first.tag));
    outline.extend(d.walls.iter().cloned());
    outline.push(line(high, top, &last.tag));
    outline.push(line(top, P2::new(0.0, top.y), &name(1)));
    outline.push(line(P2::new(0.0, top.y), P2::new(0.0, bottom.y), &hidden));
    merge(&mut outline);
    Ok(Primitive::revolve(feature.name(), *frame, outline)?.capped(caps))
}

/// Joins neighbouring lines of one direction and name.
fn merge(outline: &mut Vec<Segment>) {
    let mut i = 0;
    while i + 1 < outline.len() {
        let (a, b) = (&outline[i], &outline[i + 1]);
        let alike = a.arc.is_none() && b.arc.is_none() && a.tag == b.tag;
        if alike && (a.direction(0.5) - b.direction(0.5)).norm() < 1e-9 {
            outline[i].to = outline[i + 1].to;
            outline.remove(i + 1);
        } else {
            i += 1;
        }
    }
}

/// A prism whose axis lies in the parting plane: its ends lean, and those of its sides that stand upright.
fn lying_prism(p: &Primitive, mould: &Mould) -> Result<Primitive, PrimitiveError> {
    let (up, draft, sense) = (mould.up, mould.draft, mould.sense);
    let Some((profile, Some((height, slope)))) = p.shape() else { return Ok(p.clone()) };
    let frame = *p.frame();
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let own = far(p, up);
    let reach = [0, 1].map(|k| match sense {
        Sense::Body => mould.reaches.get(&ends[k]).map_or(own, |r| r.max(own)),
        Sense::Core => 0.0,
    });
    let parting = Parting {
        up: V2::new(frame.x.dot(&up), frame.y.dot(&up)),
        level: frame.origin.coords.dot(&up),
        draft,
        sense,
    };
    let leaning = leaning_sides(profile.segments(), &parting);
    // Low walls need no draft, and rounded edges stay.
    if reach.iter().all(|r| r * draft.tan() < LEAST_MOVED) {
        let Some(outline) = leaning else { return Ok(p.clone()) };
        let made = |rounds| {
            let outline = outline.clone();
            Primitive::rounded_prism(p.feature(), frame, outline, height, slope.atan(), ends.clone(), rounds)
        };
        return made(p.rounds()).or_else(|_| made([0.0; 2]));
    }
    let profile = &match leaning {
        Some(outline) => Profile::new(outline).unwrap_or_else(|_| profile.clone()),
        None => profile.clone(),
    };
    let (profile, slope) = &straight(profile, height, slope, sense);
    let slope = *slope;
    let beyond = if sense == Sense::Body { reach[0].max(reach[1]) * draft.tan() + 1.0 } else { 0.0 };
    let base = frame.moved_to(frame.point(0.0, 0.0, -beyond));
    let wide = profile.offset(-slope * beyond).unwrap_or_else(|| profile.clone());
    let outline = wide.segments().to_vec();
    let long =
        Primitive::prism(p.feature(), base, outline, height + 2.0 * beyond, slope.atan(), ends.clone())?;
    // The roofs' ridges lie in the parting plane, which holds the origin.
    let foot = |z: f64| {
        let on = frame.point(0.0, 0.0, z);
        on - up * on.coords.dot(&up)
    };
    let caps = [(0.0, -frame.z, 0), (height, frame.z, 1)];
    Ok(long.capped(caps.map(|(z, outwards, k)| roof(foot(z), outwards, up, reach[k], draft, &ends[k]))))
}

/// The section of a lying body and its slope: a body as wide all along as at its wider end, since only the edges of upright
/// plates can be rounded below a roof.
fn straight(profile: &Profile, height: f64, slope: f64, sense: Sense) -> (Profile, f64) {
    let wide = match sense {
        Sense::Body if slope < 0.0 => profile.offset(slope * height),
        Sense::Body => Some(profile.clone()),
        Sense::Core => None,
    };
    wide.map_or_else(|| (profile.clone(), slope), |wide| (wide, 0.0))
}

/// The end of a body along its axis that is farther from the parting plane: +1 the high one.
fn outer_end(p: &Primitive, up: V3) -> f64 {
    let z = p.frame().z.dot(&up);
    let side = p.bounds().center().coords.dot(&up);
    if z * side >= 0.0 { 1.0 } else { -1.0 }
}

/// A turned body drawn along its own axis: every wall leans, cylinders become cones.
fn standing_turned(p: &Primitive, up: V3, draft: f64, sense: Sense) -> Result<Primitive, PrimitiveError> {
    let Some((profile, _)) = p.shape() else { return Ok(p.clone()) };
    let outline = unrounded(profile.segments());
    let (lo, hi) = profile.extent();
    let outer = outer_end(p, up);
    let slope = draft.tan();
    // Nominal at the outer end for a body, at the inner one for a core.
    let fixed = if (outer > 0.0) == (sense == Sense::Body) { hi.y } else { lo.y };
    let lean = |q: P2| if q.x < SNAP { q } else { P2::new(q.x + (fixed - q.y) * slope * outer, q.y) };
    let leant: Vec<Segment> =
        outline.into_iter().map(|s| Segment { from: lean(s.from), to: lean(s.to), ..s }).collect();
    if leant.iter().any(|s| s.arc.is_some()) {
        return Ok(p.clone());
    }
    Primitive::revolve(p.feature(), *p.frame(), leant)
}

/// A prism drawn along its own axis. Where it stands through the parting plane its halves lean apart.
fn standing_prism(p: &Primitive, mould: &Mould, draft: f64) -> Result<Vec<Primitive>, PrimitiveError> {
    let Some((profile, Some((height, slope)))) = p.shape() else { return Ok(vec![p.clone()]) };
    let frame = *p.frame();
    let level = |z: f64| frame.point(0.0, 0.0, z).coords.dot(&mould.up);
    let (low, high) = (level(0.0), level(height));
    let through = low * high < 0.0 && low.abs().min(high.abs()) > OVERLAP;
    if through && slope == 0.0 && mould.sense == Sense::Body {
        return parted_prism(p, profile, height, height * low / (low - high), draft);
    }
    // An inner end just in the parting plane would leave fillets with a feather's edge there: it reaches a little over,
    // and its own edge, hidden in its neighbours, stays sharp.
    let inner = if outer_end(p, mould.up) > 0.0 { low } else { high };
    let hidden = mould.sense == Sense::Body && inner.abs() < SNAP;
    Ok(vec![leaning_prism(p, (profile, height, slope), mould, draft, hidden)?])
}

/// Both halves of a prism through the parting plane, which cuts it at the height `cut`: each leans away from the plane.
fn parted_prism(
    p: &Primitive,
    profile: &Profile,
    height: f64,
    cut: f64,
    draft: f64,
) -> Result<Vec<Primitive>, PrimitiveError> {
    let frame = *p.frame();
    let [bottom, top] = [0, 1].map(|k| p.patches()[k].tag.clone());
    let inner = Feature::of_body(p).formed(Role::Joint);
    let wide = profile.offset(-(height - cut) * draft.tan()).unwrap_or_else(|| profile.clone());
    let base = frame.moved_to(frame.point(0.0, 0.0, cut));
    let (above, below) = (wide.segments().to_vec(), profile.segments().to_vec());
    let upper = Primitive::prism(p.feature(), base, above, height - cut, draft, [inner.clone(), top])?;
    let lower = Primitive::prism(p.feature(), frame, below, cut, -draft, [bottom, inner])?;
    Ok(vec![lower, upper])
}

/// A prism on one side of the parting plane, with draft along its own axis; its inner end is `hidden` in its neighbours.
fn leaning_prism(
    p: &Primitive,
    (profile, height, slope): (&Profile, f64, f64),
    mould: &Mould,
    draft: f64,
    hidden: bool,
) -> Result<Primitive, PrimitiveError> {
    let (sense, outer, frame) = (mould.sense, outer_end(p, mould.up), *p.frame());
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let over = if hidden { mould.over } else { 0.0 };
    let mut rounds = p.rounds();
    if hidden {
        rounds[usize::from(outer < 0.0)] = 0.0;
    }
    let (frame, height) =
        (frame.moved_to(frame.point(0.0, 0.0, if outer > 0.0 { -over } else { 0.0 })), height + over);
    // Its own draft counts where it is the right way and more.
    let wanted = if outer > 0.0 { draft.max(slope.atan()) } else { (-draft).min(slope.atan()) };
    let more = wanted.tan() - slope;
    // The high end is the nominal one of a body whose outer end it is, the low one of its core.
    let at_low = (outer > 0.0) != (sense == Sense::Body);
    // At its narrow end a core may have no room for the draft: then it is no core, for one that kept its size there would be
    // too wide everywhere else.
    let based = |profile: &Profile, more: f64| {
        let moved =
            if at_low { Some(profile.clone()) } else { profile.offset(-more * height - slope * over) };
        let moved = if sense == Sense::Body { moved.or_else(|| Some(profile.clone())) } else { moved };
        moved.map(|moved| moved.segments().to_vec())
    };
    let eaten = || {
        let fits = |draft: f64| based(profile, wanted.signum() * draft.tan() - slope).is_some();
        let (mut low, mut high) = (0.0, wanted.abs());
        for _ in 0..20 {
            let middle = 0.5 * (low + high);
            if fits(middle) { low = middle } else { high = middle }
        }
        PrimitiveError::Draft {
            feature: p.feature().to_owned(),
            draft_deg: wanted.to_degrees(),
            height,
            greatest_deg: low.to_degrees(),
        }
    };
    let made = |outline: Vec<Segment>, rounds| {
        Primitive::rounded_prism(p.feature(), frame, outline, height, wanted, ends.clone(), rounds)
    };
    let plain = || {
        let outline = based(profile, more).ok_or_else(eaten)?;
        made(outline.clone(), rounds).or_else(|_| made(outline, [0.0; 2]))
    };
    let blunt = |error| {
        if sense == Sense::Body {
            return Err(error);
        }
        let least = height * wanted.abs().tan() + LEAST_MOVED;
        let Ok(blunt) = Profile::new(blunted(profile.segments(), least)) else { return Err(error) };
        let Some(outline) = based(&blunt, more) else { return Err(error) };
        made(outline, [0.0; 2]).map_err(|_| error)
    };
    plain().or_else(blunt)
}

/// An outline whose corners have at least some radius: draft takes it from them towards the narrow end.
fn blunted(outline: &[Segment], least: f64) -> Vec<Segment> {
    let (lines, radii) = corners(outline);
    let ends: Vec<P2> = lines.iter().map(|s| s.to).collect();
    round_corners(&lines, &|c| {
        let at = ends.iter().position(|e| (e - c.before.to).norm() < SNAP);
        at.map_or(0.0, |i| radii[i].max(least))
    })
}
