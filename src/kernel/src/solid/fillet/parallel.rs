//! Outlines moved outwards by a distance, with arcs about their corners: the true parallel curve.
//!
//! Every piece is moved, whatever becomes of it; the pieces are cut wherever they cross; what comes closer to the
//! outline than the distance is dropped, and the rest hangs together again. So notches that fill up, arcs that
//! vanish, and neighbours of neighbours that meet need no special code.

use crate::geometry::{P2, V2};
use crate::solid::profile::Profile;
use crate::solid::segment::{Segment, meeting, reversed};
use crate::tolerance::{SAME, SAME_ANGLE, SNAP, TANGENT_SNAP};

/// The outline moved to its right by `by` mm; one `about_axis` is the half section of a turned body. `None` where nothing
/// closed remains: two walls exactly twice the distance apart.
pub(super) fn outline(profile: &Profile, by: f64, about_axis: bool) -> Option<Vec<Segment>> {
    let on_axis = |s: &Segment| about_axis && s.on_axis();
    let all = profile.segments();
    let n = all.len();
    let first = (0..n).find(|i| !on_axis(&all[*i]) && on_axis(&all[(i + n - 1) % n]));
    let open = first.is_some();
    let originals: Vec<&Segment> =
        (0..n).map(|i| &all[(first.unwrap_or(0) + i) % n]).take_while(|s| !on_axis(s)).collect();
    // The axis may be touched once.
    if all.iter().filter(|s| on_axis(s)).count() + originals.len() != n {
        return None;
    }
    let pieces = moved(&originals, by, open);
    let far = |s: &Segment| {
        let p = s.point(0.5);
        let near = originals.iter().map(|o| o.distance(p)).fold(f64::INFINITY, f64::min);
        near > by - SAME && (!about_axis || p.x > 0.0)
    };
    let kept: Vec<Segment> = cut(&pieces, about_axis).into_iter().filter(far).collect();
    if open { from_axis_to_axis(&kept) } else { outer_loop(&kept) }
}

/// The outline with inward corners that a circle of the radius fills: its closing. `None` where nothing changes.
pub(super) fn closing(profile: &Profile, radius: f64) -> Option<Vec<Segment>> {
    let all = profile.segments();
    let n = all.len();
    let sharp = |i: usize| {
        let (d, e) = (all[i].direction(1.0), all[(i + 1) % n].direction(0.0));
        d.x * e.y - d.y * e.x < -SAME_ANGLE
    };
    let tight = |s: &Segment| s.arc.is_some_and(|(_, ccw)| !ccw) && s.radius() < radius - SNAP;
    if !all.iter().any(tight) && !(0..n).any(sharp) {
        return None;
    }
    shrunk(&outline(profile, radius, false)?, radius)
}

/// The outline moved inwards, with arcs of the radius where it points inwards.
fn shrunk(offset: &[Segment], radius: f64) -> Option<Vec<Segment>> {
    let back: Vec<Segment> = reversed(offset);
    let refs: Vec<&Segment> = back.iter().collect();
    let pieces = moved(&refs, radius, false);
    let far = |s: &Segment| {
        let p = s.point(0.5);
        back.iter().map(|o| o.distance(p)).fold(f64::INFINITY, f64::min) > radius - SAME
    };
    let kept: Vec<Segment> = cut(&pieces, false).into_iter().filter(far).collect();
    outer_loop(&reversed(&kept))
}

/// The outline of overlapping shapes joined, with the inward corners between them filled by a circle of the radius. What
/// they enclose is filled as well. `None` where they don't hang together.
pub fn joined_closing(shapes: &[Profile], radius: f64) -> Option<Vec<Segment>> {
    let originals: Vec<&Segment> = shapes.iter().flat_map(Profile::segments).collect();
    let pieces: Vec<Segment> =
        shapes.iter().flat_map(|s| moved(&s.segments().iter().collect::<Vec<_>>(), radius, false)).collect();
    let far = |s: &Segment| {
        let p = s.point(0.5);
        let near = originals.iter().map(|o| o.distance(p)).fold(f64::INFINITY, f64::min);
        near > radius - SAME && !shapes.iter().any(|o| o.contains(p))
    };
    let kept: Vec<Segment> = cut(&pieces, false).into_iter().filter(far).collect();
    shrunk(&outer_loop(&kept)?, radius).map(merged)
}

/// The outline of the room that a ball of the radius, as a disc, can sweep inside an outline, a wall's thickness off it and clear
/// of islands: the hollow that walls and bosses leave, its corners rounded by the disc. Islands may overlap one another and the
/// outline. `None` where no disc fits; of several rooms, the largest.
pub fn room_within(outside: &Profile, wall: f64, islands: &[Profile], radius: f64) -> Option<Vec<Segment>> {
    let inwards = reversed(outside.segments());
    let mut pieces = moved(&inwards.iter().collect::<Vec<_>>(), wall + radius, false);
    for island in islands {
        pieces.extend(moved(&island.segments().iter().collect::<Vec<_>>(), radius, false));
    }
    // Where the disc's centre may be.
    let free = |p: P2| {
        outside.contains(p)
            && outside.distance(p) > wall + radius - SAME
            && islands.iter().all(|o| !o.contains(p) && o.distance(p) > radius - SAME)
    };
    let kept: Vec<Segment> = cut(&pieces, false).into_iter().filter(|s| free(s.point(0.5))).collect();
    let centers = Profile::new(merged(outer_loop(&reversed(&kept))?)).ok()?;
    outline(&centers, radius, false).map(merged)
}

/// Arcs that run on about one centre under one name made one.
fn merged(mut outline: Vec<Segment>) -> Vec<Segment> {
    let same = |a: &Segment, b: &Segment| match (a.arc, b.arc) {
        (Some((c, s)), Some((d, t))) => s == t && a.tag == b.tag && (c - d).norm() < SNAP,
        _ => false,
    };
    // Start where two pieces differ.
    let n = outline.len();
    let start = (0..n).find(|i| !same(&outline[(i + n - 1) % n], &outline[*i])).unwrap_or(0);
    outline.rotate_left(start);
    let mut out: Vec<Segment> = Vec::with_capacity(n);
    for s in outline {
        match out.last_mut().filter(|last| same(last, &s)) {
            Some(last) => last.to = s.to,
            None => out.push(s),
        }
    }
    out
}

/// All pieces and the arcs about outward corners, each moved by itself.
fn moved(originals: &[&Segment], by: f64, open: bool) -> Vec<Segment> {
    let right = |d: V2| V2::new(d.y, -d.x) * by;
    let n = originals.len();
    let mut out = Vec::with_capacity(2 * n + 2);
    let arc = |center: P2, from: P2, to: P2, of: &Segment| Segment {
        from,
        to,
        arc: Some((center, true)),
        tag: of.tag.clone(),
    };
    if open {
        let (s, d) = (originals[0], originals[0].direction(0.0));
        // A tip on the axis: round, as its mirror image meets it there.
        if right(d).x > SNAP {
            out.push(arc(s.from, s.from - V2::y() * by, s.from + right(d), s));
        }
    }
    for (i, s) in originals.iter().enumerate() {
        let mut piece = (*s).clone();
        let kept = match s.arc {
            None => {
                let shift = right(s.direction(0.0));
                (piece.from, piece.to) = (s.from + shift, s.to + shift);
                true
            }
            Some((c, ccw)) => {
                let scale = 1.0 + if ccw { by } else { -by } / s.radius();
                (piece.from, piece.to) = (c + (s.from - c) * scale, c + (s.to - c) * scale);
                scale * s.radius() > TANGENT_SNAP
            }
        };
        if kept {
            out.push(piece);
        }
        let d = s.direction(1.0);
        if i + 1 == n && open {
            if right(d).x > SNAP {
                out.push(arc(s.to, s.to + right(d), s.to + V2::y() * by, s));
            }
            continue;
        }
        let e = originals[(i + 1) % n].direction(0.0);
        let turn = d.x * e.y - d.y * e.x;
        if turn > SAME_ANGLE || (turn > -SAME_ANGLE && d.dot(&e) < 0.0) {
            out.push(arc(s.to, s.to + right(d), s.to + right(e), s));
        }
    }
    out
}

/// The pieces, cut wherever they meet one another, and at the axis.
fn cut(pieces: &[Segment], about_axis: bool) -> Vec<Segment> {
    let mut cuts: Vec<Vec<P2>> = vec![Vec::new(); pieces.len()];
    let on = |s: &Segment, p: P2| s.distance(p) < SNAP;
    for i in 0..pieces.len() {
        for j in 0..i {
            for p in meeting(&pieces[i], &pieces[j]) {
                if on(&pieces[i], p) && on(&pieces[j], p) {
                    cuts[i].push(p);
                    cuts[j].push(p);
                }
            }
        }
        if about_axis {
            let tag = pieces[i].tag.clone();
            let axis = Segment { from: P2::origin(), to: P2::new(0.0, 1.0), arc: None, tag };
            cuts[i].extend(meeting(&pieces[i], &axis).into_iter().filter(|p| on(&pieces[i], *p)));
        }
    }
    pieces.iter().zip(cuts).flat_map(|(s, at)| cut_one(s, at)).collect()
}

fn cut_one(s: &Segment, mut at: Vec<P2>) -> Vec<Segment> {
    at.retain(|p| (p - s.from).norm() > TANGENT_SNAP && (p - s.to).norm() > TANGENT_SNAP);
    let along = |p: &P2| Segment { to: *p, ..s.clone() }.length();
    at.sort_by(|p, q| along(p).total_cmp(&along(q)));
    at.dedup_by(|p, q| (*p - *q).norm() < TANGENT_SNAP);
    at.insert(0, s.from);
    at.push(s.to);
    at.windows(2).map(|w| Segment { from: w[0], to: w[1], ..s.clone() }).collect()
}

/// Follows the pieces from one; gives them with the numbers of those used.
fn follow(start: usize, pieces: &[Segment], done: impl Fn(&Segment) -> bool) -> Option<Vec<usize>> {
    let mut way = vec![start];
    loop {
        let here = &pieces[way[way.len() - 1]];
        if done(here) {
            return Some(way);
        }
        let next = (0..pieces.len())
            .find(|k| (pieces[*k].from - here.to).norm() < TANGENT_SNAP && !way.contains(k))?;
        way.push(next);
    }
}

/// Pieces in order, their ends made one.
fn joined(way: &[usize], pieces: &[Segment], closed: bool) -> Vec<Segment> {
    let mut out: Vec<Segment> = way.iter().map(|k| pieces[*k].clone()).collect();
    for i in 1..out.len() {
        out[i - 1].to = out[i].from;
    }
    if closed && let Some(start) = out.first().map(|s| s.from) {
        let last = out.len() - 1;
        out[last].to = start;
    }
    out
}

fn from_axis_to_axis(pieces: &[Segment]) -> Option<Vec<Segment>> {
    let starts = (0..pieces.len()).filter(|i| pieces[*i].from.x.abs() < TANGENT_SNAP);
    let start = starts.min_by(|a, b| pieces[*a].from.y.total_cmp(&pieces[*b].from.y))?;
    let way = follow(start, pieces, |s| s.to.x.abs() < TANGENT_SNAP)?;
    let mut out = joined(&way, pieces, false);
    let last = out.len() - 1;
    (out[0].from.x, out[last].to.x) = (0.0, 0.0);
    let (bottom, top, tag) = (out[0].from, out[last].to, out[0].tag.clone());
    out.push(Segment { from: top, to: bottom, arc: None, tag });
    (top.y > bottom.y).then_some(out)
}

/// The loop around the largest area: others are hollows that a ball can't leave.
fn outer_loop(pieces: &[Segment]) -> Option<Vec<Segment>> {
    let mut left: Vec<usize> = (0..pieces.len()).collect();
    let mut best: Option<(f64, Vec<Segment>)> = None;
    while let Some(start) = left.first().copied() {
        let from = pieces[start].from;
        let way = follow(start, pieces, |s| (s.to - from).norm() < TANGENT_SNAP);
        left.retain(|k| *k != start && way.as_ref().is_none_or(|w| !w.contains(k)));
        let Some(way) = way else { continue };
        let closed = joined(&way, pieces, true);
        let area = closed.iter().map(Segment::twice_area).sum::<f64>();
        if best.as_ref().is_none_or(|b| area > b.0) {
            best = Some((area, closed));
        }
    }
    best.map(|b| b.1)
}

#[cfg(test)]
#[path = "parallel_tests.rs"]
mod tests;
