//! Places where faces or edges of the finished solid touch without crossing.
//!
//! Where a curve touches a surface, or a surface another, and all faces there hang together around the place, nothing is
//! wrong: a bore may start right at a kink of the wall that it leaves. Such a place only has to be a vertex ([`settle`]), at
//! which the faces about it can be told apart. Where a face runs on through the place that no edge there belongs to, the
//! material (or the gap) between it and the others is nought thick ([`check`]).

use rayon::prelude::*;

use super::carrier::{Carrier, Carriers};
use super::edges::Edge;
use super::error::{EvaluateError, unless};
use super::surface_set::{SurfaceEntry, SurfaceSet};
use super::vertices::{CurveTangency, VertexSet};
use crate::geometry::{Frame, P3, Surface};
use crate::tolerance::{
    CONVERGED, NEAR_SURFACE, NO_DIRECTION, TANGENT, TOUCH_AT_VERTEX, TOUCH_REACH, TOUCH_STEP,
    UNSOLVED_REACHES,
};

/// Places about a touch at which a face is asked for, and where the first lies, radians: an odd angle, because surfaces
/// touch each other along round ones.
const PLACES: usize = 12;
const ODD_TURN: f64 = 0.2471;

/// A place where something touches a face.
pub(super) struct Tangency {
    at: P3,
    /// The vertex that stands there.
    vertex: usize,
    /// Surfaces with a face at the place, which edges at the vertex should belong to.
    faces: Vec<usize>,
    /// The curve that touches; none where two surfaces do.
    carrier: Option<usize>,
    /// The two surfaces that are named.
    pair: [usize; 2],
}

/// Makes vertices of the places where a curve touches a surface with a face there, or two surfaces with faces touch.
pub(super) fn settle(set: &SurfaceSet, carriers: &Carriers, vertices: &mut VertexSet) -> Vec<Tangency> {
    let mut out: Vec<Tangency> = Vec::new();
    let have_faces = |(p, pair): &(P3, [usize; 2])| pair.iter().all(|s| is_face(set, *s, *p, TOUCH_REACH));
    let real: Vec<bool> = carriers.touches.par_iter().map(have_faces).collect();
    for ((p, pair), _) in carriers.touches.iter().zip(real).filter(|t| t.1) {
        let vertex = vertices.add(*p, pair);
        out.push(Tangency { at: *p, vertex, faces: pair.to_vec(), carrier: None, pair: *pair });
    }
    // What each touch is does not depend on the others, except that one beside a vertex is that vertex.
    let touches = std::mem::take(&mut vertices.touches);
    let known = &*vertices;
    let found: Vec<_> = touches.par_iter().map(|t| CurveTouch::of(set, carriers, known, t)).collect();
    out.extend(found.into_iter().flatten().filter_map(|t| t.settled(vertices)));
    out
}

/// A curve that touches a surface away from vertices.
struct CurveTouch {
    at: P3,
    /// The curve's surfaces, and the one that it touches.
    surfaces: Vec<usize>,
    /// Whether the touched surface has a face there.
    on_face: bool,
    /// Whether another curve crosses this one there.
    crossed: bool,
    carrier: usize,
    /// The two surfaces that are named; the second is the one touched.
    pair: [usize; 2],
}

impl CurveTouch {
    /// Nothing where there is a vertex.
    fn of(
        set: &SurfaceSet,
        carriers: &Carriers,
        vertices: &VertexSet,
        tangency: &CurveTangency,
    ) -> Option<Self> {
        let (c, surface) = (&carriers.list[tangency.carrier], tangency.surface);
        // Cuts between halves are no faults of the design, nor is touching one.
        let real = |s: &usize| set.entries[*s].seam_of.is_none();
        let cut = !real(&surface) || c.surfaces.iter().filter(|s| real(s)).count() < 2;
        if cut || !set.entries[surface].near(tangency.at) {
            return None;
        }
        let at = nearest_to_crossing(c, &set.entries[surface].surface, tangency.at)?;
        if vertices.on_within(at, TOUCH_AT_VERTEX, surface) {
            return None;
        }
        let own = c.surfaces.iter().copied().find(real).unwrap_or(surface);
        Some(Self {
            at,
            surfaces: c.surfaces.iter().copied().chain([surface]).collect(),
            on_face: is_face(set, surface, at, TOUCH_REACH),
            crossed: crosses_another(carriers, tangency, at),
            carrier: tangency.carrier,
            pair: [own, surface],
        })
    }

    /// Makes it a vertex, unless one before it is; nothing if the surface has no face there.
    fn settled(self, vertices: &mut VertexSet) -> Option<Tangency> {
        let touched = self.pair[1];
        let wanted = self.on_face || self.crossed;
        if !wanted || vertices.on_within(self.at, TOUCH_AT_VERTEX, touched) {
            return None;
        }
        let vertex = vertices.add(self.at, &self.surfaces);
        let (at, carrier) = (self.at, Some(self.carrier));
        self.on_face.then(|| Tangency { at, vertex, faces: vec![touched], carrier, pair: self.pair })
    }
}

/// Whether another curve crosses the one that touches a surface at a place: one along which that surface touches one of the curve's
/// own. A flat wall that ends in a rounded corner may be flush with another body's wall at which a fillet ends: the line at which the
/// corner begins and the fillet's edge cross in the plane, but each of them only touches the other's second surface.
fn crosses_another(carriers: &Carriers, tangency: &CurveTangency, at: P3) -> bool {
    let c = &carriers.list[tangency.carrier];
    let direction =
        |c: &Carrier| c.param(at, NEAR_SURFACE).and_then(|t| c.derivative(t).try_normalize(NO_DIRECTION));
    let Some(own) = direction(c) else { return false };
    let crosses = |(i, other): (usize, &Carrier)| {
        i != tangency.carrier
            && other.surfaces.contains(&tangency.surface)
            && other.surfaces.iter().any(|s| c.surfaces.contains(s))
            && direction(other).is_some_and(|d| d.cross(&own).norm() > TANGENT)
    };
    carriers.list.iter().enumerate().any(crosses)
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
        if (u - t).abs() * c.speed() < CONVERGED {
            break;
        }
    }
    let at = c.point(u);
    Some(if surface.f(at).abs() <= NEAR_SURFACE { at } else { p })
}

/// A touching point that was not solved is a fault if both surfaces have a face there.
pub(super) fn check_unsolved(set: &SurfaceSet, carriers: &Carriers) -> Result<(), Vec<EvaluateError>> {
    let has_faces = |(p, pair): &&(P3, [usize; 2])| {
        pair.iter().all(|s| UNSOLVED_REACHES.iter().any(|r| is_face(set, *s, *p, *r)))
    };
    let faults: Vec<_> =
        carriers.unsolved.iter().filter(has_faces).map(|(p, pair)| set.tangent(*p, *pair)).collect();
    unless(faults, ())
}

/// A touch is a fault if one of its faces runs on through the place: then no edge at the vertex belongs to that face.
/// (That the faces of all edges at a vertex hang together is seen to elsewhere.)
pub(super) fn check(
    set: &SurfaceSet,
    carriers: &Carriers,
    touches: &[Tangency],
    edges: &[Edge],
) -> Result<(), Vec<EvaluateError>> {
    let mut faults = Vec::new();
    for tangency in touches {
        let at_corner = || edges.iter().filter(|e| e.ends.contains(&tangency.vertex));
        let bounded = |s: &usize| at_corner().any(|e| e.uses.iter().any(|u| u.surface == *s));
        if tangency.faces.iter().all(bounded) {
            continue;
        }
        if tangency.carrier.is_none_or(|c| passes(carriers, edges, c, tangency)) {
            faults.push(EvaluateError::Touching {
                tags: tangency.pair.map(|s| set.nearest_tag(s, tangency.at)),
                at: tangency.at,
            });
        }
    }
    unless(faults, ())
}

/// Whether an edge on the curve passes through the place or ends there.
fn passes(carriers: &Carriers, edges: &[Edge], carrier: usize, tangency: &Tangency) -> bool {
    let c = &carriers.list[carrier];
    let t = c.param(tangency.at, TOUCH_REACH);
    let on = |e: &Edge| t.is_some_and(|t| c.covers(e.range, t)) || e.ends.contains(&tangency.vertex);
    edges.iter().filter(|e| e.carrier == carrier).any(on)
}

/// Whether the solid's membership changes across a surface somewhere at `reach` about `p`: where no other surface runs
/// between the two sides, if such a place is found; another one that touches this along a line would answer in its stead.
fn is_face(set: &SurfaceSet, s: usize, p: P3, reach: f64) -> bool {
    let surface = &set.entries[s].surface;
    let frame = Frame::from_z(p, surface.grad(p));
    let others: Vec<&SurfaceEntry> = (0..set.entries.len())
        .filter(|k| *k != s)
        .map(|k| &set.entries[k])
        .filter(|e| e.seam_of.is_none() && e.within(p, 2.0 * reach))
        .collect();
    let asked: Vec<(bool, bool)> = (0..PLACES)
        .map(|k| {
            let turn = ODD_TURN + std::f64::consts::TAU * k as f64 / PLACES as f64;
            let q = surface.closest(p + frame.radial(turn) * reach);
            let n = surface.grad(q) * TOUCH_STEP;
            let clear = others.iter().all(|e| e.surface.f(q).abs() > 2.0 * TOUCH_STEP);
            (clear, set.tree.contains(q + n) != set.tree.contains(q - n))
        })
        .collect();
    let any_clear = asked.iter().any(|(clear, _)| *clear);
    asked.iter().any(|(clear, changes)| *changes && (*clear || !any_clear))
}
