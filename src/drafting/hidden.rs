//! A view of a solid with hidden lines: sharp edges and silhouettes, cut where they cross in projection, each piece
//! decided by a ray to the eye against the exact faces.
//!
//! Edges at which faces run on smoothly into each other are no lines of the view, unless the solid turns away from the eye there. Those
//! at which a flat face that looks at the eye runs out in a rounding are told apart: drawings of cast bodies show them by narrow lines. Of metal
//! that is laid on by hand only outlines are drawn ([`super::laid_on`]).

use rayon::prelude::*;
use solidwright::geometry::{Curve, P2, P3, Surface, V3};
use solidwright::probe::Probe;
use solidwright::silhouette::{SilhouetteCurve, silhouettes, turning_place};
use solidwright::solid::Brep;

use super::crossings::{Flat, crossings};
use super::entity::Shape;
use super::laid_on::{is_blended, stands_out};
use super::overlaps::without_overlaps;
use super::projection::Direction;
use super::rounded_ends::ends_round;
use super::seen_along::on_edge_on_face;
use crate::faces::Feature;

/// Sine of the angle between two faces from which on their edge is drawn: about a degree. Common practice.
pub const SHARP: f64 = 0.02;

/// Cosine between normal and view below which an edge is seen edge-on along its whole length.
const EDGE_ON: f64 = 1e-6;

/// By how much the place that is asked stands off the solid, mm: far below what a plotter shows, far above rounding.
const OFF: f64 = 2e-3;

/// Pieces shorter than this, mm, are what their neighbour is.
const SHORT: f64 = 2e-3;

/// Pieces longer than this, mm, are asked in three places.
const LONG: f64 = 3.0;

/// Pieces of a chain are no longer than this share of it: a silhouette may turn hidden where it crosses nothing.
const CHAIN_PIECES: u32 = 24;

/// Pieces of an edge in which its faces may turn away, and halvings of such a piece.
const EDGE_PIECES: u32 = 24;
const HALVINGS: u32 = 40;

/// What is seen from one direction, mm on the part.
#[derive(Clone, Debug, Default)]
pub struct SeenLines {
    /// Visible edges and outlines.
    pub visible: Vec<Shape>,
    /// Those behind material.
    pub hidden: Vec<Shape>,
    /// Visible edges at which a flat face that looks at the eye runs on smoothly into a rounding: without them a cast pad has no outline
    /// in the view on it.
    pub smooth: Vec<Shape>,
    /// Visible edges at which a face runs on smoothly into a rounding over which the solid falls off: without them a ring around a shell has
    /// no line in a view across it.
    pub round: Vec<Shape>,
}

/// Cosine between the normal of a flat face and the view from which on it looks at the eye.
const FACING: f64 = 0.7;

/// Where a line runs in space.
enum Path {
    Curve(Curve),
    Chain(Vec<P3>),
}

impl Path {
    fn point(&self, t: f64) -> P3 {
        match self {
            Self::Curve(curve) => curve.point(t),
            Self::Chain(points) => {
                let at = t.clamp(0.0, (points.len() - 1) as f64);
                let k = (at.floor() as usize).min(points.len().saturating_sub(2));
                points[k] + (points[k + 1] - points[k]) * (at - k as f64)
            }
        }
    }

    /// Where a piece may be asked, at a share of it: in a chain at one of its points where the piece has any. Told is as well how far
    /// off the place the solid's surface may be, mm: zero where it lies there, and half a chord between two points of a chain.
    fn asked(&self, (start, end): (f64, f64), share: f64) -> (P3, f64) {
        let t = start + (end - start) * share;
        let known = t.round();
        match self {
            Self::Chain(_) if start < known && known < end => (self.point(known), 0.0),
            Self::Chain(_) => (self.point(t), 0.5 * (self.point(t.ceil()) - self.point(t.floor())).norm()),
            Self::Curve(_) => (self.point(t), 0.0),
        }
    }

    /// The way in which the path runs at a place, of no certain length.
    fn tangent(&self, (start, end): (f64, f64), share: f64) -> V3 {
        let at = |share: f64| self.point(start + (end - start) * share);
        at(share + 0.01) - at(share - 0.01)
    }

    fn shape(&self, from: &Direction, (start, end): (f64, f64)) -> Option<Shape> {
        match self {
            Self::Curve(curve) => from.curve(curve, (start, end)),
            Self::Chain(points) => {
                let inner = (start.floor() as usize + 1)..=(end.ceil() as usize).saturating_sub(1);
                let mut seen = vec![from.point(self.point(start))];
                seen.extend(inner.map(|k| from.point(points[k])));
                seen.push(from.point(self.point(end)));
                Some(Shape::Chain(seen))
            }
        }
    }
}

/// A line that may be drawn, with the faces that meet there.
struct Candidate {
    path: Path,
    range: (f64, f64),
    faces: Vec<usize>,
    kind: Kind,
}

impl Candidate {
    /// A piece as it is seen. An edge on a face that is seen edge-on lies on that face's line or circle, whatever curve it is.
    fn shape(&self, brep: &Brep, from: &Direction, range: (f64, f64)) -> Option<Shape> {
        let on_face = match &self.path {
            Path::Curve(curve @ Curve::Spline(_)) => {
                let mut faces = self.faces.iter().map(|face| &brep.faces[*face].surface);
                faces.find_map(|surface| on_edge_on_face(surface, from, curve, range))
            }
            _ => None,
        };
        on_face.or_else(|| self.path.shape(from, range))
    }

    /// A point of the solid's surface on a piece, at a share of it.
    fn on_surface(&self, brep: &Brep, eye: V3, range: (f64, f64), share: f64) -> P3 {
        match (self.path.asked(range, share), &self.faces[..]) {
            ((p, off), [face]) if off > 0.0 => turning_place(&brep.faces[*face], p, eye, off),
            ((p, _), _) => p,
        }
    }
}

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// An edge or an outline.
    Plain,
    /// One of metal that a maker smooths by hand.
    Blended,
    /// One of signs cast on.
    Mark,
    /// The smooth end of a flat face.
    Smooth,
    /// The smooth end of a face at a rounding over which the solid falls off.
    Round,
}

impl Kind {
    /// What a sharp edge or an outline between faces is.
    fn of(brep: &Brep, faces: &[usize]) -> Self {
        if is_blended(brep, faces) {
            Self::Blended
        } else if faces.iter().any(|face| Feature::of(&brep.faces[*face].tag) == Feature::Marks) {
            Self::Mark
        } else {
            Self::Plain
        }
    }
}

/// What becomes of a piece of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drawn {
    Visible,
    Hidden,
    Smooth,
    Round,
    /// Not at all.
    Left,
}

/// The view from a direction.
pub fn view(probe: &Probe, from: &Direction) -> SeenLines {
    let candidates = candidates(probe, from);
    let flats: Vec<Flat> = candidates.iter().map(|c| flat(c, from)).collect();
    let cuts = crossings(&flats);
    let mut out = SeenLines::default();
    let decided = candidates.par_iter().zip(cuts).map(|(candidate, mut cuts)| {
        if let Path::Chain(_) = candidate.path {
            let (start, end) = candidate.range;
            let step = (end - start) / f64::from(CHAIN_PIECES);
            cuts.extend((1..CHAIN_PIECES).map(|k| start + step * f64::from(k)));
        }
        cuts.extend(turning(probe.brep(), candidate, from.eye()));
        let pieces = pieces(probe, from, candidate, cuts);
        let shape = |(drawn, range)| Some((drawn, candidate.shape(probe.brep(), from, range)?));
        pieces.into_iter().filter_map(shape).collect::<Vec<(Drawn, Shape)>>()
    });
    for (drawn, shape) in decided.collect::<Vec<_>>().into_iter().flatten() {
        match drawn {
            Drawn::Visible => out.visible.push(shape),
            Drawn::Hidden => out.hidden.push(shape),
            Drawn::Smooth => out.smooth.push(shape),
            Drawn::Round => out.round.push(shape),
            Drawn::Left => {}
        }
    }
    without_overlaps(&mut out.visible, &mut out.hidden);
    out
}

fn candidates(probe: &Probe, from: &Direction) -> Vec<Candidate> {
    let brep = probe.brep();
    let mut out = Vec::new();
    for (number, (edge, sides)) in brep.edges.iter().zip(probe.sides()).enumerate() {
        if sides.contains(&usize::MAX) {
            continue;
        }
        let at = |share: f64| edge.curve.point(edge.range.0 + (edge.range.1 - edge.range.0) * share);
        let normals = |p: P3| sides.map(|face| brep.faces[face].outward(p));
        let shares = [0.2, 0.5, 0.8];
        let sharp = shares.iter().any(|share| {
            let [a, b] = normals(at(*share));
            a.cross(&b).norm() > SHARP || a.dot(&b) < 0.0
        });
        let edge_on = || {
            shares.iter().all(|share| normals(at(*share)).iter().all(|n| n.dot(&from.eye()).abs() < EDGE_ON))
        };
        let kind = match Kind::of(brep, sides) {
            kind if sharp || edge_on() => kind,
            Kind::Plain if ends_round(probe, number, from.eye()) => Kind::Round,
            Kind::Plain if ends_flat(brep, *sides, from.eye()) => Kind::Smooth,
            _ => continue,
        };
        let path = Path::Curve(edge.curve.clone());
        out.push(Candidate { path, range: edge.range, faces: sides.to_vec(), kind });
    }
    for silhouette in silhouettes(brep, probe.mesh(), from.eye()) {
        let (path, range) = match silhouette.curve {
            SilhouetteCurve::Exact(curve, range) => (Path::Curve(curve), range),
            SilhouetteCurve::Chain(points) => {
                let last = (points.len() - 1) as f64;
                (Path::Chain(points), (0.0, last))
            }
        };
        let faces = vec![silhouette.face];
        let kind = Kind::of(brep, &faces);
        out.push(Candidate { path, range, faces, kind });
    }
    out.retain(|c| from.point(c.path.point(c.range.0)).coords.iter().all(|x| x.is_finite()));
    out
}

/// The places of an edge at which one of its faces turns away from the eye. A silhouette ends there, and touches the edge as it is seen
/// without crossing it, so that no crossing of chords tells it.
fn turning(brep: &Brep, candidate: &Candidate, eye: V3) -> Vec<f64> {
    let (Path::Curve(curve), [_, _]) = (&candidate.path, &candidate.faces[..]) else { return vec![] };
    let (start, end) = candidate.range;
    let at = |k: u32| start + (end - start) * f64::from(k) / f64::from(EDGE_PIECES);
    let mut out = Vec::new();
    for face in &candidate.faces {
        if matches!(brep.faces[*face].surface, Surface::Plane(_)) {
            continue;
        }
        let looks = |t: f64| brep.faces[*face].outward(curve.point(t)).dot(&eye) > 0.0;
        for k in 0..EDGE_PIECES {
            let (mut low, mut high) = (at(k), at(k + 1));
            let first = looks(low);
            if first == looks(high) {
                continue;
            }
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if looks(middle) == first { low = middle } else { high = middle }
            }
            out.push(0.5 * (low + high));
        }
    }
    out
}

/// Whether one of two faces is flat and looks at the eye, and the other one bends.
fn ends_flat(brep: &Brep, sides: [usize; 2], eye: V3) -> bool {
    let flat = |face: usize| match &brep.faces[face].surface {
        Surface::Plane(plane) => Some(plane.frame.z.dot(&eye).abs()),
        _ => None,
    };
    match sides.map(flat) {
        [Some(facing), None] | [None, Some(facing)] => facing > FACING,
        _ => false,
    }
}

/// A candidate as chords with their parameters.
fn flat(candidate: &Candidate, from: &Direction) -> Flat {
    let (start, end) = candidate.range;
    let count = match &candidate.path {
        Path::Curve(Curve::Line(_)) => 1,
        Path::Curve(Curve::Spline(_)) => 48,
        Path::Curve(_) => ((end - start).abs() / 0.05).ceil().max(2.0) as usize,
        Path::Chain(points) => points.len() - 1,
    };
    let at = |k: usize| {
        let t = start + (end - start) * k as f64 / count as f64;
        (t, from.point(candidate.path.point(t)))
    };
    (0..=count).map(at).collect()
}

/// The pieces between cuts, neighbours of one kind together: what becomes of each, and its range.
fn pieces(
    probe: &Probe,
    from: &Direction,
    candidate: &Candidate,
    mut cuts: Vec<f64>,
) -> Vec<(Drawn, (f64, f64))> {
    let (start, end) = candidate.range;
    cuts.retain(|t| *t > start && *t < end);
    cuts.push(end);
    cuts.sort_by(f64::total_cmp);
    let mut out: Vec<(Drawn, (f64, f64))> = Vec::new();
    let mut at = start;
    for cut in cuts {
        let length = chord(candidate, from, (at, cut));
        if length < SHORT && cut < end {
            continue;
        }
        if let Some((_, last)) = out.last_mut()
            && length < SHORT
        {
            last.1 = cut;
            continue;
        }
        let drawn = drawn(probe, from.eye(), candidate, (at, cut), length > LONG);
        match out.last_mut() {
            Some((kind, last)) if *kind == drawn => last.1 = cut,
            _ => out.push((drawn, (at, cut))),
        }
        at = cut;
    }
    out
}

/// Length of a piece as it is seen, roughly.
fn chord(candidate: &Candidate, from: &Direction, (start, end): (f64, f64)) -> f64 {
    let at = |t: f64| from.point(candidate.path.point(t));
    let middle: P2 = at(0.5 * (start + end));
    (middle - at(start)).norm() + (at(end) - middle).norm()
}

/// What becomes of a piece.
fn drawn(probe: &Probe, eye: V3, candidate: &Candidate, range: (f64, f64), long: bool) -> Drawn {
    let seen = is_seen(probe, eye, candidate, range, long);
    let outline = || {
        let at = candidate.on_surface(probe.brep(), eye, range, 0.5);
        stands_out(probe, eye, at, candidate.path.tangent(range, 0.5))
    };
    match (candidate.kind, seen) {
        (Kind::Plain | Kind::Mark, true) => Drawn::Visible,
        (Kind::Plain, false) => Drawn::Hidden,
        (Kind::Smooth, true) => Drawn::Smooth,
        (Kind::Round, true) => Drawn::Round,
        (Kind::Blended, true) if outline() => Drawn::Visible,
        // Signs cast on are shorter than a dash: behind the part they would look like visible ones, in mirror writing.
        (Kind::Mark | Kind::Smooth | Kind::Round | Kind::Blended, _) => Drawn::Left,
    }
}

/// Cosine between the eye and the normals of both faces of an edge from which on these turn away, whatever stands before them: a ray from
/// [`OFF`] beside the edge meets one of them within a fiftieth of a millimetre.
const AWAY: f64 = -0.1;

/// Whether nothing stands between a piece and the eye: asked in its middle or, of a long one, by most of three places.
fn is_seen(probe: &Probe, eye: V3, candidate: &Candidate, range: (f64, f64), long: bool) -> bool {
    let free = |share: f64| {
        let p = candidate.on_surface(probe.brep(), eye, range, share);
        let outward = |face: &usize| probe.brep().faces[*face].outward(p);
        // Behind both of its faces lies the metal between them and the eye: about half of all edges need no ray.
        if let [a, b] = &candidate.faces[..]
            && [a, b].into_iter().all(|face| outward(face).dot(&eye) < AWAY)
        {
            return false;
        }
        let out: V3 = candidate.faces.iter().map(outward).sum();
        let off = out.try_normalize(EDGE_ON).unwrap_or(eye);
        !probe.is_met(p + off * OFF, eye, f64::INFINITY)
    };
    if !long {
        return free(0.5);
    }
    let [middle, other] = [0.5, 0.3].map(free);
    // The third place decides where the first two do not agree.
    if middle == other { middle } else { free(0.72) }
}
