//! Machined ends of bodies askew to the mould: where such an end leans against the pull on one side of the parting plane, it gets stock
//! there until it stands upright with its draft, so that its half leaves the sand without a loose piece.
//!
//! The end is put outwards as a whole, and cut upright on the side that would overhang, with the ridge in the parting plane. All ends
//! in one plane are cut in one, so that they stay flush.

use super::draft::{Drawing, drawing};
use super::stock::machined;
use super::{LEAST_MOVED, StockedFace};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, Profile, Segment, Tag, leaning, rounded_rectangle};
use solidwright::tolerance::SNAP;

/// Most stock that is added to stand an end upright, mm (practice, no source): more costs more to cut off than a loose piece does.
const MOST: f64 = 8.0;

/// How far the cut that stands an end upright reaches over its rim, mm.
const BESIDE: f64 = 2.0;

/// Points of an arc at which an end's rim is asked.
const ARC: u32 = 24;

/// A machined end that overhangs on one side of the parting plane.
pub(super) struct Overhang {
    feature: Feature,
    /// Out of the metal along the body's axis.
    axis: V3,
    /// The end's plane as stocked: its distance from the origin along the axis.
    level: f64,
    /// Farthest place of the rim along the upright end's normal, on the side that overhangs.
    reach: f64,
    /// The upright end's normal.
    upright: V3,
    /// How far the whole end is put out, mm.
    more: f64,
    /// Points of the rims of all bodies that end there.
    rim: Vec<P3>,
    tag: Tag,
}

/// The machined end of a body: whether it is the high one, its tag.
fn end(p: &Primitive) -> Option<(bool, Tag)> {
    let (profile, prism) = p.shape()?;
    if prism.is_some() {
        let at = |k: usize| p.patches().get(k).map(|f| f.tag.clone()).filter(machined);
        return at(1).map(|tag| (true, tag)).or_else(|| at(0).map(|tag| (false, tag)));
    }
    let flat = profile.segments().iter().find(|s| s.is_flat() && machined(&s.tag))?;
    Some((flat.from.y > 0.5 * (profile.extent().0.y + profile.extent().1.y), flat.tag.clone()))
}

/// The rim of that end.
fn rim(p: &Primitive, high: bool) -> Vec<P3> {
    let Some((profile, prism)) = p.shape() else { return vec![] };
    let frame = p.frame();
    if let Some((height, _)) = prism {
        let z = if high { height } else { 0.0 };
        let shares = |s: &Segment| if s.arc.is_some() { ARC } else { 1 };
        let at = |s: &Segment| {
            let count = shares(s);
            (0..count).map(|k| s.point(f64::from(k) / f64::from(count))).collect::<Vec<P2>>()
        };
        return profile.segments().iter().flat_map(at).map(|q| frame.point(q.x, q.y, z)).collect();
    }
    let (lo, hi) = profile.extent();
    let z = if high { hi.y } else { lo.y };
    let ends = profile.segments().iter().flat_map(|s| [s.from, s.to]).filter(|q| (q.y - z).abs() < SNAP);
    let radius = ends.map(|q| q.x).fold(0.0, f64::max);
    let turn = |k: u32| (std::f64::consts::TAU * f64::from(k) / f64::from(4 * ARC)).sin_cos();
    (0..4 * ARC).map(turn).map(|(s, c)| frame.point(radius * c, radius * s, z)).collect()
}

/// The ends of bodies that overhang, the stock of their faces put up by what is added.
pub(super) fn overhangs(
    bodies: &[Primitive],
    up: V3,
    draft: f64,
    stocked: &mut [StockedFace],
) -> Vec<Overhang> {
    let mut out: Vec<Overhang> = Vec::new();
    let mut names: Vec<(usize, Tag)> = Vec::new();
    for p in bodies.iter().filter(|p| drawing(p.frame().z, up).0 == Drawing::Askew && p.caps().is_empty()) {
        let Some((high, tag)) = end(p) else { continue };
        let axis = if high { p.frame().z } else { -p.frame().z };
        // The side on which the end looks back at the parting plane.
        let side = -axis.dot(&up).signum() * up;
        let Some(flat) = (axis - up * axis.dot(&up)).try_normalize(0.3) else { continue };
        let upright = leaning(flat, side, draft);
        let points = rim(p, high);
        let Some(level) = points.first().map(|q| q.coords.dot(&axis)) else { continue };
        let reach = points
            .iter()
            .filter(|q| q.coords.dot(&side) > 0.0)
            .map(|q| q.coords.dot(&upright))
            .fold(f64::NEG_INFINITY, f64::max);
        let same = |o: &Overhang| {
            o.feature == Feature::of_body(p)
                && (o.axis - axis).norm() < SNAP
                && (o.level - level).abs() < SNAP
        };
        let k = out.iter().position(same).unwrap_or_else(|| {
            // A name of its own: the end's own plane is the one that its height is measured at.
            let feature = Feature::of_body(p);
            let tag = feature.cut(Role::End);
            out.push(Overhang { feature, axis, level, reach, upright, more: 0.0, rim: vec![], tag });
            out.len() - 1
        });
        out[k].reach = out[k].reach.max(reach);
        out[k].rim.extend(points);
        if !names.contains(&(k, tag.clone())) {
            names.push((k, tag));
        }
    }
    for o in out.iter_mut().filter(|o| o.reach.is_finite()) {
        // The upright plane's ridge lies in the parting plane; the end goes through it too.
        o.more = o.ridge(o.flat(up)).dot(&o.axis) - o.level;
    }
    let taken = |o: &Overhang| o.more > LEAST_MOVED && o.more <= MOST;
    for (k, tag) in &names {
        if taken(&out[*k]) {
            // Bodies of one name have a row each.
            for face in stocked.iter_mut().filter(|face| face.tag == *tag) {
                face.stock = face.stock.map(|stock| stock + out[*k].more);
                face.put_out = out[*k].more;
            }
        }
    }
    out.retain(taken);
    out
}

impl Overhang {
    /// Its axis as seen from above the parting plane.
    fn flat(&self, up: V3) -> V3 {
        (self.axis - up * self.axis.dot(&up)).normalize()
    }

    /// The place of the upright end's ridge in the parting plane, along that direction.
    fn ridge(&self, flat: V3) -> V3 {
        flat * (self.reach / self.upright.dot(&flat))
    }

    /// What stands the end upright where it overhangs: it is trimmed when all fillets are laid, since no ball rolls over the edge.
    pub(super) fn cut(&self, up: V3) -> Result<Primitive, PrimitiveError> {
        let flat = self.flat(up);
        let frame = Frame::from_zx(P3::from(self.ridge(flat)), self.upright, up.cross(&flat));
        let own: Vec<P3> = self.rim.iter().map(|q| frame.local(*q)).collect();
        let least = |i: usize| own.iter().map(|q| q[i]).fold(f64::INFINITY, f64::min) - BESIDE;
        let most = |i: usize| own.iter().map(|q| q[i]).fold(f64::NEG_INFINITY, f64::max) + BESIDE;
        let (lo, hi) = (P2::new(least(0), least(1)), P2::new(most(0), most(1)));
        let outline = rounded_rectangle(P2::from(0.5 * (lo.coords + hi.coords)), hi - lo, 0.0, &self.tag);
        let ends = [self.tag.clone(), self.tag.clone()];
        Primitive::prism(self.feature.name(), frame, outline, self.more + BESIDE, 0.0, ends)
    }

    /// A body whose end overhangs, put out; none of any other.
    fn put_out(&self, p: &Primitive) -> Result<Option<Primitive>, PrimitiveError> {
        let Some((high, _)) = end(p).filter(|_| Feature::of_body(p) == self.feature) else { return Ok(None) };
        let frame = *p.frame();
        let axis = if high { frame.z } else { -frame.z };
        let level = rim(p, high).first().map_or(f64::INFINITY, |q| q.coords.dot(&axis));
        let Some((profile, prism)) = p.shape() else { return Ok(None) };
        if (axis - self.axis).norm() > SNAP || (level - self.level).abs() > SNAP {
            return Ok(None);
        }
        let Some((height, slope)) = prism else {
            let outline = longer(profile, high, self.more);
            return Primitive::revolve(p.feature(), frame, outline).map(Some);
        };
        let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
        let base = if high { frame } else { frame.moved_to(frame.point(0.0, 0.0, -self.more)) };
        let outline = profile.segments().to_vec();
        let (tall, rounds) = (height + self.more, p.rounds());
        Primitive::rounded_prism(p.feature(), base, outline, tall, slope.atan(), ends, rounds).map(Some)
    }
}

/// A turned outline whose flat end is put out.
fn longer(profile: &Profile, high: bool, more: f64) -> Vec<Segment> {
    let (lo, hi) = profile.extent();
    let (end, by) = if high { (hi.y, more) } else { (lo.y, -more) };
    let put = |q: P2| if (q.y - end).abs() < SNAP { P2::new(q.x, q.y + by) } else { q };
    let moved = |s: &Segment| Segment { from: put(s.from), to: put(s.to), ..s.clone() };
    profile.segments().iter().map(moved).collect()
}

/// A body with its end put out where it overhangs; others as they are.
pub(super) fn put_out(p: &Primitive, all: &[Overhang]) -> Result<Primitive, PrimitiveError> {
    for overhang in all {
        if let Some(longer) = overhang.put_out(p)? {
            return Ok(longer);
        }
    }
    Ok(p.clone())
}
