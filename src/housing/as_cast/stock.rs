//! Machined faces moved outwards by their stock; holes too small for a core left out.

use super::{AsCast, Metal, Size, StockedFace};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Finish, Primitive, PrimitiveError, Profile, Segment, Tag, without};
use solidwright::tolerance::SNAP;

/// Whether a face is cut on a machine. The end of a sender boss is faced whole by its spot face.
pub(super) fn machined(tag: &Tag) -> bool {
    tag.finish == Finish::Cut || (Feature::of(tag) == Feature::SenderBoss && Role::of(tag) == Role::End)
}

/// A body with stock on its machined faces.
pub(super) fn on_body(
    p: &Primitive,
    mould: &AsCast,
    out: &mut Vec<StockedFace>,
) -> Result<Primitive, PrimitiveError> {
    let Some((profile, prism)) = p.shape() else { return Ok(p.clone()) };
    let frame = *p.frame();
    let mut take = |tag: &Tag, size: Size, normal: V3| {
        if !machined(tag) {
            return 0.0;
        }
        let stock = (mould.stock)(size, normal);
        out.push(StockedFace { tag: tag.clone(), size, stock: Some(stock), put_out: 0.0 });
        stock
    };
    let Some((height, slope)) = prism else {
        let moved = |s: &Segment| {
            let d = s.direction(0.5);
            let normal = frame.z * -d.x;
            let size = if s.is_flat() {
                flat_size(mould, &s.tag, &frame, s.from.y, normal)
            } else {
                Size::Round(2.0 * s.from.x.max(s.to.x))
            };
            take(&s.tag, size, normal)
        };
        return Primitive::revolve(p.feature(), frame, shifted(&without_chamfers(profile.segments()), moved));
    };
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let far = |tag: &Tag, z: f64, normal: V3| flat_size(mould, tag, &frame, z, normal);
    let below = take(&ends[0], far(&ends[0], 0.0, -frame.z), -frame.z);
    let above = take(&ends[1], far(&ends[1], height, frame.z), frame.z);
    let base = frame.moved_to(frame.point(0.0, 0.0, -below));
    let wide = || profile.offset(-slope * below).map(|o| o.segments().to_vec());
    let outline = if below > 0.0 && slope != 0.0 { wide() } else { None };
    let outline = outline.unwrap_or_else(|| profile.segments().to_vec());
    let (tall, draft) = (height + below + above, slope.atan());
    Primitive::rounded_prism(p.feature(), base, outline, tall, draft, ends, p.rounds())
}

/// A machined hole with wider walls, as printers need them: `by` gives how much to add to a diameter, mm. Other primitives
/// stay as they are.
///
/// # Errors
/// A profile that crosses itself when widened.
pub fn widened(p: &Primitive, by: &dyn Fn(f64) -> f64) -> Result<Primitive, PrimitiveError> {
    let Some((profile, None)) = p.shape() else { return Ok(p.clone()) };
    let wall = |s: &Segment| !s.is_flat() && s.arc.is_none() && machined(&s.tag);
    if !profile.segments().iter().any(wall) {
        return Ok(p.clone());
    }
    let shift = |s: &Segment| if wall(s) { 0.5 * by(s.from.x + s.to.x) } else { 0.0 };
    Primitive::revolve(p.feature(), *p.frame(), shifted(profile.segments(), shift))
}

/// A hole as a core makes it; `None` where it is cast solid.
pub(super) fn in_hole(
    p: &Primitive,
    mould: &AsCast,
    metal: &Metal,
    out: &mut Vec<StockedFace>,
) -> Result<Option<Primitive>, PrimitiveError> {
    let mut cut: Vec<Tag> = p.patches().iter().map(|f| f.tag.clone()).filter(machined).collect();
    if cut.is_empty() {
        return longer(p).map(Some);
    }
    let cored = p.shape().filter(|(profile, prism)| {
        let spot = cut.iter().any(|t| Role::of(t).is_spot_face());
        let turned = prism.is_none() && reaches_axis(profile.segments());
        turned && !spot && bore_of(p) >= mould.cored_above && on_main_core(p, metal)
    });
    if let Some((hole, rows)) = cored.and_then(|(profile, _)| narrowed(p, profile, mould, metal)) {
        out.extend(rows);
        return Ok(Some(hole));
    }
    cut.sort();
    cut.dedup();
    out.extend(cut.into_iter().map(|tag| cast_solid(tag, bore_of(p))));
    Ok(None)
}

/// A face of a hole that the casting does not show, and the hole's diameter.
fn cast_solid(tag: Tag, diameter: f64) -> StockedFace {
    StockedFace { tag, size: Size::Bore(diameter), stock: None, put_out: 0.0 }
}

/// A turned hole with stock on its walls and floors, and their rows; `None` where it would be all stock.
fn narrowed(
    p: &Primitive,
    profile: &Profile,
    mould: &AsCast,
    metal: &Metal,
) -> Option<(Primitive, Vec<StockedFace>)> {
    let frame = *p.frame();
    let extent = profile.extent();
    let mouths =
        [(extent.0.y, -1.0), (extent.1.y, 1.0)].map(|(end, sense)| mouth(p, mould, metal, end, sense));
    let at_mouth = |y: f64| {
        let near = |k: usize, end: f64| mouths[k] > 0.0 && (y - end).abs() < SNAP;
        near(0, extent.0.y) || near(1, extent.1.y)
    };
    let mut rows = Vec::new();
    let mut moved = |s: &Segment| {
        // A mouth is no face.
        if !machined(&s.tag) || (s.is_flat() && at_mouth(s.from.y)) {
            return 0.0;
        }
        // Outward from the hole is into the metal: stock stands the other way.
        let normal = frame.z * s.direction(0.5).x;
        let size = if s.is_flat() {
            flat_size(mould, &s.tag, &frame, s.from.y, normal)
        } else {
            Size::Bore(2.0 * s.from.x.max(s.to.x))
        };
        let stock = (mould.stock)(size, normal);
        rows.push(StockedFace { tag: s.tag.clone(), size, stock: Some(stock), put_out: 0.0 });
        -stock
    };
    let plain = without_chamfers(&unrounded(profile.segments()));
    let (plain, filled) = without_shallow_steps(plain, &|s| {
        if machined(&s.tag) { (mould.stock)(Size::Bore(2.0 * s.from.x), frame.z) } else { 0.0 }
    });
    let outline = through(shifted(&plain, &mut moved), extent, mouths);
    // A shallow recess is all stock.
    let deep = extent.1.y - extent.0.y > 3.0 * rows.iter().filter_map(|r| r.stock).fold(0.0, f64::max);
    let hole = Primitive::revolve(p.feature(), frame, outline).ok()?;
    rows.extend(filled.into_iter().map(|(tag, wide)| cast_solid(tag, wide)));
    deep.then_some((hole, rows))
}

/// How many times its stock a step must be deep to be cored: else stock fills half of it or more.
const DEEP: f64 = 2.0;

/// The outline of a turned hole without steps at its ends that are wider than what is behind them, and so shallow that stock fills them: a recess
/// for a dust seal in the rear face. The narrower hole goes on to the end. With the names of what is filled, and the step's diameter.
fn without_shallow_steps(
    mut outline: Vec<Segment>,
    stock: &dyn Fn(&Segment) -> f64,
) -> (Vec<Segment>, Vec<(Tag, f64)>) {
    let mut filled = Vec::new();
    loop {
        let n = outline.len();
        let shallow = (0..n).find_map(|i| {
            let wall = &outline[i];
            let upright = !wall.is_flat() && !wall.on_axis() && wall.arc.is_none();
            let is_shallow = (wall.to.y - wall.from.y).abs() <= DEEP * stock(wall);
            // The floor lies behind the wall or ahead of it, the end on its other side, and what is narrower beyond the floor.
            let ways = [[n - 1, n - 2, 1], [1, 2, n - 1]].map(|way| way.map(|k| (i + k) % n));
            let opens = |way: &[usize; 3]| {
                let [floor, inner, end] = way.map(|k| &outline[k]);
                let plain = !inner.is_flat() && !inner.on_axis();
                let narrower = plain && inner.from.x.max(inner.to.x) < wall.from.x;
                floor.is_flat() && end.is_flat() && end.from.x.min(end.to.x) < SNAP && narrower
            };
            ways.into_iter().find(|way| upright && is_shallow && opens(way)).map(|way| (i, way))
        });
        let Some((wall, [floor, inner, end])) = shallow else { return (outline, filled) };
        let Some(corner) = outline[inner].crossing(&outline[end]) else { return (outline, filled) };
        let wide = 2.0 * outline[wall].from.x.max(outline[wall].to.x);
        filled.extend([floor, wall].map(|k| (outline[k].tag.clone(), wide)));
        if (inner + 1) % n == floor {
            (outline[inner].to, outline[end].from) = (corner, corner);
        } else {
            (outline[inner].from, outline[end].to) = (corner, corner);
        }
        let kept = outline.into_iter().enumerate().filter(|(k, _)| ![wall, floor].contains(k));
        outline = kept.map(|(_, s)| s).collect();
    }
}

/// How far a core's body reaches over the mouth of its hole, mm: more than any stock. What it lies in beyond is another
/// hole, or no metal.
pub(super) const REACH: f64 = 25.0;

/// Points of the disc at the end of a turned hole, in rings, as shares of its radius; none on the axis, where outlines
/// begin.
fn disc(frame: &Frame, radius: f64, z: f64) -> impl Iterator<Item = P3> {
    let frame = *frame;
    (0..4).flat_map(move |ring| {
        let r = radius * [0.03, 0.4, 0.75, 0.98][ring];
        (0..16).map(move |k| {
            let (s, c) = (std::f64::consts::FRAC_PI_8 * f64::from(k)).sin_cos();
            frame.point(r * c, r * s, z)
        })
    })
}

/// How far a hole as narrow as it is cast can be lengthened beyond one of its ends without entering metal, at most [`REACH`];
/// nothing for a blind end, whose bottom is a face. The finished hole may be wider than the mouth: where a fillet in the corner
/// of the cavity leaves less than the bore behind it, taking the mouth for a bottom with stock would close the cavity with a web.
fn mouth(p: &Primitive, mould: &AsCast, metal: &Metal, end: f64, sense: f64) -> f64 {
    const STEP: f64 = 0.5;
    let Some((profile, _)) = p.shape() else { return 0.0 };
    let at_end = profile.segments().iter().flat_map(|s| [s.from, s.to]).filter(|q| (q.y - end).abs() < SNAP);
    let finished = at_end.map(|q| q.x).fold(0.0, f64::max);
    let radius = (finished - (mould.stock)(Size::Bore(2.0 * finished), p.frame().x)).max(0.0);
    let free = |by: f64| disc(p.frame(), radius, end + sense * by).all(|q| !metal.at(q));
    if !free(0.01) {
        return 0.0;
    }
    let steps = (1..).map(|k| STEP * f64::from(k)).take_while(|by| *by <= REACH);
    steps.take_while(|by| free(*by)).last().unwrap_or(0.01)
}

/// Whether a hole's core hangs together with the cavity's: any other would need prints of its own.
fn on_main_core(p: &Primitive, metal: &Metal) -> bool {
    let Some((profile, _)) = p.shape() else { return false };
    let (frame, (lo, hi)) = (p.frame(), profile.extent());
    let along = (0..=40).map(|k| lo.y + (hi.y - lo.y) * f64::from(k) / 40.0);
    frame.is_about_x()
        || along.flat_map(|z| disc(frame, lo.x.max(0.5 * bore_of(p)), z)).any(|q| metal.hollow_at(q))
}

/// A cast hole that reaches through the stock as well: the cavity ahead of the gearbox face, an opening over its pad.
fn longer(p: &Primitive) -> Result<Primitive, PrimitiveError> {
    let Some((profile, prism)) = p.shape() else { return Ok(p.clone()) };
    let outline = profile.segments().to_vec();
    match (prism, p.patches()) {
        (None, _) if profile.extent().0.y < 0.0 => {
            Primitive::revolve(p.feature(), *p.frame(), through(outline, profile.extent(), [REACH, 0.0]))
        }
        (Some((height, slope)), [floor, mouth, ..]) if Role::of(&mouth.tag) == Role::Opening => {
            let ends = [floor.tag.clone(), mouth.tag.clone()];
            Primitive::prism(p.feature(), *p.frame(), outline, height + REACH, slope.atan(), ends)
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

/// Least diameter of a turned hole's walls, its drill point left out; of a prism, zero.
fn bore_of(p: &Primitive) -> f64 {
    let Some((profile, None)) = p.shape() else { return 0.0 };
    let walls =
        profile.segments().iter().filter(|s| s.arc.is_none() && s.from.x.min(s.to.x) > SNAP && !s.is_flat());
    walls.map(|s| 2.0 * s.from.x.min(s.to.x)).fold(f64::INFINITY, f64::min)
}

fn reaches_axis(outline: &[Segment]) -> bool {
    outline.iter().any(|s| s.from.x < SNAP)
}

/// The size that a person measures up to a face square to a body's axis, at a distance along it.
fn flat_size(mould: &AsCast, tag: &Tag, frame: &Frame, z: f64, normal: V3) -> Size {
    let middle = frame.point(0.0, 0.0, z);
    let across = V3::new(0.0, normal.y, normal.z);
    if across.norm() < SNAP {
        let length = Size::Length { station: middle.x, aft: normal.x.signum() };
        return if middle.x.abs() < SNAP { Size::Thickness(mould.flange) } else { length };
    }
    let radial = V3::new(0.0, middle.y, middle.z);
    let height = if Feature::of(tag) == Feature::SenderBoss {
        // Towards the point of the boss's axis that is nearest to the shaft axis.
        radial.dot(&across) / across.norm_squared()
    } else {
        radial.dot(&across) / across.norm()
    };
    Size::Height(height.abs())
}

/// The outline without the arcs about the outward corners of its flat ends.
pub(super) fn unrounded(outline: &[Segment]) -> Vec<Segment> {
    without(outline.to_vec(), |outline, i| {
        let (n, s) = (outline.len(), &outline[i]);
        let (before, after) = (&outline[(i + n - 1) % n], &outline[(i + 1) % n]);
        let round = s.arc.is_some_and(|(_, ccw)| ccw) && (before.is_flat() || after.is_flat());
        let tangent = |corner: P2| ((corner - s.from).norm() - (corner - s.to).norm()).abs() < 1e-6;
        round && before.crossing(after).is_some_and(tangent)
    })
}

/// A profile without its machined chamfers and lead-ins: no casting has them.
fn without_chamfers(outline: &[Segment]) -> Vec<Segment> {
    without(outline.to_vec(), |outline, i| {
        let s = &outline[i];
        s.arc.is_none() && !s.is_flat() && (s.to.x - s.from.x).abs() > SNAP && machined(&s.tag)
    })
}

/// The outline with each line moved to its right by what `by` says; corners stay corners, pieces of the axis stay on it.
fn shifted(outline: &[Segment], mut by: impl FnMut(&Segment) -> f64) -> Vec<Segment> {
    let mut out: Vec<Segment> = outline.to_vec();
    let shift: Vec<f64> =
        outline.iter().map(|s| if s.on_axis() || s.arc.is_some() { 0.0 } else { by(s) }).collect();
    for (s, by) in out.iter_mut().zip(&shift).filter(|(_, by)| **by != 0.0) {
        let d = s.direction(0.5);
        let right = V2::new(d.y, -d.x) * *by;
        (s.from, s.to) = (s.from + right, s.to + right);
    }
    let n = out.len();
    for i in 0..n {
        let j = (i + 1) % n;
        if shift[i] != 0.0 || shift[j] != 0.0 {
            let corner = out[i].crossing(&out[j]).unwrap_or(out[j].from);
            (out[i].to, out[j].from) = (corner, corner);
        }
    }
    // A piece that stock has eaten up runs backwards: its neighbours meet without it.
    without(out, |out, i| {
        out[i].arc.is_none() && (out[i].to - out[i].from).dot(&outline[i].direction(0.5)) < SNAP
    })
}
