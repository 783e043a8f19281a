//! Places where faces or edges of the finished solid touch without crossing.
//!
//! Where a curve touches a surface, or a surface another, and all faces there hang together around the place, nothing is
//! wrong: a bore may start right at a kink of the wall that it leaves. Such a place only has to be a corner ([`settle`]), at
//! which the faces about it can be told apart. Where a face runs on through the place that no edge there belongs to, the
//! metal (or the gap) between it and the others is nought thick ([`check`]).

use super::carrier::{Carrier, Carriers};
use super::edges::Edge;
use super::error::EvaluateError;
use super::scene::{Entry, Scene};
use super::vertex::{Corners, Graze};
use crate::geometry::{Frame, P3, Surface};
use crate::tolerance::{ON_SURFACE, TOUCH_REACH, TOUCH_STEP};

/// Within this of a corner on the touched surface, mm, a touch is the corner itself: where a curve runs smoothly from
/// one face into the next, the place is only known as well as a double root.
const NEAR_CORNER: f64 = 0.01;

/// Places about a touch at which a face is asked for, and where the first lies, radians: an odd angle, because surfaces
/// touch each other along round ones.
const PLACES: usize = 12;
const ODD_TURN: f64 = 0.2471;

/// How far about an unsolved touching point faces are looked for, mm: branches may be missing that far.
const UNSOLVED_REACHES: [f64; 4] = [TOUCH_REACH, 0.02, 0.2, 0.6];

/// A place where something touches a face.
pub(super) struct Touch {
    at: P3,
    /// The corner that stands there.
    corner: usize,
    /// Surfaces with a face at the place, which edges at the corner should belong to.
    faces: Vec<usize>,
    /// The curve that touches; none where two surfaces do.
    carrier: Option<usize>,
    /// The two surfaces that are named.
    pair: [usize; 2],
}

/// Makes corners of the places where a curve touches a surface with a face there, or two surfaces with faces touch.
pub(super) fn settle(scene: &Scene, carriers: &Carriers, corners: &mut Corners) -> Vec<Touch> {
    let mut out: Vec<Touch> = Vec::new();
    for (p, pair) in &carriers.touches {
        if pair.iter().all(|s| is_face(scene, *s, *p, TOUCH_REACH)) {
            let corner = corners.add(*p, pair);
            out.push(Touch { at: *p, corner, faces: pair.to_vec(), carrier: None, pair: *pair });
        }
    }
    for graze in std::mem::take(&mut corners.touches) {
        out.extend(of_curve(scene, carriers, corners, &graze));
    }
    out
}

/// A curve that touches a surface away from corners; nothing if the surface has no face there.
fn of_curve(scene: &Scene, carriers: &Carriers, corners: &mut Corners, graze: &Graze) -> Option<Touch> {
    let (c, surface) = (&carriers.list[graze.carrier], graze.surface);
    // Cuts between halves are no faults of the design, nor is touching one.
    let real = |s: &usize| scene.entries[*s].seam_of.is_none();
    let cut = !real(&surface) || c.surfaces.iter().filter(|s| real(s)).count() < 2;
    if cut || !scene.entries[surface].near(graze.at) {
        return None;
    }
    let at = nearest_to_crossing(c, &scene.entries[surface].surface, graze.at)?;
    if corners.on_within(at, NEAR_CORNER, surface) || !is_face(scene, surface, at, TOUCH_REACH) {
        return None;
    }
    let own = c.surfaces.iter().copied().find(real).unwrap_or(surface);
    let all: Vec<usize> = c.surfaces.iter().copied().chain([surface]).collect();
    let corner = corners.add(at, &all);
    Some(Touch { at, corner, faces: vec![surface], carrier: Some(graze.carrier), pair: [own, surface] })
}

/// The place near `p` at which the curve's distance from the surface is least: a simple root of that distance's slope,
/// where the distance itself has a double one.
fn nearest_to_crossing(c: &Carrier, surface: &Surface, p: P3) -> Option<P3> {
    let slope = |t: f64| surface.grad(c.point(t)).dot(&c.derivative(t));
    let start = c.param(p, TOUCH_REACH)?;
    let step = 0.1 * TOUCH_REACH / c.speed();
    let (mut t, mut u) = (start, start + step);
    let (mut here, mut there) = (slope(t), slope(u));
    for _ in 0..20 {
        let next = u - there * (u - t) / (there - here);
        // Both slopes are nought, or the search runs off: the place is known no better.
        if !next.is_finite() || (next - start).abs() * c.speed() > TOUCH_REACH {
            return Some(p);
        }
        (t, here, u) = (u, there, next);
        there = slope(u);
        if (u - t).abs() * c.speed() < 1e-12 {
            break;
        }
    }
    let at = c.point(u);
    Some(if surface.f(at).abs() <= 10.0 * ON_SURFACE { at } else { p })
}

/// A touching point that was not solved is a fault if both surfaces have a face there.
pub(super) fn check_unsolved(scene: &Scene, carriers: &Carriers) -> Result<(), EvaluateError> {
    for (p, pair) in &carriers.unsolved {
        if pair.iter().all(|s| UNSOLVED_REACHES.iter().any(|r| is_face(scene, *s, *p, *r))) {
            return Err(scene.tangent(*p, *pair));
        }
    }
    Ok(())
}

/// A touch is a fault if one of its faces runs on through the place: then no edge at the corner belongs to that face.
/// (That the faces of all edges at a corner hang together is seen to elsewhere.)
pub(super) fn check(
    scene: &Scene,
    carriers: &Carriers,
    touches: &[Touch],
    edges: &[Edge],
) -> Result<(), EvaluateError> {
    for touch in touches {
        let at_corner = || edges.iter().filter(|e| e.ends.contains(&touch.corner));
        let bounded = |s: &usize| at_corner().any(|e| e.uses.iter().any(|u| u.surface == *s));
        if touch.faces.iter().all(bounded) {
            continue;
        }
        if touch.carrier.is_none_or(|c| passes(carriers, edges, c, touch)) {
            return Err(EvaluateError::Touching {
                tags: touch.pair.map(|s| scene.nearest_tag(s, touch.at)),
                at: touch.at,
            });
        }
    }
    Ok(())
}

/// Whether an edge on the curve passes through the place or ends there.
fn passes(carriers: &Carriers, edges: &[Edge], carrier: usize, touch: &Touch) -> bool {
    let c = &carriers.list[carrier];
    let t = c.param(touch.at, TOUCH_REACH);
    let on = |e: &Edge| t.is_some_and(|t| c.covers(e.range, t)) || e.ends.contains(&touch.corner);
    edges.iter().filter(|e| e.carrier == carrier).any(on)
}

/// Whether the solid's membership changes across a surface somewhere at `reach` about `p`: where no other surface runs
/// between the two sides, if such a place is found; another one that touches this along a line would answer in its stead.
fn is_face(scene: &Scene, s: usize, p: P3, reach: f64) -> bool {
    let surface = &scene.entries[s].surface;
    let frame = Frame::from_z(p, surface.grad(p));
    let others: Vec<&Entry> = (0..scene.entries.len())
        .filter(|k| *k != s)
        .map(|k| &scene.entries[k])
        .filter(|e| e.seam_of.is_none() && e.within(p, 2.0 * reach))
        .collect();
    let asked: Vec<(bool, bool)> = (0..PLACES)
        .map(|k| {
            let turn = ODD_TURN + std::f64::consts::TAU * k as f64 / PLACES as f64;
            let q = surface.closest(p + frame.radial(turn) * reach);
            let n = surface.grad(q) * TOUCH_STEP;
            let clear = others.iter().all(|e| e.surface.f(q).abs() > 2.0 * TOUCH_STEP);
            (clear, scene.tree.contains(q + n) != scene.tree.contains(q - n))
        })
        .collect();
    let any_clear = asked.iter().any(|(clear, _)| *clear);
    asked.iter().any(|(clear, changes)| *changes && (*clear || !any_clear))
}
