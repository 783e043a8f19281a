//! Places where faces or edges of the finished solid touch without crossing: nothing is wrong with the boundary
//! as a set of loops, but the metal (or the gap) between them is nought there.

use super::carrier::Carriers;
use super::edges::Edge;
use super::error::EvaluateError;
use super::scene::Scene;
use super::vertex::Corners;
use crate::geometry::{Frame, P3};
use crate::tolerance::{TOUCH_REACH, TOUCH_STEP};

/// Within this of a corner on the touched surface, mm, a touch is the corner itself: where a curve runs smoothly from
/// one face into the next, the place is only known as well as a double root.
const NEAR_CORNER: f64 = 0.01;

/// How far about an unsolved touching point faces are looked for, mm: branches may be missing that far.
const UNSOLVED_REACHES: [f64; 4] = [TOUCH_REACH, 0.02, 0.2, 0.6];

/// A point where two surfaces touch is a fault if both have a face there.
pub(super) fn check_points(scene: &Scene, carriers: &Carriers) -> Result<(), EvaluateError> {
    for (p, pair) in &carriers.touches {
        if pair.iter().all(|s| is_face(scene, *s, *p, TOUCH_REACH)) {
            let tags = pair.map(|s| scene.nearest_tag(s, *p));
            return Err(EvaluateError::Touching { tags, at: *p });
        }
    }
    Ok(())
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

/// A point where an edge touches a surface, away from corners, is a fault if the surface has a face there.
pub(super) fn check_edges(
    scene: &Scene,
    carriers: &Carriers,
    corners: &Corners,
    edges: &[Edge],
) -> Result<(), EvaluateError> {
    for graze in &corners.touches {
        let (c, p) = (&carriers.list[graze.carrier], graze.at);
        // Cuts between halves are no faults of the design, nor is touching one.
        let real = |s: &usize| scene.entries[*s].seam_of.is_none();
        let cut = !real(&graze.surface) || c.surfaces.iter().filter(|s| real(s)).count() < 2;
        if cut || !scene.entries[graze.surface].near(p) || corners.on_within(p, NEAR_CORNER, graze.surface) {
            continue;
        }
        let Some(t) = c.param(p, TOUCH_REACH) else { continue };
        let on = |e: &Edge| e.carrier == graze.carrier && c.covers(e.range, t);
        if edges.iter().any(on) && is_face(scene, graze.surface, p, TOUCH_REACH) {
            let own = c.surfaces.iter().copied().find(real);
            let tags =
                [scene.nearest_tag(own.unwrap_or(graze.surface), p), scene.nearest_tag(graze.surface, p)];
            return Err(EvaluateError::Touching { tags, at: p });
        }
    }
    Ok(())
}

/// Whether the solid's membership changes across a surface somewhere at `reach` about `p`.
fn is_face(scene: &Scene, s: usize, p: P3, reach: f64) -> bool {
    let surface = &scene.entries[s].surface;
    let frame = Frame::from_z(p, surface.grad(p));
    (0..8).any(|k| {
        let q = surface.closest(p + frame.radial(f64::from(k) * std::f64::consts::FRAC_PI_4) * reach);
        let n = surface.grad(q) * TOUCH_STEP;
        scene.tree.contains(q + n) != scene.tree.contains(q - n)
    })
}
