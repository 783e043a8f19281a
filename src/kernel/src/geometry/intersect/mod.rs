//! All branches of the intersection of two analytic surfaces.
//!
//! Holds afterwards: every branch that meets the asked window is in the answer, once; lines, circles and
//! ellipses come in closed form, also where the surfaces only touch along them; points where branches of the
//! pair cross each other are listed as nodes.
//! Does not promise: that branches are trimmed to faces; a branch may run on outside the window.

mod coaxial;
mod planar;
mod ruled;
mod trace;

pub use trace::{Chord, Domain, SurveyBudget, TraceError, Traced};

pub(in crate::geometry) use trace::Pair;

use super::{Bounds, Curve, P3, Surface, V3};

/// One branch of an intersection.
#[derive(Clone, Debug)]
pub enum Branch {
    /// A line, circle or ellipse; the range is `None` where the whole curve counts.
    Closed(Curve, Option<(f64, f64)>),
    /// A curve followed point by point.
    Traced(Box<Traced>),
}

/// The intersection of two surfaces.
#[derive(Clone, Debug, Default)]
pub struct Intersection {
    /// The branches.
    pub branches: Vec<Branch>,
    /// Points where branches of this pair cross or end (the surfaces touch there, or a cone has its apex).
    pub nodes: Vec<P3>,
    /// Points where the surfaces touch without crossing.
    pub touches: Vec<P3>,
    /// Points where they touch so closely (curvatures equal as well) that the branches there are not known. Branches
    /// end near them.
    pub unsolved: Vec<P3>,
}

impl Intersection {
    fn of_curves(curves: Vec<Curve>) -> Self {
        Self { branches: curves.into_iter().map(|c| Branch::Closed(c, None)).collect(), ..Self::default() }
    }

    fn join(&mut self, other: Self) {
        self.branches.extend(other.branches);
        self.nodes.extend(other.nodes);
        self.touches.extend(other.touches);
        self.unsolved.extend(other.unsolved);
    }
}

/// A surface with the part of it that matters.
#[derive(Clone, Debug)]
pub struct SurfacePart<'a> {
    /// The surface.
    pub surface: &'a Surface,
    /// Ranges of u and v that hold every patch that matters (ignored for planes).
    pub domain: ((f64, f64), (f64, f64)),
    /// Boxes of the patches.
    pub boxes: &'a [Bounds],
}

/// Rank by which the surface to walk on is chosen: the plainer its parameters the better.
fn rank(s: &Surface) -> u8 {
    match s {
        Surface::Plane(_) => 0,
        Surface::Cylinder(_) => 1,
        Surface::Cone(_) => 2,
        Surface::Torus(_) => 3,
        Surface::Sphere(_) => 4,
        Surface::Canal(_) => 5,
    }
}

/// Intersects two different surfaces. The answer is complete where the parts' boxes meet.
///
/// # Errors
/// When the surfaces touch along a curve that has no closed form, or a branch can't be followed.
pub fn intersect(a: &SurfacePart, b: &SurfacePart, budget: SurveyBudget) -> Result<Intersection, TraceError> {
    let (a, b) = if rank(a.surface) <= rank(b.surface) { (a, b) } else { (b, a) };
    if let Some(found) = coaxial::circles(a.surface, b.surface) {
        return Ok(Intersection::of_curves(found));
    }
    match (a.surface, b.surface) {
        (Surface::Plane(p), _) => {
            if let Some(found) = planar::section(p, b.surface) {
                return Ok(found);
            }
        }
        (Surface::Cylinder(p), Surface::Cylinder(q)) => {
            if let Some(found) = ruled::parallel(p, q) {
                return Ok(Intersection::of_curves(found));
            }
        }
        _ => {}
    }
    if let Some(planes) = ruled::common_sphere_planes(a.surface, b.surface) {
        return ruled::plane_pair(a, b, planes);
    }
    trace_pair(a, b, budget)
}

/// The point on two surfaces and on the plane through `p` across `d`, by Newton from `p`.
pub fn on_plane(a: &Surface, b: &Surface, p: P3, d: V3) -> Option<P3> {
    Pair { a, b }.on_plane(p, d)
}

/// The branches by walking on `a`, or on `b` where that is the smaller piece of the same kind.
fn trace_pair(a: &SurfacePart, b: &SurfacePart, budget: SurveyBudget) -> Result<Intersection, TraceError> {
    let size = |p: &SurfacePart| p.boxes.iter().map(Bounds::diagonal).fold(0.0, f64::max);
    let swap = rank(a.surface) == rank(b.surface) && size(b) < size(a);
    let (a, b) = if swap { (b, a) } else { (a, b) };
    let (u, v) = match a.surface {
        Surface::Plane(_) => plane_window(a, b),
        _ => a.domain,
    };
    let domain = Domain { surface: a.surface.clone(), u, v };
    trace::trace(&domain, (b.surface, b.domain), (a.boxes, b.boxes), budget)
}

/// The rectangle on plane `a` that holds all that both parts' boxes have in common.
fn plane_window(a: &SurfacePart, b: &SurfacePart) -> ((f64, f64), (f64, f64)) {
    let mut flat = Bounds::empty();
    for p in a.boxes {
        for q in b.boxes {
            let common = p.intersection(q);
            if common.is_empty() {
                continue;
            }
            for k in 0..8_usize {
                let pick = |i: usize| if k >> i & 1 == 0 { common.min[i] } else { common.max[i] };
                let (u, v) = a.surface.params(P3::new(pick(0), pick(1), pick(2)));
                flat.include(P3::new(u, v, 0.0));
            }
        }
    }
    ((flat.min.x, flat.max.x), (flat.min.y, flat.max.y))
}
