//! Primitives grown by a distance: where a ball's centre may not go.

use std::f64::consts::TAU;

use crate::geometry::{P2, V2};
use crate::solid::profile::{Profile, Segment, meeting};
use crate::solid::{Finish, Primitive, PrimitiveError};
use crate::tolerance::SNAP;

/// What a corner that points outwards becomes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Corners {
    /// An arc about the corner: the true distance.
    Round,
    /// Two lines run on until they meet: where walls lean, an arc would be no cone.
    Mitred,
}

/// The primitive grown by `by` mm on all sides. The edges around a prism's ends become round, as the true distance
/// has it, where the end is cast and the outline allows it; `sharp_ends` leaves them sharp. `None` where the outline can't be grown.
pub(super) fn grown(p: &Primitive, by: f64, sharp_ends: bool) -> Option<Result<Primitive, PrimitiveError>> {
    let feature = p.patches().first().map_or_else(|| "solid".into(), |f| f.tag.feature.clone());
    let (profile, prism) = p.shape()?;
    let frame = *p.frame();
    let Some((height, slope)) = prism else {
        let outline = outline(profile, by, Corners::Round, true)?;
        return Some(Primitive::turned(&feature, frame, outline, true));
    };
    let corners = if slope == 0.0 { Corners::Round } else { Corners::Mitred };
    // A leaning wall moves sideways by more; and the section is taken at the moved base.
    let sideways = by * (1.0 + slope * slope).sqrt() + slope * by;
    let section = outline(profile, sideways, corners, false)?;
    let base = frame.moved_to(frame.point(0.0, 0.0, -by));
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    // Cast ends get the true distance; the ball never rests on a machined one's edge.
    let cast = [0, 1].map(|k| ends[k].finish == Finish::Cast);
    let rounds = p.rounds();
    let radii = [0, 1].map(|k| if cast[k] || rounds[k] > 0.0 { rounds[k] + by } else { 0.0 });
    let (tall, draft) = (height + 2.0 * by, slope.atan());
    let sharp = || Primitive::prism(&feature, base, section.clone(), tall, draft, ends.clone());
    if sharp_ends {
        return Some(sharp());
    }
    let round = Primitive::rounded_prism(&feature, base, section.clone(), tall, draft, ends.clone(), radii);
    Some(round.or_else(|_| sharp()))
}

/// A closed outline, or one from the axis to the axis, grown to its right.
fn outline(profile: &Profile, by: f64, corners: Corners, about_axis: bool) -> Option<Vec<Segment>> {
    let on_axis = |s: &Segment| about_axis && s.arc.is_none() && s.from.x < SNAP && s.to.x < SNAP;
    let all = profile.segments();
    let n = all.len();
    let start = (0..n).find(|i| !on_axis(&all[*i]) && on_axis(&all[(i + n - 1) % n]));
    let open = start.is_some();
    let start = start.unwrap_or(0);
    let originals: Vec<&Segment> =
        (0..n).map(|i| &all[(start + i) % n]).take_while(|s| !on_axis(s)).collect();
    // The axis may be touched once.
    if all.iter().filter(|s| on_axis(s)).count() + originals.len() != n {
        return None;
    }
    let mut pieces = moved(&originals, by, corners, open)?;
    trim(&mut pieces, open)?;
    if open {
        cap_at_axis(&mut pieces, &originals, by);
    }
    let mut out: Vec<Segment> = pieces.into_iter().map(|p| p.segment).collect();
    if open {
        let (first, last) = (out[0].from, out[out.len() - 1].to);
        let tag = out[0].tag.clone();
        out.push(Segment { from: P2::new(0.0, last.y), to: P2::new(0.0, first.y), arc: None, tag });
    }
    Some(out)
}

/// A moved piece, with whether it must be cut where it meets the next one.
struct Piece {
    segment: Segment,
    /// Sweep of the arc before any cutting.
    sweep: f64,
    cut_after: bool,
}

fn sweep_of(s: &Segment) -> f64 {
    if s.arc.is_some() { s.sweep().1.abs() } else { 0.0 }
}

fn moved(originals: &[&Segment], by: f64, corners: Corners, open: bool) -> Option<Vec<Piece>> {
    let n = originals.len();
    let mut out: Vec<Piece> = Vec::new();
    for (i, s) in originals.iter().enumerate() {
        let right = |d: V2| V2::new(d.y, -d.x) * by;
        let mut piece = (*s).clone();
        let mut gone = false;
        match s.arc {
            None => {
                piece.from = s.from + right(s.direction(0.0));
                piece.to = s.to + right(s.direction(0.0));
            }
            Some((c, ccw)) => {
                let old = s.radius();
                let radius = if ccw { old + by } else { old - by };
                gone = radius <= 10.0 * SNAP;
                piece.from = c + (s.from - c) * (radius / old);
                piece.to = c + (s.to - c) * (radius / old);
            }
        }
        if gone {
            // What is next to it meets directly.
            if let Some(last) = out.last_mut() {
                last.cut_after = true;
            } else {
                return None;
            }
            continue;
        }
        let last = i + 1 == n;
        let next = if last && open { None } else { Some(originals[(i + 1) % n]) };
        let sweep = sweep_of(&piece);
        let (to, tag) = (piece.to, piece.tag.clone());
        let mut cut_after = false;
        let mut extra = None;
        if let Some(next) = next {
            let (d, e) = (s.direction(1.0), next.direction(0.0));
            let turn = d.x * e.y - d.y * e.x;
            if turn.abs() < 1e-9 && d.dot(&e) > 0.0 {
                // Tangent: ends meet.
            } else if turn < 0.0 || corners == Corners::Mitred {
                if turn > 0.0 && (s.arc.is_some() || next.arc.is_some()) {
                    return None;
                }
                cut_after = true;
            } else {
                let end = s.to + right(e);
                extra = Some(Segment { from: to, to: end, arc: Some((s.to, true)), tag });
            }
        }
        out.push(Piece { segment: piece, sweep, cut_after });
        if let Some(segment) = extra {
            let sweep = sweep_of(&segment);
            out.push(Piece { segment, sweep, cut_after: false });
        }
    }
    (out.len() > 1).then_some(out)
}

/// Cuts neighbours where they meet; pieces that vanish between two cuts are taken out.
fn trim(pieces: &mut Vec<Piece>, open: bool) -> Option<()> {
    for _ in 0..=pieces.len() {
        let n = pieces.len();
        if n < 2 {
            return None;
        }
        let mut ends: Vec<(P2, P2)> = pieces.iter().map(|p| (p.segment.from, p.segment.to)).collect();
        for i in 0..n {
            let j = (i + 1) % n;
            if !pieces[i].cut_after || (open && j == 0) {
                continue;
            }
            let (a, b) = (&pieces[i].segment, &pieces[j].segment);
            let middle = nalgebra::center(&a.to, &b.from);
            let at = meeting(a, b)
                .into_iter()
                .min_by(|p, q| (p - middle).norm().total_cmp(&(q - middle).norm()))?;
            ends[i].1 = at;
            ends[j].0 = at;
        }
        let bad = (0..n).find(|i| !runs_on(&pieces[*i], ends[*i]));
        let Some(bad) = bad else {
            for (p, (from, to)) in pieces.iter_mut().zip(ends) {
                p.segment.from = from;
                p.segment.to = to;
            }
            return Some(());
        };
        if open && (bad == 0 || bad + 1 == n) {
            return None;
        }
        pieces.remove(bad);
        let before = (bad + n - 2) % (n - 1);
        pieces[before].cut_after = true;
    }
    None
}

/// Whether a piece still runs forwards between its new ends.
fn runs_on(p: &Piece, (from, to): (P2, P2)) -> bool {
    let s = &p.segment;
    if s.arc.is_none() {
        (to - from).dot(&s.direction(0.0)) > SNAP
    } else {
        let cut = Segment { from, to, ..s.clone() };
        let sweep = sweep_of(&cut);
        sweep > 1e-7 && sweep <= p.sweep.min(TAU - 1e-6) + 1e-7
    }
}

/// Round caps about the points where a leaning outline starts and ends on the axis.
fn cap_at_axis(pieces: &mut Vec<Piece>, originals: &[&Segment], by: f64) {
    let first = pieces[0].segment.clone();
    if first.from.x > SNAP {
        let c = originals[0].from;
        let from = P2::new(0.0, c.y - by);
        let segment = Segment { from, to: first.from, arc: Some((c, true)), tag: first.tag };
        pieces.insert(0, Piece { sweep: 0.0, segment, cut_after: false });
    }
    let last = pieces[pieces.len() - 1].segment.clone();
    if last.to.x > SNAP {
        let c = originals[originals.len() - 1].to;
        let to = P2::new(0.0, c.y + by);
        let segment = Segment { from: last.to, to, arc: Some((c, true)), tag: last.tag };
        pieces.push(Piece { sweep: 0.0, segment, cut_after: false });
    }
}
