//! Outlines of prisms that lie in the mould: sides that stand upright there are made to lean.

use super::LEAST_MOVED;
use super::draft::{RIDGE, Sense};
use solidwright::geometry::{P2, V2};
use solidwright::solid::{Profile, Segment, round_corners};
use solidwright::tolerance::SNAP;

/// The parting plane as an outline's own plane sees it.
#[derive(Clone, Copy)]
pub(super) struct Parting {
    /// Away from it, in the outline's plane.
    pub(super) up: V2,
    /// Height of the outline's origin over it, mm.
    pub(super) level: f64,
    /// Radians.
    pub(super) draft: f64,
    pub(super) sense: Sense,
}

impl Parting {
    fn height(&self, q: P2) -> f64 {
        self.level + q.coords.dot(&self.up)
    }

    /// Whether a line leans less than the draft.
    fn upright(&self, s: &Segment) -> bool {
        let d = s.direction(0.5);
        let off = (d.x * self.up.y - d.y * self.up.x).abs();
        s.arc.is_none() && off < (self.draft - 1e-6).sin() && self.moves(s) > LEAST_MOVED
    }

    /// How far the draft moves a side's ends apart.
    fn moves(&self, s: &Segment) -> f64 {
        let (a, b) = (self.height(s.from), self.height(s.to));
        let run = if a * b < 0.0 { a.abs().max(b.abs()) } else { (a - b).abs() };
        run * self.draft.tan()
    }
}

/// What a leaning side keeps touching at an end: the arc there, or a corner as an arc of no radius.
#[derive(Clone, Copy)]
struct Held {
    center: P2,
    /// Negative where the metal lies outside the circle.
    radius: f64,
}

impl Held {
    /// The line of an outward normal that touches it: its distance from the origin.
    fn line(&self, normal: V2) -> f64 {
        self.center.coords.dot(&normal) + self.radius
    }

    /// Where a line from a point outside touches it, on the side `outwards`.
    fn touched_from(&self, p: P2, outwards: V2) -> P2 {
        let towards = p - self.center;
        let turn = (self.radius / towards.norm()).clamp(-1.0, 1.0).acos();
        let (sin, cos) = turn.sin_cos();
        let to = towards.normalize();
        let sides = [1.0, -1.0].map(|k| V2::new(to.x * cos - k * to.y * sin, k * to.x * sin + to.y * cos));
        let normal = if sides[0].dot(&outwards) >= sides[1].dot(&outwards) { sides[0] } else { sides[1] };
        self.center + normal * self.radius
    }
}

/// The outline with its upright sides leaning; none where nothing changes. Bodies stay as they are far from the parting
/// plane and grow towards it, cores stay near it and shrink away from it. A side that passes through it becomes two that
/// meet there in a ridge. A side whose neighbour leaves it no room stays upright.
pub(super) fn leaning_sides(outline: &[Segment], parting: &Parting) -> Option<Vec<Segment>> {
    let mut out = outline.to_vec();
    let mut rounds: Vec<(P2, f64)> = Vec::new();
    let mut changed = false;
    let mut i = 0;
    while i < out.len() {
        let mut more = rounds.clone();
        if parting.upright(&out[i])
            && let Some((next, skipped)) = lean(&out, i, parting, &mut more)
            && Profile::new(rounded(&next, &more)).is_ok()
        {
            (out, rounds, changed) = (next, more, true);
            i += skipped;
        }
        i += 1;
    }
    changed.then(|| rounded(&out, &rounds))
}

/// The outline with its corners rounded. Beside a ridge, whose arc is short, [`round_corners`] gives a corner less than half of its line
/// and so a smaller radius; a core's corner would then reach beyond the part's. So all arcs have their radii where they have room together.
fn rounded(outline: &[Segment], rounds: &[(P2, f64)]) -> Vec<Segment> {
    let asked =
        |at: P2| rounds.iter().find(|(p, _)| (p - at).norm() < SNAP).map_or(0.0, |(_, radius)| *radius);
    in_full(outline, &asked).unwrap_or_else(|| round_corners(outline, &|c| asked(c.before.to)))
}

/// Lines that turn by less run on straight, radians.
const STRAIGHT: f64 = 1e-9;

/// The outline with arcs of just the radii asked for at its corners; none where a line has no room for its two.
fn in_full(outline: &[Segment], asked: &dyn Fn(P2) -> f64) -> Option<Vec<Segment>> {
    let n = outline.len();
    // Each corner's tangent length and its turn, by the number of the line before it.
    let corner = |i: usize| {
        let (a, b) = (&outline[i], &outline[(i + 1) % n]);
        let (d, e) = (a.direction(1.0), b.direction(0.0));
        let turn = (d.x * e.y - d.y * e.x).atan2(d.dot(&e));
        let plain = a.arc.is_some() || b.arc.is_some() || turn.abs() < STRAIGHT;
        let radius = if plain { 0.0 } else { asked(a.to) };
        (radius * (0.5 * turn.abs()).tan(), radius * turn.signum())
    };
    let corners: Vec<(f64, f64)> = (0..n).map(corner).collect();
    let mut out = Vec::with_capacity(2 * n);
    for (i, line) in outline.iter().enumerate() {
        let (before, (after, signed)) = (corners[(i + n - 1) % n].0, corners[i]);
        if before + after <= 0.0 {
            out.push(line.clone());
            continue;
        }
        if before + after > (line.to - line.from).norm() - 10.0 * SNAP {
            return None;
        }
        let d = line.direction(0.5);
        let (from, to) = (line.from + d * before, line.to - d * after);
        out.push(Segment { from, to, ..line.clone() });
        if after > 0.0 {
            let next = line.to + outline[(i + 1) % n].direction(0.0) * after;
            let center = to + V2::new(-d.y, d.x) * signed;
            out.push(Segment {
                from: to,
                to: next,
                arc: Some((center, signed > 0.0)),
                tag: line.tag.clone(),
            });
        }
    }
    Some(out)
}

/// The outline with side `i` leaning, and how many more sides that gives.
fn lean(
    outline: &[Segment],
    i: usize,
    parting: &Parting,
    rounds: &mut Vec<(P2, f64)>,
) -> Option<(Vec<Segment>, usize)> {
    let side = &outline[i];
    let heights = [parting.height(side.from), parting.height(side.to)];
    let d = side.direction(0.5);
    let right = V2::new(d.y, -d.x);
    let level = (right - parting.up * right.dot(&parting.up)).normalize();
    let (sin, cos) = parting.draft.sin_cos();
    let normal = |height: f64| level * cos + parting.up * (height.signum() * sin);
    // Where a line of that normal passes through the parting plane, across it.
    let across = |k: f64, height: f64| (k + parting.level * height.signum() * sin) / cos;
    let through = heights[0] * heights[1] < 0.0;
    if !through {
        let far = usize::from(heights[1].abs() > heights[0].abs());
        let fixed = if parting.sense == Sense::Body { far } else { 1 - far };
        let n = normal(heights[far]);
        let touch = held(outline, i, fixed)?;
        let line = Line { on: touch.center + n * touch.radius, along: V2::new(-n.y, n.x) };
        return Some((ended(outline, i, fixed, &line, rounds)?, 0));
    }
    let foot = |u: f64| P2::from(level * u - parting.up * parting.level);
    if parting.sense == Sense::Core {
        let share = heights[0] / (heights[0] - heights[1]);
        let ridge = side.point(share);
        return Some((split(outline, i, ridge, heights.map(normal), rounds)?, 1));
    }
    let touches = [held(outline, i, 0)?, held(outline, i, 1)?];
    let reach = |k: usize| across(touches[k].line(normal(heights[k])), heights[k]);
    let ridge = foot(reach(0).max(reach(1)));
    let ends = touches.map(|t| t.touched_from(ridge, level));
    rounds.push((ridge, RIDGE));
    let mut out = outline.to_vec();
    let n = out.len();
    set_arc_end(&mut out[(i + n - 1) % n], false, ends[0])?;
    set_arc_end(&mut out[(i + 1) % n], true, ends[1])?;
    let side = side.clone();
    out.splice(
        i..=i,
        [Segment { from: ends[0], to: ridge, ..side.clone() }, Segment { from: ridge, to: ends[1], ..side }],
    );
    Some((out, 1))
}

struct Line {
    on: P2,
    along: V2,
}

impl Line {
    fn crossing(&self, s: &Segment) -> Option<P2> {
        let d = s.direction(0.5);
        let det = self.along.x * d.y - self.along.y * d.x;
        let w = s.from - self.on;
        (det.abs() > 1e-6).then(|| self.on + self.along * ((w.x * d.y - w.y * d.x) / det))
    }
}

/// What is at an end of side `i`; none where it is an arc that the side does not touch.
fn held(outline: &[Segment], i: usize, end: usize) -> Option<Held> {
    let n = outline.len();
    let (side, next) = (&outline[i], &outline[if end == 0 { (i + n - 1) % n } else { (i + 1) % n }]);
    let corner = if end == 0 { side.from } else { side.to };
    let Some((center, ccw)) = next.arc else { return Some(Held { center: corner, radius: 0.0 }) };
    let across = (corner - center).normalize();
    let smooth = across.dot(&side.direction(0.5)).abs() < 1e-6;
    let radius = if ccw { next.radius() } else { -next.radius() };
    smooth.then_some(Held { center, radius })
}

/// Moves the end of an arc along its circle; lines and corners stay. None where nothing of the arc is left.
fn set_arc_end(s: &mut Segment, start: bool, to: P2) -> Option<()> {
    if s.arc.is_none() {
        return Some(());
    }
    let before = s.sweep().1;
    *(if start { &mut s.from } else { &mut s.to }) = to;
    let after = s.sweep().1;
    let sound = before * after > 0.0 && (after - before).abs() < 0.35 && (s.to - s.from).norm() > 10.0 * SNAP;
    sound.then_some(())
}

/// Side `i` moved into a line: at its fixed end it touches what it touched, at the other it runs on to the next line.
fn ended(
    outline: &[Segment],
    i: usize,
    fixed: usize,
    line: &Line,
    rounds: &mut Vec<(P2, f64)>,
) -> Option<Vec<Segment>> {
    let mut out = outline.to_vec();
    let n = out.len();
    let at = if fixed == 0 { (i + n - 1) % n } else { (i + 1) % n };
    set_arc_end(&mut out[at], fixed == 1, line.on)?;
    *(if fixed == 0 { &mut out[i].from } else { &mut out[i].to }) = line.on;
    run_on(&mut out, i, 1 - fixed, line, rounds)?;
    out.retain(|s| (s.to - s.from).norm() > SNAP);
    Some(out)
}

/// The free end of side `i` runs on in a line to the next line; an arc between is left for rounding.
fn run_on(out: &mut [Segment], i: usize, end: usize, line: &Line, rounds: &mut Vec<(P2, f64)>) -> Option<()> {
    let n = out.len();
    let step = |k: usize| if end == 0 { (k + n - 1) % n } else { (k + 1) % n };
    let mut next = step(i);
    let mut radius = 0.0;
    if out[next].arc.is_some() {
        radius = out[next].radius();
        let arc = next;
        next = step(next);
        let corner = out[next].arc.is_none().then(|| line.crossing(&out[next])).flatten()?;
        (out[arc].from, out[arc].to, out[arc].arc) = (corner, corner, None);
    }
    if out[next].arc.is_some() {
        return None;
    }
    let corner = line.crossing(&out[next])?;
    if end == 0 {
        (out[i].from, out[next].to) = (corner, corner);
    } else {
        (out[i].to, out[next].from) = (corner, corner);
    }
    rounds.push((corner, radius));
    Some(())
}

/// Side `i` as two that meet at a ridge on it and run on to their neighbours.
fn split(
    outline: &[Segment],
    i: usize,
    ridge: P2,
    normals: [V2; 2],
    rounds: &mut Vec<(P2, f64)>,
) -> Option<Vec<Segment>> {
    let mut out = outline.to_vec();
    let side = out[i].clone();
    out.splice(i..=i, [Segment { to: ridge, ..side.clone() }, Segment { from: ridge, ..side }]);
    rounds.push((ridge, RIDGE));
    for (k, normal) in normals.into_iter().enumerate() {
        let line = Line { on: ridge, along: V2::new(-normal.y, normal.x) };
        run_on(&mut out, i + k, k, &line, rounds)?;
    }
    out.retain(|s| (s.to - s.from).norm() > SNAP);
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::faces::{Feature, Role};
    use solidwright::solid::rounded_rectangle;

    /// A core of 32 × 39 mm with corners of 6 mm, 9.5 mm of it above the parting plane: drafted, it lies in itself, in its corners too.
    #[test]
    fn a_drafted_core_keeps_within_its_rounded_corners() {
        let tag = Feature::ShiftBoxPad.formed(Role::Opening);
        let outline = rounded_rectangle(P2::origin(), V2::new(32.0, 39.0), 6.0, &tag);
        let parting =
            Parting { up: V2::new(0.0, 1.0), level: -10.0, draft: 2_f64.to_radians(), sense: Sense::Core };
        let leaning = leaning_sides(&outline, &parting).expect("upright sides lean");
        let [whole, drafted] = [outline, leaning].map(|o| Profile::new(o).expect("an outline"));
        assert!(drafted.area() < whole.area() - 1.0, "{} of {}", drafted.area(), whole.area());
        for s in drafted.segments() {
            for p in (0..=20).map(|k| s.point(f64::from(k) / 20.0)) {
                let off = whole.distance(p);
                assert!(whole.contains(p) || off.abs() < 1e-9, "{p} lies {off} mm outside");
            }
        }
    }
}
