//! Creases of a larger ball, which stand as they are in what a smaller one leaves.
//!
//! A smaller ball rolls over what the larger one left, offset by its own radius: there the larger ball's canals are narrower by
//! as much, and fold less or not at all. So the crease is not found again: it is taken over, and with it what it cuts out
//! of arcs.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::convexity::{ClassifiedEdge, Convexity};
use crate::geometry::{Circle, CreaseCurve, P3, Surface};
use crate::solid::blend::FilletSegment;
use crate::solid::brep::Brep;
use crate::solid::evaluate::SEAM_ANGLE;
use crate::tolerance::VERTEX_FIT;

/// A sheet that an earlier ball has left, by the way of the ball's centre.
#[derive(Clone, Debug)]
pub(super) enum KeptSheet {
    Canal(Box<FilletSegment>),
    Ball(P3),
}

impl KeptSheet {
    /// Whether a face lies at a distance from the way of the ball's centre, and nowhere nearer to it.
    fn covers(&self, brep: &Brep, face: usize, gap: f64) -> bool {
        let f = &brep.faces[face];
        let kind = match self {
            Self::Canal(_) => {
                matches!(f.surface, Surface::Canal(_) | Surface::Torus(_) | Surface::Cylinder(_))
            }
            Self::Ball(_) => matches!(f.surface, Surface::Sphere(_)),
        };
        let off = |p: P3| match self {
            Self::Canal(s) => (s.distance(p) - gap).abs(),
            Self::Ball(c) => ((p - c).norm() - gap).abs(),
        };
        kind && f.loops.iter().flatten().all(|h| off(brep.edge_point(h.edge, 0.5)) < VERTEX_FIT)
    }

    /// The point at a distance from the way of the ball's centre that lies under one of the sheet.
    fn under(&self, p: P3, gap: f64) -> P3 {
        let center = match self {
            Self::Canal(s) => s.center_near(p),
            Self::Ball(c) => *c,
        };
        center + (p - center) * (gap / (p - center).norm())
    }
}

/// A piece of a crease between two of its nodes.
#[derive(Clone, Debug)]
pub(super) struct KeptPiece {
    pub(super) curve: Arc<CreaseCurve>,
    pub(super) nodes: [usize; 2],
    /// Numbers of the sheets that meet there.
    pub(super) sheets: [usize; 2],
    /// Whether the loops about the first and the second of the two run along it.
    pub(super) forward: [bool; 2],
}

/// A crease that an earlier ball has left.
#[derive(Clone, Debug)]
pub(super) struct KeptCrease {
    /// Radius of the ball, mm.
    pub(super) radius: f64,
    pub(super) nodes: Vec<P3>,
    pub(super) pieces: Vec<KeptPiece>,
    /// The two of its vertices between which an arc is gone.
    pub(super) cuts: Vec<[usize; 2]>,
    pub(super) sheets: Vec<KeptSheet>,
}

/// Where an offset solid shows the creases of earlier balls.
#[derive(Clone, Debug, Default)]
pub(super) struct KeptPlaces {
    /// For each piece of each crease the two faces under its sheets; none where the crease lies within other bodies.
    pub(super) faces: Vec<Option<Vec<[usize; 2]>>>,
    /// Faces under sheets that fold.
    pub(super) folded: BTreeSet<usize>,
    /// Edges in which the narrower sheets still meet.
    pub(super) edges: BTreeSet<usize>,
    /// Vertices of those edges.
    pub(super) vertices: BTreeSet<usize>,
}

impl KeptPlaces {
    /// Finds them in the solid offset by `radius`; a place where it can't be told which faces meet in a crease as the error.
    pub(super) fn find(
        offset: &Brep,
        classified: &[ClassifiedEdge],
        creases: &[KeptCrease],
        radius: f64,
    ) -> Result<Self, P3> {
        let mut out = Self::default();
        let mut all: BTreeSet<usize> = BTreeSet::new();
        for crease in creases {
            let gap = crease.radius - radius;
            let of = |sheet: &KeptSheet| -> Vec<usize> {
                (0..offset.faces.len()).filter(|f| sheet.covers(offset, *f, gap)).collect()
            };
            let found: Vec<Vec<usize>> = crease.sheets.iter().map(of).collect();
            if found.iter().any(Vec::is_empty) {
                out.faces.push(None);
                continue;
            }
            let face = |curve: &CreaseCurve, sheet: usize| -> Option<usize> {
                if let [f] = found[sheet][..] {
                    return Some(f);
                }
                let (a, b) = curve.range();
                let q = crease.sheets[sheet].under(curve.point(0.5 * (a + b)), gap);
                let mut here = found[sheet].iter().copied().filter(|f| same_half(offset, *f, q));
                here.next().filter(|_| here.next().is_none())
            };
            let both = |piece: &KeptPiece| {
                Some([face(&piece.curve, piece.sheets[0])?, face(&piece.curve, piece.sheets[1])?])
            };
            let faces: Option<Vec<_>> = crease.pieces.iter().map(both).collect();
            out.faces.push(Some(faces.ok_or(crease.nodes[0])?));
            for (sheet, faces) in crease.sheets.iter().zip(&found) {
                all.extend(faces);
                if matches!(sheet, KeptSheet::Canal(c) if c.folded) {
                    out.folded.extend(faces);
                }
            }
        }
        for (e, l) in classified.iter().enumerate() {
            if l.convexity == Convexity::Convex && l.faces.iter().all(|f| all.contains(f)) {
                out.edges.insert(e);
                out.vertices.extend([offset.edges[e].start, offset.edges[e].end]);
            }
        }
        Ok(out)
    }
}

/// Whether a face of a surface about an axis lies on the same side of the plane that parts its two halves as a point.
fn same_half(brep: &Brep, face: usize, p: P3) -> bool {
    let f = &brep.faces[face];
    let frame = f.surface.frame();
    let across = frame.radial(SEAM_ANGLE + std::f64::consts::FRAC_PI_2);
    let side = |p: P3| (p - frame.origin).dot(&across);
    let own: f64 = f.loops.iter().flatten().map(|h| side(brep.edge_point(h.edge, 0.5))).sum();
    own * side(p) > 0.0
}

/// A piece of a circle: its range with the vertices at its ends.
type ArcPiece = ((f64, f64), [usize; 2]);

/// What creases leave of a piece of a circle.
pub(super) struct CutCircle<'a> {
    pub(super) circle: &'a Circle,
    pub(super) range: (f64, f64),
    /// The vertices at its start and end; none where it runs into what a crease cuts out.
    pub(super) ends: [Option<usize>; 2],
}

impl CutCircle<'_> {
    /// The angles of two points of the circle on it, in order; `None` where they do not lie on it.
    pub(super) fn cut(&self, points: [P3; 2]) -> Option<[(f64, bool); 2]> {
        let middle = 0.5 * (self.range.0 + self.range.1);
        let angle = |p: P3| {
            let q = self.circle.frame.local(p);
            let on = q.z.abs() < VERTEX_FIT && (q.x.hypot(q.y) - self.circle.radius).abs() < VERTEX_FIT;
            let turn = q.y.atan2(q.x) - middle;
            on.then(|| middle + turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round())
        };
        let [a, b] = points.map(angle);
        let (a, b) = (a?, b?);
        Some(if a <= b { [(a, true), (b, false)] } else { [(b, false), (a, true)] })
    }

    /// The pieces left, as ranges with their vertices; `gone` are ranges with the vertices at their start and end.
    pub(super) fn left(&self, mut gone: Vec<[(f64, usize); 2]>) -> Option<Vec<ArcPiece>> {
        gone.sort_by(|a, b| a[0].0.total_cmp(&b[0].0));
        let (lo, hi) = self.range;
        gone.retain(|[a, b]| b.0 > lo && a.0 < hi);
        let mut out = Vec::new();
        let mut last = self.ends[0].map(|v| (lo, v));
        for [from, to] in gone {
            if let Some((at, v)) = last {
                if from.0 <= at {
                    return None;
                }
                out.push(((at, from.0), [v, from.1]));
            } else if from.0 > lo {
                return None;
            }
            last = (to.0 < hi).then_some(to);
            if last.is_none() && self.ends[1].is_some() {
                return None;
            }
        }
        match (last, self.ends[1]) {
            (Some((at, v)), Some(end)) => out.push(((at, hi), [v, end])),
            (None, None) => {}
            _ => return None,
        }
        Some(out)
    }
}
