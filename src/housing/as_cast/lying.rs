//! Bodies whose axis lies in the parting plane: turned ones and prisms.

use super::LEAST_MOVED;
use super::draft::{Mould, OVERLAP, RIDGE, Sense, far};
use super::stock::unrounded;
use super::upright::{Parting, leaning_sides};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, Plane, V2, V3};
use solidwright::solid::{
    Cap, Primitive, PrimitiveError, Profile, Segment, Tag, circle, leaning, round_corners,
};
use solidwright::tolerance::SNAP;

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

impl Disc {
    /// Whether it is a cylinder with one name.
    fn is_plain(&self) -> bool {
        let wall =
            |w: &Segment| w.arc.is_none() && w.tag == self.walls[0].tag && (w.to.x - w.from.x).abs() < SNAP;
        self.walls.iter().all(wall)
    }
}

/// A turned body whose axis lies in the parting plane. Its rounds leave the mould as they are; its flat faces are turned
/// to cones, as on a turned pattern: the whole draft at the crown, nothing in the parting plane, as the rounds have it.
/// Those that a prism is flush with become planes that lean away from the parting plane.
pub(super) fn lying_turned(p: &Primitive, mould: &Mould) -> Result<Vec<Primitive>, PrimitiveError> {
    let Some((profile, _)) = p.shape() else { return Ok(vec![p.clone()]) };
    let flush = |s: &Segment| mould.sense == Sense::Body && mould.reaches.contains_key(&s.tag);
    let outline = coned(profile.segments(), mould.draft.tan(), mould.sense, &flush);
    if !profile.segments().iter().any(|s| leans(s) && flush(s)) {
        return Ok(vec![Primitive::revolve(p.feature(), *p.frame(), outline)?]);
    }
    // Corners of the other faces stay rounded; those of plain cylinders are rounded as prisms.
    let plain = |found: &Vec<Disc>| found.iter().all(Disc::is_plain);
    let found = discs(&unrounded(profile.segments())).filter(plain);
    let Some(discs) = found.or_else(|| discs(&unrounded(&outline))) else { return Ok(vec![p.clone()]) };
    let frame = *p.frame();
    discs.iter().map(|d| disc(Feature::of_body(p), d, &frame, mould)).collect()
}

/// A turned profile whose flat pieces lean, but for those that `stay`: bodies grow towards the axis, cores shrink away from it. Rounded corners
/// stay rounded by their radius.
fn coned(outline: &[Segment], slope: f64, sense: Sense, stay: &dyn Fn(&Segment) -> bool) -> Vec<Segment> {
    let (lines, radii) = corners(outline);
    let n = lines.len();
    let mut out = lines.clone();
    let tilts = |s: &Segment| leans(s) && !stay(s);
    for (i, s) in lines.iter().enumerate().filter(|(_, s)| tilts(s)) {
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
        let (a, b) = (tilts(&lines[i]), tilts(&lines[j]));
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
pub(super) fn corners(outline: &[Segment]) -> (Vec<Segment>, Vec<f64>) {
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
    if d.is_plain() {
        let outline = circle(P2::origin(), low.x, &first.tag);
        let base = frame.moved_to(at(bottom.y));
        let body =
            Primitive::prism(feature.name(), base, outline, top.y - bottom.y, 0.0, [name(0), name(1)])?;
        return Ok(body.capped(caps));
    }
    // A wall that is a tilted end starts or ends on the axis itself.
    let mut outline = Vec::new();
    if low.x > SNAP {
        outline.push(line(P2::new(0.0, bottom.y), bottom, &name(0)));
        outline.push(line(bottom, low, &first.tag));
    }
    outline.extend(d.walls.iter().cloned());
    if high.x > SNAP {
        outline.push(line(high, top, &last.tag));
        outline.push(line(top, P2::new(0.0, top.y), &name(1)));
    }
    let (start, end) = (outline[0].from, outline[outline.len() - 1].to);
    outline.push(line(end, start, &hidden));
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
pub(super) fn lying_prism(p: &Primitive, mould: &Mould) -> Result<Primitive, PrimitiveError> {
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
