//! What a ray meets first.

use crate::geometry::{P3, Surface, V3};
use crate::tolerance::{NO_DIRECTION, NOT_ZERO, RAY_START, TANGENT, WAY_END};

use super::roots::roots;
use super::{OPPOSED_COSINE, Probe, Sample};

/// The place where a ray meets the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// The face.
    pub face: usize,
    /// The place, on the exact surface, mm.
    pub point: P3,
    /// Length from the ray's start, mm.
    pub distance: f64,
}

/// Faces already asked, few at a time.
pub(super) struct Seen {
    faces: [u32; 48],
    count: usize,
}

impl Seen {
    pub(super) fn new() -> Self {
        Self { faces: [0; 48], count: 0 }
    }

    pub(super) fn has(&self, face: usize) -> bool {
        self.faces[..self.count].contains(&(face as u32))
    }

    /// Whether the face is new; beyond the space for it all are, which costs only time.
    pub(super) fn first(&mut self, face: usize) -> bool {
        let face = face as u32;
        if self.faces[..self.count].contains(&face) {
            return false;
        }
        if self.count < self.faces.len() {
            self.faces[self.count] = face;
            self.count += 1;
        }
        true
    }
}

/// The stretches of a ray along which faces were searched: neighbouring triangles of a face mostly ask for the same.
struct Searched {
    stretches: [(u32, f64, f64); 8],
    count: usize,
}

impl Searched {
    fn new() -> Self {
        Self { stretches: [(0, 0.0, 0.0); 8], count: 0 }
    }

    /// What is left to search of a span, `None` where nothing is; it counts as searched afterwards.
    fn rest(&mut self, face: usize, span: (f64, f64)) -> Option<(f64, f64)> {
        let face = face as u32;
        let known = self.stretches[..self.count].iter_mut().find(|s| s.0 == face);
        let Some((_, from, to)) = known else {
            // Beyond the space for it a stretch is searched again, which costs only time.
            if self.count < self.stretches.len() {
                self.stretches[self.count] = (face, span.0, span.1);
                self.count += 1;
            }
            return Some(span);
        };
        let (lo, hi) = span;
        if hi < *from || lo > *to {
            return Some(span);
        }
        let before = lo < *from;
        match (before, hi > *to) {
            (false, false) => None,
            (false, true) => Some((std::mem::replace(to, hi), hi)),
            (true, false) => Some((lo, std::mem::replace(from, lo))),
            (true, true) => {
                (*from, *to) = (lo, hi);
                Some(span)
            }
        }
    }
}

/// Which of the places on a ray is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    /// The one nearest to its start.
    First,
    /// Whichever is found first; then the search ends.
    Any,
}

/// Whether a line's places on a surface are searched step by step, because no closed form tells them.
fn is_stepwise(surface: &Surface) -> bool {
    matches!(surface, Surface::Torus(_) | Surface::Canal(_))
}

impl Probe<'_> {
    /// The first place of the surface on a ray, within 1e-9 mm along it. A direction of no length meets nothing.
    /// Places within 1e-6 mm of the start don't count if they lie on `ignoring`, the face where the ray starts.
    pub fn ray(&self, from: P3, direction: V3, ignoring: Option<usize>) -> Option<Hit> {
        let d = direction.try_normalize(NOT_ZERO)?;
        let skip = |face: usize| if ignoring == Some(face) { RAY_START } else { 0.0 };
        self.first_on(from, d, f64::INFINITY, |face, t, _| t > skip(face))
    }

    /// Whether a ray meets the surface nearer than `length`, mm: the same as asking how far off [`Self::ray`] meets it, and quicker. A
    /// direction of no length meets nothing.
    pub fn is_met(&self, from: P3, direction: V3, length: f64) -> bool {
        let Some(d) = direction.try_normalize(NOT_ZERO) else { return false };
        // Faces with closed forms first: they cost a fraction, and mostly one of them is in the way if any is.
        [false, true].into_iter().any(|stepwise| {
            let asked = |surface: &Surface| is_stepwise(surface) == stepwise;
            self.search(from, d, length, Wanted::Any, asked, |_, t, _| t > 0.0).is_some()
        })
    }

    /// The first place on a ray shorter than `length` that `counts`, told of face, length and point.
    pub(super) fn first_on(
        &self,
        from: P3,
        d: V3,
        length: f64,
        counts: impl Fn(usize, f64, P3) -> bool,
    ) -> Option<Hit> {
        self.search(from, d, length, Wanted::First, |_| true, counts)
    }

    /// A place on a ray shorter than `length` that `counts`, of the faces whose surfaces are `asked`.
    fn search(
        &self,
        from: P3,
        d: V3,
        length: f64,
        wanted: Wanted,
        asked: impl Fn(&Surface) -> bool,
        counts: impl Fn(usize, f64, P3) -> bool,
    ) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        let mut seen = Seen::new();
        let mut searched = Searched::new();
        self.tree.along(from, d, length, |triangle, reach| {
            let face = self.face_of(triangle);
            let surface = &self.brep.faces[face].surface;
            if !asked(surface) {
                return reach;
            }
            // Only where the triangle may be.
            let span = if is_stepwise(surface) {
                let near = self.box_of(triangle).clip_line(from, d);
                match near {
                    Some((lo, hi)) => match searched.rest(face, (lo.max(0.0), hi.min(reach))) {
                        Some(span) => span,
                        None => return reach,
                    },
                    None => return reach,
                }
            } else if seen.first(face) {
                (0.0, f64::INFINITY)
            } else {
                return reach;
            };
            for t in roots(surface, from, d, span).iter() {
                if t >= best.map_or(length, |b| b.distance) {
                    break;
                }
                let p = from + d * t;
                if counts(face, t, p) && self.trims[face].holds(self.brep, p) {
                    best = Some(Hit { face, point: p, distance: t });
                    break;
                }
            }
            match (best, wanted) {
                (Some(_), Wanted::Any) => f64::NEG_INFINITY,
                (Some(hit), Wanted::First) => hit.distance,
                (None, _) => length,
            }
        });
        best
    }

    /// The wall behind a sample along its inward normal: the first place met. `None` where the normals there are not
    /// opposed by more than [`super::OPPOSED`], so that there is no wall but a corner.
    pub fn wall_by_ray(&self, sample: &Sample) -> Option<Hit> {
        let hit = self.behind(sample)?;
        let other = self.brep.faces[hit.face].outward(hit.point);
        (other.dot(&sample.outward) < OPPOSED_COSINE).then_some(hit)
    }

    /// What the inward normal of a sample meets first, a wall or not.
    pub(super) fn behind(&self, sample: &Sample) -> Option<Hit> {
        self.first_on(sample.point, -sample.outward, f64::INFINITY, |_, t, _| t > RAY_START)
    }

    /// Whether the straight way between two places of the surface leaves the material on the way, other than at its ends.
    pub(super) fn leaves_metal(&self, p: P3, q: P3) -> bool {
        let length = (q - p).norm();
        let Some(d) = (q - p).try_normalize(NO_DIRECTION) else { return false };
        let margin = WAY_END.min(0.1 * length);
        // A face along which the way runs does not bar it.
        let bars = |face: usize, t: f64, p: P3| {
            t > margin && self.brep.faces[face].outward(p).dot(&d).abs() > TANGENT
        };
        self.first_on(p, d, length - margin, bars).is_some()
    }
}
