//! The largest ball inside the material that touches a place of the surface.

use crate::geometry::P3;
use crate::tolerance::{BALL_FIT, OWN_NEIGHBOURHOOD};

use super::{OPPOSED_COSINE, Probe, Sample};

/// Ball shrinks at most.
const SHRINKS: u32 = 60;

/// A ball inside the material that touches the surface twice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// Its radius, mm.
    pub radius: f64,
    /// Its centre, mm.
    pub center: P3,
    /// Where it touches: at the sample, and the place that stops it from being larger. Faces and places.
    pub touches: [(usize, P3); 2],
}

impl Ball {
    /// The cosine of the angle between the radii to both touches; on faces, of the angle between their normals.
    pub fn cosine(&self) -> f64 {
        let [a, b] = self.touches.map(|(_, p)| p - self.center);
        let size = a.norm() * b.norm();
        if size > 0.0 { a.dot(&b) / size } else { 1.0 }
    }

    /// Whether it has a wall's thickness: its touches are opposed by more than [`super::OPPOSED`].
    pub fn spans_wall(&self) -> bool {
        self.cosine() < OPPOSED_COSINE
    }
}

impl Probe<'_> {
    /// The largest ball inside the material that touches the surface at a sample, to 1e-6 mm: half the length of the inward
    /// ray to begin with, then shrunk to touch what reaches into it until nothing does. `None` where the ray meets
    /// nothing.
    pub fn ball(&self, sample: &Sample) -> Option<Ball> {
        let hit = self.behind(sample)?;
        let (p, n) = (sample.point, sample.outward);
        let mut radius = 0.5 * hit.distance;
        let mut touch = (hit.face, hit.point);
        for _ in 0..SHRINKS {
            let center = p - n * radius;
            let Some(near) = self.nearest_inside(center, radius - BALL_FIT) else { break };
            let w = p - near.point;
            let down = w.dot(&n);
            // The surface bends away from the sample itself: what comes nearer is the sample's own neighbourhood.
            if w.norm() < OWN_NEIGHBOURHOOD || down <= 0.0 {
                break;
            }
            let next = w.norm_squared() / (2.0 * down);
            if next >= radius {
                break;
            }
            radius = next;
            touch = (near.face, near.point);
        }
        Some(Ball { radius, center: p - n * radius, touches: [(sample.face, p), touch] })
    }

    /// The wall at a sample by ball: its diameter is the wall's thickness. `None` where the ball measures a corner.
    pub fn wall_by_ball(&self, sample: &Sample) -> Option<Ball> {
        self.ball(sample).filter(Ball::spans_wall)
    }
}
