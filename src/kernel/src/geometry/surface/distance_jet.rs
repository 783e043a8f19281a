//! The distance from a surface about a place: value, gradient and second derivatives in one, with bounds.

use super::Surface;
use crate::geometry::{P3, V3};
use crate::tolerance::{NO_DIRECTION, NOT_ZERO};

/// [`Surface::f`] about a place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DistanceJet {
    /// The distance, mm.
    pub(crate) value: f64,
    /// Its gradient, a unit vector.
    pub(crate) gradient: V3,
    /// How far away the distance has a kink at the nearest, mm: on an axis or a ring. Infinite for planes.
    pub(crate) kink: f64,
    hessian: Hessian,
}

/// Second derivatives: a share of the identity, and turns about directions.
#[derive(Clone, Copy, Debug)]
enum Hessian {
    Nought,
    /// Around an axis, in a direction.
    Around(V3, f64),
    /// Around an axis, and across a tube, each in a direction.
    Tube([(V3, f64); 2]),
    /// About a centre, by the gradient.
    Ball(f64),
    /// About the foot on a canal's spine: one over the distance from it, the spine's derivative, and how far sections are apart.
    Canal(f64, V3, f64),
}

/// The third derivative of the distance from a turned surface is at most this many times the square of one over the distance from its
/// kinks. A sphere, a cylinder and a cone have `−3 (d·n)(d·t)²/ρ²`, at most `2/√3`; a torus has, with the ring's distance `D` and the
/// angle `φ` about the ring, `−3 sin φ (d·m)(d·t)²/(Dρ) − 3 cos φ (d·e)(d·t)²/ρ² − 3 (d·n)(d·m)²/D²`, each term at most `2/√3`.
const THIRD_OF_TURNED: f64 = 3.5;

impl DistanceJet {
    /// The second derivatives times a vector: how fast the gradient turns when the place moves.
    pub(crate) fn turning(&self, d: V3) -> V3 {
        let turned = |(t, share): (V3, f64)| t * (t.dot(&d) * share);
        let across = || d - self.gradient * self.gradient.dot(&d);
        match self.hessian {
            Hessian::Nought => V3::zeros(),
            Hessian::Around(t, share) => turned((t, share)),
            Hessian::Tube([a, b]) => turned(a) + turned(b),
            Hessian::Ball(share) => across() * share,
            Hessian::Canal(share, along, apart) => (across() - along * (along.dot(&d) / apart)) * share,
        }
    }

    /// Second derivative along a vector.
    pub(crate) fn second_along(&self, d: V3) -> f64 {
        self.turning(d).dot(&d)
    }

    /// A bound of the norm of the second derivative within `reach`, 1/mm; infinite where a kink is in reach.
    pub(crate) fn second_bound(&self, reach: f64) -> f64 {
        let room = self.kink - reach;
        if room > 0.0 { 1.0 / room } else { f64::INFINITY }
    }

    /// A bound of the norm of the third derivative within `reach`, 1/mm²; infinite where there is none, and for canals.
    pub(crate) fn third_bound(&self, reach: f64) -> f64 {
        match self.hessian {
            Hessian::Nought => 0.0,
            Hessian::Canal(..) => f64::INFINITY,
            _ => THIRD_OF_TURNED * self.second_bound(reach).powi(2),
        }
    }
}

impl Surface {
    /// The distance with its derivatives about `p`.
    pub(crate) fn distance_jet(&self, p: P3) -> DistanceJet {
        let frame = self.frame();
        let w = p - frame.origin;
        let high = w.dot(&frame.z);
        let turned = |value: f64, gradient: V3, kink: f64, hessian: Hessian| DistanceJet {
            value,
            gradient,
            kink,
            hessian,
        };
        let radial = w - frame.z * high;
        let rho = radial.norm();
        let unit = if rho > NO_DIRECTION { radial / rho } else { frame.x };
        let around = frame.z.cross(&unit);
        match self {
            Self::Plane(_) => turned(high, frame.z, f64::INFINITY, Hessian::Nought),
            Self::Cylinder(s) => {
                turned(rho - s.radius, unit, rho, Hessian::Around(around, 1.0 / rho.max(NOT_ZERO)))
            }
            Self::Cone(s) => {
                let share = s.half_angle.cos() / rho.max(NOT_ZERO);
                turned(s.f(p), s.grad(p), rho, Hessian::Around(around, share))
            }
            Self::Sphere(s) => {
                let size = w.norm();
                let n = if size > NO_DIRECTION { w / size } else { frame.z };
                turned(size - s.radius, n, size, Hessian::Ball(1.0 / size.max(NOT_ZERO)))
            }
            Self::Torus(s) => {
                let out = rho - s.major;
                let size = (out * out + high * high).sqrt();
                let n = if size < NO_DIRECTION { unit } else { (unit * out + frame.z * high) / size };
                let turn = (around, n.dot(&unit) / rho.max(NOT_ZERO));
                let across = (around.cross(&n), 1.0 / size.max(NOT_ZERO));
                turned(size - s.minor, n, size.min(rho), Hessian::Tube([turn, across]))
            }
            Self::Canal(s) => {
                let foot = s.foot_jet(p);
                let hessian = Hessian::Canal(1.0 / foot.size, foot.along, foot.apart);
                turned(foot.value, foot.gradient, foot.kink, hessian)
            }
        }
    }

    /// The distance and its gradient in one.
    pub(crate) fn value_and_grad(&self, p: P3) -> (f64, V3) {
        match self {
            Self::Canal(s) => s.value_and_grad(p),
            Self::Torus(s) => s.value_and_grad(p),
            _ => (self.f(p), self.grad(p)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Cylinder, Frame, Sphere, Torus};

    /// Value, slope and bend of every turned surface against differences of [`Surface::f`], and the third derivative below its bound,
    /// at places all about.
    #[test]
    fn a_jet_is_what_differences_tell() {
        let frame = Frame::from_z(P3::new(1.0, -2.0, 3.0), V3::new(0.3, -0.5, 0.8).normalize());
        let surfaces = [
            Surface::Cylinder(Cylinder { frame, radius: 7.0 }),
            Surface::Cone(Cone { frame, half_angle: 0.4 }),
            Surface::Sphere(Sphere { frame, radius: 9.0 }),
            Surface::Torus(Torus { frame, major: 12.0, minor: 4.0 }),
        ];
        for s in &surfaces {
            for k in 0..200 {
                let turn = f64::from(k) * 2.399_963;
                let p = frame.origin
                    + frame.radial(turn) * (6.0 + 8.0 * (f64::from(k) * 0.37).fract())
                    + frame.z * (12.0 * (f64::from(k) * 0.61).fract() + 2.0);
                let d = V3::new(turn.sin(), (1.7 * turn).cos(), (0.6 * turn).sin()).normalize();
                let jet = s.distance_jet(p);
                let at = |h: f64| s.f(p + d * h);
                let (value, gradient) = s.value_and_grad(p);
                assert!((jet.value - at(0.0)).abs() < 1e-12 && (value - at(0.0)).abs() < 1e-12, "{s:?}");
                assert!((jet.gradient - gradient).norm() < 1e-12, "{s:?}");
                let slope = (at(1e-4) - at(-1e-4)) / 2e-4;
                assert!((jet.gradient.dot(&d) - slope).abs() < 1e-7, "{s:?} slopes by {slope}");
                let bend = (at(1e-3) - 2.0 * at(0.0) + at(-1e-3)) / 1e-6;
                let second = jet.second_along(d);
                assert!((second - bend).abs() < 1e-5, "{s:?} bends by {bend}, not {second}");
                assert!(second.abs() <= jet.second_bound(0.0), "{s:?}: {second}");
                let third = (at(2e-2) - 2.0 * at(1e-2) + 2.0 * at(-1e-2) - at(-2e-2)) / 2e-6;
                assert!(third.abs() <= jet.third_bound(2e-2) + 1e-6, "{s:?}: third {third}");
            }
        }
    }
}
