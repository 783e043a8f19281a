//! Primitives that can be drawn out of the mould.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

use super::lying::{corners, lying_prism, lying_turned};
use super::stock::unrounded;
use super::{AsCast, LEAST_MOVED};
use crate::design::MOST_LEAN;
use crate::faces::{Feature, Role};
use solidwright::geometry::{P2, V3};
use solidwright::solid::{Primitive, PrimitiveError, Profile, Segment, Tag, round_corners};
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
    /// Radius of the outline's inner corners, mm, where the draft needs a larger one than was asked for.
    pub(super) inner_corners: Option<f64>,
}

/// An axis this near the parting plane lies in it, radians.
const LYING: f64 = 1e-6;

/// Radius of the ridge between two faces that lean away from the parting plane, mm. It takes a few hundredths of a millimetre off the
/// ridge, and lets fillets run over it. It ends at this radius times the sine of the draft over the plane, and the rounded lower edge of a
/// body that ends in the plane at its own radius: the number is no round one, so that the two do not all but meet, as they did by 6 µm
/// with 20 mm, 3° and edges of 1 mm.
pub(super) const RIDGE: f64 = 21.7;

/// Radius that is left of a body's inner corners at the foot, where draft takes more than they have, mm: fillets run round them there.
const AT_FOOT: f64 = 6.0;

/// How far hidden ends reach into their neighbour, mm.
pub(super) const OVERLAP: f64 = 2.0;

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
pub(super) struct Mould<'a> {
    pub(super) up: V3,
    pub(super) draft: f64,
    pub(super) sense: Sense,
    /// How far an inner end that lies in the parting plane reaches over it, mm.
    pub(super) over: f64,
    /// Greatest distance from the parting plane of faces of one name: flush ones stay flush.
    pub(super) reaches: &'a BTreeMap<Tag, f64>,
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
pub(super) fn far(p: &Primitive, up: V3) -> f64 {
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
        return Ok(Drafted { pieces: vec![p.clone()], drawing, inner_corners: None });
    };
    let (pieces, inner_corners) = match (drawing, prism.is_some()) {
        (Drawing::Lying, false) => (lying_turned(p, mould)?, None),
        (Drawing::Lying, true) => (vec![lying_prism(p, mould)?], None),
        (Drawing::Standing, false) => (vec![standing_turned(p, up, draft + lean, sense)?], None),
        (Drawing::Standing, true) => standing_prism(p, mould, draft + lean)?,
        (Drawing::Askew, false) => (vec![standing_turned(p, up, draft, sense)?], None),
        (Drawing::Askew, true) => standing_prism(p, mould, draft)?,
    };
    Ok(Drafted { pieces, drawing, inner_corners })
}

/// Ends of a body askew to the mould whose distances from the shaft differ by more than this have an outer one among them, mm.
const FARTHER: f64 = 1.0;

/// The end of a body along its axis that is farther from the parting plane: +1 the high one. Of a body askew to the mould it is the one
/// farther from the shaft: a loose piece is drawn along the axis into the hollow, whichever way it crosses the parting plane.
fn outer_end(p: &Primitive, up: V3) -> f64 {
    if drawing(p.frame().z, up).0 == Drawing::Askew
        && let Some((profile, prism)) = p.shape()
    {
        let (lo, hi) =
            prism.map_or((profile.extent().0.y, profile.extent().1.y), |(height, _)| (0.0, height));
        let from_shaft = |z: f64| {
            let end = p.frame().point(0.0, 0.0, z);
            end.y.hypot(end.z)
        };
        let farther = from_shaft(hi) - from_shaft(lo);
        if farther.abs() > FARTHER {
            return farther.signum();
        }
    }
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

/// A prism drawn along its own axis, with the radius of its outline's inner corners where the draft needs a larger one. Where it stands
/// through the parting plane its halves lean apart.
fn standing_prism(
    p: &Primitive,
    mould: &Mould,
    draft: f64,
) -> Result<(Vec<Primitive>, Option<f64>), PrimitiveError> {
    let Some((profile, Some((height, slope)))) = p.shape() else { return Ok((vec![p.clone()], None)) };
    let frame = *p.frame();
    let level = |z: f64| frame.point(0.0, 0.0, z).coords.dot(&mould.up);
    let (low, high) = (level(0.0), level(height));
    let through = low * high < 0.0 && low.abs().min(high.abs()) > OVERLAP;
    if through && slope == 0.0 && mould.sense == Sense::Body {
        return Ok((parted_prism(p, profile, height, height * low / (low - high), draft)?, None));
    }
    // An inner end just in the parting plane would leave fillets with a feather's edge there: it reaches a little over,
    // and its own edge, hidden in its neighbours, stays sharp.
    let inner = if outer_end(p, mould.up) > 0.0 { low } else { high };
    let hidden = mould.sense == Sense::Body && inner.abs() < SNAP;
    let (leaning, inner_corners) = leaning_prism(p, (profile, height, slope), mould, draft, hidden)?;
    Ok((vec![leaning], inner_corners))
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

/// A prism on one side of the parting plane, with draft along its own axis; its inner end is `hidden` in its neighbours. Where draft
/// leaves no room for corners, an outline with larger ones serves: all corners of a core, which grows smaller by it, and those corners of a
/// body that point inwards, which adds metal and is told by the radius beside it.
fn leaning_prism(
    p: &Primitive,
    (profile, height, slope): (&Profile, f64, f64),
    mould: &Mould,
    draft: f64,
    hidden: bool,
) -> Result<(Primitive, Option<f64>), PrimitiveError> {
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
        Ok((made(outline.clone(), rounds).or_else(|_| made(outline, [0.0; 2]))?, None))
    };
    let blunt = |error| {
        let taken = height * wanted.abs().tan();
        let least = taken + if sense == Sense::Body { AT_FOOT } else { LEAST_MOVED };
        let Ok(blunt) = Profile::new(blunted(profile.segments(), least, sense)) else { return Err(error) };
        let Some(outline) = based(&blunt, more) else { return Err(error) };
        let rounds = if sense == Sense::Body { rounds } else { [0.0; 2] };
        let prism = made(outline.clone(), rounds).or_else(|_| made(outline, [0.0; 2])).map_err(|_| error)?;
        let inner =
            blunt.segments().iter().filter(|s| s.arc.is_some_and(|(_, ccw)| !ccw)).map(Segment::radius);
        Ok((prism, (sense == Sense::Body).then(|| inner.fold(least, f64::min))))
    };
    plain().or_else(blunt)
}

/// An outline whose corners have at least some radius, those that point inwards only if it is a body's: draft takes it from them
/// towards the end where the corner is tighter.
fn blunted(outline: &[Segment], least: f64, sense: Sense) -> Vec<Segment> {
    let (lines, radii) = corners(outline);
    let ends: Vec<P2> = lines.iter().map(|s| s.to).collect();
    round_corners(&lines, &|c| {
        let at = ends.iter().position(|e| (e - c.before.to).norm() < SNAP);
        let grows = sense == Sense::Core || c.turn < 0.0;
        at.map_or(0.0, |i| if grows { radii[i].max(least) } else { radii[i] })
    })
}
