//! Machined faces moved outwards by their stock; holes too small for a core left out.

use super::{AsCast, Size, Stocked};
use crate::geometry::{Frame, P2, V2, V3};
use crate::solid::{Finish, Primitive, PrimitiveError, Segment, Tag};
use crate::tolerance::SNAP;

/// Whether a face is cut on a machine. The end of a sender boss is faced whole by its spot face.
fn machined(tag: &Tag) -> bool {
    tag.finish == Finish::Machined || (tag.feature.as_ref() == "sender_boss" && tag.role.as_ref() == "end")
}

/// A body with stock on its machined faces.
pub(super) fn on_body(
    p: &Primitive,
    mould: &AsCast,
    out: &mut Vec<Stocked>,
) -> Result<Primitive, PrimitiveError> {
    let Some((profile, prism)) = p.shape() else { return Ok(p.clone()) };
    let feature = p.patches().first().map_or("housing", |f| &*f.tag.feature).to_owned();
    let frame = *p.frame();
    let mut take = |tag: &Tag, size: Size, normal: V3| {
        if !machined(tag) {
            return 0.0;
        }
        let stock = (mould.stock)(tag, size, normal);
        out.push(Stocked { tag: tag.clone(), size, stock: Some(stock) });
        stock
    };
    let Some((height, slope)) = prism else {
        let moved = |s: &Segment| {
            let d = s.direction(0.5);
            let normal = frame.z * -d.x;
            let size = if flat(s) {
                Size::Face(at(&frame, s.from.y))
            } else {
                Size::Round(2.0 * s.from.x.max(s.to.x))
            };
            take(&s.tag, size, normal)
        };
        return Primitive::revolve(&feature, frame, shifted(&without_chamfers(profile.segments()), moved));
    };
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let far = |z: f64| Size::Face(at(&frame, z));
    let below = take(&ends[0], far(0.0), -frame.z);
    let above = take(&ends[1], far(height), frame.z);
    let base = frame.moved_to(frame.point(0.0, 0.0, -below));
    let wide = || profile.offset(-slope * below).map(|o| o.segments().to_vec());
    let outline = if below > 0.0 && slope != 0.0 { wide() } else { None };
    let outline = outline.unwrap_or_else(|| profile.segments().to_vec());
    let (tall, draft) = (height + below + above, slope.atan());
    Primitive::rounded_prism(&feature, base, outline, tall, draft, ends, p.rounds())
}

/// A machined hole with wider walls: `by` gives how much to add to a diameter. Others as they are.
pub(super) fn widened(p: &Primitive, by: &dyn Fn(f64) -> f64) -> Result<Primitive, PrimitiveError> {
    let Some((profile, None)) = p.shape() else { return Ok(p.clone()) };
    let wall = |s: &Segment| !flat(s) && s.arc.is_none() && machined(&s.tag);
    if !profile.segments().iter().any(wall) {
        return Ok(p.clone());
    }
    let feature = p.patches().first().map_or("housing", |f| &*f.tag.feature).to_owned();
    let shift = |s: &Segment| if wall(s) { 0.5 * by(s.from.x + s.to.x) } else { 0.0 };
    Primitive::revolve(&feature, *p.frame(), shifted(profile.segments(), shift))
}

/// A hole as a core makes it; `None` where it is cast solid.
pub(super) fn in_hole(
    p: &Primitive,
    mould: &AsCast,
    out: &mut Vec<Stocked>,
) -> Result<Option<Primitive>, PrimitiveError> {
    let cut: Vec<Tag> = p.patches().iter().map(|f| f.tag.clone()).filter(machined).collect();
    if cut.is_empty() {
        return longer(p).map(Some);
    }
    let solid = |out: &mut Vec<Stocked>| {
        let mut tags = cut.clone();
        tags.sort();
        tags.dedup();
        out.extend(tags.into_iter().map(|tag| Stocked { tag, size: Size::Bore(bore_of(p)), stock: None }));
        Ok(None)
    };
    let Some((profile, None)) = p.shape() else { return solid(out) };
    let spot = cut.iter().any(|t| t.role.contains("spot face"));
    let bore = bore_of(p);
    if spot || bore < mould.cored_above || !reaches_axis(profile.segments()) {
        return solid(out);
    }
    let frame = *p.frame();
    let mut rows = Vec::new();
    let mut moved = |s: &Segment| {
        if !machined(&s.tag) {
            return 0.0;
        }
        // Outward from the hole is into the metal: stock stands the other way.
        let normal = frame.z * s.direction(0.5).x;
        let size =
            if flat(s) { Size::Face(at(&frame, s.from.y)) } else { Size::Bore(2.0 * s.from.x.max(s.to.x)) };
        let stock = (mould.stock)(&s.tag, size, normal);
        if s.tag.role.ends_with(" start") {
            // The cutter's own start inside another hole.
            return -stock;
        }
        rows.push(Stocked { tag: s.tag.clone(), size, stock: Some(stock) });
        // The cutter's start outside the metal is no face.
        -stock
    };
    let plain = without_chamfers(&unrounded(profile.segments()));
    let narrowed = through(shifted(&plain, &mut moved), profile.extent(), [REACH, REACH]);
    let depth = profile.extent().1.y - profile.extent().0.y;
    match Primitive::revolve(&cut[0].feature, frame, narrowed) {
        // A shallow recess is all stock.
        Ok(hole) if depth > 3.0 * rows.iter().filter_map(|r| r.stock).fold(0.0, f64::max) => {
            out.extend(rows);
            Ok(Some(hole))
        }
        _ => solid(out),
    }
}

/// How far a core's body reaches over the end of its hole, mm: more than any stock. What it lies in beyond is another
/// hole, or no metal.
const REACH: f64 = 25.0;

/// A cast hole that reaches through the stock as well: the cavity ahead of the gearbox face, an opening over its pad.
fn longer(p: &Primitive) -> Result<Primitive, PrimitiveError> {
    let Some((profile, prism)) = p.shape() else { return Ok(p.clone()) };
    let ends: Vec<&Tag> = p.patches().iter().take(2).map(|f| &f.tag).collect();
    match prism {
        None if profile.extent().0.y < 0.0 => {
            let outline = through(profile.segments().to_vec(), profile.extent(), [REACH, 0.0]);
            Primitive::revolve(&ends[0].feature, *p.frame(), outline)
        }
        Some((height, slope)) if ends[1].role.as_ref() == "opening" => {
            let outline = profile.segments().to_vec();
            let ends = [ends[0].clone(), ends[1].clone()];
            Primitive::prism(
                &ends[0].feature.clone(),
                *p.frame(),
                outline,
                height + REACH,
                slope.atan(),
                ends,
            )
        }
        _ => Ok(p.clone()),
    }
}

/// A turned hole's outline with its lowest and highest flat ends put off by some lengths from where they were.
fn through(outline: Vec<Segment>, extent: (P2, P2), by: [f64; 2]) -> Vec<Segment> {
    let lowest = outline.iter().map(|s| s.from.y).fold(f64::INFINITY, f64::min);
    let highest = outline.iter().map(|s| s.from.y).fold(f64::NEG_INFINITY, f64::max);
    let put = |q: P2| {
        if by[0] > 0.0 && q.y < lowest + SNAP {
            P2::new(q.x, extent.0.y - by[0])
        } else if by[1] > 0.0 && q.y > highest - SNAP {
            P2::new(q.x, extent.1.y + by[1])
        } else {
            q
        }
    };
    outline.into_iter().map(|s| Segment { from: put(s.from), to: put(s.to), ..s }).collect()
}

/// Least diameter of a turned hole's walls; of a prism, zero.
fn bore_of(p: &Primitive) -> f64 {
    let Some((profile, None)) = p.shape() else { return 0.0 };
    let walls = profile.segments().iter().filter(|s| s.arc.is_none() && s.from.x > SNAP && !flat(s));
    walls.map(|s| 2.0 * s.from.x.min(s.to.x)).fold(f64::INFINITY, f64::min)
}

fn reaches_axis(outline: &[Segment]) -> bool {
    outline.iter().any(|s| s.from.x < SNAP)
}

/// Distance of a face square to an axis from the part's origin, along its own normal.
fn at(frame: &Frame, z: f64) -> f64 {
    frame.point(0.0, 0.0, z).coords.dot(&frame.z).abs()
}

/// Whether a piece of a turned profile sweeps a flat face.
fn flat(s: &Segment) -> bool {
    s.arc.is_none() && (s.to.y - s.from.y).abs() < SNAP
}

/// The outline without the arcs about the outward corners of its flat ends.
pub(super) fn unrounded(outline: &[Segment]) -> Vec<Segment> {
    let n = outline.len();
    let mut out: Vec<Segment> = outline.to_vec();
    for i in 0..n {
        let (a, b) = ((i + n - 1) % n, (i + 1) % n);
        let round = out[i].arc.is_some_and(|(_, ccw)| ccw);
        let lines = (flat(&out[a]) && out[b].arc.is_none()) || (out[a].arc.is_none() && flat(&out[b]));
        let Some(corner) = meeting(&out[a], &out[b]).filter(|_| round && lines) else { continue };
        let tangent = (corner - out[i].from).norm() - (corner - out[i].to).norm();
        if tangent.abs() < 1e-6 {
            (out[a].to, out[b].from) = (corner, corner);
            (out[i].from, out[i].to) = (corner, corner);
        }
    }
    out.retain(|s| (s.to - s.from).norm() > SNAP);
    out
}

/// A profile without its machined chamfers and lead-ins: no casting has them.
fn without_chamfers(outline: &[Segment]) -> Vec<Segment> {
    let n = outline.len();
    let mut out = outline.to_vec();
    for i in 0..n {
        let (a, b) = ((i + n - 1) % n, (i + 1) % n);
        let s = &out[i];
        let sloping = s.arc.is_none() && !flat(s) && (s.to.x - s.from.x).abs() > SNAP && machined(&s.tag);
        let Some(corner) = meeting(&out[a], &out[b]).filter(|_| sloping) else { continue };
        (out[a].to, out[b].from) = (corner, corner);
        (out[i].from, out[i].to) = (corner, corner);
    }
    out.retain(|s| (s.to - s.from).norm() > SNAP);
    out
}

/// Where two lines meet.
pub(super) fn meeting(a: &Segment, b: &Segment) -> Option<P2> {
    let (d, e) = (a.direction(0.5), b.direction(0.5));
    let cross = d.x * e.y - d.y * e.x;
    if cross.abs() < 1e-9 {
        return None;
    }
    let w = b.from - a.from;
    Some(a.from + d * ((w.x * e.y - w.y * e.x) / cross))
}

/// The outline with each line moved to its right by what `by` says; corners stay corners, pieces of the axis stay on it.
fn shifted(outline: &[Segment], mut by: impl FnMut(&Segment) -> f64) -> Vec<Segment> {
    let on_axis = |s: &Segment| s.from.x < SNAP && s.to.x < SNAP;
    let mut moved: Vec<Segment> = outline.to_vec();
    let shift: Vec<f64> =
        outline.iter().map(|s| if on_axis(s) || s.arc.is_some() { 0.0 } else { by(s) }).collect();
    for (s, by) in moved.iter_mut().zip(&shift) {
        let d = s.direction(0.5);
        let right = V2::new(d.y, -d.x) * *by;
        if s.arc.is_none() {
            (s.from, s.to) = (s.from + right, s.to + right);
        }
    }
    let n = moved.len();
    let mut out = moved.clone();
    for i in 0..n {
        let j = (i + 1) % n;
        if shift[i] == 0.0 && shift[j] == 0.0 {
            continue;
        }
        let corner = if moved[i].arc.is_none() && moved[j].arc.is_none() {
            meeting(&moved[i], &moved[j])
        } else {
            None
        };
        let corner = corner.unwrap_or(moved[j].from);
        (out[i].to, out[j].from) = (corner, corner);
    }
    // A piece that stock has eaten up runs backwards: its neighbours meet without it.
    for i in 0..n {
        let (a, b) = ((i + n - 1) % n, (i + 1) % n);
        let back = out[i].arc.is_none() && (out[i].to - out[i].from).dot(&outline[i].direction(0.5)) < SNAP;
        if back && let Some(corner) = meeting(&out[a], &out[b]) {
            (out[a].to, out[b].from) = (corner, corner);
            (out[i].from, out[i].to) = (corner, corner);
        }
    }
    out.retain(|s| (s.to - s.from).norm() > SNAP);
    out
}
