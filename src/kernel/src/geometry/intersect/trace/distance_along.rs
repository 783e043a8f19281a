//! How the distance from one surface changes along another one: bounds by which cells are decided.

use std::f64::consts::{PI, TAU};

use crate::geometry::surface::distance_jet::DistanceJet;
use crate::geometry::{P3, Surface, V3};
use crate::tolerance::{NO_DIRECTION, STRAIGHT_SPINE};

/// Bound of the normal curvature of a surface between two values of v, 1/mm; infinite where it has none.
pub(super) fn own_curvature(surface: &Surface, (lo, hi): (f64, f64)) -> f64 {
    match surface {
        Surface::Plane(_) => 0.0,
        Surface::Cylinder(s) => 1.0 / s.radius,
        Surface::Sphere(s) => 1.0 / s.radius,
        Surface::Torus(s) => {
            // Nearest to the axis where the cosine is least: at an end, or at the inner equator between them.
            let turns = ((hi - PI) / TAU).floor() - ((lo - PI) / TAU).floor() > 0.5;
            let least = if turns { -1.0 } else { lo.cos().min(hi.cos()) };
            let rho = s.major + s.minor * least;
            if rho > 0.0 { 1.0 / s.minor.min(rho) } else { f64::INFINITY }
        }
        Surface::Canal(s) => {
            let room = 1.0 / s.spine.bend().max(STRAIGHT_SPINE) - s.radius;
            if room > 0.0 { 1.0 / s.radius.min(room) } else { f64::INFINITY }
        }
        Surface::Cone(s) => {
            let v = lo.min(hi).max(0.0);
            if v > 0.0 { 1.0 / (v * s.half_angle.tan()) } else { f64::INFINITY }
        }
    }
}

/// The distance from another surface along a developable one, about a point of it.
///
/// On the developed surface the distance is a function on a plane. Along a unit geodesic γ its second derivative is
/// `f″(γ′, γ′) + ∇f·γ″`, and its third one at most `‖f‴‖ + 3 ‖f″‖ κ + |γ‴|`, κ being the surface's own curvature: by the chain rule. Where two
/// surfaces bend alike, as rounded edges do that touch from within, the second derivative all but vanishes, while each of the two bends is
/// large. By their sum alone two cylinders whose axes are 0.04° apart took over 60,000 cells.
pub(super) struct DistanceAlong {
    /// The norm of its second derivative at the point, 1/mm.
    bend: f64,
    /// A bound of the norm of its third derivatives within the reach, 1/mm².
    change: f64,
}

/// On a cone with the half angle α, whose curvature across the rulings is κ, that curvature changes along a geodesic by at most this times
/// κ² tan α: the greatest value of `3 cos²φ sin φ`, φ being the geodesic's angle, which is 2/√3.
const CONE_CHANGE: f64 = 1.1548;

impl DistanceAlong {
    /// About a point of a surface with the outward normal there, within `reach` (mm) and between two values of v; `jet` is the distance there.
    /// `None` where the surface is not developable, or nothing is known of the third derivatives.
    pub(super) fn of(
        surface: &Surface,
        v: (f64, f64),
        (point, normal): (P3, V3),
        jet: &DistanceJet,
        reach: f64,
    ) -> Option<Self> {
        // The direction of the rulings, how the surface bends across them, and how fast a geodesic's bend changes, in κ².
        let (ruling, bends, turned) = match surface {
            Surface::Plane(s) => (s.frame.y, 0.0, 1.0),
            Surface::Cylinder(s) => (s.frame.z, -1.0 / s.radius, 1.0),
            Surface::Cone(s) => {
                let (w, slope) = (point - s.frame.origin, s.half_angle.tan());
                let along = w.try_normalize(NO_DIRECTION)?;
                (along, -1.0 / (w.norm() * slope), 1.0_f64.hypot(CONE_CHANGE * slope))
            }
            Surface::Sphere(_) | Surface::Torus(_) | Surface::Canal(_) => return None,
        };
        let own = own_curvature(surface, v);
        let change = jet.third_bound(reach) + 3.0 * jet.second_bound(reach) * own + turned * own * own;
        if !change.is_finite() {
            return None;
        }
        let across = ruling.cross(&normal);
        let (along_turn, across_turn) = (jet.turning(ruling), jet.turning(across));
        let (a, b) = (along_turn.dot(&ruling), along_turn.dot(&across));
        let d = across_turn.dot(&across) + bends * jet.gradient.dot(&normal);
        // The greater eigenvalue of a symmetric matrix of two rows.
        Some(Self { bend: 0.5 * (a + d).abs() + (0.5 * (a - d)).hypot(b), change })
    }

    /// By how much the distance changes at the most within the reach, mm, if it changes by `slope` at the point.
    pub(super) fn greatest_change(&self, slope: f64, reach: f64) -> f64 {
        (slope + (0.5 * self.bend + self.change * reach / 6.0) * reach) * reach
    }

    /// By how much its slope changes at the most within the reach.
    pub(super) fn greatest_turn(&self, reach: f64) -> f64 {
        (self.bend + 0.5 * self.change * reach) * reach
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Cylinder, Frame, Plane, Torus};

    /// A frame askew.
    fn skew(origin: [f64; 3], z: [f64; 3]) -> Frame {
        Frame::from_z(P3::from(origin), V3::from(z).normalize())
    }

    /// At places on a plane, a cylinder and a cone: the distance from a cylinder and a torus at places all about changes by no more than the
    /// bounds tell, and so does its slope, by differences; and the bend is what differences along geodesics tell at the most.
    #[test]
    fn no_place_within_reach_breaks_the_bounds() {
        let others = [
            Surface::Cylinder(Cylinder { frame: skew([0.2, 0.1, -3.0], [0.05, 0.02, 1.0]), radius: 7.5 }),
            Surface::Torus(Torus { frame: skew([-6.0, 0.5, 2.0], [0.1, 1.0, 0.2]), major: 14.0, minor: 5.0 }),
        ];
        let frame = Frame::from_z(P3::origin(), V3::z());
        let walked = [
            Surface::Plane(Plane { frame: skew([7.0, 0.0, 0.0], [1.0, 0.1, 0.0]) }),
            Surface::Cylinder(Cylinder { frame, radius: 7.0 }),
            Surface::Cone(Cone { frame, half_angle: 0.3 }),
        ];
        let mut known = 0;
        for surface in &walked {
            let (scale, v) = match surface {
                Surface::Plane(_) => (1.0, 0.7),
                Surface::Cylinder(s) => (s.radius, 1.3),
                _ => (24.0 * 0.3_f64.sin(), 24.0),
            };
            for (other, k) in others.iter().flat_map(|o| (0..40).map(move |k| (o, k))) {
                let (u, reach) = (0.17 * f64::from(k), 0.4);
                let c = surface.point(u, v);
                let (own, jet) = (surface.grad(c), other.distance_jet(c));
                // Beside the torus's axis nothing is known.
                let v_range = (v - reach, v + reach);
                let Some(along) = DistanceAlong::of(surface, v_range, (c, own), &jet, reach) else {
                    continue;
                };
                known += 1;
                let tangent = |p: P3| {
                    let (n, g) = (surface.grad(p), other.grad(p));
                    (g - n * g.dot(&n)).norm()
                };
                let slope = tangent(c);
                for turn in (0..24).map(|t| f64::from(t) * 0.2618) {
                    // Close to the geodesic of that direction; its length is at most the reach.
                    let (du, dv) = (0.98 * reach * turn.cos() / scale, 0.98 * reach * turn.sin());
                    let p = surface.point(u + du, v + dv);
                    let change = (other.f(p) - jet.value).abs();
                    assert!(change <= along.greatest_change(slope, reach), "{surface:?} {other:?}: {change}");
                    let turned = (tangent(p) - slope).abs();
                    assert!(turned <= along.greatest_turn(reach), "{surface:?} {other:?}: {turned}");
                }
            }
        }
        assert!(known > 200, "only {known} of 240 places had bounds");
    }

    /// Two cylinders that touch from within all along a line bend alike along it and by 1/r − 1/R across it (the second form of the distance is
    /// the difference of both: do Carmo, "Differential Geometry of Curves and Surfaces", chapter 3, from memory).
    #[test]
    fn surfaces_that_bend_alike_have_a_distance_that_hardly_bends() {
        let frame = Frame::from_z(P3::origin(), V3::z());
        let inner = Surface::Cylinder(Cylinder { frame, radius: 4.5 });
        let shifted = frame.moved_to(P3::new(-0.6, 0.0, 0.0));
        let outer = Surface::Cylinder(Cylinder { frame: shifted, radius: 5.1 });
        let at = inner.point(0.0, 3.0);
        let along = DistanceAlong::of(&inner, (2.0, 4.0), (at, V3::x()), &outer.distance_jet(at), 0.1);
        let bend = along.map(|a| a.bend).unwrap_or_default();
        assert!((bend - (1.0 / 4.5 - 1.0 / 5.1)).abs() < 1e-12, "{bend}");
    }
}
