//! Intersections without a closed form, followed point by point.
//!
//! The first surface's (u, v) rectangle is divided into cells. A cell is dropped when the distance to the other
//! surface proves it empty, and is regular when the angle between the surfaces exceeds what curvature can turn
//! within it: then no closed loop hides inside, and every branch crosses a cell edge, where exact root
//! isolation finds it. What stays undecided down to the tolerance holds a point where the surfaces touch;
//! it is solved for and becomes a node (branches cross) or a touch.

mod cells;
mod distance_along;
mod march;
mod tangency;
mod traced;

pub use cells::{Domain, SurveyBudget};
pub use traced::{Chord, Traced};

use super::{Branch, Intersection};
use crate::geometry::{Bounds, P3, Surface};
use crate::tolerance::{NODE_RADIUS, OFF_CANAL, SURVEY_MARGIN, UNSOLVED_RADIUS};
pub(in crate::geometry) use march::Pair;
use tangency::Contact;

/// Why two surfaces could not be intersected.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TraceError {
    /// They touch along a whole curve (or nearly so) that has no closed form.
    #[error("the surfaces touch along a curve near ({:.3}, {:.3}, {:.3})", at.x, at.y, at.z)]
    TouchAlong {
        /// A point of the curve.
        at: P3,
    },
    /// A branch could not be followed.
    #[error("the intersection curve can't be followed near ({:.3}, {:.3}, {:.3})", at.x, at.y, at.z)]
    Lost {
        /// Where it was lost.
        at: P3,
    },
}

/// Points at which branches end.
struct Stops<'a> {
    nodes: &'a [P3],
    unsolved: &'a [P3],
}

/// Ranges of a surface's u and v.
type Ranges = ((f64, f64), (f64, f64));

/// Where branches are followed.
struct Window<'a> {
    domain: &'a Domain,
    boxes: &'a [Bounds],
    other_boxes: &'a [Bounds],
    other: &'a Surface,
    /// The other surface's ranges of u and v.
    other_ranges: Ranges,
}

impl Window<'_> {
    /// Whether one of the surfaces is a canal that folds at `p`: its face ends in a crease before that.
    fn folds_at(&self, p: P3) -> bool {
        folds_at(&self.domain.surface, p) || folds_at(self.other, p)
    }

    /// Whether the survey has looked at `p`: outside, a branch may run into a touching point unseen.
    fn surveyed(&self, p: P3) -> bool {
        let near = |set: &[Bounds]| set.iter().any(|b| b.distance(p) < 0.5 * SURVEY_MARGIN);
        near(self.boxes)
            && near(self.other_boxes)
            && self.domain.contains(p, 0.5 * SURVEY_MARGIN)
            && !self.off_canal(p)
            && !self.folds_at(p)
    }

    /// Whether the other surface is a canal and `p` off the piece that a ball left: at its ends or beyond them, where its
    /// path runs on as it may, or on the far side of the tube, which may fold.
    fn off_canal(&self, p: P3) -> bool {
        let ((from, to), (low, high)) = self.other_ranges;
        matches!(self.other, Surface::Canal(_)) && {
            let (u, v) = self.other.params(p);
            u < from + SURVEY_MARGIN || u > to - SURVEY_MARGIN || v < low - OFF_CANAL || v > high + OFF_CANAL
        }
    }
}

/// Whether a surface is a canal that folds at a point of it.
fn folds_at(surface: &Surface, p: P3) -> bool {
    matches!(surface, Surface::Canal(c) if c.folds_at(p))
}

/// All branches of `domain ∩ other` that meet both sets of boxes.
pub(super) fn trace(
    domain: &Domain,
    (other, other_ranges): (&Surface, Ranges),
    (boxes, other_boxes): (&[Bounds], &[Bounds]),
    budget: SurveyBudget,
) -> Result<Intersection, TraceError> {
    // The survey looks a little farther than branches are followed, so that no branch runs into a touching
    // point that the survey has not seen.
    let survey = cells::survey(&domain.grown(SURVEY_MARGIN), other, boxes, other_boxes, budget)?;
    let window = Window { domain, boxes, other_boxes, other, other_ranges };
    let pair = Pair { a: &domain.surface, b: other };
    let mut out = Intersection::default();
    // A fold is no touch, and no face reaches it.
    let undecided: Vec<(P3, f64)> = survey.undecided.into_iter().filter(|u| !window.folds_at(u.0)).collect();
    let contacts = tangency::solve(&pair, &undecided);
    for contact in &contacts {
        match contact {
            Contact::Touch(p) => out.touches.push(*p),
            Contact::Node { at, .. } => out.nodes.push(*at),
            Contact::Unsolved(p) => out.unsolved.push(*p),
        }
    }
    let stops = Stops { nodes: &out.nodes, unsolved: &out.unsolved };
    let mut found: Vec<Traced> = Vec::new();
    for contact in &contacts {
        let Contact::Node { at, directions } = contact else { continue };
        for dir in directions {
            let start = march::off_node(&pair, *at, *dir)?;
            if found.iter().any(|t| t.passes(start)) {
                continue;
            }
            found.push(march::from_node(&pair, &window, *at, start, *dir, &stops)?);
        }
    }
    for seed in survey.seeds {
        let near = |p: &P3, reach: f64| (p - seed).norm() < reach;
        if out.nodes.iter().any(|n| near(n, 2.0 * NODE_RADIUS))
            || out.unsolved.iter().any(|u| near(u, UNSOLVED_RADIUS))
        {
            continue;
        }
        if found.iter().any(|t| t.passes(seed)) {
            continue;
        }
        found.push(march::from_seed(&pair, &window, seed, &stops)?);
    }
    out.branches.extend(found.into_iter().map(|t| Branch::Traced(Box::new(t))));
    Ok(out)
}
